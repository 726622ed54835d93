//! Findings for an aeroplane's author: what makes it unusable in this program, and what is merely worth a remark.

use super::carry_on::{CERTIFIED_WITHIN_S, EngineAnswer};
use super::drag_curve::DragCurve;
use super::solve::crossing;
use super::stability::{LEAST_DOUBLING_S, LongPeriod, SLOPE_LEVELS_DEG_PER_KT};
use crate::drill::aircraft_file::cannot_fly_level;
use crate::sim::aircraft::{Aircraft, EngineKind};
use crate::sim::stability::path_per_speed_deg_per_kt;
use crate::sim::trim;
use crate::units::DEG;

/// How serious a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Severity {
    /// The aeroplane cannot be flown as it is.
    Error,
    /// The aeroplane can be flown, but the author may not have meant it that way.
    Remark,
}

/// One sentence about an aeroplane.
#[derive(Clone, Debug, PartialEq)]
pub struct Judgement {
    /// How serious it is.
    pub severity: Severity,
    /// A plain sentence with its number.
    pub sentence: String,
}

/// The least path that a heavy aeroplane with power to climb can hold, degrees.
const LEAST_CLIMB_DEG: f64 = 1.0;
/// Path that the arithmetic of steps is made for, degrees.
const WORKING_DEG: f64 = 3.0;

/// All findings about an aeroplane, judged at sea level, errors first. Empty if it is in order.
pub fn judge(aircraft: &Aircraft) -> Vec<Judgement> {
    let broken: Vec<String> = [beyond_stall(aircraft), no_level(aircraft)]
        .into_iter()
        .flatten()
        .collect();
    if !broken.is_empty() {
        // Nothing else can be judged on an aeroplane that has no level flight.
        return broken.into_iter().map(Judgement::error).collect();
    }
    let mut found: Vec<Judgement> = swing(aircraft).into_iter().collect();
    let remarks = [
        little_climb(aircraft),
        little_descent(aircraft),
        steep_slope(aircraft),
        front_side(aircraft),
        late_engine(aircraft),
    ];
    found.extend(remarks.into_iter().flatten().map(Judgement::remark));
    found
}

impl Judgement {
    fn error(sentence: String) -> Judgement {
        Judgement {
            severity: Severity::Error,
            sentence,
        }
    }

    fn remark(sentence: String) -> Judgement {
        Judgement {
            severity: Severity::Remark,
            sentence,
        }
    }
}

fn heavy(aircraft: &Aircraft) -> Aircraft {
    aircraft.at_mass(aircraft.mass_range_kg.1)
}

fn light(aircraft: &Aircraft) -> Aircraft {
    aircraft.at_mass(aircraft.mass_range_kg.0)
}

fn beyond_stall(aircraft: &Aircraft) -> Option<String> {
    (aircraft.alpha_on_rad >= aircraft.alpha_stall_rad).then(|| {
        format!(
            "{} is on speed at {:.1} degrees, at or beyond its stall at {:.1} degrees",
            aircraft.name,
            aircraft.alpha_on_rad / DEG,
            aircraft.alpha_stall_rad / DEG
        )
    })
}

fn no_level(aircraft: &Aircraft) -> Option<String> {
    aircraft.masses_kg().into_iter().find_map(|mass_kg| {
        let level = trim::on_speed(&aircraft.at_mass(mass_kg), 0.0, 0.0);
        (!level.is_possible()).then(|| cannot_fly_level(aircraft, mass_kg, 0.0, level.lever))
    })
}

/// The finding about the slow swing, at the mass where it is worst.
fn swing(aircraft: &Aircraft) -> Option<Judgement> {
    let name = &aircraft.name;
    let swings = aircraft
        .masses_kg()
        .map(|mass_kg| LongPeriod::of(&aircraft.at_mass(mass_kg), 0.0));
    let worst = swings
        .into_iter()
        .min_by(|a, b| damping_of(a).total_cmp(&damping_of(b)))?;
    let Some(damping) = worst.damping.filter(|damping| *damping > -1.0) else {
        let how_fast = match worst.doubling_s {
            Some(s) => format!("a departure doubles in {s:.1} s"),
            None => "its phugoid has no period".to_string(),
        };
        return Some(Judgement::error(format!(
            "{name} runs away from level flight without swinging back: {how_fast}"
        )));
    };
    let doubling_s = worst.doubling_s?;
    let grows = format!(
        "the phugoid of {name} grows: damping {damping:.3}, it doubles in {doubling_s:.0} s"
    );
    Some(if doubling_s < LEAST_DOUBLING_S {
        Judgement::error(format!(
            "{grows}, sooner than the {LEAST_DOUBLING_S:.0} s of MIL-F-8785C 3.2.1.2; give it a shorter pitch_hold_s or more drag"
        ))
    } else {
        Judgement::remark(grows)
    })
}

