//! A hold, a rate or a path: a power left alone where it does not keep what is asked.

use super::{Candidate, Scene, descent, thousandths};
use crate::drill::{self, Target};
use crate::run::moves::Move;
use crate::sim::trim;
use crate::units::TICKS_PER_S;
use crate::why::findings::Kind;
use crate::why::findings::landmarks::{AIMLESS, MEANT, SETTLED_PERIODS};
use crate::why::findings::refly::hand_over;

/// Off by less than this is right, over the lever of 3 degrees.
const RIGHT: f64 = 0.1;
/// A power that is kept for so long was meant, ticks.
const KEPT: u64 = 3 * TICKS_PER_S;
/// Time to see that something is wrong at the beginning of a leg, ticks.
const SEEING: u64 = TICKS_PER_S;
/// On a path a power has done harm where it has carried the aeroplane over so much of the band, and so much of it off.
const CARRIED_OFF: f64 = 0.4;
const OFF: f64 = 0.25;
/// On a path the descent has not begun where the aeroplane sinks with less than this of the path's sink.
const STILL_LEVEL: f64 = 0.5;
/// And a power that is less than this share of the way there is not one for the descent.
const BEGUN: f64 = 0.25;
/// Stretches tried, the worst first.
const STRETCHES: usize = 3;
/// Moments tried for giving a move back, ticks after it.
const TRIED: [u64; 5] = [32, 64, 96, 128, 192];

/// A stretch in which the lever was left alone but for aimless moves.
pub(super) struct Stretch {
    /// Its first tick.
    pub start: u64,
    /// The tick after its last.
    pub end: u64,
    /// Mean away from the lever that keeps what is asked, fraction of travel.
    pub off: f64,
}

/// The power set right where it was wrong for longest; what was flown is the unchanged flight.
pub fn of(scene: &Scene) -> Option<Candidate> {
    let leg = &scene.run.legs()[scene.index];
    let is_rate = matches!(leg.kind, drill::Kind::Rate(_));
    // Before its first move a rate is still the level flight before it.
    worst(scene, |s| !(is_rate && s.start == leg.start))
}

/// The same on a path, from the beginning of the descent on, where the wrong power carried the aeroplane off on its own side:
/// what brings it back is no fault.
pub fn on_path(scene: &Scene) -> Option<Candidate> {
    let onset = descent::onset(scene)?;
    let carried_off = |s: &Stretch| {
        let shares = scene.shares(scene.run, s.start..s.end);
        let side = scene.scale.way * s.off.signum();
        let ends = shares.first().zip(shares.last());
        // Still at level power: that is no descent with too little taken off, but one not yet begun.
        let is_begun = first_move(scene, s).is_none_or(|ratio| ratio >= BEGUN);
        is_begun
            && ends.is_some_and(|(first, last)| {
                side * last > OFF && side * (last - first) > CARRIED_OFF
            })
    };
    worst(scene, |s| s.start >= onset.start && carried_off(s))
}

/// The same after a level-off, where the wrong power carried the aeroplane out of the band on its own side.
pub fn after(scene: &Scene, level_off: u64) -> Option<Candidate> {
    let carried_out = |s: &Stretch| {
        let at_its_end = scene.shares(scene.run, s.end - 1..s.end);
        let side = scene.scale.way * s.off.signum();
        s.off.abs() <= MEANT * scene.scale.three && at_its_end.iter().all(|at| side * at > 1.0)
    };
    worst(scene, |s| s.start >= level_off && carried_out(s))
}

fn worst(scene: &Scene, counts: impl Fn(&Stretch) -> bool) -> Option<Candidate> {
    let wrong = |s: &Stretch| s.off.abs() >= RIGHT * scene.scale.three;
    let harm = |s: &Stretch| s.off.abs() * (s.end - s.start) as f64;
    let mut stretches: Vec<Stretch> = stretches(scene)
        .into_iter()
        .filter(|s| wrong(s) && s.end >= s.start + KEPT && counts(s))
        .collect();
    stretches.sort_by(|a, b| harm(b).total_cmp(&harm(a)));
    let tried = stretches.iter().take(STRETCHES);
    tried
        .filter_map(|s| set_right(scene, s))
        .max_by(|a, b| a.soft_gain_s().total_cmp(&b.soft_gain_s()))
}

