//! `step`: go to another altitude and stay there.

use super::parse;
use super::reader::{At, FileError, Table, plain};
use crate::units::{FPM, FT};

pub const KEYS: &[&str] = &["to_ft", "band_ft", "hold_s", "within_s"];

/// Reaction and settling allowed on top of the change at the 3-degree rate, s.
const LEAST_MARGIN_S: f64 = 5.0;

/// An altitude that changes no faster than this is level, m/s.
const LEVEL_MPS: f64 = 100.0 * FPM;

/// Go to another altitude and stay there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// The wanted altitude, m.
    pub altitude_m: f64,
    /// Half-width of the band, m.
    pub band_m: f64,
    /// The stay asked for, s.
    pub hold_s: f64,
    /// The time allowed to begin it, s.
    pub within_s: f64,
}

impl Step {
    /// Reads a step, and refuses it where the change from the last target (ft) is too small or the time too short;
    /// `rate_fps` gives the 3-degree rate at an altitude in ft, ft/s. After a surprise the last target is not known.
    pub fn read(
        table: &Table,
        target_ft: Option<f64>,
        rate_fps: impl Fn(f64) -> f64,
    ) -> Result<(Step, At<f64>), FileError> {
        let to = table.number("to_ft", parse::ALTITUDE_FT, None)?;
        let band = table.number("band_ft", parse::BAND_FT, None)?;
        let hold = table.number("hold_s", parse::SECONDS, None)?;
        let within = table.number("within_s", parse::SECONDS, None)?;
        if let Some(target_ft) = target_ft {
            let change_ft = (to.value - target_ft).abs();
            if change_ft <= band.value {
                return Err(table.error(
                    to.at,
                    format!(
                        "a step of {} ft inside a band of {} ft asks for nothing; the change must be larger than the band",
                        plain(change_ft),
                        plain(band.value)
                    ),
                ));
            }
            let least_s = change_ft / rate_fps(target_ft) + LEAST_MARGIN_S;
            if within.value < least_s {
                return Err(table.error(
                    within.at,
                    format!(
                        "`within_s` is {}; {} ft at the 3-degree rate plus 5 s needs at least {:.1}",
                        plain(within.value),
                        plain(change_ft),
                        (least_s * 10.0).ceil() / 10.0
                    ),
                ));
            }
        }
        let step = Step {
            altitude_m: to.value * FT,
            band_m: band.value * FT,
            hold_s: hold.value,
            within_s: within.value,
        };
        Ok((step, to))
    }

    /// How far the altitude may move in half a stay that captures, m: half of the band, or 100 ft/min where that is more.
    pub fn level_m(&self) -> f64 {
        f64::max(0.5 * self.band_m, LEVEL_MPS * 0.5 * self.hold_s)
    }
}
