//! The first flight, guided: it counts for nothing and is not kept.

use std::sync::Arc;
use std::time::Duration;

use super::{App, Screen};
use crate::drill::{Aids, guide, library};
use crate::tui::action::Action;
use crate::tui::flight::{Flight, Phase, Pilot};
use crate::tui::guided::{Guided, is_captured};

impl App {
    /// Begins the guided flight, or begins it again.
    pub(super) fn fly_guided(&mut self, now: Duration) {
        // Cannot fail: a test reads the file that ships.
        let Ok(guide) = guide::parse(guide::FIRST_FLIGHT) else {
            return;
        };
        let drill = library::drill(&guide.drill).map(library::Shipped::drill);
        let Some(Ok(drill)) = drill else {
            return;
        };
        let releases = self.releases;
        // The drill's air is still: every seed gives the same flight.
        let pilot = Pilot::Person { releases };
        let flight = Flight::new(Arc::new(drill), 0, pilot, Aids::Full, now);
        self.weighing = None;
        self.guesses.clear();
        self.guided = Some(Guided::new(guide, &flight));
        self.screen = Screen::Fly(Box::new(flight));
    }

    /// Handles a key of a guided flight that is not for the lever. Returns whether the key has been dealt with.
    pub(super) fn step_guided(&mut self, action: Action, now: Duration) -> bool {
        let (Screen::Fly(flight), Some(guided)) = (&mut self.screen, &mut self.guided) else {
            return false;
        };
        let over = flight.is_over();
        match action {
            Action::Again => self.fly_guided(now),
            Action::Leave => self.end_guided(),
            Action::Go if over && is_captured(flight) => {
                let id = flight.run().drill().id.clone();
                self.end_guided();
                self.chosen = self.shelf.place(&id).unwrap_or(self.chosen);
                self.fly(now);
            }
            Action::Go if over => self.fly_guided(now),
            Action::Go | Action::Pause if over => {}
            Action::Go | Action::Pause if flight.phase() != Phase::Flying => flight.begin(now),
            Action::Go | Action::Pause if guided.is_stopped() => guided.pass_over(),
            Action::Pause => flight.pause(now),
            // Nothing is asked, so there is nothing to skip.
            Action::Go => {}
            _ => return over,
        }
        true
    }

    /// Goes back to the menu, whose first line no longer offers the guided flight.
    fn end_guided(&mut self) {
        self.guided = None;
        self.screen = Screen::Menu;
        self.note_guided();
    }
}
