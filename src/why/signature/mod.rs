//! The signature of the hand: reaction, corrections, lead, gain and crossover, estimated from a recording.
//!
//! What is read is the *start* of each separate move of the lever and the setting it ended at. A hand that steers by what it
//! sees makes that setting follow what there was to see a reaction time before the start:
//! `setting = level + a e(t - d) - b (v(t - d) + l v'(t - d))`, with e the altitude still missing (m), v vertical speed (m/s)
//! and v' its change (m/s^2). Every delay d from 0 to 1.25 s, and several ways to look at vertical speed, are fitted by least
//! squares and weighed by how well they explain the moves; see [`law`]. From that:
//!
//! - **reaction** is d, s: from what is seen to the start of the move, without the wait for the next look;
//! - **lead** is l, s: the weight of the change of vertical speed against vertical speed itself;
//! - **gain** is b over the lever that holds one m/s in steady flight (from the 3-degree trims): 1 gives back exactly the
//!   power that the missing vertical speed would cost to hold;
//! - **crossover** is the frequency, rad/s, at which the loop through hand and aeroplane has a gain of one: all that the hand
//!   makes of altitude and its changes, times the aeroplane's linear answer to the lever; see [`crossover`].
//!
//! **Corrections** are counted: moves in one direction without a pause, with small ones left out; see [`moves`].
//!
//! An [`Estimate`] is a value with the interval that holds the truth in 95 % of recordings. It is given only where the
//! interval is of use: half of it at most [`REACTION_WITHIN_S`], [`LEAD_WITHIN_S`] or a share of the value
//! ([`CORRECTIONS_WITHIN`], [`GAIN_WITHIN`], [`CROSSOVER_WITHIN`]), the moves explained by the law at all ([`law::EXPLAINED`]),
//! and at least [`law::FEWEST`] of them. Limits:
//!
//! - one hand is assumed throughout: the values are means over the run;
//! - lead and gain are traded against reaction (a later look is much like less lead), so they are given only beside it;
//! - a reaction that wavers widens the intervals and shows as its mean; an eye that errs makes gain and lead look smaller than
//!   they are, and of that the intervals know nothing;
//! - in still air a level hold asks for too few moves, and on a smooth motion no look can be told from a later one, so reaction
//!   stays unknown there;
//! - crossover is given in gusts only: in still air a learner flies known steps from memory rather than by what is seen;
//! - tasks on the path to a deck are left out of all but the corrections: what is seen there moves with the distance;
//! - lever moves of more than [`sample::LONGEST_S`] are left out of the fit, since where they end is decided on the way.

pub mod crossover;
pub mod law;
mod linear;
pub mod moves;
pub mod sample;
mod view;

use crate::run::Run;
use crate::sim::dynamics::State;
use crate::sim::stability;
use crossover::Loop;
use law::Laws;

/// Reaction is given where half its interval is at most this, s.
pub const REACTION_WITHIN_S: f64 = 0.1;
/// Crossover is given only where half the interval of reaction is at most this, s.
pub const REACTION_BOUNDED_S: f64 = 0.2;
/// Lead is given where half its interval is at most this, s, or this share of it.
pub const LEAD_WITHIN_S: (f64, f64) = (0.5, 0.25);
/// Gain is given where half its interval is at most this share of it.
pub const GAIN_WITHIN: f64 = 0.25;
/// Crossover is given where half its interval is at most this share of it.
pub const CROSSOVER_WITHIN: f64 = 0.15;
/// Corrections a minute are given where half their interval is at most this share of them.
pub const CORRECTIONS_WITHIN: f64 = 0.5;

/// A value and the interval around it that holds the truth in 95 % of recordings, in one unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The value.
    pub value: f64,
    /// Lower end of the interval.
    pub low: f64,
    /// Upper end of the interval.
    pub high: f64,
}

