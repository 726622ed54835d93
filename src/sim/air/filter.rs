//! Shaping filters for gusts, exact in time and of variance one.
//!
//! Each is the exact solution of its differential equation over one step, driven by white noise whose covariance over the
//! step is exact as well, so that the variance does not depend on the step (Euler's form is 0.3 to 1.9 % off at 50 Hz).
//! The states have variance one; the gust's intensity multiplies the output. So a filter may follow speed and height from
//! step to step and keep its variance, and the intensity is always that of the current height.

use crate::sim::math::{exp, inverse_factorials, polynomial, sqrt};
use std::f64::consts::SQRT_2;

/// Weight of the first state in the vertical gust: sqrt(3/2).
const P_WEIGHT: f64 = 1.224_744_871_391_589;
/// Weight of the second: (1 - sqrt(3))/2.
const Q_WEIGHT: f64 = -0.366_025_403_784_438_65;
/// Below this the tails of the exponential series are summed, not found as differences.
const SERIES_BELOW: f64 = 1.0;
/// Coefficients of that series from the third power on: the first term left out is under 1e-16 of the whole at `SERIES_BELOW`.
const FROM_THIRD: [f64; 16] = {
    let series = inverse_factorials::<19>();
    let mut terms = [0.0; 16];
    let mut n = 0;
    while n < 16 {
        terms[n] = series[n + 3];
        n += 1;
    }
    terms
};

/// A first-order filter over one step: `x+ = phi x + l n`.
///
/// White noise through 1/(s + rate): the form of the Dryden gust along the flight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FirstOrder {
    /// Share of the state that is left after the step, 0..1.
    pub phi: f64,
    /// What one unit deviate adds.
    pub l: f64,
}

impl FirstOrder {
    /// For a corner at `rate_per_s` (not negative) over `step_s`. At rate 0 the state stands still.
    pub fn new(rate_per_s: f64, step_s: f64) -> FirstOrder {
        let phi = exp(-rate_per_s * step_s);
        FirstOrder {
            phi,
            l: sqrt(1.0 - phi * phi),
        }
    }

    /// The stationary state from one unit deviate.
    pub fn start(n: f64) -> f64 {
        n
    }

    /// The state one step on.
    pub fn step(self, x: f64, n: f64) -> f64 {
        self.phi * x + self.l * n
    }
}

/// A second-order filter over one step, for a vertical gust:
/// `P+ = phi P + l11 n1`, `Q+ = phi Q + coupling P + l21 n1 + l22 n2`.
///
/// White noise through (1 + sqrt(3) s/rate)/(1 + s/rate)^2: the Dryden vertical gust.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SecondOrder {
    /// Share of each state that is left after the step, 0..1.
    pub phi: f64,
    /// What the first state passes to the second.
    pub coupling: f64,
    /// What the first deviate adds to the first state.
    pub l11: f64,
    /// What the first deviate adds to the second state.
    pub l21: f64,
    /// What the second deviate adds to the second state.
    pub l22: f64,
}

/// The states of a [`SecondOrder`] filter, each of variance one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    /// First state.
    pub p: f64,
    /// Second state.
    pub q: f64,
}

impl SecondOrder {
    /// For a double corner at `rate_per_s` (not negative) over `step_s`. At rate 0 the states stand still.
    pub fn new(rate_per_s: f64, step_s: f64) -> SecondOrder {
        let bt = rate_per_s * step_s;
        let phi = exp(-bt);
        let [q11, q12, q22] = driving_covariance(2.0 * bt);
        let l11 = sqrt(q11);
        let l21 = if l11 > 0.0 { q12 / l11 } else { 0.0 };
        SecondOrder {
            phi,
            coupling: phi * SQRT_2 * bt,
            l11,
            l21,
            l22: sqrt((q22 - l21 * l21).max(0.0)),
        }
    }

    /// The stationary states from two unit deviates.
    pub fn start(n: [f64; 2]) -> Pair {
        Pair {
            p: n[0],
            q: (n[0] + n[1]) / SQRT_2,
        }
    }

    /// The states one step on.
    pub fn step(self, x: Pair, n: [f64; 2]) -> Pair {
        Pair {
            p: self.phi * x.p + self.l11 * n[0],
            q: self.phi * x.q + self.coupling * x.p + self.l21 * n[0] + self.l22 * n[1],
        }
    }
}

impl Pair {
    /// The gust, of variance one.
    pub fn output(self) -> f64 {
        P_WEIGHT * self.p + Q_WEIGHT * self.q
    }
}

/// Covariance that the white noise adds to the two states over a step of `x` = 2 rate step:
/// `1 - e^-x`, `(1 - e^-x (1 + x))/sqrt(2)`, `1 - e^-x (1 + x + x^2/2)`.
///
/// Those are e^-x times the exponential series from its first, second and third term on. All its terms are positive, so
/// summing it loses nothing where the differences would lose almost everything.
fn driving_covariance(x: f64) -> [f64; 3] {
    let e = exp(-x);
    if x >= SERIES_BELOW {
        return [
            1.0 - e,
            (1.0 - e * (1.0 + x)) / SQRT_2,
            1.0 - e * (1.0 + x + 0.5 * x * x),
        ];
    }
    let from_third = x * x * x * polynomial(&FROM_THIRD, x);
    let from_second = from_third + 0.5 * x * x;
    [
        e * (from_second + x),
        e * from_second / SQRT_2,
        e * from_third,
    ]
}
