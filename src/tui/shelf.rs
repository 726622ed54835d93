//! What the program is given: its settings, and the drills at hand with the runs flown on them.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::echo::EchoChoice;
use super::prepared::Sheet;
use super::theme::{Background, Theme};
use crate::drill::lesson::{self, Lesson};
use crate::drill::{Aids, Drill, Skill};
use crate::logbook::Logbook;
use crate::progress::{Practice, Record};

/// What the command line gives the program: where runs are kept, what was asked for, and the two things it must not get on its
/// own, the time of day and random numbers.
pub struct Settings {
    /// Where runs are kept.
    pub logbook: Logbook,
    /// How much the screen helps at first; None: as each drill says.
    pub aids: Option<Aids>,
    /// Which run is drawn beside one's own at first.
    pub echo: EchoChoice,
    /// The seed of every run; drawn anew for each where there is none.
    pub seed: Option<u64>,
    /// The air named on the command line, noted in recordings; the drills given have it already.
    pub air: Option<String>,
    /// The pilot's name, where one was given; a run flown by a person is kept under it.
    pub pilot: Option<String>,
    /// Whether a processor can be spared to work out in flight which points are still in reach.
    pub tells_in_reach: bool,
    /// How to draw.
    pub theme: Theme,
    /// What is asked of the terminal.
    pub options: Options,
    pub draw_seed: fn() -> u64,
    /// Makes the sheet of a drill: `Sheet::of`, or a store of such sheets.
    pub sheet: fn(&Arc<Drill>) -> Sheet,
    /// The time of day, RFC 3339.
    pub now: fn() -> String,
}

/// What a person asks of the terminal beyond keys and screen: nothing, as a rule.
#[derive(Clone, Debug, Default)]
pub struct Options {
    /// The mouse: its wheel, and the lever dragged along the rail. The terminal's own text selection is then lost.
    pub mouse: bool,
    /// The bell at a capture, a gate and a call.
    pub bell: bool,
    /// The terminal's background, where the terminal is not to be asked for it.
    pub background: Option<Background>,
    /// An axis that moves the lever.
    #[cfg(feature = "axes")]
    pub axis: Option<super::axis::Calibration>,
}

/// The drills at hand, and the runs that a person has flown so far.
pub struct Shelf {
    /// The drills, in the order in which they teach.
    pub drills: Vec<Arc<Drill>>,
    /// The lesson that is followed.
    pub lesson: Lesson,
    /// A person's runs, of these drills and of others.
    pub practice: Practice,
    /// Earlier runs requested as an echo: from the drill's id to the run's.
    asked: BTreeMap<String, String>,
}

impl Shelf {
    /// A shelf of at least one drill, with the ladder as its lesson and no earlier runs.
    pub fn new(drills: Vec<Arc<Drill>>) -> Shelf {
        Shelf {
            drills,
            lesson: lesson::ladder(),
            practice: Practice::default(),
            asked: BTreeMap::new(),
        }
    }

    /// The place of the first drill with an id.
    pub fn place(&self, id: &str) -> Option<usize> {
        self.drills.iter().position(|drill| drill.id == id)
    }

    /// The place of a drill: one of the same text, aeroplane and air.
    pub fn place_of(&self, drill: &Drill) -> Option<usize> {
        self.drills.iter().position(|other| {
            other.text == drill.text
                && other.aircraft_text == drill.aircraft_text
                && other.air == drill.air
        })
    }

    /// Adds a drill at the end and returns its place.
    pub fn add(&mut self, drill: Arc<Drill>) -> usize {
        self.drills.push(drill);
        self.drills.len() - 1
    }

    /// The record of a person's complete runs of a drill that have points; None where there are none.
    pub fn record(&self, index: usize) -> Option<Record<'_>> {
        self.practice.record(&self.drills[index].id)
    }

    /// The best points on a drill so far.
    pub fn best(&self, index: usize) -> Option<f64> {
        self.record(index).map(|record| record.best)
    }

    /// Whether no complete run of a person with points is known, on any drill.
    pub fn is_new(&self) -> bool {
        let mut flown = self.practice.flown().iter();
        flown.all(|run| run.whole_points().is_none())
    }

    /// The drills whose title, id or aeroplane contains some letters, sorted by skill.
    pub fn listed(&self, letters: &str) -> Vec<(Skill, usize)> {
        let letters = letters.to_lowercase();
        let drills = self.drills.iter().enumerate().filter(|(_, drill)| {
            let names = [&drill.title, &drill.id, &drill.aircraft.name];
            let mut names = names.iter().map(|name| name.to_lowercase());
            names.any(|name| name.contains(&letters))
        });
        let listed = drills.map(|(index, drill)| (Skill::of(drill), index));
        let mut listed: Vec<_> = listed.collect();
        listed.sort();
        listed
    }

    /// The id of the earlier run of a drill that can be its echo: the one requested, or the last that a person flew to its end.
    pub fn earlier(&self, index: usize) -> Option<&str> {
        let drill = &self.drills[index].id;
        let last = || Some(&self.practice.whole(drill).next_back()?.id);
        self.asked.get(drill).or_else(last).map(String::as_str)
    }

    /// Requests an earlier run as the echo of the drill with an id.
    pub fn ask_earlier(&mut self, drill: &str, id: String) {
        self.asked.insert(drill.to_string(), id);
    }
}
