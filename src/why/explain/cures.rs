//! Cures: the leg flown again with the one named thing put right.

use std::ops::Range;

use super::facts::{self, EARLY};
use super::landmarks::AIMLESS;
use super::{Case, Inquiry, LineKind, SEVERAL, SINKS};
use crate::drill::Kind;
use crate::plan::{self, Move, Recipe, Sight, When};
use crate::run::moves::{LeverMove, flown_until};
use crate::run::{Run, thousandths};
use crate::score::series::{median, turns};
use crate::units::{TICK_S, TICKS_PER_S};

/// Moments tried for a level-off, for giving a move back, or for handing over from a lever that was not let down.
const MOMENTS: u64 = 12;
/// A stop does nearly as well as the best one if it brings back this share of what that brings back.
const NEARLY: f64 = 0.9;
/// If the timing was off by less than this, s, the timing itself must matter: the learner's own stop, made when the learner
/// made it and then flown on by `steady`, must bring back less than `HALF` of what the stop in time brings back.
const SURELY_S: f64 = 2.0;
const HALF: f64 = 0.5;
/// A mistaken idea of the power that keeps something is off by less than this, over the lever of 3 degrees.
const IDEA: f64 = 1.0;
/// Power farther than this from the recipe's, over the lever of 3 degrees, is wrong whenever it comes.
const LIKE: f64 = 0.5;
/// A move within this of its cue is neither late nor early, ticks.
const TIMED: u64 = TICKS_PER_S;
/// Near idle: where the engine's answer takes more than this share of the way from quick to slow. Engines whose answer from
/// idle takes less than `PUNISHES_S` longer do not punish it, s.
const NEAR_IDLE: f64 = 0.7;
const PUNISHES_S: f64 = 1.0;
/// Swings of the lever of at least this size are turns, over the lever of 3 degrees.
const TURN: f64 = 0.2;
/// A move within this time of a task's beginning belongs to the beginning, ticks.
pub const SOON: u64 = 5 * TICKS_PER_S;
/// In a chain of corrections the lever turns at least this often: a single turn is just a move and its return.
const TO_AND_FRO: f64 = 2.0;
/// A move is answered by an opposite one of at least this share of its size. Corrections are at most `ALIKE` times the median.
const ANSWERED: f64 = 0.5;
const ALIKE: f64 = 8.0;
/// A standing error is off by at least this share of the band on average.
const STANDS: f64 = 0.3;
/// In a step it stands still if its vertical speed is below this share of the 3-degree rate for at least this share of the
/// line.
const STANDS_STILL: f64 = 0.5;
/// After the line it grows by less than this share of the band in the time of several corrections: a wrong lever makes it grow
/// more.
const GROWS: f64 = 0.5;
/// A first move is too large or too small if it is off by this share of the right one: less is not worth reporting.
const WRONG: f64 = 0.15;
/// A dive sinks at least this many times as fast as the path.
const DIVES: f64 = 1.1;

/// A flight with one thing put right.
pub struct Cure {
    /// How much was wrong, in the kind's unit; None where the fact's amount applies.
    pub amount: Option<f64>,
    /// The tick from which it differs from the learner's flight.
    pub from: u64,
    pub run: Run,
    /// The moves that it flies from the leg's beginning, where those are the brief's.
    pub recipe: Option<Recipe>,
}

impl Cure {
    /// A cure whose flight is not the brief's from the leg's beginning on.
    fn new(amount: Option<f64>, from: u64, run: Run) -> Cure {
        Cure {
            amount,
            from,
            run,
            recipe: None,
        }
    }
}

