//! A flight that was logged elsewhere, tick by tick.

use super::thousandths;
use super::trace::Point;
use crate::sim::air::Wind;
use crate::sim::dynamics::State;

/// What a log tells of a flight; the rest of its states is filled in, and no figure is made of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known {
    /// The lever.
    pub lever: bool,
    /// The airspeed.
    pub speed: bool,
    /// The angle of attack.
    pub alpha: bool,
    /// The vertical speed, to much less than what counts as being under way.
    pub vertical: bool,
    /// How far what is told of it for a moment may be off, m/s; None where moments are not told.
    pub moment_mps: Option<f64>,
}

impl Known {
    /// Everything, as of a run that was flown here.
    pub const ALL: Known = Known {
        lever: true,
        speed: true,
        alpha: true,
        vertical: true,
        moment_mps: Some(0.0),
    };
}

/// The states of a flight at every tick, and its lever over each.
#[derive(Clone, Debug)]
pub struct Tape {
    points: Vec<Point>,
    start_lever: f64,
    levers: Vec<u16>,
    known: Known,
    own_wind: bool,
}

impl Tape {
    /// Of instants and the lever from each to the next, 0..1; there is at least one. `own_wind` says whether the wind is that of
    /// the points, or that of the drill's own air.
    pub fn new(points: Vec<Point>, levers: &[f64], known: Known, own_wind: bool) -> Tape {
        Tape {
            start_lever: levers[0],
            levers: levers.iter().map(|lever| thousandths(*lever)).collect(),
            points,
            known,
            own_wind,
        }
    }

    /// What it tells.
    pub fn known(&self) -> Known {
        self.known
    }

    /// The state it begins with.
    pub fn start(&self) -> &State {
        &self.points[0].state
    }

    /// The lever it begins with, 0..1, not rounded.
    pub fn start_lever(&self) -> f64 {
        self.start_lever
    }

    /// The lever over a tick, thousandths; None once it is over.
    pub fn lever(&self, tick: u64) -> Option<u16> {
        let goes_on = (tick as usize) + 1 < self.points.len();
        self.levers.get(tick as usize).copied().filter(|_| goes_on)
    }

    /// The state at the end of a tick over which the lever was the tape's, and the wind there where that is the tape's own; None
    /// with another lever, and once the tape is over.
    pub(super) fn after(&self, tick: u64, lever: f64) -> Option<(State, Option<Wind>)> {
        self.lever(tick).filter(|own| *own == thousandths(lever))?;
        let point = &self.points[tick as usize + 1];
        Some((point.state, self.own_wind.then_some(point.wind)))
    }
}
