//! What the program is given: its settings, and the drills at hand with the best points on each.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::echo::Choice;
use super::theme::{Background, Theme};
use crate::drill::Aids;
use crate::drill::Drill;
use crate::logbook::{Entry, Logbook};
use crate::run::recording::HandName;

/// What the shell gives the program: where runs are kept, what was asked for, and the two things it must not know by
/// itself, the time of day and chance.
pub struct Settings {
    /// Where runs are kept.
    pub logbook: Logbook,
    /// How much the screen helps at first, where it is not to be what each drill says.
    pub aids: Option<Aids>,
    /// Which run is drawn beside one's own at first.
    pub echo: Choice,
    /// The seed of every run; drawn anew for each where there is none.
    pub seed: Option<u64>,
    /// The air named on the command line, noted in recordings; the drills given have it already.
    pub air: Option<String>,
    /// Whether there is a processor to spare for telling in flight what is still in reach.
    pub tells_in_reach: bool,
    /// How to draw.
    pub theme: Theme,
    /// What is asked of the terminal.
    pub options: Options,
    /// Draws a seed.
    pub draw_seed: fn() -> u64,
    /// The time of day, RFC 3339.
    pub now: fn() -> String,
}

/// What a person asks of the terminal beyond keys and screen: nothing, as a rule.
#[derive(Clone, Debug, Default)]
pub struct Options {
    /// The mouse: its wheel, and the lever dragged along the rail. The terminal's own selecting of text is lost to it.
    pub mouse: bool,
    /// The bell at a capture, a gate and a call.
    pub bell: bool,
    /// The terminal's background, where it is not to be asked.
    pub background: Option<Background>,
    /// An axis that moves the lever.
    #[cfg(feature = "axes")]
    pub axis: Option<super::axis::Calibration>,
}

/// The drills at hand, the best points on each so far, and the run that can be flown against.
pub struct Shelf {
    /// The drills, in the order in which they teach.
    pub drills: Vec<Arc<Drill>>,
    best: BTreeMap<String, f64>,
    earlier: BTreeMap<String, Earlier>,
}

/// A run flown before.
struct Earlier {
    id: String,
    /// It was asked for by its id, so that later ones do not take its place.
    is_asked: bool,
}

impl Shelf {
    /// A shelf of at least one drill, nothing known of earlier runs.
    pub fn new(drills: Vec<Arc<Drill>>) -> Shelf {
        Shelf {
            drills,
            best: BTreeMap::new(),
            earlier: BTreeMap::new(),
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

    /// The id of the earlier run of a drill that can be flown against: the one asked for, or the last that a person flew to
    /// its end.
    pub fn earlier(&self, index: usize) -> Option<&str> {
        let earlier = self.earlier.get(&self.drills[index].id)?;
        Some(&earlier.id)
    }

    /// Asks for an earlier run of the drill of an id.
    pub fn ask_earlier(&mut self, drill: &str, id: String) {
        let is_asked = true;
        self.earlier
            .insert(drill.to_string(), Earlier { id, is_asked });
    }

    /// Notes a run that was kept.
    pub(super) fn note_run(&mut self, entry: &Entry) {
        let is_asked = self
            .earlier
            .get(&entry.drill)
            .is_some_and(|earlier| earlier.is_asked);
        if entry.hand == HandName::Person && entry.complete && !is_asked {
            let earlier = Earlier {
                id: entry.id.clone(),
                is_asked: false,
            };
            self.earlier.insert(entry.drill.clone(), earlier);
        }
    }
}