/// How a hand moves the lever. What the recording does not bound is None.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Signature {
    /// From what is seen to the move it causes, s.
    pub reaction_s: Option<Estimate>,
    /// Separate moves of the lever a minute.
    pub corrections_per_min: Option<Estimate>,
    /// Weight on the change of vertical speed over that on vertical speed, s.
    pub lead_s: Option<Estimate>,
    /// Lever for missing vertical speed, over lever for vertical speed held.
    pub gain: Option<Estimate>,
    /// Highest frequency at which the open loop has a gain of one, in gusts, rad/s.
    pub crossover_radps: Option<Estimate>,
}

impl Estimate {
    /// A value with an interval that reaches as far down as up.
    pub(crate) fn around(value: f64, half: f64) -> Estimate {
        Estimate {
            value,
            low: value - half,
            high: value + half,
        }
    }

    /// Half the width of the interval.
    pub fn half(&self) -> f64 {
        0.5 * (self.high - self.low)
    }

    fn within(self, most: f64) -> Option<Estimate> {
        (self.half() <= most).then_some(self)
    }
}

impl Signature {
    /// Estimates it from a run. A fork remembers too little of what was seen: of one, only the corrections are known.
    pub fn of(run: &Run) -> Signature {
        let moves = moves::of(run.log(), run.drill().start_lever());
        let corrections_per_min = moves::per_minute(&moves, run.tick())
            .and_then(|rate| rate.within(CORRECTIONS_WITHIN * rate.value));
        let counted = Signature {
            corrections_per_min,
            ..Signature::default()
        };
        let states: Vec<State> = run
            .trace()
            .points()
            .iter()
            .map(|point| point.state)
            .collect();
        if states.len() as u64 != run.tick() + 1 {
            return counted;
        }
        let samples = sample::of(run, &moves);
        let views = law::views();
        let Some(laws) = Laws::of(&samples, &states, &views) else {
            return counted;
        };
        let drill = run.drill();
        let altitude_m = sample::mean_altitude_m(&samples, &states);
        let per_mps = 1.0 / stability::vertical_per_lever(&drill.aircraft, altitude_m);
        // A hand that does not work against the motion does not steer by it.
        let gain = laws.mean(|law, _| Some(law.per_mps / per_mps));
        let Some(gain) = gain.filter(|gain| gain.low > 0.0) else {
            return counted;
        };
        let reaction = laws.reaction_s();
        let is_rough = drill.air.u20_mps > 0.0 || drill.air.wake.is_some();
        let crossover = (is_rough && reaction.half() <= REACTION_BOUNDED_S)
            .then(|| Loop::new(&drill.aircraft, altitude_m, moves::hold_s(&moves), &views))
            .and_then(|around| laws.mean(|law, view| around.crossover_radps(law, view)))
            .and_then(|crossover| crossover.within(CROSSOVER_WITHIN * crossover.value));
        let counted = Signature {
            crossover_radps: crossover,
            ..counted
        };
        let Some(reaction_s) = reaction.within(REACTION_WITHIN_S) else {
            return counted;
        };
        let lead = laws.mean(|law, _| Some(law.lead_s()));
        Signature {
            reaction_s: Some(reaction_s),
            lead_s: lead.and_then(|lead| {
                lead.within(f64::max(LEAD_WITHIN_S.0, LEAD_WITHIN_S.1 * lead.value))
            }),
            gain: gain.within(GAIN_WITHIN * gain.value),
            ..counted
        }
    }

    /// What is known, as label and value with its interval.
    pub fn rows(&self) -> Vec<(&'static str, String)> {
        let rows = [
            ("reaction", self.reaction_s, 2, " s"),
            ("corrections", self.corrections_per_min, 0, " a minute"),
            ("lead", self.lead_s, 1, " s"),
            ("gain", self.gain, 2, ""),
            ("crossover in gusts", self.crossover_radps, 2, " rad/s"),
        ];
        let known = rows
            .into_iter()
            .filter_map(|(label, estimate, places, unit)| {
                let Estimate { value, low, high } = estimate?;
                Some((
                    label,
                    format!("{value:.places$}{unit} ({low:.places$} to {high:.places$})"),
                ))
            });
        known.collect()
    }
}
