//! The level-off moved as a whole.

use super::{Candidate, Scene, due, idle};
use crate::run::Run;
use crate::units::TICKS_PER_S;
use crate::why::findings::Kind;
use crate::why::findings::landmarks::Landmarks;
use crate::why::findings::refly::hand_over;
use crate::why::findings::worth::Worth;

/// A level-off is late where the aeroplane goes past by so much of the band.
const PAST: f64 = 0.5;
/// It is early where the aeroplane nearly stops short by so much of the band.
const SHORT: f64 = 1.0;
/// It is early as well where power is put on again so much of the band short of the number.
const AGAIN_SHORT: f64 = 0.75;
/// Farthest move sooner and later, and the first step of the search, quarter seconds.
const SOONER: i64 = 32;
/// The same where the level-off began past the number already.
const MUCH_SOONER: i64 = 64;
const LATER: i64 = 32;
const COARSE: i64 = 4;
const QUARTER: i64 = (TICKS_PER_S / 4) as i64;

/// The level-off at another time, everything up to the hand-over moved with it.
pub fn of(scene: &Scene, marks: &Landmarks, unchanged: Worth) -> Option<Candidate> {
    let onset = marks.onset.start as i64;
    let is_late = scene.farthest(scene.run, marks.onset.start) >= PAST;
    let is_early = scene
        .stops_at(marks.onset.end)
        .is_some_and(|at| at <= -SHORT)
        || scene.goes_again(marks, AGAIN_SHORT)
        || idle::wait(scene).is_some_and(|(from, _)| scene.is_short_at(from));
    let at_onset = scene.shares(scene.run, marks.onset.start..marks.onset.start + 1);
    let sooner = match is_late {
        true if at_onset.iter().any(|at| *at > 1.0) => MUCH_SOONER,
        true => SOONER,
        false => 0,
    };
    let later = if is_early { LATER } else { 0 };
    let earliest = (onset - sooner * QUARTER).max(marks.going.first.end as i64 + 1);
    let before = scene.leg.until(earliest as u64);
    let fly = |quarters: i64| -> Option<(i64, Worth, Run)> {
        let shift = quarters * QUARTER;
        if onset + shift < earliest {
            return None;
        }
        let run = hand_over(
            before.clone(),
            &moved(scene, marks, shift),
            (marks.hand_over as i64 + shift) as u64,
        );
        Some((quarters, scene.judge.worth(&run)?, run))
    };
    let is_open = |quarters: &i64| *quarters != 0 && (-sooner..=later).contains(quarters);
    // A level-off that nothing follows has to end in the band by itself, whatever the air.
    let due = match marks.is_left_alone {
        true => None,
        false => due::shift(scene, marks),
    };
    let due = due.map(|ticks| {
        let quarters = (ticks as f64 / QUARTER as f64).round() as i64;
        quarters.clamp(-sooner, later)
    });
    let best = || {
        let coarse = (-sooner / COARSE..=later / COARSE).map(|n| n * COARSE);
        let mut best = coarse.filter(is_open).filter_map(fly).min_by(lower)?;
        for step in [2, 1] {
            let around = [best.0 - step, best.0 + step];
            let flown = around.into_iter().filter(is_open).filter_map(fly);
            best = flown.chain([best]).min_by(lower)?;
        }
        Some(best)
    };
    let (quarters, changed, run) = match due {
        Some(due) => Some(due).filter(is_open).and_then(fly),
        None => best(),
    }?;
    let shift = quarters * QUARTER;
    Some(Candidate {
        kind: match quarters < 0 {
            true => Kind::LevelOffLate,
            false => Kind::LevelOffEarly,
        },
        amount: quarters.abs() as f64 / 4.0,
        from_tick: onset.min(onset + shift) as u64,
        hand_over_tick: (marks.hand_over as i64 + shift) as u64,
        run,
        changed,
        unchanged,
    })
}

fn lower(a: &(i64, Worth, Run), b: &(i64, Worth, Run)) -> std::cmp::Ordering {
    a.1.soft_s.total_cmp(&b.1.soft_s)
}

/// The lever with everything from the level-off to the hand-over moved by so many ticks; what lay in its way is left out.
fn moved(scene: &Scene, marks: &Landmarks, shift: i64) -> Vec<(u64, u16)> {
    let (onset, hand_over) = (marks.onset.start, marks.hand_over);
    let begin = (onset as i64 + shift) as u64;
    let changes = &scene.lever().changes;
    let before = changes
        .iter()
        .copied()
        .filter(|(tick, _)| *tick < onset.min(begin));
    let level_off = changes
        .iter()
        .filter(|(tick, _)| (onset..hand_over).contains(tick));
    let level_off = level_off.map(|(tick, lever)| ((*tick as i64 + shift) as u64, *lever));
    before.chain(level_off).collect()
}
