//! The lever's log as a person would describe it: moves.

use super::Run;
use crate::drill::path::{FULL_POWER, Outcome};
use crate::units::{TICK_S, TICKS_PER_S};

/// Changes in one direction form one move if they are at most this far apart, ticks: a person tapping a key does so two to six
/// times a second, and one who looks in between takes longer.
const TOGETHER: u64 = TICKS_PER_S / 2;
/// Smaller changes do not count as moves, fraction of travel.
const LEAST: f64 = 0.004;

/// The tick at which a path is practically over: at the touchdown, or where the lever begins to go to full power for a
/// go-around. For any other run, its end.
pub fn flown_until(run: &Run) -> usize {
    let approach = &run.leg().approach;
    match (approach.touchdown, approach.outcome) {
        (Some(touchdown), _) => (touchdown.t_s / TICK_S) as usize,
        (_, Some(Outcome::WentAround)) => {
            let moves = Lever::of(run, run.legs().len() - 1).moves().into_iter();
            let to_full = |m: &LeverMove| m.by() > 0.0 && m.to >= FULL_POWER;
            let begun = moves
                .rev()
                .find(to_full)
                .map_or(run.leg().start, |m| m.start);
            begun.saturating_sub(1).max(run.leg().start) as usize
        }
        _ => run.trace().ticks(),
    }
}

/// A move of the lever in one direction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeverMove {
    /// The tick its first change takes effect with.
    pub start: u64,
    /// The tick its last change takes effect with.
    pub end: u64,
    /// The lever before, 0..1.
    pub from: f64,
    /// The lever after, 0..1.
    pub to: f64,
}

impl LeverMove {
    /// How far and which way, fraction of travel.
    pub fn by(&self) -> f64 {
        self.to - self.from
    }
}

/// The lever during one leg of a run.
#[derive(Clone, Debug, PartialEq)]
pub struct Lever {
    /// Its setting before the leg, 0..1.
    pub before: f64,
    /// Each change within the leg: the tick it takes effect with, thousandths.
    pub changes: Vec<(u64, u16)>,
}

impl Lever {
    /// The lever during a leg that has ended.
    pub fn of(run: &Run, leg: usize) -> Lever {
        let leg = &run.legs()[leg];
        let end = leg.end.unwrap_or(run.tick());
        let changes = run.log().iter().copied();
        Lever {
            before: run.trace().lever_before(leg.start as usize),
            changes: changes
                .filter(|(tick, _)| (leg.start..end).contains(tick))
                .collect(),
        }
    }

    /// Its setting during a tick.
    pub fn at(&self, tick: u64) -> f64 {
        let count = self.changes.partition_point(|(at, _)| *at <= tick);
        match count.checked_sub(1) {
            Some(last) => f64::from(self.changes[last].1) / 1000.0,
            None => self.before,
        }
    }

    /// The ticks around `tick` during which the lever stays where it is then, within a leg that begins and ends at the given
    /// ticks.
    pub fn kept(&self, tick: u64, (start, end): (u64, u64)) -> std::ops::Range<u64> {
        let count = self.changes.partition_point(|(at, _)| *at <= tick);
        let begun = count.checked_sub(1).map(|last| self.changes[last].0);
        begun.unwrap_or(start)..self.changes.get(count).map_or(end, |(at, _)| *at)
    }

    /// Its mean over a range of ticks.
    pub fn mean(&self, ticks: std::ops::Range<u64>) -> f64 {
        let count = (ticks.end - ticks.start) as f64;
        ticks.map(|tick| self.at(tick)).sum::<f64>() / count
    }

    /// Its median over a range of ticks that is not empty.
    pub fn median(&self, ticks: std::ops::Range<u64>) -> f64 {
        let mut levers: Vec<f64> = ticks.map(|tick| self.at(tick)).collect();
        levers.sort_by(f64::total_cmp);
        levers[levers.len() / 2]
    }

    /// Its moves, in order.
    pub fn moves(&self) -> Vec<LeverMove> {
        let mut moves: Vec<LeverMove> = Vec::new();
        let mut lever = self.before;
        for &(tick, thousandths) in &self.changes {
            let to = f64::from(thousandths) / 1000.0;
            match moves.last_mut() {
                Some(last) if tick <= last.end + TOGETHER && last.by() * (to - lever) > 0.0 => {
                    last.end = tick;
                    last.to = to;
                }
                _ => moves.push(LeverMove {
                    start: tick,
                    end: tick,
                    from: lever,
                    to,
                }),
            }
            lever = to;
        }
        // A hair less, so that 0.504 less 0.5 counts as 0.4 % in binary too.
        moves.retain(|m| m.by().abs() >= LEAST - 1e-9);
        moves
    }
}
