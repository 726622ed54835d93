//! Separate moves of the lever, and how often they come.

use super::Estimate;
use super::law::student_t;
use crate::units::{TICK_S, TICKS_PER_S};

/// Changes in one direction with no more than this between them are one move: 3/16 s.
pub const PAUSE_TICKS: u64 = 12;
/// Moves smaller than this, in thousandths of travel, are left out.
pub const SMALLEST: u16 = 4;
/// Moves are counted in stretches of this, to see how steady the count is.
const STRETCH_TICKS: u64 = 15 * TICKS_PER_S;
/// Fewer stretches than this say nothing of that.
const FEWEST_STRETCHES: usize = 4;

/// A run of lever changes in one direction without a pause.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Move {
    /// The tick its first change takes effect with.
    pub start: u64,
    /// The tick its last change takes effect with.
    pub last: u64,
    /// The lever before, thousandths.
    pub from: u16,
    /// The lever after, thousandths.
    pub to: u16,
}

impl Move {
    /// How far it went, thousandths.
    pub fn size(&self) -> u16 {
        self.from.abs_diff(self.to)
    }
}

/// The moves of a log of lever changes (tick, thousandths) that began with the lever at `start_lever` (0..1).
pub fn of(log: &[(u64, u16)], start_lever: f64) -> Vec<Move> {
    let mut moves: Vec<Move> = Vec::new();
    let mut held = crate::run::thousandths(start_lever);
    for &(tick, lever) in log {
        match moves.last_mut() {
            Some(last)
                if tick - last.last <= PAUSE_TICKS
                    && (last.to > last.from) == (lever > last.to) =>
            {
                (last.last, last.to) = (tick, lever);
            }
            _ => moves.push(Move {
                start: tick,
                last: tick,
                from: held,
                to: lever,
            }),
        }
        held = lever;
    }
    moves.retain(|a| a.size() >= SMALLEST);
    moves
}

/// How long a setting is kept where the next one is not long in coming, s: the lower quartile of the times from the start of a
/// move to the start of the next. 0 where there are no two moves.
pub fn hold_s(moves: &[Move]) -> f64 {
    let gaps = moves.windows(2).map(|pair| pair[1].start - pair[0].start);
    let mut gaps: Vec<u64> = gaps.collect();
    gaps.sort_unstable();
    gaps.get(gaps.len() / 4)
        .map_or(0.0, |gap| *gap as f64 * TICK_S)
}

/// Moves a minute in a run of so many ticks. The interval is for the hand's habit, not for the count, which is exact: from how
/// the count differs between stretches of 15 s. None where nothing moved or the run is shorter than four of them.
pub fn per_minute(moves: &[Move], ticks: u64) -> Option<Estimate> {
    let stretches = (ticks / STRETCH_TICKS) as usize;
    if moves.is_empty() || stretches < FEWEST_STRETCHES {
        return None;
    }
    let mut counts = vec![0.0; stretches];
    for a in moves {
        if let Some(count) = counts.get_mut((a.start / STRETCH_TICKS) as usize) {
            *count += 1.0;
        }
    }
    let number = stretches as f64;
    let mean = counts.iter().sum::<f64>() / number;
    let square = |count: &f64| (count - mean) * (count - mean);
    // A count is known to one move at best.
    let variance = (counts.iter().map(square).sum::<f64>() / (number - 1.0)).max(1.0 / 12.0);
    let value = moves.len() as f64 / (ticks as f64 * TICK_S) * 60.0;
    let to_minutes = 60.0 / (STRETCH_TICKS as f64 * TICK_S);
    let half = student_t(number - 1.0) * (variance / number).sqrt() * to_minutes;
    Some(Estimate::around(value, half))
}
