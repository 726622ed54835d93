//! `Faulty`: a synthetic learner with one planted flaw, for showing what a fault looks like and for proving that the debrief
//! names it. Without a flaw it is the clean twin of the flawed one.
//!
//! The learner flies a step as it was practised ([`Practised`]): power to go, the level-off at a height to go, a little past
//! level power and back, and after a while small corrections as `steady` makes them. It sees what every hand sees.

use std::collections::VecDeque;

use super::steady::{Steady, Traits};
use super::{Hand, Sight};
use crate::drill::{Drill, Kind, Step, Target};
use crate::plan::recipe::half_percent;
use crate::plan::still::Flight;
use crate::plan::{self, Setting, three_degree_lever};
use crate::run::Travel;
use crate::sim::air::AirSpec;
use crate::sim::air::noise::{Noise, Stream};
use crate::sim::trim;
use crate::units::{FT, TICK_S, TICKS_PER_S};

/// How far back what was seen is remembered, ticks.
const SEEN_TICKS: usize = 64;

/// A step is practised for a stay of this, and over by then, s.
const STAY_S: f64 = 20.0;
const LONGEST_S: f64 = 150.0;

/// What a learner does wrong, wherever there is room for it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Flaw {
    /// The level-off begins so many seconds late; early where negative.
    LevelOff {
        /// s.
        late_s: f64,
    },
    /// The level-off begins at the number itself.
    NoLead,
    /// The power to go with is so many times the learner's own, and the lead stays what it was.
    Going {
        /// Ratio.
        times: f64,
    },
    /// The lever goes past level power for the level-off and is not brought back until the error shows.
    SecondMoveMissing,
    /// The lever is pushed to and fro about where it belongs.
    Pumping {
        /// Half of the swing, fraction of travel.
        swing: f64,
    },
    /// Level power is believed to be so much more than it is, and that is unlearned slowly.
    LevelPower {
        /// Fraction of travel, + too much.
        off: f64,
    },
    /// On a path, the power for the descent comes off so many seconds late; early where negative.
    Descent {
        /// s.
        late_s: f64,
    },
}

/// What makes one learner differ from another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Learner {
    /// Power to go with over that of 3 degrees.
    pub going: f64,
    /// Power past level in the level-off over that of 3 degrees.
    pub past: f64,
    /// Largest of the small aimless moves, fraction of travel.
    pub nibble: f64,
    /// Mean time between them, ticks.
    pub nibble_ticks: f64,
    /// From a task's start to the first move, ticks.
    pub reaction_ticks: u64,
    /// From the last move of the level-off to the first correction, ticks.
    pub patience_ticks: u64,
    /// Half a period of pumping, ticks, for those who pump.
    pub pump_ticks: u64,
    /// Time in which half of a wrong belief about level power is unlearned, ticks.
    pub unlearning_ticks: u64,
    /// How it corrects.
    pub traits: Traits,
    /// Of its small moves.
    pub seed: u64,
}

impl Default for Learner {
    fn default() -> Self {
        Learner {
            going: 1.0,
            past: 0.5,
            nibble: 0.005,
            nibble_ticks: 4.0 * TICKS_PER_S as f64,
            reaction_ticks: TICKS_PER_S / 2,
            patience_ticks: 4 * TICKS_PER_S,
            pump_ticks: TICKS_PER_S,
            unlearning_ticks: 12 * TICKS_PER_S,
            traits: Traits::default(),
            seed: 0,
        }
    }
}

impl Learner {
    /// One who lets a flaw be seen: waits long before correcting it, and unlearns nothing.
    pub fn showing() -> Learner {
        Learner {
            past: 0.8,
            nibble: 0.0,
            patience_ticks: 8 * TICKS_PER_S,
            unlearning_ticks: 120 * TICKS_PER_S,
            ..Learner::default()
        }
    }

