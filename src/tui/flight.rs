//! A run under the hand of a person or a program: keys and time in, ticks out.

mod seen;

use std::collections::BTreeSet;
use std::sync::Arc;
use std::time::Duration;

use super::action::Action;
use super::echo::Beside;
use super::key_lever::{KeyLever, Touch, Way};
use super::pacer::Pacer;
use super::typed::Typed;
use super::watched::{SPEEDS, Watched};
use super::widgets::scope::Window;
use crate::drill::{Aids, Drill};
use crate::hands::{Hand, Script, Sight};
use crate::run::recording::{HandName, Means};
use crate::run::{Run, thousandths};
use crate::sim::dynamics::State;
use crate::units::TICK_S;

/// Whether time runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Phase {
    /// The start, frozen until the person begins.
    Ready,
    Flying,
    /// Stopped on the way.
    Paused,
}

/// Who flies.
pub enum Pilot {
    /// A person, by keys; `releases` where the terminal reports keys being let go.
    Person {
        /// Whether it does.
        releases: bool,
    },
    /// A hand, which is asked at every tick; keys do not move its lever.
    Hand {
        /// Whose run it is.
        name: HandName,
        /// What the screen says of it: "shown by steady".
        told: String,
        hand: Box<dyn Hand>,
    },
}

impl Pilot {
    /// A hand that repeats the moves of a run.
    pub fn again(name: HandName, told: String, run: &Run) -> Pilot {
        let hand = Box::new(Script::new(run.log().to_vec()));
        Pilot::Hand { name, told, hand }
    }
}

/// A run and the hand on its lever. All `now` are times since one fixed moment.
pub struct Flight {
    run: Run,
    pilot: Pilot,
    /// A person's lever; not used while a hand flies.
    keys: KeyLever,
    /// The last move of a hand.
    watched: Option<Watched>,
    pacer: Pacer,
    phase: Phase,
    window: Option<Window>,
    forecast: (Option<u64>, Vec<State>),
    marked_at: Option<Duration>,
    moved_with: BTreeSet<Means>,
    news: usize,
    now: Duration,
    /// The moments of the run, s, before which time was lost and not flown.
    pub stalls_s: Vec<f64>,
    /// The ticks at which a mark was left, ascending.
    pub marks: Vec<u64>,
    /// The setting that is being typed.
    pub typed: Option<Typed>,
    /// How much the screen helps.
    pub aids: Aids,
    /// The tick at which the run is left automatically.
    pub until: Option<u64>,
    /// The run drawn beside this one.
    pub echo: Option<Beside>,
    /// Points still in reach of the task under way, where they are to be shown.
    pub in_reach: Option<f64>,
}

/// How long a mark is acknowledged.
const ACKNOWLEDGED: Duration = Duration::from_secs(1);

impl Flight {
    /// A flight that waits for its first move.
    pub fn new(drill: Arc<Drill>, seed: u64, pilot: Pilot, aids: Aids, now: Duration) -> Flight {
        Flight::of(Run::new(drill, seed), pilot, aids, now)
    }

    /// The same for a run at its first tick.
    pub fn of(run: Run, pilot: Pilot, aids: Aids, now: Duration) -> Flight {
        let releases = matches!(pilot, Pilot::Person { releases: true });
        let mut pacer = Pacer::new(now);
        pacer.pause(now);
        Flight {
            keys: KeyLever::new(run.lever(), releases),
            run,
            pilot,
            watched: None,
            pacer,
            phase: Phase::Ready,
            window: None,
            forecast: (None, Vec::new()),
            marked_at: None,
            moved_with: BTreeSet::new(),
            news: 0,
            now,
            stalls_s: Vec::new(),
            marks: Vec::new(),
            typed: None,
            aids,
            until: None,
            echo: None,
            in_reach: None,
        }
    }

    pub fn run(&self) -> &Run {
        &self.run
    }

    /// Whether it has ended, one way or another.
    pub fn is_over(&self) -> bool {
        self.run.end().is_some()
    }

    /// Whether time runs.
    pub fn phase(&self) -> Phase {
        self.phase
    }

