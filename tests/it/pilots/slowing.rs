//! Slowing in as people do who were told how: idle, and level power once the knots that are left are those it takes to come.

use std::collections::VecDeque;

use leveloff::hands::Sight;
use leveloff::units::{KT, TICK_S, TICKS_PER_S};

/// Over so long it is seen how fast the speed falls, ticks.
const SEEN: usize = TICKS_PER_S as usize / 2;
/// With the power up, nobody believes that it stays fast until more than this is left and no less by the second, m/s.
const STUCK_MPS: f64 = 1.0 * KT;

/// The speeds seen so far, the last ones, m/s above on speed.
#[derive(Default)]
pub struct Slowing {
    seen: VecDeque<f64>,
    is_up: bool,
}

impl Slowing {
    /// The lever wanted by someone who sees it so late (s) and looks ahead by so much; `level` is the power they remember.
    pub fn lever(&mut self, sight: &Sight, level: f64, late_s: f64, ahead_s: f64) -> Option<f64> {
        let fast_mps = sight.fast_mps.filter(|_| sight.is_held)?;
        self.seen.push_back(fast_mps);
        let late = (late_s * TICKS_PER_S as f64) as usize;
        while self.seen.len() > late + SEEN + 1 {
            self.seen.pop_front();
        }
        let now = self.seen[self.seen.len().saturating_sub(late + 1)];
        let falls = (self.seen[0] - now) / (SEEN as f64 * TICK_S);
        self.is_up = match self.is_up {
            false => now <= ahead_s * falls,
            true => now < STUCK_MPS || falls > 0.0,
        };
        Some(if self.is_up { level } else { 0.0 })
    }
}
