//! The cost of a finished task: the one formula for all callers.

use super::scene::Scene;
use crate::drill::Kind;
use crate::units::FT;

/// A rate's errors cost one second for each of these, ft/min.
pub const RATE_UNIT_FPM: f64 = 100.0;
/// What the lever of 3 degrees, moved once, costs on a step or a rate, s.
pub const LEVER_S: f64 = 0.5;
/// What a second too steep costs, s.
pub const STEEP_S: f64 = 2.0;
/// On a hold and a path, the lever of 3 degrees moved once a minute weighs as much as the 3-degree rate flown for this time, s:
/// a quiet hand that stays inside is worth as much as a busy one a few feet nearer.
pub const QUIET_S: f64 = 0.1;
/// Weight of a touchdown away from the aim point, in halves of the zone.
pub const TOUCHDOWN: f64 = 0.25;
/// Weight of sink at contact over that of the path.
pub const SINK: f64 = 0.5;
/// Sink at contact up to this, over that of the path, is free.
pub const FREE_SINK: f64 = 1.2;

/// A cost by its terms.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cost {
    /// A step, a rate or slowing in, s.
    Capture {
        /// Until the captured stay begins.
        capture_s: f64,
        /// How far past the target (slowing in: below and above), plus the rms error of the stay, at the 3-degree rate (for a
        /// rate: at 100 ft/min a second).
        error_s: f64,
        /// Half a second for each three degrees' worth of lever moved.
        lever_s: f64,
        /// Twice the time spent too steep.
        steep_s: f64,
    },
    /// A hold, ft.
    Hold {
        /// Rms error.
        error_ft: f64,
        /// For the lever moved in a minute.
        lever_ft: f64,
    },
    /// A path, shares of the band.
    Path {
        /// Rms of the deviation over the local half-width.
        deviation: f64,
        /// For the lever moved in a minute.
        lever: f64,
        /// For a touchdown away from the aim point.
        touchdown: f64,
        /// For a sink at contact well above that of the path.
        sink: f64,
    },
}

impl Cost {
    /// The cost of a finished task; None where there was no capture, no touchdown in the zone, or the lever is not known.
    pub fn of(scene: &Scene) -> Option<Cost> {
        if !scene.known.lever || !scene.known.show(scene.kind()) {
            return None;
        }
        let lever_percent = 100.0 * scene.three.lever;
        let capture = |past: f64, unit: f64, steep_s: f64| {
            Some(Cost::Capture {
                capture_s: scene.capture_s()?,
                error_s: (past + scene.rms()?) / unit,
                lever_s: LEVER_S * scene.lever_travel() / lever_percent,
                steep_s: STEEP_S * steep_s,
            })
        };
        let quiet_ft = |travel_percent: f64, seconds: f64| {
            let per_minute = travel_percent * 60.0 / seconds;
            QUIET_S * scene.rate_fps() * per_minute / lever_percent
        };
        match scene.kind() {
            Kind::Step(_) => capture(scene.overshoot(), scene.rate_fps(), scene.steep_s()),
            Kind::Rate(_) => capture(scene.overshoot(), RATE_UNIT_FPM, 0.0),
            Kind::Slow(_) => capture(scene.below() + scene.above(), scene.rate_fps(), 0.0),
            Kind::Hold(hold) => Some(Cost::Hold {
                error_ft: scene.rms()?,
                lever_ft: quiet_ft(scene.lever_travel(), hold.seconds),
            }),
            Kind::Path(path) => {
                let scored = scene.scored_path()?;
                let touchdown = scene.approach().touchdown?;
                let half_zone_m = path.glide.aim.deck.zone_m / 2.0;
                let lever_ft = quiet_ft(scored.travel_percent, scored.seconds);
                Some(Cost::Path {
                    deviation: scored.share_rms,
                    lever: lever_ft / (path.glide.band_m / FT),
                    touchdown: TOUCHDOWN * touchdown.distance_m.abs() / half_zone_m,
                    sink: SINK * (touchdown.sink_share - FREE_SINK).max(0.0),
                })
            }
            Kind::Surprise(_) => None,
        }
    }

    /// The sum: s for a step or a rate, ft for a hold, shares of the band for a path.
    pub fn total(&self) -> f64 {
        match *self {
            Cost::Capture {
                capture_s,
                error_s,
                lever_s,
                steep_s,
            } => capture_s + error_s + lever_s + steep_s,
            Cost::Hold { error_ft, lever_ft } => error_ft + lever_ft,
            Cost::Path {
                deviation,
                lever,
                touchdown,
                sink,
            } => deviation + lever + touchdown + sink,
        }
    }
}
