//! The program as a state: events and time change it, screens draw it.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;

use crossterm::event::{KeyEvent, KeyEventKind};
use ratatui::Frame;
use ratatui::layout::Rect;

use super::action::{Action, Place, action};
use super::flight::{Flight, Phase};
use super::key_lever::Way;
use super::prepared::Prepared;
use super::screens::aeroplane::Aeroplane;
use super::screens::brief::Briefing;
use super::screens::debrief::Debrief;
use super::screens::predict::Guessing;
use super::screens::{aeroplane, brief, debrief, fly, help, menu, predict};
use super::theme::{Role, Theme};
use crate::brief::Predict;
use crate::brief::predict::{Question, Unit};
use crate::drill::Drill;
use crate::logbook::Logbook;
use crate::run::Recording;
use crate::run::recording::{Aids, HandName};
use crate::score::score;

/// Least size at which everything has its place.
pub const LEAST: (u16, u16) = (80, 24);
/// Lines of a text that a leap passes.
const LEAP: i16 = 10;

/// What the shell gives the program: where runs are kept, what was asked for, and the two things it must not know by
/// itself, the time of day and chance.
pub struct Settings {
    /// Where runs are kept.
    pub logbook: Logbook,
    /// How much the screen helps at first.
    pub aids: Aids,
    /// The seed of every run; drawn anew for each where there is none.
    pub seed: Option<u64>,
    /// The air named on the command line, noted in recordings; the drills given have it already.
    pub air: Option<String>,
    /// How to draw.
    pub theme: Theme,
    /// Draws a seed.
    pub draw_seed: fn() -> u64,
    /// The time of day, RFC 3339.
    pub now: fn() -> String,
}

/// The drills at hand, and the best points on each so far.
pub struct Shelf {
    /// The drills, in the order in which they teach.
    pub drills: Vec<Arc<Drill>>,
    best: BTreeMap<String, f64>,
}

impl Shelf {
    /// A shelf of at least one drill, nothing known of earlier runs.
    pub fn new(drills: Vec<Arc<Drill>>) -> Shelf {
        Shelf {
            drills,
            best: BTreeMap::new(),
        }
    }

    /// The best points on a drill so far.
    pub fn best(&self, index: usize) -> Option<f64> {
        self.best.get(&self.drills[index].id).copied()
    }

    fn note(&mut self, id: &str, points: f64) {
        let best = self.best.entry(id.to_string()).or_insert(points);
        *best = best.max(points);
    }
}

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

    /// Opens the brief of the chosen drill; its power card follows once that has been drawn.
    fn brief(&mut self) {
        let drill = &self.shelf.drills[self.chosen];
        self.prepared.brief(self.chosen, drill);
        self.screen = Screen::Brief {
            scroll: 0,
            drawn: false,
        };
    }

    fn questions(&mut self) -> Vec<Question> {
        let drill = &self.shelf.drills[self.chosen];
        let predict = Predict::of(&self.prepared.brief(self.chosen, drill));
        predict.questions().cloned().collect()
    }

    /// Asks for the guesses; flies at once where there is nothing to ask.
    fn guess(&mut self, now: Duration) {
        let questions = self.questions();
        self.guesses.clear();
        if questions.is_empty() {
            return self.fly(now);
        }
        let title = &self.shelf.drills[self.chosen].title;
        self.screen = Screen::Predict(Box::new(Guessing::new(title, questions)));
    }

    /// A key for the guess under way; after the last one the flight begins.
    fn answer(&mut self, action: Action, now: Duration) {
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

    /// The guesses made, each held against the truth, in words.
    fn compared(&mut self) -> Vec<String> {
        if self.guesses.iter().all(Option::is_none) {
            return Vec::new();
        }
        let questions = self.questions();
        let answered = questions.iter().zip(&self.guesses);
        answered
            .filter_map(|(question, guess)| {
                let what = match question.unit {
                    Unit::Percent => "Level power",
                    Unit::Feet => "Level-off",
                };
                Some(format!("{what}: {}.", question.compare((*guess)?).line))
            })
            .collect()
    }

    /// Draws the screen.
    pub fn draw(&mut self, frame: &mut Frame) {
        let (area, theme) = (frame.area(), self.settings.theme);
        self.size = (area.width, area.height);
        let buffer = frame.buffer_mut();
        if !self.has_room() {
            ask_for_room(area, buffer, &theme);
            return;
        }
        let (chosen, aids) = (self.chosen, self.settings.aids);
        match &mut self.screen {
            Screen::Menu => menu::draw(&self.shelf, chosen, aids, area, buffer, &theme),
            Screen::Aeroplane(page) => aeroplane::draw(page, area, buffer, &theme),
            Screen::Brief { scroll, drawn } => {
                let drill = &self.shelf.drills[chosen];
                let brief = self.prepared.brief(chosen, drill);
                let briefing = Briefing {
                    drill,
                    best: self.shelf.best(chosen),
                    aids,
                    brief: &brief,
                    card: self.prepared.card(chosen),
                };
                brief::draw(&briefing, scroll, area, buffer, &theme);
                *drawn = true;
            }
            Screen::Predict(guessing) => predict::draw(guessing, area, buffer, &theme),
            Screen::Fly(flight) => fly::draw(flight, area, buffer, &theme),
            Screen::Debrief(debrief) => debrief::draw(debrief, area, buffer, &theme),
        }
        if self.help {
            help::draw(self.place(), area, buffer, &theme);
        }
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

fn ask_for_room(area: Rect, buffer: &mut ratatui::buffer::Buffer, theme: &Theme) {
    let (columns, rows) = LEAST;
    let lines = [
        format!("leveloff needs {columns} x {rows}"),
        format!("this is {} x {}", area.width, area.height),
        "paused".to_string(),
    ];
    for (row, line) in lines.iter().enumerate().take(area.height as usize) {
        let y = area.y + row as u16;
        buffer.set_stringn(area.x, y, line, area.width as usize, theme.style(Role::Ink));
    }
}
