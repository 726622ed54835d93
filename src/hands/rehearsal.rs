//! A step as someone has practised it in still air: how much power to go with, and how high above or below the number the
//! level-off begins so that the aeroplane stops on it.

use super::Travel;
use crate::sim::air::Wind;
use crate::sim::aircraft::Aircraft;
use crate::sim::dynamics::{State, step};
use crate::sim::stability;
use crate::sim::trim;
use crate::units::{DEG, TICKS_PER_S};

/// Step of the rehearsal, s: a sixteenth is fine enough, altitudes agree with 64 Hz within inches.
const DT_S: f64 = 1.0 / 16.0;
/// The times tried for the move past level power, s.
const PAST_S: [f64; 9] = [0.0, 0.75, 1.5, 2.25, 3.0, 3.75, 4.5, 5.5, 6.5];
/// Halvings of the height to go.
const HALVINGS: usize = 9;

/// Lever settings and the two landmarks of a practised step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rehearsal {
    /// +1 up, -1 down.
    pub way: f64,
    /// The lever it goes with.
    pub going: f64,
    /// The lever just past level power that stops it.
    pub past: f64,
    /// Level power at the number.
    pub level: f64,
    /// Height still to go when the level-off begins, m.
    pub to_go_m: f64,
    /// Vertical speed towards the number when the level-off begins, m/s.
    pub going_mps: f64,
    /// How long the lever stays past level power, ticks.
    pub past_ticks: u64,
}

/// How far the lever goes from level power for 3 degrees up (`way` 1) or down (-1), fraction of travel, above 0.
pub fn three_degree_lever(aircraft: &Aircraft, h_m: f64, way: f64) -> f64 {
    let level = trim::on_speed(aircraft, h_m, 0.0).lever;
    way * (trim::on_speed(aircraft, h_m, way * 3.0 * DEG).lever - level)
}

impl Rehearsal {
    /// Practises a step from level flight at an altitude in m by `change_m`, going with `going` and stopping with `past`
    /// times the lever of 3 degrees.
    pub fn of(aircraft: &Aircraft, h_m: f64, change_m: f64, going: f64, past: f64) -> Rehearsal {
        let way = change_m.signum();
        let level = trim::on_speed(aircraft, h_m + change_m, 0.0);
        let three = three_degree_lever(aircraft, h_m + change_m, way);
        let frequency = stability::swing(aircraft, h_m, &level).frequency_radps();
        let mut found = Rehearsal {
            way,
            going: (level.lever + way * going * three).clamp(0.02, 1.0),
            past: (level.lever - way * past * three).clamp(0.02, 1.0),
            level: level.lever,
            to_go_m: 0.0,
            going_mps: 0.0,
            past_ticks: 0,
        };
        let mut least_m = f64::INFINITY;
        for past_s in PAST_S {
            let tried = Rehearsal {
                past_ticks: (past_s * TICKS_PER_S as f64) as u64,
                ..found
            };
            let (to_go_m, flown) = tried.aimed(aircraft, h_m, change_m, 3.0 / frequency);
            if flown.swing_m < least_m {
                least_m = flown.swing_m;
                found = Rehearsal {
                    to_go_m,
                    going_mps: flown.going_mps,
                    ..tried
                };
            }
        }
        found
    }

    /// The height to go that makes it stop on the number, m, and the flight with it.
    fn aimed(&self, aircraft: &Aircraft, h_m: f64, change_m: f64, after_s: f64) -> (f64, Flown) {
        let (mut low_m, mut high_m) = (0.0, 0.95 * change_m.abs());
        let mut flown = Flown::default();
        for _ in 0..HALVINGS {
            let middle_m = 0.5 * (low_m + high_m);
            flown = self.fly(aircraft, h_m, change_m, middle_m, after_s);
            if flown.past_m > 0.0 {
                low_m = middle_m;
            } else {
                high_m = middle_m;
            }
        }
        (0.5 * (low_m + high_m), flown)
    }

    /// One flight, until `after_s` after it has first stopped.
    fn fly(
        &self,
        aircraft: &Aircraft,
        h_m: f64,
        change_m: f64,
        to_go_m: f64,
        after_s: f64,
    ) -> Flown {
        let still = Wind::default();
        let start = trim::on_speed(aircraft, h_m, 0.0);
        let mut state = State::on_speed(aircraft, h_m, start.speed_mps, 0.0, start.engine, &still);
        let travel = Travel {
            per_tick: 0.4 * DT_S,
        };
        let mut lever = start.lever;
        let past_steps = (self.past_ticks as f64 / TICKS_PER_S as f64 / DT_S) as usize;
        let mut level_off: Option<usize> = None;
        let mut stopped: Option<usize> = None;
        let mut flown = Flown::default();
        let after = (after_s / DT_S) as usize;
        for now in 0..(150.0 / DT_S) as usize {
            let missing_m = self.way * (h_m + change_m - state.h_m);
            if level_off.is_none() && missing_m <= to_go_m {
                level_off = Some(now);
                flown.going_mps = self.way * state.vz_mps;
            }
            let wanted = match level_off {
                None => self.going,
                Some(at) if now < at + past_steps => self.past,
                Some(_) => self.level,
            };
            if let Some(next) = travel.next(lever, wanted) {
                lever = f64::from(next) / 1000.0;
            }
            match (level_off, stopped) {
                (Some(at), None) if self.way * state.vz_mps <= 0.0 || now > at + 2 * after => {
                    stopped = Some(now);
                    flown.past_m = -missing_m;
                }
                (_, Some(at)) => {
                    flown.swing_m = flown.swing_m.max(missing_m.abs());
                    if now > at + after {
                        break;
                    }
                }
                _ => {}
            }
            state = step(aircraft, &state, lever, &still, DT_S);
        }
        flown
    }
}

/// What came of one flight of a rehearsal.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Flown {
    /// How far past the number it stopped first, m; negative short of it.
    past_m: f64,
    /// The largest error after that, m.
    swing_m: f64,
    /// Vertical speed towards the number when the level-off began, m/s.
    going_mps: f64,
}
