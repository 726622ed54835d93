//! A pilot's view of the task: how far to go, when to stop, what to keep. Faults of timing, belief and attention live here, so
//! that they mean the same in every style.

use leveloff::drill::Target;
use leveloff::sim::air::noise::Noise;

use super::eyes::Reading;
use super::faults::Fault;
use super::known::{Known, LEVER_GRAIN, rounded};
use super::traits::{Chance, Traits};
use super::way::{Asked, GROWING_S};

/// The phase of an errand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Phase {
    /// On the way.
    Going,
    /// Turning onto the target.
    Stopping,
    /// Keeping it.
    Keeping,
}

/// The state of an errand at a moment.
#[derive(Clone, Copy, Debug)]
pub struct Aim {
    pub phase: Phase,
    /// Time in this phase, s.
    pub since_s: f64,
    /// Altitude still missing, m, positive if the number or the line lies above; 0 if only a rate is asked for.
    pub missing_m: f64,
    /// Vertical speed less the one to keep, m/s, and its change.
    pub rel_mps: f64,
    pub trend_mps2: f64,
    /// Vertical speed to keep, m/s, and the lever believed to give it.
    pub keep_mps: f64,
    pub keep_lever: f64,
    /// Vertical speed on the way, m/s, and its lever.
    pub going_mps: f64,
    pub going_lever: f64,
    /// Change of vertical speed in the turn onto the target, m/s.
    pub turn_mps: f64,
    /// Half-width of the band, m; of a rate, m/s.
    pub band: f64,
    /// Whether only a rate is asked for, or a line.
    pub is_rate: bool,
    pub is_line: bool,
}

/// A pilot's errand.
#[derive(Debug)]
pub struct Errand {
    pub(super) fault: Option<Fault>,
    pub(super) boldness: f64,
    /// How early this person stops, and turns onto a line, s.
    pub(super) lead_s: f64,
    pub(super) line_lead_s: f64,
    pub(super) noise: Noise,
    pub(super) asked: Option<Asked>,
    /// By how much the believed level power exceeds the remembered one.
    pub(super) belief: f64,
}

impl Errand {
    pub fn new(seed: u64, traits: &Traits, fault: Option<Fault>, leads_s: (f64, f64)) -> Errand {
        let off = match fault {
            Some(Fault::LevelBelief { off }) => off,
            _ => 0.0,
        };
        let aware = match fault {
            Some(Fault::NoAnticipation) => 0.0,
            _ => 1.0,
        };
        Errand {
            fault,
            boldness: traits.boldness,
            lead_s: aware * leads_s.0 * traits.ahead,
            line_lead_s: aware * leads_s.1 * traits.ahead,
            noise: Chance::Mind.of(seed),
            asked: None,
            belief: traits.belief + off,
        }
    }

    /// Updates the errand from a reading, `dt_s` after the last one.
    pub fn look(&mut self, reading: &Reading, known: &Known, t_s: f64, dt_s: f64) -> Aim {
        let mut asked = match self.asked {
            Some(asked) if asked.target == reading.target => asked,
            _ => self.begun(reading, known, t_s),
        };
        let (mut missing_m, mut keep_mps, band) = self.wanted(&mut asked, reading, t_s);
        match (asked.target, self.left_alone(&asked, band, t_s)) {
            (Target::Vertical { .. }, Some(by)) => keep_mps += by,
            (_, Some(by)) => missing_m += by,
            _ => {}
        }
        self.advance(&mut asked, reading, known, missing_m, t_s);
        missing_m += asked.going_mps.signum() * asked.shift_m;
        let keep_lever = asked.level + self.belief + known.lever_for(keep_mps);
        self.learn(
            &asked,
            known,
            missing_m,
            reading.vertical_mps - keep_mps,
            band,
            dt_s,
        );
        self.asked = Some(asked);
        let going = asked.level
            + self.belief
            + known.lever_for(asked.going_mps - self.too_steep_mps(&asked, reading, known));
        Aim {
            phase: asked.phase,
            since_s: t_s - asked.phase_since_s,
            missing_m,
            rel_mps: reading.vertical_mps - keep_mps,
            trend_mps2: reading.trend_mps2,
            keep_mps,
            keep_lever: keep_lever.clamp(0.0, 1.0),
            going_mps: asked.going_mps,
            going_lever: rounded(going.clamp(0.0, 1.0), LEVER_GRAIN),
            turn_mps: asked.turn_mps,
            band,
            is_rate: matches!(asked.target, Target::Vertical { .. }),
            is_line: asked.is_on_line,
        }
    }

