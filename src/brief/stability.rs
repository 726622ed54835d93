//! How the aeroplane's speed and path behave when it is left alone, beside the published requirements of MIL-F-8785C (1980).

use core::f64::consts::{LN_2, SQRT_2};

use serde::Serialize;

use crate::sim::aircraft::Aircraft;
use crate::sim::stability::{Phugoid, path_per_speed_at, path_per_speed_deg_per_kt, phugoid};
use crate::sim::trim;
use crate::units::{DEG, KT};

/// Largest slope of path against speed for Levels 1, 2, 3, deg/kt: MIL-F-8785C 3.2.1.3.
pub const SLOPE_LEVELS_DEG_PER_KT: [f64; 3] = [0.06, 0.15, 0.24];
/// How much larger the slope may be 5 kt slower, deg/kt: the same paragraph.
pub const SLOPE_GAIN_5_KT_SLOWER: f64 = 0.05;
/// Shortest doubling time of Level 3, s: MIL-F-8785C 3.2.1.2.
pub const LEAST_DOUBLING_S: f64 = 55.0;
/// Damping ratios of Levels 1 and 2: MIL-F-8785C 3.2.1.2.
pub const DAMPING_LEVELS: [f64; 2] = [0.04, 0.0];

/// How the path responds to speed at a fixed engine state.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PathStability {
    /// d(gamma)/dV about level flight on speed, deg/kt; positive on the back side.
    pub deg_per_kt: f64,
    /// The same 5 kt slower; null where that is beyond the stall.
    pub deg_per_kt_5_kt_slower: Option<f64>,
    /// Level 1, 2 or 3 by 3.2.1.3; null beyond Level 3.
    pub level: Option<u8>,
    /// Whether the slope 5 kt slower is at most 0.05 deg/kt larger; null where that is beyond the stall.
    pub slower_is_within: Option<bool>,
}

/// The long swing of speed and height.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LongPeriod {
    /// 2 pi over the undamped frequency, s; null where the motion runs away without swinging.
    pub period_s: Option<f64>,
    /// Damping ratio, negative where the swing grows; null as above.
    pub damping: Option<f64>,
    /// Period of the swing as it is seen, s; null where it does not swing.
    pub damped_period_s: Option<f64>,
    /// Time in which a growing motion doubles, s; null where it does not grow.
    pub doubling_s: Option<f64>,
    /// Level 1, 2 or 3 by 3.2.1.2; null beyond Level 3.
    pub level: Option<u8>,
    /// Lanchester's period pi sqrt(2) V/g, s.
    pub classic_period_s: f64,
    /// The classic damping (CD/CL)/sqrt(2), without swing damping.
    pub classic_damping: f64,
}

impl PathStability {
    /// The path stability of an aeroplane at a height in m.
    pub fn of(aircraft: &Aircraft, h_m: f64) -> PathStability {
        let level = trim::on_speed(aircraft, h_m, 0.0);
        let deg_per_kt = path_per_speed_deg_per_kt(aircraft, h_m);
        let slower_mps = level.speed_mps - 5.0 * KT;
        let slower = path_per_speed_at(aircraft, h_m, slower_mps, level.engine);
        let slower = slower.map(|slope| slope / DEG * KT);
        PathStability {
            deg_per_kt,
            deg_per_kt_5_kt_slower: slower,
            level: SLOPE_LEVELS_DEG_PER_KT
                .iter()
                .position(|most| deg_per_kt <= *most)
                .map(|index| index as u8 + 1),
            slower_is_within: slower.map(|slower| slower - deg_per_kt <= SLOPE_GAIN_5_KT_SLOWER),
        }
    }

