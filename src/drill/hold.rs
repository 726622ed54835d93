//! `hold`: stay at an altitude for a time.

use super::parse;
use super::reader::{At, FileError, Table, plain};
use crate::units::FT;

pub const KEYS: &[&str] = &["altitude_ft", "band_ft", "seconds"];

/// Stay at an altitude for a time, inside the band or not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hold {
    pub altitude_m: f64,
    /// Half-width of the band, m.
    pub band_m: f64,
    /// How long, s.
    pub seconds: f64,
}

impl Hold {
    /// Reads a hold, and refuses it where it lies farther from the last target (ft) than its band.
    pub fn read(table: &Table, target_ft: Option<f64>) -> Result<(Hold, At<f64>), FileError> {
        let altitude = table.number("altitude_ft", parse::ALTITUDE_FT, None)?;
        let band = table.number("band_ft", parse::BAND_FT, None)?;
        if let Some(target_ft) = target_ft
            && (altitude.value - target_ft).abs() > band.value
        {
            return Err(table.error(
                altitude.at,
                format!(
                    "a hold at {} ft, but the aeroplane comes from {} ft; keep the hold within {} ft of that, its band, or give a step",
                    plain(altitude.value),
                    plain(target_ft),
                    plain(band.value)
                ),
            ));
        }
        let hold = Hold {
            altitude_m: altitude.value * FT,
            band_m: band.value * FT,
            seconds: table.number("seconds", parse::SECONDS, None)?.value,
        };
        Ok((hold, altitude))
    }
}
