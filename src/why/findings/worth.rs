//! What a leg is worth, twice: the cost that is told, and a smooth one for finding out what to tell.

use crate::drill::{Kind, Task};
use crate::run::{Leg, Run};
use crate::score::metrics::{METRICS, Scene};
use crate::score::points::Scale;
use crate::score::{Reference, leg_cost};
use crate::sim::trim::{ThreeDegrees, three_degrees};
use crate::units::{FPM, FT, TICK_S};

/// A leg as it was flown, judged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worth {
    /// Cost in seconds: that of a step or a rate as it is scored, uncaptured at least its limit; of a hold, rms error over
    /// the 3-degree rate; of a path, share of the band used times its half-width at the beginning over the 3-degree rate.
    pub cost_s: f64,
    /// Points, 0..100.
    pub points: f64,
    /// The same without jumps, s: a second outside the band costs one, the middle half of the band nothing. Without the
    /// term for steepness, which is not a matter of timing.
    pub soft_s: f64,
    /// That term, s.
    pub steep_s: f64,
}

/// What a leg's judgement depends on besides the flight.
#[derive(Clone, Copy, Debug)]
pub struct Judge {
    leg: usize,
    reference: Reference,
    three: ThreeDegrees,
}

impl Judge {
    /// The judge of one leg of a run.
    pub fn new(run: &Run, leg: usize, reference: Reference) -> Judge {
        let start = run.trace().at(run.legs()[leg].start as usize);
        Judge {
            leg,
            reference,
            three: three_degrees(&run.drill().aircraft, start.state.h_m),
        }
    }

    /// The least gain worth telling, s: where cost is not time, a tenth of the band.
    pub fn least_s(&self, leg: &Leg) -> f64 {
        match &leg.kind {
            Kind::Hold(hold) => 0.1 * hold.band_m / self.three.rate_mps,
            Kind::Path(path) => 0.1 * path.glide.band_m / self.three.rate_mps,
            _ => f64::INFINITY,
        }
    }

    /// Judges the leg in a run that has ended it; None where the run broke off.
    pub fn worth(&self, run: &Run) -> Option<Worth> {
        let leg = &run.legs()[self.leg];
        let task = Task {
            kind: leg.kind.clone(),
            scored: true,
        };
        let scene = Scene::new(run, &task, leg, leg.end?);
        let scale = Scale::new(&scene, &self.reference);
        let cost = leg_cost(run, self.leg);
        let rate_mps = self.three.rate_mps;
        let per_unit_s = match &leg.kind {
            Kind::Hold(_) => FT / rate_mps,
            Kind::Path(path) => path.glide.band_m / rate_mps,
            _ => 1.0,
        };
        let points = cost.map_or(0.0, |cost| scale.points(cost));
        let cost = cost.unwrap_or_else(|| match leg.kind {
            Kind::Path(_) => scene
                .scored_path()
                .map_or(scale.limit, |scored| scored.share_rms)
                .max(scale.limit),
            _ => scale.limit,
        });
        let (soft_s, steep_s) = self.soft_s(run, leg, leg.end?);
        Some(Worth {
            cost_s: cost * per_unit_s,
            points,
            soft_s,
            steep_s,
        })
    }

    fn soft_s(&self, run: &Run, leg: &Leg, end: u64) -> (f64, f64) {
        let points = run
            .trace()
            .between(leg.start as usize + 1..end as usize + 1);
        let mut before = run.trace().lever_before(leg.start as usize);
        let mut travel = 0.0;
        for lever in run.trace().levers_between(leg.start as usize..end as usize) {
            travel += (lever - before).abs();
            before = *lever;
        }
        let way = -leg
            .target
            .error(&run.trace().at(leg.start as usize).state, leg.start)
            .signum();
        let steepest_mps = (1000.0 * FPM).min(1.5 * self.three.rate_mps);
        let (mut off_s, mut past, mut square, mut steep_s) = (0.0, 0.0_f64, 0.0, 0.0);
        for (index, point) in points.iter().enumerate() {
            let tick = leg.start + 1 + index as u64;
            let error = leg.target.error(&point.state, tick);
            let share = error.abs() / leg.target.band(&point.state, tick);
            off_s += (share - 0.5).clamp(0.0, 1.0) * TICK_S;
            past = past.max(way * error);
            square += share * share;
            if point.state.vz_mps.abs() > steepest_mps {
                steep_s += TICK_S;
            }
        }
        let lever_s = 0.5 * travel / self.three.lever;
        let rms_share = (square / points.len().max(1) as f64).sqrt();
        let soft_s = match &leg.kind {
            Kind::Step(_) => off_s + past / self.three.rate_mps + lever_s,
            Kind::Rate(_) => off_s + past / (100.0 * FPM) + lever_s,
            Kind::Hold(hold) => rms_share * hold.band_m / self.three.rate_mps + 0.1 * lever_s,
            Kind::Path(path) => rms_share * path.glide.band_m / self.three.rate_mps + 0.1 * lever_s,
            Kind::Surprise(_) => 0.0,
        };
        let is_step = matches!(leg.kind, Kind::Step(_));
        (soft_s, if is_step { 2.0 * steep_s } else { 0.0 })
    }
}

/// Reversals of the lever in a leg of a run, as its figure counts them.
pub fn reversals(run: &Run, leg: usize) -> f64 {
    let leg = &run.legs()[leg];
    let Some(end) = leg.end else { return 0.0 };
    let task = Task {
        kind: leg.kind.clone(),
        scored: true,
    };
    let scene = Scene::new(run, &task, leg, end);
    let metric = METRICS.iter().find(|m| m.key == "lever_reversals");
    metric
        .and_then(|m| (m.value)(&scene).number())
        .unwrap_or(0.0)
}
