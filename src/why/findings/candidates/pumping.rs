//! The lever moved to and fro, against the same stretch flown by `steady`.

use super::{Candidate, Scene};
use crate::run::Run;
use crate::run::moves::Move;
use crate::units::{TICK_S, TICKS_PER_S};
use crate::why::findings::Kind;
use crate::why::findings::refly::hand_over;
use crate::why::findings::worth::reversals;

/// Swings of the lever in a row that make it pumping.
const SWINGS: usize = 5;
/// Each at least so large, over the lever of 3 degrees.
const LEAST: f64 = 0.2;
/// And so soon after the one before, ticks.
const SOON: u64 = 4 * TICKS_PER_S;

/// `steady` turns the lever less often than this share, or the air was the reason.
const QUIETER: f64 = 0.7;

/// From the first swing on the lever in `steady`'s hands; what was flown is the unchanged flight.
pub fn of(scene: &Scene) -> Option<Candidate> {
    let first = swings(scene)?;
    let run = hand_over(scene.leg.until(first.start), &[], first.start);
    let per_s = |run: &Run| {
        let leg = &run.legs()[scene.index];
        reversals(run, scene.index) / (leg.progress.ticks as f64 * TICK_S)
    };
    if per_s(&run) > QUIETER * per_s(scene.run) {
        return None;
    }
    let count = reversals(scene.run, scene.index) - 2.0;
    Some(Candidate {
        kind: Kind::Pumping,
        amount: Some(count).filter(|count| *count > 0.0)?,
        from_tick: first.start,
        hand_over_tick: first.start,
        changed: scene.judge.worth(&run)?,
        run,
        unchanged: scene.flown,
    })
}

/// The first move of a row of swings.
pub fn swings(scene: &Scene) -> Option<Move> {
    let least = LEAST * scene.scale.three;
    let large = scene.moves.iter().filter(|m| m.by().abs() >= least);
    let mut row: Vec<Move> = Vec::new();
    for m in large {
        match row.last_mut() {
            Some(last) if m.start > last.end + SOON => row = vec![*m],
            // Two moves in one direction are one swing.
            Some(last) if last.by() * m.by() > 0.0 => last.end = m.end,
            _ => row.push(*m),
        }
        if row.len() == SWINGS {
            return Some(row[0]);
        }
    }
    None
}
