//! The program as a state: events and time change it, screens draw it.

mod drawing;
mod guesses;

use std::time::Duration;

use crossterm::event::{KeyEvent, KeyEventKind};

use super::action::{Action, Place, action};
use super::flight::{Flight, Phase};
use super::key_lever::Way;
use super::prepared::Prepared;
use super::screens::aeroplane::Aeroplane;
use super::screens::debrief::Debrief;
use super::screens::predict::Guessing;
use super::shelf::{Settings, Shelf};
use crate::run::Recording;
use crate::run::recording::{Aids, HandName};
use crate::score::score;

/// Least size at which everything has its place.
pub const LEAST: (u16, u16) = (80, 24);
/// Lines of a text that a leap passes.
const LEAP: i16 = 10;

enum Screen {
    Menu,
    Aeroplane(Box<Aeroplane>),
    /// First line of the text in sight, and whether the screen has been drawn.
    Brief {
        scroll: u16,
        drawn: bool,
    },
    Predict(Box<Guessing>),
    Fly(Box<Flight>),
    Debrief(Box<Debrief>),
}

/// What the loop has to do after an event.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wish {
    /// Go on.
    Stay,
    /// End with this exit code.
    Exit(u8),
    /// Go to the background.
    Suspend,
}

/// Where the program begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Start {
    /// At the list of drills.
    Menu,
    /// Flying a drill of the shelf.
    Fly(usize),
    /// Guessing the numbers of a drill of the shelf, then flying it.
    Guess(usize),
}

/// The program.
pub struct App {
    settings: Settings,
    shelf: Shelf,
    chosen: usize,
    screen: Screen,
    prepared: Prepared,
    /// What was guessed before the flight under way.
    guesses: Vec<Option<f64>>,
    help: bool,
    size: (u16, u16),
    releases: bool,
}

impl App {
    /// The program at its start.
    pub fn new(settings: Settings, shelf: Shelf, start: Start, now: Duration) -> App {
        let mut app = App {
            settings,
            shelf,
            chosen: 0,
            screen: Screen::Menu,
            prepared: Prepared::default(),
            guesses: Vec::new(),
            help: false,
            size: LEAST,
            releases: false,
        };
        match start {
            Start::Menu => {}
            Start::Fly(index) => {
                app.chosen = index;
                app.fly(now);
            }
            Start::Guess(index) => {
                app.chosen = index;
                app.guess(now);
            }
        }
        app
    }

    /// Reads the best points so far; not needed for the first frame.
    pub fn look_up_best(&mut self) {
        let Ok(found) = self.settings.logbook.entries() else {
            return;
        };
        for entry in &found.entries {
            if let (HandName::Person, Some(points)) = (entry.hand, entry.points) {
                self.shelf.note(&entry.drill, points);
            }
        }
    }

    /// Whether the terminal reports keys being let go.
    pub fn set_releases(&mut self, releases: bool) {
        self.releases = releases;
        if let (true, Screen::Fly(flight)) = (releases, &mut self.screen) {
            flight.expect_releases();
        }
    }

    /// Flies what has become due; a run that is over goes to its debrief. A brief that has been drawn gets its power card.
    pub fn advance(&mut self, now: Duration) {
        if let Screen::Brief { drawn: true, .. } = self.screen {
            let drill = &self.shelf.drills[self.chosen];
            self.prepared.compute_card(self.chosen, drill);
        }
        if let Screen::Fly(flight) = &mut self.screen {
            flight.advance(now);
            if flight.run().end().is_some() {
                self.debrief();
            }
        }
    }

    /// When something is due next without an event; None where nothing moves.
    pub fn next_at(&self) -> Option<Duration> {
        match &self.screen {
            Screen::Fly(flight) => flight.next_at(),
            _ => None,
        }
    }

    /// The terminal took no output for a while.
    pub fn note_stall(&mut self) {
        if let Screen::Fly(flight) = &mut self.screen {
            flight.note_stall();
        }
    }

    /// Stops time, for a stop from outside or a screen that shows no flight.
    pub fn pause(&mut self, now: Duration) {
        if let Screen::Fly(flight) = &mut self.screen {
            flight.pause(now);
        }
    }

    /// Whatever is held counts as let go.
    pub fn focus_lost(&mut self, now: Duration) {
        if let Screen::Fly(flight) = &mut self.screen {
            flight.focus_lost(now);
        }
    }

    /// The terminal has a new size; too small a one pauses.
    pub fn resized(&mut self, columns: u16, rows: u16, now: Duration) {
        self.size = (columns, rows);
        if !self.has_room() {
            self.pause(now);
        }
    }

    /// Keeps what has been flown before the program ends.
    pub fn end(&mut self) {
        if let Screen::Fly(flight) = &mut self.screen {
            flight.leave();
            self.debrief();
        }
    }

    fn has_room(&self) -> bool {
        self.size.0 >= LEAST.0 && self.size.1 >= LEAST.1
    }

    fn place(&self) -> Place {
        match self.screen {
            Screen::Menu => Place::Menu,
            Screen::Aeroplane(_) => Place::Aeroplane,
            Screen::Brief { .. } => Place::Brief,
            Screen::Predict(_) => Place::Predict,
            Screen::Fly(_) => Place::Fly,
            Screen::Debrief(_) => Place::Debrief,
        }
    }

