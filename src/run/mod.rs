//! One attempt at a drill: the world, the current task, and everything that happened.
#![deny(clippy::disallowed_methods, clippy::disallowed_types)]

mod leg;
pub mod moves;
pub mod recording;
pub mod tape;
pub mod trace;
mod travel;

use std::sync::Arc;

use crate::drill::path::{self, FlownTick};
use crate::drill::surprise::Before;
use crate::drill::{Drill, Kind, Target, Verdict};
use crate::sim::air::{Air, Wind};
use crate::sim::dynamics::State;
use crate::sim::math::Digest;
use crate::sim::world::{Fault, World};
use crate::units::{TICK_S, TICKS_PER_S};

pub use leg::Leg;
pub use recording::Recording;
pub use tape::{Known, Tape};
pub use trace::{Point, Trace};
pub use travel::{Travel, thousandths};

/// Why a run is over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// The last task ended.
    Complete,
    Fault(Fault),
    /// The learner left it.
    Left,
}

/// One attempt at a drill. A pure function of (drill, seed, lever at each tick).
#[derive(Clone, Debug)]
pub struct Run {
    drill: Arc<Drill>,
    seed: u64,
    world: World,
    trace: Trace,
    legs: Vec<Leg>,
    lever: f64,
    digest: Digest,
    end: Option<End>,
    /// The tape, which the run follows as long as its lever is the tape's.
    tape: Option<Arc<Tape>>,
    /// Whether the run still follows the tape.
    on_tape: bool,
    /// See [`Drill::last_tick`].
    last_tick: u64,
}

impl Run {
    /// A run at its first tick.
    pub fn new(drill: Arc<Drill>, seed: u64) -> Run {
        let world = drill.world(seed);
        let lever = drill.start_lever();
        Run::begun(drill, seed, world, lever)
    }

    /// A run that follows a flight logged elsewhere, task by task, to the end of the drill or of the log. As long as its lever
    /// is the log's, its states are the logged ones; a copy with another lever is flown by the model from there on.
    pub fn along(drill: Arc<Drill>, seed: u64, tape: Arc<Tape>) -> Run {
        let mut run = Run::at_the_tape(drill, seed, tape.clone());
        while run.end().is_none() {
            let Some(lever) = tape.lever(run.tick()) else {
                run.leave();
                break;
            };
            run.set_lever(lever);
            run.fly();
        }
        run
    }

    fn at_the_tape(drill: Arc<Drill>, seed: u64, tape: Arc<Tape>) -> Run {
        let world = drill.world_from(Air::new(&drill.air, seed), *tape.start());
        let mut run = Run::begun(drill, seed, world, tape.start_lever());
        run.tape = Some(tape);
        run.on_tape = true;
        run
    }

    /// The same run at its first tick: with the same lever it takes the same course.
    pub fn again(&self) -> Run {
        let (drill, seed) = (self.drill.clone(), self.seed);
        match &self.tape {
            None => Run::new(drill, seed),
            Some(tape) => Run::at_the_tape(drill, seed, tape.clone()),
        }
    }

    /// Whether it has followed a flight logged elsewhere up to now.
    pub fn is_on_tape(&self) -> bool {
        self.on_tape
    }

    /// The quantities that are known of it.
    pub fn known(&self) -> Known {
        let tape = self.tape.as_ref();
        tape.map_or(Known::ALL, |tape| tape.known())
    }

    /// The tick after the last one of a leg that was finished, or in which a fault ended the run; None where it was left or
    /// still runs.
    pub fn over(&self, leg: &Leg) -> Option<u64> {
        leg.end.or(self.fault().map(|_| self.tick()))
    }

    /// Whether its drill has only one task and no surprise, so that no task needs a number.
    pub fn is_of_one_task(&self) -> bool {
        matches!(&self.drill.tasks[..], [task] if !matches!(task.kind, Kind::Surprise(_)))
    }

