//! The deck: a short strip that may move away, heave and pitch.

use super::air::WakeSpec;
use super::math::{cos, sin};
use crate::units::TICK_S;
use core::f64::consts::TAU;

/// A deck or a fixed strip. Heave and pitch are one sine, in phase; pitch drives the wake only.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Deck {
    /// Mean height above the surface, m.
    pub height_m: f64,
    /// Speed away from the aeroplane, m/s.
    pub speed_mps: f64,
    /// Length of the touchdown zone, m; its middle is the aim point.
    pub zone_m: f64,
    /// Amplitude of the heave, m.
    pub heave_m: f64,
    /// Period of heave and pitch, s.
    pub heave_period_s: f64,
    /// How far into their period heave and pitch are when the run begins, s.
    pub heave_from_s: f64,
    /// Amplitude of the pitch, rad.
    pub pitch_rad: f64,
}

impl Deck {
    fn phase(&self, t_s: f64) -> f64 {
        TAU * (t_s + self.heave_from_s) / self.heave_period_s
    }

    /// How far the deck stands above its mean height at a time in s, m, + up.
    pub fn heave_at_m(&self, t_s: f64) -> f64 {
        self.heave_m * sin(self.phase(t_s))
    }

    /// How fast it rises at a time in s, m/s.
    pub fn heave_rate_mps(&self, t_s: f64) -> f64 {
        self.heave_m * TAU / self.heave_period_s * cos(self.phase(t_s))
    }

    /// Whether it moves away or heaves; a fixed strip does neither.
    pub fn moves(&self) -> bool {
        self.speed_mps > 0.0 || self.heave_m > 0.0
    }

    /// The ship's properties that the wake depends on.
    pub fn wake(&self) -> WakeSpec {
        WakeSpec {
            deck_height_m: self.height_m,
            ship_speed_mps: self.speed_mps,
            pitch_rad: self.pitch_rad,
            heave_period_s: self.heave_period_s,
        }
    }
}

/// The aim point on a deck, and how far away it was when the run began.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AimPoint {
    pub deck: Deck,
    /// Distance over the ground at the start, m.
    pub start_m: f64,
}

impl AimPoint {
    /// Distance over the ground to the aim point, m, + before it, after flying `x_m` over the ground until a tick.
    pub fn distance_m(&self, x_m: f64, tick: u64) -> f64 {
        self.start_m - x_m + self.deck.speed_mps * (tick as f64 * TICK_S)
    }
}
