//! On a path: the moment at which power is taken off for the descent.

use super::{Candidate, Scene};
use crate::run::Run;
use crate::run::moves::Move;
use crate::units::TICKS_PER_S;
use crate::why::findings::Kind;
use crate::why::findings::landmarks::{AIMLESS, SETTLED_PERIODS};
use crate::why::findings::refly::hand_over;
use crate::why::findings::worth::Worth;

/// A move that takes off so much begins the descent, over what the path takes.
const BEGINS: f64 = 0.4;
/// How long what it has missed by is due to it, where the lever is moved again, phugoid periods.
const ANSWERED_PERIODS: f64 = 0.5;
/// And lasts, phugoid periods.
const LASTS_PERIODS: f64 = 0.15;
/// The aeroplane sinks for good with this share of the path's sink over that time.
const SINKS: f64 = 0.7;
/// Ticks from one look at that to the next.
const LOOK: usize = 16;
/// It is late or early where the aeroplane is then so much of the band above or below the line.
const MISSED: f64 = 0.6;
/// Farthest move sooner and later, and the first step of the search, quarter seconds.
const FARTHEST: i64 = 64;
const COARSE: i64 = 8;
const QUARTER: i64 = (TICKS_PER_S / 4) as i64;

/// The descent begun at another time, everything up to the hand-over moved with it.
pub fn of(scene: &Scene) -> Option<Candidate> {
    let onset = onset(scene)?;
    let next = scene
        .moves
        .iter()
        .find(|m| m.start > onset.end && (m.to - onset.to).abs() >= AIMLESS * scene.scale.three);
    let settled = onset.end + (SETTLED_PERIODS * scene.scale.period) as u64;
    let longest = onset.end + scene.scale.period as u64;
    let at = next.map_or(settled, |m| m.start.min(longest));
    let leg = &scene.run.legs()[scene.index];
    let until = at.max(onset.start + (ANSWERED_PERIODS * scene.scale.period) as u64);
    // The way is down: past what is asked is below the line.
    let shares = scene.shares(scene.run, onset.start..until);
    let (low, high) = shares
        .iter()
        .fold((0.0_f64, 0.0_f64), |(low, high), share| {
            (low.max(*share), high.max(-share))
        });
    let is_late = high >= MISSED && high > low;
    let is_early = low >= MISSED && low > high;
    if !is_late && !is_early {
        return None;
    }
    let way: i64 = if is_late { -1 } else { 1 };
    let start = onset.start as i64;
    let earliest = match is_late {
        true => (start - FARTHEST * QUARTER).max(leg.start as i64 + 1),
        false => start,
    };
    let before = scene.leg.until(earliest as u64);
    let fly = |quarters: i64| -> Option<(i64, Worth, Run)> {
        let shift = way * quarters * QUARTER;
        if quarters <= 0 || start + shift < earliest {
            return None;
        }
        let changes = moved(scene, onset.start, at, shift);
        let run = hand_over(before.clone(), &changes, (at as i64 + shift) as u64);
        Some((quarters, scene.judge.worth(&run)?, run))
    };
    let coarse = (1..=FARTHEST / COARSE).map(|n| n * COARSE);
    let lower = |a: &(i64, Worth, Run), b: &(i64, Worth, Run)| a.1.soft_s.total_cmp(&b.1.soft_s);
    let mut best = coarse.filter_map(fly).min_by(lower)?;
    for step in [4, 2, 1] {
        for found in [best.0 - step, best.0 + step].into_iter().filter_map(fly) {
            if found.1.soft_s < best.1.soft_s {
                best = found;
            }
        }
    }
    let (quarters, changed, run) = best;
    let shift = way * quarters * QUARTER;
    Some(Candidate {
        kind: match is_late {
            true => Kind::DescentLate,
            false => Kind::DescentEarly,
        },
        amount: quarters as f64 / 4.0,
        from_tick: start.min(start + shift) as u64,
        hand_over_tick: (at as i64 + shift) as u64,
        run,
        changed,
        unchanged: scene.unchanged(at)?,
    })
}

/// The move that begins the descent: the last that takes off what a path takes before the aeroplane sinks for good.
pub fn onset(scene: &Scene) -> Option<Move> {
    let lasts = (LASTS_PERIODS * scene.scale.period) as u64;
    let begins = |m: &&Move| {
        let path = scene.scale.beyond(scene.right(m.start));
        let is_off = |lever: f64| scene.scale.beyond(lever) >= BEGINS * path;
        !is_off(m.from) && is_off(m.to) && is_off(scene.lever().median(m.end..m.end + lasts))
    };
    let leg = &scene.run.legs()[scene.index];
    let sinks = |tick: &u64| {
        let points = scene.points(*tick..tick + lasts);
        let mean_mps = points.iter().map(|p| p.state.vz_mps).sum::<f64>() / points.len() as f64;
        -mean_mps >= SINKS * scene.sink_mps(*tick)
    };
    let looks = (leg.start..leg.end?).step_by(LOOK);
    let sinking = looks.take_while(|tick| !sinks(tick)).last()?;
    let mut moves = scene.moves.iter().filter(begins);
    let first = moves.next().copied();
    let last = moves.take_while(|m| m.start <= sinking).last().copied();
    last.or(first)
}

/// The lever with everything from the descent's beginning to the hand-over moved by so many ticks.
fn moved(scene: &Scene, onset: u64, hand_over: u64, shift: i64) -> Vec<(u64, u16)> {
    let begin = (onset as i64 + shift) as u64;
    let changes = scene.lever().changes.iter().copied();
    let before = changes.clone().filter(|(tick, _)| *tick < onset.min(begin));
    let descent = changes.filter(|(tick, _)| (onset..hand_over).contains(tick));
    before
        .chain(descent.map(|(tick, lever)| ((tick as i64 + shift) as u64, lever)))
        .collect()
}
