//! What altitude alone shows of a leg: when the level-off began, and how the altitude drifted in the stay.

use crate::drill::Kind;
use crate::drill::reader::plain;
use crate::run::{Leg, Run};
use crate::units::{FPM, FT, TICK_S, TICKS_PER_S};

/// A level-off shows once the vertical speed has fallen below this share of what it was on the way.
const SHOWS: f64 = 0.85;
/// The least drift that is reported, ft/min.
const DRIFT_FPM: f64 = 5.0;

/// A level-off as the altitude shows it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LevelOff {
    /// When it began, s of the run.
    pub at_s: f64,
    /// Altitude still to go, ft.
    pub to_go_ft: f64,
    /// Vertical speed before it, ft/min, + up.
    pub from_fpm: f64,
}

/// When the level-off of a step began to show; None where the altitude never came into the band.
pub fn level_off(run: &Run, leg: &Leg) -> Option<LevelOff> {
    let Kind::Step(step) = &leg.kind else {
        return None;
    };
    let (start, end) = (leg.start as usize, leg.end? as usize);
    let state = |tick: usize| run.trace().state(tick);
    let change_m = step.altitude_m - state(start).h_m;
    let to_go_m = |tick: usize| (step.altitude_m - state(tick).h_m) * change_m.signum();
    let come = (start..=end).find(|tick| to_go_m(*tick) <= step.band_m)?;
    // The pace in the middle half of the way.
    let middle = |tick: &usize| (0.25..=0.75).contains(&(to_go_m(*tick) / change_m.abs()));
    let mut pace: Vec<f64> = (start..=come)
        .filter(middle)
        .map(|tick| state(tick).vz_mps)
        .collect();
    pace.sort_by(f64::total_cmp);
    let pace_mps = *pace.get(pace.len() / 2)?;
    let slow = |tick: usize| state(tick).vz_mps * pace_mps.signum() < SHOWS * pace_mps.abs();
    let first_slow =
        (start..=end).find(|tick| to_go_m(*tick) <= 0.75 * change_m.abs() && slow(*tick))?;
    // Where it slowed and went on again, the last slowing before it arrived counts.
    let fast = (start..=come).rfind(|tick| !slow(*tick));
    let at = fast.map_or(first_slow, |tick| tick + 1).min(end);
    Some(LevelOff {
        at_s: at as f64 * TICK_S,
        to_go_ft: to_go_m(at) / FT,
        from_fpm: pace_mps / FPM,
    })
}

/// How the altitude drifted over a leg's captured stay or its hold, ft/min, + up: the least-squares slope.
pub fn drift_fpm(run: &Run, leg: &Leg) -> Option<f64> {
    let end = leg.end?;
    let from = match (&leg.kind, leg.captured) {
        (Kind::Hold(_), _) => leg.start,
        (Kind::Step(_), Some(true)) => end - leg.kind.captures_ticks()?,
        _ => return None,
    };
    let count = (end - from) as f64;
    if count < TICKS_PER_S as f64 {
        return None;
    }
    let middle = from as f64 + count / 2.0;
    let (mut up, mut down) = (0.0, 0.0);
    for tick in from..=end {
        let off_s = (tick as f64 - middle) * TICK_S;
        up += off_s * run.trace().state(tick as usize).h_m;
        down += off_s * off_s;
    }
    Some(up / down / FPM)
}

/// Both in a sentence about a leg's task; None where there is nothing to report.
pub fn tell(run: &Run, leg: usize) -> Option<String> {
    let n = run.leg_number(leg);
    let leg = &run.legs()[leg];
    let mut said = Vec::new();
    if let Some(level_off) = level_off(run, leg) {
        let way = if level_off.from_fpm > 0.0 {
            "climb"
        } else {
            "descent"
        };
        said.push(format!(
            "the level-off from a {way} of {} ft/min showed at {:.1} s, {} ft to go",
            plain(level_off.from_fpm.abs().round()),
            level_off.at_s,
            plain((level_off.to_go_ft).round() + 0.0)
        ));
    }
    if let Some(drift_fpm) = drift_fpm(run, leg).filter(|drift| drift.abs() >= DRIFT_FPM) {
        let way = if drift_fpm > 0.0 { "up" } else { "down" };
        said.push(format!(
            "the altitude drifted {way} at {:.0} ft/min",
            drift_fpm.abs()
        ));
    }
    (!said.is_empty()).then(|| format!("Task {n}: {}.", said.join("; ")))
}