    /// The number of a leg's task for people: "2", and "2.1" for the first task drawn by a surprise.
    pub fn leg_number(&self, leg: usize) -> String {
        let task = self.legs[leg].task;
        let n = task + 1;
        match self.drill.tasks[task].kind {
            Kind::Surprise(_) => {
                let before = self.legs[..leg].iter().filter(|leg| leg.task == task);
                format!("{n}.{}", before.count() + 1)
            }
            _ => n.to_string(),
        }
    }

    /// A run in the drill's air without gusts; a surprise is still drawn from the seed.
    pub fn in_calm_air(drill: Arc<Drill>, seed: u64) -> Run {
        let world = drill.world_in(drill.calm_air());
        let lever = drill.start_lever();
        Run::begun(drill, seed, world, lever)
    }

    fn begun(drill: Arc<Drill>, seed: u64, world: World, lever: f64) -> Run {
        let mut run = Run {
            trace: Trace::new(lever, &world),
            legs: Vec::new(),
            lever,
            digest: Digest::default(),
            end: None,
            tape: None,
            on_tape: false,
            last_tick: drill.last_tick(),
            world,
            seed,
            drill,
        };
        run.begin_next();
        run
    }

    /// Moves the lever, in thousandths of its travel (0..=1000), from the next tick on.
    pub fn set_lever(&mut self, thousandths: u16) {
        let thousandths = thousandths.min(1000);
        let lever = f64::from(thousandths) / 1000.0;
        if lever == self.lever || self.end.is_some() {
            return;
        }
        self.lever = lever;
        self.trace.moved(thousandths);
    }

    /// Flies one tick; does nothing once the run is over.
    pub fn fly(&mut self) {
        if self.end.is_some() {
            return;
        }
        let (before, wind) = (*self.world.state(), *self.world.wind());
        let tape = self.tape.as_ref().filter(|_| self.on_tape);
        let told = tape.and_then(|tape| tape.after(self.tick(), self.lever));
        self.on_tape = told.is_some();
        let flown = match (self.leg().approach.is_down(), told) {
            (true, _) => {
                self.world.rest(self.lever);
                Ok(())
            }
            (false, Some((state, wind))) => self.world.follow(state, wind),
            (false, None) => self.world.fly(self.lever),
        };
        self.trace.push(&self.world);
        if self.tick().is_multiple_of(TICKS_PER_S) {
            add_state(&mut self.digest, &self.world);
        }
        // On a path, reaching the surface means coming short; it is not a fault.
        let is_path = matches!(self.leg().kind, Kind::Path(_));
        match flown {
            Err(Fault::Surface) if is_path => self.advance_task(&before, &wind),
            Err(fault) => self.end = Some(End::Fault(fault)),
            Ok(()) => self.advance_task(&before, &wind),
        }
        if self.tick() >= self.last_tick {
            self.leave();
        }
    }

    /// Flies one tick with the lever where a log has it at that tick.
    pub fn fly_by(&mut self, log: &[(u64, u16)]) {
        let moves = log.partition_point(|(tick, _)| *tick <= self.tick());
        if let Some((_, lever)) = log[..moves].last() {
            self.set_lever(*lever);
        }
        self.fly();
    }

    fn advance_task(&mut self, before: &State, wind: &Wind) {
        let (tick, is_lever_known) = (self.tick(), self.known().lever);
        let state = self.world.state();
        let leg = self
            .legs
            .last_mut()
            .expect("a run has a leg from its first tick on");
        // In slowing in, only the time after pitch was left alone counts as a stay.
        let counts = !matches!(leg.kind, Kind::Slow(_))
            || self.world.slow_tick().is_some_and(|slow| slow < tick);
        leg.progress.take(
            counts && leg.target.holds(state, tick),
            state.h_m,
            leg.kind.looks_back(),
        );
        let verdict = match &leg.kind {
            Kind::Path(path) => {
                let flown = FlownTick {
                    aircraft: self.world.aircraft(),
                    before,
                    after: state,
                    wind,
                    air: self.world.air(),
                    lever: self.lever,
                    tick: tick - 1,
                };
                let is_over = leg.approach.advance(&path.glide, &flown);
                if !is_lever_known {
                    // Whether a go-around could still be flown depends on lever and engine.
                    leg.approach.called = None;
                }
                match is_over {
                    true => Verdict::Over { captured: None },
                    false => Verdict::Running,
                }
            }
            kind => kind.verdict(&leg.progress),
        };
        if let Verdict::Over { captured } = verdict {
            leg.end = Some(tick);
            leg.captured = captured;
            self.begin_next();
        }
    }

