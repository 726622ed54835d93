//! Before a flight: the brief, and the guesses that are compared with the truth afterwards.

use std::sync::Arc;
use std::time::Duration;

use super::{App, Screen};
use crate::brief::{DrillBrief, Predict};
use crate::drill::Drill;
use crate::run::{Recording, Run};
use crate::tui::action::Action;
use crate::tui::job::Job;
use crate::tui::prepared::Sheet;
use crate::tui::screens::predict::Guessing;
use crate::why::explain::Brief;

impl App {
    /// Opens the brief of the chosen drill; the parts that take time to work out follow.
    pub(super) fn brief(&mut self) {
        let drill = &self.shelf.drills[self.chosen];
        self.prepared.ask(self.chosen, drill, self.settings.sheet);
        self.screen = Screen::Brief {
            scroll: 0,
            more: false,
        };
    }

    /// Asks for the guesses once the questions have been worked out.
    pub(super) fn guess(&mut self, now: Duration) {
        let drill = &self.shelf.drills[self.chosen];
        self.prepared.ask(self.chosen, drill, self.settings.sheet);
        self.guesses.clear();
        self.screen = Screen::Predict(Box::new(Guessing::new(&drill.title)));
        self.look_at_questions(now);
    }

    /// Takes in the questions; flies at once where there are none.
    pub(super) fn look_at_questions(&mut self, now: Duration) {
        let Screen::Predict(guessing) = &mut self.screen else {
            return;
        };
        let sheet = self.prepared.sheet(self.chosen);
        let Some(sheet) = sheet.filter(|_| guessing.is_coming()) else {
            return;
        };
        let predict = sheet.ok().map(|sheet| Predict::of(&sheet.brief));
        let questions = predict.map_or_else(Vec::new, |predict| predict.questions);
        match questions.is_empty() {
            true => self.fly(now),
            false => guessing.ask(questions),
        }
    }

    /// Handles a key for the guess under way; after the last guess the flight begins.
    pub(super) fn answer(&mut self, action: Action, now: Duration) {
        let Screen::Predict(guessing) = &mut self.screen else {
            return;
        };
        if guessing.is_coming() {
            return;
        }
        guessing.act(action);
        if let Some(guesses) = guessing.done() {
            self.guesses = guesses.to_vec();
            self.fly(now);
        }
    }

    /// The guesses of a run in words, each compared with the truth, where its brief is at hand. Otherwise the comparison is
    /// worked out in the background, and a placeholder is returned.
    pub(super) fn compare(&mut self, recording: &Recording, run: &Run) -> Vec<String> {
        self.comparing = None;
        if recording.guesses.iter().all(Option::is_none) {
            return Vec::new();
        }
        let (guesses, drill) = (recording.guesses.clone(), run.drill().clone());
        if let Some(sheet) = self.known_sheet(&drill) {
            return Predict::of(&sheet.brief).told(&guesses);
        }
        self.comparing = Some(Job::of(move |_| {
            Ok(Predict::of(&DrillBrief::new(&drill)).told(&guesses))
        }));
        vec![COMPARING.to_string()]
    }

    /// The sheet of a drill, where that is the chosen one and the sheet has been worked out.
    fn known_sheet(&mut self, drill: &Arc<Drill>) -> Option<&Sheet> {
        let is_chosen = Arc::ptr_eq(drill, &self.shelf.drills[self.chosen]);
        let sheet = self.prepared.sheet(self.chosen).filter(|_| is_chosen);
        sheet?.ok()
    }

    /// The brief of a drill to weigh a run with: that of its sheet, where it is known.
    pub(super) fn known_brief(&mut self, drill: &Arc<Drill>) -> Brief {
        let sheet = self.known_sheet(drill);
        sheet.map_or_else(Brief::new, |sheet| sheet.brief.recipes().into())
    }

    /// Takes in the result of that work.
    pub(super) fn look_at_comparing(&mut self) {
        let (Screen::Debrief(debrief), Some(job)) = (&mut self.screen, &mut self.comparing) else {
            return;
        };
        let Some(told) = job.take() else {
            return;
        };
        self.comparing = None;
        let told = told.unwrap_or_else(|why| vec![format!("Guesses: {why}.")]);
        let guesses = &mut debrief.told.guesses;
        guesses.retain(|line| line != COMPARING);
        guesses.splice(0..0, told);
    }
}

/// Shown in place of the guesses while the brief that they are compared with is worked out.
const COMPARING: &str = "Your guesses are being checked.";
