//! The fitted aeroplane as its file, each number with its origin.

use super::estimate::{Between, Estimate, LEVEL_PERCENT};
use super::model::{ALPHA, FALL, Frame, IDLE};
use super::nearest::Nearest;
use super::rows::SteadyRow;
use super::{Given, mass_range_kg};
use crate::drill::reader::{fixed, plain};
use crate::sim::aircraft::{Aircraft, EngineKind};
use crate::sim::math::{ln, pow};
use crate::units::{DEG, KT};

/// Everything the file is made from.
pub struct Parts<'a> {
    pub aircraft: &'a Aircraft,
    pub rows: &'a [SteadyRow],
    pub given: &'a Given,
    pub nearest: &'a Nearest,
    pub estimate: &'a Estimate,
    pub frame: &'a Frame,
}

/// Significant digits of a fitted number: more than any rows determine, so that writing it down changes nothing.
const DIGITS: f64 = 6.0;

/// The text of the file.
pub fn write(parts: &Parts) -> String {
    let mut lines = parts.head();
    lines.push("\n[wing]".to_string());
    lines.extend(parts.wing());
    lines.push("\n[engine]".to_string());
    lines.extend(parts.engine());
    lines.join("\n") + "\n"
}

impl Parts<'_> {
    fn head(&self) -> Vec<String> {
        let aircraft = self.aircraft;
        let (lightest, heaviest) = aircraft.mass_range_kg;
        let masses = match mass_range_kg(self.rows, self.nearest).1 {
            true => "the rows' lightest and heaviest".to_string(),
            false => format!("in proportion to {}", self.taken()),
        };
        vec![
            format!(
                "# Fitted to {} rows of steady flight on speed by `leveloff fit`.",
                self.rows.len()
            ),
            format!(
                "# Intervals are {LEVEL_PERCENT:.0} %, for errors of reading. What the rows do not tell is {}:",
                self.taken()
            ),
            format!("# {}.", self.nearest.why),
            "# Flight on speed tells nothing of wheels, flaps and the like; there are none here."
                .to_string(),
            format!("name = {}", quoted(&aircraft.name)),
            format!("about = {}", quoted(&aircraft.about)),
            line(
                "mass_kg",
                aircraft.mass_kg,
                "the rows' mass nearest to their mean",
            ),
            format!(
                "mass_range_kg = [{}, {}]  # {masses}",
                number(lightest),
                number(heaviest)
            ),
        ]
    }

    fn wing(&self) -> Vec<String> {
        let (aircraft, taken) = (self.aircraft, self.taken());
        let is_alpha_told = self.estimate.tells(ALPHA);
        let told_or_taken =
            |is_told: bool, told: String| if is_told { told } else { taken.clone() };
        let by_lift = "from the lift coefficient on speed";
        let (area, lift) = match self.given.area_m2 {
            Some(_) => (
                "given".to_string(),
                format!("{by_lift}, fitted, {}", self.fitted(Aircraft::on_speed_cl)),
            ),
            None => (
                format!(
                    "fitted, {}, with {taken} lift coefficient on speed",
                    self.fitted(|a| a.area_m2)
                ),
                told_or_taken(
                    is_alpha_told,
                    format!("from {taken} lift coefficient on speed"),
                ),
            ),
        };
        let share = format!("with {taken} share of drag due to lift");
        let zero_lift = format!("fitted, {}, {share}", self.fitted(|a| a.cd0));
        let by_lift = format!("fitted, {}, {share}", self.fitted(|a| a.k));
        let alpha = format!("fitted, {}", self.fitted(|a| a.alpha_on_rad / DEG));
        let alpha = told_or_taken(is_alpha_told, alpha);
        let stall = match self.given.stall_mps {
            Some(mps) => {
                let (kt, kg) = (mps / KT, plain(aircraft.mass_kg.round()));
                format!("from the stall given, {kt:.1} kt level at sea level and {kg} kg")
            }
            None => told_or_taken(is_alpha_told, format!("as far above on speed as {taken}")),
        };
        vec![
            line("area_m2", aircraft.area_m2, &area),
            line("lift_at_zero_alpha", aircraft.cl0, &lift),
            line("lift_per_rad", aircraft.cl_per_rad, &taken),
            line("drag_at_zero_lift", aircraft.cd0, &zero_lift),
            line("drag_per_lift_squared", aircraft.k, &by_lift),
            line("on_speed_alpha_deg", aircraft.alpha_on_rad / DEG, &alpha),
            line("stall_alpha_deg", aircraft.alpha_stall_rad / DEG, &stall),
            line("pitch_hold_s", aircraft.pitch_hold_s, &taken),
            line("swing_damping", aircraft.swing_damping, &taken),
        ]
    }

    fn engine(&self) -> Vec<String> {
        let (engine, taken) = (&self.aircraft.engine, self.taken());
        let full = self.fitted(full_n);
        let told = if self.given.kind.is_some() {
            "given"
        } else {
            &taken
        };
        let mut lines = match engine.kind {
            EngineKind::Jet { max_thrust_n } => {
                let thrust = format!("sea level, static; fitted, {full}");
                vec![
                    format!("kind = \"jet\"  # {told}"),
                    line("max_thrust_n", max_thrust_n, &thrust),
                ]
            }
            EngineKind::Propeller {
                static_thrust_n,
                useful_power_w,
            } => {
                let fall = match self.estimate.tells(FALL) {
                    true => String::new(),
                    false => format!(", with {taken} fall of thrust with speed"),
                };
                let (power_w, power) = (useful_power_w / EFFICIENCY, self.fitted(full_power_w));
                let thrust = format!("sea level; fitted, {full}{fall}");
                let power = format!("fitted, {power}{fall}");
                let product = "only its product with max_power_w counts";
                vec![
                    format!("kind = \"propeller\"  # {told}"),
                    line("static_thrust_n", static_thrust_n, &thrust),
                    line("max_power_w", power_w, &power),
                    line("efficiency", EFFICIENCY, product),
                ]
            }
        };
        let idle = match self.estimate.tells(IDLE) {
            true => format!("fitted, {}", self.fitted(|a| a.engine.idle_fraction)),
            false if engine.idle_fraction == self.nearest.aircraft.engine.idle_fraction => {
                taken.clone()
            }
            false => "fitted: the rows leave no thrust at idle".to_string(),
        };
        let times = match self.given.from_idle_s {
            Some(s) => format!(
                "from the {} s given for idle to 95 %, in proportion to {taken}",
                plain(s)
            ),
            None => taken,
        };
        let slow = format!("answer time at idle; {times}");
        let quick = format!("at half power and above; {times}");
        lines.extend([
            line("idle_fraction", engine.idle_fraction, &idle),
            line("slow_s", engine.slow_s, &slow),
            line("quick_s", engine.quick_s, &quick),
        ]);
        lines
    }

    /// The origin of the numbers that the rows do not determine, in words.
    fn taken(&self) -> String {
        format!("the {}'s", self.nearest.aircraft.name)
    }

    /// The interval of a figure, in words.
    fn fitted(&self, figure: impl Fn(&Aircraft) -> f64) -> String {
        let [_, low, high] = digits_told(&self.estimate.between(self.frame, figure));
        format!("{low} to {high}")
    }
}

