//! Prepare: the numbers to have in mind before flying. Everything here is computed by flying the model, nothing is a rule of
//! thumb unless it says so.
//!
//! Each value comes twice: as a plain struct that serialises (keys with their units, layout [`SCHEMA`]) and as `lines()` in
//! pilots' units, at most 80 characters wide.
#![deny(clippy::disallowed_methods, clippy::disallowed_types)]

pub mod aeroplane;
pub mod carry_on;
pub mod drag_curve;
pub mod drill;
pub mod judge;
pub mod path;
pub mod power_card;
pub mod predict;
pub mod recipe_words;
mod solve;
pub mod stability;
pub mod wind;

pub use aeroplane::AeroplanePage;
pub use drill::DrillBrief;
pub use judge::{Judgement, Severity, judge};
pub use path::PathBrief;
pub use power_card::PowerCard;
pub use predict::Predict;

use crate::drill::reader::{fixed, plain};

/// Version of the layout of every brief.
pub const SCHEMA: u32 = 1;

/// A lever such as "37.5 %", or a dash where the engine cannot hold it.
fn percent(lever: Option<f64>) -> String {
    lever.map_or_else(|| "-".to_string(), crate::plan::recipe::set)
}

/// A number to the hundredth, without zeros at its end.
fn hundredths(value: f64) -> String {
    plain((100.0 * value).round() / 100.0)
}

/// A number with `digits` decimals, or a dash; never "-0".
fn number(value: Option<f64>, digits: usize) -> String {
    match value {
        Some(value) => fixed(value, digits),
        None => "-".to_string(),
    }
}
