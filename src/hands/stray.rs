//! `Stray`: a fault shown on what is no step. A hold, a rate and a path are flown as `steady` flies them, but for the fault:
//! a power that is believed in and left alone until the aeroplane is plainly off, a first move too large or too small, a
//! descent begun at the wrong time, a lever that is pumped.

use std::collections::VecDeque;

use super::faulty::{Flaw, Learner};
use super::steady::Steady;
use super::{Hand, Sight};
use crate::drill::{Drill, Kind, Target};
use crate::plan::three_degree_lever;
use crate::run::Travel;
use crate::sim::math::tan;
use crate::sim::stability;
use crate::sim::trim;
use crate::units::{TICK_S, TICKS_PER_S};

/// Flown well for so long before the lever is put wrong, ticks, on a path for less; at most so many times that, where it is
/// never quite on.
const WELL_TICKS: u64 = 7 * TICKS_PER_S;
const WELL_ON_PATH_TICKS: u64 = 3 * TICKS_PER_S;
const WELL_TIMES: u64 = 3;
/// On: error over the half-width of the band.
const ON: f64 = 0.6;
/// The lever is left wrong until the error is so much of the band, and no longer than this, ticks.
const OFF: f64 = 1.3;
const LEFT_TICKS: u64 = 40 * TICKS_PER_S;
/// The first move of a rate or a descent is left alone for so long, and until a path counts and a little longer.
const FIRST_TICKS: u64 = 8 * TICKS_PER_S;
const DESCENT_TICKS: u64 = 4 * TICKS_PER_S;
const COUNTING_TICKS: f64 = (6 * TICKS_PER_S) as f64;
/// A correction that is not taken back, over the lever of 3 degrees.
const NOT_TAKEN_BACK: f64 = 0.5;
/// Nothing is shown in the last part of a path, over what counts of it.
const LANDING: f64 = 0.3;
/// On a path the descent has begun with this share of its sink.
const DESCENDING: f64 = 0.6;
/// Who pumps corrects what was seen so long ago, ticks, and so much of the band a phugoid radian.
const PUMP_LATE_TICKS: usize = 3 * TICKS_PER_S as usize;
const PUMP_SHARE: f64 = 0.8;

/// What the hand is at. Times are ticks.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Phase {
    /// Flies well.
    Well { since: u64 },
    /// Level, before the path comes down to it.
    Coming,
    /// The task has been seen, nothing done yet.
    Waiting { until: u64 },
    /// The lever is left where it is put.
    Left { lever: f64, until: u64 },
    /// Pumping.
    Pumping { since: u64 },
}

/// The hand.
#[derive(Clone, Debug)]
pub struct Stray {
    drill: Drill,
    learner: Learner,
    flaw: Flaw,
    /// Whether holds are what the drill is about.
    on_holds: bool,
    phase: Phase,
    target: Option<Target>,
    /// Whether the fault has been shown in the task.
    has_strayed: bool,
    /// Altitude at which the task was met, m.
    from_m: f64,
    steady: Steady,
    /// Errors seen lately, over the half-width of the band.
    shares: VecDeque<f64>,
}

impl Stray {
    /// One with a flaw, for a drill.
    pub fn new(drill: &Drill, learner: Learner, flaw: Flaw) -> Stray {
        let is_hold = |kind: &Kind| matches!(kind, Kind::Hold(_));
        Stray {
            drill: drill.clone(),
            learner,
            flaw,
            on_holds: drill.tasks.iter().all(|task| is_hold(&task.kind)),
            phase: Phase::Well { since: 0 },
            target: None,
            has_strayed: false,
            from_m: 0.0,
            steady: Steady::with(drill, learner.traits),
            shares: VecDeque::new(),
        }
    }

    fn meet(&mut self, sight: &Sight) {
        self.target = Some(sight.target);
        self.from_m = sight.altitude_m;
        self.shares.clear();
        self.has_strayed = false;
        self.phase = match (sight.target, self.flaw) {
            (Target::Path(_), _) => Phase::Coming,
            (Target::Vertical { .. }, Flaw::Going { .. }) => Phase::Waiting {
                until: sight.tick + self.learner.reaction_ticks,
            },
            _ => Phase::Well { since: sight.tick },
        };
    }

    /// Lever that keeps a vertical speed.
    fn lever_for(&self, sight: &Sight, vertical_mps: f64) -> f64 {
        trim::at_vertical(&self.drill.aircraft, sight.altitude_m, vertical_mps).lever
    }

