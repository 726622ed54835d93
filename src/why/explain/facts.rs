//! Facts: how a line's flight differed from the better one.

use std::ops::Range;

use super::apart::{self, Apart};
use super::cures::SOON;
use super::evidence::signs::Motion;
use super::landmarks::{AIMLESS, MEANT};
use super::{IDLE, Inquiry, LineKind, SEVERAL, WORTH_A_NAME};
use crate::drill;
use crate::drill::path::{FULL_POWER, Outcome};
use crate::plan::{self, Sight, When};
use crate::run::moves::{Lever, LeverMove};
use crate::run::{self, Run};
use crate::score::points::CALLED_POINTS;
use crate::score::scene::steepest_mps;
use crate::sim::math::range;
use crate::sim::trim::three_degrees;
use crate::units::{FT, TICK_S, TICKS_PER_S};

/// A first move at least this large against what is asked went the wrong way, over the lever of 3 degrees, if half of it is
/// still there on average over the time after it, ticks.
const WRONG: f64 = 0.15;
const STAYS: u64 = 3 * TICKS_PER_S;
/// Small moves that took the lever this far show a hand that did something, over the lever of 3 degrees.
const WANDERS: f64 = 0.2;
/// A lever this near to the recipe's was set by the recipe, over the lever of 3 degrees.
const LIKE: f64 = 0.15;
/// A person answers within this time, ticks: a line that begins with the leg is a late beginning only beyond it.
const ANSWERS: u64 = TICKS_PER_S;
/// A move this long after its cue is surely late, ticks: twice the time that an answer takes.
const NOT_SEEN: u64 = 2 * ANSWERS;
/// A late beginning is the cause if at least this share of the line's points was gone when the move was made and answered: the
/// rest is due to what was done then. A wrong move is the cause if less than this share was gone before it.
const WAITED: f64 = 0.5;
/// A line is about steepness if steepness makes up at least this share of its cost.
const STEEP: f64 = 0.5;
/// A lever left at an end is off by at least this, over the lever of 3 degrees.
const RIGHT: f64 = 0.25;
/// A flight that keeps a number moves slower than this, over the rate of 3 degrees.
const SLOW: f64 = 0.5;
/// High or low all the way: off by at least `OFF` of the band to one side for this share of the counting part of a path.
const MOST: f64 = 0.7;
const OFF: f64 = 0.4;
/// A descent is early, not merely anticipated, from this on, ticks.
pub const EARLY: u64 = 3 * TICKS_PER_S;

/// A fact and its amount, where it is one.
type Fact = Option<(LineKind, f64)>;

/// The facts that a line may get instead of the lever's difference, the most telling first.
const TELLING: [fn(&Inquiry) -> Fact; 14] = [
    call_missed,
    not_called,
    to_and_fro,
    never_moved,
    wrong_way,
    at_an_end,
    never_levelled,
    late,
    kept_too_long,
    stop_off,
    too_steep,
    level_power,
    all_the_way,
    descent_early,
];

/// Facts about a whole leg.
#[rustfmt::skip]
const OF_LEG: [LineKind; 8] =
    [LineKind::KeptTooLong, LineKind::NeverMoved, LineKind::WrongWay, LineKind::BeganLate, LineKind::NeverLevelled, LineKind::HighAllTheWay, LineKind::LowAllTheWay, LineKind::DescentEarly];

/// The most telling fact about a line, and its amount; a fact about a whole leg is given only once.
pub fn of(scene: &Inquiry, told: &[LineKind]) -> (LineKind, f64) {
    let facts = TELLING.iter().filter_map(|fact| fact(scene));
    let mut new = facts.filter(|(kind, _)| !OF_LEG.contains(kind) || !told.contains(kind));
    new.next().unwrap_or_else(|| apart::lever(scene))
}

/// The lever went to and fro so far that nothing else can be seen in it.
fn to_and_fro(scene: &Inquiry) -> Fact {
    let is = Motion::of(scene).goes_to_and_fro();
    is.then(|| (LineKind::LeverByTurns, apart::off(scene).1))
}

/// Only the points for going around as called were left, and the go-around was not flown. The amount is the time from the call
/// to the loss.
fn call_missed(scene: &Inquiry) -> Fact {
    let approach = &scene.leg.flown.approach;
    let (called, _) = approach.called?;
    let is_missed = !approach.has_obeyed() && scene.line.from.points <= CALLED_POINTS;
    let late = scene.line.to.tick.checked_sub(called)?;
    is_missed.then_some((LineKind::CallMissed, late as f64 * TICK_S))
}

