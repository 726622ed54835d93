//! Who moves the lever when no person does. A hand sees what a person could see, and answers with a lever.
#![deny(clippy::disallowed_methods, clippy::disallowed_types)]

pub mod best;
pub mod faulty;
pub mod rehearsal;
pub mod script;
pub mod showing;
pub mod steady;
pub mod stray;

use std::sync::Arc;

use crate::drill::{Drill, Target};
use crate::run::recording::HandName;
use crate::run::{Run, thousandths};
use crate::units::TICKS_PER_S;

pub use faulty::{Faulty, Flaw, Learner};
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
    /// What is asked for now.
    pub target: Target,
    /// Distance to the aim point, m, and how fast it shrinks, m/s; on a path only.
    pub approach: Option<(f64, f64)>,
    /// Whether the aeroplane stands on the deck.
    pub is_down: bool,
    /// Whether a go-around has been called.
    pub is_called: bool,
}

impl Sight {
    /// What there is to see in a run now.
    pub fn of(run: &Run) -> Sight {
        let state = run.world().state();
        Sight {
            tick: run.tick(),
            altitude_m: state.h_m,
            vertical_mps: state.vz_mps,
            lever: run.lever(),
            target: run.leg().target,
            approach: match &run.leg().target {
                Target::Path(glide) => Some((
                    glide.distance_m(state, run.tick()),
                    glide.closure_mps(state),
                )),
                _ => None,
            },
            is_down: run.leg().approach.is_down(),
            is_called: run.leg().approach.called.is_some(),
        }
    }
}

/// Someone who moves the lever.
pub trait Hand {
    /// The lever in thousandths for the tick that begins, or None to leave it where it is. Asked at every tick.
    fn lever(&mut self, sight: &Sight) -> Option<u16>;
}

/// The built-in hand of a name; None for a person and for a script, who are not built in. The faulty ones show their flaw
/// plainly, where [`shows`] says that there is room for it. `best` flies the whole drill beforehand.
pub fn built_in(name: HandName, drill: &Arc<Drill>, seed: u64) -> Option<Box<dyn Hand>> {
    let hand: Box<dyn Hand> = match name {
        HandName::Person | HandName::Script => return None,
        HandName::Steady => Box::new(Steady::new(drill)),
        HandName::Green => Box::new(Steady::with(drill, steady::Traits::green())),
        HandName::Best => {
            let steady = fly(drill.clone(), seed, &mut Steady::new(drill));
            let best = best::fly(&steady, &mut |_| {});
            Box::new(Script::new(best.log().to_vec()))
        }
        flawed => {
            let flaw = Flaw::plain(flawed, drill)?;
            Box::new(Showing::new(drill, flaw))
        }
    };
    Some(hand)
}

/// Ticks after which a run is left whatever it does: no drill lasts longer than four hours, but an aeroplane that is flown
/// away from the aim point would never come to an end.
const LONGEST_TICKS: u64 = 5 * 3600 * TICKS_PER_S;

/// Lets `steady` see what happens without asking it for anything, so that it takes over with a feel for how the vertical
/// speed is changing.
pub(crate) fn watch(steady: &mut Steady, sight: &Sight) {
    // A tick on which it does not look, so that it makes no plan either.
    steady.lever(&Sight { tick: 1, ..*sight });
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
        if run.tick() >= LONGEST_TICKS {
            run.leave();
        }
        if let Some(lever) = hand.lever(&Sight::of(run)) {
            run.set_lever(lever);
        }
        run.fly();
    }
}

/// A lever that travels towards a wanted setting at a limited rate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Travel {
    /// Fraction of travel in a tick.
    pub per_tick: f64,
}

impl Travel {
    /// The next setting in thousandths on the way from `lever` to `wanted`; None once it is there.
    pub(crate) fn next(&self, lever: f64, wanted: f64) -> Option<u16> {
        let wanted = f64::from(thousandths(wanted)) / 1000.0;
        let step = (wanted - lever).clamp(-self.per_tick, self.per_tick);
        let next = thousandths(lever + step);
        (f64::from(next) / 1000.0 != lever).then_some(next)
    }
}
