//! The planner: works out beforehand how to fly a task by power alone.
//!
//! Everything that says when to move the lever and how far asks here: the brief, the power card, the hand `brief`, the
//! demonstrations and the debrief. A plan knows the aeroplane and the steady wind, never the gusts. It is found with coarse
//! steps (`asked`, `ahead`, `price`, `draft`), put into moves with cues that a person can see ([`Recipe`]), and flown tick
//! by tick in calm air to where the next task begins.
#![deny(clippy::disallowed_methods, clippy::disallowed_types)]

pub mod ahead;
pub mod asked;
pub mod cma;
mod draft;
mod kinds;
pub mod power;
pub mod price;
pub mod recipe;
mod sight;
pub mod still;

use std::sync::Arc;

use crate::drill::{Drill, Kind, Step};
use crate::run::Run;
use crate::sim::air::AirSpec;
use crate::sim::aircraft::Aircraft;
use crate::sim::dynamics::State;
use crate::sim::trim;
use crate::units::{FT, TICK_S};

use ahead::Model;
use asked::Asked;
use draft::{Draft, Search};

pub use ahead::Setting;
pub use draft::A_TASK;
pub use kinds::Known;
pub use power::{fpm_per_percent, three_degree_lever};
pub use recipe::{Follower, Move, Seen, When};
pub use sight::Sight;

/// The moves that fly a task, in order.
pub type Recipe = Vec<Move>;

/// How much a quiet end counts, s: another task may follow.
const CALM_S: f64 = 0.5;
/// What a second steeper than the limit counts where the engine is let down, s: on top
/// of the cost's own two, so that none is sought.
const LATE_S: f64 = 1.0;
/// A correction ends this near, stays so for this long, and has this much time.
const CORRECTED_M: f64 = 3.0 * FT;
const CORRECTED_S: f64 = 20.0;
const LONGEST_CORRECTION_S: f64 = 120.0;

/// Plans a drill task by task, each from where the one before leaves the aeroplane: the recipe of each; None for a surprise,
/// which is called in flight. For a path on which a go-around is called however it is flown, the recipe is to go around at once.
pub fn recipes(drill: &Arc<Drill>) -> Vec<Option<Recipe>> {
    let mut recipes = vec![None; drill.tasks.len()];
    let mut run = Run::in_calm_air(drill.clone(), 0);
    while run.end().is_none() {
        let task = run.leg().task;
        let mut moves = of_leg(&run);
        let leg = run.legs().len() - 1;
        let mut around = run.clone();
        follow(&mut run, &moves, true);
        if run.legs()[leg].approach.missed() {
            let full = vec![Move::FULL_POWER];
            follow(&mut around, &full, true);
            if around.legs()[leg].approach.has_obeyed() {
                (run, moves) = (around, full);
            }
        }
        if !matches!(drill.tasks[task].kind, Kind::Surprise(_)) {
            recipes[task] = Some(moves);
        }
    }
    recipes
}

/// The recipe of the leg that begins at a run's current tick.
pub fn of_leg(run: &Run) -> Recipe {
    let begin = (run.world().state(), run.lever(), run.tick());
    of_task(&Setting::of(run.drill()), &run.leg().kind, begin)
}

/// The recipe of a task that begins in a state with a lever, at a tick; empty where nothing is to be moved.
pub fn of_task(setting: &Setting, kind: &Kind, begin: (&State, f64, u64)) -> Recipe {
    of_task_counted(setting, kind, begin).0
}

/// The same, with the coarse steps it took: at most [`A_TASK`], and a flight to end with.
pub fn of_task_counted(
    setting: &Setting,
    kind: &Kind,
    begin: (&State, f64, u64),
) -> (Recipe, usize) {
    let drafts = |known: &Known, asked: &Asked| match kind {
        Kind::Step(_) => kinds::step(known, asked),
        Kind::Rate(_) => kinds::rate(known, asked),
        Kind::Hold(hold) => {
            let begun_s = begin.2 as f64 * TICK_S;
            let shift = setting.air.shift.as_ref();
            let changes = shift.map(|shift| (shift.at_s - begun_s, shift.over_s));
            kinds::hold(known, asked, hold.seconds, changes)
        }
        Kind::Path(path) => kinds::path(known, asked, setting, &path.glide, begin.2),
        Kind::Slow(_) => kinds::slow(known, asked),
        Kind::Surprise(_) => Vec::new(),
    };
    best(setting, kind, begin, &drafts)
}

/// The moves that change the altitude of level flight at a height by `change_m` and leave no swing.
pub fn of_correction(aircraft: &Aircraft, h_m: f64, change_m: f64) -> Recipe {
    let level = trim::on_speed(aircraft, h_m, 0.0);
    let state = still::steady(aircraft, h_m, &level);
    let kind = Kind::Step(Step {
        altitude_m: h_m + change_m,
        band_m: CORRECTED_M,
        hold_s: CORRECTED_S,
        within_s: LONGEST_CORRECTION_S,
    });
    let setting = Setting {
        aircraft,
        air: &AirSpec::default(),
        aim: None,
    };
    let begin = (&state, level.lever, 0);
    let Some(asked) = Asked::new(aircraft, &kind, begin, 0.0) else {
        return Vec::new();
    };
    let asked = asked.as_level_as(0.5 * CORRECTED_M);
    found(&setting, &asked, 0.0, begin.2, &|known, asked| {
        kinds::correction(known, asked, aircraft, change_m)
    })
    .0
}

fn best(
    setting: &Setting,
    kind: &Kind,
    begin: (&State, f64, u64),
    drafts: &dyn Fn(&Known, &Asked) -> Vec<Draft>,
) -> (Recipe, usize) {
    let Some(mut asked) = Asked::new(setting.aircraft, kind, begin, CALM_S) else {
        return (Vec::new(), 0);
    };
    if asked.is_let_down() {
        // However it is woken, a late engine lets the sink grow first: a limit that cannot be kept is only made expensive.
        asked.too_steep_s = LATE_S;
    }
    let closure_mps = match kind {
        Kind::Path(path) => path.glide.closure_mps(begin.0),
        _ => 0.0,
    };
    found(setting, &asked, closure_mps, begin.2, drafts)
}

fn found(
    setting: &Setting,
    asked: &Asked,
    closure_mps: f64,
    tick: u64,
    drafts: &dyn Fn(&Known, &Asked) -> Vec<Draft>,
) -> (Recipe, usize) {
    let aircraft = setting.aircraft;
    let model = |ticks| {
        let ticks = Model::ticks_for(aircraft, ticks);
        let model = Model::calm(setting, tick as usize, ticks);
        match asked.is_soon_over() {
            true => model.roughly(),
            false => model,
        }
    };
    let mut search = Search::new(asked, &model, closure_mps);
    let drafts = drafts(&Known::of(aircraft, asked), asked);
    let found = search.best(&drafts);
    (
        found.map_or(Vec::new(), |found| found.moves),
        search.spent(),
    )
}

/// Flies a run's current leg by a recipe that begins now: to the leg's end, or until every move has been made.
pub fn follow(run: &mut Run, moves: &[Move], to_its_end: bool) {
    let legs = run.legs().len();
    let mut follower = Follower::default();
    while run.end().is_none() && run.legs().len() == legs {
        match follower.follow(moves, &Sight::of(run)) {
            Some(lever) => run.set_lever(lever),
            None if follower.is_done(moves) && !to_its_end => return,
            None => {}
        }
        run.fly();
    }
}
