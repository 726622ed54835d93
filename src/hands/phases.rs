//! The flights behind par: `steady` at eight phases of its looks. A hand that looks once a second is lucky or unlucky in
//! when it looks, so its result for a drill is the mean.

use std::sync::Arc;

use super::{Steady, fly, fly_leg, taking_over};
use crate::drill::Drill;
use crate::run::Run;
use crate::score::leg_cost;

/// The phases of `steady`'s looks, ticks.
pub const PHASES: [u64; 8] = [0, 8, 16, 24, 32, 40, 48, 56];

/// One flight for each phase. Eight traces of an hour would take 130 MB, so only costs and ends are kept.
#[derive(Clone, Debug)]
pub struct Phases {
    start: Run,
    flights: [Leftover; 8],
}

/// What is kept of a flight.
#[derive(Clone, Debug)]
struct Leftover {
    end: Run,
    /// The costs of its legs, beginning with the leg it started in.
    costs: Vec<Option<f64>>,
}

impl Phases {
    /// A drill flown from its first tick.
    pub fn of(drill: &Arc<Drill>, seed: u64) -> Phases {
        let flown = |phase: u64| {
            let mut steady = Steady::new(drill).at_phase(phase);
            Leftover::over(&fly(drill.clone(), seed, &mut steady), 0)
        };
        Phases {
            start: Run::new(drill.clone(), seed),
            flights: PHASES.map(flown),
        }
    }

    /// The leg that begins at the current tick of `start`, a fork of a run, flown on from there to its end.
    pub fn from_there(run: &Run, start: &Run) -> Phases {
        let flown = |phase: u64| {
            let mut flown = start.fork();
            fly_leg(&mut flown, &mut taking_over(start, run, phase));
            Leftover::over(&flown, start.legs().len() - 1)
        };
        Phases {
            start: start.fork(),
            flights: PHASES.map(flown),
        }
    }

    /// The mean cost of a leg over the flights that have one and for whose end `counts` is true.
    pub fn mean_cost(&self, leg: usize, counts: impl Fn(&Run) -> bool) -> Option<f64> {
        let at = leg.checked_sub(self.start.legs().len() - 1)?;
        let flights = self.flights.iter().filter(|flight| counts(&flight.end));
        let costs = flights.filter_map(|flight| flight.costs.get(at).copied().flatten());
        let (count, sum) = costs.fold((0.0, 0.0), |(count, sum), cost| (count + 1.0, sum + cost));
        (count > 0.0).then(|| sum / count)
    }

    /// The flight whose costs are nearest to the mean costs: the one that is shown.
    pub fn nearest_the_mean(&self) -> Run {
        let first = self.start.legs().len() - 1;
        let off = |flight: &Leftover| -> f64 {
            let costs = flight.costs.iter().enumerate();
            let off = costs.map(
                |(at, cost)| match (cost, self.mean_cost(first + at, |_| true)) {
                    (Some(cost), Some(mean)) => (cost - mean).abs() / mean.max(f64::MIN_POSITIVE),
                    (None, Some(_)) => 1.0,
                    _ => 0.0,
                },
            );
            off.sum()
        };
        let flights = self.flights.iter();
        let nearest = flights.min_by(|a, b| off(a).total_cmp(&off(b)));
        let end = &nearest.expect("eight").end;
        let mut run = self.start.fork();
        while run.tick() < end.tick() {
            run.fly_by(end.log());
        }
        run
    }
}

impl Leftover {
    fn over(run: &Run, first: usize) -> Leftover {
        let legs = first..run.legs().len();
        Leftover {
            costs: legs.map(|leg| leg_cost(run, leg)).collect(),
            end: run.fork(),
        }
    }
}
