//! Cures: the leg flown again with the one thing put right that a name stands for.

use std::ops::Range;

use super::evidence::signs::turns;
use super::landmarks::AIMLESS;
use super::{Kind, SEVERAL, Scene};
use crate::drill::{self, Target};
use crate::plan::{self, Setting, When};
use crate::run::moves::Move;
use crate::run::{Run, thousandths};
use crate::score::hand::median;
use crate::sim::aircraft::Aircraft;
use crate::units::{FPM, FT, KT, TICK_S, TICKS_PER_S};

/// A level-off goes so far past level power where the learner's own did not, over the lever of 3 degrees.
const PAST: f64 = 0.4;
/// Timing that is off by less is in time, ticks.
const IN_TIME: u64 = TICKS_PER_S / 4;
/// Moments tried for giving a move back.
const GIVEN_BACK: u64 = 6;
/// How long a lever is left where it was put before `steady` takes over, ticks.
const LEFT: u64 = 3 * TICKS_PER_S / 2;
/// Beginnings of a descent that are tried, ticks before the one flown.
const SHIFTS: [u64; 10] = [32, 64, 128, 192, 256, 384, 512, 640, 768, 1024];
/// A move begins a descent where it takes off so much of what the path takes.
const BEGINS: f64 = 0.4;
/// A descent's first power is over after so much of a phugoid period, where nothing else ends it.
const SETTLED: f64 = 0.15;
/// Near idle: where the engine's answer takes more than this share of the way from quick to slow; and engines whose answer
/// from there takes less than this longer do not punish it, s.
const NEAR_IDLE: f64 = 0.7;
const PUNISHES_S: f64 = 1.0;
/// Swings of the lever that are turns, over that of 3 degrees.
const TURN: f64 = 0.2;
/// Corrections that each make the next turn the lever at least so often.
const TO_AND_FRO: f64 = 2.0;
/// Lever is looked at so often, ticks.
const LOOK: u64 = 8;

/// A flight with one thing put right.
pub struct Cure {
    /// How much was wrong, in the kind's unit.
    pub amount: f64,
    /// The tick from which it differs.
    pub from: u64,
    /// It.
    pub run: Run,
}

/// What a name stands for, put right; None where there is nothing of it to put right.
pub fn of(scene: &Scene, kind: Kind) -> Option<Cure> {
    match kind {
        Kind::LevelOffLate | Kind::LevelOffEarly => level_off(scene, kind),
        Kind::PowerTooMuch | Kind::PowerTooLittle => first_move(scene, kind),
        Kind::SecondMoveMissing => given_back(scene),
        Kind::DescentLate => descent(scene),
        Kind::EngineLetDown => engine(scene),
        Kind::PowerUpLate | Kind::PowerUpEarly => power_up(scene, kind),
        Kind::Pumping => by_steady(scene, turns_in(scene, told_ticks(scene))),
        Kind::Overcontrol if turns_in(scene, leg_ticks(scene)) < TO_AND_FRO => None,
        Kind::Overcontrol => by_steady(scene, median_move(scene)),
        Kind::NotCorrected => by_steady(scene, mean_off(scene)),
        Kind::Dive => by_steady(scene, steepest(scene)),
        _ => None,
    }
}

