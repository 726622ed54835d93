//! A run under a person's hand: keys and time in, ticks out.

use std::sync::Arc;
use std::time::Duration;

use super::action::Action;
use super::key_lever::KeyLever;
use super::pacer::Pacer;
use super::widgets::scope::{FORECAST_DOTS, FORECAST_EVERY_TICKS, Window};
use crate::drill::Drill;
use crate::run::recording::Aids;
use crate::run::{Run, thousandths};
use crate::sim::dynamics::State;
use crate::sim::trim;
use crate::units::TICK_S;

/// Whether time runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Phase {
    /// The start, frozen until the person begins.
    Ready,
    /// Flying.
    Flying,
    /// Stopped on the way.
    Paused,
}

/// A run and the hand on its lever. All `now` are times since one fixed moment.
pub struct Flight {
    run: Run,
    lever: KeyLever,
    pacer: Pacer,
    phase: Phase,
    stalls_s: Vec<f64>,
    window: Option<Window>,
    forecast: (Option<u64>, Vec<State>),
    /// How much the screen helps.
    pub aids: Aids,
}

impl Flight {
    /// A flight that waits for its first move.
    pub fn new(drill: Arc<Drill>, seed: u64, aids: Aids, releases: bool, now: Duration) -> Flight {
        let run = Run::new(drill, seed);
        let mut pacer = Pacer::new(now);
        pacer.pause(now);
        Flight {
            lever: KeyLever::new(run.lever(), releases),
            run,
            pacer,
            phase: Phase::Ready,
            stalls_s: Vec::new(),
            window: None,
            forecast: (None, Vec::new()),
            aids,
        }
    }

    /// The run.
    pub fn run(&self) -> &Run {
        &self.run
    }

    /// Whether time runs.
    pub fn phase(&self) -> Phase {
        self.phase
    }

    /// The moments of the run, s, before which time was lost and not flown.
    pub fn stalls_s(&self) -> &[f64] {
        &self.stalls_s
    }

    /// Flies the ticks that have become due.
    pub fn advance(&mut self, now: Duration) {
        let stalls = self.pacer.stalled().times;
        let due = self.pacer.due(now);
        if self.pacer.stalled().times > stalls {
            self.note_stall();
        }
        for tick in 0..due {
            let behind_s = f64::from(due - 1 - tick) * TICK_S;
            let lever = self.lever.tick(now.as_secs_f64() - behind_s);
            if lever != self.run.lever() {
                self.run.set_lever(thousandths(lever));
            }
            self.run.fly();
        }
    }

    /// Marks that the moments before now were not seen.
    pub fn note_stall(&mut self) {
        self.stalls_s.push(self.run.time_s());
    }

    /// When the next tick is due; None while time stands.
    pub fn next_at(&self) -> Option<Duration> {
        self.pacer.next_at()
    }

    /// Lets time run.
    pub fn begin(&mut self, now: Duration) {
        self.phase = Phase::Flying;
        self.pacer.resume(now);
    }

    /// Stops time; the start stays the start.
    pub fn pause(&mut self, now: Duration) {
        if self.phase == Phase::Flying {
            self.phase = Phase::Paused;
            self.pacer.pause(now);
        }
        self.lever.focus_lost(now.as_secs_f64());
    }

    /// The person leaves.
    pub fn leave(&mut self) {
        self.run.leave();
    }

    /// A key for the lever or for time; the lever begins a flight that waits, and is deaf in a pause.
    pub fn act(&mut self, action: Action, released: bool, now: Duration) {
        let t_s = now.as_secs_f64();
        match action {
            Action::Pause if !released => match self.phase {
                Phase::Flying => self.pause(now),
                Phase::Ready | Phase::Paused => self.begin(now),
            },
            Action::Nudge(nudge) if released => self.lever.release(t_s, nudge.way),
            Action::Nudge(_) | Action::Set(_) if !released && self.phase != Phase::Paused => {
                if self.phase == Phase::Ready {
                    self.begin(now);
                }
                match action {
                    Action::Nudge(nudge) => self.lever.press(t_s, nudge),
                    Action::Set(tenths) => self.lever.set(f64::from(tenths) / 10.0),
                    _ => {}
                }
            }
            _ => {}
        }
    }

    /// The terminal has said that it reports keys being let go.
    pub fn expect_releases(&mut self) {
        self.lever.expect_releases();
    }

    /// The terminal looks elsewhere.
    pub fn focus_lost(&mut self, now: Duration) {
        self.lever.focus_lost(now.as_secs_f64());
    }

    /// The scope's window for a picture of so many rows; it follows the run.
    pub fn window(&mut self, rows: u16) -> Window {
        let window = match self.window {
            Some(window) => window.following(&self.run, rows),
            None => Window::new(&self.run, rows),
        };
        *self.window.insert(window)
    }

    /// What is to come if the lever stays put; empty without that aid, and on the deck.
    pub fn forecast(&mut self) -> &[State] {
        if self.run.leg().approach.is_down() {
            self.forecast = (None, Vec::new());
        } else if self.aids == Aids::Full && self.forecast.0 != Some(self.run.tick()) {
            let world = self.run.world();
            let future = world.forecast(self.run.lever(), FORECAST_EVERY_TICKS, FORECAST_DOTS);
            self.forecast = (Some(self.run.tick()), future);
        }
        &self.forecast.1
    }

    /// The lever setting that the person wants, 0..1; the lever is on its way there.
    pub fn wanted(&self) -> f64 {
        self.lever.target()
    }

    /// The lever that flies level on speed here, with that aid.
    pub fn level_lever(&self) -> Option<f64> {
        (self.aids != Aids::Bare).then(|| {
            let world = self.run.world();
            trim::on_speed(world.aircraft(), world.state().h_m, 0.0).lever
        })
    }
}
