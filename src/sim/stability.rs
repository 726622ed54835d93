//! How the aeroplane answers when it is left alone: the phugoid and flight-path stability.

use super::air::Wind;
use super::aircraft::Aircraft;
use super::atmosphere;
use super::dynamics::{State, rates};
use super::math::sin_cos;
use super::trim::{self, Trim};
use crate::units::{DEG, G, KT};

/// The slow exchange of speed and height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Phugoid {
    /// 2 pi over the undamped natural frequency, s (not the damped period).
    pub period_s: f64,
    /// Damping ratio; negative where the swing grows.
    pub damping: f64,
}

impl Phugoid {
    /// Lanchester's phugoid at a speed in m/s: period pi sqrt(2) V/g, without damping.
    pub fn lanchester(speed_mps: f64) -> Phugoid {
        Phugoid {
            period_s: core::f64::consts::PI * core::f64::consts::SQRT_2 * speed_mps / G,
            damping: 0.0,
        }
    }

    /// Undamped natural frequency, rad/s.
    pub fn frequency_radps(&self) -> f64 {
        2.0 * core::f64::consts::PI / self.period_s
    }
}

/// The complex pair of the linearisation in (speed, path, pitch attitude) about a steady path, with height and engine state
/// frozen. A damping of 1 or more means a motion that does not swing; None where it diverges without swinging.
pub fn phugoid(aircraft: &Aircraft, h_m: f64, trim: &Trim) -> Option<Phugoid> {
    let (c2, c1, c0) = characteristic(aircraft, h_m, trim);
    let fast = real_root(c2, c1, c0);
    let b = c2 + fast;
    let c = c1 + fast * b;
    (c > 0.0).then(|| Phugoid {
        period_s: 2.0 * core::f64::consts::PI / c.sqrt(),
        damping: b / (2.0 * c.sqrt()),
    })
}

/// Decay rate of the quick pitch motion of the same linearisation, 1/s: the angle of attack on its way back to the one held.
pub fn pitch_per_s(aircraft: &Aircraft, h_m: f64, trim: &Trim) -> f64 {
    let (c2, c1, c0) = characteristic(aircraft, h_m, trim);
    -real_root(c2, c1, c0)
}

/// The coefficients c2, c1, c0 of the linearisation's polynomial s^3 + c2 s^2 + c1 s + c0.
fn characteristic(aircraft: &Aircraft, h_m: f64, trim: &Trim) -> (f64, f64, f64) {
    let a = linearised(aircraft, h_m, trim);
    let minor = |i: usize, j: usize| a[i][i] * a[j][j] - a[i][j] * a[j][i];
    let trace = a[0][0] + a[1][1] + a[2][2];
    let determinant = a[0][0] * minor(1, 2) - a[0][1] * (a[1][0] * a[2][2] - a[1][2] * a[2][0])
        + a[0][2] * (a[1][0] * a[2][1] - a[1][1] * a[2][0]);
    (
        -trace,
        minor(0, 1) + minor(0, 2) + minor(1, 2),
        -determinant,
    )
}

/// The phugoid about level flight on speed, or Lanchester's where that diverges without swinging.
pub fn swing(aircraft: &Aircraft, h_m: f64, level: &Trim) -> Phugoid {
    phugoid(aircraft, h_m, level).unwrap_or_else(|| Phugoid::lanchester(level.speed_mps))
}

/// The leftmost real root of the cubic: the quick pitch motion, by Newton's method from beyond Cauchy's bound.
fn real_root(c2: f64, c1: f64, c0: f64) -> f64 {
    let mut s = -(1.0 + c2.abs().max(c1.abs()).max(c0.abs()));
    for _ in 0..200 {
        let value = ((s + c2) * s + c1) * s + c0;
        let slope = (3.0 * s + 2.0 * c2) * s + c1;
        let next = s - value / slope;
        if (next - s).abs() <= 1e-15 * s.abs() {
            return next;
        }
        s = next;
    }
    s
}

