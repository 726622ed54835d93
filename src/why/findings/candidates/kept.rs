//! A hold or a rate: a power left alone where it does not keep what is asked.

use super::{Candidate, Scene, thousandths};
use crate::drill;
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
    let leg = &scene.run.legs()[scene.index];
    let wrong = |s: &Stretch| s.off.abs() >= RIGHT * scene.scale.three;
    let harm = |s: &Stretch| s.off.abs() * (s.end - s.start) as f64;
    let worst = stretches(scene)
        .into_iter()
        .filter(|s| wrong(s) && s.end >= s.start + KEPT && counts(s))
        .max_by(|a, b| harm(a).total_cmp(&harm(b)))?;
    let is_first = worst.start == leg.start;
    let not_given_back = !is_first && worst.off.abs() > MEANT * scene.scale.three;
    let after = (SETTLED_PERIODS * scene.scale.period) as u64;
    let right = thousandths(scene.scale.level);
    let before = scene.leg.until(worst.start);
    let tried: &[u64] = match (not_given_back, is_first) {
        (true, _) => &TRIED,
        (false, true) => &[SEEING],
        (false, false) => &[0],
    };
    let flown = tried.iter().filter_map(|later| {
        let tick = worst.start + later;
        let mut changes = scene.lever().changes.clone();
        changes.retain(|(at, _)| *at < tick);
        changes.push((tick, right));
        let run = hand_over(before.clone(), &changes, tick + after);
        Some((tick, scene.judge.worth(&run)?, run))
    });
    let (tick, changed, run) = flown.min_by(|a, b| a.1.soft_s.total_cmp(&b.1.soft_s))?;
    Some(Candidate {
        kind: match not_given_back {
            true => Kind::SecondMoveMissing,
            false => Kind::LevelPowerOff,
        },
        amount: 100.0 * worst.off.abs(),
        from_tick: tick,
        hand_over_tick: tick + after,
        run,
        changed,
        unchanged: scene.flown,
    })
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
                off: scene.lever().mean(start..end) - scene.scale.level,
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
