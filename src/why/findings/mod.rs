//! Findings: what one change would have been worth, computed by flying it.
//!
//! Every scored, finished leg is flown again from where it began, in the same air, with one thing changed. From a tick on,
//! the hand-over, `steady` flies the changed flight, and from the same landmark on a second one that is unchanged before it
//! (where a level-off is moved, the landmark moves with it). The *gain* is the cost of the unchanged flight less that of the
//! changed one: what the change alone is worth, in seconds of cost and in points. Where the fault is a way of going on rather
//! than a move, the unchanged flight goes on for longer: for 0.3 phugoid periods with a wrong level power after a step, which
//! is believed in, to the end of the leg with pumping,
//! with a wait that nothing was done about, and with a power kept wrong on a hold, a rate, a path or late in a step.
//!
//! Cost is that of `score`. In seconds: of a step or a rate as it is scored, what was not captured at its limit; of a hold, rms
//! error over the 3-degree rate; of a path, rms share of the band times its half-width where it begins, over the 3-degree
//! rate. A search for the best change goes by a smooth cost (`worth`), since the scored one jumps by ten seconds where a
//! flight just leaves its band; told is the scored one. A finding is told where its gain is at least 1 s in still air, up to 2
//! s in gusts (on holds and paths a tenth of the band), and the changed flight beats the learner's own by as much. What the
//! smooth cost sees clearly may gain less, if the changed flight beats the learner's by 3 s.
//!
//! # What is looked for
//! Lever is counted from the power that keeps what is asked, U, + towards the side the leg goes to; *three* is U of a 3-degree
//! path. Landmarks (`landmarks`): the *going* power is the median of U between the move that sets it and the level-off; the
//! *level-off* is the first move that leaves less than 0.55 of it; *past* is how far it goes beyond level; the *move back* ends
//! that; the hand-over is the first move after all that which is more than aimless, at most 0.12 phugoid periods later, or
//! the end of a wait outside the band with the lever left alone.
//!
//! | kind | amount | what is changed |
//! |---|---|---|
//! | `level_off_late`, `level_off_early` | s | the level-off as a whole, moved to when it was due gusts apart (`due`), or where it never was, or nothing was done after it, to where the smooth cost is least: up to 8 s sooner where the aeroplane went past by half a band (16 s where it was past already), up to 8 s later where it nearly stopped a band short, power went on again, or the lever was left alone short of the band |
//! | `power_too_much`, `power_too_little` | going power over that of 3 degrees | going with the power of 3 degrees, level-off at the same height to go or at the same time, where the ratio lies outside 0.75 to 1.3 (1.2 where the leg was too steep for a second). On a rate or a path: how far the first move went over how far it had to go, and the power that keeps what is asked in its place, where it was left 0.3 of three off for 3 s. Where a step ended before any level-off: that power until 8 s to go |
//! | `second_move_missing` | % of lever past level | the move back made sooner, or made, where the lever was past level by more than 0.3 of three; on a hold, a rate or a path a power left so far off for 3 s, the first move apart |
//! | `pumping` | reversals above two | `steady` from the first of five swings in a row of at least 0.2 of three, 4 s apart or less |
//! | `level_power_off` | % of lever | the power that keeps what is asked, from the end of the level-off on where it was 0.1 of three off and not corrected for 1.75 s, or later where it carried the aeroplane out of the band on its side; on a hold, a rate or a path from the beginning of the stretch that did most harm, of 3 s or more (on a path one that carried the aeroplane 0.4 of the band to its side) |
//! | `engine_let_down` | s near idle | the lever never below where the engine answers late, in the longest stretch in which it was |
//! | `descent_late`, `descent_early` | s | on a path, the power taken off for the descent at another time |
//! | `gust_over` | % of lever | a correction left out whose gust had gone when it came |
//! | `not_corrected` | ft off, mean | `steady` from the third second on of the longest wait of 10 s or more outside the band, at one altitude, with the lever left alone |
//!
//! # What cannot be told apart
//! - Too much going power and a late level-off: late for that rate. Either cures it; the sentence says both.
//! - Too little going power, or a lever left past level, and an early level-off: the former is told where it gains nearly as
//!   much or more.
//! - A lever left past level and a level power set wrong on that side: by size, 0.3 of three.
//! - On a path too little power taken off and a descent begun late, too much and early: the power is told where it gains nearly
//!   as much or more.
//! - Too much power taken off for a descent and an engine let down: told as too much power.
//! - A level-off without lead is one that is late by the lead.

