//! The program as a state: events and time change it, screens draw it.

mod afterwards;
mod drawing;
mod ending;
mod flights;
mod guesses;
mod guiding;
mod keys;
mod menu;

use std::collections::BTreeMap;
use std::time::Duration;

use crossterm::event::KeyCode;

use super::action::Mode;
use super::flight::Flight;
use super::guided::Guided;
use super::job::{Awaited, Job};
use super::memory::Memory;
use super::prepared::Prepared;
use super::replay::Replay;
use super::screens::aeroplane::Aeroplane;
use super::screens::debrief::Debrief;
use super::screens::hands::Choosing;
use super::screens::predict::Guessing;
use super::screens::runs::Runs;
use super::screens::sofar::SoFar;
use super::shelf::{Settings, Shelf};
use super::terminal::TerminalTraits;
use super::theme::Background;
use super::weighing::Weighing;
use crate::drill::Aids;
use crate::progress::Choice;
use crate::run::Recording;
use crate::run::recording::HandName;
use afterwards::Practising;
use ending::Ending;

/// Least size at which everything has its place.
pub const LEAST: (u16, u16) = (80, 24);

#[derive(Default)]
enum Screen {
    #[default]
    Menu,
    Aeroplane(Box<Aeroplane>),
    /// The first line of the text in sight, and whether the numbers behind it are shown.
    Brief {
        scroll: u16,
        more: bool,
    },
    Predict(Box<Guessing>),
    Hands(Box<Choosing>),
    Fly(Box<Flight>),
    Weigh(Box<Ending>),
    Debrief(Box<Debrief>),
    Replay(Box<Replay>),
    Runs(Box<Runs>),
    SoFar(Box<SoFar>),
}

/// Which part of the help is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Help {
    /// The keys, and beside them as much of the glossary as fits; `has_more` where some of it does not.
    Keys { has_more: bool },
    /// The glossary alone.
    Words,
}

