//! From figures to a cost, and from a cost to points: formulas that a learner can compute again by hand.

use super::metrics::{METRICS, Scene};
use crate::drill::Kind;
use crate::units::FT;

/// What a cost is measured on: 100 points at the floor, 0 at the limit, straight between.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    /// Cost worth 100 points.
    pub floor: f64,
    /// Cost worth nothing.
    pub limit: f64,
}

impl Scale {
    /// The scale that needs no par: a step's floor is its change at the 3-degree rate, a hold's is perfection.
    pub fn without_par(scene: &Scene) -> Scale {
        match scene.task.kind {
            Kind::Step(step) => Scale {
                floor: scene.change_ft().abs() / scene.rate_fps(),
                limit: step.within_s,
            },
            Kind::Hold(hold) => Scale {
                floor: 0.0,
                limit: hold.band_m / FT,
            },
        }
    }

    /// Points for a cost, 0..100.
    pub fn points(&self, cost: f64) -> f64 {
        if self.limit <= self.floor {
            return 0.0;
        }
        100.0 * ((self.limit - cost) / (self.limit - self.floor)).clamp(0.0, 1.0)
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

/// Cost of a finished task: seconds for a step, feet for a hold; None for a step that was not captured.
pub fn cost(scene: &Scene) -> Option<f64> {
    match scene.task.kind {
        Kind::Hold(_) => figure(scene, "rms_ft"),
        Kind::Step(_) => step_cost(
            |key| figure(scene, key),
            scene.rate_fps(),
            100.0 * scene.three.lever,
        )
        .map(|cost| cost.total_s()),
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

fn figure(scene: &Scene, key: &str) -> Option<f64> {
    let metric = METRICS.iter().find(|metric| metric.key == key)?;
    (metric.value)(scene).number()
}
