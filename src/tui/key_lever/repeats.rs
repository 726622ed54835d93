//! A key held in a terminal that reports no releases: only its repeats show it.
//!
//! A held key is one press, a pause, and then presses as even as a clock makes them. A finger is never as fast as the usual
//! repeat rates, and never as even as the slow ones. Once repeats are recognised, the key counts as held since its first press,
//! so slow and fast repeats have the same effect.

use super::Nudge;

/// Repeats this close on average are no finger's: the fastest tapping makes 10 a second, every usual repeat rate 25 or more.
const FAST_S: f64 = 0.065;
/// No key repeats more slowly than this: 8 a second, and a margin for a busy machine.
const SLOW_S: f64 = 0.150;
/// The pause before the first repeat is 0.25 s on a console, 0.5 or 0.66 s on desktops, 1 s for slow hands.
const LONGEST_PAUSE_S: f64 = 1.1;
/// Between `FAST_S` and `SLOW_S` this many gaps in a row, after a pause, must agree within this: a finger's differ by more.
const EVEN: usize = 3;
const EVEN_WITHIN_S: f64 = 0.012;
/// A gap may be this many times the mean of the others, and `SLOW_S` in any case, before the key counts as let go.
const LATE: f64 = 1.6;

/// Presses of one key in a row.
#[derive(Debug, Clone)]
pub(super) struct Repeats {
    nudge: Nudge,
    /// The press that would be the hold's first, and where the target stood after it.
    first_s: f64,
    base: f64,
    last_s: f64,
    /// Whether a pause, as it comes before repeats, followed the first press.
    paused: bool,
    gaps: u32,
    gaps_s: f64,
    latest_s: [f64; EVEN],
    held: bool,
}

impl Repeats {
    /// Begins with a first press, which has left the target at `base`.
    pub(super) fn new(nudge: Nudge, t_s: f64, base: f64) -> Self {
        Self {
            nudge,
            first_s: t_s,
            base,
            last_s: t_s,
            paused: false,
            gaps: 0,
            gaps_s: 0.0,
            latest_s: [f64::NAN; EVEN],
            held: false,
        }
    }

    /// Takes in another press; `target` is where the target stands before it. Returns false where the press is not of this row.
    pub(super) fn hear(&mut self, nudge: Nudge, t_s: f64, target: f64) -> bool {
        let gap_s = t_s - self.last_s;
        let longest_s = match self.held {
            true => SLOW_S.max(LATE * self.gap_s()),
            false => LONGEST_PAUSE_S,
        };
        if nudge != self.nudge || gap_s > longest_s {
            return false;
        }
        if gap_s > SLOW_S && !self.held {
            // The press before this one may have been a hold's first.
            *self = Self {
                paused: true,
                last_s: t_s,
                ..Self::new(nudge, self.last_s, target)
            };
            return true;
        }
        self.last_s = t_s;
        self.gaps += 1;
        self.gaps_s += gap_s;
        self.latest_s.rotate_left(1);
        self.latest_s[EVEN - 1] = gap_s;
        // Two taps may arrive at once over a slow connection, three hardly ever.
        let is_fast = self.gaps >= 2 && self.gap_s() <= FAST_S;
        self.held |= is_fast || self.paused && self.is_even();
        true
    }

    /// Where the hold has taken the target, counted from the key's first press; None as long as these may be taps. Half a gap is
    /// added: on average the key is held that much longer after its last repeat.
    pub(super) fn target(&self) -> Option<f64> {
        let held_s = self.last_s - self.first_s + 0.5 * self.gap_s();
        self.held
            .then(|| (self.base + self.nudge.held(held_s)).clamp(0.0, 1.0))
    }

    fn gap_s(&self) -> f64 {
        self.gaps_s / f64::from(self.gaps.max(1))
    }

    /// Whether the latest gaps are even. With fewer than [`EVEN`] gaps the differences are not numbers, and the answer is no.
    fn is_even(&self) -> bool {
        let [a, b, c] = self.latest_s;
        [a - b, b - c, a - c]
            .iter()
            .all(|difference_s| difference_s.abs() <= EVEN_WITHIN_S)
    }
}