/// The part of the help that its key shows next.
fn next_help(shown: Option<Help>) -> Option<Help> {
    match shown {
        None => Some(Help::Keys { has_more: false }),
        Some(Help::Keys { has_more: true }) => Some(Help::Words),
        Some(_) => None,
    }
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
pub enum Opening {
    /// At the list of drills.
    Menu,
    /// Flying a drill of the shelf.
    Fly(usize),
    /// Guessing the numbers of a drill of the shelf, then flying it.
    Guess(usize),
    /// Watching a built-in hand fly a drill of the shelf.
    Watch(usize, HandName),
    /// At this debrief.
    Debrief(Box<Debrief>),
}

/// The program.
pub struct App {
    settings: Settings,
    shelf: Shelf,
    chosen: usize,
    screen: Screen,
    prepared: Prepared,
    /// What to fly next.
    next: Option<Choice>,
    /// How much the screen helps on the drills where a key has changed it.
    aids: BTreeMap<usize, Aids>,
    /// What was guessed before the flight under way.
    guesses: Vec<Option<f64>>,
    /// The comparison of the debriefed run's guesses with the truth, while it is worked out.
    comparing: Option<Job<Vec<String>>>,
    /// Par and bill of the flight under way.
    weighing: Option<Weighing>,
    /// The line being practised.
    practising: Option<Practising>,
    /// The progress of the flight under way, where it is a guided one.
    guided: Option<Guided>,
    /// The letters of a drill's name that are searched for on the menu.
    find: Option<String>,
    /// The memory as last read or written.
    memory: Memory,
    /// Whether the person is being asked to confirm beginning again, since a task that counts is finished in the run under way.
    asks_again: bool,
    /// Set when the program has to end: a run under way is then kept, however short.
    is_ended: bool,
    help: Option<Help>,
    size: (u16, u16),
    releases: bool,
    /// The key pressed last, except those of the lever, until it is released.
    other_key: Option<KeyCode>,
    /// The column where the mouse grabbed the lever.
    grabbed_at: Option<u16>,
}

impl App {
    /// The program at its start.
    pub fn new(settings: Settings, shelf: Shelf, start: Opening, now: Duration) -> App {
        let mut app = App {
            settings,
            shelf,
            chosen: 0,
            screen: Screen::Menu,
            prepared: Prepared::default(),
            next: None,
            aids: BTreeMap::new(),
            guesses: Vec::new(),
            comparing: None,
            weighing: None,
            practising: None,
            guided: None,
            find: None,
            memory: Memory::default(),
            asks_again: false,
            is_ended: false,
            help: None,
            size: LEAST,
            releases: false,
            other_key: None,
            grabbed_at: None,
        };
        app.recall();
        if let Opening::Fly(index) | Opening::Guess(index) | Opening::Watch(index, _) = start {
            app.chosen = index;
        }
        match start {
            Opening::Menu => {}
            Opening::Fly(_) => app.fly(now),
            Opening::Guess(_) => app.guess(now),
            Opening::Watch(_, hand) => app.watch(hand, now),
            Opening::Debrief(debrief) => app.screen = Screen::Debrief(debrief),
        }
        app
    }

    /// How much the screen helps on the chosen drill: as set by a key, or else by the settings, or else by the drill.
    fn chosen_aids(&self) -> Aids {
        let changed = self.aids.get(&self.home()).copied();
        let drill = &self.shelf.drills[self.chosen];
        changed.or(self.settings.aids).unwrap_or(drill.aids)
    }

    /// The chosen drill; in a practice the one that it was taken from.
    fn home(&self) -> usize {
        let practising = self.practising.as_ref();
        practising.map_or(self.chosen, |line| line.from)
    }

    /// Reads what was flown so far; not needed for the first frame.
    pub fn look_up_best(&mut self) {
        if self.read_practice().is_ok() {
            self.look_up_next();
        }
    }

    /// Takes in what the terminal reports about itself. A background that was named takes precedence.
    pub fn told(&mut self, told: TerminalTraits) {
        self.releases = told.releases;
        if let (true, Screen::Fly(flight)) = (told.releases, &mut self.screen) {
            flight.expect_releases();
        }
        let named = self.settings.options.background;
        let background = named.unwrap_or(told.background);
        if background != Background::Unknown {
            self.settings.theme.background = background;
        }
    }

    /// Returns whether the bell is to ring for something that has happened since the last call.
    pub fn take_bell(&mut self) -> bool {
        let Screen::Fly(flight) = &mut self.screen else {
            return false;
        };
        flight.take_news() && self.settings.options.bell
    }

    /// Flies the ticks that have become due; a run that is over goes to its debrief.
    pub fn advance(&mut self, now: Duration) {
        self.advance_choosing(now);
        self.look_at_questions(now);
        if let Screen::Fly(flight) = &mut self.screen {
            match &mut self.guided {
                Some(guided) => guided.advance(flight, now),
                None => flight.advance(now),
            }
            let tells = flight.aids == Aids::Full && self.settings.tells_in_reach;
            let tells = tells && flight.run().tick() > 0;
            let weighing = self.weighing.as_mut().filter(|_| tells);
            flight.in_reach = weighing.and_then(|weighing| weighing.in_reach(flight.run()));
            match (flight.is_over(), &self.guided) {
                (true, None) => self.debrief(),
                (true, Some(_)) => self.note_guided(),
                _ => {}
            }
        }
        if let Screen::Replay(replay) = &mut self.screen {
            replay.flight.advance(now);
        }
        self.wait_for_weighing(Duration::ZERO);
        self.look_at_comparing();
    }

    /// Notes that the terminal took no output for a while.
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
        if let Screen::Replay(replay) = &mut self.screen {
            replay.flight.pause(now);
        }
    }

    /// Counts whatever is held as let go.
    pub fn focus_lost(&mut self, now: Duration) {
        if let Screen::Fly(flight) = &mut self.screen {
            flight.focus_lost(now);
        }
    }

    /// Takes in the terminal's new size; one that is too small pauses.
    pub fn resized(&mut self, columns: u16, rows: u16, now: Duration) {
        self.size = (columns, rows);
        if !self.has_room() {
            self.pause(now);
        }
    }

    /// Keeps what has been flown before the program ends.
    pub fn end(&mut self) {
        self.remember();
        self.is_ended = true;
        self.keep();
    }

    /// Does the same, and returns the wish to end with this code.
    pub fn exit(&mut self, code: u8) -> Wish {
        self.end();
        Wish::Exit(code)
    }

    /// Keeps a flight that is under way or being weighed, as it is. A guided flight is dropped.
    fn keep(&mut self) {
        if self.guided.take().is_some() {
            self.screen = Screen::Menu;
        }
        // Nothing has been flown before the first tick.
        if let Screen::Fly(flight) = &mut self.screen
            && flight.run().tick() > 0
        {
            flight.leave();
            self.debrief();
        }
        self.tell_at_once();
    }

    fn has_room(&self) -> bool {
        self.size.0 >= LEAST.0 && self.size.1 >= LEAST.1
    }

    fn mode(&self) -> Mode {
        match self.screen {
            Screen::Menu => Mode::Menu,
            Screen::Aeroplane(_) => Mode::Aeroplane,
            Screen::Brief { .. } => Mode::Brief,
            Screen::Predict(_) => Mode::Predict,
            Screen::Hands(_) => Mode::Hands,
            Screen::Fly(ref flight) if flight.shown_by().is_some() => Mode::Watch,
            Screen::Fly(ref flight) if flight.typed.is_some() => Mode::Type,
            Screen::Fly(_) if self.guided.is_some() => Mode::Guide,
            Screen::Fly(_) => Mode::Fly,
            Screen::Weigh(_) => Mode::Weigh,
            Screen::Debrief(_) => Mode::Debrief,
            Screen::Replay(_) => Mode::Replay,
            Screen::Runs(_) => Mode::Runs,
            Screen::SoFar(_) => Mode::SoFar,
        }
    }

    /// Weighs the run that is over, then keeps it, then shows it. A run without a tick does not count as one.
    fn debrief(&mut self) {
        let Screen::Fly(flight) = &self.screen else {
            return;
        };
        let run = flight.run().clone();
        if run.tick() == 0 {
            return self.go_back();
        }
        let is_person = flight.hand() == HandName::Person;
        let recording = Recording {
            at: (self.settings.now)(),
            hand: flight.hand(),
            aids: flight.aids,
            air: self.settings.air.clone(),
            stalls_s: flight.stalls_s.clone(),
            marks: flight.marks.clone(),
            moved_with: flight.moved_with(),
            guesses: self.guesses.clone(),
            pilot: self.settings.pilot.clone().filter(|_| is_person),
            ..Recording::of(&run)
        };
        self.weigh(run, recording, None);
    }

    /// Whether there is something new to draw without an event: a flight runs, or something is being worked out.
    pub fn is_moving(&mut self) -> bool {
        match &self.screen {
            Screen::Fly(flight) => flight.is_moving(),
            Screen::Hands(choosing) => matches!(choosing.run, Some((Awaited::Coming(_), _))),
            Screen::Brief { .. } => self.prepared.sheet(self.chosen).is_none(),
            Screen::Predict(guessing) => guessing.is_coming(),
            Screen::Weigh(_) => true,
            Screen::Debrief(_) => self.comparing.is_some(),
            Screen::Replay(replay) => replay.is_moving(),
            _ => false,
        }
    }
}
