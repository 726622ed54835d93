//! Flying a leg again with the lever as it was up to a tick, differently from there, and by `steady` from a later one.

use crate::hands::{self, Sight, Steady};
use crate::run::Run;
use crate::run::moves::Lever;

/// A leg on its own lever, ready to be left at any tick.
#[derive(Clone, Debug)]
pub struct Leg {
    /// The run where the leg begins.
    start: Run,
    /// Its lever.
    pub lever: Lever,
}

impl Leg {
    /// From a fork where the leg begins, and the lever it was flown with.
    pub fn new(start: Run, lever: Lever) -> Leg {
        Leg { start, lever }
    }

    /// The same in air that brings no new gusts.
    pub fn in_settled_air(&self) -> Leg {
        Leg {
            start: self.start.clone().in_settled_air(),
            lever: self.lever.clone(),
        }
    }

    /// The leg flown as it was up to a tick, all of it remembered.
    pub fn until(&self, tick: u64) -> Run {
        let mut run = self.start.clone();
        follow(&mut run, &self.lever.changes, tick);
        run
    }
}

/// Flies on with changes of the lever until a tick, or until the leg a run stands in has ended.
pub fn follow(run: &mut Run, changes: &[(u64, u16)], until: u64) {
    let legs = run.legs().len();
    let from = changes.partition_point(|(tick, _)| *tick < run.tick());
    let mut changes = changes[from..].iter().peekable();
    while run.tick() < until && run.end().is_none() && run.legs().len() == legs {
        while let Some((_, lever)) = changes.next_if(|(tick, _)| *tick <= run.tick()) {
            run.set_lever(*lever);
        }
        run.fly();
    }
}

/// How long `steady` watches before it takes over, ticks.
const WATCHING: u64 = 32;

/// Flies on with changes of the lever until a tick, and from there with `steady` until the leg has ended.
pub fn hand_over(mut run: Run, changes: &[(u64, u16)], at: u64) -> Run {
    let legs = run.legs().len();
    let mut steady = Steady::new(run.drill());
    let watch_from = at.saturating_sub(WATCHING);
    follow(&mut run, changes, watch_from);
    while run.tick() < at && run.end().is_none() && run.legs().len() == legs {
        let next = run.tick() + 1;
        steady.watch(&Sight::of(&run));
        follow(&mut run, changes, next);
    }
    if run.legs().len() == legs {
        hands::fly_leg(&mut run, &mut steady);
    }
    run
}
