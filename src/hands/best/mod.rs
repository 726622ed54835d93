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
use crate::run::Run;

use leg::Search;

/// The whole drill as `best` flies it, from the run that `steady` made of it. `progress` is told how much is done, 0 to 1.
pub fn fly(steady: &Run, progress: &mut dyn FnMut(f64)) -> Run {
    let drill = steady.drill();
    let legs = count(drill);
    let mut run = Run::new(drill.clone(), steady.seed());
    while run.end().is_none() {
        progress((run.legs().len() - 1) as f64 / legs as f64);
        let leg = Search::new(&run, steady, legs).flown();
        follow(&mut run, &leg);
    }
    progress(1.0);
    run
}

/// The leg that begins where a run stands, as `best` flies it from there; `steady` is that hand's run of it.
pub fn fly_leg(start: &Run, steady: &Run) -> Run {
    Search::new(start, steady, count(start.drill())).flown()
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
