//! The power that the level-off ends with, set to what keeps level.

use super::{Candidate, Scene, thousandths};
use crate::run::moves::Move;
use crate::units::TICKS_PER_S;
use crate::why::findings::Kind;
use crate::why::findings::landmarks::{Landmarks, SETTLED_PERIODS};
use crate::why::findings::refly::hand_over;

/// Off by less than this is right: over the lever of 3 degrees.
const RIGHT: f64 = 0.1;
/// A move of this or across the right power corrects it, smaller ones are aimless: over the lever of 3 degrees.
const CORRECTS: f64 = 0.2;
/// A power is set once it is left alone for so long, ticks.
const LEFT_ALONE: u64 = 7 * TICKS_PER_S / 4;

/// How long a power that is believed in goes on doing harm before `steady` puts it right, phugoid periods.
const BELIEVED_PERIODS: f64 = 0.3;

/// Level power right from the end of the level-off on, then `steady`. The unchanged flight is handed over later, since a power
/// that is believed in goes on doing harm.
pub fn of(scene: &Scene, marks: &Landmarks) -> Option<Candidate> {
    if marks.past.is_some() && marks.back.is_none() {
        return None;
    }
    let from = marks.settled();
    let kept = scene.scale.beyond(scene.lever().at(from));
    let is_correction = |m: &&Move| {
        let to = scene.scale.beyond(m.to);
        m.start > from && (to * kept < 0.0 || (to - kept).abs() >= CORRECTS * scene.scale.three)
    };
    let latest = from + (SETTLED_PERIODS * scene.scale.period) as u64;
    let next = scene.moves.iter().find(is_correction);
    let until = next
        .map_or(latest, |m| m.start.min(latest))
        .max(marks.hand_over);
    if until < from + LEFT_ALONE {
        return None;
    }
    let off = scene.lever().mean(from..until) - scene.scale.level;
    if off.abs() < RIGHT * scene.scale.three {
        return None;
    }
    let last = marks.back.unwrap_or(marks.onset);
    let believed = until.max(from + (BELIEVED_PERIODS * scene.scale.period) as u64);
    let run = hand_over(
        scene.leg.until(last.end),
        &[(last.end, thousandths(scene.scale.level))],
        until,
    );
    Some(Candidate {
        kind: Kind::LevelPowerOff,
        amount: 100.0 * off.abs(),
        from_tick: last.end,
        hand_over_tick: until,
        changed: scene.judge.worth(&run)?,
        run,
        unchanged: scene.unchanged(believed)?,
    })
}