    /// Begins the task after the last one, or ends the run.
    fn begin_next(&mut self) {
        let task = match self.legs.last() {
            None => 0,
            Some(last) => match &self.drill.tasks[last.task].kind {
                Kind::Surprise(surprise) if self.drawn(last.task) < u64::from(surprise.count) => {
                    last.task
                }
                _ => last.task + 1,
            },
        };
        let Some(asked) = self.drill.tasks.get(task) else {
            self.end = Some(End::Complete);
            return;
        };
        let kind = match &asked.kind {
            Kind::Surprise(surprise) => {
                let aircraft = self.world.aircraft();
                surprise.draw(
                    aircraft,
                    self.seed,
                    self.drawn(task),
                    &self.before_drawing(),
                )
            }
            kind => kind.clone(),
        };
        self.legs.push(Leg::begun(task, kind, self.tick()));
    }

    /// The number of a surprise's tasks that have begun.
    fn drawn(&self, task: usize) -> u64 {
        self.legs.iter().filter(|leg| leg.task == task).count() as u64
    }

    fn before_drawing(&self) -> Before {
        let asked_m = self.legs.iter().rev().find_map(|leg| match leg.target {
            Target::Altitude { altitude_m, .. } => Some(altitude_m),
            _ => None,
        });
        let vertical_mps = self.legs.last().and_then(|leg| match leg.target {
            Target::Vertical { vertical_mps, .. } => Some(vertical_mps),
            _ => None,
        });
        Before {
            altitude_m: asked_m.unwrap_or(self.drill.start.altitude_m),
            vertical_mps: vertical_mps.unwrap_or(0.0),
            after_rate: vertical_mps.is_some(),
            now_m: self.world.state().h_m,
            now_mps: self.world.state().vz_mps,
        }
    }

    /// A copy that goes on independently from here, without the earlier states: a cheap start for another way to fly the rest.
    /// Its ticks, tasks, air and log continue from here.
    pub fn fork(&self) -> Run {
        Run {
            drill: self.drill.clone(),
            seed: self.seed,
            world: self.world.clone(),
            trace: self.trace.fork(&self.world),
            legs: self.legs.clone(),
            lever: self.lever,
            digest: self.digest,
            end: self.end,
            tape: self.tape.clone(),
            on_tape: self.on_tape,
            last_tick: self.last_tick,
        }
    }

    /// The same run flown by the model from now on, even if it followed a tape.
    pub fn by_model(mut self) -> Run {
        self.on_tape = false;
        self
    }

    /// The same run in air that brings no new gusts from now on.
    pub fn in_settled_air(mut self) -> Run {
        self.world.settle_air();
        self
    }

    /// Continues as a fork of it did: the states that it flew itself after the fork are dropped.
    pub fn join(&mut self, fork: Run) {
        let mut trace = std::mem::take(&mut self.trace);
        trace.join(fork.trace);
        *self = Run { trace, ..fork };
    }