/// The leg with the fault of a kind put right; None where there is nothing to put right.
pub fn of(scene: &Inquiry, kind: LineKind) -> Option<Cure> {
    match kind {
        LineKind::LevelOffLate | LineKind::LevelOffEarly => level_off(scene, kind),
        LineKind::PowerTooMuch | LineKind::PowerTooLittle => first_move(scene, kind),
        LineKind::SecondMoveMissing => given_back(scene),
        LineKind::DescentLate | LineKind::DescentEarly => descent(scene, kind),
        LineKind::EngineLetDown => engine(scene),
        LineKind::PowerUpLate | LineKind::PowerUpEarly => power_up(scene, kind),
        LineKind::Pumping => {
            let turns = turns_in(scene, told_ticks(scene));
            (turns >= TO_AND_FRO).then(|| small(scene, turns))?
        }
        LineKind::Overcontrol => {
            // The full power that ends a path is no correction.
            let again = &scene.leg.again;
            let turns = turns_in(scene, again.start..flown_until(again.run) as u64);
            let size = median_move(scene).filter(|_| turns >= TO_AND_FRO)?;
            is_answered(scene, size).then(|| small(scene, size))?
        }
        LineKind::NotCorrected => {
            let off = stands(scene).then(|| mean_off(scene))?;
            match is_on_the_way(scene) {
                true => by_the_brief(scene, Some(off)),
                false => small(scene, off),
            }
        }
        LineKind::Dive => {
            let steepest = steepest(scene);
            (steepest >= DIVES).then(|| not_made(scene, Some(steepest), -1.0))?
        }
        LineKind::LeftAtIdle => not_made(scene, None, -1.0),
        LineKind::LeftAtFull | LineKind::NotCalled => not_made(scene, None, 1.0),
        LineKind::LevelPowerOff => level_set(scene),
        LineKind::NeverMoved
        | LineKind::WrongWay
        | LineKind::BeganLate
        | LineKind::KeptTooLong
        | LineKind::NeverLevelled
        | LineKind::HighAllTheWay
        | LineKind::LowAllTheWay => by_the_brief(scene, None),
        // A rescue is no advice for next time.
        LineKind::LeverHigh | LineKind::LeverLow | LineKind::LeverByTurns
            if scene.begins_with_the_task() || scene.is_rescue() && !scene.is_well_begun() =>
        {
            by_the_brief(scene, None)
        }
        // In slowing in, the first move of `steady` is small and means nothing to a learner who never brought the power up.
        LineKind::LeverHigh | LineKind::LeverLow
            if matches!(scene.leg.flown.kind, Kind::Slow(_)) =>
        {
            brief_from(scene, scene.line.from.tick, None)
        }
        _ => None,
    }
}

/// The level-off when it was due: the brief's if the learner flew as the brief does, else the learner's own or, if that was too
/// late, the better flight's.
fn level_off(scene: &Inquiry, kind: LineKind) -> Option<Cure> {
    let explains = |cure: &Cure| scene.is_explained_by(&cure.run);
    let by_brief = || {
        let (recipe, stop) = scene.leg.as_briefed()?;
        let began = (scene.leg.again.start, scene.leg.step.as_ref()?.onset.start);
        when_due(scene, kind, began, recipe, stop.when)
    };
    let by_brief = by_brief().filter(explains);
    let own = by_brief.or_else(|| shifted(scene, kind).filter(explains));
    own.or_else(|| stopped_by_steady(scene, kind))
}

/// The learner's own level-off, then `steady`, at the best of a few moments. Where the level-off was too early, at the first
/// moment that does nearly as well: at later ones `steady` stops what the learner could no longer have stopped.
fn shifted(scene: &Inquiry, kind: LineKind) -> Option<Cure> {
    let (leg, again) = (scene.leg, &scene.leg.again);
    let marks = leg.step.as_ref()?;
    let onset = marks.onset.start;
    let to = marks.back.map_or(marks.onset.end, |m| m.end) + 1;
    let own = &again.lever.changes;
    let place = |tick: u64| own.partition_point(|(at, _)| *at < tick);
    let far = leg.scale.far();
    let (dues, share) = match kind.is_late() {
        true => (marks.first.end.max(onset.saturating_sub(far))..onset, 1.0),
        false => (onset..onset + far, NEARLY),
    };
    let stopped_at = |due: u64| {
        let mut run = again.until(due.min(onset));
        again.follow(&mut run, &own[..place(onset)], due);
        let stop = own[place(onset)..place(to)].iter();
        let moved: Vec<_> = stop.map(|(at, lever)| (at + due - onset, *lever)).collect();
        again.follow(&mut run, &moved, to + due - onset);
        again.hand_over(run)
    };
    let cures = moments(dues).filter_map(|due| in_time(kind, (due, onset), || stopped_at(due)));
    let cure = best_of(scene, share, cures)?;
    let is_surely = cure.amount.is_some_and(|s| s >= SURELY_S);
    (is_surely || is_timing(scene, &cure.run, &stopped_at(onset))).then_some(cure)
}