/// A text as TOML writes it; names are plain characters on one line, so only two of them need escaping.
fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}

/// A line of the file: a key, its number and where that is from.
fn line(key: &str, value: f64, from: &str) -> String {
    format!("{key} = {}  # {from}", number(value))
}

/// Only the product with the power counts; this is the value of the propeller aeroplane that ships.
const EFFICIENCY: f64 = 0.72;

/// Full thrust at sea level, at rest, N.
pub fn full_n(aircraft: &Aircraft) -> f64 {
    match aircraft.engine.kind {
        EngineKind::Jet { max_thrust_n } => max_thrust_n,
        EngineKind::Propeller {
            static_thrust_n, ..
        } => static_thrust_n,
    }
}

/// Shaft power of a propeller's engine, W; 0 for a jet.
fn full_power_w(aircraft: &Aircraft) -> f64 {
    match aircraft.engine.kind {
        EngineKind::Jet { .. } => 0.0,
        EngineKind::Propeller { useful_power_w, .. } => useful_power_w / EFFICIENCY,
    }
}

/// A number as the file writes it.
fn number(value: f64) -> String {
    let before = match value == 0.0 {
        true => 0.0,
        false => (ln(value.abs()) / ln(10.0)).floor() + 1.0,
    };
    let decimals = (DIGITS - before).clamp(1.0, 9.0) as usize;
    let text = format!("{value:.decimals$}");
    let text = text.trim_end_matches('0');
    format!("{text}{}", if text.ends_with('.') { "0" } else { "" })
}

/// A value and the ends of its interval, with as many digits as the interval warrants:
/// rounding takes away at most a tenth of its width.
pub fn digits_told(between: &Between) -> [String; 3] {
    let width = between.high - between.low;
    let place = match width > 0.0 {
        true => (ln(width / 5.0) / ln(10.0)).floor(),
        false => -3.0,
    };
    let unit = pow(10.0, place);
    [between.value, between.low, between.high].map(|x| match place > 0.0 {
        true => fixed((x / unit).round() * unit, 0),
        false => fixed(x, -place as usize),
    })
}
