//! A finished task, and the parts of its flight from which figures and cost are made.

use crate::drill::Kind;
use crate::drill::path::Approach;
use crate::run::{Known, Leg, Run, Trace};
use crate::sim::air::Wind;
use crate::sim::aircraft::Aircraft;
use crate::sim::dynamics::State;
use crate::sim::trim::{ThreeDegrees, three_degrees};
use crate::units::{FPM, FT, TICK_S};

/// The part of a path that counts: the ticks that end at or inside its distance, until contact.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScoredPath {
    /// Root mean square of the deviation over the local half-width.
    pub share_rms: f64,
    /// Lever moved, % of travel.
    pub travel_percent: f64,
    /// How long it took, s.
    pub seconds: f64,
}

/// The steepest vertical speed for any aeroplane, m/s.
pub const STEEPEST_MPS: f64 = 1000.0 * FPM;

/// Vertical speed above this is too steep, m/s: 1,000 ft/min, or one and a half 3-degree rates if that is less.
pub fn steepest_mps(three_degrees_mps: f64) -> f64 {
    STEEPEST_MPS.min(1.5 * three_degrees_mps)
}

/// A finished task with everything its figures depend on.
pub struct Scene<'a> {
    pub(super) aircraft: &'a Aircraft,
    pub(super) trace: &'a Trace,
    pub(super) leg: &'a Leg,
    /// The quantities that are known of the run.
    pub known: Known,
    pub(super) first: usize,
    pub(super) last: usize,
    /// The first tick for which pitch is left alone, if the run slowed in.
    slow: Option<u64>,
    /// The values of 3 degrees at the task's start, the scale of the arithmetic.
    pub three: ThreeDegrees,
}

