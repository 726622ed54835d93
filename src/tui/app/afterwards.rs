//! After a run: stepping through its debrief, playing it again, and the runs that were kept.

use std::time::Duration;

use jiff::civil::Date;

use super::{App, Screen};
use crate::export::excerpt;
use crate::export::told::Kept;
use crate::logbook::{Logbook, LogbookError};
use crate::progress::{Flown, Practice, next};
use crate::run::{Recording, Run};
use crate::tui::replay::Replay;
use crate::tui::screens::debrief::Debrief;
use crate::tui::screens::debrief::compare::Earlier;
use crate::tui::screens::runs::Runs;
use crate::tui::screens::sofar::SoFar;

/// How many runs of a drill of this id are searched for one whose drill has the same text.
const LOOKED_AT: usize = 20;

/// A line of a bill that is flown as a drill of its own, which lies last on the shelf.
pub(super) struct Practising {
    /// The drill to go back to.
    pub from: usize,
    /// The debrief to go back to.
    debrief: Box<Debrief>,
    /// What the line cost, points.
    cost: f64,
    /// The points of every attempt flown to its end, the last one latest.
    pub attempts: Vec<f64>,
}

impl Practising {
    /// How the latest attempt compares with the line and with the other attempts.
    pub fn sentence(&self) -> Option<String> {
        let (cost, now) = (self.cost, self.attempts.last()?);
        let best = self.attempts.iter().copied().fold(0.0, f64::max);
        let earned = match self.attempts.len() {
            1 => format!("this time the task earned {now:.0}"),
            n => format!("in {n} attempts the task earned {best:.0} at best, {now:.0} this time"),
        };
        Some(format!("The line cost {cost:.0} points; {earned}."))
    }
}

impl App {
    /// Puts the next available comparison beside the debriefed run.
    pub(super) fn hold_against_next(&mut self) {
        let Screen::Debrief(debrief) = &mut self.screen else {
            return;
        };
        let own_id = match &debrief.told.kept {
            Kept::As(id) => id.clone(),
            Kept::Not(_) | Kept::Elsewhere(_) => debrief.told.recording.id.clone(),
        };
        let drill = Recording::of(debrief.run());
        let logbook = &self.settings.logbook;
        debrief.next_against(|| earlier(logbook, &drill, &own_id));
    }

    /// Flies the chosen line of the bill as a short drill of its own; again and again, until something else is chosen.
    pub(super) fn practise(&mut self, now: Duration) {
        let Screen::Debrief(debrief) = &self.screen else {
            return;
        };
        let Some(line) = debrief.line() else { return };
        let Some(drill) = excerpt::of(debrief.run(), line) else {
            return;
        };
        let cost = line.points;
        if self.practising.is_none() {
            self.choose_debriefed();
        }
        let first = self.end_practice();
        if let Screen::Debrief(debrief) = std::mem::take(&mut self.screen) {
            self.practising = Some(Practising {
                from: self.chosen,
                debrief: first.unwrap_or(debrief),
                cost,
                attempts: Vec::new(),
            });
        }
        self.chosen = self.shelf.add(drill);
        self.guesses.clear();
        self.fly(now);
    }

    /// Puts a practice away and chooses the drill it was taken from again. Returns the debrief it was taken from.
    pub(super) fn end_practice(&mut self) -> Option<Box<Debrief>> {
        let practising = self.practising.take()?;
        self.shelf.drills.pop();
        self.chosen = practising.from;
        Some(practising.debrief)
    }

    /// Goes to the debrief that a practice was taken from, or else to the menu.
    pub(super) fn go_back(&mut self) {
        self.weighing = None;
        let debrief = self.end_practice();
        self.screen = debrief.map_or(Screen::Menu, Screen::Debrief);
    }

    pub(super) fn replay(&mut self, now: Duration) {
        match std::mem::take(&mut self.screen) {
            Screen::Debrief(debrief) if debrief.run().known().lever => {
                let replay = Replay::new(debrief, now);
                self.screen = Screen::Replay(Box::new(replay));
            }
            other => self.screen = other,
        }
    }

    pub(super) fn end_replay(&mut self) {
        match std::mem::take(&mut self.screen) {
            Screen::Replay(replay) => self.screen = Screen::Debrief(replay.into_debrief()),
            other => self.screen = other,
        }
    }

    /// Lists the runs that were kept, one of them chosen.
    pub(super) fn list_runs(&mut self, chosen: usize) {
        let (mut entries, trouble) = match self.settings.logbook.entries() {
            Ok(found) => (found.entries, None),
            Err(error) => (Vec::new(), Some(error.to_string())),
        };
        entries.reverse();
        self.screen = Screen::Runs(Box::new(Runs {
            chosen: chosen.min(entries.len().saturating_sub(1)),
            entries,
            trouble,
        }));
    }

    /// Reads what a person flew so far. Returns the number of lines that could not be read.
    pub(super) fn read_practice(&mut self) -> Result<usize, LogbookError> {
        let found = self.settings.logbook.entries()?;
        let unreadable = found.unreadable;
        self.shelf.practice = Practice::of(found.practice());
        Ok(unreadable)
    }

    /// Chooses what to fly next from a person's runs.
    pub(super) fn look_up_next(&mut self) {
        let flown: Vec<&Flown> = self.shelf.practice.flown().iter().collect();
        let (lesson, pinned) = (&self.shelf.lesson, self.settings.aids);
        let next = |today| next(lesson, &flown, today, pinned);
        self.next = self.today().and_then(next).map(|next| next.now);
    }

    fn today(&self) -> Option<Date> {
        (self.settings.now)().get(..10)?.parse().ok()
    }

    /// Shows the progress so far.
    pub(super) fn tell_so_far(&mut self) {
        let trouble = match self.read_practice() {
            Ok(0) => None,
            Ok(lines) => Some(format!("{lines} of the logbook's lines cannot be read")),
            Err(error) => Some(error.to_string()),
        };
        let so_far = SoFar::of(&self.shelf, self.today(), self.settings.aids, trouble);
        self.screen = Screen::SoFar(Box::new(so_far));
    }

    /// Flies the chosen run again and opens its debrief.
    pub(super) fn open_kept(&mut self) {
        let Screen::Runs(runs) = &mut self.screen else {
            return;
        };
        let Some(entry) = runs.entries.get(runs.chosen) else {
            return;
        };
        match kept(&self.settings.logbook, &entry.id) {
            Ok((recording, run)) => {
                let listed_at = Some(runs.chosen);
                self.weigh(run, recording, listed_at);
            }
            Err(why) => runs.trouble = Some(why),
        }
    }
}

fn kept(logbook: &Logbook, id: &str) -> Result<(Recording, Run), String> {
    let recording = logbook.recording(id).map_err(|error| error.to_string())?;
    let run = recording
        .replay()
        .map_err(|error| format!("run {id} cannot be flown again: {error}"))?;
    Ok((recording, run))
}

/// The latest other run of the same drill, word for word, that can be flown again.
fn earlier(logbook: &Logbook, drill: &Recording, own_id: &str) -> Option<Earlier> {
    let entries = logbook.entries().ok()?.entries;
    let others = entries
        .iter()
        .rev()
        .filter(|entry| entry.drill == drill.drill && entry.id != own_id);
    others.take(LOOKED_AT).find_map(|entry| {
        let recording = logbook.recording(&entry.id).ok()?;
        let same = recording.drill_text == drill.drill_text
            && recording.aircraft_text == drill.aircraft_text;
        let run = same.then(|| recording.replay().ok())??;
        Some(Earlier {
            id: entry.id.clone(),
            points: entry.points,
            run,
        })
    })
}