/// A go-around without a call, begun before the line ended or within a person's answer of its end.
fn not_called(scene: &Inquiry) -> Fact {
    let (leg, approach) = (scene.leg, &scene.leg.flown.approach);
    let (from, to) = (scene.line.from.tick, scene.line.to.tick);
    let full = leg.moves.iter().rev().find(|m| m.by() > 0.0)?;
    let is_full = full.to >= FULL_POWER && full.start <= to + ANSWERS;
    (is_full && approach.outcome == Some(Outcome::WentAround) && approach.called.is_none())
        .then_some((LineKind::NotCalled, (to - from) as f64 * TICK_S))
}

/// The better flight's first move after it takes over.
fn theirs(scene: &Inquiry) -> Option<LeverMove> {
    first_from(scene, scene.better.as_ref()?, scene.line.from.tick)
}

/// The first move of a flight from a tick on.
pub fn first_from(scene: &Inquiry, run: &Run, from: u64) -> Option<LeverMove> {
    let is = |m: &LeverMove| m.start >= from && scene.leg.scale.is_move(m.by());
    let moves = Lever::of(run, scene.leg.again.leg).moves();
    moves.into_iter().find(is)
}

/// The lever was never moved. If an earlier task left it at an end, the fact is that it was left there.
fn never_moved(scene: &Inquiry) -> Fact {
    let again = &scene.leg.again;
    let lasts_s = (again.end - again.start) as f64 * TICK_S;
    let left = || at_an_end(scene).filter(|_| again.leg > 0);
    // A learner who touched the lever and should have left it did something else wrong.
    let ticks = again.start as usize..again.end as usize;
    let is_untouched = again.run.trace().settings(ticks).next().is_none();
    let is_still = scene.leg.made().next().is_none() && !wanders(scene, again.start..again.end);
    let is_never = is_still && (is_untouched || theirs(scene).is_some());
    is_never.then(|| left().unwrap_or((LineKind::NeverMoved, lasts_s)))
}

/// Whether many small moves took the lever somewhere.
fn wanders(scene: &Inquiry, ticks: Range<u64>) -> bool {
    let levers = ticks.map(|tick| scene.leg.again.lever.at(tick));
    let (least, most) = range(levers);
    most - least >= WANDERS * scene.leg.scale.three
}

/// The first move led away from where the better flight goes, or from the brief where the better flight takes over later; less
/// than half of the line's points had gone before it. A first move made later is compared with what `steady` does at that
/// moment, which may be the stop. A hold asks for something only at its beginning.
fn wrong_way(scene: &Inquiry) -> Fact {
    let (leg, line, first) = (scene.leg, scene.line, scene.leg.made().next()?);
    let is_asked = match leg.flown.kind {
        drill::Kind::Hold(_) => first.start <= leg.again.start + SOON,
        _ => true,
    };
    let is_first = is_asked
        && line.from.tick <= first.start + STAYS
        && line.to.tick > first.start
        && went_before(scene, first.start) < WAITED;
    (is_first && first.by().abs() >= WRONG * leg.scale.three).then_some(())?;
    let (again, begun) = (&leg.again, first.start);
    let right = match line.from.tick < begun {
        _ if begun > again.start + SOON => {
            first_from(scene, &again.hand_over(again.until(begun)), begun)?.by()
        }
        true => theirs(scene)?.by(),
        false => leg.recipe().first()?.lever - again.lever.before,
    };
    leg.scale.is_move(right).then_some(())?;
    // What the brief sets later is not the wrong way, only too early.
    let mut briefed = leg.recipe().iter().map(|m| m.lever - again.lever.before);
    if briefed.any(|by| by * first.by() > 0.0 && leg.scale.is_move(by)) {
        return None;
    }
    let against = -right.signum() * first.by();
    let stays = leg.again.lever.mean(first.end..first.end + STAYS) - first.from;
    let is_wrong = against.min(-right.signum() * 2.0 * stays) >= WRONG * leg.scale.three;
    is_wrong.then_some((LineKind::WrongWay, 100.0 * against))
}

/// The brief's moves made late, or a first move after that of the better flight.
fn late(scene: &Inquiry) -> Fact {
    let own = scene.leg.made().next()?;
    let waits = !wanders(scene, scene.leg.again.start..own.start);
    let late = moves_late(scene).filter(|late| *late > NOT_SEEN);
    let late = late.or_else(|| waited(scene, own)).filter(|_| waits)?;
    Some((LineKind::BeganLate, late as f64 * TICK_S))
}