impl<'a> Scene<'a> {
    /// The scene of a finished task; `end` is the tick after its last.
    pub fn new(run: &'a Run, leg: &'a Leg, end: u64) -> Scene<'a> {
        let aircraft = &run.drill().aircraft;
        let first = leg.start as usize;
        Scene {
            aircraft,
            trace: run.trace(),
            leg,
            known: run.known(),
            first,
            last: end as usize,
            slow: run.world().slow_tick(),
            three: three_degrees(aircraft, run.trace().state(first).h_m),
        }
    }

    /// The instant at which the task begins.
    pub fn start(&self) -> &'a State {
        self.trace.state(self.first)
    }

    /// The states at the ends of its ticks, each with its tick; those at rest on a deck are left out.
    pub(super) fn ends(&self) -> impl ExactSizeIterator<Item = (u64, &'a State)> + use<'a> {
        let first = self.first as u64 + 1;
        let last = match self.approach().touchdown {
            Some(touchdown) => (touchdown.t_s / TICK_S).ceil() as usize,
            None => self.last,
        };
        let states = self.trace.between(self.first + 1..last.min(self.last) + 1);
        states
            .iter()
            .enumerate()
            .map(move |(i, state)| (first + i as u64, state))
    }

    /// What was asked.
    pub fn kind(&self) -> &'a Kind {
        &self.leg.kind
    }

    pub(super) fn wind(&self, tick: u64) -> Wind {
        self.trace.wind(tick as usize)
    }

    /// The state of a path's approach.
    pub fn approach(&self) -> &'a Approach {
        &self.leg.approach
    }

    /// Error from the target at an instant, ft or ft/min.
    pub(super) fn off(&self, tick: u64, state: &State) -> f64 {
        self.leg.target.error(state, tick) / self.leg.target.unit()
    }

    pub(super) fn is_inside(&self, tick: u64, state: &State) -> bool {
        self.leg.target.holds(state, tick)
    }

    /// Whether it begins inside its own band.
    pub fn begins_inside(&self) -> bool {
        self.is_inside(self.leg.start, self.start())
    }

    /// The change that the task asks of the altitude (ft) or the vertical speed (ft/min), + up.
    pub fn change(&self) -> f64 {
        -self.off(self.leg.start, self.start())
    }

    pub(super) fn direction(&self) -> f64 {
        self.change().signum()
    }

    /// The part of a path that is scored; None where nothing of it was flown.
    pub fn scored_path(&self) -> Option<ScoredPath> {
        let Kind::Path(path) = self.kind() else {
            return None;
        };
        let glide = &path.glide;
        let is_scored =
            |(tick, state): &(u64, &State)| glide.distance_m(state, *tick) <= glide.from_m;
        let ticks: Vec<(u64, &State)> = self.ends().filter(is_scored).collect();
        let moved = |tick: usize| (self.trace.lever_at(tick) - self.trace.lever_before(tick)).abs();
        let shares = ticks.iter().map(|(tick, state)| {
            self.leg.target.error(state, *tick) / self.leg.target.band(state, *tick)
        });
        (!ticks.is_empty()).then(|| ScoredPath {
            share_rms: rms(&mut shares.into_iter()),
            travel_percent: 100.0
                * ticks
                    .iter()
                    .map(|(tick, _)| moved(*tick as usize - 1))
                    .sum::<f64>(),
            seconds: ticks.len() as f64 * TICK_S,
        })
    }

    /// The 3-degree rate at its start, ft/s: `r`.
    pub fn rate_fps(&self) -> f64 {
        self.three.rate_mps / FT
    }

    /// Start of the captured stay less the task's start, s.
    pub fn capture_s(&self) -> Option<f64> {
        let stay = self.leg.kind.captures_ticks()?;
        (self.leg.captured == Some(true)).then(|| (self.leg.progress.ticks - stay) as f64 * TICK_S)
    }

    /// Time from the task's start until it was slow, s; None where it was not slow while the task ran.
    pub fn slow_s(&self) -> Option<f64> {
        let slow = self.slow.filter(|slow| *slow <= self.last as u64)?;
        Some((slow - self.leg.start) as f64 * TICK_S)
    }

    /// Farthest below the target, ft or ft/min, at least 0.
    pub fn below(&self) -> f64 {
        self.farthest(-1.0)
    }

    /// Farthest above it.
    pub fn above(&self) -> f64 {
        self.farthest(1.0)
    }

    /// Farthest past the target in the direction of travel, ft or ft/min, at least 0.
    pub fn overshoot(&self) -> f64 {
        self.farthest(self.direction())
    }

    fn farthest(&self, way: f64) -> f64 {
        let off = self.ends().map(|(tick, state)| way * self.off(tick, state));
        off.fold(0.0, f64::max)
    }

    /// Root mean square of the error that counts, ft or ft/min; None where the task was not captured.
    pub fn rms(&self) -> Option<f64> {
        self.error(rms)
    }

    /// Time too steep, s.
    pub fn steep_s(&self) -> f64 {
        let limit_mps = steepest_mps(self.three.rate_mps);
        let steep = self
            .ends()
            .filter(|(_, state)| state.vz_mps.abs() > limit_mps);
        steep.count() as f64 * TICK_S
    }

    /// Sum of the moves, % of travel.
    pub fn lever_travel(&self) -> f64 {
        let mut last = self.trace.lever_before(self.first);
        let mut travel = 0.0;
        for lever in self.trace.settings(self.first..self.last) {
            travel += (lever - last).abs();
            last = lever;
        }
        100.0 * travel
    }

    /// The index in `ends` from which errors count: the whole of a hold, the captured stay of anything else.
    fn counted_from(&self) -> Option<usize> {
        match self.leg.captured {
            None => Some(0),
            Some(true) => Some(self.ends().len() - self.leg.kind.captures_ticks()? as usize),
            Some(false) => None,
        }
    }

    /// Largest error, ft, over a hold, or from a step's first arrival in its band to its end; None for other kinds.
    pub fn largest_error_ft(&self) -> Option<f64> {
        let from = match self.kind() {
            Kind::Hold(_) => 0,
            Kind::Step(_) => self
                .ends()
                .position(|(tick, state)| self.is_inside(tick, state))?,
            _ => return None,
        };
        let errors = self
            .ends()
            .skip(from)
            .map(|(tick, state)| self.off(tick, state).abs());
        Some(errors.fold(0.0, f64::max))
    }

    /// A figure of the errors that count, ft or ft/min; None where the task was not captured.
    pub(super) fn error(&self, figure: fn(&mut dyn Iterator<Item = f64>) -> f64) -> Option<f64> {
        let from = self.counted_from()?;
        let counted = self.ends().skip(from);
        Some(figure(
            &mut counted.map(|(tick, state)| self.off(tick, state)),
        ))
    }
}

/// The root of the mean square of some values.
pub(super) fn rms(values: &mut dyn Iterator<Item = f64>) -> f64 {
    let (count, sum) = values.fold((0.0, 0.0), |(n, s), x| (n + 1.0, s + x * x));
    (sum / count).sqrt()
}
