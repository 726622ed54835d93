//! Best and par of a drill, task by task: what the hands `best` and `steady` make of it in the same air.
//!
//! *Par* is the mean cost of `steady` over eight phases of its looks, since a hand that looks once a second is lucky or
//! unlucky by when it looks. What a task begins with is not its doing: the same eight take it over from where the learner
//! brought it, and what they need more or less than par is what was *handed on*.

use std::sync::Arc;

use serde::{Deserialize, Serialize};

use super::{Phases, best};
use crate::drill::{Drill, Kind};
use crate::run::{Leg, Run};
use crate::score::{Reference, leg_cost};
use crate::units::FT;

/// Version of the hands `steady` and `best`: costs of another version are computed anew.
pub const VERSION: u32 = 9;

/// A hold that was never farther off than this, with the lever left alone, needs no par: ft.
const FLAWLESS_FT: f64 = 0.01;

/// Both hands' runs of one drill with one seed, as logs, and what each leg cost them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Pars {
    legs: Vec<Priced>,
    /// What `steady` did with the lever in the run that is shown as par: (tick, thousandths).
    pub steady: Vec<(u64, u16)>,
    /// What `best` did with the lever: (tick, thousandths).
    pub best: Vec<(u64, u16)>,
}

/// A leg as both hands met it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
struct Priced {
    task: usize,
    /// What was asked, for telling whether a surprise asked a learner for the same.
    asked: String,
    best: Option<f64>,
    par: Option<f64>,
}

/// Whether any leg of a run is measured against par: one that counts, was not left, and was more than sitting still.
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
    /// Flies a drill with both hands; `progress` is told how much of it is done, 0 to 1.
    pub fn of(drill: &Arc<Drill>, seed: u64, progress: &mut dyn FnMut(f64)) -> Pars {
        let phases = Phases::of(drill, seed);
        let shown = phases.nearest_the_mean();
        let best = best::fly(&shown, progress);
        let legs = shown.legs().iter().enumerate();
        let legs = legs.map(|(index, leg)| {
            let is_same = |run: &Run| {
                let other = run.legs().get(index);
                other.is_some_and(|other| asked(other) == asked(leg))
            };
            let par = phases.mean_cost(index, is_same);
            let own = is_same(&best).then(|| leg_cost(&best, index)).flatten();
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

    /// What the hands made of each leg of a run; where a surprise asked the learner for something else, what they would
    /// have made of that from there. Legs that need no par have none.
    pub fn references(&self, run: &Run) -> Vec<Reference> {
        let legs = run.legs().iter().zip(run.each_leg_start()).enumerate();
        let of_leg = legs.map(|(index, (leg, start))| match leg_needs(run, leg) {
            true => self.reference(run, index, &start),
            false => Reference::default(),
        });
        of_leg.collect()
    }

    /// The same of one leg, which begins where `start`, a fork of the run, stands.
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