/// Jacobian of (V', gamma', theta') in (V, gamma, theta), by central differences.
fn linearised(aircraft: &Aircraft, h_m: f64, trim: &Trim) -> [[f64; 3]; 3] {
    let motion = |v: [f64; 3]| {
        let (sin_path, cos_path) = sin_cos(v[1]);
        let state = State {
            vx_mps: v[0] * cos_path,
            vz_mps: v[0] * sin_path,
            h_m,
            x_m: 0.0,
            theta_rad: v[2],
            engine: trim.engine,
        };
        let rate = rates(aircraft, &state, trim.lever, &Wind::default());
        [
            rate.vx_mps * cos_path + rate.vz_mps * sin_path,
            (rate.vz_mps * cos_path - rate.vx_mps * sin_path) / v[0],
            rate.theta_rad,
        ]
    };
    let about = [
        trim.speed_mps,
        trim.path_rad,
        trim.path_rad + aircraft.alpha_on_rad,
    ];
    let nudge = [1e-4 * trim.speed_mps, 1e-5, 1e-5];
    let mut a = [[0.0; 3]; 3];
    for column in 0..3 {
        let (mut more, mut less) = (about, about);
        more[column] += nudge[column];
        less[column] -= nudge[column];
        let (more, less) = (motion(more), motion(less));
        for row in 0..3 {
            a[row][column] = (more[row] - less[row]) / (2.0 * nudge[column]);
        }
    }
    a
}

/// Path angle gained per speed gained at a fixed engine state, rad per m/s: MIL-F-8785C 3.2.1.3. Speed is moved by 1 kt
/// either side of the level on-speed trim, the angle of attack is freed so that lift balances, and thrust varies with speed
/// as the engine's law has it. Positive is the back side: slower means steeper down.
pub fn path_per_speed(aircraft: &Aircraft, h_m: f64) -> f64 {
    let level = trim::on_speed(aircraft, h_m, 0.0);
    let path = |speed_mps: f64| freed(aircraft, h_m, speed_mps, level.engine).1;
    (path(level.speed_mps + KT) - path(level.speed_mps - KT)) / (2.0 * KT)
}

/// The same about any speed (m/s) and engine state; None where the slower side is beyond the stall.
pub fn path_per_speed_at(
    aircraft: &Aircraft,
    h_m: f64,
    speed_mps: f64,
    engine: f64,
) -> Option<f64> {
    let (_, fast_rad) = freed(aircraft, h_m, speed_mps + KT, engine);
    let (alpha_rad, slow_rad) = freed(aircraft, h_m, speed_mps - KT, engine);
    (alpha_rad <= aircraft.alpha_stall_rad).then_some((fast_rad - slow_rad) / (2.0 * KT))
}

/// The angle of attack that balances lift at a speed (m/s) with the engine state held, and the steady path with it (rad).
fn freed(aircraft: &Aircraft, h_m: f64, speed_mps: f64, engine: f64) -> (f64, f64) {
    let air = atmosphere::at(h_m);
    let q_area = 0.5 * air.rho_kgm3 * speed_mps * speed_mps * aircraft.area_m2;
    let weight_n = aircraft.mass_kg * G;
    let thrust_n = engine * aircraft.engine.available_n(air, speed_mps);
    let (mut alpha, mut path) = (aircraft.alpha_on_rad, 0.0);
    // Each pass corrects the lift for the last thrust and path; the error shrinks by about the ratio of drag to lift.
    for _ in 0..60 {
        let (sin_alpha, cos_alpha) = sin_cos(alpha);
        let cl = (weight_n * super::math::cos(path) - thrust_n * sin_alpha) / q_area;
        alpha = (cl - aircraft.cl0) / aircraft.cl_per_rad;
        let drag_n = q_area * aircraft.drag_coefficient(cl);
        // With an engine stronger than the weight the iteration may overshoot.
        path = super::math::asin(((thrust_n * cos_alpha - drag_n) / weight_n).clamp(-1.0, 1.0));
    }
    (alpha, path)
}

/// [`path_per_speed`] in degrees per knot, as the standard states its limits.
pub fn path_per_speed_deg_per_kt(aircraft: &Aircraft, h_m: f64) -> f64 {
    path_per_speed(aircraft, h_m) / DEG * KT
}