    /// One of a population: going power 0.75 to 1.4 of the 3-degree lever, reactions 0.3 to 1 s, small moves up to 1.2 %.
    pub fn drawn(seed: u64) -> Learner {
        let mut noise = Noise::new(seed, Stream::Learner);
        let mut between = |low: f64, high: f64| low + (high - low) * noise.share();
        let ticks = |s: f64| (s * TICKS_PER_S as f64) as u64;
        let traits = Traits::default();
        Learner {
            going: between(0.75, 1.4),
            past: between(0.3, 0.7),
            nibble: between(0.002, 0.012),
            nibble_ticks: between(2.0, 5.0) * TICKS_PER_S as f64,
            reaction_ticks: ticks(between(0.3, 1.0)),
            patience_ticks: ticks(between(2.0, 6.0)),
            pump_ticks: ticks(between(0.7, 1.5)),
            unlearning_ticks: ticks(between(8.0, 16.0)),
            traits: Traits {
                reaction_ticks: (ticks(between(0.25, 0.5)), ticks(0.6)),
                height_gain: traits.height_gain * between(0.85, 1.15),
                speed_gain: traits.speed_gain * between(0.85, 1.1),
                ..traits
            },
            seed: seed ^ 0x5ee,
        }
    }
}

/// A step as someone has practised it in still air.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Practised {
    /// +1 up, -1 down.
    way: f64,
    /// The lever it goes with.
    going: f64,
    /// The lever just past level power that stops it.
    past: f64,
    /// Level power at the number.
    level: f64,
    /// Height still to go when the level-off begins, m.
    to_go_m: f64,
    /// Vertical speed towards the number then, m/s.
    going_mps: f64,
    /// How long the lever stays past level power, ticks.
    past_ticks: u64,
}

impl Practised {
    /// The planner's step for the levers a learner goes and stops with, from level flight.
    fn of(drill: &Drill, sight: &Sight, change_m: f64, learner: &Learner) -> Practised {
        let (aircraft, way) = (&drill.aircraft, change_m.signum());
        let from = trim::on_speed(aircraft, sight.altitude_m, 0.0);
        let level = trim::on_speed(aircraft, sight.altitude_m + change_m, 0.0);
        let three = three_degree_lever(aircraft, sight.altitude_m + change_m, way);
        let lever =
            |threes: f64| half_percent((level.lever + way * threes * three).clamp(0.02, 1.0));
        let (going, past) = (lever(learner.going), lever(-learner.past));
        let step = Step {
            altitude_m: sight.altitude_m + change_m,
            band_m: match sight.target {
                Target::Altitude { band_m, .. } => band_m,
                _ => change_m.abs(),
            },
            hold_s: STAY_S,
            within_s: LONGEST_S,
        };
        let still = Setting {
            aircraft,
            air: &AirSpec::default(),
            aim: None,
        };
        let mut flight = Flight::steady(aircraft, sight.altitude_m, &from);
        let begin = (flight.state(), from.lever, 0);
        let moves = plan::of_step_with(&still, &Kind::Step(step), begin, (going, past));
        let to_go_m = moves.get(1).map_or(0.0, |m| m.value * FT);
        flight.set_lever(going);
        while way * (sight.altitude_m + change_m - flight.state().h_m) > to_go_m
            && (flight.ticks() as f64) < LONGEST_S * TICKS_PER_S as f64
        {
            flight.tick();
        }
        Practised {
            way,
            going,
            past,
            level: level.lever,
            to_go_m,
            going_mps: way * flight.state().vz_mps,
            past_ticks: moves
                .get(2)
                .map_or(0, |m| (m.value * TICKS_PER_S as f64) as u64),
        }
    }
}

/// Where the learner is in a step. Times are ticks.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Phase {
    /// The task has been seen, nothing done yet.
    Waiting { until: u64 },
    /// On the way.
    Going,
    /// The moment for the level-off has passed.
    Late { until: u64 },
    /// Past level power.
    Past { until: u64 },
    /// Back at level power.
    Level { until: u64 },
    /// Correcting.
    Correcting,
}

