//! The steady wind and how it falls off towards the surface.

use crate::sim::math::ln;
use crate::units::FT;

/// Height at which a headwind is stated, m: 20 ft.
pub const REFERENCE_HEIGHT_M: f64 = 20.0 * FT;
/// Lowest height the logarithm is taken at, m: 1 ft (or the roughness, if that is more).
pub const LOWEST_HEIGHT_M: f64 = FT;
/// Roughness of the standard's terminal flight phases, m: 0.15 ft.
pub const TERMINAL_ROUGHNESS_M: f64 = 0.15 * FT;

/// Headwind in m/s at `height_m`, from the headwind at 20 ft: `u20 ln(h/z0)/ln(20 ft/z0)`, MIL-F-8785C (1980) 3.7.3.2.
///
/// `roughness_m` is z0, above 0 and below 20 ft. Below the larger of 1 ft and z0 the wind keeps its value there, so it
/// never reverses. Positive against the flight, like the headwind given.
pub fn log_profile(headwind_20ft_mps: f64, roughness_m: f64, height_m: f64) -> f64 {
    let height_m = height_m.max(LOWEST_HEIGHT_M).max(roughness_m);
    headwind_20ft_mps * ln(height_m / roughness_m) / ln(REFERENCE_HEIGHT_M / roughness_m)
}
