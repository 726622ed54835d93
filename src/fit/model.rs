//! What rows on speed can determine of an aeroplane, as a handful of numbers, and the
//! readings that an aeroplane with these numbers gives.
//!
//! On speed the angle of attack a is fixed, and the trim of [`crate::sim::trim`] reduces to
//! `V^2 = 2 W (cos g - sin g tan a) / (rho S CL (1 + d tan a))` and
//! `lever (1 - idle) + idle = W (d (cos g - sin g tan a)/(1 + d tan a) + sin g) / (cos a T_available)`
//! with d = CD/CL on speed. So the rows determine S CL, d and the thrust. Only different masses and heights determine the
//! thrust left at idle and how a propeller's thrust falls with speed, and only the effect of a steep path on the speed
//! determines the angle itself: all three only where rows are read more finely than usual. They never determine S without
//! CL, how much of the drag is due to lift, or the lift slope.

use super::nearest::Nearest;
use super::rows::SteadyRow;
use super::{Drive, Given};
use crate::sim::aircraft::{Aircraft, Engine, EngineKind};
use crate::sim::atmosphere::RHO0_KGM3;
use crate::sim::math::{exp, ln, sqrt};
use crate::sim::trim;
use crate::units::{DEG, FPM, FT, G, KT};

/// How many numbers there are.
pub const COUNT: usize = 6;
/// ln of S CL on speed, m2.
pub const LIFT: usize = 0;
/// ln of CD/CL on speed.
pub const DRAG: usize = 1;
/// ln of full thrust at sea level, N: of a propeller at the on-speed speed there.
pub const THRUST: usize = 2;
/// Thrust left at idle, fraction.
pub const IDLE: usize = 3;
/// ln of a propeller's useful power over static thrust and on-speed speed.
pub const FALL: usize = 4;
/// Angle of attack on speed, rad.
pub const ALPHA: usize = 5;

pub type Numbers = [f64; COUNT];

/// Standard deviation, among aeroplanes, of what may be taken from the nearest one; infinite for what the rows must
/// determine. A jet's idle is some 3 to 10 % of full thrust; between a climbing and a cruising propeller lies a factor of
/// 1.5 either way; on-speed angles lie at 7 to 11 degrees (common practice, no source).
pub const SPREAD: Numbers = [
    f64::INFINITY,
    f64::INFINITY,
    f64::INFINITY,
    0.03,
    0.4,
    2.0 * DEG,
];

/// What stays fixed while the numbers are fitted.
pub struct Frame {
    like: Aircraft,
    /// The wing area, where it is given.
    area_m2: Option<f64>,
    mass_kg: f64,
}

/// The steps to which a person reads, SI: half a step either way is rounded away.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Lever, fraction of travel.
    pub lever: f64,
    /// Vertical speed, m/s.
    pub vertical_mps: f64,
    /// Speed, m/s.
    pub speed_mps: f64,
    /// Altitude, m.
    pub h_m: f64,
}

impl Reading {
    /// 1 % of lever, 50 ft/min, 1 kt, 100 ft.
    pub const USUAL: Reading = Reading {
        lever: 0.01,
        vertical_mps: 50.0 * FPM,
        speed_mps: KT,
        h_m: 100.0 * FT,
    };
}

/// How far rounding in reading can move the difference between an aeroplane and a row.
#[derive(Clone, Copy, Debug)]
pub struct Uncertainty {
    /// Standard deviation of the difference from the lever read, due to rounding of lever, vertical speed and altitude:
    /// errors in the latter two count by how far they move the lever (effective variance, Orear 1982).
    pub lever_deviation: f64,
    /// The same for the speed.
    pub speed_deviation: f64,
    /// The largest difference in lever that rounding can make.
    pub lever_most: f64,
    /// The same for the speed.
    pub speed_most: f64,
}

impl Frame {
    pub fn new(nearest: &Nearest, given: &Given) -> Frame {
        Frame {
            like: nearest.aircraft.clone(),
            area_m2: given.area_m2,
            mass_kg: nearest.mass_kg,
        }
    }

    /// All numbers that rows could determine; a jet's thrust does not fall with speed.
    pub fn tried(&self) -> Vec<usize> {
        match Drive::of(&self.like) {
            Drive::Jet => vec![LIFT, DRAG, THRUST, IDLE, ALPHA],
            Drive::Propeller => vec![LIFT, DRAG, THRUST, IDLE, ALPHA, FALL],
        }
    }

