//! From figures to a cost, and from a cost to points: formulas that a learner can compute again by hand.

use serde::{Deserialize, Serialize};

use super::metrics::{METRICS, Scene};
use crate::drill::Kind;
use crate::drill::path::Outcome;
use crate::units::FT;

/// Cost of a rate worth 100 points, s.
const RATE_FLOOR_S: f64 = 2.0;
/// A rate's errors cost a second for each of these, ft/min.
const RATE_UNIT_FPM: f64 = 100.0;
/// For going around when it was called.
const CALLED_POINTS: f64 = 50.0;

/// Points of a par.
pub(super) const PAR_POINTS: f64 = 75.0;

/// What the two hands that every learner is measured against made of a task.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Reference {
    /// Cost of the hand `best`; None where there is none or it is not known.
    pub best: Option<f64>,
    /// Cost of the hand `steady`; None where there is none or it is not known.
    pub par: Option<f64>,
}

/// What a cost is measured on: 100 points at the floor, 75 at par where there is one, 0 at the limit, straight between.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    /// Cost worth 100 points.
    pub floor: f64,
    /// Cost worth 75 points; None where the whole scale is one straight line.
    pub par: Option<f64>,
    /// Cost worth nothing.
    pub limit: f64,
}

impl Scale {
    /// The scale of a finished task. Where no best is known, a step's floor is its change at the 3-degree rate and a hold's
    /// is perfection.
    pub fn new(scene: &Scene, reference: &Reference) -> Scale {
        let kind = &scene.task.kind;
        let (floor, limit) = match kind {
            Kind::Step(step) => (scene.change().abs() / scene.rate_fps(), step.within_s),
            Kind::Rate(rate) => (RATE_FLOOR_S, rate.within_s),
            Kind::Hold(hold) => (0.0, hold.band_m / FT),
            Kind::Path(_) | Kind::Surprise(_) => (0.0, 1.0),
        };
        let Some(best) = reference.best else {
            return Scale {
                floor,
                par: None,
                limit,
            };
        };
        let least_gap = match kind {
            Kind::Step(_) | Kind::Rate(_) => 1.0,
            Kind::Hold(_) => 2.0,
            Kind::Path(_) | Kind::Surprise(_) => 0.05,
        };
        let halfway = best + 0.5 * (limit - best);
        let least = best + f64::max(0.05 * best, least_gap);
        let par = reference.par.map_or(halfway, |par| par.max(least));
        Scale {
            floor: best,
            par: Some(par.min(halfway)),
            limit,
        }
    }

    /// Points for a cost, 0..100.
    pub fn points(&self, cost: f64) -> f64 {
        let between = |from: (f64, f64), to: (f64, f64)| {
            from.1 + (to.1 - from.1) * (cost - from.0) / (to.0 - from.0)
        };
        let (floor, limit) = ((self.floor, 100.0), (self.limit, 0.0));
        match self.par {
            _ if cost <= self.floor => 100.0,
            _ if cost >= self.limit => 0.0,
            Some(par) if cost <= par => between(floor, (par, PAR_POINTS)),
            Some(par) => between((par, PAR_POINTS), limit),
            None => between(floor, limit),
        }
    }
}

/// The terms of a step's cost, s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StepCost {
    /// Until the captured stay begins.
    pub capture_s: f64,
    /// Error over the 3-degree rate: how far past, and the rms of the stay.
    pub error_s: f64,
    /// Half a second for each three degrees' worth of lever moved.
    pub lever_s: f64,
    /// Twice the time spent too steep.
    pub steep_s: f64,
}

impl StepCost {
    /// The sum.
    pub fn total_s(&self) -> f64 {
        self.capture_s + self.error_s + self.lever_s + self.steep_s
    }
}

/// Cost of a finished task: seconds for a step or a rate, feet for a hold, shares of the band for a path; None where there
/// was no capture and no scored piece of path.
pub fn cost(scene: &Scene) -> Option<f64> {
    let lever_percent = 100.0 * scene.three.lever;
    match scene.task.kind {
        Kind::Hold(_) => figure(scene, "rms_ft"),
        Kind::Step(_) => step_cost(|key| figure(scene, key), scene.rate_fps(), lever_percent)
            .map(|cost| cost.total_s()),
        Kind::Rate(_) => {
            rate_cost(|key| figure(scene, key), lever_percent).map(|cost| cost.total_s())
        }
        Kind::Path(_) => scene.share_of_band(),
        Kind::Surprise(_) => None,
    }
}

/// Points of a finished task, 0..100. What begins inside its own band asks for nothing and earns nothing.
pub fn points(scene: &Scene, scale: &Scale, cost: Option<f64>) -> f64 {
    let by_cost = cost.map_or(0.0, |cost| scale.points(cost));
    match &scene.task.kind {
        Kind::Step(_) | Kind::Rate(_) if scene.begins_inside() => 0.0,
        Kind::Path(_) => match (scene.approach().outcome, scene.approach().called) {
            (Some(Outcome::InZone), None) => by_cost,
            (Some(Outcome::WentAround), Some(_)) => CALLED_POINTS,
            _ => 0.0,
        },
        _ => by_cost,
    }
}

/// The terms of a step's cost from its figures; `rate_fps` and `lever_percent` are what 3 degrees mean at its start.
pub fn step_cost(
    figure: impl Fn(&str) -> Option<f64>,
    rate_fps: f64,
    lever_percent: f64,
) -> Option<StepCost> {
    Some(StepCost {
        capture_s: figure("capture_s")?,
        error_s: (figure("overshoot_ft")? + figure("rms_ft")?) / rate_fps,
        lever_s: 0.5 * figure("lever_travel")? / lever_percent,
        steep_s: 2.0 * figure("steep_s")?,
    })
}

/// The terms of a rate's cost from its figures.
pub fn rate_cost(figure: impl Fn(&str) -> Option<f64>, lever_percent: f64) -> Option<StepCost> {
    Some(StepCost {
        capture_s: figure("capture_s")?,
        error_s: (figure("overshoot_fpm")? + figure("rms_fpm")?) / RATE_UNIT_FPM,
        lever_s: 0.5 * figure("lever_travel")? / lever_percent,
        steep_s: 0.0,
    })
}

fn figure(scene: &Scene, key: &str) -> Option<f64> {
    let metric = METRICS.iter().find(|metric| metric.key == key)?;
    (metric.value)(scene).number()
}
