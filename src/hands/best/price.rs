//! What a lever schedule would cost on a step or a rate: the cost of `score::points` told from coarse steps.

use super::model::Model;
use super::moves::{Mover, Moves};
use crate::drill::Kind;
use crate::sim::aircraft::Aircraft;
use crate::sim::dynamics::State;
use crate::sim::trim::{self, ThreeDegrees};
use crate::units::{FPM, TICK_S, TICKS_PER_S};

/// Vertical speed that `best` does not exceed on a step, m/s.
pub(super) const STEEPEST_MPS: f64 = 1000.0 * FPM;
/// Kept clear of it while searching in coarse steps, m/s.
const CLEARANCE_MPS: f64 = 4.0 * FPM;
/// What a second beyond it counts, s: a limit, not a price.
pub(super) const TOO_STEEP_S: f64 = 20.0;
/// A rate's errors cost a second for each of these.
const RATE_UNIT_MPS: f64 = 100.0 * FPM;
/// More than any captured leg costs, s.
pub(super) const MISSED_S: f64 = 1e5;

/// A step or a rate as the search sees it.
#[derive(Clone, Debug)]
pub(super) struct Asked {
    /// Altitude (m) or vertical speed (m/s).
    target: f64,
    is_altitude: bool,
    band: f64,
    /// From the start to the target, + up.
    pub direction: f64,
    /// Error that costs a second.
    unit: f64,
    steep_mps: f64,
    hold_s: f64,
    within_s: f64,
    /// The scale of its arithmetic.
    pub three: ThreeDegrees,
    /// Lever that holds the target for good.
    pub level: f64,
    /// How much of an unquiet end counts, s per 3 degrees of lever and rate.
    pub calm_s: f64,
    start: State,
    /// The lever at the start.
    pub lever: f64,
}

impl Asked {
    /// A step or a rate that begins in a state with a lever; None for other kinds.
    pub fn new(
        aircraft: &Aircraft,
        kind: &Kind,
        start: &State,
        lever: f64,
        calm_s: f64,
    ) -> Option<Asked> {
        let three = trim::three_degrees(aircraft, start.h_m);
        let (target, is_altitude, band, unit, hold_s, within_s) = match kind {
            Kind::Step(step) => (
                step.altitude_m,
                true,
                step.band_m,
                three.rate_mps,
                step.hold_s,
                step.within_s,
            ),
            Kind::Rate(rate) => (
                rate.vertical_mps,
                false,
                rate.band_mps,
                RATE_UNIT_MPS,
                rate.hold_s,
                rate.within_s,
            ),
            _ => return None,
        };
        let now = if is_altitude { start.h_m } else { start.vz_mps };
        let level = match is_altitude {
            true => trim::on_speed(aircraft, target, 0.0).lever,
            false => trim::at_vertical(aircraft, start.h_m, target).lever,
        };
        Some(Asked {
            target,
            is_altitude,
            band,
            direction: if target >= now { 1.0 } else { -1.0 },
            unit,
            steep_mps: match is_altitude {
                true => STEEPEST_MPS.min(1.5 * three.rate_mps),
                false => f64::INFINITY,
            },
            hold_s,
            within_s,
            three,
            level,
            calm_s,
            start: *start,
            lever,
        })
    }

    /// The change asked for, in the target's unit, not negative.
    pub fn change(&self) -> f64 {
        (self.target - self.value(&self.start)).abs()
    }

    /// Coarse steps of so many ticks that one trial takes, more or less.
    pub fn steps(&self, ticks: usize) -> usize {
        let way_s = match self.is_altitude {
            true => self.change() / self.three.rate_mps,
            false => 5.0,
        };
        ((way_s + self.hold_s) / (ticks as f64 * TICK_S)) as usize + 1
    }

    /// The vertical speed that is not too steep yet, in 3-degree rates.
    pub fn steepest(&self) -> f64 {
        self.steep_mps / self.three.rate_mps
    }

    /// Whether it is a step.
    pub fn is_step(&self) -> bool {
        self.is_altitude
    }

    fn value(&self, state: &State) -> f64 {
        match self.is_altitude {
            true => state.h_m,
            false => state.vz_mps,
        }
    }

    /// Ticks that it can last.
    pub fn longest_ticks(&self) -> usize {
        (((self.within_s + self.hold_s) * TICKS_PER_S as f64) as usize).max(1)
    }

