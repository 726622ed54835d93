//! A flight logged elsewhere, tick by tick.

use super::thousandths;
use crate::drill::Kind;
use crate::sim::air::Wind;
use crate::sim::dynamics::State;

/// Which quantities of a flight a log gives. The rest of its states is filled in, and no figure is computed from that.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known {
    pub lever: bool,
    /// The airspeed.
    pub speed: bool,
    /// The angle of attack.
    pub alpha: bool,
    /// The vertical speed, with an error well below what counts as being under way.
    pub vertical: bool,
    /// How far the vertical speed at a single moment may be off, m/s; None where it is not known for single moments.
    pub moment_mps: Option<f64>,
}

impl Known {
    /// Everything: a run flown here.
    pub const ALL: Known = Known {
        lever: true,
        speed: true,
        alpha: true,
        vertical: true,
        moment_mps: Some(0.0),
    };

    /// Whether they show the error of a task: only the vertical speed shows whether a rate was kept.
    pub fn show(&self, kind: &Kind) -> bool {
        self.vertical || !matches!(kind, Kind::Rate(_))
    }
}

/// The states of a flight at every tick, and its lever over each.
#[derive(Clone, Debug)]
pub struct Tape {
    states: Vec<State>,
    /// The wind over each tick; None where it is the wind of the drill's own air.
    winds: Option<Vec<Wind>>,
    start_lever: f64,
    levers: Vec<u16>,
    known: Known,
}

impl Tape {
    /// A tape of at least one state. From each state to the next there is the lever, 0..1, and the wind, if it is not that of
    /// the drill's own air.
    pub fn new(states: Vec<State>, winds: Option<Vec<Wind>>, levers: &[f64], known: Known) -> Tape {
        Tape {
            start_lever: levers[0],
            levers: levers.iter().map(|lever| thousandths(*lever)).collect(),
            states,
            winds,
            known,
        }
    }

    /// The quantities that are known.
    pub fn known(&self) -> Known {
        self.known
    }

    /// The state it begins with.
    pub fn start(&self) -> &State {
        &self.states[0]
    }

    /// The lever it begins with, 0..1, not rounded.
    pub fn start_lever(&self) -> f64 {
        self.start_lever
    }

    /// The lever over a tick, thousandths; None once the tape is over.
    pub fn lever(&self, tick: u64) -> Option<u16> {
        let goes_on = (tick as usize) + 1 < self.states.len();
        self.levers.get(tick as usize).copied().filter(|_| goes_on)
    }

    /// The state at the end of a tick, and the wind there if the tape has its own; None if the lever over the tick is not the
    /// tape's, and once the tape is over.
    pub(super) fn after(&self, tick: u64, lever: f64) -> Option<(State, Option<Wind>)> {
        self.lever(tick).filter(|own| *own == thousandths(lever))?;
        let end = tick as usize + 1;
        let wind = self.winds.as_ref().map(|winds| winds[end]);
        Some((self.states[end], wind))
    }
}
