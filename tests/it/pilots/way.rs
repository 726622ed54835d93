//! The course of an errand: a new target, the wanted state now, and the change from going to stopping and keeping.

use leveloff::drill::Target;
use leveloff::drill::path::Glide;
use leveloff::sim::math::tan;

use super::errand::{Errand, Phase};
use super::eyes::Reading;
use super::faults::Fault;
use super::known::Known;

/// How far ahead the growth of the speed on the way is foreseen from its trend, s.
pub const GROWING_S: f64 = 1.5;

/// The present target.
#[derive(Clone, Copy, Debug)]
pub struct Asked {
    pub target: Target,
    pub from_m: f64,
    pub level: f64,
    pub phase: Phase,
    pub phase_since_s: f64,
    pub going_mps: f64,
    pub turn_mps: f64,
    /// Whether a line has been met and is being kept.
    pub is_on_line: bool,
    /// Error in judging the moment of stopping, s.
    pub misjudged_s: f64,
    /// By how much the number is believed to lie farther along, m, until it is noticed.
    pub shift_m: f64,
    pub is_noticed: bool,
}

impl Errand {
    /// The beginning of a new target.
    pub(super) fn begun(&mut self, reading: &Reading, known: &Known, t_s: f64) -> Asked {
        /// A distance worth going, in s of the 3-degree rate; less is corrected away.
        const WORTH_S: f64 = 4.0;
        /// A rate already flown is kept if it is this share of that of 3 degrees.
        const GOOD: std::ops::RangeInclusive<f64> = 0.75..=1.3;
        /// Moments are judged to about a third of a second.
        const JUDGED_S: f64 = 0.3;
        let misjudged_s = JUDGED_S * self.noise.normal();
        let at_m = match reading.target {
            Target::Altitude { altitude_m, .. } => altitude_m,
            _ => reading.altitude_m,
        };
        let mut asked = Asked {
            target: reading.target,
            from_m: reading.altitude_m,
            level: known.level(at_m),
            phase: Phase::Keeping,
            phase_since_s: t_s,
            going_mps: 0.0,
            turn_mps: 0.0,
            is_on_line: false,
            misjudged_s,
            shift_m: 0.0,
            is_noticed: false,
        };
        match reading.target {
            Target::Altitude { altitude_m, band_m } => {
                let missing_m = altitude_m - reading.altitude_m;
                let dir = missing_m.signum();
                if missing_m.abs() > band_m.max(WORTH_S * known.three_mps) {
                    asked.phase = Phase::Going;
                    let there = dir * reading.vertical_mps / known.three_mps;
                    // Chosen so that the swing past it does not get too steep either.
                    let most = known.steepest_mps() / known.three_mps;
                    let boldness = if GOOD.contains(&there) {
                        there.min(most)
                    } else {
                        self.boldness.min(most / (1.0 + known.swings_over()))
                    };
                    asked.going_mps = dir * boldness * self.haste(dir) * known.three_mps;
                }
            }
            Target::Vertical { vertical_mps, .. } => {
                asked.phase = Phase::Stopping;
                asked.turn_mps = vertical_mps - reading.vertical_mps;
                asked.going_mps = asked.turn_mps;
            }
            Target::Path(_) => {}
        }
        asked
    }

    /// How many times too fast the pilot goes.
    pub(super) fn haste(&self, dir: f64) -> f64 {
        /// Steep enough to need nearly idle in every aeroplane.
        const DIVE: f64 = 2.2;
        match self.fault {
            Some(Fault::Going { times }) => times,
            Some(Fault::Dive) if dir < 0.0 => DIVE,
            _ => 1.0,
        }
    }

