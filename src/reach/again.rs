//! Flies a leg again: the lever as it was up to a tick, then different changes, then `steady` from a later tick on.

use crate::hands;
use crate::run::Run;
use crate::run::moves::Lever;
use crate::score::{Reference, Worth, leg_worth};
use crate::units::TICKS_PER_S;

/// Delay of the first look of `steady` after it takes over, ticks.
const FIRST_LOOK: u64 = TICKS_PER_S / 2;

/// A leg of a run with its own lever, which can be left at any tick.
#[derive(Clone, Debug)]
pub struct Again<'a> {
    pub run: &'a Run,
    /// The leg's index.
    pub leg: usize,
    /// Its first tick.
    pub start: u64,
    /// The tick after its last.
    pub end: u64,
    pub lever: Lever,
    /// The reference for its points.
    reference: Reference,
    /// The run at the leg's beginning, without any earlier states.
    begun: Run,
}

impl<'a> Again<'a> {
    /// A leg that was finished or ended by a fault, and a fork of its run where the leg begins; None where it was left.
    pub fn new(run: &'a Run, leg: usize, begun: Run, reference: Reference) -> Option<Again<'a>> {
        Some(Again {
            start: run.legs()[leg].start,
            end: run.over(&run.legs()[leg])?,
            lever: Lever::of(run, leg),
            run,
            leg,
            reference,
            begun,
        })
    }

    /// The leg as it was flown up to a tick, with all its states.
    pub fn until(&self, tick: u64) -> Run {
        let mut run = self.begun.clone();
        self.follow(&mut run, &self.lever.changes, tick);
        run
    }

    /// Flies on with the given lever changes until a tick, or until the leg has ended.
    pub fn follow(&self, run: &mut Run, changes: &[(u64, u16)], until: u64) {
        while run.tick() < until && self.is_under_way(run) {
            run.fly_by(changes);
        }
    }

    /// Flies on by `steady` until the leg has ended.
    pub fn hand_over(&self, run: Run) -> Run {
        match self.is_under_way(&run) {
            true => hand_over(run, self.run),
            false => run,
        }
    }

    /// The worth of the leg in a run that has flown it; None where that run broke off.
    pub fn worth(&self, run: &Run) -> Option<Worth> {
        leg_worth(run, self.leg, &self.reference)
    }

    /// Whether a run is still in the leg.
    pub fn is_under_way(&self, run: &Run) -> bool {
        run.end().is_none() && run.legs().len() == self.leg + 1
    }
}

/// Flies the current leg to its end by `steady`. The first look comes half a second later, the average in par, so that the
/// result depends on where it takes over and not on how its looks happen to fall.
pub(super) fn hand_over(mut run: Run, own: &Run) -> Run {
    let mut steady = hands::taking_over(&run, own, run.tick() + FIRST_LOOK);
    hands::fly_leg(&mut run, &mut steady);
    run
}