/// How long the first move came after that of the better flight, where points went from the beginning on, and because of the
/// wait.
fn waited(scene: &Inquiry, own: &LeverMove) -> Option<u64> {
    let (leg, recipe) = (scene.leg, scene.leg.recipe());
    let late = own.start.checked_sub(theirs(scene)?.start)?;
    let is_beginning = scene.line.from.tick <= leg.again.start + ANSWERS;
    // A slight delay is worth reporting only where the move itself was right.
    let is_like = |right: &plan::Move| (own.to - right.lever).abs() <= LIKE * leg.scale.three;
    let is_late = late > NOT_SEEN || late > ANSWERS && recipe.first().is_some_and(is_like);
    // A move far from any that was due is a fault of its own, not one of timing.
    let is_far = own.to >= FULL_POWER && recipe.iter().all(|m| m.lever < FULL_POWER);
    let went = went_before(scene, own.start + ANSWERS);
    (is_beginning && is_late && !is_far && went >= WAITED).then_some(late)
}

/// The share of a line's points that had gone by a tick.
fn went_before(scene: &Inquiry, tick: u64) -> f64 {
    let line = scene.line;
    let left = scene.leg.in_reach(tick.min(line.to.tick));
    (line.from.points - left) / line.points()
}

/// All done as the brief says except the stop, which came late or early, where that explains the line.
fn stop_off(scene: &Inquiry) -> Fact {
    let (leg, line) = (scene.leg, scene.line);
    let onset = leg.step.as_ref()?.onset.start;
    let (_, stop) = leg.as_briefed()?;
    let seen = |tick: u64| leg.seen(stop.when, &Sight::back_then(leg.again.run, leg.flown, tick));
    let is_due = |tick: &u64| stop.is_due(&seen(*tick), 0);
    let kind = match (leg.again.start..onset).find(is_due) {
        Some(_) if line.from.tick < onset + ANSWERS => LineKind::LevelOffLate,
        None if line.to.tick > onset => LineKind::LevelOffEarly,
        _ => return None,
    };
    let (_, cure, _) = scene.put_right(kind)?;
    // A learner who stops a little early has seen the number come.
    let is_told = |s: &f64| kind.is_late() || *s >= NOT_SEEN as f64 * TICK_S;
    Some((kind, cure.amount.filter(is_told)?))
}

/// The brief's first move made, but taken back later than the brief does, where that explains the line.
fn kept_too_long(scene: &Inquiry) -> Fact {
    let (leg, line) = (scene.leg, scene.line);
    let mut made = leg.made();
    let own = made.next()?;
    let back = made.next().filter(|back| back.by() * own.by() < 0.0)?;
    // A move takes time: its effect counts from its middle on.
    let [begun, ended] = [own, back].map(|m| m.start.midpoint(m.end));
    let is_before = line.from.tick < ended && ended > begun + ANSWERS;
    let is_dear = line.points() >= WORTH_A_NAME;
    let [first, second, ..] = (is_before && is_dear).then(|| leg.recipe())?[..] else {
        return None;
    };
    let by = second.lever - first.lever;
    // The return must exceed the allowed difference between like settings.
    let is_back = by.abs() >= 2.0 * LIKE * leg.scale.three && own.by() * by < 0.0;
    let comes_back = second.when == When::AfterS && is_back;
    let is_like = (own.to - first.lever).abs() <= LIKE * leg.scale.three;
    let due = begun + (second.value / TICK_S) as u64;
    let late = ended.checked_sub(due).filter(|late| *late > ANSWERS)?;
    (comes_back && is_like && line.to.tick > due).then_some(())?;
    scene.put_right(LineKind::KeptTooLong)?;
    Some((LineKind::KeptTooLong, late as f64 * TICK_S))
}

/// The smallest delay of a move after its cue, ticks, where all moves made are those of the brief's recipe.
fn moves_late(scene: &Inquiry) -> Option<u64> {
    let (leg, again) = (scene.leg, &scene.leg.again);
    // The first thing asked is due at once or later.
    (leg.made().next()?.start > again.start + NOT_SEEN).then_some(())?;
    let mut lever = again.lever.before;
    let moves = |m: &&plan::Move| {
        let from = std::mem::replace(&mut lever, m.lever);
        leg.scale.is_move(m.lever - from)
    };
    let mut told = leg.recipe().iter().filter(moves);
    let mut late = None;
    for m in leg.made().take_while(|m| m.start < scene.line.to.tick) {
        let right = told.next()?;
        if (m.to - right.lever).abs() > LIKE * leg.scale.three {
            return None;
        }
        let is_due = |tick: &u64| {
            let sight = Sight::back_then(again.run, leg.flown, *tick);
            right.is_due(&leg.seen(right.when, &sight), 0)
        };
        if right.when != When::AfterS {
            let after = m.start - (again.start..m.start).find(is_due)?;
            late = Some(after.min(late.unwrap_or(after)));
        }
    }
    late
}