/// Whether it is the timing that brings points back: the same stop, made when the learner made it, brings back less than half
/// as many.
fn is_timing(scene: &Inquiry, in_time: &Run, as_made: &Run) -> bool {
    let back = |run: &Run| {
        let worth = scene.leg.again.worth(run);
        worth.map_or(0.0, |worth| worth.points - scene.line.to.points)
    };
    back(as_made) < HALF * back(in_time)
}

/// A late level-off made where the better flight makes it.
fn stopped_by_steady(scene: &Inquiry, kind: LineKind) -> Option<Cure> {
    let (leg, from) = (scene.leg, scene.line.from.tick);
    let marks = leg.step.as_ref().filter(|marks| marks.first.end <= from)?;
    let (better, onset) = (scene.better.as_ref()?, marks.onset.start);
    let stop = facts::first_from(scene, better, from)?;
    let is_stop = stop.by() * leg.scale.way < 0.0 && stop.start + leg.scale.far() >= onset;
    is_stop.then(|| in_time(kind, (stop.start, onset), || better.clone()))?
}

/// In slowing in, the power brought up at the recipe's cue. The learner's own is the first upward move that ends no more than
/// half the lever of 3 degrees below the power that flies level once slow.
fn power_up(scene: &Inquiry, kind: LineKind) -> Option<Cure> {
    let leg = scene.leg;
    let is_up = |m: &&LeverMove| m.by() > 0.0 && m.to >= leg.scale.level - leg.scale.three / 2.0;
    let up = leg.moves.iter().find(is_up)?;
    let began = (leg.again.start, up.start);
    let recipe = leg.recipe();
    let right = recipe.iter().find(|m| m.when == When::FastKt)?;
    let is_like = (up.to - right.lever).abs() <= LIKE * leg.scale.three;
    is_like.then(|| when_due(scene, kind, began, recipe, When::FastKt))?
}

/// The descent begun at the recipe's distance, with its first power for the path, and `steady` from there.
fn descent(scene: &Inquiry, kind: LineKind) -> Option<Cure> {
    let leg = scene.leg;
    let begins =
        |m: &&LeverMove| leg.scale.beyond(m.to) >= SINKS * leg.scale.beyond(leg.right(m.start));
    let began = (leg.again.start, leg.moves.iter().find(begins)?.start);
    let recipe = leg.recipe();
    let off = recipe.iter().position(|m| m.when == When::DistanceNm)?;
    let first = &recipe[..recipe.len().min(off + 2)];
    let cure = when_due(scene, kind, began, first, When::DistanceNm)?;
    if kind == LineKind::DescentLate {
        return Some(cure);
    }
    // The recipe may descend later and more steeply than it has to: only what is below the path counts as early.
    let early_s = cure.amount?.min(-leg.begins_down()?.1);
    let amount = Some(early_s).filter(|s| *s >= EARLY as f64 * TICK_S);
    amount.is_some().then_some(Cure { amount, ..cure })
}

/// Something begun late or early, begun when the recipe's cue says so; the rest by the recipe or, where that does not explain
/// the line, by `steady`. Up to `begun` it is as flown, and from there to the cue on the learner's moves made before `onset`.
fn when_due(
    scene: &Inquiry,
    kind: LineKind,
    (begun, onset): (u64, u64),
    recipe: &[plan::Move],
    cue: When,
) -> Option<Cure> {
    let (leg, again) = (scene.leg, &scene.leg.again);
    let at = recipe.iter().position(|m| m.when == cue)?;
    let seen = |run: &Run| leg.seen(cue, &Sight::of(run));
    let own = &again.lever.changes;
    let changes = &own[..own.partition_point(|(tick, _)| *tick < onset)];
    let mut run = again.until(begun);
    while !recipe[at].is_due(&seen(&run), 0) && again.is_under_way(&run) {
        let next = run.tick() + 1;
        again.follow(&mut run, changes, next);
    }
    let due = run.tick();
    // The learner's own power may be a separate fault.
    in_time(kind, (due, onset), || {
        let flown = by_recipe(scene, run.clone(), &recipe[at..]);
        match scene.is_explained_by(&flown) {
            true => flown,
            false => again.hand_over(run),
        }
    })
}

