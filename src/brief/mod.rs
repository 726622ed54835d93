//! Prepare: the numbers to have in mind before flying. Everything here is computed by flying the model, nothing is a rule of
//! thumb unless it says so.
//!
//! Each value comes twice: as a plain struct that serialises (keys with their units, layout [`SCHEMA`]) and as `lines()` in
//! pilots' units, at most [`WIDTH`] characters wide.
#![deny(clippy::disallowed_methods, clippy::disallowed_types)]

pub mod aeroplane;
mod card_search;
pub mod carry_on;
pub mod drag_curve;
pub mod drill;
pub mod flight;
pub mod judge;
pub mod level_off;
pub mod path;
pub mod power_card;
pub mod predict;
mod solve;
pub mod stability;
pub mod wind;

pub use aeroplane::AeroplanePage;
pub use drill::DrillBrief;
pub use judge::{Judgement, Severity, judge};
pub use path::PathBrief;
pub use power_card::PowerCard;
pub use predict::Predict;

use crate::sim::aircraft::Aircraft;
use crate::sim::trim;
use crate::units::{DEG, FPM, TICKS_PER_S};

/// Version of the layout of every brief.
pub const SCHEMA: u32 = 1;
/// Characters in the longest line of text.
pub const WIDTH: usize = 100;

/// Vertical speed gained by 1 % of lever about level flight at a height in m, ft/min: central difference over a fifth of a
/// degree of path.
fn fpm_per_percent(aircraft: &Aircraft, h_m: f64) -> f64 {
    let small_rad = 0.1 * DEG;
    let up = trim::on_speed(aircraft, h_m, small_rad);
    let down = trim::on_speed(aircraft, h_m, -small_rad);
    (up.vertical_mps() - down.vertical_mps()) / FPM / (100.0 * (up.lever - down.lever))
}

/// Ticks nearest to a time in s, not negative.
fn ticks(seconds: f64) -> u64 {
    (seconds * TICKS_PER_S as f64).round() as u64
}

/// "37.8 %" of a lever, or that the engine cannot.
fn percent(lever: Option<f64>) -> String {
    match lever {
        Some(lever) => format!("{:.1} %", 100.0 * lever),
        None => "-".to_string(),
    }
}

/// A number with `digits` decimals, or a dash; never "-0".
fn number(value: Option<f64>, digits: usize) -> String {
    match value {
        Some(value) => format!("{:.digits$}", value + 0.0).replace("-0.0", "0.0"),
        None => "-".to_string(),
    }
}
