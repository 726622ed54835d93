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

/// Instants and the lever between them: `levers[n]` was held from `points[n]` to `points[n + 1]`.
#[derive(Clone, Debug)]
pub struct Trace {
    start_lever: f64,
    points: Vec<Point>,
    levers: Vec<f64>,
}

impl Trace {
    /// A trace of nothing flown yet.
    pub fn new(start_lever: f64, world: &World) -> Trace {
        Trace {
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

    /// Ticks flown.
    pub fn ticks(&self) -> usize {
        self.levers.len()
    }

    /// Every instant from the start to now: one more than ticks.
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// The lever of every tick.
    pub fn levers(&self) -> &[f64] {
        &self.levers
    }

    /// The lever before a tick: what a task that begins with it has seen first.
    pub fn lever_before(&self, tick: usize) -> f64 {
        match tick {
            0 => self.start_lever,
            _ => self.levers[tick - 1],
        }
    }

    /// The lever for the tick that begins at an instant; the last one again at the very end.
    pub fn lever_at(&self, tick: usize) -> f64 {
        match self.levers.get(tick) {
            Some(lever) => *lever,
            None => self.lever_before(self.levers.len()),
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