/// Something begun late or early by enough, begun when it was due.
fn in_time(kind: LineKind, (due, onset): (u64, u64), run: impl FnOnce() -> Run) -> Option<Cure> {
    let apart = due.abs_diff(onset);
    let is_so = (due < onset) == kind.is_late() && apart >= TIMED;
    is_so.then(|| Cure::new(Some(apart as f64 * TICK_S), due.min(onset), run()))
}

/// Flies a recipe from where a run stands, then `steady`.
fn by_recipe(scene: &Inquiry, mut run: Run, moves: &[plan::Move]) -> Run {
    plan::follow(&mut run, moves, false);
    scene.leg.again.hand_over(run)
}

/// The task flown by the brief's recipe from its beginning.
fn by_the_brief(scene: &Inquiry, amount: Option<f64>) -> Option<Cure> {
    brief_from(scene, scene.leg.again.start, amount)
}

/// The same from a tick on.
fn brief_from(scene: &Inquiry, from: u64, amount: Option<f64>) -> Option<Cure> {
    let recipe = scene.leg.recipe();
    let is_whole = from <= scene.leg.again.start;
    (!recipe.is_empty()).then(|| Cure {
        amount,
        from,
        run: by_recipe(scene, scene.leg.again.until(from), recipe),
        recipe: is_whole.then(|| recipe.clone()),
    })
}

/// Whether a line begins at the start of a task that goes somewhere, or before its level-off. There `steady` makes many small
/// moves, and the stop comes after those that are reported.
fn is_on_the_way(scene: &Inquiry) -> bool {
    let is_before = |tick: u64| scene.line.from.tick < tick;
    let marks = scene.leg.step.as_ref();
    scene.begins_with_the_task() || marks.is_some_and(|marks| is_before(marks.onset.start))
}

/// Whether there is a standing error: not one that is still moving, in a step, or growing, in a task that keeps something.
fn stands(scene: &Inquiry) -> bool {
    let (leg, line) = (scene.leg, scene.line);
    let after = |ticks: u64| {
        leg.share((line.to.tick + ticks).min(leg.again.end - 1))
            .abs()
    };
    let stands = match leg.flown.kind {
        Kind::Step(_) => scene.share(|tick| leg.pace(*tick).abs() < STANDS_STILL) >= STANDS_STILL,
        Kind::Path(_) => true,
        _ => after(2 * SEVERAL) - after(SEVERAL) < GROWS,
    };
    scene.mean(|tick| leg.share(tick)).abs() >= STANDS && stands
}

/// The largest move in direction `way` shortly before a line's end is not made: `steady` flies in its place, or the brief's
/// recipe if the move came with the task.
fn not_made(scene: &Inquiry, amount: Option<f64>, way: f64) -> Option<Cure> {
    let again = &scene.leg.again;
    let kept = again
        .lever
        .kept(scene.line.to.tick - 1, (again.start, again.end));
    let from = kept.start.min(scene.line.from.tick).saturating_sub(SEVERAL);
    let led = |m: &&LeverMove| m.end >= from && m.start < scene.line.to.tick && way * m.by() > 0.0;
    let moves = scene.leg.moves.iter().filter(led);
    let made = moves.max_by(|a, b| (way * a.by()).total_cmp(&(way * b.by())))?;
    if made.start <= again.start + SOON {
        return by_the_brief(scene, amount);
    }
    by_steady(scene, made.start, None, amount)
}

/// The power set right from where it was set wrong, or from where the line begins if that is earlier.
fn level_set(scene: &Inquiry) -> Option<Cure> {
    let (leg, again, line) = (scene.leg, &scene.leg.again, scene.line);
    let off = leg.power_off()?;
    let middle = line.from.tick.midpoint(line.to.tick);
    let kept = again.lever.kept(middle, (again.start, again.end)).start;
    let from = kept.min(line.from.tick);
    // Power farther off than this was no idea of the power that keeps it.
    let is_off = (AIMLESS..IDEA).contains(&(off / leg.scale.three));
    is_off.then(|| by_steady(scene, from, Some(leg.right(from)), Some(100.0 * off)))?
}

