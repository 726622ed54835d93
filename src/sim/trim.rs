//! Steady flight: the speed and the lever that hold a path, in closed form.

use super::aircraft::Aircraft;
use super::atmosphere;
use super::dynamics::Rig;
use super::math::{asin, cos, halved, sin, sin_cos, tan};
use crate::units::{DEG, G};

/// A steady straight path through still air, air density taken at one height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trim {
    /// True airspeed, m/s.
    pub speed_mps: f64,
    /// Path angle, rad, + up.
    pub path_rad: f64,
    pub thrust_n: f64,
    /// Engine state that gives it, fraction of available thrust; outside idle..1 where the engine cannot give it.
    pub engine: f64,
    /// Lever that settles there; outside 0..1 where the engine cannot give it.
    pub lever: f64,
}

impl Trim {
    /// Vertical speed, m/s, + up.
    pub fn vertical_mps(&self) -> f64 {
        self.speed_mps * sin(self.path_rad)
    }

    /// Whether the engine can hold it.
    pub fn is_possible(&self) -> bool {
        (0.0..=1.0).contains(&self.lever)
    }
}

/// Steady flight on speed, at a height in m on a path in rad.
pub fn on_speed(aircraft: &Aircraft, h_m: f64, path_rad: f64) -> Trim {
    at_alpha(aircraft, aircraft.alpha_on_rad, h_m, path_rad)
}

/// Steady flight on speed, at a height in m with a vertical speed in m/s, + up, of at most half the speed: a path
/// steeper than 30 degrees is not one to fly on speed.
pub fn at_vertical(aircraft: &Aircraft, h_m: f64, vertical_mps: f64) -> Trim {
    // Speed hardly depends on the path: a dozen rounds are good to the last bit on any path worth flying.
    const ROUNDS: usize = 12;
    let mut found = on_speed(aircraft, h_m, 0.0);
    for _ in 0..ROUNDS {
        let path_rad = asin((vertical_mps / found.speed_mps).clamp(-0.5, 0.5));
        if path_rad == found.path_rad {
            break;
        }
        found = on_speed(aircraft, h_m, path_rad);
    }
    found
}

/// The lowest and the highest steady on-speed path angle that the engine can hold, degrees,
/// in steps of 1/`parts` of a degree within +-10.
pub fn path_range_deg(aircraft: &Aircraft, h_m: f64, parts: i32) -> (f64, f64) {
    let deg = |part: i32| f64::from(part) / f64::from(parts);
    let possible = |part: &i32| on_speed(aircraft, h_m, deg(*part) * DEG).is_possible();
    let all = -10 * parts..=10 * parts;
    let low = all.clone().find(possible).unwrap_or(0);
    let high = all.rev().find(possible).unwrap_or(0);
    (deg(low), deg(high))
}

/// Steady flight at an angle of attack in rad, at a height in m on a path in rad.
///
/// From `T cos a = D + W sin g` and `L + T sin a = W cos g` with lift and drag proportional to dynamic pressure q:
/// `q S (CL + CD tan a) = W (cos g - sin g tan a)`.
pub fn at_alpha(aircraft: &Aircraft, alpha_rad: f64, h_m: f64, path_rad: f64) -> Trim {
    let air = atmosphere::at(h_m);
    let weight_n = aircraft.mass_kg * G;
    let cl = aircraft.lift_coefficient(alpha_rad);
    let cd = aircraft.drag_coefficient(cl);
    let (sin_alpha, cos_alpha) = sin_cos(alpha_rad);
    let tan_alpha = sin_alpha / cos_alpha;
    let (sin_path, cos_path) = sin_cos(path_rad);

    let q_area = weight_n * (cos_path - sin_path * tan_alpha) / (cl + cd * tan_alpha);
    let speed_mps = (2.0 * q_area / (air.rho_kgm3 * aircraft.area_m2)).sqrt();
    let thrust_n = (q_area * cd + weight_n * sin_path) / cos_alpha;
    let engine = thrust_n / aircraft.engine.available_n(air, speed_mps);
    Trim {
        speed_mps,
        path_rad,
        thrust_n,
        engine,
        lever: aircraft.engine.lever_for(engine),
    }
}

/// Steady level flight at a given speed, with the angle of attack it takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AtSpeed {
    /// The flight.
    pub trim: Trim,
    /// Angle of attack, rad.
    pub alpha_rad: f64,
}

/// Steady level flight at a height in m and an airspeed in m/s, rigged as given; None where it would be beyond the stall.
///
/// From `T cos a = D` and `L + T sin a = W`: `q S (CL + CD tan a) = W`.
pub fn at_speed(aircraft: &Aircraft, rig: &Rig, h_m: f64, speed_mps: f64) -> Option<AtSpeed> {
    /// Halvings after which only rounding is left of the angle.
    const HALVINGS: usize = 60;
    const LEAST_RAD: f64 = -30.0 * DEG;
    let air = atmosphere::at(h_m);
    let q_area = 0.5 * air.rho_kgm3 * speed_mps * speed_mps * aircraft.area_m2;
    let drag = |alpha_rad: f64| {
        let cl = aircraft.lift_coefficient(alpha_rad) - rig.lift_in;
        (cl, aircraft.drag_coefficient(cl) - rig.drag_in)
    };
    let carries = |alpha_rad: f64| {
        let (cl, cd) = drag(alpha_rad);
        q_area * (cl + cd * tan(alpha_rad)) >= aircraft.mass_kg * G
    };
    let ends = (LEAST_RAD, aircraft.alpha_stall_rad);
    if !carries(ends.1) || carries(ends.0) {
        return None;
    }
    let (_, alpha_rad) = halved(HALVINGS, ends, carries);
    let (_, cd) = drag(alpha_rad);
    let thrust_n = q_area * cd / cos(alpha_rad);
    let engine = thrust_n / aircraft.engine.available_n(air, speed_mps);
    Some(AtSpeed {
        trim: Trim {
            speed_mps,
            path_rad: 0.0,
            thrust_n,
            engine,
            lever: aircraft.engine.lever_for(engine),
        },
        alpha_rad,
    })
}

/// The scale of a drill's arithmetic: what 3 degrees of path mean for this aeroplane at a height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThreeDegrees {
    /// Vertical speed of a 3-degree path at the level on-speed speed, m/s: `r` of the cost.
    pub rate_mps: f64,
    /// Lever from level flight to a 3-degree descent, fraction of travel: `u` of the cost.
    pub lever: f64,
}

/// See [`ThreeDegrees`]; at a height in m.
pub fn three_degrees(aircraft: &Aircraft, h_m: f64) -> ThreeDegrees {
    let level = on_speed(aircraft, h_m, 0.0);
    let down = on_speed(aircraft, h_m, -3.0 * DEG);
    ThreeDegrees {
        rate_mps: level.speed_mps * sin(3.0 * DEG),
        lever: level.lever - down.lever,
    }
}
