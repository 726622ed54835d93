//! How flights begin: flown by a person or by a built-in hand, with an echo beside them.

use std::time::Duration;

use super::{App, Screen};
use crate::export::text::word;
use crate::run::Leg;
use crate::run::recording::HandName;
use crate::tui::action::Action;
use crate::tui::echo::{Beside, EchoChoice};
use crate::tui::flight::{Flight, Pilot};
use crate::tui::job::{Awaited, Job, Wanted};
use crate::tui::screens::hands::Choosing;
use crate::tui::shown::SHOWN;
use crate::tui::weighing::Weighing;

impl App {
    pub(super) fn fly(&mut self, now: Duration) {
        let releases = self.releases;
        let seed = self.seed();
        self.take_off(Pilot::Person { releases }, seed, now);
    }

    /// Begins the flight under way again, with the same hand.
    pub(super) fn fly_again(&mut self, now: Duration) {
        match &self.screen {
            Screen::Fly(flight) if flight.shown_by().is_some() => self.watch(flight.hand(), now),
            _ => self.fly(now),
        }
    }

    /// Asks before a run is begun again in which a person has finished a task that counts. The same key confirms, any other drops
    /// the question, and the key for a pause also flies on. Returns whether the key has been dealt with.
    pub(super) fn asks_first(&mut self, action: Action, now: Duration) -> bool {
        let was_asked = std::mem::take(&mut self.asks_again);
        let Screen::Fly(flight) = &mut self.screen else {
            return false;
        };
        if action != Action::Again {
            return was_asked && action != Action::Pause;
        }
        let run = flight.run();
        let counts = |leg: &Leg| leg.end.is_some() && run.drill().tasks[leg.task].scored;
        if was_asked || flight.shown_by().is_some() || !run.legs().iter().any(counts) {
            return false;
        }
        flight.pause(now);
        self.asks_again = true;
        true
    }

    /// Lets a built-in hand fly the chosen drill. Its run is worked out first, in the background.
    pub(super) fn watch(&mut self, name: HandName, now: Duration) {
        let (drill, seed) = (self.shelf.drills[self.chosen].clone(), self.seed());
        self.keep();
        let wanted = match name {
            HandName::Best => Wanted::Best(self.settings.logbook.clone(), drill, seed),
            _ => Wanted::Hand(name, drill, seed),
        };
        let chosen = SHOWN.iter().position(|shown| shown.hand == name);
        let from_brief = matches!(&self.screen, Screen::Hands(choosing) if choosing.from_brief);
        self.screen = Screen::Hands(Box::new(Choosing {
            from_brief,
            chosen: chosen.unwrap_or(0),
            run: Some((Awaited::Coming(Job::begin(wanted)), seed)),
        }));
        self.advance_choosing(now);
    }

    /// Lets the chosen hand fly once its run has been worked out.
    pub(super) fn advance_choosing(&mut self, now: Duration) {
        let Screen::Hands(choosing) = &mut self.screen else {
            return;
        };
        let Some((run, seed)) = &mut choosing.run else {
            return;
        };
        if let Some(Ok(run)) = run.look() {
            let (name, seed) = (SHOWN[choosing.chosen].hand, *seed);
            let pilot = Pilot::again(name, format!("shown by {}", word(name)), run);
            self.guesses.clear();
            self.take_off(pilot, seed, now);
        }
    }

    /// Switches to the next run to be drawn beside one's own, or to none.
    pub(super) fn next_echo(&mut self) {
        let has_earlier = self.shelf.earlier(self.chosen).is_some();
        self.settings.echo = self.settings.echo.next(has_earlier);
        let Screen::Fly(flight) = &self.screen else {
            return;
        };
        let echo = self.echo(flight.run().seed());
        if let Screen::Fly(flight) = &mut self.screen {
            flight.echo = echo;
        }
    }

    fn seed(&self) -> u64 {
        self.settings.seed.unwrap_or_else(self.settings.draw_seed)
    }

    /// Begins a flight; one that is under way is kept first.
    fn take_off(&mut self, pilot: Pilot, seed: u64, now: Duration) {
        self.remember();
        self.keep();
        // Back on the menu after a flight, letters are keys again and not part of a name.
        self.find = None;
        let drill = self.shelf.drills[self.chosen].clone();
        let brief = self.known_brief(&drill);
        let logbook = &self.settings.logbook;
        self.weighing = Some(Weighing::begin(logbook, &drill, seed, brief));
        let mut flight = Flight::new(drill, seed, pilot, self.chosen_aids(), now);
        flight.echo = self.echo(seed);
        self.screen = Screen::Fly(Box::new(flight));
    }

    /// The echo wanted for the chosen drill, in the air of a seed.
    fn echo(&self, seed: u64) -> Option<Beside> {
        let drill = self.shelf.drills[self.chosen].clone();
        let logbook = self.settings.logbook.clone();
        let wanted = match self.settings.echo {
            EchoChoice::Off | EchoChoice::Better => return None,
            EchoChoice::Par => Some(Wanted::Par(logbook, drill, seed)),
            EchoChoice::Brief => Some(Wanted::Hand(HandName::Brief, drill, seed)),
            EchoChoice::Best => Some(Wanted::Best(logbook, drill, seed)),
            EchoChoice::Earlier => {
                let id = self.shelf.earlier(self.chosen);
                id.map(|id| Wanted::Kept(logbook, id.to_string()))
            }
        };
        Some(Beside::ask(self.settings.echo, wanted))
    }
}