    /// How much to take off the vertical speed where the way gets too steep, m/s, signed as the way.
    fn too_steep_mps(&self, asked: &Asked, reading: &Reading, known: &Known) -> f64 {
        /// Factor on the excess: the lever has to reduce it, not only to stop its growth.
        const TURNS: f64 = 1.5;
        let dir = asked.going_mps.signum();
        let coming_mps = dir * (reading.vertical_mps + GROWING_S * reading.trend_mps2);
        let most_mps = self.haste(dir) * known.steepest_mps();
        dir * TURNS * (coming_mps - most_mps).max(0.0)
    }

    /// The error that a pilot who leaves errors alone is content with, for a time.
    fn left_alone(&self, asked: &Asked, band: f64, t_s: f64) -> Option<f64> {
        /// Outside the band, but near enough to be overlooked.
        const OFF: f64 = 1.5;
        /// The time until it settles there, and the time for which it is left, s.
        const SETTLES_S: f64 = 8.0;
        const LEFT_S: f64 = 17.0;
        if self.fault != Some(Fault::NotCorrected) {
            return None;
        }
        match (asked.phase, asked.target) {
            (Phase::Going, _) => Some(-asked.going_mps.signum() * OFF * band),
            // Too high, since too low would end in a call.
            (phase, Target::Path(_)) => (asked.is_on_line
                && phase == Phase::Keeping
                && t_s - asked.phase_since_s < SETTLES_S + LEFT_S)
                .then_some(OFF * band),
            _ => {
                let settles_s = if asked.phase == Phase::Stopping {
                    f64::MAX
                } else {
                    SETTLES_S + LEFT_S
                };
                let dir = if asked.going_mps == 0.0 {
                    1.0
                } else {
                    asked.going_mps.signum()
                };
                (t_s - asked.phase_since_s < settles_s).then_some(-dir * OFF * band)
            }
        }
    }

    /// Learns level power from an error that persists.
    fn learn(
        &mut self,
        asked: &Asked,
        known: &Known,
        missing_m: f64,
        rel_mps: f64,
        band: f64,
        dt_s: f64,
    ) {
        /// A wrong belief fades with about half a minute in the jets, a planted one with a minute and more.
        const LEARNS: f64 = 0.12;
        const STUBBORN: f64 = 0.4;
        /// On a line it is learned a little faster, since wind changes the power of every slope.
        const LINE: f64 = 1.2;
        /// An error of more bands than this is not due to level power.
        const MOST_BANDS: f64 = 1.5;
        /// Share of the 3-degree rate below which the needle stands still.
        const STILL: f64 = 0.22;
        // While the needle is on its way back it shows other things, such as too much speed.
        let is_still = rel_mps.abs() < STILL * known.three_mps;
        if asked.phase != Phase::Keeping
            || !is_still && !matches!(asked.target, Target::Vertical { .. })
        {
            return;
        }
        let stubborn = match self.fault {
            Some(Fault::LevelBelief { .. }) => STUBBORN,
            Some(Fault::NotCorrected) => 0.0,
            _ => 1.0,
        };
        let most = MOST_BANDS * band;
        let per_s = match asked.target {
            Target::Vertical { .. } => -known.radps * rel_mps.clamp(-most, most),
            Target::Path(_) => LINE * known.radps * known.radps * missing_m.clamp(-most, most),
            _ => known.radps * known.radps * missing_m.clamp(-most, most),
        };
        self.belief += stubborn * LEARNS * known.lever_for(per_s) * dt_s;
    }
}
