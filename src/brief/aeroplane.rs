//! The aeroplane's page: what it is like at one mass and altitude.

use serde::Serialize;

use super::carry_on::{CarryOn, EngineAnswer};
use super::drag_curve::DragCurve;
use super::stability::{LongPeriod, PathStability};
use super::{SCHEMA, number};
use crate::plan::fpm_per_percent;
use crate::sim::aircraft::Aircraft;
use crate::sim::trim::{self, Trim};
use crate::units::{DEG, FPM, FT, KT};

/// Steepest path of the trim table, whole degrees either way.
const STEEPEST_DEG: i32 = 6;
/// Masses in the table of speeds.
const MASSES: usize = 5;

/// Everything worth knowing about an aeroplane before flying it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AeroplanePage {
    /// Version of this layout.
    pub schema: u32,
    pub name: String,
    /// Its altitude on this page, ft.
    pub altitude_ft: f64,
    /// Its mass on this page, kg.
    pub mass_kg: f64,
    /// Steady on-speed flight on each whole degree of path from -6 to +6.
    pub trim: Vec<TrimRow>,
    /// The slow swing.
    pub phugoid: SwingRow,
    /// Path gained per speed gained at fixed power, deg/kt.
    pub dgamma_dv_deg_per_kt: f64,
    /// One sentence on its character.
    pub about: String,
    /// On-speed speed and level power against mass, over the range it may be flown at.
    pub speeds: Vec<MassRow>,
    /// Vertical speed gained by 1 % of lever about level flight, ft/min.
    pub fpm_per_percent: f64,
    /// Thrust and power for level flight.
    pub drag_curve: DragCurve,
    /// The slope of path against speed and its published level.
    pub path_stability: PathStability,
    /// The slow swing, its published level and the classic formulas.
    pub long_period: LongPeriod,
    /// How late the engine answers.
    pub engine: EngineAnswer,
    /// How far descents carry on.
    pub carry_on: Vec<CarryOn>,
}

/// Steady flight on one path.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct TrimRow {
    /// Path angle, whole degrees, + up.
    pub path_deg: i32,
    /// True airspeed, m/s.
    pub speed_mps: f64,
    /// Lever, 0..1; null where the engine cannot hold it.
    pub lever: Option<f64>,
    /// Vertical speed, ft/min, + up.
    pub vertical_speed_fpm: f64,
}

/// The phugoid.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SwingRow {
    /// 2 pi over the undamped frequency, s; null where the motion runs away without swinging.
    pub period_s: Option<f64>,
    /// Damping ratio; null as above.
    pub damping: Option<f64>,
}

/// Level flight at one mass.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct MassRow {
    pub mass_kg: f64,
    pub on_speed_kt: f64,
    /// Speed of the stall's angle of attack, kt.
    pub stall_kt: f64,
    /// Level power, 0..1; null where the engine cannot hold it.
    pub level_lever: Option<f64>,
}

/// The lever of a trim; None where the engine cannot hold it.
pub(super) fn possible_lever(trim: &Trim) -> Option<f64> {
    trim.is_possible().then_some(trim.lever)
}

impl AeroplanePage {
    /// The page of an aeroplane at its mass and a height in m.
    pub fn new(aircraft: &Aircraft, h_m: f64) -> AeroplanePage {
        let path_stability = PathStability::of(aircraft, h_m);
        let long_period = LongPeriod::of(aircraft, h_m);
        AeroplanePage {
            schema: SCHEMA,
            name: aircraft.name.clone(),
            altitude_ft: h_m / FT,
            mass_kg: aircraft.mass_kg,
            trim: (-STEEPEST_DEG..=STEEPEST_DEG)
                .map(|path_deg| TrimRow::of(aircraft, h_m, path_deg))
                .collect(),
            phugoid: SwingRow {
                period_s: long_period.period_s,
                damping: long_period.damping,
            },
            dgamma_dv_deg_per_kt: path_stability.deg_per_kt,
            about: aircraft.about.clone(),
            speeds: (0..MASSES)
                .map(|i| {
                    let (lightest, heaviest) = aircraft.mass_range_kg;
                    let share = i as f64 / (MASSES - 1) as f64;
                    MassRow::of(
                        &aircraft.at_mass(lightest + share * (heaviest - lightest)),
                        h_m,
                    )
                })
                .collect(),
            fpm_per_percent: fpm_per_percent(aircraft, h_m),
            drag_curve: DragCurve::of(aircraft, h_m),
            path_stability,
            long_period,
            engine: EngineAnswer::of(aircraft, h_m),
            carry_on: CarryOn::all(aircraft, h_m),
        }
    }

    /// The page as text.
    pub fn lines(&self) -> Vec<String> {
        let mut lines = vec![
            format!(
                "{} at {:.0} ft, {:.0} kg",
                self.name, self.altitude_ft, self.mass_kg
            ),
            self.about.clone(),
            String::new(),
            "on speed against weight:".to_string(),
            "   mass kg   on speed kt   stall kt   level power".to_string(),
        ];
        lines.extend(self.speeds.iter().map(|row| {
            let power = measured(row.level_lever);
            format!(
                "{:10.0} {:13.1} {:10.1} {power:>13}",
                row.mass_kg, row.on_speed_kt, row.stall_kt
            )
        }));
        lines.push(String::new());
        lines.push("power on speed (a dash: out of the engine's range):".to_string());
        lines.push("  path deg      power   speed kt   vertical speed ft/min".to_string());
        lines.extend(self.trim.iter().map(|row| {
            let power = measured(row.lever);
            let fpm = number(Some(row.vertical_speed_fpm), 0);
            format!(
                "{:+10} {power:>10} {:10.1} {fpm:>23}",
                row.path_deg,
                row.speed_mps / KT
            )
        }));
        lines.push(format!(
            "1 % of lever is worth {:.0} ft/min once settled",
            self.fpm_per_percent
        ));
        lines.push(String::new());
        lines.extend(self.drag_curve.lines());
        lines.push(String::new());
        lines.extend(self.path_stability.lines());
        lines.extend(self.long_period.lines());
        lines.extend(self.engine.lines());
        lines.push(String::new());
        lines.push("level power set at once in a steady descent:".to_string());
        lines.extend(
            self.carry_on
                .iter()
                .flat_map(CarryOn::lines)
                .map(|line| format!("  {line}")),
        );
        lines
    }
}

impl TrimRow {
    fn of(aircraft: &Aircraft, h_m: f64, path_deg: i32) -> TrimRow {
        let trim = trim::on_speed(aircraft, h_m, f64::from(path_deg) * DEG);
        TrimRow {
            path_deg,
            speed_mps: trim.speed_mps,
            lever: possible_lever(&trim),
            vertical_speed_fpm: trim.vertical_mps() / FPM,
        }
    }
}

impl MassRow {
    fn of(aircraft: &Aircraft, h_m: f64) -> MassRow {
        let level = trim::on_speed(aircraft, h_m, 0.0);
        let stall = trim::at_alpha(aircraft, aircraft.alpha_stall_rad, h_m, 0.0);
        MassRow {
            mass_kg: aircraft.mass_kg,
            on_speed_kt: level.speed_mps / KT,
            stall_kt: stall.speed_mps / KT,
            level_lever: possible_lever(&level),
        }
    }
}

/// A lever as the aeroplane needs it, in tenths of a per cent: none of these is to be set.
fn measured(lever: Option<f64>) -> String {
    lever.map_or_else(
        || "-".to_string(),
        |lever| format!("{:.1} %", 100.0 * lever),
    )
}
