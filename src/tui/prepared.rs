//! Briefs and power cards, each worked out once for its drill and kept while the program runs.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::job::{Awaited, Job};
use crate::brief::{DrillBrief, PowerCard};
use crate::drill::Drill;

/// What can be known of a drill before it is flown.
#[derive(Clone)]
pub struct Sheet {
    /// What to do, and the numbers behind it.
    pub brief: DrillBrief,
    /// Small corrections at the altitude of the first task; None where the aeroplane cannot fly level there.
    pub card: Option<PowerCard>,
}

/// The sheets asked for so far, by the drill's place on the shelf.
#[derive(Default)]
pub struct Prepared {
    sheets: BTreeMap<usize, Awaited<Sheet>>,
}

impl Sheet {
    /// Works out the sheet of a drill, which takes a while.
    pub fn of(drill: &Arc<Drill>) -> Sheet {
        Sheet {
            brief: DrillBrief::new(drill),
            card: PowerCard::of(drill),
        }
    }
}

impl Prepared {
    /// Asks for a drill's sheet, which `sheet` makes; does nothing where it has been asked for already. Sheets of other drills
    /// that are still being worked out are dropped.
    pub fn ask(&mut self, index: usize, drill: &Arc<Drill>, sheet: fn(&Arc<Drill>) -> Sheet) {
        let is_coming = |sheet: &Awaited<Sheet>| matches!(sheet, Awaited::Coming(_));
        self.sheets
            .retain(|other, sheet| *other == index || !is_coming(sheet));
        self.sheets.entry(index).or_insert_with(|| {
            let drill = drill.clone();
            Awaited::Coming(Job::of(move |_| Ok(sheet(&drill))))
        });
    }

    /// A drill's sheet once it is there, or why there is none. Never waits.
    pub fn sheet(&mut self, index: usize) -> Option<Result<&Sheet, &str>> {
        self.sheets.get_mut(&index)?.look()
    }
}
