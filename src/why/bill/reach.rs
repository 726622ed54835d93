//! What was still in reach, tick by tick: the best of all ways to go on as one did and hand over later.

use std::collections::BTreeMap;

use super::super::refly::Again;
use crate::run::Run;
use crate::score::{Cost, Worth};
use crate::units::TICKS_PER_S;

/// Hand-overs are tried so far apart at most, ticks, and at most so many of them over a leg before halving.
const APART: u64 = 2 * TICKS_PER_S;
const MOST: u64 = 40;
/// Where so many points are lost between two of them the time between is halved, down to this, ticks.
const CLIFF_POINTS: f64 = 2.0;
const FINEST: u64 = TICKS_PER_S / 4;
/// At most so many halvings, so that a flight that costs points everywhere does not take longer than it is worth.
const MOST_HALVINGS: usize = 48;

/// What was in reach at a tick.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    /// The tick.
    pub tick: u64,
    /// 0..100.
    pub points: f64,
    /// The cost of it; the limit where there was none to be had.
    pub cost: f64,
    /// The same by its terms, where there was one.
    pub terms: Option<Cost>,
}

/// What was in reach over a leg, and the flights that show it.
pub struct Curve {
    /// In order, the leg's first tick and its end included.
    pub reach: Vec<Reach>,
    flights: BTreeMap<u64, Takeover>,
    /// The learner's own flight of the leg. It is remembered once: of an hour that takes megabytes.
    own: Run,
}

/// A fork of the learner's own flight at a tick, and what it is worth to hand over there.
struct Takeover {
    fork: Run,
    worth: Worth,
}

impl Curve {
    /// Of a finished leg.
    pub fn of(again: &Again, own: Worth) -> Curve {
        let mut flights = BTreeMap::new();
        let (start, end) = (again.start, again.end);
        let apart = APART.max((end - start) / MOST);
        let mut run = again.until(start);
        for tick in (start..end).step_by(apart as usize) {
            again.follow(&mut run, &again.lever.changes, tick);
            flights.insert(tick, Takeover::new(again, run.clone(), own));
        }
        again.follow(&mut run, &again.lever.changes, end);
        let mut curve = Curve {
            reach: Vec::new(),
            flights,
            own: run,
        };
        curve.reach = curve.best_from(end, own);
        for _ in 0..MOST_HALVINGS {
            let Some(tick) = curve.steepest() else { break };
            let (_, before) = curve
                .flights
                .range(..=tick)
                .next_back()
                .expect("one at the start");
            let mut run = curve.until(before);
            again.follow(&mut run, &again.lever.changes, tick);
            curve.flights.insert(tick, Takeover::new(again, run, own));
            curve.reach = curve.best_from(end, own);
        }
        curve
    }

    /// The middle of the stretch over which most is lost and which can be halved.
    fn steepest(&self) -> Option<u64> {
        let pairs = self.reach.windows(2).map(|pair| (pair[0], pair[1]));
        let lost = |(a, b): &(Reach, Reach)| a.points - b.points;
        let halved =
            pairs.filter(|pair| lost(pair) >= CLIFF_POINTS && pair.1.tick - pair.0.tick > FINEST);
        let (a, b) = halved.max_by(|a, b| lost(a).total_cmp(&lost(b)))?;
        Some(a.tick + (b.tick - a.tick) / 2)
    }

    fn best_from(&self, end: u64, own: Worth) -> Vec<Reach> {
        let mut best = Reach::new(end, &own);
        let mut reach = vec![best];
        for (tick, flight) in self.flights.iter().rev() {
            let here = Reach::new(*tick, &flight.worth);
            if (here.points, -here.cost) > (best.points, -best.cost) {
                best = here;
            }
            best.tick = *tick;
            reach.push(best);
        }
        reach.reverse();
        reach
    }

    /// The flight that hands over at one of the curve's ticks.
    pub fn better(&self, again: &Again, tick: u64) -> Option<Run> {
        let flight = self.flights.get(&tick)?;
        Some(again.hand_over(self.until(flight)))
    }

    /// The learner's own flight up to where it was forked, all of the leg remembered.
    fn until(&self, flight: &Takeover) -> Run {
        let mut run = self.own.clone();
        run.join(flight.fork.clone());
        run
    }
}

impl Takeover {
    fn new(again: &Again, own: Run, flown: Worth) -> Takeover {
        let fork = own.fork();
        let worth = again.worth(&again.hand_over(own)).unwrap_or(Worth {
            points: 0.0,
            cost: None,
            ..flown
        });
        Takeover { fork, worth }
    }
}

impl Reach {
    fn new(tick: u64, worth: &Worth) -> Reach {
        Reach {
            tick,
            points: worth.points,
            cost: worth.cost_or_limit(),
            terms: worth.cost,
        }
    }
}