    /// Vertical speed that keeps what is asked, m/s.
    fn right_mps(sight: &Sight) -> f64 {
        match (&sight.target, sight.approach) {
            (Target::Vertical { vertical_mps, .. }, _) => *vertical_mps,
            (Target::Path(glide), Some((_, closure_mps))) => -closure_mps * tan(glide.slope_rad),
            _ => 0.0,
        }
    }

    /// Error over the half-width of the band, + above.
    fn share(sight: &Sight) -> f64 {
        match (&sight.target, sight.approach) {
            (Target::Altitude { altitude_m, band_m }, _) => {
                (sight.altitude_m - altitude_m) / band_m
            }
            (
                Target::Vertical {
                    vertical_mps,
                    band_mps,
                },
                _,
            ) => (sight.vertical_mps - vertical_mps) / band_mps,
            (Target::Path(glide), Some((distance_m, _))) => {
                (sight.altitude_m - glide.altitude_m(distance_m)) / glide.half_width_m(distance_m)
            }
            (Target::Path(_), None) => 0.0,
        }
    }

    /// Whether this is what the fault is to be seen on now.
    fn is_stage(&self, sight: &Sight) -> bool {
        match (&sight.target, sight.approach) {
            (Target::Altitude { .. }, _) => self.on_holds,
            (Target::Vertical { .. }, _) => true,
            (Target::Path(glide), Some((distance_m, _))) => {
                let is_shown = !matches!(self.phase, Phase::Well { .. });
                distance_m > LANDING * glide.from_m
                    && (is_shown || sight.vertical_mps < DESCENDING * Stray::right_mps(sight))
            }
            (Target::Path(_), None) => false,
        }
    }

    /// How far the lever is put wrong, fraction of travel.
    fn wrong(&self, sight: &Sight) -> f64 {
        let three = three_degree_lever(&self.drill.aircraft, sight.altitude_m, -1.0);
        let side = Stray::share(sight).signum();
        match (self.flaw, sight.target) {
            // Once, and to the side on which it is off already, so that no gust hides it.
            (Flaw::LevelPower { off }, Target::Path(_)) => side * off.abs(),
            (Flaw::LevelPower { off }, _) => off,
            (Flaw::SecondMoveMissing, _) => -NOT_TAKEN_BACK * side * three,
            _ => 0.0,
        }
    }

    /// The first move of a rate or a descent.
    fn first_move(&self, sight: &Sight, from: f64) -> f64 {
        let right = self.lever_for(sight, Stray::right_mps(sight));
        match self.flaw {
            Flaw::Going { times } => from + times * (right - from),
            _ => right,
        }
    }

    /// Whether the descent is begun now: with the lead that the power takes to be felt, but for the fault.
    fn is_descent(&self, sight: &Sight) -> bool {
        let (Target::Path(glide), Some((distance_m, closure_mps))) =
            (&sight.target, sight.approach)
        else {
            return false;
        };
        let late_s = match self.flaw {
            Flaw::Descent { late_s } => late_s,
            _ => 0.0,
        };
        let ahead_m = closure_mps * (self.lag_s(sight.altitude_m) - late_s);
        glide.altitude_m(distance_m - ahead_m) <= self.from_m
    }

    /// Ticks until a path has counted for a little while; 0 on what is no path.
    fn counting_ticks(&self, sight: &Sight) -> u64 {
        match (&sight.target, sight.approach) {
            (Target::Path(glide), Some((distance_m, closure_mps))) if closure_mps > 0.0 => {
                let ticks = (distance_m - glide.from_m) / closure_mps / TICK_S + COUNTING_TICKS;
                ticks.max(0.0) as u64
            }
            _ => 0,
        }
    }

    /// How late vertical speed follows the lever on average, s.
    fn lag_s(&self, h_m: f64) -> f64 {
        let aircraft = &self.drill.aircraft;
        let level = trim::on_speed(aircraft, h_m, 0.0);
        let swing = stability::swing(aircraft, h_m, &level);
        2.0 * swing.damping / swing.frequency_radps() + aircraft.engine.answer_s(level.engine)
    }