    /// A key.
    pub fn key(&mut self, key: &KeyEvent, now: Duration) -> Wish {
        let released = key.kind == KeyEventKind::Release;
        let Some(action) = action(self.place(), key) else {
            return self.close_help(released);
        };
        match action {
            Action::Quit if !released => {
                self.end();
                return Wish::Exit(130);
            }
            Action::Suspend if !released => return Wish::Suspend,
            Action::Panic => panic!("asked to break down"),
            Action::Help if !released => {
                self.help = !self.help;
                self.pause(now);
                return Wish::Stay;
            }
            _ if self.help => return self.close_help(released),
            _ if !self.has_room() => return Wish::Stay,
            _ => {}
        }
        if let Screen::Fly(flight) = &mut self.screen {
            flight.act(action, released, now);
        }
        if released {
            return Wish::Stay;
        }
        match action {
            Action::Back => self.move_by(-1),
            Action::Forth => self.move_by(1),
            Action::Leap(Way::Up) => self.scroll_by(-LEAP),
            Action::Leap(Way::Down) => self.scroll_by(LEAP),
            Action::Aids => self.settings.aids = next(self.settings.aids),
            Action::Aeroplane => {
                let aeroplane = Aeroplane::of(&self.shelf.drills[self.chosen]);
                self.screen = Screen::Aeroplane(Box::new(aeroplane));
            }
            Action::Guess => self.guess(now),
            Action::Write(_) | Action::Erase | Action::Go if self.place() == Place::Predict => {
                self.answer(action, now);
            }
            Action::Go if self.place() == Place::Menu => self.brief(),
            Action::Go | Action::Again => {
                // Begun again on the way, a flight keeps its guesses: the truth has not been shown yet.
                if self.place() != Place::Fly {
                    self.guesses.clear();
                }
                self.fly(now);
            }
            Action::Next => {
                self.chosen = (self.chosen + 1) % self.shelf.drills.len();
                self.brief();
            }
            Action::Leave => return self.leave(),
            _ => {}
        }
        Wish::Stay
    }

    fn close_help(&mut self, released: bool) -> Wish {
        if !released {
            self.help = false;
        }
        Wish::Stay
    }

    fn move_by(&mut self, by: i16) {
        if let Screen::Menu = self.screen {
            let last = self.shelf.drills.len() - 1;
            self.chosen = self.chosen.saturating_add_signed(by.into()).min(last);
        } else {
            self.scroll_by(by);
        }
    }

    /// Moves a text; drawing it holds it to what there is.
    fn scroll_by(&mut self, by: i16) {
        let scroll = match &mut self.screen {
            Screen::Aeroplane(aeroplane) => &mut aeroplane.scroll,
            Screen::Brief { scroll, .. } => scroll,
            Screen::Debrief(debrief) => &mut debrief.scroll,
            Screen::Menu | Screen::Predict(_) | Screen::Fly(_) => return,
        };
        *scroll = scroll.saturating_add_signed(by);
    }

    fn leave(&mut self) -> Wish {
        match &mut self.screen {
            Screen::Menu => return Wish::Exit(0),
            Screen::Fly(flight) => {
                flight.leave();
                self.debrief();
            }
            Screen::Aeroplane(_)
            | Screen::Brief { .. }
            | Screen::Predict(_)
            | Screen::Debrief(_) => self.screen = Screen::Menu,
        }
        Wish::Stay
    }

    /// Begins a flight; one that is under way is kept first.
    fn fly(&mut self, now: Duration) {
        if let Screen::Fly(flight) = &mut self.screen {
            flight.leave();
            self.debrief();
        }
        let seed = self.settings.seed.unwrap_or_else(self.settings.draw_seed);
        let drill = self.shelf.drills[self.chosen].clone();
        let flight = Flight::new(drill, seed, self.settings.aids, self.releases, now);
        self.screen = Screen::Fly(Box::new(flight));
    }

    /// Keeps the run that is over, then shows what it was worth. One without a tick was none.
    fn debrief(&mut self) {
        let guesses = self.compared();
        let Screen::Fly(flight) = &self.screen else {
            return;
        };
        let run = flight.run().clone();
        if run.tick() == 0 {
            self.screen = Screen::Menu;
            return;
        }
        let score = score(&run);
        let recording = Recording {
            at: (self.settings.now)(),
            hand: HandName::Person,
            aids: flight.aids,
            air: self.settings.air.clone(),
            stalls_s: flight.stalls_s().to_vec(),
            guesses: self.guesses.clone(),
            ..Recording::of(&run)
        };
        let stalls = recording.stalls_s.len();
        let saved = self.settings.logbook.save(&recording, run.drill(), &score);
        if let Some(points) = score.points {
            self.shelf.note(&run.drill().id, points);
        }
        self.screen = Screen::Debrief(Box::new(Debrief {
            run,
            score,
            saved: saved
                .map(|entry| entry.id)
                .map_err(|error| error.to_string()),
            stalls,
            guesses,
            scroll: 0,
        }));
    }

    /// Whether there is something new to draw without an event: a flight runs, or a power card is to come.
    pub fn is_moving(&self) -> bool {
        match &self.screen {
            Screen::Fly(flight) => flight.phase() == Phase::Flying,
            Screen::Brief { .. } => self.prepared.card(self.chosen).is_none(),
            _ => false,
        }
    }
}

fn next(aids: Aids) -> Aids {
    match aids {
        Aids::Full => Aids::Some,
        Aids::Some => Aids::Bare,
        Aids::Bare => Aids::Full,
    }
}
