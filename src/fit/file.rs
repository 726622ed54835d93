//! The fitted aeroplane as its file, each number with where it is from.

use super::estimate::{Between, Estimate, LEVEL_PERCENT};
use super::model::{ALPHA, FALL, Frame, IDLE};
use super::nearest::Nearest;
use super::rows::Row;
use super::{Given, mass_range_kg};
use crate::drill::reader::plain;
use crate::sim::aircraft::{Aircraft, EngineKind};
use crate::sim::math::{ln, pow};
use crate::units::{DEG, KT};

/// All that the file is made from.
pub struct Parts<'a> {
    pub aircraft: &'a Aircraft,
    pub rows: &'a [Row],
    pub given: &'a Given,
    pub nearest: &'a Nearest,
    pub estimate: &'a Estimate,
    pub frame: &'a Frame,
}

/// Significant digits of a number that was fitted: more than any rows tell, so that writing it down moves nothing.
const DIGITS: i32 = 6;

/// The file.
pub fn write(parts: &Parts) -> String {
    let (aircraft, estimate, given) = (parts.aircraft, parts.estimate, parts.given);
    let like = &parts.nearest.aircraft;
    let from = format!("the {}'s", like.name);
    let fitted =
        |figure: &dyn Fn(&Aircraft) -> f64| between_text(&estimate.between(parts.frame, figure));
    let mut lines = vec![
        format!(
            "# Fitted to {} rows of steady flight on speed by `leveloff fit`.",
            parts.rows.len()
        ),
        format!(
            "# Intervals hold {LEVEL_PERCENT:.0} % of what reading leaves open. What the rows do not tell is {from}:"
        ),
        format!("# {}.", parts.nearest.why),
        "# Wheels, flaps and the like are not told by flight on speed; there are none here."
            .to_string(),
        format!("name = {}", toml::Value::String(aircraft.name.clone())),
        format!("about = {}", toml::Value::String(aircraft.about.clone())),
    ];
    let mut put =
        |key: &str, value: String, from: &str| lines.push(format!("{key} = {value}  # {from}"));
    put(
        "mass_kg",
        number(aircraft.mass_kg),
        "the rows' mass nearest to their middle",
    );
    let (lightest, heaviest) = aircraft.mass_range_kg;
    let masses = match mass_range_kg(parts.rows, parts.nearest).1 {
        true => "the rows' lightest and heaviest".to_string(),
        false => format!("in proportion {from}"),
    };
    put(
        "mass_range_kg",
        format!("[{}, {}]", number(lightest), number(heaviest)),
        &masses,
    );
    lines.push("\n[wing]".to_string());
    let mut put = |key: &str, value: f64, from: &str| {
        lines.push(format!("{key} = {}  # {from}", number(value)))
    };
    let area = match given.area_m2 {
        Some(_) => "given".to_string(),
        None => format!(
            "fitted, {}, with the lift coefficient on speed of {from}",
            fitted(&|a| a.area_m2)
        ),
    };
    put("area_m2", aircraft.area_m2, &area);
    let lift = match given.area_m2 {
        Some(_) => {
            let cl = |a: &Aircraft| a.lift_coefficient(a.alpha_on_rad);
            format!(
                "from the lift coefficient on speed, {} ({})",
                number(cl(aircraft)),
                fitted(&cl)
            )
        }
        None => from.clone(),
    };
    put("lift_at_zero_alpha", aircraft.cl0, &lift);
    put("lift_per_rad", aircraft.cl_per_rad, &from);
    let share = format!("with the share of drag due to lift of {from}");
    put(
        "drag_at_zero_lift",
        aircraft.cd0,
        &format!("fitted, {}, {share}", fitted(&|a| a.cd0)),
    );
    put(
        "drag_per_lift_squared",
        aircraft.k,
        &format!("fitted, {}, {share}", fitted(&|a| a.k)),
    );
    debug_assert!(!estimate.tells(ALPHA));
    put("on_speed_alpha_deg", aircraft.alpha_on_rad / DEG, &from);
    let stall = match given.stall_mps {
        Some(mps) => format!(
            "from the stall given, {:.1} kt level at sea level and {} kg",
            mps / KT,
            plain(aircraft.mass_kg.round())
        ),
        None => from.clone(),
    };
    put("stall_alpha_deg", aircraft.alpha_stall_rad / DEG, &stall);
    put("pitch_hold_s", aircraft.pitch_hold_s, &from);
    put("swing_damping", aircraft.swing_damping, &from);
    let engine = &aircraft.engine;
    let kind = match engine.kind {
        EngineKind::Jet { .. } => "jet",
        EngineKind::Propeller { .. } => "propeller",
    };
    let told = if given.kind.is_some() { "given" } else { &from };
    lines.push(format!("\n[engine]\nkind = \"{kind}\"  # {told}"));
    let mut put = |key: &str, value: f64, from: &str| {
        lines.push(format!("{key} = {}  # {from}", number(value)))
    };
    match engine.kind {
        EngineKind::Jet { max_thrust_n } => {
            put(
                "max_thrust_n",
                max_thrust_n,
                &format!("sea level, static; fitted, {}", fitted(&full_n)),
            );
        }
        EngineKind::Propeller {
            static_thrust_n,
            useful_power_w,
        } => {
            let fall = match estimate.tells(FALL) {
                true => String::new(),
                false => format!(", with the fall of thrust with speed of {from}"),
            };
            put(
                "static_thrust_n",
                static_thrust_n,
                &format!("sea level; fitted, {}{fall}", fitted(&full_n)),
            );
            let power = format!("fitted, {}{fall}", fitted(&|a| power_w(a) / EFFICIENCY));
            put("max_power_w", useful_power_w / EFFICIENCY, &power);
            put(
                "efficiency",
                EFFICIENCY,
                "only its product with max_power_w counts",
            );
        }
    }
    let idle = match estimate.tells(IDLE) {
        true => format!("fitted, {}", fitted(&|a| a.engine.idle_fraction)),
        false if engine.idle_fraction == like.engine.idle_fraction => from.clone(),
        false => "the rows leave none".to_string(),
    };
    put("idle_fraction", engine.idle_fraction, &idle);
    let times = match given.from_idle_s {
        Some(s) => format!(
            "from the {} s given from idle to 95 %, in proportion {from}",
            plain(s)
        ),
        None => from.clone(),
    };
    put(
        "slow_s",
        engine.slow_s,
        &format!("answer time at idle; {times}"),
    );
    put(
        "quick_s",
        engine.quick_s,
        &format!("at half power and above; {times}"),
    );
    lines.join("\n") + "\n"
}

