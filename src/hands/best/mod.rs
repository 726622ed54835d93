//! `best`: the lever of lowest cost that could be found, leg after leg, by someone who knows the aeroplane, the steady air
//! and the cost, but no more of the gusts than has been felt so far.
//!
//! Steps, rates and slowing in are found by a search over lever schedules; holds and paths follow their line. All are
//! planned in settled air; where it is gusty, the plan is flown with an answer to whatever takes the aeroplane off it.
//! `steady`, the same hand without its limits, `steady`'s own lever and, in air without gusts, the moves of the brief are tried as
//! well: the lowest cost in the real world counts. The lever moves at 0.4/s at most and is not set below 10 % except to slow in, and on a step the vertical
//! speed stays within 1,000 ft/min; a rate and a path are bound by what they ask for instead. `steady`'s own lever from
//! where that hand was is free of these limits.
//!
//! No leg costs more than it cost `steady` where that hand was asked for the same. If a leg begins too badly for
//! that, the leg before it is flown again with a quieter end; if that is not enough, the leg begins where `steady`
//! began it, and what was gained before is given up.
//!
//! The effort is counted in ticks and coarse steps ([`A_DRILL`]) and depends on the drill alone, so that the result is
//! the same on every machine.

mod leg;
mod moves;
mod search;
mod track;

use crate::drill::{Drill, Kind};
use crate::run::Run;
use crate::score::leg_cost;

use leg::{Hunt, TICK};

/// The budget for a drill, in coarse steps of 0.15 to 0.3 microseconds: half a second. Flights of the whole drill can add to it.
pub const A_DRILL: usize = 2_000_000;

/// Once a drill has taken more than this all the same, the run of `steady` is used as the best.
const GIVEN_UP: usize = A_DRILL + A_DRILL / 4;

/// How much a quiet end of a leg usually counts, and how much where the next leg cannot be begun well enough from such an end.
const USUAL: f64 = 1.0;
const QUIETER: f64 = 20.0;

/// A drill while it is being flown.
struct OnTheWay<'a> {
    steady: &'a Run,
    run: Run,
    /// The drill as `steady` flew it, from where `run` was last in the same state as that hand.
    alike: Run,
    /// The run as it was where its last leg began.
    before: Option<Run>,
    /// Coarse steps spent so far.
    spent: usize,
}

/// The whole drill as `best` flies it, from the run that `steady` made of it. `progress` is called with the share done, 0 to 1.
pub fn fly(steady: &Run, progress: &mut dyn FnMut(f64)) -> Run {
    fly_counted(steady, progress).0
}

/// The same, with the coarse steps it took.
pub fn fly_counted(steady: &Run, progress: &mut dyn FnMut(f64)) -> (Run, usize) {
    let run = Run::new(steady.drill().clone(), steady.seed());
    let mut flight = OnTheWay {
        steady,
        alike: run.fork(),
        before: None,
        run,
        spent: 0,
    };
    while flight.run.end().is_none() {
        if flight.spent > GIVEN_UP {
            flight.run = steady.clone();
            break;
        }
        progress(flight.run.tick() as f64 / steady.tick().max(flight.run.tick() + 1) as f64);
        flight.fly_on();
    }
    progress(1.0);
    (flight.run, flight.spent)
}

/// The leg that begins at a run's current tick, as `best` flies it from there; `steady` is that hand's run of it.
pub fn fly_leg(start: &Run, steady: &Run) -> Run {
    Hunt::new(start, steady, USUAL, A_DRILL / legs_asked(start.drill())).flown()
}

/// How many legs a drill asks for.
fn legs_asked(drill: &Drill) -> usize {
    let legs = drill.tasks.iter().map(|task| match &task.kind {
        Kind::Surprise(surprise) => surprise.count as usize,
        _ => 1,
    });
    legs.sum()
}

impl OnTheWay<'_> {
    /// Flies the next leg; where it costs more than it cost `steady`, what leads up to it is flown another way.
    fn fly_on(&mut self) {
        let start = self.run.fork();
        let leg = start.legs().len() - 1;
        let flown = self.search(&start, USUAL);
        if !self.is_worse(&flown, leg) {
            return self.go_on(start, flown);
        }
        if let Some(before) = self.before.take() {
            let led = self.search(&before, QUIETER);
            if led.end().is_none() && !self.is_worse(&led, leg - 1) {
                let start = led.fork();
                let flown = self.search(&start, USUAL);
                if !self.is_worse(&flown, leg) {
                    self.run.join(led);
                    return self.go_on(start, flown);
                }
            }
        }
        while self.alike.legs().len() <= leg {
            self.fly_alike();
        }
        self.run.join(self.alike.clone());
        self.alike = self.run.fork();
        let start = self.run.fork();
        let flown = self.search(&start, USUAL);
        self.go_on(start, flown);
    }

    fn go_on(&mut self, start: Run, flown: Run) {
        self.before = Some(start);
        self.run.join(flown);
    }

    /// Searches for the leg that begins at a run's current tick, with a share of the budget
    /// that depends on how long `steady` took over it.
    fn search(&mut self, start: &Run, calm: f64) -> Run {
        let leg = start.legs().len() - 1;
        let legs = self.steady.legs();
        let ticks = legs.get(leg).map_or(0, |leg| {
            leg.end
                .unwrap_or(self.steady.tick())
                .saturating_sub(leg.start)
        });
        let mean = self.steady.tick() as f64 / legs.len() as f64;
        let share = (ticks as f64 + mean) / (2.0 * mean * legs.len() as f64).max(1.0);
        let left = (share * A_DRILL as f64) as usize;
        let left = left.min(A_DRILL.saturating_sub(self.spent));
        let mut search = Hunt::new(start, self.steady, calm, left);
        let flown = search.flown();
        self.spent += search.spent();
        flown
    }

    /// Flies `alike` a tick further with the lever of `steady`.
    fn fly_alike(&mut self) {
        let tick = self.alike.tick();
        let moves = self.steady.log();
        let next = moves.partition_point(|(at, _)| *at < tick);
        if let Some((_, lever)) = moves.get(next).filter(|(at, _)| *at == tick) {
            self.alike.set_lever(*lever);
        }
        self.alike.fly();
        self.spent += TICK;
    }

    /// Whether a leg that both hands were asked for cost more than it cost `steady`, or was not
    /// flown to its end while that hand did fly it.
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
