//! A person's runs, and of each drill what a list shows of them.

use std::collections::BTreeMap;

use super::Flown;

/// So many of a drill's latest runs are shown.
pub const SHOWN: usize = 12;

/// A person's runs.
#[derive(Clone, Debug, Default)]
pub struct Practice {
    flown: Vec<Flown>,
    /// The places of those flown to their end, by drill.
    whole: BTreeMap<String, Vec<usize>>,
}

/// What the complete runs of a drill came to.
pub struct Record<'a> {
    /// The most points.
    pub best: f64,
    /// The latest runs, the last one last, at least one and at most [`SHOWN`].
    pub latest: Vec<&'a Flown>,
}

impl Practice {
    /// Of runs, oldest first.
    pub fn of(flown: Vec<Flown>) -> Practice {
        let mut practice = Practice::default();
        flown.into_iter().for_each(|run| practice.add(run));
        practice
    }

    /// One more run.
    pub fn add(&mut self, run: Flown) {
        if run.complete {
            let places = self.whole.entry(run.drill.clone()).or_default();
            places.push(self.flown.len());
        }
        self.flown.push(run);
    }

    /// All of it, oldest first.
    pub fn flown(&self) -> &[Flown] {
        &self.flown
    }

    /// The runs of a drill that were flown to their end, oldest first.
    pub fn whole(&self, drill: &str) -> impl DoubleEndedIterator<Item = &Flown> {
        let places = self.whole.get(drill).into_iter().flatten();
        places.map(|place| &self.flown[*place])
    }

    /// What those that have points came to; None where there are none.
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
    /// Points of the latest runs, the last one last.
    pub fn points(&self) -> Vec<f64> {
        self.latest.iter().filter_map(|run| run.points).collect()
    }
}