/// The power set right where a stretch begins, or a little later where that was a move to be given back.
fn set_right(scene: &Scene, stretch: &Stretch) -> Option<Candidate> {
    let is_first = stretch.start == scene.run.legs()[scene.index].start;
    let is_meant = !is_first && stretch.off.abs() > MEANT * scene.scale.three;
    let first_move = first_move(scene, stretch).filter(|ratio| is_meant && *ratio > 0.0);
    let after = (SETTLED_PERIODS * scene.scale.period) as u64;
    let right = thousandths(scene.right(stretch.start));
    let before = scene.leg.until(stretch.start);
    let tried: &[u64] = match (is_meant && first_move.is_none(), is_first) {
        (true, _) => &TRIED,
        (false, true) => &[SEEING],
        (false, false) => &[0],
    };
    let flown = tried.iter().filter_map(|later| {
        let tick = stretch.start + later;
        let mut changes = scene.lever().changes.clone();
        changes.retain(|(at, _)| *at < tick);
        changes.push((tick, right));
        let run = hand_over(before.clone(), &changes, tick + after);
        Some((tick, scene.judge.worth(&run)?, run))
    });
    let (tick, changed, run) = flown.min_by(|a, b| a.1.soft_s.total_cmp(&b.1.soft_s))?;
    let percent = 100.0 * stretch.off.abs();
    let (kind, amount) = match first_move {
        Some(ratio) if ratio > 1.0 => (Kind::PowerTooMuch, ratio),
        Some(ratio) => (Kind::PowerTooLittle, ratio),
        None if is_meant => (Kind::SecondMoveMissing, percent),
        None => (Kind::LevelPowerOff, percent),
    };
    Some(Candidate {
        kind,
        amount,
        from_tick: tick,
        hand_over_tick: tick + after,
        run,
        changed,
        unchanged: scene.flown,
    })
}

/// Where a stretch is what the first move of a rate or the descent of a path led to: how far that went over how far it had
/// to go from the power of the flight before.
fn first_move(scene: &Scene, stretch: &Stretch) -> Option<f64> {
    let leg = &scene.run.legs()[scene.index];
    let state = |tick: u64| &scene.run.trace().at(tick as usize).state;
    let from = match &leg.target {
        Target::Path(_) => {
            let sink_mps = -state(stretch.start).vz_mps;
            let is_level = sink_mps < STILL_LEVEL * scene.sink_mps(stretch.start);
            Some(scene.scale.level).filter(|_| is_level)?
        }
        Target::Vertical { .. } => {
            let large = |m: &&Move| m.by().abs() >= AIMLESS * scene.scale.three;
            let first = scene.moves.iter().find(large)?;
            let before = state(leg.start);
            let aircraft = &scene.run.drill().aircraft;
            let from = trim::at_vertical(aircraft, before.h_m, before.vz_mps).lever;
            Some(from).filter(|_| first.end == stretch.start)?
        }
        Target::Altitude { .. } => return None,
    };
    let right = scene.right(stretch.start);
    let ratio = (right + stretch.off - from) / (right - from);
    Some(ratio)
}

/// All of them, in order.
pub(super) fn stretches(scene: &Scene) -> Vec<Stretch> {
    let leg = &scene.run.legs()[scene.index];
    let aimless = AIMLESS * scene.scale.three;
    let mut found = Vec::new();
    let (mut start, mut kept) = (leg.start, scene.lever().before);
    let mut close = |start: u64, end: u64| {
        if end > start {
            found.push(Stretch {
                start,
                end,
                off: scene.lever().mean(start..end) - scene.right(start),
            });
        }
    };
    for m in &scene.moves {
        if (m.to - kept).abs() >= aimless {
            close(start, m.start);
            (start, kept) = (m.end, m.to);
        }
    }
    close(start, leg.end.unwrap_or(leg.start));
    found
}