/// The level-off when it was due: with the learner's own going power and own move past level, by the planner.
fn level_off(scene: &Scene, kind: Kind) -> Option<Cure> {
    let leg = scene.leg;
    let marks = leg.step.as_ref()?;
    let (settled, onset) = (marks.going.first.end, marks.onset.start);
    let begun = settled.min(onset);
    let lever = &leg.again.lever;
    let going = lever.median(begun..onset.max(begun + 1));
    let past = match marks.past {
        Some(_) => marks.onset.to,
        None => leg.scale.level - leg.scale.way * PAST * leg.scale.three,
    };
    let recipe = plan::of_step_with(
        &Setting::of(leg.again.run.drill()),
        &leg.flown.kind,
        (leg.state(begun), lever.at(begun), begun),
        (going, past),
    );
    let stop = recipe.iter().position(|m| m.when == When::ToGoFt)?;
    let Target::Altitude { altitude_m, .. } = leg.flown.target else {
        return None;
    };
    let to_go_m = |h_m: f64| leg.scale.way * (altitude_m - h_m);
    // As it was flown until it is due, or on with the same power until then.
    let wanted_m = recipe[stop].value * FT;
    let mut run = leg.again.until(begun);
    let own = lever.changes.partition_point(|(tick, _)| *tick < onset);
    let legs = run.legs().len();
    while to_go_m(run.world().state().h_m) > wanted_m
        && run.end().is_none()
        && run.legs().len() == legs
    {
        let next = run.tick() + 1;
        leg.again.follow(&mut run, &lever.changes[..own], next);
    }
    let due = run.tick();
    let is_late = due < onset;
    if is_late != (kind == Kind::LevelOffLate) || due.abs_diff(onset) < IN_TIME {
        return None;
    }
    let from = due.min(onset);
    Some(Cure {
        amount: due.abs_diff(onset) as f64 * TICK_S,
        from,
        run: by_recipe(scene, run, &recipe[stop..]),
    })
}

/// A recipe flown from where a run stands, then `steady`.
fn by_recipe(scene: &Scene, mut run: Run, moves: &[plan::Move]) -> Run {
    let legs = run.legs().len();
    plan::follow(&mut run, moves, false);
    if run.legs().len() == legs {
        run = scene.leg.again.hand_over(run);
    }
    run
}

/// The task by the brief's recipe from where it began: what is told where nothing was begun, or the wrong way.
pub fn by_the_brief(scene: &Scene, amount: f64) -> Option<Cure> {
    let (start, recipe) = (scene.leg.again.start, scene.leg.recipe());
    (!recipe.is_empty()).then(|| Cure {
        amount,
        from: start,
        run: by_recipe(scene, scene.leg.again.until(start), recipe),
    })
}

/// The first move as large as the brief has it, and the rest by the brief.
fn first_move(scene: &Scene, kind: Kind) -> Option<Cure> {
    let leg = scene.leg;
    let first = leg.recipe().first()?;
    let before = leg.again.lever.before;
    let ratio = match &leg.step {
        Some(marks) => marks.going.beyond / leg.scale.beyond(first.lever),
        None => {
            let is_first = |m: &&Move| m.by().abs() >= AIMLESS * leg.scale.three;
            (leg.moves.iter().find(is_first)?.to - before) / (first.lever - before)
        }
    };
    let is_much = ratio > 1.0;
    if is_much != (kind == Kind::PowerTooMuch) || ratio <= 0.0 {
        return None;
    }
    by_the_brief(scene, ratio)
}

/// The move back made sooner, or made at all.
fn given_back(scene: &Scene) -> Option<Cure> {
    let leg = scene.leg;
    let marks = leg.step.as_ref()?;
    let past = marks.past?;
    let latest = marks.back.map_or(marks.missing, |m| m.start);
    let first = marks.onset.end + 1;
    let level = thousandths(leg.scale.level);
    let tried = (0..GIVEN_BACK).map(|n| first + latest.saturating_sub(first) * n / GIVEN_BACK);
    best(scene, tried, |tick| {
        let mut changes = before(scene, tick);
        changes.push((tick, level));
        Some((changes, tick + LEFT, 100.0 * past))
    })
}