/// The first move as large as in the brief, and the rest by the brief.
fn first_move(scene: &Inquiry, kind: LineKind) -> Option<Cure> {
    let leg = scene.leg;
    let (first, before) = (leg.recipe().first()?, leg.again.lever.before);
    let is_much = kind == LineKind::PowerTooMuch;
    let (made, ratio) = match leg.going() {
        // A kick that brings up a late engine is not a power to go with.
        Some(_) if !leg.scale.is_going(first.lever) => return None,
        Some(marks) => {
            // Both the learner and the brief go with the first move or with what remains once a kick is taken back: a move
            // between the two is neither too large nor too small.
            let own = [leg.scale.beyond(marks.first.to), marks.beyond];
            let right = [first.lever, goes_with(leg)?].map(|lever| leg.scale.beyond(lever));
            let ratio = match is_much {
                true => own[0].min(own[1]) / right[0].max(right[1]),
                // A brief may go with more than 3 degrees; a learner who goes with 3 degrees does not go with too little.
                false => own[0].max(own[1]) / right[0].min(right[1]).min(leg.scale.three),
            };
            (marks.first, ratio)
        }
        None => {
            let made = *leg.made().next()?;
            (made, (made.to - before) / (first.lever - before))
        }
    };
    let is_wrong = match is_much {
        true => ratio > 1.0 + WRONG,
        false => ratio > 0.0 && ratio < 1.0 - WRONG,
    };
    // A line that ends before the move is not due to its size, and a move that the drill's brief gives is not wrong.
    let is_told = is_wrong && made.start < scene.line.to.tick && !leg.is_as_read(made.to);
    is_told.then(|| by_the_brief(scene, Some(ratio)))?
}

/// The lever with which the brief goes once a kick is taken back.
fn goes_with(leg: &Case) -> Option<f64> {
    let (first, then) = leg.recipe().split_first()?;
    let goes = |m: &&Move| m.when == When::AfterS && leg.scale.is_going(m.lever);
    Some(then.iter().take_while(goes).last().unwrap_or(first).lever)
}

/// The move back made sooner, or made at all, at the best of a few moments.
fn given_back(scene: &Inquiry) -> Option<Cure> {
    let leg = scene.leg;
    let marks = leg.step.as_ref()?;
    let amount = Some(100.0 * marks.past?);
    let latest = marks.back.map_or(marks.missing, |m| m.start);
    let first = marks.onset.end + 1;
    let cures = moments(first..latest)
        .filter_map(|from| by_steady(scene, from, Some(leg.scale.level), amount));
    best_of(scene, 1.0, cures)
}

/// The first cure that brings back a given share of what the best one brings back.
fn best_of(scene: &Inquiry, share: f64, cures: impl Iterator<Item = Cure>) -> Option<Cure> {
    let flown = cures.filter_map(|cure| Some((scene.leg.again.worth(&cure.run)?.points, cure)));
    let flown = Vec::from_iter(flown);
    let most = flown.iter().map(|flown| flown.0).fold(0.0, f64::max);
    let wanted = most - (1.0 - share) * (most - scene.line.to.points);
    Some(flown.into_iter().find(|flown| flown.0 >= wanted)?.1)
}

/// A few evenly spaced moments within a range of ticks.
fn moments(ticks: Range<u64>) -> impl Iterator<Item = u64> {
    let apart = ticks.end.saturating_sub(ticks.start);
    (0..MOMENTS).map(move |n| ticks.start + apart * n / MOMENTS)
}

