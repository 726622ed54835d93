//! What a lever schedule would cost: the law of `score::cost` applied to coarse steps.
//!
//! Good for comparing levers, not for the record: whatever is found with it is flown in the real world afterwards.

use super::ahead::Model;
use super::asked::{Asked, Capture, Goal};
use super::recipe::{Seen, When};
use crate::drill::Glide;
use crate::score::cost::{FREE_SINK, LEVER_S, QUIET_S, SINK, STEEP_S, TOUCHDOWN};
use crate::score::scene::STEEPEST_MPS;
use crate::sim::dynamics::State;
use crate::sim::math::tan;
use crate::sim::slowing::Slowing;
use crate::units::FPM;
use crate::units::FT;

/// How far below the steepest vertical speed to stay while searching in coarse steps, m/s.
const CLEARANCE_MPS: f64 = 4.0 * FPM;
/// More than any captured leg costs, s, ft or shares.
pub const MISSED: f64 = 1e5;

/// Whatever moves the lever while a schedule is tried.
pub trait Levers {
    /// The lever for the coming tick, thousandths.
    fn next(&mut self, seen: &Seen) -> f64;
    /// Returns true, and passes over the ticks from `seen` to before `later` at once, where nothing
    /// moves in them; false where something may move.
    fn rests(&mut self, seen: &Seen, later: &Seen) -> bool;
}
/// The result of a trial.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Priced {
    /// Its cost or, where it captures nothing, a measure of how far from that it is, at least [`MISSED`].
    pub cost: f64,
    /// Coarse steps it took.
    pub steps: usize,
}

impl Asked {
    /// What a schedule costs. It is given up as soon as it is sure to be above `hopeless`; the result is then above that, too.
    pub fn price(&self, model: &Model, levers: &mut impl Levers, hopeless: f64) -> Priced {
        let mut tally = Tally::new(self, model.step_s);
        let mut state = self.start;
        let mut last = 1000.0 * self.lever;
        let mut slowing = (self.cue == When::FastKt).then(|| Slowing::new(self.start.h_m));
        let steps = self.longest_ticks().div_ceil(model.ticks) + 1;
        let mut before = None;
        for step in 0..steps {
            let ticks = (step * model.ticks) as u64;
            let wind = model.wind(step, &state);
            let to_go = self.to_go(&state, ticks, &wind);
            // What will be seen is extrapolated from the last step.
            let gone = to_go - before.replace(to_go).unwrap_or(to_go);
            let ahead = |later: usize| Seen {
                ticks: ticks + later as u64,
                to_go: to_go + later as f64 / model.ticks as f64 * gone,
            };
            let mut travel = 0.0;
            let mean = match levers.rests(&ahead(0), &ahead(model.ticks)) {
                true => last,
                false => {
                    let mut sum = 0.0;
                    for tick in 0..model.ticks {
                        let lever = levers.next(&ahead(tick));
                        travel += (lever - last).abs();
                        last = lever;
                        sum += lever;
                    }
                    sum / model.ticks as f64
                }
            };
            let was_slow = slowing.is_none_or(|slowing| slowing.slow_tick().is_some());
            state = model.fly_slowing(step, &state, mean / 1000.0, &wind, &mut slowing);
            // How far from slow it still is, where that prevents a stay.
            let fast_mps = (!was_slow).then(|| to_go.max(0.0));
            let priced = tally.take((&state, fast_mps), 0.001 * travel, model, step, hopeless);
            if let Some(cost) = priced {
                let unquiet = if cost < MISSED {
                    self.unquiet_s(&state, last / 1000.0)
                } else {
                    0.0
                };
                return Priced {
                    cost: cost + unquiet,
                    steps: step + 1,
                };
            }
        }
        Priced {
            cost: MISSED + tally.outside,
            steps,
        }
    }
}