    /// Flies the ticks that have become due.
    pub fn advance(&mut self, now: Duration) {
        self.advance_if(now, |_, _| true);
    }

    /// The same, but time goes on only where `goes_on` says so, given the run and the lever that is wanted. The lever moves even
    /// where time stands.
    pub fn advance_if(&mut self, now: Duration, mut goes_on: impl FnMut(&Run, f64) -> bool) {
        self.now = self.now.max(now);
        if let Some(echo) = &mut self.echo {
            echo.advance();
        }
        let stalls = self.pacer.stalls();
        let due = self.pacer.due(now);
        if self.pacer.stalls() > stalls {
            self.note_stall();
        }
        for tick in 0..due {
            let behind_s = f64::from(due - 1 - tick) * TICK_S;
            self.move_lever(now.as_secs_f64() - behind_s);
            if goes_on(&self.run, self.wanted()) {
                self.run.fly();
            }
        }
    }

    /// Moves the lever by one tick, at a time in s.
    fn move_lever(&mut self, t_s: f64) {
        if self.until == Some(self.run.tick()) {
            self.run.leave();
        }
        let stands = thousandths(self.run.lever());
        match &mut self.pilot {
            Pilot::Person { .. } => {
                let lever = self.keys.tick(t_s);
                if lever != self.run.lever() {
                    self.run.set_lever(thousandths(lever));
                }
            }
            Pilot::Hand { hand, .. } => {
                let wanted = hand.lever(&Sight::of(&self.run));
                if let Some(lever) = wanted.filter(|lever| *lever != stands) {
                    let (before, to) = (self.watched.take(), f64::from(lever) / 1000.0);
                    self.watched = Some(Watched::moved(before, &self.run, to));
                    self.run.set_lever(lever);
                }
            }
        }
    }

    /// Lets a hand fly ahead to a tick at once.
    pub fn skip_to(&mut self, tick: u64, now: Duration) {
        self.pacer.due(now);
        while self.run.tick() < tick && !self.is_over() {
            self.move_lever(now.as_secs_f64());
            self.run.fly();
        }
    }

    /// Lets time run `speed` times as fast from now on.
    pub fn set_speed(&mut self, speed: u32, now: Duration) {
        self.pacer.set_speed(speed, now);
    }

    /// Lets a hand be watched faster or slower.
    fn change_speed(&mut self, way: Way, now: Duration) {
        let mut speeds = SPEEDS.into_iter();
        let speed = match way {
            Way::Up => speeds.find(|speed| *speed > self.speed()),
            Way::Down => speeds.rfind(|speed| *speed < self.speed()),
        };
        if let Some(speed) = speed {
            self.set_speed(speed, now);
        }
    }

    /// How many times as fast as real time it is flown.
    pub fn speed(&self) -> u32 {
        self.pacer.speed()
    }

    /// What a hand that is watched has just done, in words.
    pub fn watched(&self) -> Option<String> {
        self.watched.as_ref()?.told(&self.run, self.speed())
    }

    /// Notes that time was lost just before now: it was not flown, or not seen. Both can notice the same stall.
    pub fn note_stall(&mut self) {
        let t_s = self.run.time_s();
        if self.phase == Phase::Flying && self.stalls_s.last() != Some(&t_s) {
            self.stalls_s.push(t_s);
        }
    }

    /// Lets time run.
    pub fn begin(&mut self, now: Duration) {
        self.phase = Phase::Flying;
        self.pacer.resume(now);
    }

    /// Stops time; a flight that has not begun stays at its start.
    pub fn pause(&mut self, now: Duration) {
        if self.phase == Phase::Flying {
            self.phase = Phase::Paused;
            self.pacer.pause(now);
        }
        self.typed = None;
        self.focus_lost(now);
        self.keys.lose_axis();
    }

    /// Ends the run as one that was left.
    pub fn leave(&mut self) {
        self.run.leave();
    }

