//! `slow`: slowing in, to on speed with every extra out, at the altitude of the start.

use std::ops::RangeInclusive;

use super::reader::{FileError, Table};
use super::{Step, parse};
use crate::units::FT;

pub const KEYS: &[&str] = &["band_ft", "hold_s", "within_s"];

/// Range of `off_speed_kt` at its start.
pub const OFF_SPEED_KT: RangeInclusive<f64> = 10.0..=150.0;

/// Keys that a start for slowing in leaves out: it is steady and level, and has no aim point.
pub const NOT_GIVEN: &[&str] = &["path_deg", "lever_off", "lever", "engine", "distance_nm"];

/// Reads a slow as the step that it ends as, to the altitude it begins at, m.
pub fn read(table: &Table, altitude_m: f64) -> Result<Step, FileError> {
    let feet = |key| table.number(key, parse::BAND_FT, None);
    let seconds = |key| table.number(key, parse::SECONDS, None);
    Ok(Step {
        altitude_m,
        band_m: feet("band_ft")?.value * FT,
        hold_s: seconds("hold_s")?.value,
        within_s: seconds("within_s")?.value,
    })
}