/// The hand.
#[derive(Clone, Debug)]
pub struct Faulty {
    drill: Drill,
    learner: Learner,
    flaw: Option<Flaw>,
    noise: Noise,
    target: Option<Target>,
    plan: Option<Practised>,
    phase: Phase,
    /// Small aimless move in force, and when the next comes.
    nibble: (f64, u64),
    /// Since when a wrong belief about level power is being unlearned, or the lever pumped.
    wrong_since: Option<u64>,
    /// When the last level-off began, tick.
    levelled_off: Option<u64>,
    /// What was seen lately.
    seen: VecDeque<Sight>,
    /// Who corrects, and the lever as it thinks it is.
    corrector: Option<(Steady, f64)>,
}

impl Faulty {
    /// A learner who knows the aeroplane of a drill; the clean twin where there is no flaw.
    pub fn new(drill: &Drill, learner: Learner, flaw: Option<Flaw>) -> Faulty {
        Faulty {
            drill: drill.clone(),
            noise: Noise::new(learner.seed, Stream::Learner),
            learner,
            flaw,
            target: None,
            plan: None,
            phase: Phase::Correcting,
            nibble: (0.0, 0),
            wrong_since: None,
            levelled_off: None,
            seen: VecDeque::new(),
            corrector: None,
        }
    }

    /// When its last level-off began, tick.
    pub fn levelled_off(&self) -> Option<u64> {
        self.levelled_off
    }

    /// Meets a task: a step is planned, anything else corrected.
    fn meet(&mut self, sight: &Sight) {
        self.target = Some(sight.target);
        let Target::Altitude { altitude_m, band_m } = sight.target else {
            self.correct(sight);
            return;
        };
        let change_m = altitude_m - sight.altitude_m;
        if change_m.abs() <= band_m {
            self.correct(sight);
            return;
        }
        let learner = &self.learner;
        let mut plan = Practised::of(&self.drill, sight, change_m, learner);
        match self.flaw {
            Some(Flaw::Going { times }) => {
                plan.going = (plan.level + times * (plan.going - plan.level)).clamp(0.02, 1.0);
            }
            Some(Flaw::NoLead) => plan.to_go_m = 0.0,
            _ => {}
        }
        self.plan = Some(plan);
        self.wrong_since = None;
        self.phase = Phase::Waiting {
            until: sight.tick + learner.reaction_ticks,
        };
    }

    /// Begins to correct, unless it does already.
    fn correct(&mut self, sight: &Sight) {
        if self.phase != Phase::Correcting || self.corrector.is_none() {
            let mut steady = Steady::with(&self.drill, self.learner.traits);
            for seen in &self.seen {
                steady.watch(seen);
            }
            self.corrector = Some((steady, sight.lever - self.wrong(sight.tick)));
        }
        self.phase = Phase::Correcting;
        self.wrong_since.get_or_insert(sight.tick);
    }

    /// How wrong the lever is for the flaw's sake, where it belongs to what comes after the level-off.
    fn wrong(&self, tick: u64) -> f64 {
        let Some(since) = self.wrong_since else {
            return 0.0;
        };
        let ticks = tick - since;
        match self.flaw {
            Some(Flaw::LevelPower { off }) => {
                let halvings = (ticks / self.learner.unlearning_ticks).min(30) as u32;
                off / f64::from(1_u32 << halvings)
            }
            Some(Flaw::Pumping { swing }) => {
                let is_even = (ticks / self.learner.pump_ticks).is_multiple_of(2);
                if is_even { swing } else { -swing }
            }
            _ => 0.0,
        }
    }

