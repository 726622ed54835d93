//! The hands that move the lever when no person does. A hand sees what a person could see, and answers with a lever.
#![deny(clippy::disallowed_methods, clippy::disallowed_types)]

pub mod best;
pub mod beyond;
pub mod par;
pub mod phases;
pub mod recipe;
pub mod script;
pub mod showing;
mod slowing;
pub mod steady;

use std::sync::Arc;

use crate::drill::Drill;
use crate::run::Run;
use crate::run::recording::HandName;
use crate::units::TICKS_PER_S;

pub use crate::plan::Sight;
pub use phases::Phases;
pub use recipe::Brief;
pub use script::Script;
pub use showing::{Showing, shows};
pub use steady::Steady;

/// On a path full power means going around: hands stay below it.
const SHORT_OF_FULL: f64 = 0.95;
/// How long `steady` watches before it takes over, ticks.
const WATCHING: u64 = TICKS_PER_S / 2;

/// Anything that moves the lever.
pub trait Hand {
    /// The lever in thousandths for the coming tick, or None to leave it where it is. Called at every tick.
    fn lever(&mut self, sight: &Sight) -> Option<u16>;
}

/// The built-in hand of a name; None for a person and for a script, which are not built in. `steady` is the run
/// that is shown as par. `best` flies the whole drill beforehand. A hand named after a fault shows it plainly,
/// where [`shows`] says that there is room for it.
pub fn built_in(name: HandName, drill: &Arc<Drill>, seed: u64) -> Option<Box<dyn Hand>> {
    let hand: Box<dyn Hand> = match name {
        HandName::Person | HandName::Script => return None,
        HandName::Steady => {
            let phases = Phases::of(drill, seed);
            Box::new(Script::new(phases.nearest_the_mean().log().to_vec()))
        }
        HandName::Green => Box::new(Steady::with(drill, steady::Traits::green())),
        HandName::Brief => Box::new(Brief::new(drill)),
        HandName::Best => {
            let phases = Phases::of(drill, seed);
            let best = best::fly(&phases.nearest_the_mean(), &mut |_| {});
            Box::new(Script::new(best.log().to_vec()))
        }
        fault => Box::new(Showing::new(drill, fault)),
    };
    Some(hand)
}

/// A `steady` that takes over a run in its current leg, looking `phase` ticks after every full second. It has watched what
/// came before: in the run itself or, where that does not remember it, in `own`.
pub fn taking_over(run: &Run, own: &Run, phase: u64) -> Steady {
    let mut steady = Steady::new(run.drill()).at_phase(phase);
    let remembered = run.trace().first_tick() as u64;
    for tick in run.tick().saturating_sub(WATCHING)..run.tick() {
        let seen = if tick >= remembered { run } else { own };
        steady.watch(&Sight::back_then(seen, run.leg(), tick));
    }
    steady
}

/// Flies a drill to its end with a hand.
pub fn fly(drill: Arc<Drill>, seed: u64, hand: &mut dyn Hand) -> Run {
    let mut run = Run::new(drill, seed);
    while run.end().is_none() {
        fly_leg(&mut run, hand);
    }
    run
}

/// Flies a run's current leg to its end with a hand.
pub fn fly_leg(run: &mut Run, hand: &mut dyn Hand) {
    move_through(run, u64::MAX, &mut |run| hand.lever(&Sight::of(run)));
}

/// Flies a run's current leg to its end, or until after a tick, with the given moves.
fn move_through(run: &mut Run, until: u64, moves: &mut dyn FnMut(&Run) -> Option<u16>) {
    let legs = run.legs().len();
    while run.end().is_none() && run.legs().len() == legs && run.tick() <= until {
        if let Some(lever) = moves(run) {
            run.set_lever(lever);
        }
        run.fly();
    }
}