    /// Flies the run's own log again and yields a fork where each leg begins, one at a time: a drill may have hundreds.
    pub fn each_leg_start(&self) -> impl Iterator<Item = Run> + use<'_> {
        let mut again = self.again();
        (1..=self.legs.len()).map(move |legs| {
            while again.legs.len() < legs {
                again.fly_by(self.log());
            }
            again.fork()
        })
    }

    /// Whether it was ended because it reached the longest time; see [`Drill::last_tick`].
    pub fn is_out_of_time(&self) -> bool {
        self.end == Some(End::Left) && self.tick() >= self.last_tick
    }

    /// Ends the run as left by the learner, unless it is over already.
    pub fn leave(&mut self) {
        self.end.get_or_insert(End::Left);
    }

    /// The drill being flown.
    pub fn drill(&self) -> &Arc<Drill> {
        &self.drill
    }

    /// The seed of its air.
    pub fn seed(&self) -> u64 {
        self.seed
    }

    /// The world now.
    pub fn world(&self) -> &World {
        &self.world
    }

    /// Everything flown so far.
    pub fn trace(&self) -> &Trace {
        &self.trace
    }

    /// The tasks begun so far, in the drill's order; a surprise has one for each task drawn.
    pub fn legs(&self) -> &[Leg] {
        &self.legs
    }

    /// The task being flown, or the last one.
    pub fn leg(&self) -> &Leg {
        self.legs
            .last()
            .expect("a run has a leg from its first tick on")
    }

    /// Index of the drill's task being flown, or of the last one.
    pub fn task_index(&self) -> usize {
        self.leg().task
    }

    /// The kind of the drill's next task, where it is known; a surprise's tasks are not.
    pub fn next_kind(&self) -> Option<&Kind> {
        let leg = self.leg();
        if matches!(self.drill.tasks[leg.task].kind, Kind::Surprise(_)) {
            return None;
        }
        let next = &self.drill.tasks.get(leg.task + 1)?.kind;
        next.target().map(|_| next)
    }

    /// The lever in force, 0..1.
    pub fn lever(&self) -> f64 {
        self.lever
    }

    /// Every move of the lever: the tick it takes effect with, and thousandths of travel.
    pub fn log(&self) -> &[(u64, u16)] {
        self.trace.log()
    }

    /// Ticks flown.
    pub fn tick(&self) -> u64 {
        self.world.tick()
    }

    /// Time flown, s.
    pub fn time_s(&self) -> f64 {
        self.tick() as f64 * TICK_S
    }

    /// The airspeed still to be lost at a tick, m/s, where a leg asks to slow in; negative once too much has been lost.
    pub fn to_lose_mps(&self, leg: &Leg, tick: u64) -> Option<f64> {
        let is_asked = matches!(leg.kind, Kind::Slow(_));
        is_asked.then(|| self.above_on_speed_mps(tick))
    }

    fn above_on_speed_mps(&self, tick: u64) -> f64 {
        let Point { state, wind } = self.trace.at(tick as usize);
        state.airspeed_mps(&wind) - self.drill.start_trim().speed_mps
    }

    /// Why it is over, or None.
    pub fn end(&self) -> Option<End> {
        self.end
    }

    /// The fault it ended in, if any.
    pub fn fault(&self) -> Option<Fault> {
        match self.end {
            Some(End::Fault(fault)) => Some(fault),
            _ => None,
        }
    }

    /// How far above on speed it was at a tick, m/s of airspeed, while slowing in; None once slow, and where the run does not
    /// slow in.
    pub fn fast_mps(&self, tick: u64) -> Option<f64> {
        self.world.slowing()?;
        let is_slow = self.world.slow_tick().is_some_and(|slow| slow <= tick);
        (!is_slow).then(|| self.above_on_speed_mps(tick))
    }

    /// How much longer full power can wait on a path for a go-around that can still be flown, s, to a quarter and at most
    /// `most_s`; None where it is too late already, and where no path is being flown.
    pub fn go_around_left_s(&self, most_s: f64) -> Option<f64> {
        let Kind::Path(path) = &self.leg().kind else {
            return None;
        };
        let state = self.world.state();
        let flown = FlownTick {
            aircraft: self.world.aircraft(),
            before: state,
            after: state,
            wind: self.world.wind(),
            air: self.world.air(),
            lever: self.lever,
            tick: self.tick(),
        };
        path::time_left_s(&path.glide, &flown, most_s)
    }

    /// Digest of the state at every full second and at the end, hexadecimal.
    pub fn digest(&self) -> String {
        let mut digest = self.digest;
        add_state(&mut digest, &self.world);
        digest.hex()
    }
}

fn add_state(digest: &mut Digest, world: &World) {
    for number in world.state().numbers() {
        digest.add(number);
    }
}