/// Damping to compare by; a motion without a period is worse than any.
fn damping_of(swing: &LongPeriod) -> f64 {
    swing.damping.unwrap_or(f64::NEG_INFINITY)
}

/// The steady path (degrees) that a lever gives at sea level; the end of the range where that is steeper.
fn path_deg(aircraft: &Aircraft, lever: f64) -> f64 {
    const STEEPEST_DEG: f64 = 40.0;
    let missing = |deg: f64| lever - trim::on_speed(aircraft, 0.0, deg * DEG).lever;
    if missing(STEEPEST_DEG) > 0.0 {
        return STEEPEST_DEG;
    }
    if missing(-STEEPEST_DEG) < 0.0 {
        return -STEEPEST_DEG;
    }
    crossing(-STEEPEST_DEG, STEEPEST_DEG, missing)
}

fn little_climb(aircraft: &Aircraft) -> Option<String> {
    let best_deg = path_deg(&heavy(aircraft), 1.0);
    let name = &aircraft.name;
    if best_deg < LEAST_CLIMB_DEG {
        Some(format!(
            "{name} has no power to climb: full power holds {best_deg:+.1} degrees at sea level and {:.0} kg",
            aircraft.mass_range_kg.1
        ))
    } else if best_deg < WORKING_DEG {
        Some(format!(
            "{name} climbs {best_deg:.1} degrees at most at sea level and {:.0} kg; steps are timed for {WORKING_DEG:.0}",
            aircraft.mass_range_kg.1
        ))
    } else {
        None
    }
}

fn little_descent(aircraft: &Aircraft) -> Option<String> {
    let steepest_deg = path_deg(&light(aircraft), 0.0);
    (steepest_deg > -WORKING_DEG).then(|| {
        format!(
            "{} descends {:.1} degrees at most at idle at sea level and {:.0} kg; steps are timed for {WORKING_DEG:.0}",
            aircraft.name, -steepest_deg, aircraft.mass_range_kg.0
        )
    })
}

fn steep_slope(aircraft: &Aircraft) -> Option<String> {
    let most = SLOPE_LEVELS_DEG_PER_KT[2];
    // The slope is per knot: the lightest flies slowest and has the steepest.
    let slope = path_per_speed_deg_per_kt(&light(aircraft), 0.0);
    (slope > most).then(|| {
        format!(
            "{} loses {slope:.2} degrees of path for each knot lost at {:.0} kg, beyond Level 3 of MIL-F-8785C 3.2.1.3 ({most})",
            aircraft.name, aircraft.mass_range_kg.0
        )
    })
}

fn front_side(aircraft: &Aircraft) -> Option<String> {
    let curve = DragCurve::of(aircraft, 0.0);
    let faster_kt = curve.on_speed_kt - curve.min_drag_kt.unwrap_or(curve.stall_kt);
    (faster_kt >= 0.0).then(|| {
        format!(
            "{} is on speed {faster_kt:.1} kt above its minimum drag: on the front side, where flying slower takes less thrust",
            aircraft.name
        )
    })
}

fn late_engine(aircraft: &Aircraft) -> Option<String> {
    if !matches!(aircraft.engine.kind, EngineKind::Jet { .. }) {
        return None;
    }
    let needs = match EngineAnswer::of(aircraft, 0.0).idle_to_95_s {
        Some(s) if s <= CERTIFIED_WITHIN_S => return None,
        Some(s) => format!("{s:.1} s"),
        None => "minutes".to_string(),
    };
    Some(format!(
        "the engine of {} takes {needs} from idle to 95 %; 14 CFR 33.73 allows {CERTIFIED_WITHIN_S:.0} s",
        aircraft.name
    ))
}
