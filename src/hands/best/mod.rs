//! `best`: the lever of lowest cost that could be found, leg after leg, by someone who knows the aeroplane, the air to come
//! and the cost.
//!
//! Steps and rates are a search over lever schedules; holds and paths follow their line with the gusts known beforehand.
//! Beside them stand hands like `steady` without its limits, and `steady`'s own lever: the lowest cost in the real world
//! counts. The lever moves at 0.4/s at most and is not set below 10 %, and on a step the vertical speed keeps within 1,000
//! ft/min; a rate and a path are bound by what they ask for instead. How much is tried depends on the drill alone, so that
//! the result is the same on every machine.

mod cma;
mod leg;
mod model;
mod moves;
mod price;
mod search;
mod track;

use crate::drill::{Drill, Kind};
use crate::run::{Leg, Run};
use crate::score::leg_cost;

use leg::Search;

/// The whole drill as `best` flies it, from the run that `steady` made of it. `progress` is told how much is done, 0 to 1.
pub fn fly(steady: &Run, progress: &mut dyn FnMut(f64)) -> Run {
    let drill = steady.drill();
    let legs = count(drill);
    let mut run = Run::new(drill.clone(), steady.seed());
    while run.end().is_none() {
        let leg = run.legs().len() - 1;
        progress(leg as f64 / legs as f64);
        fly_on(&mut run, steady, 1.0);
        if leg > 0 && is_worse(&run, steady, leg) {
            // The leg before ended in too much of a hurry for this one.
            let mut calmer = up_to(&run, leg - 1);
            fly_on(&mut calmer, steady, CALMER);
            fly_on(&mut calmer, steady, 1.0);
            if !is_worse(&calmer, steady, leg) && !is_worse(&calmer, steady, leg - 1) {
                run = calmer;
            }
        }
    }
    progress(1.0);
    run
}

/// How much more a quiet end counts the second time.
const CALMER: f64 = 20.0;

/// Flies the leg a run stands in; `calm` is how much more than usual a quiet end counts.
fn fly_on(run: &mut Run, steady: &Run, calm: f64) {
    let leg = Search::new(run, steady, count(steady.drill()), calm).flown();
    follow(run, &leg);
}

/// Whether a leg that both hands met, asked for the same, cost more than it cost `steady`.
fn is_worse(run: &Run, steady: &Run, leg: usize) -> bool {
    let same = |a: &Leg, b: &Leg| a.kind == b.kind && a.end.is_some() && b.end.is_some();
    match (run.legs().get(leg), steady.legs().get(leg)) {
        (Some(own), Some(other)) if same(own, other) => {
            match (leg_cost(run, leg), leg_cost(steady, leg)) {
                (Some(own), Some(other)) => own > other,
                (own, other) => own.is_none() && other.is_some(),
            }
        }
        _ => false,
    }
}

/// The same run no further than to where one of its legs begins.
fn up_to(run: &Run, leg: usize) -> Run {
    let mut again = Run::new(run.drill().clone(), run.seed());
    let mut moves = run.log().iter().peekable();
    while again.tick() < run.legs()[leg].start {
        while let Some((_, lever)) = moves.next_if(|(tick, _)| *tick <= again.tick()) {
            again.set_lever(*lever);
        }
        again.fly();
    }
    again
}

/// The leg that begins where a run stands, as `best` flies it from there; `steady` is that hand's run of it.
pub fn fly_leg(start: &Run, steady: &Run) -> Run {
    Search::new(start, steady, count(start.drill()), 1.0).flown()
}

/// Flies a leg that was found in a fork of a run in the run itself.
fn follow(run: &mut Run, leg: &Run) {
    let from = run.tick();
    let moves = leg.log().iter();
    let mut moves = moves.filter(|(tick, _)| *tick >= from).peekable();
    while run.end().is_none() && run.tick() < leg.tick() {
        while let Some((_, lever)) = moves.next_if(|(tick, _)| *tick <= run.tick()) {
            run.set_lever(*lever);
        }
        run.fly();
    }
    if leg.end().is_some() {
        run.leave();
    }
}

/// How many legs a drill has.
fn count(drill: &Drill) -> usize {
    let legs = drill.tasks.iter().map(|task| match &task.kind {
        Kind::Surprise(surprise) => surprise.count as usize,
        _ => 1,
    });
    legs.sum()
}
