//! What the program is given: its settings, and the drills at hand with what was made of each.

use std::collections::{BTreeMap, VecDeque};
use std::sync::Arc;

use super::echo::Choice;
use super::theme::{Background, Theme};
use crate::drill::{Aids, Drill, Skill};
use crate::logbook::{Entry, Logbook};
use crate::run::recording::HandName;
use crate::score::points::PAR_POINTS;
use crate::why::Kind;

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
    /// Who flies, where that was said; a run flown by a person is kept under that name.
    pub pilot: Option<String>,
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

/// So many of a drill's latest runs are shown.
pub const SHOWN: usize = 12;

/// The drills at hand, and what a person's complete runs of each came to so far.
pub struct Shelf {
    /// The drills, in the order in which they teach.
    pub drills: Vec<Arc<Drill>>,
    records: BTreeMap<String, Record>,
    earlier: BTreeMap<String, Earlier>,
}

/// What a person's complete runs of a drill came to.
#[derive(Default)]
pub struct Record {
    /// The most points.
    pub best: f64,
    /// The latest runs, the last one last, at least one and at most [`SHOWN`].
    pub latest: VecDeque<Flown>,
}

/// One of them.
pub struct Flown {
    /// Its points.
    pub points: f64,
    /// Where the rest of them went: kinds of lines and what they cost; None where that was not kept.
    pub bill: Option<Vec<(String, f64)>>,
}

/// A run flown before.
struct Earlier {
    id: String,
    /// It was asked for by its id, so that later ones do not take its place.
    is_asked: bool,
}

impl Record {
    /// Points of the latest runs, the last one last.
    pub fn points(&self) -> Vec<f64> {
        self.latest.iter().map(|flown| flown.points).collect()
    }

    /// Whether the best of them is as good as par, to the point as shown.
    pub fn is_par(&self) -> bool {
        self.best.round() >= PAR_POINTS
    }

    /// What costs most in the latest runs, dearest first: the kind of line and its points a run, of those that were weighed.
    pub fn dearest(&self) -> Vec<(String, f64)> {
        let bills: Vec<_> = self
            .latest
            .iter()
            .filter_map(|flown| flown.bill.as_ref())
            .collect();
        let mut costs = BTreeMap::<&str, f64>::new();
        for (kind, points) in bills.iter().copied().flatten() {
            *costs.entry(kind).or_default() += points / bills.len() as f64;
        }
        costs.remove(Kind::Rest.key());
        let mut costs: Vec<_> = costs
            .into_iter()
            .map(|(kind, points)| (kind.to_string(), points))
            .collect();
        costs.sort_by(|a, b| b.1.total_cmp(&a.1));
        costs
    }
}

impl Shelf {
    /// A shelf of at least one drill, nothing known of earlier runs.
    pub fn new(drills: Vec<Arc<Drill>>) -> Shelf {
        Shelf {
            drills,
            records: BTreeMap::new(),
            earlier: BTreeMap::new(),
        }
    }

    /// What a person's complete runs of a drill came to; None where there are none.
    pub fn record(&self, index: usize) -> Option<&Record> {
        self.record_of(&self.drills[index].id)
    }

    /// The same of the drill of an id.
    pub(super) fn record_of(&self, id: &str) -> Option<&Record> {
        self.records.get(id)
    }

    /// The best points on a drill so far.
    pub fn best(&self, index: usize) -> Option<f64> {
        self.record(index).map(|record| record.best)
    }

    /// Whether no complete run of a person is known, on any drill.
    pub fn is_new(&self) -> bool {
        self.records.is_empty()
    }

    /// The drills in which some letters are found, by skill.
    pub fn listed(&self, letters: &str) -> Vec<(Skill, usize)> {
        let letters = letters.to_lowercase();
        let drills = self.drills.iter().enumerate().filter(|(_, drill)| {
            let names = [&drill.title, &drill.id, &drill.aircraft.name];
            names
                .iter()
                .any(|name| name.to_lowercase().contains(&letters))
        });
        let mut listed: Vec<_> = drills
            .map(|(index, drill)| (Skill::of(drill), index))
            .collect();
        listed.sort();
        listed
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

    /// Notes a run; only what a person flew to the end counts.
    pub(super) fn note_run(&mut self, entry: Entry) {
        if entry.hand != HandName::Person || !entry.complete {
            return;
        }
        if let Some(points) = entry.points {
            let record = self.records.entry(entry.drill.clone()).or_default();
            record.best = record.best.max(points);
            if record.latest.len() == SHOWN {
                record.latest.pop_front();
            }
            record.latest.push_back(Flown {
                points,
                bill: entry.bill,
            });
        }
        let earlier = self.earlier.get(&entry.drill);
        if !earlier.is_some_and(|earlier| earlier.is_asked) {
            let earlier = Earlier {
                id: entry.id,
                is_asked: false,
            };
            self.earlier.insert(entry.drill, earlier);
        }
    }
}
