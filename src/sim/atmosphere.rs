//! The troposphere of the U.S. Standard Atmosphere 1976 (NOAA-S/T 76-1562, the same as ICAO/ISO 2533 below 11 km).
//! Altitude here and everywhere in the model is geopotential height.

use super::math::{binomial, exp, ln, polynomial};
use crate::units::G;

/// Sea-level temperature, K.
pub const T0_K: f64 = 288.15;
/// Sea-level pressure, Pa.
pub const P0_PA: f64 = 101_325.0;
/// Temperature lost with height, K/m.
pub const LAPSE_K_PER_M: f64 = 0.0065;
/// Gas constant of dry air, J/kg/K.
pub const R_AIR: f64 = 287.052_87;

/// Density is proportional to this power of temperature.
const DENSITY_EXPONENT: f64 = G / (R_AIR * LAPSE_K_PER_M) - 1.0;
/// Jet thrust is proportional to this power of the density ratio.
pub const JET_DENSITY_EXPONENT: f64 = 0.7;

/// The density to which thrust is referred, kg/m3. The gas law gives it at sea level to eight digits only.
pub const RHO0_KGM3: f64 = 1.225;
const SEA_LEVEL_KGM3: f64 = P0_PA / (R_AIR * T0_K);
/// The 0.7th power of their ratio, which is so near 1 that two terms of its series are exact.
const SEA_LEVEL_JET: f64 = 1.0 + JET_DENSITY_EXPONENT * (SEA_LEVEL_KGM3 / RHO0_KGM3 - 1.0);

/// Up to this share of temperature lost (3,100 m), density and jet thrust are computed by their series in
/// it; the terms left out are below the last bit.
const SMALL_SHARE: f64 = 0.07;
const DENSITY: [f64; 12] = binomial(DENSITY_EXPONENT);
const JET: [f64; 12] = binomial(JET_DENSITY_EXPONENT * DENSITY_EXPONENT);

/// Air at a height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Atmosphere {
    /// Density, kg/m3.
    pub rho_kgm3: f64,
    /// Factor on a jet's thrust: the 0.7th power of density over 1.225 kg/m3.
    pub jet: f64,
}

/// Air at a geopotential height in m, meant for 0 to 11,000 m and smooth somewhat beyond both ends.
#[inline(always)]
pub fn at(h_m: f64) -> Atmosphere {
    let lost = h_m * (LAPSE_K_PER_M / T0_K);
    let (density, jet) = if lost.abs() <= SMALL_SHARE {
        (polynomial(&DENSITY, -lost), polynomial(&JET, -lost))
    } else {
        let ln_density = DENSITY_EXPONENT * ln(1.0 - lost);
        (exp(ln_density), exp(JET_DENSITY_EXPONENT * ln_density))
    };
    Atmosphere {
        rho_kgm3: SEA_LEVEL_KGM3 * density,
        jet: SEA_LEVEL_JET * jet,
    }
}

impl Atmosphere {
    /// Density over 1.225 kg/m3.
    pub fn sigma(&self) -> f64 {
        self.rho_kgm3 / RHO0_KGM3
    }
}

/// Temperature at a geopotential height in m, K.
pub fn temperature_k(h_m: f64) -> f64 {
    T0_K - LAPSE_K_PER_M * h_m
}
