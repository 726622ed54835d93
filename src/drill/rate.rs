//! `rate`: go to a vertical speed and stay at it.

use super::parse;
use super::reader::{At, FileError, Table, plain};
use crate::units::FPM;

pub const KEYS: &[&str] = &["to_fpm", "band_fpm", "hold_s", "within_s"];

/// Least time to get there, s.
const LEAST_S: f64 = 5.0;

/// Go to a vertical speed and stay at it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rate {
    /// The wanted vertical speed, m/s, + up.
    pub vertical_mps: f64,
    /// Half-width of the band, m/s.
    pub band_mps: f64,
    /// The stay asked for, s.
    pub hold_s: f64,
    /// The time allowed to begin it, s.
    pub within_s: f64,
}

impl Rate {
    /// Reads a rate, and refuses it where the change from the last vertical speed asked for (ft/min) is too small or the
    /// time too short. After a surprise the last one is not known.
    pub fn read(table: &Table, from_fpm: Option<f64>) -> Result<(Rate, At<f64>), FileError> {
        let to = table.number("to_fpm", -4000.0..=4000.0, None)?;
        let band = table.number("band_fpm", parse::BAND_FPM, None)?;
        let hold = table.number("hold_s", parse::SECONDS, None)?;
        let within = table.number("within_s", parse::SECONDS, None)?;
        if let Some(change_fpm) = from_fpm.map(|from_fpm| (to.value - from_fpm).abs())
            && change_fpm <= band.value
        {
            let message = format!(
                "a rate {} ft/min from the last one inside a band of {} ft/min asks for nothing; the change must be larger than the band",
                plain(change_fpm.round()),
                plain(band.value)
            );
            return Err(table.error(to.at, message));
        }
        if within.value < LEAST_S {
            let message = format!(
                "`within_s` is {}; a rate needs at least 5 s",
                plain(within.value)
            );
            return Err(table.error(within.at, message));
        }
        let rate = Rate {
            vertical_mps: to.value * FPM,
            band_mps: band.value * FPM,
            hold_s: hold.value,
            within_s: within.value,
        };
        Ok((rate, to))
    }
}
