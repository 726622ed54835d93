//! How the lever differed from that of the better flight.

use std::ops::Range;

use super::{Inquiry, LOOK, LineKind};
use crate::units::{TICK_S, TICKS_PER_S};

/// The cause of a sudden loss is what the lever does within this time after the loss begins, ticks.
const LASTS: u64 = 4 * TICKS_PER_S;
/// Levers that differ by more count as different: a smaller difference reads as none, fraction of travel.
const DIFFERS: f64 = 0.005;
/// The lever was off by turns if the mean difference is below this share of its mean size, and the lever stood still for less
/// than `AT_REST` of the time: a lever at rest was off first to one side and later to the other.
const BY_TURNS: f64 = 0.4;
const AT_REST: f64 = 0.5;
/// The lever was off while the difference was at least this share of the largest.
const NEAR: f64 = 0.5;

/// Compares the lever with that of the better flight, where it was most off to the side on which points were lost.
pub fn lever(scene: &Inquiry) -> (LineKind, f64) {
    let apart = Apart::of(scene);
    let (mean, size) = (apart.mean(|off| off), apart.mean(f64::abs));
    let lever = &scene.leg.again.lever;
    let stood = lever.median(apart.ticks.clone());
    let rests = apart.ticks.clone().filter(|tick| lever.at(*tick) == stood);
    let is_moved = (rests.count() as f64) < AT_REST * apart.offs.len() as f64 * LOOK as f64;
    if mean.abs() < BY_TURNS * size && is_moved {
        return (LineKind::LeverByTurns, size);
    }
    let (_, off) = apart.most();
    match off > 0.0 {
        true => (LineKind::LeverHigh, off),
        false => (LineKind::LeverLow, off.abs()),
    }
}

/// The mean difference from the better flight's lever, + above it, and its mean size, % of travel.
pub fn off(scene: &Inquiry) -> (f64, f64) {
    let apart = Apart::of(scene);
    (apart.mean(|off| off), apart.mean(f64::abs))
}

/// How far the lever was above that of the better flight, from where they first differ in a line on, % of travel, every few
/// ticks.
pub struct Apart {
    pub ticks: Range<u64>,
    offs: Vec<f64>,
    /// Points lost in the seconds before each of them.
    went: Vec<f64>,
    /// How many of them come before the first move made after the line, which is not part of it.
    before: usize,
}

impl Apart {
    /// Compares over a line, and for a few seconds at least.
    pub fn of(scene: &Inquiry) -> Apart {
        let (leg, from) = (scene.leg, scene.line.from.tick);
        let theirs = |tick: u64| match &scene.better {
            Some(run) => run
                .trace()
                .lever_at((tick as usize).min(run.trace().ticks())),
            None => leg.right(tick),
        };
        let by = |tick: &u64| 100.0 * (leg.again.lever.at(*tick) - theirs(*tick));
        // The full power after a touchdown is no fault.
        let down = leg.flown.approach.touchdown;
        let down = down.map_or(u64::MAX, |down| (down.t_s / TICK_S) as u64);
        let end = leg.again.end.min(down).max(from + 1);
        let differ = (from..end).find(|tick| by(tick).abs() > 100.0 * DIFFERS);
        let differ = differ.unwrap_or(from);
        let last = scene.line.to.tick.max(differ + LASTS).min(end);
        let ticks = differ.min(last - 1)..last;
        let looks = || ticks.clone().step_by(LOOK as usize);
        let went = |tick: u64| {
            let since = tick.saturating_sub(LASTS).max(from);
            leg.in_reach(since) - leg.in_reach(tick)
        };
        let is_new = |start: &u64| *start >= scene.line.to.tick && *start > ticks.start;
        let new = leg.moves.iter().map(|m| m.start).find(is_new);
        let before = looks().take_while(|tick| new.is_none_or(|new| *tick < new));
        Apart {
            before: before.count(),
            offs: looks().map(|tick| by(&tick)).collect(),
            went: looks().map(went).collect(),
            ticks,
        }
    }

    fn mean(&self, of: impl Fn(f64) -> f64) -> f64 {
        self.offs.iter().copied().map(of).sum::<f64>() / self.offs.len() as f64
    }

    /// Finds the stretch that weighs most (offset times duration) among those where the lever was off, by at least half of the
    /// most, to the side on which points were lost. Returns it and the mean offset there. Moves that save the rest afterwards
    /// lie on the other side.
    pub fn most(&self) -> (Range<u64>, f64) {
        let lost = self.offs.iter().zip(&self.went).take(self.before);
        let sum: f64 = lost.map(|(off, went)| off * went).sum();
        let side = if sum < 0.0 { -1.0 } else { 1.0 };
        let off = |n: usize| (side * self.offs[n]).max(0.0);
        let least = NEAR * (0..self.before).map(off).fold(0.0, f64::max);
        let mut best = (0..self.before, 0.0);
        let mut n = 0;
        while n < self.before {
            let far = (n..self.before).take_while(|n| off(*n) >= least);
            let stretch = n..n + far.count();
            let sum: f64 = stretch.clone().map(off).sum();
            if sum > best.1 {
                best = (stretch.clone(), sum);
            }
            n = stretch.end + 1;
        }
        let (stretch, sum) = best;
        let tick = |n: usize| (self.ticks.start + n as u64 * LOOK).min(self.ticks.end);
        let ticks = tick(stretch.start)..tick(stretch.end);
        (ticks, side * sum / stretch.len().max(1) as f64)
    }
}
