//! The air against its published source: MIL-F-8785C, "Flying Qualities of Piloted Airplanes" (1980), 3.7.
//!
//! Check values: read in the standard, or computed from its formulae with other software. Statistical bounds
//! are stated with the sampling error they come from; the seeds are fixed, so each result is always the same.

mod filters;
mod gusts;
mod noise;
mod ship;
mod spectra;
mod steady;

use leveloff::sim::air::{Air, AirSpec, WakeSpec, Wind};
use leveloff::units::{DEG, FT, KT, TICK_S};

fn gusty(u20_kt: f64) -> AirSpec {
    AirSpec {
        u20_mps: u20_kt * KT,
        ..AirSpec::default()
    }
}

/// A ship at `speed_kt` in no wind, so that the wind over deck is its speed.
fn behind_ship(speed_kt: f64, pitch_deg: f64) -> AirSpec {
    AirSpec {
        wake: Some(WakeSpec {
            deck_height_m: 60.0 * FT,
            ship_speed_mps: speed_kt * KT,
            pitch_rad: pitch_deg * DEG,
            heave_period_s: 8.0,
        }),
        ..AirSpec::default()
    }
}

/// The gusts of `ticks` ticks at a fixed speed, height and place.
fn gusts_at(
    spec: &AirSpec,
    seed: u64,
    ticks: u64,
    speed_mps: f64,
    height_m: f64,
    x_m: Option<f64>,
) -> Vec<Wind> {
    let mut air = Air::new(spec, seed);
    (0..ticks)
        .map(|tick| air.sample(tick, speed_mps, height_m, x_m))
        .collect()
}

fn mean(values: impl ExactSizeIterator<Item = f64>) -> f64 {
    let n = values.len() as f64;
    values.sum::<f64>() / n
}

/// Mean square of samples over the expected variance, less one, in units of its sampling error `sqrt(2 I/T)`, where I is the
/// integral of the squared correlation over positive lags.
fn variance_z(values: &[f64], sigma: f64, integral_s: f64) -> f64 {
    let ratio = mean(values.iter().map(|x| x * x)) / (sigma * sigma);
    (ratio - 1.0) / (2.0 * integral_s / (values.len() as f64 * TICK_S)).sqrt()
}
