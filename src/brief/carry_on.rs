//! How late things happen: the engine's answer, and how far a descent carries on after its power has been put right.

use serde::Serialize;

use super::number;
use crate::plan::still::StillFlight;
use crate::sim::aircraft::Aircraft;
use crate::sim::trim;
use crate::units::{FPM, FT, TICK_S};

/// Longest time from idle to 95 % that 14 CFR 33.73 allows a turbine engine, s.
pub const CERTIFIED_WITHIN_S: f64 = 5.0;
/// The descents flown, ft/min.
const FROM_FPM: [f64; 2] = [-500.0, -1000.0];
/// A stop that takes longer than this does not count, s.
const LONGEST_S: f64 = 180.0;

/// How late the engine answers.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct EngineAnswer {
    /// Answer time (time constant) at idle, s.
    pub at_idle_s: f64,
    /// The same at level power on speed, s.
    pub at_level_s: f64,
    /// The same from half of available thrust up, s.
    pub above_half_s: f64,
    /// From idle to 95 % of available thrust after the lever is put fully forward at once, s; null where it takes minutes.
    pub idle_to_95_s: Option<f64>,
    /// What 14 CFR 33.73 allows for that, s.
    pub certified_within_s: f64,
}

/// What follows when level power is set at once in a steady descent. Heights count from where the lever was moved.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct CarryOn {
    /// Vertical speed of the descent, ft/min, + up.
    pub from_fpm: f64,
    /// Whether the lever can hold that descent; the rest is null where it cannot.
    pub can_be_flown: bool,
    /// How far below the descent first stops, ft.
    pub first_stop_ft: Option<f64>,
    /// How long after the lever was moved, s.
    pub first_stop_s: Option<f64>,
    /// How far below it is at the top of the swing back, ft; null where it does not swing back.
    pub swings_back_to_ft: Option<f64>,
    /// How long after the lever was moved, s.
    pub swings_back_s: Option<f64>,
}

impl EngineAnswer {
    /// The answer of an aeroplane's engine at a height in m.
    pub fn of(aircraft: &Aircraft, h_m: f64) -> EngineAnswer {
        let engine = &aircraft.engine;
        let level = trim::on_speed(aircraft, h_m, 0.0);
        EngineAnswer {
            at_idle_s: engine.answer_s(engine.idle_fraction),
            at_level_s: engine.answer_s(level.engine),
            above_half_s: engine.quick_s,
            idle_to_95_s: idle_to(aircraft, h_m, 0.95),
            certified_within_s: CERTIFIED_WITHIN_S,
        }
    }

    /// In words.
    pub fn lines(&self) -> Vec<String> {
        let flown = match self.idle_to_95_s {
            Some(s) => format!("{s:.1} s"),
            None => format!("over {LONGEST_S:.0} s"),
        };
        vec![
            format!(
                "engine answer time: {:.1} s at idle, {:.1} s at level power, {:.1} s above half",
                self.at_idle_s, self.at_level_s, self.above_half_s
            ),
            format!(
                "  from idle to 95 % in {flown} (14 CFR 33.73 requires {:.0} s of turbine engines)",
                self.certified_within_s
            ),
        ]
    }
}

/// Time from idle to a share of available thrust with the lever fully forward, s, by the engine law as it is flown.
fn idle_to(aircraft: &Aircraft, h_m: f64, share: f64) -> Option<f64> {
    let mut idle = trim::on_speed(aircraft, h_m, 0.0);
    idle.engine = aircraft.engine.idle_fraction;
    let mut flight = StillFlight::steady(aircraft, h_m, &idle);
    flight.set_lever(1.0);
    while (flight.ticks() as f64) * TICK_S < LONGEST_S {
        let before = flight.state().engine;
        flight.tick();
        let after = flight.state().engine;
        if after >= share {
            return Some(TICK_S * (flight.ticks() as f64 - (after - share) / (after - before)));
        }
    }
    None
}

impl CarryOn {
    /// One from each of the usual rates, at a height in m.
    pub fn all(aircraft: &Aircraft, h_m: f64) -> Vec<CarryOn> {
        FROM_FPM
            .iter()
            .map(|from_fpm| CarryOn::from(aircraft, h_m, *from_fpm))
            .collect()
    }

    /// One from a vertical speed in ft/min at a height in m; level power for that height is set at once, not rounded.
    pub fn from(aircraft: &Aircraft, h_m: f64, from_fpm: f64) -> CarryOn {
        let mut result = CarryOn {
            from_fpm,
            ..CarryOn::default()
        };
        let level = trim::on_speed(aircraft, h_m, 0.0);
        let descent = trim::at_vertical(aircraft, h_m, from_fpm * FPM);
        if !level.is_possible() || !descent.is_possible() {
            return result;
        }
        result.can_be_flown = true;
        let mut flight = StillFlight::steady(aircraft, h_m, &descent);
        flight.set_lever(level.lever);
        if let Some(first) = flight.stop(LONGEST_S) {
            result.first_stop_ft = Some((h_m - first.altitude_m) / FT);
            result.first_stop_s = Some(first.time_s);
            if let Some(top) = flight.stop(LONGEST_S) {
                result.swings_back_to_ft = Some((h_m - top.altitude_m) / FT);
                result.swings_back_s = Some(top.time_s);
            }
        }
        result
    }

    /// In words.
    pub fn lines(&self) -> Vec<String> {
        let from = format!("from {:.0} ft/min", self.from_fpm);
        if !self.can_be_flown {
            return vec![format!(
                "{from}: not a descent this aeroplane's lever can hold on speed"
            )];
        }
        let Some(first_stop_ft) = self.first_stop_ft else {
            return vec![format!("{from}: it never quite stops")];
        };
        let stops_s = number(self.first_stop_s, 1);
        let back = match self.swings_back_s {
            Some(s) => format!(
                ", back to {} ft after {s:.0} s",
                number(self.swings_back_to_ft, 0)
            ),
            None => String::new(),
        };
        vec![format!(
            "{from}: stops {first_stop_ft:.0} ft lower after {stops_s} s{back}"
        )]
    }
}
