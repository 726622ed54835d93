//! What a drill asks in vain: tasks at which neither `steady` nor the brief earns a point.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::{Brief, Hand, Steady, fly};
use crate::drill::Drill;
use crate::score::score;

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