    /// Whether the level-off begins now or is due to.
    fn level_off(&self, plan: &Practised, sight: &Sight, altitude_m: f64) -> Option<Phase> {
        let to_go_m = plan.way * (altitude_m - sight.altitude_m);
        let late_s = match self.flaw {
            Some(Flaw::LevelOff { late_s }) => late_s,
            _ => 0.0,
        };
        // The lead goes with the vertical speed; who goes with the wrong power keeps the usual one.
        let going_mps = plan.way * self.vertical_mps();
        let lead_m = match self.flaw {
            Some(Flaw::Going { .. }) => plan.to_go_m,
            _ => plan.to_go_m * (going_mps / plan.going_mps.max(0.1)).clamp(0.5, 1.5),
        };
        let early_m = (going_mps * -late_s).max(0.0);
        (to_go_m - early_m <= lead_m).then(|| Phase::Late {
            until: sight.tick + (late_s.max(0.0) / TICK_S).round() as u64,
        })
    }

    /// Vertical speed as it was lately, m/s.
    fn vertical_mps(&self) -> f64 {
        let seen = self.seen.iter().map(|sight| sight.vertical_mps);
        seen.sum::<f64>() / self.seen.len().max(1) as f64
    }

    /// Moves on to the phase that holds at a tick.
    fn advance(&mut self, sight: &Sight) {
        let (Some(plan), Some(Target::Altitude { altitude_m, .. })) = (self.plan, self.target)
        else {
            return;
        };
        let tick = sight.tick;
        match self.phase {
            Phase::Waiting { until } if tick >= until => self.phase = Phase::Going,
            Phase::Going => {
                if let Some(phase) = self.level_off(&plan, sight, altitude_m) {
                    self.phase = phase;
                    self.advance(sight);
                }
            }
            Phase::Late { until } if tick >= until => {
                let more = match self.flaw {
                    Some(Flaw::SecondMoveMissing) => self.learner.patience_ticks,
                    _ => 0,
                };
                self.levelled_off = Some(tick);
                self.phase = Phase::Past {
                    until: tick + plan.past_ticks + more,
                };
            }
            Phase::Past { until } if tick >= until => match self.flaw {
                Some(Flaw::SecondMoveMissing) => self.correct(sight),
                _ => {
                    self.wrong_since = Some(tick);
                    self.phase = Phase::Level {
                        until: tick + self.learner.patience_ticks,
                    };
                }
            },
            Phase::Level { until } if tick >= until => self.correct(sight),
            _ => {}
        }
    }

    /// The small aimless move in force.
    fn nibble(&mut self, tick: u64) -> f64 {
        if tick >= self.nibble.1 {
            let size = (2.0 * self.noise.share() - 1.0) * self.learner.nibble;
            let wait = (0.5 + self.noise.share()) * self.learner.nibble_ticks;
            self.nibble = (size, tick + wait as u64);
        }
        self.nibble.0
    }
}

impl Hand for Faulty {
    fn lever(&mut self, sight: &Sight) -> Option<u16> {
        if self.target != Some(sight.target) {
            self.meet(sight);
        }
        self.advance(sight);
        self.seen.push_back(*sight);
        if self.seen.len() > SEEN_TICKS {
            self.seen.pop_front();
        }
        let nibble = self.nibble(sight.tick);
        let wrong = self.wrong(sight.tick);
        let wanted = match (self.phase, self.plan) {
            (Phase::Waiting { .. }, _) => return None,
            (Phase::Going | Phase::Late { .. }, Some(plan)) => plan.going + nibble,
            (Phase::Past { .. }, Some(plan)) => plan.past,
            (Phase::Level { .. }, Some(plan)) => plan.level + nibble + wrong,
            _ => {
                let (steady, lever) = self.corrector.as_mut()?;
                let seen = Sight {
                    lever: *lever,
                    ..*sight
                };
                if let Some(next) = steady.lever(&seen) {
                    *lever = f64::from(next) / 1000.0;
                }
                *lever + wrong
            }
        };
        let travel = Travel::per_s(0.4);
        travel.next(sight.lever, wanted.clamp(0.0, 1.0))
    }
}
