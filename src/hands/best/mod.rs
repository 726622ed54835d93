//! `best`: the lever of lowest cost that could be found, leg after leg, by someone who knows the aeroplane, the steady air
//! and the cost, but no more of the gusts than has been felt so far.
//!
//! Steps, rates and slowing in are found by a search over lever schedules; holds and paths follow their line. All are
//! planned in settled air; where it is gusty, the plan is flown with an answer to whatever takes the aeroplane off it.
//! `steady`, the same hand without its limits, `steady`'s own lever and, in air without gusts and drills of few legs, the
//! moves of the brief are tried as well: the lowest cost in the real world counts. The lever moves at 0.4/s at most and is
//! not set below 10 % except to slow in, and on a step the vertical speed stays within 1,000 ft/min; a rate and a path are
//! bound by what they ask for instead. `steady` and its own lever are free of these limits.
//!
//! No leg costs more than it would cost `steady` from where it begins.
//!
//! The effort is counted in ticks and coarse steps ([`A_DRILL`]) and depends on the drill alone, so that the result is
//! the same on every machine.

mod leg;
mod moves;
mod search;
mod track;

use crate::run::Run;

use leg::Hunt;

/// The budget for a drill, in coarse steps of 0.15 to 0.3 microseconds: half a second. Flights of the whole drill can add to it.
pub const A_DRILL: usize = 2_000_000;

/// Once a drill has taken more than this all the same, the run of `steady` is used as the best.
const GIVEN_UP: usize = A_DRILL + A_DRILL / 4;

/// The whole drill as `best` flies it, from the run that `steady` made of it. `progress` is called with the share done, 0 to 1.
pub fn fly(steady: &Run, progress: &mut dyn FnMut(f64)) -> Run {
    fly_counted(steady, progress).0
}

/// The same, with the coarse steps it took.
pub fn fly_counted(steady: &Run, progress: &mut dyn FnMut(f64)) -> (Run, usize) {
    let mut run = Run::new(steady.drill().clone(), steady.seed());
    let mut spent = 0;
    while run.end().is_none() {
        if spent > GIVEN_UP {
            run = steady.clone();
            break;
        }
        progress(run.tick() as f64 / steady.tick().max(run.tick() + 1) as f64);
        let start = run.fork();
        let left = share(steady, start.legs().len() - 1).min(A_DRILL.saturating_sub(spent));
        let mut search = Hunt::new(&start, steady, left);
        run.join(search.flown());
        spent += search.spent();
    }
    progress(1.0);
    (run, spent)
}

/// A leg's share of the budget: it depends on how long `steady` took over the leg.
fn share(steady: &Run, leg: usize) -> usize {
    let legs = steady.legs();
    let ticks = legs.get(leg).map_or(0, |leg| {
        leg.end.unwrap_or(steady.tick()).saturating_sub(leg.start)
    });
    let mean = steady.tick() as f64 / legs.len() as f64;
    let share = (ticks as f64 + mean) / (2.0 * mean * legs.len() as f64).max(1.0);
    (share * A_DRILL as f64) as usize
}

/// The leg that begins at a run's current tick, as `best` flies it from there; `steady` is that hand's run of it.
pub fn fly_leg(start: &Run, steady: &Run) -> Run {
    Hunt::new(start, steady, A_DRILL / start.drill().legs()).flown()
}