    fn advance(&mut self, sight: &Sight) {
        let tick = sight.tick;
        let share = Stray::share(sight);
        let well = match sight.target {
            Target::Path(_) => WELL_ON_PATH_TICKS,
            _ => WELL_TICKS,
        };
        if sight.is_down || sight.is_called {
            self.phase = Phase::Well { since: tick };
            return;
        }
        self.phase = match self.phase {
            Phase::Coming if self.is_descent(sight) => Phase::Left {
                lever: self.first_move(sight, self.lever_for(sight, 0.0)),
                until: match self.flaw {
                    Flaw::Going { .. } => tick + LEFT_TICKS,
                    Flaw::Descent { .. } => tick + FIRST_TICKS.max(self.counting_ticks(sight)),
                    _ => tick + DESCENT_TICKS,
                },
            },
            Phase::Waiting { until } if tick >= until => Phase::Left {
                lever: self.first_move(sight, self.lever_for(sight, sight.vertical_mps)),
                until: tick + FIRST_TICKS,
            },
            Phase::Left { until, .. } => {
                let is_seen = match self.flaw {
                    Flaw::LevelPower { .. } | Flaw::SecondMoveMissing => {
                        share.abs() > OFF || !self.is_stage(sight)
                    }
                    Flaw::Going { .. } => {
                        self.counting_ticks(sight) < COUNTING_TICKS as u64
                            && matches!(sight.target, Target::Path(_))
                            && share.abs() > OFF
                    }
                    _ => false,
                };
                match tick >= until || is_seen {
                    true => self.well(sight),
                    false => return,
                }
            }
            Phase::Well { since } if self.is_stage(sight) => match self.flaw {
                Flaw::Pumping { .. } => Phase::Pumping { since: tick },
                Flaw::LevelPower { .. } | Flaw::SecondMoveMissing
                    if (self.on_holds || !self.has_strayed)
                        && tick >= since + well
                        && (share.abs() < ON || tick >= since + WELL_TIMES * well) =>
                {
                    self.has_strayed = true;
                    Phase::Left {
                        lever: self.lever_for(sight, Stray::right_mps(sight)) + self.wrong(sight),
                        until: tick + LEFT_TICKS,
                    }
                }
                _ => return,
            },
            Phase::Pumping { .. } if !self.is_stage(sight) => self.well(sight),
            _ => return,
        };
    }

    /// Takes up flying well.
    fn well(&mut self, sight: &Sight) -> Phase {
        self.steady = Steady::with(&self.drill, self.learner.traits);
        self.steady.watch(sight);
        Phase::Well { since: sight.tick }
    }

    /// To and fro about a power that answers too late what was seen, so that the swing is fed.
    fn pumped(&self, sight: &Sight, since: u64, swing: f64) -> f64 {
        let aircraft = &self.drill.aircraft;
        let level = trim::on_speed(aircraft, sight.altitude_m, 0.0);
        let per_s = stability::swing(aircraft, sight.altitude_m, &level).frequency_radps();
        let band = match (&sight.target, sight.approach) {
            (Target::Path(glide), Some((distance_m, _))) => glide.half_width_m(distance_m),
            (Target::Altitude { band_m, .. }, _) => *band_m,
            _ => 0.0,
        };
        let late = self.shares.front().map_or(0.0, |share| share.signum());
        let wanted_mps = Stray::right_mps(sight) - late * PUMP_SHARE * band * per_s;
        let is_even = ((sight.tick - since) / self.learner.pump_ticks).is_multiple_of(2);
        self.lever_for(sight, wanted_mps) + if is_even { swing } else { -swing }
    }
}

impl Hand for Stray {
    fn lever(&mut self, sight: &Sight) -> Option<u16> {
        if self.target != Some(sight.target) {
            self.meet(sight);
        }
        self.shares.push_back(Stray::share(sight));
        if self.shares.len() > PUMP_LATE_TICKS {
            self.shares.pop_front();
        }
        self.advance(sight);
        let wanted = match (self.phase, self.flaw) {
            (Phase::Left { lever, .. }, _) => lever,
            (Phase::Pumping { since }, Flaw::Pumping { swing }) => self.pumped(sight, since, swing),
            (Phase::Waiting { .. }, _) => return None,
            (Phase::Coming, _) => {
                return self.steady.lever(&Sight {
                    target: Target::Altitude {
                        altitude_m: self.from_m,
                        band_m: 1.0,
                    },
                    approach: None,
                    ..*sight
                });
            }
            _ => return self.steady.lever(sight),
        };
        let travel = Travel::per_s(0.4);
        travel.next(sight.lever, wanted.clamp(0.0, 1.0))
    }
}
