//! Units. Everything inside is SI and radians; pilots' units appear only at the interfaces to people and files.
//!
//! Each constant is the size of the unit it is named for in SI, so `x * FT` reads feet and `x / FT` writes them.
//! Exact by definition: the foot (0.3048 m, international yard and pound agreement of 1959), the nautical mile
//! (1852 m) and standard gravity (9.80665 m/s2, ISO 80000-3).

/// One foot, m.
pub const FT: f64 = 0.3048;
/// One nautical mile, m.
pub const NM: f64 = 1852.0;
/// One knot, m/s.
pub const KT: f64 = NM / 3600.0;
/// One foot per minute, m/s.
pub const FPM: f64 = FT / 60.0;
/// One degree, rad.
pub const DEG: f64 = core::f64::consts::PI / 180.0;
/// Standard gravity, m/s2.
pub const G: f64 = 9.80665;
/// Ticks in a second: the fixed step is 1/64 s, exact in binary.
pub const TICKS_PER_S: u64 = 64;
/// The fixed step, s.
pub const TICK_S: f64 = 1.0 / TICKS_PER_S as f64;