/// Only the product with the power counts: that of the propeller that ships.
const EFFICIENCY: f64 = 0.72;

/// Full thrust at sea level, at rest.
pub fn full_n(aircraft: &Aircraft) -> f64 {
    match aircraft.engine.kind {
        EngineKind::Jet { max_thrust_n } => max_thrust_n,
        EngineKind::Propeller {
            static_thrust_n, ..
        } => static_thrust_n,
    }
}

fn power_w(aircraft: &Aircraft) -> f64 {
    match aircraft.engine.kind {
        EngineKind::Jet { .. } => 0.0,
        EngineKind::Propeller { useful_power_w, .. } => useful_power_w,
    }
}

/// A number for the file.
fn number(value: f64) -> String {
    let text = significant(value, DIGITS);
    if text.contains('.') {
        text
    } else {
        format!("{text}.0")
    }
}

/// An interval as words.
pub fn between_text(between: &Between) -> String {
    format!(
        "{} to {}",
        significant(between.low, 3),
        significant(between.high, 3)
    )
}

/// A number to so many digits, without needless noughts after the point.
pub fn significant(value: f64, digits: i32) -> String {
    if value == 0.0 {
        return "0".to_string();
    }
    let before = (ln(value.abs()) / ln(10.0)).floor() as i32 + 1;
    let decimals = (digits - before).max(0);
    let unit = pow(10.0, f64::from(before - digits).max(0.0));
    let text = format!("{:.*}", decimals as usize, (value / unit).round() * unit);
    let text = match before > digits {
        true => text,
        false => format!("{value:.*}", decimals as usize),
    };
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_string(),
        false => text,
    }
}