/// The descent begun sooner, everything up to the next move with it.
fn descent(scene: &Scene) -> Option<Cure> {
    let leg = scene.leg;
    let is_off = |lever: f64, tick: u64| {
        leg.scale.beyond(lever) >= BEGINS * leg.scale.beyond(leg.right(tick))
    };
    let begins = |m: &&Move| {
        let after = leg.again.lever.median(m.end..m.end + LEFT);
        !is_off(m.from, m.start) && is_off(m.to, m.start) && is_off(after, m.start)
    };
    let onset = leg.moves.iter().find(begins)?;
    let next =
        |m: &&Move| m.start > onset.end && (m.to - onset.to).abs() >= AIMLESS * leg.scale.three;
    let settled = onset.end + (SETTLED * leg.scale.period) as u64;
    let longest = onset.end + leg.scale.period as u64;
    let until = leg
        .moves
        .iter()
        .find(next)
        .map_or(settled, |m| m.start.min(longest));
    let until = until.min(leg.again.end);
    best(scene, SHIFTS.into_iter(), |shift| {
        let moved = |tick: u64| tick.checked_sub(shift);
        let begin = moved(onset.start).filter(|begin| *begin > leg.again.start)?;
        let mut changes = before(scene, begin.min(onset.start));
        let descent = leg.again.lever.changes.iter();
        let descent = descent.filter(|(tick, _)| (onset.start..until).contains(tick));
        changes.extend(descent.filter_map(|(tick, lever)| Some((moved(*tick)?, *lever))));
        Some((changes, moved(until)?, shift as f64 * TICK_S))
    })
}

/// Slowing in, the power brought up when the recipe's cue for it comes, and the rest by the recipe. The learner's own is the first
/// move that takes the lever at least half of the way to the power that flies level once it is slow.
fn power_up(scene: &Scene, kind: Kind) -> Option<Cure> {
    let leg = scene.leg;
    let is_up = |m: &&Move| m.by() > 0.0 && m.to >= leg.scale.level - leg.scale.three / 2.0;
    let onset = leg.moves.iter().find(is_up)?.start;
    let recipe = leg.recipe();
    let up = recipe.iter().position(|m| m.when == When::FastKt)?;
    // As it was flown until it is due, or on with the same power until then.
    let changes = before(scene, onset);
    let mut run = leg.again.until(leg.again.start);
    let is_fast = |run: &Run| {
        let fast_mps = run.fast_mps(run.tick());
        fast_mps.is_some_and(|mps| mps > recipe[up].value * KT)
    };
    while is_fast(&run) && run.end().is_none() && run.legs().len() == leg.again.leg + 1 {
        let next = run.tick() + 1;
        leg.again.follow(&mut run, &changes, next);
    }
    let due = run.tick();
    let is_late = due < onset;
    if is_late != (kind == Kind::PowerUpLate) || due.abs_diff(onset) < IN_TIME {
        return None;
    }
    Some(Cure {
        amount: due.abs_diff(onset) as f64 * TICK_S,
        from: due.min(onset),
        run: by_recipe(scene, run, &recipe[up..]),
    })
}

/// The lever never below where the engine answers late.
fn engine(scene: &Scene) -> Option<Cure> {
    let leg = scene.leg;
    let floor = floor(&leg.again.run.drill().aircraft)?;
    let lever = &leg.again.lever;
    let below = |tick: &u64| lever.at(*tick) < floor;
    let from = (leg.again.start..scene.line.to.tick).find(below)?;
    let to = (from..leg.again.end).find(|tick| !below(tick))?;
    let mut changes = lever.changes.clone();
    for (tick, lever) in &mut changes {
        if (from..to).contains(tick) {
            *lever = (*lever).max(thousandths(floor));
        }
    }
    Some(Cure {
        amount: (to - from) as f64 * TICK_S,
        from,
        run: leg.again.changed(&changes, to),
    })
}

/// The lever below which an engine answers late; None where it hardly matters.
fn floor(aircraft: &Aircraft) -> Option<f64> {
    let engine = &aircraft.engine;
    if engine.slow_s - engine.quick_s < PUNISHES_S {
        return None;
    }
    let late_s = engine.quick_s + NEAR_IDLE * (engine.slow_s - engine.quick_s);
    (1..100)
        .map(|percent| f64::from(percent) / 100.0)
        .find(|lever| engine.answer_s(engine.settles_at(*lever)) <= late_s)
}

