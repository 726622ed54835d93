//! What the program is given: its settings, and the drills at hand with the best points on each.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::theme::Theme;
use crate::drill::Drill;
use crate::logbook::Logbook;
use crate::run::recording::Aids;

/// What the shell gives the program: where runs are kept, what was asked for, and the two things it must not know by
/// itself, the time of day and chance.
pub struct Settings {
    /// Where runs are kept.
    pub logbook: Logbook,
    /// How much the screen helps at first.
    pub aids: Aids,
    /// The seed of every run; drawn anew for each where there is none.
    pub seed: Option<u64>,
    /// The air named on the command line, noted in recordings; the drills given have it already.
    pub air: Option<String>,
    /// How to draw.
    pub theme: Theme,
    /// Draws a seed.
    pub draw_seed: fn() -> u64,
    /// The time of day, RFC 3339.
    pub now: fn() -> String,
}

/// The drills at hand, and the best points on each so far.
pub struct Shelf {
    /// The drills, in the order in which they teach.
    pub drills: Vec<Arc<Drill>>,
    best: BTreeMap<String, f64>,
}

impl Shelf {
    /// A shelf of at least one drill, nothing known of earlier runs.
    pub fn new(drills: Vec<Arc<Drill>>) -> Shelf {
        Shelf {
            drills,
            best: BTreeMap::new(),
        }
    }

    /// The best points on a drill so far.
    pub fn best(&self, index: usize) -> Option<f64> {
        self.best.get(&self.drills[index].id).copied()
    }

    /// Notes points earned on the drill of an id.
    pub(super) fn note(&mut self, id: &str, points: f64) {
        let best = self.best.entry(id.to_string()).or_insert(points);
        *best = best.max(points);
    }
}