/// The lever left at idle or at full power while the better flight has it elsewhere.
fn at_an_end(scene: &Inquiry) -> Fact {
    let (leg, (mean, _)) = (scene.leg, apart::off(scene));
    let (again, kept) = (&leg.again, kept_soon(scene));
    let is_for_good = kept.end >= again.end;
    let kind = match again.lever.at(kept.start) {
        lever if lever < IDLE && mean < 0.0 => LineKind::LeftAtIdle,
        lever if lever >= FULL_POWER && (mean > 0.0 || is_for_good) => LineKind::LeftAtFull,
        _ => return None,
    };
    let middle = scene.line.from.tick.midpoint(scene.line.to.tick);
    // Slowing in asks for idle: the lever is left there only if it is not moved once the aeroplane is slow.
    let is_asked = again.run.fast_mps(kept.end.saturating_sub(STAYS)).is_some();
    let is_before = kept.start <= middle + ANSWERS || is_for_good;
    let is_left = kept.end - kept.start >= STAYS && is_before && !is_asked;
    let begun = left_from(leg.flown, kept.start, scene.line.from.tick);
    (is_left && mean.abs() >= 100.0 * RIGHT * leg.scale.three)
        .then_some((kind, (kept.end - begun) as f64 * TICK_S))
}

/// The ticks during which the lever stays where it is soon after a line.
fn kept_soon(scene: &Inquiry) -> Range<u64> {
    let again = &scene.leg.again;
    let soon = (scene.line.to.tick + ANSWERS).min(again.end - 1);
    again.lever.kept(soon, (again.start, again.end))
}

/// The tick from which a lever that has stood at an end counts as left there. In slowing in it belongs at idle until points are
/// lost.
fn left_from(leg: &run::Leg, stood: u64, lost: u64) -> u64 {
    match leg.kind {
        drill::Kind::Slow(_) => stood.max(lost),
        _ => stood,
    }
}

/// A step's number passed with nothing done to stop at it; where points go before that, with nothing done later either.
fn never_levelled(scene: &Inquiry) -> Fact {
    let (leg, to) = (scene.leg, scene.line.to.tick);
    let until = match leg.share(to) > 1.0 {
        true => to,
        false => leg.again.end - 1,
    };
    // A learner who begins with too much power goes with what is left of it.
    let goes = |m: &&LeverMove| leg.scale.way * m.by() > 0.0 || m.start <= leg.again.start + SOON;
    let first = leg.made().find(goes)?;
    let stops =
        |m: &LeverMove| m.start > first.start && m.start < until && leg.scale.way * m.by() < 0.0;
    let passes = (first.end..=until).find(|tick| leg.share(*tick) > 1.0)?;
    let is_step = matches!(leg.flown.kind, drill::Kind::Step(_));
    let past_m = |tick: u64| leg.scale.way * leg.flown.target.error(leg.state(tick), tick);
    let farthest_m = (passes..leg.again.end).map(past_m).fold(0.0, f64::max);
    (is_step
        && passes <= to + SEVERAL
        && leg.share(until) > 1.0
        && leg.scale.beyond(first.to) > 0.0
        && !leg.moves.iter().any(stops))
    .then_some((LineKind::NeverLevelled, farthest_m / FT))
}

/// The line is about the term for steepness.
fn too_steep(scene: &Inquiry) -> Fact {
    let (from, to) = (&scene.line.from, &scene.line.to);
    let term = to.by_terms()[3] - from.by_terms()[3];
    let is_about = term > 0.0 && term >= STEEP * (to.cost - from.cost);
    let ticks = is_about
        .then(|| steep_ticks(scene))
        .filter(|ticks| !ticks.is_empty())?;
    Some((
        LineKind::TooSteep,
        (ticks.end - ticks.start) as f64 * TICK_S,
    ))
}

