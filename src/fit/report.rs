//! The report of a fit, as text and for JSON.

use serde::Serialize;

use super::estimate::{Between, Estimate, LEVEL_PERCENT, Problem};
use super::file::{digits_told, full_n};
use super::model::{ALPHA, FALL, IDLE, read};
use super::nearest::Nearest;
use super::{Drive, Given};
use crate::drill::printable::wrapped;
use crate::drill::reader::{fixed, plain};
use crate::plan::fpm_per_percent;
use crate::sim::aircraft::Aircraft;
use crate::sim::trim;
use crate::units::{DEG, FPM, FT, KT};

/// Version of this layout.
const SCHEMA: u32 = 1;
/// Width of its text, columns.
const WIDTH: usize = 78;
/// Reported altitudes are whole multiples of this, ft.
const ROUND_FT: f64 = 100.0;

/// The report of a fit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Report {
    /// Version of this layout.
    pub schema: u32,
    pub name: String,
    /// The shipped aeroplane that the rest is taken from.
    pub nearest: String,
    /// In what it is nearest, in words.
    pub why_nearest: String,
    /// An interval holds this much of what reading leaves open, %.
    pub interval_percent: f64,
    /// Mass that the figures are given for, kg.
    pub mass_kg: f64,
    /// Altitude that the figures are given for, ft.
    pub altitude_ft: f64,
    /// The figures that the rows determine.
    pub told: Vec<Figure>,
    /// Keys of the file that are taken from the nearest aeroplane.
    pub taken: Vec<&'static str>,
    /// The rows, as read and as the file reproduces them.
    pub rows: Vec<RowReport>,
    /// Rows that repeat another and were left out, from 1.
    pub repeated: Vec<usize>,
    /// Root mean square residual, in standard deviations of reading: about 1 where reading explains all of it.
    pub left: f64,
}

/// A figure with its interval.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figure {
    /// Its name with its unit.
    pub key: &'static str,
    /// Value and interval.
    #[serde(flatten)]
    pub between: Between,
    #[serde(skip)]
    words: &'static str,
    #[serde(skip)]
    unit: &'static str,
}

/// A figure of an aeroplane at an altitude in m: key, words, unit, the number that the rows must determine for it,
/// if it depends on one, and how it is computed.
type Row = (
    &'static str,
    &'static str,
    &'static str,
    Option<usize>,
    fn(&Aircraft, f64) -> f64,
);

#[rustfmt::skip]
const FIGURES: [Row; 9] = [
    ("on_speed_kt", "airspeed on speed, level", "kt", None, |a, h_m| trim::on_speed(a, h_m, 0.0).speed_mps / KT),
    ("level_power_pct", "level power", "% of lever", None, |a, h_m| power_percent(a, h_m, 0.0)),
    ("three_degrees_down_pct", "power 3 degrees down", "% of lever", None, |a, h_m| power_percent(a, h_m, -3.0)),
    ("fpm_per_percent", "1 % of lever is worth", "ft/min", None, fpm_per_percent),
    ("drag_over_lift", "drag over lift", "", None, |a, _| a.drag_coefficient(a.on_speed_cl()) / a.on_speed_cl()),
    ("lift_area_m2", "area times lift coefficient", "m2", None, |a, _| a.area_m2 * a.on_speed_cl()),
    ("full_thrust_n", "full thrust, static, sea level", "N", None, |a, _| full_n(a)),
    ("idle_pct", "thrust left at idle", "%", Some(IDLE), |a, _| 100.0 * a.engine.idle_fraction),
    ("on_speed_alpha_deg", "angle of attack on speed", "degrees", Some(ALPHA), |a, _| a.alpha_on_rad / DEG),
];

fn power_percent(aircraft: &Aircraft, h_m: f64, path_deg: f64) -> f64 {
    100.0 * trim::on_speed(aircraft, h_m, path_deg * DEG).lever
}

/// One row as it was read, and what the file gives for its vertical speed, mass and altitude.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct RowReport {
    /// Its number, from 1.
    pub row: usize,
    pub mass_kg: f64,
    pub altitude_ft: f64,
    /// Vertical speed, ft/min.
    pub vertical_speed_fpm: f64,
    /// Lever read, 0..1.
    pub lever: f64,
    pub lever_of_file: f64,
    /// Speed read, kt.
    pub speed_kt: f64,
    pub speed_of_file_kt: f64,
}

