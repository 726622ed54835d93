//! Best and par of a drill, task by task: what it costs the hands `best` and `steady` in the same air.
//!
//! *Par* is the mean cost of `steady` over eight phases of its looks, since a hand that looks once a second is lucky or
//! unlucky in when it looks. A task is not to blame for the state in which it begins: the same eight take it over from
//! where the learner brought it, and what they need more or less than par is what was *handed on*.

use std::sync::Arc;

use serde::{Deserialize, Serialize};

use super::{Phases, best};
use crate::drill::{Drill, Kind};
use crate::run::{Leg, Run};
use crate::score::{Reference, leg_cost};
use crate::units::FT;

/// Version of the hands `steady` and `best`: costs of another version are computed again.
pub const VERSION: u32 = 10;

/// A hold needs no par if it was never farther off than this with the lever left alone, ft.
const FLAWLESS_FT: f64 = 0.01;

/// Both hands' runs of one drill with one seed, as logs, and what each leg cost them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Pars {
    legs: Vec<Priced>,
    /// Lever moves of `steady` in the run that is shown as par: (tick, thousandths).
    pub steady: Vec<(u64, u16)>,
    /// Lever moves of `best`: (tick, thousandths).
    pub best: Vec<(u64, u16)>,
}

/// A leg and what it cost both hands.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
struct Priced {
    task: usize,
    /// What the leg asked for, to find out whether a surprise asked a learner for the same.
    asked: String,
    best: Option<f64>,
    par: Option<f64>,
}

/// Whether any leg of a run is measured against par: one that is scored, was not left, and took more than sitting still.
pub fn is_needed(run: &Run) -> bool {
    run.legs().iter().any(|leg| leg_needs(run, leg))
}

fn leg_needs(run: &Run, leg: &Leg) -> bool {
    let Some(end) = run.over(leg).filter(|_| run.drill().tasks[leg.task].scored) else {
        return false;
    };
    let ticks = leg.start as usize..end as usize;
    let trace = run.trace();
    let held = trace.lever_before(ticks.start);
    let off_ft = |tick: usize| leg.target.error(trace.state(tick), tick as u64).abs() / FT;
    let idle = matches!(leg.kind, Kind::Hold(_))
        && trace.settings(ticks.clone()).all(|lever| lever == held)
        && (ticks.start..=ticks.end).all(|tick| off_ft(tick) <= FLAWLESS_FT);
    !idle
}

impl Pars {
    /// Flies a drill with both hands; `progress` is called with the share done, 0 to 1.
    pub fn of(drill: &Arc<Drill>, seed: u64, progress: &mut dyn FnMut(f64)) -> Pars {
        let phases = Phases::of(drill, seed);
        let shown = phases.nearest_the_mean();
        let best = best::fly(&shown, &mut |done| progress(0.5 * done));
        let legs = shown.legs().iter().zip(shown.each_leg_start()).enumerate();
        let legs = legs.map(|(index, (leg, start))| {
            progress(0.5 + 0.5 * leg.start as f64 / shown.tick().max(1) as f64);
            let is_same = |run: &Run| {
                let other = run.legs().get(index);
                other.is_some_and(|other| asked(other) == asked(leg))
            };
            let par = phases.mean_cost(index, is_same);
            // Best and par are compared, so both begin in the same state; what a learner begins with is handed on.
            let own = match index {
                0 => leg_cost(&best, index),
                _ if leg_needs(&shown, leg) => leg_cost(&best::fly_leg(&start, &shown), index),
                _ => None,
            };
            Priced {
                task: leg.task,
                asked: asked(leg),
                best: lower(own, par),
                par,
            }
        });
        Pars {
            legs: legs.collect(),
            steady: shown.log().to_vec(),
            best: best.log().to_vec(),
        }
    }

    /// What each leg of a run cost the hands; where a surprise asked the learner for something else, what that would have
    /// cost them from there. Empty for legs that need no par.
    pub fn references(&self, run: &Run) -> Vec<Reference> {
        let legs = run.legs().iter().zip(run.each_leg_start()).enumerate();
        let of_leg = legs.map(|(index, (leg, start))| match leg_needs(run, leg) {
            true => self.reference(run, index, &start),
            false => Reference::default(),
        });
        of_leg.collect()
    }

    /// The same for one leg, which begins at the current tick of `start`, a fork of the run.
    pub fn reference(&self, run: &Run, index: usize, start: &Run) -> Reference {
        let leg = &run.legs()[index];
        let known = self.legs.get(index);
        let known = known.filter(|priced| priced.task == leg.task && priced.asked == asked(leg));
        if let Some(known) = known {
            let brought = || Phases::from_there(run, start).mean_cost(index, |_| true);
            let w0 = if index == 0 { None } else { brought() };
            return Reference {
                best: known.best,
                par: known.par,
                handed_on: w0.zip(known.par).map(|(w0, par)| w0 - par),
            };
        }
        let phases = Phases::from_there(run, start);
        let par = phases.mean_cost(index, |_| true);
        let best = leg_cost(&best::fly_leg(start, &phases.nearest_the_mean()), index);
        Reference {
            best: lower(best, par),
            par,
            handed_on: None,
        }
    }
}

fn lower(a: Option<f64>, b: Option<f64>) -> Option<f64> {
    a.into_iter().chain(b).reduce(f64::min)
}

fn asked(leg: &Leg) -> String {
    format!("{:?}", leg.kind)
}
