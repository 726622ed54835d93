//! What a drill asks in vain: tasks at which neither `steady` nor the brief earns a point.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::{Brief, Hand, Steady, fly};
use crate::drill::reader::plain;
use crate::drill::{Drill, Kind};
use crate::score::score;
use crate::sim::math::halved;
use crate::sim::trim;
use crate::units::{FPM, FT};

/// Seeds of the air in which `steady` is tried, before the brief is.
const TRIED: u64 = 3;

/// Those tasks, from 0. The brief is planned only where it has to be.
pub fn of(drill: &Arc<Drill>) -> Vec<usize> {
    let mut lost: BTreeSet<usize> = BTreeSet::new();
    let mut earned: BTreeSet<usize> = BTreeSet::new();
    let steady = (1..=TRIED).map(|seed| (seed, false));
    for (seed, by_the_brief) in steady.chain([(1, true)]) {
        if by_the_brief && lost.is_subset(&earned) {
            break;
        }
        let mut hand: Box<dyn Hand> = match by_the_brief {
            true => Box::new(Brief::new(drill)),
            false => Box::new(Steady::new(drill)),
        };
        let score = score(&fly(drill.clone(), seed, &mut *hand));
        let begun = score.tasks.iter().enumerate();
        for (index, task) in begun.filter(|(_, task)| task.start_s.is_some()) {
            match task.points {
                Some(points) if points <= 0.0 => lost.insert(index),
                _ => earned.insert(index),
            };
        }
    }
    lost.difference(&earned).copied().collect()
}

/// What makes a rate impossible whoever flies, in words; None where nothing is known to.
pub fn why(drill: &Drill, index: usize) -> Option<String> {
    let Kind::Rate(rate) = &drill.tasks[index].kind else {
        return None;
    };
    let h_m = altitude_m(drill, index)?;
    // The least that is inside the band.
    let least_mps = (rate.vertical_mps.abs() - rate.band_mps).max(0.0);
    let at_mps = least_mps * rate.vertical_mps.signum();
    let lever = |vertical_mps: f64| trim::at_vertical(&drill.aircraft, h_m, vertical_mps).lever;
    let is_beyond = |lever: f64| {
        if at_mps < 0.0 {
            lever < 0.0
        } else {
            lever > 1.0
        }
    };
    let ft = plain((h_m / FT).round());
    if is_beyond(lever(at_mps)) {
        const HALVINGS: usize = 30;
        let ends = (0.0, 1.0);
        let (share, _) = halved(HALVINGS, ends, |share| is_beyond(lever(share * at_mps)));
        let most = plain((share * least_mps / FPM / 10.0).round() * 10.0);
        return Some(match at_mps < 0.0 {
            true => format!("steeper than it sinks at idle, {most} ft/min at {ft} ft"),
            false => format!("more than it climbs at full power, {most} ft/min at {ft} ft"),
        });
    }
    let is_under = at_mps < 0.0 && least_mps * rate.hold_s >= h_m;
    is_under.then(|| format!("from {ft} ft the surface comes before the stay is over"))
}

/// The altitude at which a task is begun, where nothing is missed; None after a surprise.
fn altitude_m(drill: &Drill, index: usize) -> Option<f64> {
    let start_m = drill.start.altitude_m;
    drill.tasks[..index]
        .iter()
        .try_fold(start_m, |h_m, task| match &task.kind {
            Kind::Hold(hold) => Some(hold.altitude_m),
            Kind::Step(step) => Some(step.altitude_m),
            Kind::Rate(rate) => Some(h_m + rate.vertical_mps * rate.hold_s),
            Kind::Slow(_) => Some(h_m),
            Kind::Path(_) | Kind::Surprise(_) => None,
        })
}
