//! A run flown again from its log, at a chosen speed: a flight whose hand is the log.

use std::time::Duration;

use super::action::Action;
use super::echo::Beside;
use super::flight::{Flight, Phase, Pilot};
use super::key_lever::Way;
use super::screens::debrief::Debrief;
use crate::run::recording::HandName;
use crate::units::TICKS_PER_S;

/// How far left and right skip, in ticks.
const SKIP: u64 = 10 * TICKS_PER_S;
/// A task is played from this many ticks before it began.
const BEFORE: u64 = 2 * TICKS_PER_S;

/// A replay, and the debrief to which it returns.
pub struct Replay {
    debrief: Box<Debrief>,
    /// The flight, to be drawn.
    pub flight: Flight,
    from: u64,
}

impl Replay {
    /// Plays a debrief's run, or the task that the debrief shows, from its start at real speed.
    pub fn new(debrief: Box<Debrief>, now: Duration) -> Replay {
        let run = debrief.run();
        let begins = |leg: usize| run.legs()[leg].start.saturating_sub(BEFORE);
        let from = debrief.leg().map_or(0, begins);
        let mut replay = Replay {
            flight: flight(&debrief, now),
            debrief,
            from,
        };
        replay.play_from(from, now);
        replay
    }

    /// Returns to the debrief.
    pub fn into_debrief(self) -> Box<Debrief> {
        self.debrief
    }

    /// Whether it moves.
    pub fn is_moving(&self) -> bool {
        self.flight.phase() == Phase::Flying && !self.flight.is_over()
    }

    /// Handles a key.
    pub fn act(&mut self, action: Action, now: Duration) {
        let tick = self.flight.run().tick();
        match action {
            Action::Pause if self.flight.is_over() => self.play_from(self.from, now),
            Action::Again => self.play_from(self.from, now),
            Action::Skip(Way::Up) => self.flight.skip_to(tick + SKIP, now),
            Action::Skip(Way::Down) => {
                let paused = self.flight.phase() == Phase::Paused;
                self.play_from(tick.saturating_sub(SKIP), now);
                if paused {
                    self.flight.pause(now);
                }
            }
            _ => self.flight.act(action, now),
        }
    }

    fn play_from(&mut self, tick: u64, now: Duration) {
        let speed = self.flight.speed();
        self.flight = flight(&self.debrief, now);
        self.flight.skip_to(tick, now);
        self.flight.begin(now);
        self.flight.set_speed(speed, now);
    }
}

/// The run and its aids as they were when it was flown, with the debrief's comparison as its echo.
fn flight(debrief: &Debrief, now: Duration) -> Flight {
    let run = debrief.run();
    let pilot = Pilot::again(HandName::Script, "played again".to_string(), run);
    let aids = debrief.told.recording.aids;
    let mut flight = Flight::of(run.again(), pilot, aids, now);
    flight.until = Some(run.tick());
    flight.marks.clone_from(&debrief.told.recording.marks);
    flight.echo = debrief.echo().map(|(name, run)| Beside::here(name, run));
    flight
}
