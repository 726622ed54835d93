//! Best and par of a drill, task by task: what the hands `best` and `steady` make of it in the same air.

use std::sync::Arc;

use serde::{Deserialize, Serialize};

use crate::drill::{Drill, Kind};
use crate::hands::{self, Steady, best};
use crate::run::{Leg, Run};
use crate::score::{Reference, leg_cost};
use crate::units::FT;

/// Version of the hands `steady` and `best`: costs of another version are computed anew.
pub const VERSION: u32 = 2;

/// A hold that was never farther off than this, with the lever left alone, needs no par: ft.
const FLAWLESS_FT: f64 = 0.01;

/// Both hands' runs of one drill with one seed, as logs, and what each leg cost them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Pars {
    legs: Vec<Priced>,
    /// What `steady` did with the lever: (tick, thousandths).
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
    reference: Reference,
}

/// Whether any leg of a run is measured against par: one that counts, was finished, and was more than sitting still.
pub fn is_needed(run: &Run) -> bool {
    run.legs().iter().any(|leg| leg_needs(run, leg))
}

fn leg_needs(run: &Run, leg: &Leg) -> bool {
    let Some(end) = leg.end.filter(|_| run.drill().tasks[leg.task].scored) else {
        return false;
    };
    let ticks = leg.start as usize..end as usize;
    let trace = run.trace();
    let held = trace.lever_before(ticks.start);
    let off_ft = |tick: usize| leg.target.error(&trace.at(tick).state, tick as u64).abs() / FT;
    let idle = matches!(leg.kind, Kind::Hold(_))
        && trace
            .levers_between(ticks.clone())
            .iter()
            .all(|lever| *lever == held)
        && (ticks.start..=ticks.end).all(|tick| off_ft(tick) <= FLAWLESS_FT);
    !idle
}

impl Pars {
    /// Flies a drill with both hands; `progress` is told how much of it is done, 0 to 1.
    pub fn of(drill: &Arc<Drill>, seed: u64, progress: &mut dyn FnMut(f64)) -> Pars {
        let steady = hands::fly(drill.clone(), seed, &mut Steady::new(drill));
        let best = best::fly(&steady, progress);
        let legs = steady.legs().iter().enumerate();
        let legs = legs.map(|(index, leg)| {
            let same = best
                .legs()
                .get(index)
                .filter(|other| asked(other) == asked(leg));
            let par = leg_cost(&steady, index);
            let best = same.and_then(|_| leg_cost(&best, index));
            Priced {
                task: leg.task,
                asked: asked(leg),
                reference: Reference {
                    best: lower(best, par),
                    par,
                },
            }
        });
        Pars {
            legs: legs.collect(),
            steady: steady.log().to_vec(),
            best: best.log().to_vec(),
        }
    }

    /// What the hands made of each leg of a run; where a surprise asked the learner for something else, what they would
    /// have made of that from there. Legs that need no par have none.
    pub fn references(&self, run: &Run) -> Vec<Reference> {
        let mut starts = run.each_leg_start().enumerate();
        let legs = run.legs().iter().enumerate();
        legs.map(|(index, leg)| {
            if !leg_needs(run, leg) {
                return Reference::default();
            }
            let known = self
                .legs
                .get(index)
                .filter(|priced| priced.task == leg.task);
            match known.filter(|priced| priced.asked == asked(leg)) {
                Some(priced) => priced.reference,
                None => {
                    let start = starts.find(|(leg, _)| *leg == index);
                    start.map_or(Reference::default(), |(_, start)| reference_from(&start))
                }
            }
        })
        .collect()
    }
}

/// What both hands make of the leg that begins where a run stands.
fn reference_from(start: &Run) -> Reference {
    let mut steady = start.fork();
    hands::fly_leg(&mut steady, &mut Steady::new(start.drill()));
    let leg = start.legs().len() - 1;
    let par = leg_cost(&steady, leg);
    let best = leg_cost(&best::fly_leg(start, &steady), leg);
    Reference {
        best: lower(best, par),
        par,
    }
}

fn lower(a: Option<f64>, b: Option<f64>) -> Option<f64> {
    match (a, b) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}

fn asked(leg: &Leg) -> String {
    format!("{:?}", leg.kind)
}
