//! One attempt at a drill: the world, the task that is being flown, and everything that happened.
#![deny(clippy::disallowed_methods, clippy::disallowed_types)]

pub mod recording;
pub mod trace;

use std::sync::Arc;

use crate::drill::{Drill, Progress, Verdict};
use crate::sim::math::Digest;
use crate::sim::world::{Fault, World};
use crate::units::{TICK_S, TICKS_PER_S};

pub use recording::Recording;
pub use trace::{Point, Trace};

/// Why a run is over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// The last task ended.
    Complete,
    /// A fault.
    Fault(Fault),
    /// The learner left it.
    Left,
}

/// One task as it was flown. Times are ticks of the run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Leg {
    /// Its first tick.
    pub start: u64,
    /// The tick after its last; None while it runs or where it was cut off.
    pub end: Option<u64>,
    /// What it has seen of itself.
    pub progress: Progress,
    /// Whether its stay was completed; None while it runs and for kinds that capture nothing.
    pub captured: Option<bool>,
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
    log: Vec<(u64, u16)>,
    digest: Digest,
    end: Option<End>,
}

impl Run {
    /// A run at its first tick.
    pub fn new(drill: Arc<Drill>, seed: u64) -> Run {
        let world = drill.world(seed);
        let lever = drill.start_lever();
        Run {
            trace: Trace::new(lever, &world),
            legs: vec![Leg::begun(0)],
            lever,
            log: Vec::new(),
            digest: Digest::default(),
            end: None,
            world,
            seed,
            drill,
        }
    }

    /// Moves the lever, in thousandths of its travel (0..=1000), from the next tick on.
    pub fn set_lever(&mut self, thousandths: u16) {
        let thousandths = thousandths.min(1000);
        let lever = f64::from(thousandths) / 1000.0;
        if lever == self.lever || self.end.is_some() {
            return;
        }
        self.lever = lever;
        let tick = self.tick();
        match self.log.last_mut() {
            Some(last) if last.0 == tick => last.1 = thousandths,
            _ => self.log.push((tick, thousandths)),
        }
        // Away and back within one tick is no move.
        let before = self.log.len().checked_sub(2).map(|index| self.log[index].1);
        if before == Some(thousandths) {
            self.log.pop();
        }
    }

    /// Flies one tick; does nothing once the run is over.
    pub fn fly(&mut self) {
        if self.end.is_some() {
            return;
        }
        let flown = self.world.fly(self.lever);
        self.trace.push(self.lever, &self.world);
        if self.tick().is_multiple_of(TICKS_PER_S) {
            add_state(&mut self.digest, &self.world);
        }
        match flown {
            Err(fault) => self.end = Some(End::Fault(fault)),
            Ok(()) => self.advance_task(),
        }
    }

    fn advance_task(&mut self) {
        let tick = self.tick();
        let index = self.legs.len() - 1;
        let kind = self.drill.tasks[index].kind;
        let leg = &mut self.legs[index];
        leg.progress.ticks += 1;
        leg.progress.stay_ticks = match kind.target().holds(self.world.state()) {
            true => leg.progress.stay_ticks + 1,
            false => 0,
        };
        if let Verdict::Over { captured } = kind.verdict(&leg.progress) {
            leg.end = Some(tick);
            leg.captured = captured;
            if self.legs.len() < self.drill.tasks.len() {
                self.legs.push(Leg::begun(tick));
            } else {
                self.end = Some(End::Complete);
            }
        }
    }

    /// The learner leaves.
    pub fn leave(&mut self) {
        self.end.get_or_insert(End::Left);
    }

    /// The drill that is flown.
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

    /// The tasks begun so far, in the drill's order.
    pub fn legs(&self) -> &[Leg] {
        &self.legs
    }

    /// Index of the task being flown, or of the last one.
    pub fn task_index(&self) -> usize {
        self.legs.len() - 1
    }

    /// The lever in force, 0..1.
    pub fn lever(&self) -> f64 {
        self.lever
    }

    /// Every move of the lever: the tick it takes effect with, and thousandths of travel.
    pub fn log(&self) -> &[(u64, u16)] {
        &self.log
    }

    /// Ticks flown.
    pub fn tick(&self) -> u64 {
        self.world.tick()
    }

    /// Time flown, s.
    pub fn time_s(&self) -> f64 {
        self.tick() as f64 * TICK_S
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

    /// Digest of the state at every full second and at the end, hexadecimal.
    pub fn digest(&self) -> String {
        let mut digest = self.digest;
        add_state(&mut digest, &self.world);
        digest.hex()
    }
}

impl Leg {
    fn begun(tick: u64) -> Leg {
        Leg {
            start: tick,
            end: None,
            progress: Progress::default(),
            captured: None,
        }
    }

    /// How long the running stay has lasted, s.
    pub fn stay_s(&self) -> f64 {
        self.progress.stay_ticks as f64 * TICK_S
    }

    /// Time flown in this task, s.
    pub fn time_s(&self) -> f64 {
        self.progress.ticks as f64 * TICK_S
    }
}

fn add_state(digest: &mut Digest, world: &World) {
    for number in world.state().numbers() {
        digest.add(number);
    }
}

/// A lever position in thousandths of its travel.
pub fn thousandths(lever: f64) -> u16 {
    (lever.clamp(0.0, 1.0) * 1000.0).round() as u16
}
