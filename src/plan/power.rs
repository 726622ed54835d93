//! What the lever buys: the power that keeps a path, and what moving it is worth.

use crate::drill::Glide;
use crate::sim::air::Wind;
use crate::sim::aircraft::Aircraft;
use crate::sim::math::{atan2, cos, tan};
use crate::sim::trim::{self, Trim};
use crate::units::{DEG, FPM};

/// How far the lever goes from level power for 3 degrees up (`way` 1) or down (-1), fraction of travel, above 0.
pub fn three_degree_lever(aircraft: &Aircraft, h_m: f64, way: f64) -> f64 {
    let level = trim::on_speed(aircraft, h_m, 0.0).lever;
    way * (trim::on_speed(aircraft, h_m, way * 3.0 * DEG).lever - level)
}

/// Vertical speed gained by 1 % of lever about level flight at a height in m, ft/min: central difference over a fifth of a
/// degree of path.
pub fn fpm_per_percent(aircraft: &Aircraft, h_m: f64) -> f64 {
    let small_rad = 0.1 * DEG;
    let up = trim::on_speed(aircraft, h_m, small_rad);
    let down = trim::on_speed(aircraft, h_m, -small_rad);
    (up.vertical_mps() - down.vertical_mps()) / FPM / (100.0 * (up.lever - down.lever))
}

/// Steady flight along a straight line to a deck.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OnPath {
    /// The flight through the air.
    pub trim: Trim,
    /// How fast the distance to the aim point shrinks, m/s.
    pub closure_mps: f64,
    /// Sink, m/s, + down.
    pub sink_mps: f64,
    /// Horizontal speed through the air, m/s.
    pub along_mps: f64,
}

/// The flight on speed at a height in m that keeps a slope (rad, + down) against a deck which moves away at `deck_mps`, in a
/// wind of `wind_mps` against the flight.
pub fn on_path(
    aircraft: &Aircraft,
    h_m: f64,
    slope_rad: f64,
    deck_mps: f64,
    wind_mps: f64,
) -> OnPath {
    // The path through the air determines the horizontal speed, and that the path: each round comes some thousand times nearer.
    const ROUNDS: usize = 6;
    let at = |air_rad: f64| {
        let trim = trim::on_speed(aircraft, h_m, -air_rad);
        let along_mps = trim.speed_mps * cos(air_rad);
        let closure_mps = along_mps - wind_mps - deck_mps;
        OnPath {
            trim,
            closure_mps,
            sink_mps: closure_mps * tan(slope_rad),
            along_mps,
        }
    };
    let mut air_rad = slope_rad;
    for _ in 0..ROUNDS {
        let flown = at(air_rad);
        air_rad = atan2(flown.sink_mps, flown.along_mps);
    }
    at(air_rad)
}

/// The same on the line of a drill's path, at a distance from its aim point in m.
pub fn on_glide(aircraft: &Aircraft, glide: &Glide, distance_m: f64, wind: &Wind) -> OnPath {
    on_path(
        aircraft,
        glide.altitude_m(distance_m),
        glide.slope_rad,
        glide.aim.deck.speed_mps,
        wind.against_mps(),
    )
}