/// A cost while it adds up.
struct Tally<'a> {
    asked: &'a Asked,
    t_s: f64,
    error: f64,
    /// Magnitude of the vertical speed, m/s.
    speed_mps: f64,
    past: f64,
    /// Largest error on the other side, in slowing in.
    other: f64,
    /// Lever moved, fraction of travel.
    travel: f64,
    steep_s: f64,
    too_steep_s: f64,
    /// When the stay began, and its errors.
    stay: Option<f64>,
    errors: Vec<f64>,
    /// How many of the latest errors make up a stay.
    counted: usize,
    /// Sum of the squares of the errors that count if it captures now.
    squares: f64,
    /// Number of steps whose errors count, in a hold or a path.
    count: f64,
    /// Distance to the aim point and height above the deck at the end of the last step, m.
    over: (f64, f64),
    /// Time outside the band, weighted by how far outside: the only comparison where nothing is captured.
    outside: f64,
}

impl<'a> Tally<'a> {
    fn new(asked: &'a Asked, step_s: f64) -> Tally<'a> {
        let error = asked.value(&asked.start) - asked.target;
        let (is_inside, counted) = match &asked.goal {
            Goal::Capture(capture) => (
                error.abs() <= capture.band && asked.cue != When::FastKt,
                (capture.hold_s / step_s).ceil() as usize,
            ),
            _ => (false, 0),
        };
        Tally {
            asked,
            t_s: 0.0,
            error,
            speed_mps: asked.start.vz_mps.abs(),
            past: 0.0,
            other: 0.0,
            travel: 0.0,
            steep_s: 0.0,
            too_steep_s: 0.0,
            stay: is_inside.then_some(0.0),
            errors: Vec::new(),
            counted: counted.max(1),
            squares: 0.0,
            count: 0.0,
            over: (f64::INFINITY, f64::INFINITY),
            outside: 0.0,
        }
    }

    /// Takes in the state one step later, which moved the lever by `travel`; returns the cost once it is known or hopeless.
    fn take(
        &mut self,
        (state, fast_mps): (&State, Option<f64>),
        travel: f64,
        model: &Model,
        step: usize,
        hopeless: f64,
    ) -> Option<f64> {
        self.t_s += model.step_s;
        match self.asked.goal {
            Goal::Capture(capture) => {
                self.travel += travel;
                self.capture(&capture, (state, fast_mps), model.step_s, hopeless)
            }
            Goal::Hold(seconds) => {
                self.travel += travel;
                let error_ft = (state.h_m - self.asked.target) / FT;
                self.squares += error_ft * error_ft;
                self.count += 1.0;
                let so_far = (self.squares * model.step_s / seconds).sqrt();
                if self.t_s + 0.5 * model.step_s >= seconds {
                    let rms_ft = (self.squares / self.count).sqrt();
                    return Some(rms_ft + self.quiet_ft(seconds));
                }
                (so_far > hopeless).then_some(so_far)
            }
            Goal::Path(glide) => {
                let tick = self.asked.from_tick + ((step + 1) * model.ticks) as u64;
                self.path(&glide, state, travel, tick, model.step_s)
            }
        }
    }

    /// The cost of lever travel on a hold or a path of so many seconds, ft.
    fn quiet_ft(&self, seconds: f64) -> f64 {
        let three = self.asked.three;
        QUIET_S * three.rate_mps / FT * self.travel * 60.0 / seconds / three.lever
    }

    fn path(
        &mut self,
        glide: &Glide,
        state: &State,
        travel: f64,
        tick: u64,
        step_s: f64,
    ) -> Option<f64> {
        let half_zone_m = glide.aim.deck.zone_m / 2.0;
        let distance_m = glide.distance_m(state, tick);
        let above_m = state.h_m - glide.aim.deck.height_m;
        let before = std::mem::replace(&mut self.over, (distance_m, above_m));
        if distance_m <= glide.from_m {
            let share = glide.deviation_m(state, tick) / glide.half_width_m(distance_m);
            self.squares += share * share;
            self.count += 1.0;
            self.travel += travel;
        }
        let off_m = glide.deviation_m(state, tick).abs();
        if above_m > 0.0 {
            let is_past = distance_m < -half_zone_m;
            return is_past.then_some(MISSED + off_m);
        }
        let share = if before.1.is_finite() {
            before.1 / (before.1 - above_m)
        } else {
            1.0
        };
        let contact_m = match before.0.is_finite() {
            true => before.0 + share * (distance_m - before.0),
            false => distance_m,
        };
        if contact_m.abs() > half_zone_m || self.count == 0.0 {
            return Some(MISSED + off_m + contact_m.abs());
        }
        let seconds = self.count * step_s;
        let sink = -state.vz_mps / (glide.closure_mps(state) * tan(glide.slope_rad));
        Some(
            (self.squares / self.count).sqrt()
                + self.quiet_ft(seconds) / (glide.band_m / FT)
                + TOUCHDOWN * contact_m.abs() / half_zone_m
                + SINK * (sink - FREE_SINK).max(0.0),
        )
    }

    /// All parts of the cost except the capture and the error in the stay.
    fn extras_s(&self, capture: &Capture) -> f64 {
        (self.past + self.other) / capture.unit
            + LEVER_S * self.travel / self.asked.three.lever
            + STEEP_S * self.steep_s
            + self.asked.too_steep_s * self.too_steep_s
    }

    fn capture(
        &mut self,
        capture: &Capture,
        (state, fast_mps): (&State, Option<f64>),
        step_s: f64,
        hopeless: f64,
    ) -> Option<f64> {
        let error = self.asked.value(state) - self.asked.target;
        let before = std::mem::replace(&mut self.error, error);
        self.past = self.past.max(self.asked.way * error);
        match self.asked.cue {
            When::FastKt => self.other = self.other.max(-self.asked.way * error),
            When::ToGoFpm => {}
            _ => {
                let speed_mps = state.vz_mps.abs();
                let above =
                    |limit_mps: f64| step_s * share_above(self.speed_mps, speed_mps, limit_mps);
                self.steep_s += above(capture.steep_mps);
                self.too_steep_s += above(STEEPEST_MPS - CLEARANCE_MPS);
                self.speed_mps = speed_mps;
            }
        }
        let is_late = self.t_s > capture.within_s + 2.0 * capture.hold_s;
        if error.abs() <= capture.band && fast_mps.is_none() {
            let since_s = *self.stay.get_or_insert_with(|| {
                if before.abs() <= capture.band {
                    return self.t_s - step_s;
                }
                let edge = capture.band * before.signum();
                let share = ((before - edge) / (before - error)).clamp(0.0, 1.0);
                self.t_s - (1.0 - share) * step_s
            });
            self.errors.push(error);
            self.squares += error * error;
            let count = self.counted;
            if let Some(old) = self.errors.len().checked_sub(count + 1) {
                self.squares -= self.errors[old] * self.errors[old];
            }
            if self.t_s - since_s >= capture.hold_s {
                let counted = self.errors.len().min(count);
                let half = self.errors[self.errors.len() - 1 - (counted - 1).min(count / 2)];
                if (error - half).abs() <= capture.level_m {
                    let rms = (self.squares.max(0.0) / counted as f64).sqrt();
                    let begun_s = match self.t_s - since_s < capture.hold_s + step_s {
                        true => since_s,
                        false => self.t_s - capture.hold_s,
                    };
                    return Some(begun_s + rms / capture.unit + self.extras_s(capture));
                }
            }
        } else {
            self.stay = None;
            self.errors.clear();
            self.squares = 0.0;
            self.outside += step_s * (error.abs() / capture.band).min(100.0);
            // Being still too fast counts as being outside, the more the faster.
            self.outside += step_s * fast_mps.unwrap_or(0.0);
        }
        if is_late || self.stay.is_none() && self.t_s > capture.within_s {
            return Some(MISSED + self.outside);
        }
        let reached_s = match self.stay {
            Some(since_s) => since_s.max(self.t_s - capture.hold_s),
            None => self.t_s,
        };
        let least_s = reached_s + self.extras_s(capture);
        (least_s > hopeless).then(|| least_s + error.abs() / capture.unit)
    }
}

/// The share of the way from one value straight to another that lies above a limit.
fn share_above(from: f64, to: f64, limit: f64) -> f64 {
    let (low, high) = (from.min(to), from.max(to));
    ((high - limit) / (high - low).max(f64::MIN_POSITIVE)).clamp(0.0, 1.0)
}
