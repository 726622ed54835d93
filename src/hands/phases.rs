//! Par, flown: `steady` at eight phases of its looks. A hand that looks once a second is lucky or unlucky by when it looks;
//! what it makes of a drill is the mean.

use std::sync::Arc;

use super::{Sight, Steady, fly, fly_leg};
use crate::drill::Drill;
use crate::run::Run;
use crate::score::leg_cost;
use crate::units::TICKS_PER_S;

/// The phases of `steady`'s looks, ticks.
pub const PHASES: [u64; 8] = [0, 8, 16, 24, 32, 40, 48, 56];

/// How long `steady` watches a learner before it takes over, ticks.
const WATCHING: u64 = TICKS_PER_S / 2;

/// One flight for each phase.
#[derive(Clone, Debug)]
pub struct Phases {
    runs: [Run; 8],
    /// The first leg they flew.
    first: usize,
}

impl Phases {
    /// A drill flown from its first tick.
    pub fn of(drill: &Arc<Drill>, seed: u64) -> Phases {
        let flown = |phase: u64| {
            let mut steady = Steady::new(drill).at_phase(phase);
            fly(drill.clone(), seed, &mut steady)
        };
        Phases {
            runs: PHASES.map(flown),
            first: 0,
        }
    }

    /// The leg that begins where a fork of a run stands, flown on from there to its end.
    pub fn from_there(run: &Run, start: &Run) -> Phases {
        let flown = |phase: u64| {
            let mut steady = Steady::new(start.drill()).at_phase(phase);
            for tick in start.tick().saturating_sub(WATCHING)..start.tick() {
                steady.watch(&Sight::back_then(run, start.leg(), tick));
            }
            let mut flown = start.fork();
            fly_leg(&mut flown, &mut steady);
            flown
        };
        Phases {
            runs: PHASES.map(flown),
            first: start.legs().len() - 1,
        }
    }

    /// The mean cost of a leg over the flights that `counts` and have one.
    pub fn mean_cost(&self, leg: usize, counts: impl Fn(&Run) -> bool) -> Option<f64> {
        let runs = self.runs.iter().filter(|run| counts(run));
        let costs = runs.filter_map(|run| leg_cost(run, leg));
        let (count, sum) = costs.fold((0.0, 0.0), |(count, sum), cost| (count + 1.0, sum + cost));
        (count > 0.0).then(|| sum / count)
    }

    /// The flight whose legs cost most nearly what they cost on average: the one that is shown.
    pub fn nearest_the_mean(&self) -> &Run {
        let off = |run: &Run| -> f64 {
            // A flight from there stands at the beginning of the next leg.
            let legs = match self.first {
                0 => 0..run.legs().len(),
                first => first..first + 1,
            };
            let off = legs.map(
                |leg| match (leg_cost(run, leg), self.mean_cost(leg, |_| true)) {
                    (Some(cost), Some(mean)) => (cost - mean).abs() / mean.max(f64::MIN_POSITIVE),
                    (None, Some(_)) => 1.0,
                    _ => 0.0,
                },
            );
            off.sum()
        };
        let mut nearest = (f64::INFINITY, &self.runs[0]);
        for run in &self.runs {
            let off = off(run);
            if off < nearest.0 {
                nearest = (off, run);
            }
        }
        nearest.1
    }
}