    /// In words.
    pub fn lines(&self) -> Vec<String> {
        let reading = match self.level {
            Some(level) => format!("Level {level} of MIL-F-8785C 3.2.1.3"),
            None => "beyond Level 3 of MIL-F-8785C 3.2.1.3".to_string(),
        };
        let [first, second, third] = SLOPE_LEVELS_DEG_PER_KT;
        let mut lines = vec![
            format!(
                "path against speed at fixed power: {:+.3} deg/kt, {reading}",
                self.deg_per_kt
            ),
            format!("  Levels 1, 2, 3 end at {first:.2}, {second:.2}, {third:.2} deg/kt"),
        ];
        lines.push(match (self.deg_per_kt_5_kt_slower, self.slower_is_within) {
            (Some(slower), Some(within)) => format!(
                "  5 kt slower: {slower:+.3} deg/kt, {:+.3} more; limit 0.05 more: {}",
                slower - self.deg_per_kt,
                if within { "met" } else { "not met" }
            ),
            _ => "  5 kt slower is beyond the stall".to_string(),
        });
        lines
    }
}

impl LongPeriod {
    /// The long period of an aeroplane about level flight at a height in m.
    pub fn of(aircraft: &Aircraft, h_m: f64) -> LongPeriod {
        let trim = trim::on_speed(aircraft, h_m, 0.0);
        let found = phugoid(aircraft, h_m, &trim);
        let cl = aircraft.on_speed_cl();
        LongPeriod {
            period_s: found.map(|swing| swing.period_s),
            damping: found.map(|swing| swing.damping),
            damped_period_s: found.and_then(|swing| damped_period_s(&swing)),
            doubling_s: found.and_then(|swing| doubling_s(&swing)),
            level: found.and_then(|swing| damping_level(&swing)),
            classic_period_s: Phugoid::lanchester(trim.speed_mps).period_s,
            classic_damping: aircraft.drag_coefficient(cl) / cl / SQRT_2,
        }
    }

    /// In words.
    pub fn lines(&self) -> Vec<String> {
        let classic = format!(
            "  by the classic formulas, without swing damping: {:.1} s, damping {:.3}",
            self.classic_period_s, self.classic_damping
        );
        let (Some(period_s), Some(damping)) = (self.period_s, self.damping) else {
            return vec![
                "phugoid: none; the motion runs away without swinging".to_string(),
                classic,
            ];
        };
        let level = match (self.level, self.doubling_s) {
            (Some(level), _) => format!("Level {level} of MIL-F-8785C 3.2.1.2"),
            (None, Some(doubling_s)) => {
                format!("doubles in {doubling_s:.0} s, beyond Level 3 of MIL-F-8785C 3.2.1.2")
            }
            (None, None) => "no Level of MIL-F-8785C 3.2.1.2".to_string(),
        };
        let seen = match self.damped_period_s {
            Some(seen_s) => format!("seen as {seen_s:.1} s"),
            None => "does not swing back".to_string(),
        };
        vec![
            format!("phugoid: period {period_s:.1} s ({seen}), damping {damping:.3}"),
            format!("  {level}"),
            classic,
        ]
    }
}

/// Period of the swing as it is seen, s; None where it does not swing.
pub fn damped_period_s(swing: &Phugoid) -> Option<f64> {
    let squared = 1.0 - swing.damping * swing.damping;
    (squared > 0.0).then(|| swing.period_s / squared.sqrt())
}

/// Time in which a growing swing, or a departure that no longer swings, doubles, s; None where nothing grows.
pub fn doubling_s(swing: &Phugoid) -> Option<f64> {
    let grows = -swing.damping;
    let without_swing = (grows * grows - 1.0).max(0.0).sqrt();
    (grows > 0.0).then(|| LN_2 / ((grows + without_swing) * swing.frequency_radps()))
}

/// Level by MIL-F-8785C 3.2.1.2; None beyond Level 3.
pub fn damping_level(swing: &Phugoid) -> Option<u8> {
    if swing.damping >= DAMPING_LEVELS[0] {
        Some(1)
    } else if swing.damping >= DAMPING_LEVELS[1] {
        Some(2)
    } else {
        doubling_s(swing)
            .filter(|s| *s >= LEAST_DOUBLING_S)
            .map(|_| 3)
    }
}
