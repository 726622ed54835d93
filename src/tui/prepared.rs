//! Briefs and power cards, each computed once for its drill and kept while the program runs.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::brief::{DrillBrief, PowerCard};
use crate::drill::{Drill, Target};

/// What has been computed so far, by the drill's place on the shelf.
#[derive(Default)]
pub struct Prepared {
    briefs: BTreeMap<usize, Arc<DrillBrief>>,
    cards: BTreeMap<usize, Option<PowerCard>>,
}

impl Prepared {
    /// A drill's brief; takes some milliseconds the first time.
    pub fn brief(&mut self, index: usize, drill: &Drill) -> Arc<DrillBrief> {
        self.briefs
            .entry(index)
            .or_insert_with(|| Arc::new(DrillBrief::new(drill)))
            .clone()
    }

    /// Computes a drill's power card, at the altitude of its first task. That takes a tenth of a second, so that the screen is
    /// drawn before it.
    pub fn compute_card(&mut self, index: usize, drill: &Drill) {
        self.cards.entry(index).or_insert_with(|| {
            let h_m = match drill.tasks.first().and_then(|task| task.kind.target()) {
                Some(Target::Altitude { altitude_m, .. }) => altitude_m,
                _ => drill.start.altitude_m,
            };
            PowerCard::new(&drill.aircraft, h_m)
        });
    }

    /// A drill's power card: None before it has been computed, Some(None) where the aeroplane cannot fly level.
    pub fn card(&self, index: usize) -> Option<Option<&PowerCard>> {
        self.cards.get(&index).map(Option::as_ref)
    }
}
