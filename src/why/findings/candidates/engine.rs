//! The engine let down near idle, from where it answers late.

use super::{Candidate, Scene, thousandths};
use crate::sim::aircraft::Aircraft;
use crate::units::TICKS_PER_S;
use crate::why::findings::Kind;
use crate::why::findings::refly::hand_over;

/// An engine whose answer from idle takes less than this longer than from half power does not punish idle, s.
const PUNISHES_S: f64 = 1.0;
/// Near idle: where the answer takes more than this share of the way from quick to slow.
const NEAR_IDLE: f64 = 0.7;
/// Shorter dips are not telling, ticks.
const LEAST: u64 = 2 * TICKS_PER_S;

/// The lever never below where the engine answers late, over the longest stretch in which it was.
pub fn of(scene: &Scene) -> Option<Candidate> {
    let floor = floor(&scene.run.drill().aircraft)?;
    let leg = &scene.run.legs()[scene.index];
    let (start, end) = longest_below(scene, floor, leg.start, leg.end?)?;
    let mut changes = scene.lever().changes.clone();
    let least = thousandths(floor);
    for (tick, lever) in &mut changes {
        if (start..end).contains(tick) {
            *lever = (*lever).max(least);
        }
    }
    let run = hand_over(scene.leg.until(start), &changes, end);
    Some(Candidate {
        kind: Kind::EngineLetDown,
        amount: (end - start) as f64 / TICKS_PER_S as f64,
        from_tick: start,
        hand_over_tick: end,
        changed: scene.judge.worth(&run)?,
        run,
        unchanged: scene.unchanged(end)?,
    })
}

/// The lever below which an engine answers late; None where it hardly matters.
fn floor(aircraft: &Aircraft) -> Option<f64> {
    let engine = &aircraft.engine;
    if engine.slow_s - engine.quick_s < PUNISHES_S {
        return None;
    }
    let late_s = engine.quick_s + NEAR_IDLE * (engine.slow_s - engine.quick_s);
    (0..100)
        .map(|percent| f64::from(percent) / 100.0)
        .find(|lever| engine.answer_s(engine.settles_at(*lever)) <= late_s)
        .filter(|lever| *lever > 0.0)
}

fn longest_below(scene: &Scene, floor: f64, start: u64, end: u64) -> Option<(u64, u64)> {
    let mut found: Option<(u64, u64)> = None;
    let mut since = None;
    for tick in start..=end {
        let below = tick < end && scene.lever().at(tick) < floor;
        match (since, below) {
            (None, true) => since = Some(tick),
            (Some(from), false) => {
                if found.is_none_or(|(a, b)| tick - from > b - a) {
                    found = Some((from, tick));
                }
                since = None;
            }
            _ => {}
        }
    }
    found.filter(|(from, to)| to - from >= LEAST && *to < end)
}