    /// The numbers of the nearest aeroplane, scaled to the size and speed of this one.
    pub fn start(&self, nearest: &Nearest) -> Numbers {
        let like = &self.like;
        let cl = like.on_speed_cl();
        let drag = like.drag_coefficient(cl) / cl;
        let dynamic_pa = 0.5 * RHO0_KGM3 * nearest.speed_mps * nearest.speed_mps;
        let own_mps = trim::on_speed(like, 0.0, 0.0).speed_mps;
        let sea = crate::sim::atmosphere::at(0.0);
        let thrust_n = like.engine.available_n(sea, own_mps) * self.mass_kg / like.mass_kg;
        let fall = match like.engine.kind {
            EngineKind::Jet { .. } => 0.0,
            EngineKind::Propeller {
                static_thrust_n,
                useful_power_w,
            } => ln(useful_power_w / static_thrust_n / own_mps),
        };
        [
            ln(self.mass_kg * G / dynamic_pa),
            ln(drag),
            ln(thrust_n),
            like.engine.idle_fraction,
            fall,
            like.alpha_on_rad,
        ]
    }

    /// The aeroplane with these numbers; everything else is taken from the nearest.
    pub fn aircraft(&self, numbers: &Numbers) -> Aircraft {
        let like = &self.like;
        let own_cl = like.on_speed_cl();
        let lift_m2 = exp(numbers[LIFT]);
        let area_m2 = self.area_m2.unwrap_or(lift_m2 / own_cl);
        let cl = lift_m2 / area_m2;
        let cd = exp(numbers[DRAG]) * cl;
        let lift_share = like.k * own_cl * own_cl / like.drag_coefficient(own_cl);
        let full_n = exp(numbers[THRUST]);
        let kind = match like.engine.kind {
            EngineKind::Jet { .. } => EngineKind::Jet {
                max_thrust_n: full_n,
            },
            EngineKind::Propeller { .. } => {
                let speed_mps = sqrt(2.0 * self.mass_kg * G / (RHO0_KGM3 * lift_m2));
                let fall_mps = speed_mps * exp(numbers[FALL]);
                let ratio = speed_mps / fall_mps;
                let static_thrust_n = full_n * sqrt(1.0 + ratio * ratio);
                EngineKind::Propeller {
                    static_thrust_n,
                    useful_power_w: static_thrust_n * fall_mps,
                }
            }
        };
        Aircraft {
            mass_kg: self.mass_kg,
            area_m2,
            cl0: cl - like.cl_per_rad * numbers[ALPHA],
            cd0: (1.0 - lift_share) * cd,
            k: lift_share * cd / (cl * cl),
            alpha_on_rad: numbers[ALPHA],
            alpha_stall_rad: like.alpha_stall_rad - like.alpha_on_rad + numbers[ALPHA],
            engine: Engine {
                kind,
                idle_fraction: numbers[IDLE],
                ..like.engine
            },
            ..like.clone()
        }
    }
}

/// Lever and speed (m/s) of an aeroplane in the conditions of a row.
pub fn read(aircraft: &Aircraft, row: &SteadyRow) -> (f64, f64) {
    let trim = trim::at_vertical(&aircraft.at_mass(row.mass_kg), row.h_m, row.vertical_mps);
    (trim.lever, trim.speed_mps)
}

/// How far rounding in reading can move these.
pub fn uncertainty(aircraft: &Aircraft, row: &SteadyRow, reading: &Reading) -> Uncertainty {
    let over = |vertical_mps: f64, h_m: f64| {
        let moved = |by: f64| SteadyRow {
            vertical_mps: row.vertical_mps + by * vertical_mps,
            h_m: row.h_m + by * h_m,
            ..*row
        };
        let (up, down) = (read(aircraft, &moved(0.5)), read(aircraft, &moved(-0.5)));
        (up.0 - down.0, up.1 - down.1)
    };
    let (vertical, height) = (over(reading.vertical_mps, 0.0), over(0.0, reading.h_m));
    let levers = [reading.lever, vertical.0, height.0];
    let speeds = [reading.speed_mps, vertical.1, height.1];
    // A value that is rounded to a step is anywhere within half a step either way: variance step^2 / 12.
    let deviation = |steps: [f64; 3]| sqrt(steps.iter().map(|s| s * s).sum::<f64>() / 12.0);
    let most = |steps: [f64; 3]| 0.5 * steps.iter().map(|s| s.abs()).sum::<f64>();
    Uncertainty {
        lever_deviation: deviation(levers),
        speed_deviation: deviation(speeds),
        lever_most: most(levers),
        speed_most: most(speeds),
    }
}

/// Correlation of the rounding errors of two readings whose true values lie `steps` steps apart: both errors are B1 of the same
/// phase, whose mean product is B2/2 of the distance (Fourier series of the Bernoulli polynomials), as a share of 1/12.
pub fn rounded_alike(steps: f64) -> f64 {
    let apart = steps.abs() - steps.abs().floor();
    1.0 - 6.0 * apart * (1.0 - apart)
}
