//! From a cost to points, by formulas that a learner can recompute by hand.

use serde::{Deserialize, Serialize};

use super::cost::Cost;
use super::scene::Scene;
use crate::drill::Kind;
use crate::drill::path::Outcome;
use crate::units::FT;

/// Cost of a rate worth 100 points, s.
const RATE_FLOOR_S: f64 = 2.0;
/// Without a best, slowing in is worth 100 points at this share of its limit.
const SLOW_FLOOR: f64 = 0.5;
/// Points for going around when called.
pub const CALLED_POINTS: f64 = 25.0;

pub const PAR_POINTS: f64 = 75.0;

/// The results of the two hands against which every learner is measured, for one task.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Reference {
    /// Cost of the hand `best`; None where there is none or it is not known.
    pub best: Option<f64>,
    /// Mean cost of the hand `steady`; None where there is none or it is not known.
    pub par: Option<f64>,
    /// The state handed on by the task before, as a cost: the mean cost of `steady` from the state the learner brought, less
    /// par. It is not the learner's doing in this task, so it does not count. None for a first task, or where either is
    /// unknown.
    pub handed_on: Option<f64>,
}

impl Reference {
    /// The part of it that is taken off a cost: all of a head start, and at most one whole scale of a debt. Beyond that the
    /// task was lost before it began, and doing nothing must not earn points.
    pub fn taken_off(&self, scale: &Scale) -> f64 {
        self.handed_on.unwrap_or(0.0).min(scale.limit)
    }
}

/// The scale of a cost: 100 points at the floor, 75 at par where there is one, 0 at the limit, linear in between. At the limit
/// and beyond there are no points, even for a cost no higher than best.
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
    /// The scale of a finished task. Where no best is known, a step's floor is the time of its change at the 3-degree rate and
    /// a hold's is 0.
    pub fn new(scene: &Scene, reference: &Reference) -> Scale {
        let (floor, limit, least_gap) = match scene.kind() {
            Kind::Step(step) => {
                let floor = scene.change().abs() / scene.rate_fps();
                (floor, step.within_s, 1.0)
            }
            Kind::Rate(rate) => (RATE_FLOOR_S, rate.within_s, 1.0),
            Kind::Slow(slow) => (SLOW_FLOOR * slow.within_s, slow.within_s, 1.0),
            Kind::Hold(hold) => (0.0, hold.band_m / FT, 2.0),
            Kind::Path(_) | Kind::Surprise(_) => (0.0, 1.0, 0.1),
        };
        let Some(best) = reference.best else {
            return Scale {
                floor,
                par: None,
                limit,
            };
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
            _ if cost >= self.limit => 0.0,
            _ if cost <= self.floor => 100.0,
            Some(par) if cost <= par => between(floor, (par, PAR_POINTS)),
            Some(par) => between((par, PAR_POINTS), limit),
            None => between(floor, limit),
        }
    }
}

/// Points of a finished task, 0..100. A step or a rate that begins inside its own band asks for nothing and earns nothing. None
/// where the points depend on a lever or a vertical speed that is not known.
pub fn points(
    scene: &Scene,
    scale: &Scale,
    cost: Option<Cost>,
    reference: &Reference,
) -> Option<f64> {
    let own = cost.map(|cost| cost.total() - reference.taken_off(scale));
    let by_cost = own.map_or(0.0, |cost| scale.points(cost));
    let lost_anyhow = match scene.kind() {
        Kind::Step(_) | Kind::Rate(_) => scene.begins_inside() || scene.capture_s().is_none(),
        Kind::Slow(_) => scene.capture_s().is_none(),
        Kind::Path(_) => scene.approach().outcome == Some(Outcome::Short),
        Kind::Hold(_) | Kind::Surprise(_) => false,
    };
    if !scene.known.show(scene.kind()) {
        return None;
    }
    if !scene.known.lever {
        return lost_anyhow.then_some(0.0);
    }
    Some(match scene.kind() {
        Kind::Step(_) | Kind::Rate(_) if scene.begins_inside() => 0.0,
        Kind::Path(_) => match (scene.approach().outcome, scene.approach().called) {
            (Some(Outcome::InZone), None) => by_cost,
            (Some(Outcome::WentAround), Some(_)) => CALLED_POINTS,
            _ => 0.0,
        },
        _ => by_cost,
    })
}
