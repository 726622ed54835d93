//! `best`: the lever of lowest cost that could be found, leg after leg, by someone who knows the aeroplane, the air to come
//! and the cost.
//!
//! Steps and rates are a search over lever schedules; holds and paths follow their line with the gusts known beforehand.
//! Beside them stand hands like `steady` without its limits, and `steady`'s own lever: the lowest cost in the real world
//! counts. The lever moves at 0.4/s at most and is not set below 10 %, and on a step the vertical speed keeps within 1,000
//! ft/min; a rate and a path are bound by what they ask for instead. `steady`'s own lever from where that hand stood is free
//! of these limits, and a step that costs more than `steady`'s within 1,000 ft/min may go beyond it.
//!
//! No leg costs more than it cost `steady` where that hand was asked for the same. One that begins too badly for that is led
//! up to another way; where none is found, `steady` is followed to its beginning, and what was gained before is given up. On
//! drills of dozens of tasks little or nothing is left then.
//!
//! How much is tried is counted in ticks and coarse steps ([`A_DRILL`]) and depends on the drill alone, so that the result is
//! the same on every machine. Where `steady` alone has taken more than two fifths of that, an hour and
//! three quarters of flight, its run is the best.

mod leg;
mod moves;
mod purse;
mod search;
mod track;

use std::collections::VecDeque;

use crate::drill::{Drill, Kind};
use crate::run::Run;
use crate::score::leg_cost;

use leg::Search;
use purse::{Purse, Shares, TICK};

pub use purse::A_DRILL;

/// The whole drill as `best` flies it, from the run that `steady` made of it. `progress` is told how much is done, 0 to 1.
pub fn fly(steady: &Run, progress: &mut dyn FnMut(f64)) -> Run {
    fly_counted(steady, progress).0
}

/// The same, and what both hands took: ticks and coarse steps, in coarse steps.
pub fn fly_counted(steady: &Run, progress: &mut dyn FnMut(f64)) -> (Run, usize) {
    let legs = count(steady.drill());
    let shares = Shares::new(steady, legs);
    let run = Run::new(steady.drill().clone(), steady.seed());
    let mut flight = Flight {
        steady,
        legs,
        shares,
        starts: VecDeque::new(),
        alike: run.fork(),
        run,
    };
    while flight.run.end().is_none() {
        progress((flight.run.legs().len() - 1) as f64 / legs as f64);
        match flight.run.tick() > 0 || flight.shares.are_enough(0) {
            true => flight.fly_on(),
            false => flight.run = steady.clone(),
        }
    }
    progress(1.0);
    (flight.run, flight.shares.spent())
}

/// The leg that begins where a run stands, as `best` flies it from there; `steady` is that hand's run of it.
pub fn fly_leg(start: &Run, steady: &Run) -> Run {
    let legs = count(start.drill());
    let calm = calm(start, legs, USUAL);
    Search::new(start, steady, calm, Purse::alone(legs)).flown()
}

/// How much a quiet end counts.
const USUAL: f64 = 1.0;

/// Another way to fly a leg, for the sake of what follows.
#[derive(Clone, Copy, Debug)]
enum Way {
    /// A quiet end counts so many times as much.
    Calmer(f64),
    /// The lever of `steady`.
    AsSteadyDid,
}

/// In the order in which they are tried.
const WAYS: [Way; 4] = [
    Way::Calmer(20.0),
    Way::AsSteadyDid,
    Way::Calmer(5.0),
    Way::Calmer(100.0),
];
/// How many of them are compared where the first of all does.
const COMPARED: usize = 2;
/// How many legs back another way is looked for.
const BACK: usize = 3;
/// The part of its share that a leg gets then.
const AGAIN: usize = 3;

/// Legs one after the other: where each began, and what came of it.
type Chain = Vec<(Run, Run)>;

/// Nothing follows the last leg.
fn calm(start: &Run, legs: usize, calm: f64) -> f64 {
    match start.legs().len() < legs {
        true => calm,
        false => 0.0,
    }
}

/// A drill on its way.
struct Flight<'a> {
    steady: &'a Run,
    legs: usize,
    run: Run,
    shares: Shares,
    /// Where the last legs began, the last one first.
    starts: VecDeque<Run>,
    /// Where `run` last stood as `steady` did.
    alike: Run,
}

