//! `step`: go to another altitude and stay there.

use super::reader::{At, FileError, Table, plain};
use super::{Progress, Target, Verdict, parse};
use crate::units::{FT, TICK_S};

/// Its keys.
pub const KEYS: &[&str] = &["to_ft", "band_ft", "hold_s", "within_s"];

/// Reaction and settling allowed on top of the change at the 3-degree rate, s.
const LEAST_MARGIN_S: f64 = 5.0;

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
    /// Reads it, and complains where the change from the target so far (ft) is too small or too hurried; `rate_fps` gives
    /// the 3-degree rate at an altitude in ft, ft/s. After a surprise the target so far is not known.
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
                        "a step of {} ft inside a band of {} ft asks for nothing; the change is larger than the band",
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
                        "`within_s` is {}; {} ft at the 3-degree rate and 5 s need at least {:.1}",
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

    /// What it asks the aeroplane to be at.
    pub fn target(&self) -> Target {
        Target::Altitude {
            altitude_m: self.altitude_m,
            band_m: self.band_m,
        }
    }

    /// Captured once a stay has lasted `hold_s`; missed with the first tick that ends after `within_s` outside the band.
    pub fn verdict(&self, progress: &Progress) -> Verdict {
        capture(progress, self.hold_s, self.within_s)
    }
}

/// Captured once a stay has lasted `hold_s`; missed with the first tick that ends after `within_s` outside the band.
pub(super) fn capture(progress: &Progress, hold_s: f64, within_s: f64) -> Verdict {
    if progress.stay_ticks > 0 && progress.stay_ticks as f64 * TICK_S >= hold_s {
        return Verdict::Over {
            captured: Some(true),
        };
    }
    if progress.stay_ticks == 0 && progress.ticks as f64 * TICK_S > within_s {
        return Verdict::Over {
            captured: Some(false),
        };
    }
    Verdict::Running
}
