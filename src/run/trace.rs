//! Everything a run went through, tick by tick.

use crate::sim::air::Wind;
use crate::sim::dynamics::State;
use crate::sim::world::World;

/// The world at one instant, n/64 s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// The state.
    pub state: State,
    /// The wind that blows from this instant to the next tick.
    pub wind: Wind,
}

/// Instants and the lever between them: `levers[n]` was held from `points[n]` to `points[n + 1]`. A fork remembers only
/// what it flew itself.
#[derive(Clone, Debug)]
pub struct Trace {
    first: usize,
    start_lever: f64,
    points: Vec<Point>,
    levers: Vec<f64>,
}

impl Trace {
    /// A trace of nothing flown yet.
    pub fn new(start_lever: f64, world: &World) -> Trace {
        Trace {
            first: world.tick() as usize,
            start_lever,
            points: vec![Point::of(world)],
            levers: Vec::new(),
        }
    }

    /// Takes in a tick that was flown with `lever`.
    pub fn push(&mut self, lever: f64, world: &World) {
        self.levers.push(lever);
        self.points.push(Point::of(world));
    }

    /// Goes on as a trace that begins at one of its instants; what it knew beyond that is forgotten.
    pub fn join(&mut self, later: &Trace) {
        let kept = later.first - self.first;
        self.levers.truncate(kept);
        self.levers.extend(&later.levers);
        self.points.truncate(kept);
        self.points.extend(&later.points);
    }

    /// Ticks flown since the run began.
    pub fn ticks(&self) -> usize {
        self.first + self.levers.len()
    }

    /// Every instant it remembers, now included.
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// The instant at which a tick begins; it must be one that is remembered.
    pub fn at(&self, tick: usize) -> &Point {
        &self.points[tick - self.first]
    }

    /// The instants from the beginnings of a range of ticks.
    pub fn between(&self, ticks: std::ops::Range<usize>) -> &[Point] {
        &self.points[ticks.start - self.first..ticks.end - self.first]
    }

    /// The first tick that it remembers.
    pub fn first_tick(&self) -> usize {
        self.ticks() - self.levers().len()
    }

    /// The lever of every tick it remembers.
    pub fn levers(&self) -> &[f64] {
        &self.levers
    }

    /// The lever of every tick of a range.
    pub fn levers_between(&self, ticks: std::ops::Range<usize>) -> &[f64] {
        &self.levers[ticks.start - self.first..ticks.end - self.first]
    }

    /// The lever before a tick: what a task that begins with it has seen first.
    pub fn lever_before(&self, tick: usize) -> f64 {
        match tick - self.first {
            0 => self.start_lever,
            before => self.levers[before - 1],
        }
    }

    /// The lever for the tick that begins at an instant; the last one again at the very end.
    pub fn lever_at(&self, tick: usize) -> f64 {
        match self.levers.get(tick - self.first) {
            Some(lever) => *lever,
            None => self.lever_before(self.ticks()),
        }
    }
}

impl Point {
    fn of(world: &World) -> Point {
        Point {
            state: *world.state(),
            wind: *world.wind(),
        }
    }
}