impl Report {
    pub(super) fn new(
        task: &Problem,
        numbers: &[usize],
        given: &Given,
        nearest: &Nearest,
        estimate: &Estimate,
        aircraft: &Aircraft,
        repeated: Vec<usize>,
    ) -> Report {
        let mean_ft =
            task.rows.iter().map(|row| row.h_m / FT).sum::<f64>() / task.rows.len() as f64;
        let altitude_ft = (mean_ft / ROUND_FT).round() * ROUND_FT;
        let h_m = altitude_ft * FT;
        let is_told = |told: &&Row| told.3.is_none_or(|number| estimate.tells(number));
        let told = FIGURES.iter().filter(is_told);
        let told = told.map(|&(key, words, unit, _, figure)| Figure {
            key,
            between: estimate.between(task.frame, |a| figure(a, h_m)),
            words,
            unit,
        });
        let row = |(row, number): (&super::rows::SteadyRow, &usize)| {
            let (lever_of_file, speed_mps) = read(aircraft, row);
            RowReport {
                row: number + 1,
                mass_kg: row.mass_kg,
                altitude_ft: row.h_m / FT,
                vertical_speed_fpm: row.vertical_mps / FPM,
                lever: row.lever,
                lever_of_file,
                speed_kt: row.speed_mps / KT,
                speed_of_file_kt: speed_mps / KT,
            }
        };
        Report {
            schema: SCHEMA,
            name: aircraft.name.clone(),
            nearest: nearest.aircraft.name.clone(),
            why_nearest: nearest.why.clone(),
            interval_percent: LEVEL_PERCENT,
            mass_kg: aircraft.mass_kg,
            altitude_ft,
            told: told.collect(),
            taken: taken(estimate, given, nearest, aircraft),
            rows: task.rows.iter().zip(numbers).map(row).collect(),
            repeated,
            left: (estimate.left / estimate.freedom.max(1) as f64).sqrt(),
        }
    }

    /// As text.
    pub fn lines(&self) -> Vec<String> {
        let mut lines = vec![format!("{}, fitted to {} rows", self.name, self.rows.len())];
        let rest = format!("the rest is the {}'s, {}", self.nearest, self.why_nearest);
        lines.extend(wrapped("", &rest, WIDTH));
        lines.push(String::new());
        lines.push(format!(
            "from the rows, at {} kg and {} ft, with {:.0} % intervals:",
            plain(self.mass_kg.round()),
            plain(self.altitude_ft),
            self.interval_percent
        ));
        lines.extend(self.told.iter().map(|figure| {
            let [value, low, high] = digits_told(&figure.between);
            format!(
                "  {:<32}{value:>9} {:<11}{low} to {high}",
                figure.words, figure.unit
            )
        }));
        lines.push(String::new());
        lines.push(format!("the rest, taken from the {}:", self.nearest));
        lines.extend(wrapped("  ", &self.taken.join(", "), WIDTH));
        lines.push("  wheels, flaps and the like: none".to_string());
        lines.push(String::new());
        lines.extend(self.row_lines());
        lines.extend(
            self.repeated
                .iter()
                .map(|row| format!("row {row} repeats another and tells nothing new")),
        );
        lines
    }

    /// The rows beside what the file gives for them, as text.
    pub(super) fn row_lines(&self) -> Vec<String> {
        let mut lines = vec!["row by row, as read, and how much more the file gives:".to_string()];
        lines
            .push("  row   mass kg       ft   ft/min   lever %    more     kt    more".to_string());
        lines.extend(self.rows.iter().map(|row| {
            format!(
                "{:5} {:>9} {:>8} {:>8} {:>9} {:>7} {:>6} {:>7}",
                row.row,
                plain(row.mass_kg.round()),
                plain(row.altitude_ft.round()),
                fixed(row.vertical_speed_fpm, 0),
                short(100.0 * row.lever),
                signed(100.0 * (row.lever_of_file - row.lever)),
                short(row.speed_kt),
                signed(row.speed_of_file_kt - row.speed_kt),
            )
        }));
        lines.push(format!(
            "what the fit leaves is {:.1} times the usual error of reading",
            self.left
        ));
        lines
    }
}

/// Keys of the file that come from the nearest aeroplane.
fn taken(
    estimate: &Estimate,
    given: &Given,
    nearest: &Nearest,
    aircraft: &Aircraft,
) -> Vec<&'static str> {
    let has_its_idle = aircraft.engine.idle_fraction == nearest.aircraft.engine.idle_fraction;
    let is_propeller = Drive::of(aircraft) == Drive::Propeller;
    let all = [
        ("lift coefficient on speed", given.area_m2.is_none()),
        ("lift_per_rad", true),
        ("share of drag due to lift", true),
        ("on_speed_alpha_deg", !estimate.tells(ALPHA)),
        ("stall_alpha_deg", given.stall_mps.is_none()),
        ("pitch_hold_s", true),
        ("swing_damping", true),
        ("kind", given.kind.is_none()),
        (
            "fall of thrust with speed",
            is_propeller && !estimate.tells(FALL),
        ),
        ("idle_fraction", !estimate.tells(IDLE) && has_its_idle),
        ("slow_s and quick_s", given.from_idle_s.is_none()),
        ("slow_s to quick_s", given.from_idle_s.is_some()),
    ];
    all.into_iter()
        .filter(|(_, is_taken)| *is_taken)
        .map(|(key, _)| key)
        .collect()
}

/// A difference with its sign, except for zero.
fn signed(value: f64) -> String {
    let text = fixed(value, 1);
    let has_sign = text.starts_with('-') || text.bytes().all(|c| matches!(c, b'0' | b'.'));
    if has_sign { text } else { format!("+{text}") }
}

/// A number with one decimal, or with none where that is 0.
pub(super) fn short(value: f64) -> String {
    let text = fixed(value, 1);
    text.strip_suffix(".0").map(String::from).unwrap_or(text)
}