    /// What the moves cost, s, given up as soon as it is sure to be above `hopeless`, for something above that; and the
    /// coarse steps it took.
    pub fn price(&self, model: &Model, moves: &Moves, hopeless: f64) -> (f64, usize) {
        let mut mover = Mover::new(moves, self.lever);
        let mut tally = Tally::new(self);
        let mut state = self.start;
        let mut last = 1000.0 * self.lever;
        let steps = self.longest_ticks().div_ceil(model.ticks) + 1;
        for step in 0..steps {
            let to_go_m = match self.is_altitude {
                true => self.direction * (self.target - state.h_m),
                false => f64::INFINITY,
            };
            let fall_m = self.direction * state.vz_mps * TICK_S;
            let lowest_m = to_go_m.min(to_go_m - fall_m * model.ticks as f64);
            let mean = match mover.rests(model.ticks as u64, lowest_m) {
                true => last,
                false => {
                    let mut sum = 0.0;
                    for tick in 0..model.ticks {
                        let lever = mover.next(to_go_m - fall_m * tick as f64);
                        tally.travel += (lever - last).abs();
                        last = lever;
                        sum += lever;
                    }
                    sum / model.ticks as f64
                }
            };
            state = model.fly(step, &state, mean / 1000.0);
            match tally.take(&state, model.step_s, hopeless) {
                Some(price) if price < MISSED_S => {
                    return (price + self.unquiet_s(&state, last / 1000.0), step + 1);
                }
                Some(price) => return (price, step + 1),
                None => {}
            }
        }
        (MISSED_S + tally.outside, steps)
    }

    fn unquiet_s(&self, state: &State, lever: f64) -> f64 {
        let settled_mps = if self.is_altitude { 0.0 } else { self.target };
        let off = (self.value(state) - self.target) / self.band;
        let motion = (state.vz_mps - settled_mps) / self.three.rate_mps;
        let power = (lever - self.level) / self.three.lever;
        self.calm_s * (off * off + motion * motion + power * power)
    }
}

/// A cost as it adds up.
struct Tally<'a> {
    asked: &'a Asked,
    t_s: f64,
    error: f64,
    /// Vertical speed, either way, m/s.
    speed_mps: f64,
    past: f64,
    travel: f64,
    steep_s: f64,
    too_steep_s: f64,
    /// Since when the stay runs, and its squared errors.
    stay: Option<(f64, f64, f64)>,
    /// Time outside the band by how far outside: what is left to compare where nothing is captured.
    outside: f64,
}

impl<'a> Tally<'a> {
    fn new(asked: &'a Asked) -> Tally<'a> {
        let error = asked.value(&asked.start) - asked.target;
        Tally {
            asked,
            t_s: 0.0,
            error,
            speed_mps: asked.start.vz_mps.abs(),
            past: 0.0,
            travel: 0.0,
            steep_s: 0.0,
            too_steep_s: 0.0,
            stay: (error.abs() <= asked.band).then_some((0.0, 0.0, 0.0)),
            outside: 0.0,
        }
    }

    /// Everything but the capture and the error in the stay.
    fn extras_s(&self) -> f64 {
        let asked = self.asked;
        self.past / asked.unit
            + 0.5 * 0.001 * self.travel / asked.three.lever
            + 2.0 * self.steep_s
            + TOO_STEEP_S * self.too_steep_s
    }

    /// Takes in the state a step later; the cost once it is known or beyond hope.
    fn take(&mut self, state: &State, step_s: f64, hopeless: f64) -> Option<f64> {
        let asked = self.asked;
        let (before, error) = (self.error, asked.value(state) - asked.target);
        self.t_s += step_s;
        self.error = error;
        self.past = self.past.max(asked.direction * error);
        if asked.is_altitude {
            let speed_mps = state.vz_mps.abs();
            let above = |limit_mps: f64| step_s * share_above(self.speed_mps, speed_mps, limit_mps);
            self.steep_s += above(asked.steep_mps);
            self.too_steep_s += above(STEEPEST_MPS - CLEARANCE_MPS);
            self.speed_mps = speed_mps;
        }
        if error.abs() <= asked.band {
            let (since_s, squares, count) = self.stay.unwrap_or_else(|| {
                let edge = asked.band * before.signum();
                let share = ((before - edge) / (before - error)).clamp(0.0, 1.0);
                (self.t_s - (1.0 - share) * step_s, 0.0, 0.0)
            });
            let (squares, count) = (squares + error * error, count + 1.0);
            self.stay = Some((since_s, squares, count));
            if self.t_s - since_s >= asked.hold_s {
                let rms = (squares / count).sqrt();
                return Some(since_s + rms / asked.unit + self.extras_s());
            }
        } else {
            self.stay = None;
            self.outside += step_s * (error.abs() / asked.band).min(100.0);
            if self.t_s > asked.within_s {
                return Some(MISSED_S + self.outside);
            }
        }
        let reached_s = self.stay.map_or(self.t_s, |stay| stay.0);
        let least_s = reached_s + self.extras_s();
        (least_s > hopeless).then(|| least_s + error.abs() / asked.unit)
    }
}

/// The share of a straight line from one value to another that lies above a limit.
fn share_above(from: f64, to: f64, limit: f64) -> f64 {
    let (low, high) = (from.min(to), from.max(to));
    if high <= limit {
        return 0.0;
    }
    if low >= limit {
        return 1.0;
    }
    (high - limit) / (high - low)
}
