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

/// Forks of the learner's flight that are kept over all legs, and of one leg: each holds the run's log, and a drill may have
/// hundreds of legs.
const FORKS: u64 = 320;
const FORKS_A_LEG: u64 = 16;

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
    /// What handing over at a tick is worth.
    worths: BTreeMap<u64, Worth>,
    /// Forks of the learner's own flight at some of these ticks, the first included: from there it is flown again.
    forks: BTreeMap<u64, Run>,
    /// The learner's own flight of the leg, stored only once: an hour takes megabytes.
    own: Run,
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
        let (mut worths, mut forks) = (BTreeMap::new(), BTreeMap::new());
        let (start, end) = (again.start, again.end);
        let apart = APART.max((end - start) / MOST);
        let kept = (FORKS / again.run.legs().len() as u64).min(FORKS_A_LEG);
        let forks_apart = (end - start).div_ceil(kept).max(1);
        let mut run = again.until(start);
        for tick in (start..end).step_by(apart as usize) {
            again.follow(&mut run, &again.lever.changes, tick);
            if forks.len() as u64 <= (tick - start) / forks_apart {
                forks.insert(tick, run.fork());
            }
            worths.insert(tick, handed_over(again, run.clone(), own));
        }
        again.follow(&mut run, &again.lever.changes, end);
        let mut curve = Curve {
            reach: Vec::new(),
            worths,
            forks,
            own: run,
        };
        curve.reach = curve.best_from(end, own);
        for _ in 0..MOST_HALVINGS {
            let Some(tick) = curve.steepest() else { break };
            let run = curve.until(again, tick);
            curve.worths.insert(tick, handed_over(again, run, own));
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
        for (tick, worth) in self.worths.iter().rev() {
            let here = Reach::new(*tick, worth);
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
        self.worths.get(&tick)?;
        Some(again.hand_over(self.until(again, tick)))
    }

    /// The learner's own flight up to a tick, with all of the leg's states.
    fn until(&self, again: &Again, tick: u64) -> Run {
        let before = self.forks.range(..=tick).next_back();
        let (_, fork) = before.expect("one at the start");
        let mut run = self.own.clone();
        run.join(fork.clone());
        again.follow(&mut run, &again.lever.changes, tick);
        run
    }
}

/// The worth of the leg if `steady` takes over from the learner's own flight.
fn handed_over(again: &Again, own: Run, flown: Worth) -> Worth {
    again.worth(&again.hand_over(own)).unwrap_or(Worth {
        points: 0.0,
        cost: None,
        ..flown
    })
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
