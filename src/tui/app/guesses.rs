//! Before a flight: the brief, and the guesses that are held against the truth afterwards.

use std::time::Duration;

use super::{App, Screen};
use crate::brief::Predict;
use crate::tui::action::Action;
use crate::tui::screens::predict::Guessing;

impl App {
    /// Opens the brief of the chosen drill; what takes time to work out follows.
    pub(super) fn brief(&mut self) {
        let drill = &self.shelf.drills[self.chosen];
        self.prepared.ask(self.chosen, drill);
        self.screen = Screen::Brief {
            scroll: 0,
            more: false,
        };
    }

    fn predict(&mut self) -> Option<Predict> {
        let drill = &self.shelf.drills[self.chosen];
        self.prepared.brief(self.chosen, drill).map(Predict::of)
    }

    /// Asks for the guesses; flies at once where there is nothing to ask.
    pub(super) fn guess(&mut self, now: Duration) {
        let predict = self.predict();
        let questions = predict.iter().flat_map(Predict::questions);
        let questions: Vec<_> = questions.cloned().collect();
        self.guesses.clear();
        if questions.is_empty() {
            return self.fly(now);
        }
        let title = &self.shelf.drills[self.chosen].title;
        self.screen = Screen::Predict(Box::new(Guessing::new(title, questions)));
    }

    /// A key for the guess under way; after the last one the flight begins.
    pub(super) fn answer(&mut self, action: Action, now: Duration) {
        let Screen::Predict(guessing) = &mut self.screen else {
            return;
        };
        match action {
            Action::Write(character) => guessing.write(character),
            Action::Erase => guessing.erase(),
            _ => guessing.take(),
        }
        if let Some(guesses) = guessing.done() {
            self.guesses = guesses.to_vec();
            self.fly(now);
        }
    }

    /// The guesses made, each held against the truth, in words.
    pub(super) fn compared(&mut self) -> Vec<String> {
        if self.guesses.iter().all(Option::is_none) {
            return Vec::new();
        }
        self.predict()
            .map_or_else(Vec::new, |predict| predict.told(&self.guesses))
    }
}
