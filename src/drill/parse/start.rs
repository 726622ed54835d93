//! `[start]`: where and how a drill begins.

use super::ALTITUDE_FT;
use crate::drill::Start;
use crate::drill::aircraft_file::{MOST_OFF_SPEED_KT, cannot_fly_level};
use crate::drill::reader::{At, FileError, Table, plain};
use crate::drill::slow;
use crate::sim::aircraft::Aircraft;
use crate::sim::dynamics::Rig;
use crate::sim::trim;
use crate::units::{DEG, FT, KT};

pub(super) const KEYS: &[&str] = &[
    "altitude_ft",
    "path_deg",
    "off_speed_kt",
    "lever_off",
    "lever",
    "engine",
    "distance_nm",
];

/// The start of a drill that does not slow in.
pub(super) fn read(table: &Table, aircraft: &Aircraft) -> Result<Start, FileError> {
    let altitude = table.number("altitude_ft", ALTITUDE_FT, None)?;
    let path = table.number("path_deg", -10.0..=10.0, Some(0.0))?;
    let off_speed = table.number("off_speed_kt", -25.0..=MOST_OFF_SPEED_KT, Some(0.0))?;
    let lever_off = table.number("lever_off", -0.5..=0.5, Some(0.0))?;
    let lever = table.optional_number("lever", 0.0..=1.0)?;
    let engine = table.optional_number("engine", 0.0..=1.0)?;
    if let Some(lever) = lever.as_ref().filter(|_| table.has("lever_off")) {
        let message = "both `lever` and `lever_off`; give one of them";
        return Err(table.error(lever.at, message));
    }
    can_fly_level(table, aircraft, altitude)?;

    let h_m = altitude.value * FT;
    let on_speed = trim::on_speed(aircraft, h_m, path.value * DEG);
    if !on_speed.is_possible() {
        let (low, high) = trim::path_range_deg(aircraft, h_m, 10);
        return Err(table.error(
            path.at,
            format!(
                "a steady path of {} degrees takes {:.0} % of lever; {} can fly {low:.1} to {high:.1} degrees there",
                plain(path.value),
                100.0 * on_speed.lever,
                aircraft.name
            ),
        ));
    }
    let stall = trim::at_alpha(aircraft, aircraft.alpha_stall_rad, h_m, path.value * DEG);
    let slowest_kt = (stall.speed_mps - on_speed.speed_mps) / KT;
    if off_speed.value < slowest_kt {
        return Err(table.error(
            off_speed.at,
            format!(
                "`off_speed_kt` is {}, below the stall; the stall is {:.1} kt below on speed",
                plain(off_speed.value),
                -slowest_kt
            ),
        ));
    }
    Ok(Start {
        altitude_m: h_m,
        path_rad: path.value * DEG,
        off_speed_mps: off_speed.value * KT,
        lever_off: lever_off.value,
        lever: lever.map(|lever| lever.value),
        engine: engine.map(|engine| engine.value),
        fast: None,
    })
}

/// The start of a drill that slows in: steady level flight, extras in.
pub(super) fn read_fast(table: &Table, aircraft: &Aircraft) -> Result<Start, FileError> {
    let altitude = table.number("altitude_ft", ALTITUDE_FT, None)?;
    if let Some((key, at)) = table.any_of(slow::NOT_GIVEN) {
        let message = format!(
            "`{key}` with a slow as the first task, which begins in steady level flight; leave it out"
        );
        return Err(table.error(at, message));
    }
    let off_speed = table.number("off_speed_kt", slow::OFF_SPEED_KT, None)?;
    can_fly_level(table, aircraft, altitude)?;
    let h_m = altitude.value * FT;
    let speed_mps = trim::on_speed(aircraft, h_m, 0.0).speed_mps + off_speed.value * KT;
    let rig = Rig {
        drag_in: aircraft.extras.iter().map(|extra| extra.drag).sum(),
        lift_in: aircraft.extras.iter().map(|extra| extra.lift).sum(),
        holds_m: None,
    };
    let fast = trim::at_speed(aircraft, &rig, h_m, speed_mps);
    let (what, cure) = match fast {
        Some(fast) if fast.trim.is_possible() => {
            return Ok(Start {
                altitude_m: h_m,
                off_speed_mps: off_speed.value * KT,
                fast: Some(fast),
                ..Start::default()
            });
        }
        Some(fast) if fast.trim.lever > 1.0 => {
            let percent = 100.0 * fast.trim.lever;
            (format!("takes {percent:.0} % of lever"), "less")
        }
        Some(_) => ("takes less than idle".to_string(), "more"),
        None => ("is beyond the stall".to_string(), "more"),
    };
    let message = format!(
        "level flight {} kt above on speed, extras in, {what}; give {cure} off_speed_kt",
        plain(off_speed.value)
    );
    Err(table.error(off_speed.at, message))
}

pub(super) fn can_fly_level(
    table: &Table,
    aircraft: &Aircraft,
    altitude_ft: At<f64>,
) -> Result<(), FileError> {
    let level = trim::on_speed(aircraft, altitude_ft.value * FT, 0.0);
    if level.is_possible() {
        return Ok(());
    }
    let message = cannot_fly_level(aircraft, aircraft.mass_kg, altitude_ft.value, level.lever);
    Err(table.error(altitude_ft.at, format!("{message}, or a lower altitude")))
}