/// The lever kept out of the region where the engine answers late, until `steady` takes over.
fn engine(scene: &Inquiry) -> Option<Cure> {
    let leg = scene.leg;
    let engine = &leg.again.run.drill().aircraft.engine;
    (engine.slow_s - engine.quick_s >= PUNISHES_S).then_some(())?;
    let floor = engine.lever_of_answer(NEAR_IDLE);
    let lever = &leg.again.lever;
    let below = |tick: &u64| lever.at(*tick) < floor;
    let from = (leg.again.start..scene.line.to.tick).find(below)?;
    let to = (from..leg.again.end).find(|tick| !below(tick))?;
    let not_below = |(tick, to): &(u64, u16)| (*tick, (*to).max(thousandths(floor)));
    let changes: Vec<(u64, u16)> = lever.changes.iter().map(not_below).collect();
    let amount = Some((to - from) as f64 * TICK_S);
    let cures = moments(from..to).map(|on| {
        let mut run = leg.again.until(from);
        leg.again.follow(&mut run, &changes, on);
        let run = leg.again.hand_over(run);
        Cure::new(amount, from, run)
    });
    best_of(scene, 1.0, cures)
}

/// `steady` from a tick on, where the lever is first put to `set`, if given.
fn by_steady(scene: &Inquiry, from: u64, set: Option<f64>, amount: Option<f64>) -> Option<Cure> {
    let again = &scene.leg.again;
    let mut run = again.until(from);
    set.into_iter()
        .for_each(|lever| run.set_lever(thousandths(lever)));
    let run = again.hand_over(run);
    Some(Cure::new(amount, from, run))
}

/// Small corrections from the line's beginning on, in place of the learner's: the better flight's.
fn small(scene: &Inquiry, amount: f64) -> Option<Cure> {
    let run = scene.better.clone()?;
    let (amount, from) = (Some(amount), scene.line.from.tick);
    Some(Cure::new(amount, from, run))
}

/// Counts the turns of the lever.
fn turns_in(scene: &Inquiry, ticks: Range<u64>) -> f64 {
    let levers: Vec<f64> = ticks.map(|tick| scene.leg.again.lever.at(tick)).collect();
    turns(&levers, TURN * scene.leg.scale.three).len() as f64
}

/// A line's ticks, extended back so that they span at least the time of several corrections.
fn told_ticks(scene: &Inquiry) -> Range<u64> {
    let (start, line) = (scene.leg.again.start, scene.line);
    let from = line.from.tick.min(line.to.tick.saturating_sub(SEVERAL));
    from.max(start)..line.to.tick
}

/// Median size of the moves there, % of travel; None where there are none.
fn median_move(scene: &Inquiry) -> Option<f64> {
    let ticks = told_ticks(scene);
    let there = |m: &&LeverMove| m.end >= ticks.start && m.start < ticks.end;
    let moves = scene.leg.moves.iter().filter(there);
    median(moves.map(|m| 100.0 * m.by().abs()).collect())
}

/// Whether the moves there, of a median size in % of travel, answer each other: the largest is like the others, and a move the
/// other way was made there or shortly before. A move one way that stays is not the correction of a correction.
fn is_answered(scene: &Inquiry, median: f64) -> bool {
    let told = told_ticks(scene);
    let over = flown_until(scene.leg.again.run) as u64;
    let made = |ticks: Range<u64>| {
        let there = move |m: &&LeverMove| m.end >= ticks.start && m.start < ticks.end.min(over);
        scene.leg.moves.iter().filter(there).map(LeverMove::by)
    };
    let largest = made(told.clone()).max_by(|a, b| a.abs().total_cmp(&b.abs()));
    let Some(largest) = largest.filter(|by| 100.0 * by.abs() <= ALIKE * median) else {
        return false;
    };
    let mut about = made(told.start.saturating_sub(SEVERAL)..told.end);
    about.any(|by| -largest.signum() * by >= ANSWERED * largest.abs())
}

/// How far a line is off on average, to whichever side, ft (for a rate ft/min).
fn mean_off(scene: &Inquiry) -> f64 {
    let leg = scene.leg;
    let off = |tick: u64| leg.flown.target.error(leg.state(tick), tick);
    scene.mean(off).abs() / leg.flown.target.unit()
}

/// The steepest sink in a line, over that of the path.
fn steepest(scene: &Inquiry) -> f64 {
    let leg = scene.leg;
    let share = |tick: u64| Some(-leg.state(tick).vz_mps / leg.sink_asked_mps(tick)?);
    scene.ticks().filter_map(share).fold(0.0, f64::max)
}