impl Flight<'_> {
    /// Flies the next leg, and what came before it another way where it cost more than it cost `steady`.
    fn fly_on(&mut self) {
        let start = self.run.fork();
        let leg = start.legs().len() - 1;
        if is_flown_alike(&start, self.steady) {
            self.alike = start.clone();
        }
        let flown = self.search(&start, USUAL, 1);
        if !self.is_worse(&flown, leg) {
            return self.go_on(start, flown);
        }
        for back in 1..=self.starts.len() {
            if let Some(chain) = self.another_way(leg, back) {
                self.starts.drain(..back);
                for (start, flown) in chain {
                    self.go_on(start, flown);
                }
                return;
            }
        }
        // From where `steady` met it, its own lever is always there to be flown.
        if !self.shares.are_enough(leg) {
            self.run = self.steady.clone();
            return;
        }
        while self.alike.tick() < self.steady.legs()[leg].start {
            self.fly_alike();
        }
        self.run.join(self.alike.clone());
        self.starts.clear();
        let start = self.alike.clone();
        let flown = self.search(&start, USUAL, 1);
        self.go_on(start, flown);
    }

    fn go_on(&mut self, start: Run, flown: Run) {
        self.run.join(flown);
        self.starts.push_front(start);
        self.starts.truncate(BACK);
    }

    /// The legs from so many back to this one, the first of them flown another way: of what costs `steady` no more in any of
    /// them, the lowest.
    fn another_way(&mut self, leg: usize, back: usize) -> Option<Chain> {
        let mut lowest: Option<(f64, Chain)> = None;
        for (index, way) in WAYS.iter().enumerate() {
            let is_enough = index >= COMPARED && lowest.is_some();
            if is_enough || !self.shares.are_enough(leg - back) {
                break;
            }
            let Some(chain) = self.chain(back, *way) else {
                continue;
            };
            let costs = chain.iter().enumerate();
            let costs = costs.filter_map(|(at, (_, flown))| leg_cost(flown, leg - back + at));
            let sum = costs.sum();
            if lowest.as_ref().is_none_or(|(least, _)| sum < *least) {
                lowest = Some((sum, chain));
            }
        }
        lowest.map(|(_, chain)| chain)
    }

    /// The legs from so many back on; None once one of them costs more than it cost `steady`.
    fn chain(&mut self, back: usize, way: Way) -> Option<Chain> {
        let mut start = self.starts[back - 1].clone();
        let mut chain = Vec::new();
        loop {
            let flown = match way {
                Way::Calmer(calm) if chain.is_empty() => self.search(&start, calm, AGAIN),
                Way::AsSteadyDid if chain.is_empty() => self.as_steady(&start)?,
                _ => self.search(&start, USUAL, AGAIN),
            };
            let is_over = flown.end().is_some() || chain.len() == back;
            let next = flown.fork();
            if self.is_worse(&flown, start.legs().len() - 1) {
                return None;
            }
            chain.push((start, flown));
            if is_over {
                return (chain.len() == back + 1).then_some(chain);
            }
            start = next;
        }
    }

    fn search(&mut self, start: &Run, calmness: f64, part: usize) -> Run {
        let mut search = self.begin(start, calmness, part);
        let flown = search.flown();
        let spent = search.purse.spent();
        self.shares.spend(spent);
        flown
    }

    fn as_steady(&mut self, start: &Run) -> Option<Run> {
        let mut search = self.begin(start, USUAL, 1);
        search.as_steady_did();
        let spent = search.purse.spent();
        let flown = search.into_lowest();
        self.shares.spend(spent);
        flown
    }

    fn begin<'b>(&'b self, start: &'b Run, calmness: f64, part: usize) -> Search<'b> {
        let leg = start.legs().len() - 1;
        let purse = self.shares.of(leg, self.run.legs().len() - 1, part);
        let calm = calm(start, self.legs, calmness);
        Search::new(start, self.steady, calm, purse)
    }

    /// A tick with the lever of `steady`.
    fn fly_alike(&mut self) {
        let tick = self.alike.tick();
        let moves = self.steady.log();
        let next = moves.partition_point(|(at, _)| *at < tick);
        if let Some((_, lever)) = moves.get(next).filter(|(at, _)| *at == tick) {
            self.alike.set_lever(*lever);
        }
        self.alike.fly();
        self.shares.spend(TICK);
    }

    /// Whether a leg that both hands met cost more than it cost `steady`, or was not flown to its end where that hand did.
    fn is_worse(&self, run: &Run, leg: usize) -> bool {
        let (Some(own), Some(other)) = (run.legs().get(leg), self.steady.legs().get(leg)) else {
            return false;
        };
        if own.end.is_none() || other.end.is_none() || own.kind != other.kind {
            return own.end.is_none() && other.end.is_some();
        }
        match (leg_cost(run, leg), leg_cost(self.steady, leg)) {
            (Some(own), Some(other)) => own > other,
            (own, other) => own.is_none() && other.is_some(),
        }
    }
}

/// Whether everything so far was flown as `steady` did.
fn is_flown_alike(run: &Run, steady: &Run) -> bool {
    let moves = steady.log();
    let before = moves.partition_point(|(tick, _)| *tick < run.tick());
    moves[..before] == *run.log()
}

/// How many legs a drill has.
fn count(drill: &Drill) -> usize {
    let legs = drill.tasks.iter().map(|task| match &task.kind {
        Kind::Surprise(surprise) => surprise.count as usize,
        _ => 1,
    });
    legs.sum()
}
