//! A correction for a gust that was already over, left out.

use super::{Candidate, Scene};
use crate::run::moves::Move;
use crate::units::TICKS_PER_S;
use crate::why::findings::Kind;
use crate::why::findings::landmarks::SETTLED_PERIODS;
use crate::why::findings::refly::hand_over;

/// How long before a move a gust makes for it, and how long after it a gust counts as over, ticks.
const BEFORE: u64 = 2 * TICKS_PER_S;
const AFTER: u64 = 2 * TICKS_PER_S;
/// A gust worth a correction, m/s up or down on average.
const GUST_MPS: f64 = 0.8;
/// Over where less than this share of it is left.
const OVER: f64 = 0.3;
/// Smaller corrections do not matter, over the lever of 3 degrees.
const LEAST: f64 = 0.2;
/// Corrections tried, the largest first.
const TRIED: usize = 4;

/// The correction whose leaving out is worth most.
pub fn of(scene: &Scene) -> Option<Candidate> {
    let end = scene.run.legs()[scene.index].end?;
    let mut late: Vec<(usize, &Move)> = scene
        .moves
        .iter()
        .enumerate()
        .filter(|(_, m)| m.by().abs() >= LEAST * scene.scale.three && is_over(scene, m, end))
        .collect();
    late.sort_by(|a, b| b.1.by().abs().total_cmp(&a.1.by().abs()));
    late.into_iter()
        .take(TRIED)
        .filter_map(|(index, m)| left_out(scene, index, m))
        .max_by(|a, b| a.soft_gain_s().total_cmp(&b.soft_gain_s()))
}

/// Whether a move answers a gust that has gone when it comes.
fn is_over(scene: &Scene, m: &Move, end: u64) -> bool {
    let start = scene.run.legs()[scene.index].start;
    if m.start < start + BEFORE || m.start + AFTER > end {
        return false;
    }
    let mean_mps = |from: u64, to: u64| {
        let points = scene.run.trace().between(from as usize..to as usize);
        points.iter().map(|p| p.wind.gust_w_mps).sum::<f64>() / points.len() as f64
    };
    let before_mps = mean_mps(m.start - BEFORE, m.start);
    let after_mps = mean_mps(m.start, m.start + AFTER);
    before_mps.abs() >= GUST_MPS
        && before_mps * m.by() < 0.0
        && after_mps * before_mps.signum() < OVER * before_mps.abs()
}

fn left_out(scene: &Scene, index: usize, m: &Move) -> Option<Candidate> {
    let latest = m.end + (SETTLED_PERIODS * scene.scale.period) as u64;
    let next = scene.moves.get(index + 1);
    let at = next.map_or(latest, |next| next.start.min(latest));
    let mut changes = scene.lever().changes.clone();
    changes.retain(|(tick, _)| *tick < m.start);
    let run = hand_over(scene.leg.until(m.start), &changes, at);
    Some(Candidate {
        kind: Kind::GustOver,
        amount: 100.0 * m.by().abs(),
        from_tick: m.start,
        hand_over_tick: at,
        changed: scene.judge.worth(&run)?,
        run,
        unchanged: scene.unchanged(at)?,
    })
}