    /// Handles a key for the lever or for time.
    pub fn act(&mut self, action: Action, now: Duration) {
        match action {
            Action::Nudge(nudge) => self.take(Touch::Press(nudge), now),
            Action::Set(tenths) => self.take(Touch::Set(f64::from(tenths) / 10.0), now),
            Action::SetToMark => {
                if let Some((_, mark)) = self.named_levers().pop() {
                    self.take(Touch::Set(mark), now);
                }
            }
            Action::Pause => match self.phase {
                Phase::Flying => self.pause(now),
                Phase::Ready | Phase::Paused => self.begin(now),
            },
            Action::Mark => self.mark(now),
            Action::Speed(way) if self.shown_by().is_some() => self.change_speed(way, now),
            Action::Type if self.phase != Phase::Paused => self.typed = Some(Typed::default()),
            _ => {}
        }
    }

    /// Handles a key while a setting is being typed.
    pub fn type_on(&mut self, action: Action, now: Duration) {
        let Some(typed) = &mut self.typed else {
            return;
        };
        match action {
            _ if typed.act(action) => {}
            Action::Go => {
                let percent = typed.number().filter(|number| *number <= 100.0);
                if let Some(percent) = percent {
                    self.typed = None;
                    self.take(Touch::Set(percent / 100.0), now);
                }
            }
            _ => self.typed = None,
        }
    }

    /// Takes in a person's move of the lever, by whatever means. A move begins a flight that waits; in a pause nothing is moved.
    pub fn take(&mut self, made: Touch, now: Duration) {
        let lets_go = matches!(made, Touch::Release(_));
        if self.shown_by().is_some() || self.phase == Phase::Paused && !lets_go {
            return;
        }
        let is_moved = self.keys.take(now.as_secs_f64(), made);
        if is_moved {
            self.moved_with.insert(made.means());
        }
        // An axis has first to be brought to where the lever stands; the press of a mouse button only takes hold of the lever.
        let begins = match made {
            Touch::Press(_) | Touch::Set(_) | Touch::By(_) => true,
            Touch::Drag(_) => is_moved,
            Touch::Release(_) | Touch::Grab | Touch::Axis(_) => false,
        };
        if begins && self.phase == Phase::Ready {
            self.begin(now);
        }
    }

    /// What a person has moved the lever with so far.
    pub fn moved_with(&self) -> Vec<Means> {
        self.moved_with.iter().copied().collect()
    }

    /// The position of an axis that has still to be brought to the lever, 0..1.
    pub fn awaited_axis(&self) -> Option<f64> {
        self.keys.awaited_axis()
    }

    /// Leaves a mark at the present tick, at most one; before the flight begins there is nothing to mark.
    fn mark(&mut self, now: Duration) {
        if self.phase == Phase::Ready {
            return;
        }
        if self.marks.last() != Some(&self.run.tick()) {
            self.marks.push(self.run.tick());
        }
        self.marked_at = Some(now);
    }

    /// Whether a mark was left just now.
    pub fn is_acknowledging(&self) -> bool {
        self.marked_at
            .is_some_and(|at| self.now.saturating_sub(at) < ACKNOWLEDGED)
    }

    /// Whether there is something new to draw without an event.
    pub fn is_moving(&self) -> bool {
        let is_coming = self.echo.as_ref().is_some_and(Beside::is_coming);
        self.phase == Phase::Flying || is_coming || self.is_acknowledging()
    }

    /// Takes in that the terminal reports keys being let go.
    pub fn expect_releases(&mut self) {
        self.keys.expect_releases();
    }

    /// Counts whatever is held as let go: the terminal has lost the focus.
    pub fn focus_lost(&mut self, now: Duration) {
        self.keys.focus_lost(now.as_secs_f64());
    }

    /// The lever setting that is wanted, 0..1; a person's lever moves towards it.
    pub fn wanted(&self) -> f64 {
        match &self.pilot {
            Pilot::Person { .. } => self.keys.target(),
            Pilot::Hand { .. } => self.run.lever(),
        }
    }

    /// Whose run it is.
    pub fn hand(&self) -> HandName {
        match &self.pilot {
            Pilot::Person { .. } => HandName::Person,
            Pilot::Hand { name, .. } => *name,
        }
    }

    /// What the screen says of a hand that flies; None where a person flies.
    pub fn shown_by(&self) -> Option<&str> {
        match &self.pilot {
            Pilot::Person { .. } => None,
            Pilot::Hand { told, .. } => Some(told),
        }
    }
}
