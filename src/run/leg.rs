//! One task of a run.

use crate::drill::path::Approach;
use crate::drill::{Kind, Progress, Target};
use crate::units::TICK_S;

/// One task as it was flown. Times are ticks of the run.
#[derive(Clone, Debug, PartialEq)]
pub struct Leg {
    /// Index of the drill's task it belongs to; the tasks of a surprise share one.
    pub task: usize,
    /// What it asks: the task itself, or what was drawn for it.
    pub kind: Kind,
    /// What it asks the aeroplane to be at.
    pub target: Target,
    /// Its first tick.
    pub start: u64,
    /// The tick after its last; None while it runs or where it was cut off.
    pub end: Option<u64>,
    /// What it has seen of itself.
    pub progress: Progress,
    /// Whether its stay was completed; None while it runs and for kinds that capture nothing.
    pub captured: Option<bool>,
    /// What a path has seen of itself.
    pub approach: Approach,
}

impl Leg {
    /// `kind` is never a surprise: what is drawn takes its place.
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
