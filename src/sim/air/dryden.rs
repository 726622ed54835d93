//! Gusts of the Dryden form at low altitude, MIL-F-8785C (1980) 3.7.1.2 and 3.7.3.4.

use super::filter::{FirstOrder, Pair, SecondOrder};
use super::noise::{Noise, Stream};
use crate::sim::math::{exp, ln};
use crate::units::{FT, TICK_S};

/// Heights in ft between which the forms hold; outside, those of the nearer end are used.
const HEIGHT_RANGE_FT: (f64, f64) = (10.0, 1000.0);

/// Lengths and intensities of the gusts at a height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scales {
    /// Scale length of the gust along the flight, m.
    pub l_u_m: f64,
    /// Scale length of the vertical gust, m.
    pub l_w_m: f64,
    /// Root mean square of the gust along the flight, m/s.
    pub sigma_u_mps: f64,
    /// Root mean square of the vertical gust, m/s.
    pub sigma_w_mps: f64,
}

/// The scales at `height_m` (held within 10 to 1000 ft) where the wind at 20 ft is `u20_mps` (not negative).
///
/// With h in ft: L_w = h, L_u = h/(0.177 + 0.000823 h)^1.2, sigma_w = 0.1 u20, sigma_u = sigma_w/(0.177 + 0.000823 h)^0.4.
pub fn scales(height_m: f64, u20_mps: f64) -> Scales {
    scales_at(held_ft(height_m), u20_mps)
}

fn held_ft(height_m: f64) -> f64 {
    (height_m / FT).clamp(HEIGHT_RANGE_FT.0, HEIGHT_RANGE_FT.1)
}

fn scales_at(height_ft: f64, u20_mps: f64) -> Scales {
    let shape = exp(0.4 * ln(0.177 + 0.000823 * height_ft));
    let sigma_w_mps = 0.1 * u20_mps;
    Scales {
        l_u_m: height_ft * FT / (shape * shape * shape),
        l_w_m: height_ft * FT,
        sigma_u_mps: sigma_w_mps / shape,
        sigma_w_mps,
    }
}

/// Gusts on their way past an aeroplane.
#[derive(Clone, Debug)]
pub(super) struct Gusts {
    u20_mps: f64,
    noise_u: Noise,
    noise_w: Noise,
    /// Height of the last tick, ft, held within the range of the forms, and the scales there: above 1,000 ft both stay the same.
    height_ft: f64,
    scales: Scales,
    /// Filter states of variance one; None before the first tick.
    state: Option<(f64, Pair)>,
}

impl Gusts {
    pub(super) fn new(u20_mps: f64, seed: u64) -> Gusts {
        Gusts {
            u20_mps,
            noise_u: Noise::new(seed, Stream::GustU),
            noise_w: Noise::new(seed, Stream::GustW),
            height_ft: HEIGHT_RANGE_FT.1,
            scales: scales_at(HEIGHT_RANGE_FT.1, u20_mps),
            state: None,
        }
    }

    /// Lets no new gusts arise from now on.
    pub(super) fn settle(&mut self) {
        self.noise_u.hush();
        self.noise_w.hush();
    }

    /// The next tick's gusts in m/s: against the flight, and up.
    pub(super) fn next(&mut self, airspeed_mps: f64, height_m: f64) -> (f64, f64) {
        let n_u = self.noise_u.normal();
        let n_w = [self.noise_w.normal(), self.noise_w.normal()];
        let height_ft = held_ft(height_m);
        if height_ft != self.height_ft {
            (self.height_ft, self.scales) = (height_ft, scales_at(height_ft, self.u20_mps));
        }
        let scales = self.scales;
        let (u, w) = match self.state {
            None => (FirstOrder::start(n_u), SecondOrder::start(n_w)),
            Some((u, w)) => (
                FirstOrder::new(airspeed_mps / scales.l_u_m, TICK_S).step(u, n_u),
                SecondOrder::new(airspeed_mps / scales.l_w_m, TICK_S).step(w, n_w),
            ),
        };
        self.state = Some((u, w));
        (scales.sigma_u_mps * u, scales.sigma_w_mps * w.output())
    }
}