/// The longest period that is too steep, of those that begin in a line or soon after, ticks.
fn steep_ticks(scene: &Inquiry) -> Range<u64> {
    let leg = scene.leg;
    // The limit of the figure in the score, which takes the rate at the altitude of the task's start.
    let aircraft = &leg.again.run.drill().aircraft;
    let most_mps = steepest_mps(three_degrees(aircraft, leg.state(leg.again.start).h_m).rate_mps);
    let is_steep = |tick: &u64| leg.state(*tick).vz_mps.abs() > most_mps;
    let mut longest = 0..0;
    let mut tick = scene.line.from.tick;
    let last = (scene.line.to.tick + SEVERAL).min(leg.again.end);
    while tick < last {
        let end = (tick..leg.again.end)
            .find(|tick| !is_steep(tick))
            .unwrap_or(leg.again.end);
        if end - tick > longest.end - longest.start {
            longest = tick..end;
        }
        tick = end + 1;
    }
    longest
}

/// The ticks during which what a line says held; None where that is the whole line.
pub fn when(scene: &Inquiry, kind: LineKind) -> Option<Range<u64>> {
    match kind {
        LineKind::LeverHigh | LineKind::LeverLow => Some(Apart::of(scene).most().0),
        LineKind::LeverByTurns => Some(Apart::of(scene).ticks),
        LineKind::TooSteep => Some(steep_ticks(scene)),
        LineKind::LeftAtIdle | LineKind::LeftAtFull => {
            let kept = kept_soon(scene);
            Some(left_from(scene.leg.flown, kept.start, scene.line.from.tick)..kept.end)
        }
        _ => None,
    }
}

/// Low from the beginning of the descent on, before the path was there; not where the lever stays at idle, which is a worse
/// fault.
fn descent_early(scene: &Inquiry) -> Fact {
    let leg = scene.leg;
    let (from, to) = (scene.line.from.tick, scene.line.to.tick);
    let (begun, above_s) = leg.begins_down()?;
    let follows = from <= begun + leg.scale.period as u64 / 2;
    let is_low = leg.share(from.midpoint(to)) > 0.0;
    let is_idle = leg.again.lever.mean(from..to.max(from + 1)) < IDLE;
    (above_s <= -(EARLY as f64) * TICK_S && follows && is_low && !is_idle)
        .then_some((LineKind::DescentEarly, -above_s))
}

/// On the number, with the lever left where it does not keep it: the aeroplane drifts off to that side. During slowing in,
/// pitch keeps it there; a rate has no level power; and a lever farther off was not meant to keep anything.
fn level_power(scene: &Inquiry) -> Fact {
    let (leg, line) = (scene.leg, scene.line);
    let from = line.from.tick;
    let is_rate = matches!(leg.flown.kind, drill::Kind::Rate(_));
    (!is_rate && leg.again.run.fast_mps(from).is_none()).then_some(())?;
    let kept = leg.again.lever.at(from.midpoint(line.to.tick));
    let at_rest = scene.share(|tick| leg.again.lever.at(*tick) == kept) >= MOST;
    let off = kept - leg.right(from);
    let is_there = |tick: u64| leg.share(tick).abs() <= 1.0 && leg.pace(tick).abs() < SLOW;
    let drifts = leg.scale.way * off * (leg.share(line.to.tick) - leg.share(from)) > 0.0;
    let amount = off.abs() / leg.scale.three;
    let is_off = (AIMLESS..MEANT).contains(&amount) && drifts;
    (at_rest && kept > IDLE && is_off && scene.ticks().any(is_there))
        .then_some((LineKind::LevelPowerOff, 100.0 * off.abs()))
}

/// Above or below the path for most of what counts.
fn all_the_way(scene: &Inquiry) -> Fact {
    let (leg, ticks) = (scene.leg, scene.leg.counting());
    if *ticks.first()? > scene.line.to.tick {
        return None;
    }
    let shares: Vec<f64> = ticks.iter().map(|tick| leg.share(*tick)).collect();
    // The direction is down, so past the path is below it.
    let (side, kind) = match shares.iter().sum::<f64>() < 0.0 {
        true => (-1.0, LineKind::HighAllTheWay),
        false => (1.0, LineKind::LowAllTheWay),
    };
    let count = ticks.len() as f64;
    let off = shares.iter().filter(|share| side * **share >= OFF).count() as f64;
    let errors_m = ticks
        .iter()
        .map(|tick| leg.flown.target.error(leg.state(*tick), *tick));
    (off >= MOST * count).then_some((kind, (errors_m.sum::<f64>() / count / FT).abs()))
}
