//! How one person differs from another of the same style.

use leveloff::sim::air::noise::{Noise, Stream};

/// What chance is drawn for: each has a stream of its own, so that a fault that changes how much one of them is used leaves
/// the others as they are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Chance {
    Person = 1,
    Eyes = 2,
    Looks = 3,
    Hand = 4,
    Mind = 5,
}

impl Chance {
    /// Its stream of a seed; apart from all streams of the air by the seed itself.
    pub fn of(self, seed: u64) -> Noise {
        /// Large and odd, so that seeds that lie close together do not meet.
        const APART: u64 = 0xd1b5_4a32_d192_ed03;
        Noise::new(seed ^ APART.wrapping_mul(self as u64), Stream::Learner)
    }
}

/// A number spread evenly from one to another.
pub fn between(noise: &mut Noise, from: f64, to: f64) -> f64 {
    from + (to - from) * noise.share()
}

/// One person.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Traits {
    /// Usual time from seeing to moving, s; it varies by a few hundredths from moment to moment.
    pub reaction_s: f64,
    /// Time between looks, over what is usual for the style.
    pub looks: f64,
    /// Size of corrections, over what is usual for the style.
    pub gain: f64,
    /// Time for which is looked ahead, over what is usual for the style.
    pub ahead: f64,
    /// Going power over that of 3 degrees.
    pub boldness: f64,
    /// How much the hand trembles and misjudges, over what is usual for the style.
    pub remnant: f64,
    /// By how much level power is misremembered, fraction of travel.
    pub belief: f64,
    /// Fastest the lever is moved, fraction of travel a second.
    pub lever_per_s: f64,
    /// Swing of a hand that pumps: its period over the middle of its range.
    pub pumping: f64,
}

impl Traits {
    pub fn drawn(seed: u64) -> Traits {
        let noise = &mut Chance::Person.of(seed);
        Traits {
            // With what it varies by: 0.25 to 0.6 s, choice reactions of practised people (from memory).
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