    /// The altitude missing, the vertical speed to keep, and the band.
    pub(super) fn wanted(&self, asked: &mut Asked, reading: &Reading, t_s: f64) -> (f64, f64, f64) {
        match (asked.target, reading.approach) {
            (Target::Altitude { altitude_m, band_m }, _) => {
                (altitude_m - reading.altitude_m, 0.0, band_m)
            }
            (
                Target::Vertical {
                    vertical_mps,
                    band_mps,
                },
                _,
            ) => (0.0, vertical_mps, band_mps),
            (Target::Path(glide), Some(approach)) => {
                if !asked.is_on_line && !self.is_met(asked, &glide, approach) {
                    let half_width_m = glide.half_width_m(approach.0);
                    return (asked.from_m - reading.altitude_m, 0.0, half_width_m);
                }
                if !asked.is_on_line {
                    asked.is_on_line = true;
                    asked.phase = Phase::Stopping;
                    asked.phase_since_s = t_s;
                    asked.going_mps = -approach.1 * tan(glide.slope_rad);
                    asked.turn_mps = asked.going_mps - reading.vertical_mps;
                }
                self.along(&glide, approach, reading)
            }
            (Target::Path(glide), None) => (0.0, 0.0, glide.band_m),
        }
    }

    /// Whether it is time to go down a line: the line comes down to the aeroplane within the lead.
    fn is_met(&self, asked: &Asked, glide: &Glide, approach: (f64, f64)) -> bool {
        let (distance_m, closure_mps) = approach;
        let late_s = match self.fault {
            Some(Fault::DescentLate { by_s }) => by_s,
            Some(Fault::DescentEarly { by_s }) => -by_s,
            _ => 0.0,
        };
        let lead_s = self.line_lead_s + asked.misjudged_s - late_s;
        let above_m = glide.altitude_m(distance_m) - asked.from_m;
        above_m <= lead_s * closure_mps * tan(glide.slope_rad)
    }

    /// The same on a line.
    fn along(&self, glide: &Glide, approach: (f64, f64), reading: &Reading) -> (f64, f64, f64) {
        /// A dive for the deck: a multiple of the sink, in a range of seconds to go; after that the pilot notices.
        const DIVE: f64 = 1.45;
        const DIVE_S: std::ops::Range<f64> = 20.0..27.0;
        let (distance_m, closure_mps) = approach;
        let half_width_m = glide.half_width_m(distance_m);
        let along_mps = -closure_mps * tan(glide.slope_rad);
        if self.fault == Some(Fault::Dive) && DIVE_S.contains(&(distance_m / closure_mps)) {
            return (0.0, DIVE * along_mps, half_width_m);
        }
        let missing_m = glide.altitude_m(distance_m) - reading.altitude_m;
        (missing_m, along_mps, half_width_m)
    }

    /// Advances from going to stopping to keeping.
    pub(super) fn advance(
        &self,
        asked: &mut Asked,
        reading: &Reading,
        known: &Known,
        missing_m: f64,
        t_s: f64,
    ) {
        /// Share of the stopped rate at which stopping short is noticed.
        const STOPPED: f64 = 0.1;
        let dir = asked.going_mps.signum();
        match asked.phase {
            Phase::Going => {
                let coming_mps = dir * (reading.vertical_mps + GROWING_S * reading.trend_mps2);
                let (mut way_mps, nominal) = (coming_mps.max(0.0), self.haste(dir));
                if let Some(Fault::Going { .. }) = self.fault {
                    way_mps /= nominal;
                }
                let late_s = match self.fault {
                    Some(Fault::LevelOffLate { by_s }) => by_s,
                    Some(Fault::LevelOffEarly { by_s }) => -by_s,
                    _ => 0.0,
                };
                asked.shift_m = late_s * (dir * reading.vertical_mps).max(0.0);
                let lead_s = self.lead_s + asked.misjudged_s;
                if dir * missing_m + asked.shift_m <= lead_s.max(0.0) * way_mps {
                    asked.phase = Phase::Stopping;
                    asked.phase_since_s = t_s;
                    asked.turn_mps = -reading.vertical_mps;
                }
            }
            Phase::Stopping => {
                if t_s - asked.phase_since_s > known.brake.past_s + known.brake.short_s {
                    asked.phase = Phase::Keeping;
                    asked.phase_since_s = t_s;
                }
            }
            Phase::Keeping => {}
        }
        if asked.phase != Phase::Going && !asked.is_noticed {
            let passed = dir * missing_m < 0.0;
            let stopped = dir * reading.vertical_mps < STOPPED * asked.turn_mps.abs();
            if passed || stopped {
                asked.is_noticed = true;
                asked.shift_m = 0.0;
            }
        }
    }
}