/// `steady` from the line's beginning on: small corrections in place of what was done.
fn by_steady(scene: &Scene, amount: f64) -> Option<Cure> {
    let from = scene.line.from.tick;
    let again = scene.leg.again;
    Some(Cure {
        amount,
        from,
        run: again.hand_over(again.until(from)),
    })
}

/// The lever's changes before a tick.
fn before(scene: &Scene, tick: u64) -> Vec<(u64, u16)> {
    let changes = &scene.leg.again.lever.changes;
    changes[..changes.partition_point(|(at, _)| *at < tick)].to_vec()
}

/// A change of the lever: all its changes, the tick from which `steady` flies on, the amount.
type Change = (Vec<(u64, u16)>, u64, f64);

/// The best of several changes, told where it parts from what was flown.
fn best(
    scene: &Scene,
    tried: impl Iterator<Item = u64>,
    change: impl Fn(u64) -> Option<Change>,
) -> Option<Cure> {
    let again = scene.leg.again;
    let flown = tried.filter_map(|value| {
        let (changes, at, amount) = change(value)?;
        let same = changes.iter().zip(&again.lever.changes);
        let same = same.take_while(|(a, b)| a == b).count();
        let from = [changes.get(same), again.lever.changes.get(same)]
            .into_iter()
            .flatten()
            .map(|(tick, _)| *tick)
            .min()?;
        let run = again.changed(&changes, at);
        let points = again.worth(&run)?.points;
        Some((points, Cure { amount, from, run }))
    });
    flown
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, cure)| cure)
}

/// Turns of the lever.
fn turns_in(scene: &Scene, ticks: Range<u64>) -> f64 {
    let levers: Vec<f64> = ticks.map(|tick| scene.leg.again.lever.at(tick)).collect();
    turns(&levers, TURN * scene.leg.scale.three).len() as f64
}

/// A line's ticks, or as many before its end as several corrections take.
fn told_ticks(scene: &Scene) -> Range<u64> {
    let (start, line) = (scene.leg.again.start, scene.line);
    let from = line.from.tick.min(line.to.tick.saturating_sub(SEVERAL));
    from.max(start)..line.to.tick
}

fn leg_ticks(scene: &Scene) -> Range<u64> {
    scene.leg.again.start..scene.leg.again.end
}

/// Median size of the moves in a line, or where none lies in it of all moves, % of travel.
fn median_move(scene: &Scene) -> f64 {
    let (from, to) = (scene.line.from.tick, scene.line.to.tick);
    let of = |is: &dyn Fn(&&Move) -> bool| {
        let moves = scene.leg.moves.iter().filter(is);
        median(moves.map(|m| 100.0 * m.by().abs()).collect())
    };
    of(&|m| m.end >= from && m.start < to)
        .or_else(|| of(&|_| true))
        .unwrap_or(0.0)
}

/// Mean distance from what is asked over a line, ft (of a rate ft/min).
fn mean_off(scene: &Scene) -> f64 {
    let leg = scene.leg;
    let unit = match leg.flown.kind {
        drill::Kind::Rate(_) => FPM,
        _ => FT,
    };
    let ticks = || (scene.line.from.tick..scene.line.to.tick).step_by(LOOK as usize);
    let off = |tick: u64| leg.flown.target.error(leg.state(tick), tick).abs();
    ticks().map(off).sum::<f64>() / unit / ticks().count().max(1) as f64
}

/// The steepest sink in a line over that of the path.
fn steepest(scene: &Scene) -> f64 {
    let leg = scene.leg;
    let ticks = (scene.line.from.tick..scene.line.to.tick).step_by(LOOK as usize);
    let share = |tick: u64| Some(-leg.state(tick).vz_mps / leg.sink_asked_mps(tick)?);
    ticks.filter_map(share).fold(0.0, f64::max)
}