use serde::Serialize;

mod candidates;
mod landmarks;
mod refly;
mod words;
mod worth;

use crate::drill;
use crate::run::{Leg, Run};
use crate::score::Reference;
use crate::sim::trim;

use crate::run::moves::Lever;
use candidates::{Candidate, Scene};
use landmarks::{Scale, asked_m, way};
use worth::Judge;

/// What can be said of a leg.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// The level-off came late.
    LevelOffLate,
    /// The level-off came early.
    LevelOffEarly,
    /// The move that set the aeroplane going was too large.
    PowerTooMuch,
    /// The move that set the aeroplane going was too small.
    PowerTooLittle,
    /// The second half of the level-off's correction is missing.
    SecondMoveMissing,
    /// The lever was pumped.
    Pumping,
    /// Level power was found late or set wrong.
    LevelPowerOff,
    /// The engine was let down near idle, from where it answers late.
    EngineLetDown,
    /// On a path, power was taken off late for the descent.
    DescentLate,
    /// On a path, power was taken off early for the descent.
    DescentEarly,
    /// A correction answered a gust that was already over.
    GustOver,
    /// The lever was left alone while the aeroplane stayed outside the band.
    NotCorrected,
}

/// One thing changed in one leg, and what that is worth.
#[derive(Clone, Debug)]
pub struct Finding {
    /// The leg it is about: index into [`Run::legs`].
    pub leg: usize,
    /// The drill's task the leg belongs to, from 1.
    pub task: usize,
    /// What was changed.
    pub kind: Kind,
    /// By how much, in [`Kind::unit`]; above 0.
    pub amount: f64,
    /// What the change alone is worth in cost, s.
    pub gain_s: f64,
    /// What it is worth in points of the task.
    pub gain_points: f64,
    /// The tick from which the changed run differs from the learner's.
    pub from_tick: u64,
    /// The tick from which `steady` flies the changed run.
    pub hand_over_tick: u64,
    /// The changed run: a fork that remembers the leg from its first tick on.
    pub alternative: Run,
}

impl Kind {
    /// Its name in JSON.
    pub fn key(self) -> &'static str {
        match self {
            Kind::LevelOffLate => "level_off_late",
            Kind::LevelOffEarly => "level_off_early",
            Kind::PowerTooMuch => "power_too_much",
            Kind::PowerTooLittle => "power_too_little",
            Kind::SecondMoveMissing => "second_move_missing",
            Kind::Pumping => "pumping",
            Kind::LevelPowerOff => "level_power_off",
            Kind::EngineLetDown => "engine_let_down",
            Kind::DescentLate => "descent_late",
            Kind::DescentEarly => "descent_early",
            Kind::GustOver => "gust_over",
            Kind::NotCorrected => "not_corrected",
        }
    }

    /// The unit of its amount.
    pub fn unit(self) -> &'static str {
        match self {
            Kind::LevelOffLate
            | Kind::LevelOffEarly
            | Kind::EngineLetDown
            | Kind::DescentLate
            | Kind::DescentEarly => "s",
            Kind::PowerTooMuch | Kind::PowerTooLittle => "ratio",
            Kind::SecondMoveMissing | Kind::LevelPowerOff | Kind::GustOver => "%",
            Kind::Pumping => "reversals",
            Kind::NotCorrected => "ft",
        }
    }
}

