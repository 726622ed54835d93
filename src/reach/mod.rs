//! The points of a task still in reach, tick by tick.
//!
//! W(t) is the worth of the task with *the learner's lever up to t, `steady` from t on*. Handing over at t is one of many ways
//! to go on; going on as the learner did and handing over later is another. So the points *in reach* at t are the best of W
//! from t on. They never rise, at the end they equal the points earned, and every fall is a loss that happened there and
//! nowhere else.
//!
//! The idea is the performance difference lemma of reinforcement learning (Kakade and Langford, 2002; from memory).
#![deny(clippy::disallowed_methods, clippy::disallowed_types)]

pub mod again;
pub mod stretches;

use std::collections::BTreeMap;

use crate::run::Run;
use crate::score::{Cost, Reference, Worth, leg_worth};
use crate::units::TICKS_PER_S;

pub use again::Again;
pub use stretches::{Stretch, cut};

/// Spacing of the hand-overs tried at first, ticks; wider where there would be more than `MOST` of them over a leg.
const APART: u64 = 2 * TICKS_PER_S;
const MOST: u64 = 40;
/// Where at least this many points are lost between two of them, the time between is halved, down to `FINEST`, ticks.
const CLIFF_POINTS: f64 = 2.0;
const FINEST: u64 = TICKS_PER_S / 4;
/// Limit of halvings, so that a flight that loses points everywhere does not take too long.
const MOST_HALVINGS: usize = 48;

/// The points in reach at a tick.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    pub tick: u64,
    /// 0..100.
    pub points: f64,
    /// The cost at which they are earned; the limit where there is no cost.
    pub cost: f64,
    /// The cost by its terms, where there is one.
    pub terms: Option<Cost>,
}

/// The points in reach over a leg, and the flights behind them.
pub struct Curve {
    /// In order, the leg's first tick and its end included.
    pub reach: Vec<Reach>,
    flights: BTreeMap<u64, Takeover>,
    /// The learner's own flight of the leg, stored only once: an hour takes megabytes.
    own: Run,
}

/// A fork of the learner's own flight at a tick, and the worth of handing over there.
struct Takeover {
    fork: Run,
    worth: Worth,
}

/// The points of the current leg if `steady` took over now.
pub fn in_reach(run: &Run, reference: &Reference) -> Option<f64> {
    let leg = run.legs().len() - 1;
    let flown = again::hand_over(run.clone(), run);
    Some(leg_worth(&flown, leg, reference)?.points)
}

impl Curve {
    /// The curve of a finished leg.
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

    /// The middle of the interval with the largest loss among those that can be halved.
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

    /// The better flight from one of the curve's ticks: the learner's up to there, then `steady`.
    pub fn better(&self, again: &Again, tick: u64) -> Option<Run> {
        let flight = self.flights.get(&tick)?;
        Some(again.hand_over(self.until(flight)))
    }

    /// The learner's own flight up to the fork, with all of the leg's states.
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

    /// The extra cost of a later one, in the terms of a step's or a rate's cost, s.
    pub fn terms_to(&self, later: &Reach) -> [f64; 4] {
        let (from, to) = (self.by_terms(), later.by_terms());
        [0, 1, 2, 3].map(|term| to[term] - from[term])
    }

    /// The terms of a step's or a rate's cost: capture, error, lever, steepness, s.
    pub fn by_terms(&self) -> [f64; 4] {
        match self.terms {
            Some(Cost::Capture {
                capture_s,
                error_s,
                lever_s,
                steep_s,
            }) => [capture_s, error_s, lever_s, steep_s],
            _ => [self.cost, 0.0, 0.0, 0.0],
        }
    }
}
