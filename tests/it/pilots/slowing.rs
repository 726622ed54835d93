//! Slowing in as people are taught: idle, then level power once the knots left are those lost while the power comes up.

use std::collections::VecDeque;

use leveloff::hands::Sight;
use leveloff::units::{KT, TICK_S, TICKS_PER_S};

/// Time over which the fall of the speed is judged, ticks.
const SEEN: usize = TICKS_PER_S as usize / 2;
/// With the power up, it counts as stuck fast only if more than this is left and no longer falling, m/s.
const STUCK_MPS: f64 = 1.0 * KT;

/// The last speeds seen, m/s above on speed.
#[derive(Default)]
pub struct Slowing {
    seen: VecDeque<f64>,
    is_up: bool,
}

impl Slowing {
    /// The lever of a pilot who sees the speed `late_s` late and looks ahead by `ahead_s`; `level` is the remembered power.
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