/// Less is not worth a sentence: cost in seconds of a step or a rate.
const LEAST_GAIN_S: f64 = 1.0;
/// So much more for each m/s of the gusts' wind, since in moving air a second or two are a matter of luck: twice as much in
/// lively air.
const LEAST_PER_MPS_S: f64 = 0.25;
/// At most.
const LEAST_IN_GUSTS_S: f64 = 2.0;
/// Cost jumps where a flight just leaves its band; a gain that the smooth cost sees clearly may be smaller, if it makes the
/// leg so much better than it was flown.
const LEAST_SEEN_S: f64 = 0.25;
const LEAST_SOFT_S: f64 = 1.0;
const CLEARLY_S: f64 = 3.0;

/// The findings of a run, the largest gain first.
pub fn find(run: &Run, references: &[Reference]) -> Vec<Finding> {
    let is_scored = |leg: &Leg| leg.end.is_some() && run.drill().tasks[leg.task].scored;
    if !run.legs().iter().any(is_scored) {
        return Vec::new();
    }
    let starts = run.leg_starts();
    let legs = run.legs().iter().zip(starts).enumerate();
    let mut found: Vec<Finding> = legs
        .filter(|(_, (leg, _))| is_scored(leg))
        .flat_map(|(index, (leg, start))| {
            let reference = references.get(index).copied().unwrap_or_default();
            of_leg(run, leg, index, start, reference)
        })
        .collect();
    found.sort_by(|a, b| b.gain_s.total_cmp(&a.gain_s));
    found
}

fn of_leg(run: &Run, leg: &Leg, index: usize, start: Run, reference: Reference) -> Vec<Finding> {
    let judge = Judge::new(run, index, reference);
    let Some(flown) = judge.worth(run) else {
        return Vec::new();
    };
    let way = way(run, leg);
    let h_m = asked_m(leg).unwrap_or(run.trace().at(leg.start as usize).state.h_m);
    let mut scale = Scale::new(&run.drill().aircraft, h_m, way);
    if let drill::Kind::Rate(rate) = &leg.kind {
        scale.level = trim::at_vertical(&run.drill().aircraft, h_m, rate.vertical_mps).lever;
    }
    let lever = Lever::of(run, index);
    let scene = Scene {
        run,
        index,
        moves: lever.moves(),
        leg: refly::Leg::new(start, lever),
        scale,
        flown,
        judge,
    };
    let candidates = match leg.kind {
        drill::Kind::Step(_) => candidates::of_step(&scene),
        drill::Kind::Hold(_) | drill::Kind::Rate(_) => candidates::of_stay(&scene),
        drill::Kind::Path(_) => candidates::of_path(&scene),
        drill::Kind::Surprise(_) => Vec::new(),
    };
    let gusty_s = LEAST_GAIN_S + LEAST_PER_MPS_S * run.drill().air.u20_mps;
    let least_s = gusty_s.min(LEAST_IN_GUSTS_S).min(judge.least_s(leg));
    let worth_telling = |candidate: &Candidate| {
        let (gain_s, soft_s) = (candidate.gain_s(), candidate.soft_gain_s());
        let better_s = flown.cost_s - candidate.changed.cost_s;
        gain_s >= least_s && soft_s > 0.0 && better_s >= least_s
            || gain_s >= LEAST_SEEN_S && soft_s >= LEAST_SOFT_S && better_s >= CLEARLY_S
    };
    let candidates = candidates.into_iter().filter(worth_telling);
    candidates
        .map(|candidate| Finding {
            leg: index,
            task: leg.task + 1,
            kind: candidate.kind,
            amount: candidate.amount,
            gain_s: candidate.gain_s(),
            gain_points: candidate.changed.points - candidate.unchanged.points,
            from_tick: candidate.from_tick,
            hand_over_tick: candidate.hand_over_tick,
            alternative: candidate.run,
        })
        .collect()
}
