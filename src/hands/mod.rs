//! Who moves the lever when no person does. A hand sees what a person could see, and answers with a lever.
#![deny(clippy::disallowed_methods, clippy::disallowed_types)]

pub mod best;
pub mod phases;
pub mod recipe;
pub mod script;
pub mod showing;
mod slowing;
pub mod steady;

use std::sync::Arc;

use crate::drill::{Drill, Target};
use crate::run::recording::HandName;
use crate::run::{Leg, Run};

pub use phases::Phases;
pub use recipe::Brief;
pub use script::Script;
pub use showing::{Showing, shows};
pub use steady::Steady;

/// What a person at the lever could see at a tick.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sight {
    /// The tick that begins.
    pub tick: u64,
    /// Altitude, m.
    pub altitude_m: f64,
    /// Vertical speed, m/s, + up.
    pub vertical_mps: f64,
    /// The lever, 0..1.
    pub lever: f64,
    /// The drill's task that is being flown, from 0, and ticks since it began, or since it was drawn.
    pub task: usize,
    /// See `task`.
    pub task_ticks: u64,
    /// What is asked for now.
    pub target: Target,
    /// Distance to the aim point, m, and how fast it shrinks, m/s; on a path only.
    pub approach: Option<(f64, f64)>,
    /// Airspeed above on speed, m/s, where the task is to slow in.
    pub fast_mps: Option<f64>,
    /// Whether pitch holds the altitude, as it does until the aeroplane is slow.
    pub is_held: bool,
    /// Whether the aeroplane stands on the deck.
    pub is_down: bool,
    /// Whether a go-around has been called.
    pub is_called: bool,
}

impl Sight {
    /// What there is to see in a run now.
    pub fn of(run: &Run) -> Sight {
        let leg = run.leg();
        Sight {
            is_down: leg.approach.is_down(),
            is_called: leg.approach.called.is_some(),
            ..Sight::in_flight(run, leg, run.tick(), run.lever())
        }
    }

    /// What there was to see at an earlier tick of a run by someone who was asked for what a leg asks.
    pub fn back_then(run: &Run, leg: &Leg, tick: u64) -> Sight {
        Sight::in_flight(run, leg, tick, run.trace().lever_before(tick as usize))
    }

    fn in_flight(run: &Run, leg: &Leg, tick: u64, lever: f64) -> Sight {
        let state = &run.trace().at(tick as usize).state;
        let slowing = run.world().slowing();
        Sight {
            tick,
            altitude_m: state.h_m,
            vertical_mps: state.vz_mps,
            lever,
            task: leg.task,
            task_ticks: tick.saturating_sub(leg.start),
            target: leg.target,
            approach: match &leg.target {
                Target::Path(glide) => {
                    Some((glide.distance_m(state, tick), glide.closure_mps(state)))
                }
                _ => None,
            },
            fast_mps: run.to_lose_mps(leg, tick),
            is_held: slowing
                .is_some_and(|slowing| slowing.slow_tick().is_none_or(|slow| tick < slow)),
            is_down: false,
            is_called: false,
        }
    }
}

/// Someone who moves the lever.
pub trait Hand {
    /// The lever in thousandths for the tick that begins, or None to leave it where it is. Asked at every tick.
    fn lever(&mut self, sight: &Sight) -> Option<u16>;
}

/// The built-in hand of a name; None for a person and for a script, who are not built in. `steady` is the run that is shown
/// as par. The others show a fault plainly, where [`shows`] says that there is room for it. `best` flies the whole drill beforehand.
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

/// Flies a drill to its end with a hand.
pub fn fly(drill: Arc<Drill>, seed: u64, hand: &mut dyn Hand) -> Run {
    let mut run = Run::new(drill, seed);
    while run.end().is_none() {
        fly_leg(&mut run, hand);
    }
    run
}

/// Flies the leg a run stands in to its end with a hand.
pub fn fly_leg(run: &mut Run, hand: &mut dyn Hand) {
    let legs = run.legs().len();
    while run.end().is_none() && run.legs().len() == legs {
        if let Some(lever) = hand.lever(&Sight::of(run)) {
            run.set_lever(lever);
        }
        run.fly();
    }
}
