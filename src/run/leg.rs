//! One task of a run.

use crate::drill::path::Approach;
use crate::drill::{Kind, Progress, Target};
use crate::units::TICK_S;

/// One task as it was flown. Times are ticks of the run.
#[derive(Clone, Debug, PartialEq)]
pub struct Leg {
    /// Index of the drill's task it belongs to; the tasks of a surprise share one.
    pub task: usize,
    /// The kind of task: the drill's own, or the one drawn for a surprise.
    pub kind: Kind,
    /// The target that it asks for.
    pub target: Target,
    /// Its first tick.
    pub start: u64,
    /// The tick after its last; None while it runs or where it was cut off.
    pub end: Option<u64>,
    /// Its progress so far.
    pub progress: Progress,
    /// Whether its stay was completed; None while it runs and for kinds that capture nothing.
    pub captured: Option<bool>,
    /// The state of a path's approach.
    pub approach: Approach,
}

impl Leg {
    /// A leg at its first tick. `kind` is never a surprise: the drawn kind takes its place.
    pub(super) fn begun(task: usize, kind: Kind, tick: u64) -> Leg {
        Leg {
            task,
            target: kind.target().expect("a surprise is drawn before it begins"),
            kind,
            start: tick,
            end: None,
            progress: Progress::default(),
            captured: None,
            approach: Approach::default(),
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
