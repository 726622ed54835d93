//! The quantity on the vertical axis of a picture: altitude, vertical speed, or the share of the allowed deviation used.

use crate::drill::Target;
use crate::drill::reader::plain;
use crate::run::Run;
use crate::sim::dynamics::State;
use crate::sim::math::atan2;
use crate::units::{FPM, FT};

/// A quantity with its unit on the screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// Altitude, ft.
    Altitude,
    /// Vertical speed, ft/min.
    Vertical,
    /// Deviation from the target, % of what is allowed there and then.
    Share,
}

impl Measure {
    /// The quantity in which a target is given.
    pub fn of(target: &Target) -> Measure {
        match target {
            Target::Altitude { .. } => Measure::Altitude,
            Target::Vertical { .. } => Measure::Vertical,
            Target::Path(_) => Measure::Share,
        }
    }

    /// The value of a state at a tick in this quantity, while `target` is asked for.
    pub fn value(self, target: &Target, state: &State, tick: u64) -> f64 {
        match self {
            Measure::Altitude => state.h_m / FT,
            Measure::Vertical => state.vz_mps / FPM,
            Measure::Share => 100.0 * target.error(state, tick) / target.band(state, tick),
        }
    }

    /// The value to draw: limited where it lies so far out that the band would no longer be readable.
    pub fn drawn(self, value: f64) -> f64 {
        /// Three half-widths of the band, %: with as much above and below the path, the band takes a third of the picture.
        const FARTHEST: f64 = 300.0;
        match self {
            Measure::Share => value.clamp(-FARTHEST, FARTHEST),
            _ => value,
        }
    }

    /// The value of a run at a tick in this quantity, while `target` is asked for.
    pub fn at(self, target: &Target, run: &Run, tick: usize) -> f64 {
        self.value(target, run.trace().state(tick), tick as u64)
    }

    /// Wanted value and half-width of a target in this quantity; None where the target is given in another.
    pub fn band(self, target: &Target) -> Option<(f64, f64)> {
        match *target {
            _ if self != Measure::of(target) => None,
            Target::Altitude { altitude_m, band_m } => Some((altitude_m / FT, band_m / FT)),
            Target::Vertical {
                vertical_mps,
                band_mps,
            } => Some((vertical_mps / FPM, band_mps / FPM)),
            Target::Path(_) => Some((0.0, 100.0)),
        }
    }

    /// The unit of the labels on the axis; empty for a share, where each label carries its own.
    pub fn unit(self) -> &'static str {
        match self {
            Measure::Altitude => "ft",
            Measure::Vertical => "ft/min",
            Measure::Share => "",
        }
    }

    /// The label of a value on the axis. On a path, zero is labelled as the path itself.
    pub fn label(self, value: f64) -> String {
        let number = plain(value.round() + 0.0);
        match self {
            Measure::Altitude | Measure::Vertical => number,
            Measure::Share if value == 0.0 => "path".to_string(),
            Measure::Share => format!("{number} %"),
        }
    }

    /// The flight-path angle that the marker shows, rad: through the air, or on a path relative to the path in the deck's
    /// frame; 0 once down.
    pub fn tilt_rad(self, run: &Run) -> f64 {
        let state = run.world().state();
        match (self, &run.leg().target) {
            (Measure::Share, _) if run.leg().approach.is_down() => 0.0,
            (Measure::Share, Target::Path(glide)) => {
                atan2(state.vz_mps, glide.closure_mps(state)) + glide.slope_rad
            }
            _ => run.world().air_data().path_rad,
        }
    }
}

/// Time to the aim point at the current closure, s; None when not on a path.
pub fn to_go_s(run: &Run) -> Option<f64> {
    let Target::Path(glide) = &run.leg().target else {
        return None;
    };
    let state = run.world().state();
    let closure_mps = glide.closure_mps(state).max(1.0);
    Some(glide.distance_m(state, run.tick()) / closure_mps)
}
