//! A person's runs, and each drill's record for a list.

use std::collections::BTreeMap;

use super::Flown;

/// Number of a drill's latest runs that are shown.
pub const SHOWN: usize = 12;

/// A person's runs.
#[derive(Clone, Debug, Default)]
pub struct Practice {
    flown: Vec<Flown>,
    /// The indices of those flown to their end, by drill.
    whole: BTreeMap<String, Vec<usize>>,
}

/// The record of a drill's complete runs.
pub struct Record<'a> {
    /// The most points.
    pub best: f64,
    /// The latest runs, the last one at the end, at least one and at most [`SHOWN`].
    pub latest: Vec<&'a Flown>,
}

impl Practice {
    /// The practice made up of runs, oldest first.
    pub fn of(flown: Vec<Flown>) -> Practice {
        let mut practice = Practice::default();
        flown.into_iter().for_each(|run| practice.add(run));
        practice
    }

    /// Adds one run.
    pub fn add(&mut self, run: Flown) {
        if run.complete {
            let places = self.whole.entry(run.drill.clone()).or_default();
            places.push(self.flown.len());
        }
        self.flown.push(run);
    }

    /// All runs, oldest first.
    pub fn flown(&self) -> &[Flown] {
        &self.flown
    }

    /// The runs of a drill that were flown to their end, oldest first.
    pub fn whole(&self, drill: &str) -> impl DoubleEndedIterator<Item = &Flown> {
        let places = self.whole.get(drill).into_iter().flatten();
        places.map(|place| &self.flown[*place])
    }

    /// The record of those that have points; None where there are none.
    pub fn record(&self, drill: &str) -> Option<Record<'_>> {
        let scored = || self.whole(drill).filter(|run| run.points.is_some());
        let best = scored().filter_map(|run| run.points);
        let mut latest: Vec<&Flown> = scored().rev().take(SHOWN).collect();
        latest.reverse();
        Some(Record {
            best: best.max_by(f64::total_cmp)?,
            latest,
        })
    }
}

impl Record<'_> {
    /// Points of the latest runs, the last one at the end.
    pub fn points(&self) -> Vec<f64> {
        self.latest.iter().filter_map(|run| run.points).collect()
    }
}
