//! What a person reads off a screen, and with what delay.

use std::collections::VecDeque;

use leveloff::drill::Target;
use leveloff::hands::Sight;
use leveloff::sim::air::noise::Noise;
use leveloff::units::{FPM, FT, NM, TICK_S, TICKS_PER_S};

use super::traits::{Chance, between};

/// The resolution of readings.
const ALTITUDE_GRAIN_M: f64 = 5.0 * FT;
const VERTICAL_GRAIN_MPS: f64 = 20.0 * FPM;
const DISTANCE_GRAIN_M: f64 = 0.01 * NM;
/// The change of a vertical speed is felt rather than read, per s.
const TREND_GRAIN_MPS2: f64 = 10.0 * FPM;

/// A vertical speed is read as its mean over this time, ticks: the eye rests on it for half a second.
const REST: usize = 32;
/// Its change is judged over this time, ticks.
const CHANGE: usize = 56;

/// One reading.
#[derive(Clone, Copy, Debug)]
pub struct Reading {
    pub target: Target,
    pub altitude_m: f64,
    pub vertical_mps: f64,
    pub trend_mps2: f64,
    /// Distance to the aim point and how fast it shrinks, on a path.
    pub approach: Option<(f64, f64)>,
}

/// The instruments at a tick.
#[derive(Clone, Copy, Debug)]
struct Glance {
    target: Target,
    altitude_m: f64,
    vertical_mps: f64,
    approach: Option<(f64, f64)>,
}

/// A pilot's eyes.
#[derive(Debug)]
pub struct Eyes {
    seen: VecDeque<Glance>,
    noise: Noise,
    reaction_s: f64,
    delay: usize,
    /// The present error of reading between the marks, in marks: a misreading lasts a while.
    dither: [f64; 4],
}

impl Eyes {
    pub fn new(seed: u64, reaction_s: f64) -> Eyes {
        Eyes {
            seen: VecDeque::new(),
            noise: Chance::Eyes.of(seed),
            reaction_s,
            delay: 0,
            dither: [0.0; 4],
        }
    }

    /// Takes in a tick and returns the reading of a reaction time ago; None while there is none.
    pub fn see(&mut self, sight: &Sight) -> Option<Reading> {
        /// The longest look back: the longest reaction plus the longest view.
        const KEPT: usize = 40 + REST + CHANGE;
        self.seen.push_back(Glance {
            target: sight.target,
            altitude_m: sight.altitude_m,
            vertical_mps: sight.vertical_mps,
            approach: sight.approach,
        });
        if self.seen.len() > KEPT {
            self.seen.pop_front();
        }
        // Reaction time and reading error change from one second to the next.
        if sight.tick.is_multiple_of(TICKS_PER_S) {
            let now_s = self.reaction_s + between(&mut self.noise, -0.05, 0.05);
            self.delay = (now_s / TICK_S) as usize;
            self.dither = [(); 4].map(|()| self.noise.share() - 0.5);
        }
        let dither = self.dither;
        let last = self.seen.len().checked_sub(1 + self.delay)?;
        let then = &self.seen[last];
        // Read between the marks of a scale: off by up to half a mark, and not always to the same side.
        let read = |value: f64, grain: f64, dither: f64| ((value / grain + dither).round()) * grain;
        let approach = then.approach.map(|(distance_m, closure_mps)| {
            (read(distance_m, DISTANCE_GRAIN_M, dither[2]), closure_mps)
        });
        let before = last.saturating_sub(CHANGE);
        let span_s = (last - before).max(1) as f64 * TICK_S;
        let trend = (self.rested_mps(last) - self.rested_mps(before)) / span_s;
        Some(Reading {
            target: then.target,
            altitude_m: read(then.altitude_m, ALTITUDE_GRAIN_M, dither[0]),
            vertical_mps: read(self.rested_mps(last), VERTICAL_GRAIN_MPS, dither[1]),
            trend_mps2: read(trend, TREND_GRAIN_MPS2, dither[3]),
            approach,
        })
    }

    /// Vertical speed as read by an eye that rested on it until a tick.
    fn rested_mps(&self, last: usize) -> f64 {
        let first = (last + 1).saturating_sub(REST);
        let sum: f64 = self
            .seen
            .range(first..=last)
            .map(|glance| glance.vertical_mps)
            .sum();
        sum / (last + 1 - first) as f64
    }
}
