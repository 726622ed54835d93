//! Tasks that a drill asks for in vain: neither `steady` nor the brief earns a point at them.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::{Brief, Hand, Script, Steady, fly, fly_leg};
use crate::drill::reader::plain;
use crate::drill::{Drill, Kind};
use crate::run::Run;
use crate::score::score;
use crate::sim::math::halved;
use crate::sim::trim;
use crate::sim::world::Fault;
use crate::units::{FPM, FT};

/// Seeds of the air in which `steady` is tried before the brief is.
const TRIED: u64 = 3;

/// The indices of those tasks, from 0. The brief is planned only where it has to be.
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

/// Whether the first task is a scored hold that nothing takes the aeroplane off: without a move it stays within a foot.
pub fn is_for_nothing(drill: &Arc<Drill>) -> bool {
    let first = &drill.tasks[0];
    if !first.scored || !matches!(first.kind, Kind::Hold(_)) {
        return false;
    }
    let mut run = Run::new(drill.clone(), 1);
    fly_leg(&mut run, &mut Script::new(Vec::new()));
    let target = &run.legs()[0].target;
    let states = run.trace().states().iter().enumerate();
    let mut off_m = states.map(|(tick, state)| target.error(state, tick as u64).abs());
    off_m.all(|off_m| off_m < FT)
}

/// What makes a rate impossible, in words; None where no reason is known.
pub fn why(drill: &Arc<Drill>, index: usize) -> Option<String> {
    let Kind::Rate(rate) = &drill.tasks[index].kind else {
        return None;
    };
    let run = fly(drill.clone(), 1, &mut Steady::new(drill));
    let leg = run.legs().iter().find(|leg| leg.task == index)?;
    let h_m = run.trace().state(leg.start as usize).h_m;
    // The least vertical speed inside the band.
    let least_mps = (rate.vertical_mps.abs() - rate.band_mps).max(0.0);
    let sinks = rate.vertical_mps < 0.0;
    let is_beyond = |share: f64| {
        let vertical_mps = share * least_mps * rate.vertical_mps.signum();
        let trim = trim::at_vertical(&drill.aircraft, h_m, vertical_mps);
        match sinks {
            true => trim.lever < 0.0,
            false => trim.lever > 1.0,
        }
    };
    if is_beyond(1.0) {
        const HALVINGS: usize = 30;
        let (share, _) = halved(HALVINGS, (0.0, 1.0), is_beyond);
        let what = match sinks {
            true => "steeper than it sinks at idle",
            false => "more than it climbs at full power",
        };
        let most_fpm = plain((share * least_mps / FPM / 10.0).round() * 10.0);
        let ft = plain((h_m / FT).round());
        return Some(format!("{what}, {most_fpm} ft/min at {ft} ft"));
    }
    let is_last = run.leg().task == index;
    let is_under = is_last && run.fault() == Some(Fault::Surface);
    is_under.then(|| "the surface comes before the stay is over".to_string())
}
