//! White noise: numbers that depend on (seed, stream, tick) and on nothing else.
//!
//! Each stream has its own generator, from which the air makes a fixed number of draws per tick, so that two runs under one seed
//! meet the same noise whatever the aeroplanes do. Seeding, stream numbers and draws per tick are part of the model's version.

use rand::rngs::Xoshiro256PlusPlus;
use rand::{Rng, SeedableRng};

/// Size of one step of the summed 16-bit integers in [`Noise::normal`]: 1/sqrt((2^32 - 1)/3), which makes the variance one.
const NORMAL_STEP: f64 = 2.642_899_792_130_301_4e-5;
/// Mean of the sum of four integers uniformly distributed over 0..65535.
const NORMAL_MEAN: u64 = 131_070;
/// The odd increment of SplitMix64 (Steele, Lea, Flood, "Fast splittable pseudorandom number generators", 2014).
const GOLDEN: u64 = 0x9e37_79b9_7f4a_7c15;

/// What random numbers are drawn for. The discriminant is the stream's number and must not change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u64)]
pub enum Stream {
    /// Dryden gust along the flight: one deviate a tick.
    GustU = 1,
    /// Dryden gust up and down: two deviates a tick.
    GustW = 2,
    /// Free air around a ship, along: one deviate a tick.
    FreeU = 3,
    /// Free air around a ship, vertical: one deviate a tick.
    FreeW = 4,
    /// Ship-related random part, along: one deviate a tick.
    ShipU = 5,
    /// Ship-related random part, vertical: one deviate a tick.
    ShipW = 6,
    /// Phase of the periodic part: one share at the start.
    ShipPhase = 7,
    /// Tasks of a `surprise`: two shares a task.
    Surprise = 8,
    /// Trials of the searches for `best` and for a recipe: any number of draws, from seed 0 whatever is flown.
    Search = 9,
    /// Random choices of a synthetic learner; not part of the air.
    Learner = 10,
}

/// A stream of white noise. A clone continues identically.
#[derive(Clone, Debug, PartialEq)]
pub struct Noise {
    generator: Xoshiro256PlusPlus,
    is_hushed: bool,
}

impl Noise {
    /// The stream `stream` of the seed, at its beginning.
    pub fn new(seed: u64, stream: Stream) -> Noise {
        // Mixing the seed first keeps (seed, stream) pairs that lie close together from giving related generators.
        let key = mix(seed.wrapping_add(GOLDEN)) ^ stream as u64;
        Noise {
            generator: Xoshiro256PlusPlus::seed_from_u64(key),
            is_hushed: false,
        }
    }

    /// Silences the stream: every deviate from now on is 0, the mean.
    pub fn hush(&mut self) {
        self.is_hushed = true;
    }

    /// A deviate of mean 0 and variance 1 exactly, near normal, within +-3.47: the sum of the four 16-bit integers
    /// in one draw. It needs no transcendental function, so the bits are the same everywhere; a gust filter smooths
    /// away the departure from a normal distribution.
    pub fn normal(&mut self) -> f64 {
        if self.is_hushed {
            return 0.0;
        }
        let bits = self.generator.next_u64();
        let sum = (bits & 0xffff) + (bits >> 16 & 0xffff) + (bits >> 32 & 0xffff) + (bits >> 48);
        (sum as i64 - NORMAL_MEAN as i64) as f64 * NORMAL_STEP
    }

    /// A number uniformly distributed over 0..1, 1 excluded, from the top 53 bits of one draw.
    pub fn share(&mut self) -> f64 {
        (self.generator.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// The output function of SplitMix64: one to one on 64-bit integers, every input bit reaching every output bit.
fn mix(x: u64) -> u64 {
    let x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    x ^ (x >> 31)
}
