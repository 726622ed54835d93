//! The move back to level power made sooner, or made at all.

use super::{Candidate, Scene, thousandths};
use crate::units::TICKS_PER_S;
use crate::why::findings::Kind;
use crate::why::findings::landmarks::Landmarks;
use crate::why::findings::refly::hand_over;
use crate::why::findings::worth::Worth;

/// A move back that comes sooner by less than this changes nothing worth telling, phugoid periods.
const LEAST_PERIODS: f64 = 0.055;
/// How long the moved lever is left alone before `steady` takes over, ticks.
const AFTER: u64 = 3 * TICKS_PER_S / 2;
/// Moments tried.
const TRIED: u64 = 8;

/// The lever brought back to level power sooner after it went past it.
pub fn of(scene: &Scene, marks: &Landmarks, unchanged: Worth) -> Option<Candidate> {
    let past = marks.past?;
    let latest = marks.back.map_or(marks.hand_over, |m| m.start);
    let least = (LEAST_PERIODS * scene.scale.period) as u64;
    let first = marks.onset.end + 1;
    let last = latest.checked_sub(least).filter(|last| *last > first)?;
    let before = scene.leg.until(first);
    let level = thousandths(marks.back.map_or(scene.scale.level, |m| m.to));
    let tried = (0..=TRIED).map(|n| first + (last - first) * n / TRIED);
    let flown = tried.filter_map(|tick| {
        let mut changes = scene.lever().changes.clone();
        changes.retain(|(at, _)| *at < tick);
        changes.push((tick, level));
        let run = hand_over(before.clone(), &changes, tick + AFTER);
        Some((tick, scene.judge.worth(&run)?, run))
    });
    let (tick, changed, run) = flown.min_by(|a, b| a.1.soft_s.total_cmp(&b.1.soft_s))?;
    Some(Candidate {
        kind: Kind::SecondMoveMissing,
        amount: 100.0 * past,
        from_tick: tick,
        hand_over_tick: tick + AFTER,
        run,
        changed,
        unchanged,
    })
}
