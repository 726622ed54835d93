//! The full record of a run, tick by tick.

use std::ops::Range;

use crate::sim::air::Wind;
use crate::sim::dynamics::State;
use crate::sim::world::World;

/// The world at one instant, n/64 s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    pub state: State,
    /// The wind that blows from this instant to the next tick.
    pub wind: Wind,
}

/// The states at the instants between ticks, the wind over each tick, and every move of the lever. A fork keeps only the states
/// that it flew itself, but all moves.
#[derive(Clone, Debug, Default)]
pub struct Trace {
    first: usize,
    states: Vec<State>,
    /// Stored up to the last instant at which the air moved: most runs are flown in still air.
    winds: Vec<Wind>,
    start_lever: f64,
    /// For each move: the tick with which it takes effect, thousandths of travel.
    log: Vec<(u64, u16)>,
}

impl Trace {
    /// A trace of nothing flown yet.
    pub fn new(start_lever: f64, world: &World) -> Trace {
        let nothing = Trace {
            start_lever,
            ..Trace::default()
        };
        nothing.fork(world)
    }

    /// The trace of a fork, which goes on in a world from here.
    pub fn fork(&self, world: &World) -> Trace {
        let mut fork = Trace {
            first: world.tick() as usize,
            start_lever: self.start_lever,
            log: self.log.clone(),
            ..Trace::default()
        };
        fork.push(world);
        fork
    }

    /// Records the end of a tick.
    pub fn push(&mut self, world: &World) {
        if *world.wind() != Wind::default() {
            self.winds.resize(self.states.len(), Wind::default());
            self.winds.push(*world.wind());
        }
        self.states.push(*world.state());
    }

    /// Records that the lever goes to a setting with the tick that begins. Away and back within one tick is no move.
    pub fn moved(&mut self, thousandths: u16) {
        let tick = self.ticks() as u64;
        self.log.pop_if(|last| last.0 == tick);
        if self.log.last().is_none_or(|last| last.1 != thousandths) {
            self.log.push((tick, thousandths));
        }
    }

    /// Continues with a trace that begins at one of its instants; its own states from there on are dropped.
    pub fn join(&mut self, later: Trace) {
        let kept = later.first - self.first;
        self.states.truncate(kept);
        self.states.extend(later.states);
        self.winds.truncate(kept);
        if !later.winds.is_empty() {
            self.winds.resize(kept, Wind::default());
            self.winds.extend(later.winds);
        }
        self.log = later.log;
    }

    /// Ticks flown since the run began.
    pub fn ticks(&self) -> usize {
        self.first + self.states.len() - 1
    }

    /// The first tick whose state it keeps.
    pub fn first_tick(&self) -> usize {
        self.first
    }

    /// Every state it keeps, the current one included.
    pub fn states(&self) -> &[State] {
        &self.states
    }

    /// The states at the beginnings of a range of ticks.
    pub fn between(&self, ticks: Range<usize>) -> &[State] {
        &self.states[ticks.start - self.first..ticks.end - self.first]
    }

    /// The state at which a tick begins; it must be among those kept.
    pub fn state(&self, tick: usize) -> &State {
        &self.states[tick - self.first]
    }

    /// The wind over a tick.
    pub fn wind(&self, tick: usize) -> Wind {
        let wind = self.winds.get(tick - self.first);
        wind.copied().unwrap_or_default()
    }

    /// The instant at which a tick begins; it must be among those kept.
    pub fn at(&self, tick: usize) -> Point {
        Point {
            state: *self.state(tick),
            wind: self.wind(tick),
        }
    }

    /// Every move of the lever: the tick with which it takes effect, and thousandths of travel.
    pub fn log(&self) -> &[(u64, u16)] {
        &self.log
    }

    /// The settings to which the lever went within a range of ticks, 0..1.
    pub fn settings(&self, ticks: Range<usize>) -> impl Iterator<Item = f64> + use<'_> {
        let moves = self.moves_before(ticks.start)..self.moves_before(ticks.end);
        self.log[moves].iter().map(setting)
    }

    /// The lever before a tick: the first setting seen by a task that begins with the tick.
    pub fn lever_before(&self, tick: usize) -> f64 {
        match self.moves_before(tick) {
            0 => self.start_lever,
            moves => setting(&self.log[moves - 1]),
        }
    }

    /// The lever for the tick that begins at an instant; at the very end, that of the last tick.
    pub fn lever_at(&self, tick: usize) -> f64 {
        self.lever_before((tick + 1).min(self.ticks()))
    }

    fn moves_before(&self, tick: usize) -> usize {
        self.log.partition_point(|(at, _)| (*at as usize) < tick)
    }
}

/// The lever after a move, 0..1.
fn setting((_, thousandths): &(u64, u16)) -> f64 {
    f64::from(*thousandths) / 1000.0
}
