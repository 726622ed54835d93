//! The lever left alone while the aeroplane stayed out of the band.

use super::kept::stretches;
use super::{Candidate, Scene};
use crate::units::{FT, TICKS_PER_S};
use crate::why::findings::Kind;
use crate::why::findings::refly::hand_over;

/// Shorter waits are patience, ticks.
const LEAST: u64 = 10 * TICKS_PER_S;
/// Time to see that nothing will come of it, ticks.
const SEEING: u64 = 2 * TICKS_PER_S;
/// It stays where it is while its altitude changes by less than this, half-widths of the band.
const STAYS: f64 = 1.0;

/// The longest such wait: its first tick and the one after its last.
pub fn wait(scene: &Scene) -> Option<(u64, u64)> {
    let waits = stretches(scene)
        .into_iter()
        .filter_map(|s| part(scene, s.start, s.end));
    waits.max_by_key(|(start, end)| end - start)
}

/// A correction, by `steady`, two seconds into that wait; what was flown is the unchanged flight.
pub fn of(scene: &Scene) -> Option<Candidate> {
    let (start, end) = wait(scene)?;
    let leg = &scene.run.legs()[scene.index];
    let trace = scene.run.trace();
    let off_m = |tick: u64| leg.target.error(&trace.at(tick as usize).state, tick).abs();
    let mean_m = (start..end).map(off_m).sum::<f64>() / (end - start) as f64;
    let at = start + SEEING;
    let run = hand_over(scene.leg.until(at), &[], at);
    Some(Candidate {
        kind: Kind::NotCorrected,
        amount: mean_m / FT,
        from_tick: at,
        hand_over_tick: at,
        changed: scene.judge.worth(&run)?,
        run,
        unchanged: scene.flown,
    })
}

/// The last part of a stretch in which the aeroplane stays at an altitude outside the band, where it is long enough.
fn part(scene: &Scene, start: u64, end: u64) -> Option<(u64, u64)> {
    let shares = scene.shares(scene.run, start..end);
    let last = shares.last()?;
    let stays = |share: &&f64| share.abs() > 1.0 && (**share - last).abs() < STAYS;
    let ticks = shares.iter().rev().take_while(stays).count() as u64;
    (ticks >= LEAST).then_some((end - ticks, end))
}
