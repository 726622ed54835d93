//! The troposphere of the U.S. Standard Atmosphere 1976 (NOAA-S/T 76-1562, the same as ICAO/ISO 2533 below 11 km).
//! Altitude here and everywhere in the model is geopotential height.

use super::math::{exp, ln};
use crate::units::G;

/// Sea-level temperature, K.
pub const T0_K: f64 = 288.15;
/// Sea-level pressure, Pa.
pub const P0_PA: f64 = 101_325.0;
/// Temperature lost with height, K/m.
pub const LAPSE_K_PER_M: f64 = 0.0065;
/// Gas constant of dry air, J/kg/K.
pub const R_AIR: f64 = 287.052_87;

const PRESSURE_EXPONENT: f64 = G / (R_AIR * LAPSE_K_PER_M);
/// ln of P0/(R T0) over 1.225 kg/m3, the density to which thrust is referred: the gas law gives 1.225 to eight digits only.
const LN_SEA_LEVEL: f64 = 1.479_533_684_613_543_9e-8;

/// That density, kg/m3.
pub const RHO0_KGM3: f64 = 1.225;

/// Air at a height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Atmosphere {
    /// Density, kg/m3.
    pub rho_kgm3: f64,
    /// ln(rho / 1.225), kept since thrust falls with a power of the density ratio.
    pub ln_sigma: f64,
}

/// Density at a geopotential height in m, meant for 0 to 11,000 m and smooth somewhat beyond both ends.
pub fn at(h_m: f64) -> Atmosphere {
    let ln_theta = ln(temperature_k(h_m) / T0_K);
    let ln_ratio = (PRESSURE_EXPONENT - 1.0) * ln_theta;
    let rho_kgm3 = P0_PA / (R_AIR * T0_K) * exp(ln_ratio);
    Atmosphere {
        rho_kgm3,
        ln_sigma: ln_ratio + LN_SEA_LEVEL,
    }
}

/// Temperature at a geopotential height in m, K.
pub fn temperature_k(h_m: f64) -> f64 {
    T0_K - LAPSE_K_PER_M * h_m
}
