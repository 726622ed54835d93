//! How one person differs from another of the same style.

use leveloff::sim::air::noise::{Noise, Stream};

/// The uses of randomness. Each has a stream of its own, so that a fault that changes how much one of them is used leaves the
/// others as they are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Chance {
    Person = 1,
    Eyes = 2,
    Looks = 3,
    Hand = 4,
    Mind = 5,
}

impl Chance {
    /// Its stream for a seed, kept apart from all streams of the air by a different seed.
    pub fn of(self, seed: u64) -> Noise {
        /// Large and odd, so that neighbouring seeds do not collide.
        const APART: u64 = 0xd1b5_4a32_d192_ed03;
        Noise::new(seed ^ APART.wrapping_mul(self as u64), Stream::Learner)
    }
}

/// A random number, uniform between two others.
pub fn between(noise: &mut Noise, from: f64, to: f64) -> f64 {
    from + (to - from) * noise.share()
}

/// One person.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Traits {
    /// Usual time from seeing to moving, s; it varies by a few hundredths from moment to moment.
    pub reaction_s: f64,
    /// Time between looks, relative to the style's usual.
    pub looks: f64,
    /// Size of corrections, relative to the style's usual.
    pub gain: f64,
    /// Time looked ahead, relative to the style's usual.
    pub ahead: f64,
    /// Power on the way over that of 3 degrees.
    pub boldness: f64,
    /// How much the hand trembles and misjudges, relative to the style's usual.
    pub remnant: f64,
    /// Error of the remembered level power, fraction of travel.
    pub belief: f64,
    /// Fastest the lever is moved, fraction of travel a second.
    pub lever_per_s: f64,
    /// Period of a pumping hand over the middle of its range.
    pub pumping: f64,
}

impl Traits {
    pub fn drawn(seed: u64) -> Traits {
        let noise = &mut Chance::Person.of(seed);
        Traits {
            // With its variation: 0.25 to 0.6 s, choice reactions of practised people (from memory).
            reaction_s: between(noise, 0.30, 0.55),
            looks: between(noise, 0.8, 1.25),
            gain: between(noise, 0.85, 1.15),
            ahead: between(noise, 0.9, 1.15),
            boldness: between(noise, 0.8, 1.25),
            remnant: between(noise, 0.6, 1.4),
            // Level power is remembered to half a per cent, and a person is seldom farther off than that.
            belief: 0.003 * noise.normal().clamp(-1.7, 1.7),
            lever_per_s: between(noise, 0.35, 0.8),
            pumping: between(noise, 0.7, 1.3),
        }
    }
}
