//! The drag curve: thrust and power that level flight takes, from the stall to well past minimum drag.
//!
//! Computed from the model's own level trim over angle of attack, so the share of weight that thrust carries is in it. That
//! puts the speeds of minimum drag and minimum power slightly off the textbook's (Anderson, *Introduction to Flight*:
//! thrust along the path, V of minimum power = V of minimum drag / 3^(1/4)).

use serde::Serialize;

use super::solve::{crossing, least};
use crate::sim::aircraft::Aircraft;
use crate::sim::trim::{self, Trim};
use crate::units::{DEG, G, KT};

/// Points of the curve.
const POINTS: usize = 41;
/// The curve ends at this share of the speed of minimum drag.
const FAST_END: f64 = 1.6;
/// Lift coefficient below which nothing flies level at a speed worth drawing.
const LEAST_LIFT: f64 = 0.05;

/// Thrust and power for level flight against speed, at one mass and altitude.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DragCurve {
    /// On-speed speed, kt.
    pub on_speed_kt: f64,
    /// Speed of the stall's angle of attack, kt.
    pub stall_kt: f64,
    /// Speed of least thrust, kt; null where it would lie below the stall.
    pub min_drag_kt: Option<f64>,
    /// Speed of least power, kt; null where it would lie below the stall.
    pub min_power_kt: Option<f64>,
    /// Power (thrust times speed) that level flight on speed takes, W.
    pub power_on_speed_w: f64,
    /// From the stall up, evenly spaced in speed.
    pub points: Vec<DragPoint>,
}

/// Level flight at one speed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DragPoint {
    /// True airspeed, kt.
    pub speed_kt: f64,
    /// Angle of attack, degrees.
    pub alpha_deg: f64,
    /// Thrust required, N.
    pub thrust_n: f64,
    /// The same as a share of weight.
    pub thrust_to_weight: f64,
    /// Power required: thrust times speed, W.
    pub power_w: f64,
}

impl DragCurve {
    /// The curve of an aeroplane at a height in m.
    pub fn of(aircraft: &Aircraft, h_m: f64) -> DragCurve {
        let level = |alpha_rad: f64| trim::at_alpha(aircraft, alpha_rad, h_m, 0.0);
        let stall_rad = aircraft.alpha_stall_rad;
        let fastest_rad = (LEAST_LIFT - aircraft.cl0) / aircraft.cl_per_rad;
        let drag_rad = least(fastest_rad, stall_rad, |alpha| level(alpha).thrust_n);
        let power_rad = least(fastest_rad, stall_rad, |alpha| power_w(&level(alpha)));
        let before_stall = |alpha_rad: f64| {
            (alpha_rad < stall_rad - 1e-6 * (stall_rad - fastest_rad))
                .then(|| level(alpha_rad).speed_mps / KT)
        };

        let on_speed = level(aircraft.alpha_on_rad);
        let stall_mps = level(stall_rad).speed_mps;
        let end_mps = (FAST_END * level(drag_rad).speed_mps)
            .max(1.2 * on_speed.speed_mps)
            .min(level(fastest_rad).speed_mps);
        let points = (0..POINTS)
            .map(|i| {
                let share = i as f64 / (POINTS - 1) as f64;
                let speed_mps = stall_mps + share * (end_mps - stall_mps);
                let alpha_rad = crossing(fastest_rad, stall_rad, |alpha| {
                    level(alpha).speed_mps - speed_mps
                });
                DragPoint::of(aircraft, alpha_rad, &level(alpha_rad))
            })
            .collect();
        DragCurve {
            on_speed_kt: on_speed.speed_mps / KT,
            stall_kt: stall_mps / KT,
            min_drag_kt: before_stall(drag_rad),
            min_power_kt: before_stall(power_rad),
            power_on_speed_w: power_w(&on_speed),
            points,
        }
    }

    /// On speed against the speeds of least thrust and least power, in words.
    pub fn lines(&self) -> Vec<String> {
        let mut lines = vec![format!(
            "on speed {:.1} kt, {:.1} kt above the stall at {:.1} kt",
            self.on_speed_kt,
            self.on_speed_kt - self.stall_kt,
            self.stall_kt
        )];
        lines.push(match self.min_drag_kt {
            Some(min_drag_kt) => format!(
                "minimum drag {:.1} kt: on speed is {:.1} kt {}",
                min_drag_kt,
                (self.on_speed_kt - min_drag_kt).abs(),
                if self.on_speed_kt < min_drag_kt {
                    "slower, on the back side: slower still takes more thrust"
                } else {
                    "faster, on the front side"
                }
            ),
            None => {
                "minimum drag lies below the stall: all of the curve is its front side".to_string()
            }
        });
        if let Some(min_power_kt) = self.min_power_kt {
            lines.push(format!("minimum power {min_power_kt:.1} kt"));
        }
        let thrust = |point: &DragPoint| {
            format!(
                "{:8.1} kt {:7.0} N {:6.1} % of weight {:8.0} kW",
                point.speed_kt,
                point.thrust_n,
                100.0 * point.thrust_to_weight,
                point.power_w / 1000.0
            )
        };
        lines.push("thrust and power for level flight:".to_string());
        lines.extend(self.points.iter().step_by(5).map(thrust));
        lines
    }
}

impl DragPoint {
    fn of(aircraft: &Aircraft, alpha_rad: f64, level: &Trim) -> DragPoint {
        DragPoint {
            speed_kt: level.speed_mps / KT,
            alpha_deg: alpha_rad / DEG,
            thrust_n: level.thrust_n,
            thrust_to_weight: level.thrust_n / (aircraft.mass_kg * G),
            power_w: power_w(level),
        }
    }
}

fn power_w(level: &Trim) -> f64 {
    level.thrust_n * level.speed_mps
}
