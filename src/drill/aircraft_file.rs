//! Aircraft files: TOML, fifteen numbers or so, every key with its unit.

use std::ops::RangeInclusive;

use super::reader::{FileError, Source, Table, printable};
use crate::sim::aircraft::{Aircraft, Engine, EngineKind, Extra, MOST_EXTRAS};
use crate::sim::dynamics::STEP_REACH;
use crate::sim::math::tan;
use crate::sim::stability;
use crate::sim::trim::{self, Trim};
use crate::units::{DEG, KT, TICK_S};

const KEYS: &[&str] = &[
    "name",
    "about",
    "mass_kg",
    "mass_range_kg",
    "wing",
    "engine",
    "extra",
];
const EXTRA_KEYS: &[&str] = &["name", "drag", "lift", "out_kt", "out_s"];
const WING_KEYS: &[&str] = &[
    "area_m2",
    "lift_at_zero_alpha",
    "lift_per_rad",
    "drag_at_zero_lift",
    "drag_per_lift_squared",
    "on_speed_alpha_deg",
    "stall_alpha_deg",
    "pitch_hold_s",
    "swing_damping",
];
const JET_KEYS: &[&str] = &["kind", "max_thrust_n", "idle_fraction", "slow_s", "quick_s"];
const PROPELLER_KEYS: &[&str] = &[
    "kind",
    "static_thrust_n",
    "max_power_w",
    "efficiency",
    "idle_fraction",
    "slow_s",
    "quick_s",
];
const ENGINE_KEYS: &[&str] = &[
    "kind",
    "max_thrust_n",
    "static_thrust_n",
    "max_power_w",
    "efficiency",
    "idle_fraction",
    "slow_s",
    "quick_s",
];

/// How far above on speed a drill may begin with pitch left alone, kt.
pub const MOST_OFF_SPEED_KT: f64 = 40.0;

/// Range of the on-speed speed at sea level, kt: below it, figures of a few knots either way mean nothing;
/// above it, air is not what the model takes it for.
const SPEED_KT: RangeInclusive<f64> = 20.0..=400.0;

/// Reads an aircraft file, and refuses an aeroplane that cannot fly level on speed at sea level.
///
/// # Errors
/// The first thing wrong, with its place.
pub fn parse(source: Source) -> Result<Aircraft, FileError> {
    source.read(KEYS, |file| {
        let aircraft = read(file)?;
        let cl = aircraft.on_speed_cl();
        let cd = aircraft.drag_coefficient(cl);
        if cl + cd * tan(aircraft.alpha_on_rad).min(0.0) < 0.05 {
            let message = format!(
                "the lift coefficient on speed is {cl:.3} beside {cd:.3} of drag; lift_at_zero_alpha and lift_per_rad must give at least 0.05 more than drag takes away"
            );
            return Err(file.error(file.at(), message));
        }
        for mass_kg in aircraft.masses_kg() {
            let Trim { speed_mps, lever, .. } =
                trim::on_speed(&aircraft.at_mass(mass_kg), 0.0, 0.0);
            let speed_kt = speed_mps / KT;
            if !SPEED_KT.contains(&speed_kt) {
                let message = format!(
                    "on speed at sea level and {mass_kg:.0} kg it flies at {speed_kt:.1} kt; mass, area and lift must give {} to {}",
                    SPEED_KT.start(),
                    SPEED_KT.end()
                );
                return Err(file.error(file.at(), message));
            }
            if !(0.0..=1.0).contains(&lever) {
                return Err(file.error(file.at(), cannot_fly_level(&aircraft, mass_kg, 0.0, lever)));
            }
            can_be_stepped(file, &aircraft.at_mass(mass_kg))?;
        }
        Ok(aircraft)
    })
}

/// Refuses an aeroplane whose pitch is too quick for the step of a tick, so that it would tumble because of the
/// arithmetic alone. It is checked at full power, as far above on speed as a drill with pitch left alone may begin, and pulled up to the stall,
/// where pitch is quickest; higher up it is slower.
fn can_be_stepped(file: &Table, aircraft: &Aircraft) -> Result<(), FileError> {
    let level = trim::on_speed(aircraft, 0.0, 0.0);
    let quickest = Trim {
        speed_mps: level.speed_mps + MOST_OFF_SPEED_KT * KT,
        engine: 1.0,
        lever: 1.0,
        ..level
    };
    let pulled_up = Aircraft {
        alpha_on_rad: aircraft.alpha_stall_rad,
        ..aircraft.clone()
    };
    let per_s = stability::pitch_per_s(&pulled_up, 0.0, &quickest);
    if per_s * TICK_S < STEP_REACH {
        return Ok(());
    }
    let message = format!(
        "pitch answers in {:.4} s at {:.0} kg, full power, {MOST_OFF_SPEED_KT:.0} kt above on speed and the stall's angle of attack; ticks of 1/64 s follow nothing quicker than {:.4} s: give it more pitch_hold_s, less swing_damping, or less lift_per_rad, drag_per_lift_squared or thrust",
        1.0 / per_s,
        aircraft.mass_kg,
        TICK_S / STEP_REACH
    );
    Err(file.error(file.at(), message))
}

/// The sentence for an aeroplane without level flight at a mass (kg) and altitude (ft), with the lever it would take.
pub fn cannot_fly_level(aircraft: &Aircraft, mass_kg: f64, altitude_ft: f64, lever: f64) -> String {
    let name = &aircraft.name;
    let height = super::reader::plain(altitude_ft);
    let percent = 100.0 * lever;
    let cure = if lever > 1.0 {
        "more thrust or less drag"
    } else {
        "less idle thrust"
    };
    format!(
        "{name} cannot fly level on speed at {height} ft and {mass_kg:.0} kg: that takes {percent:.0} % of lever; give it {cure}"
    )
}

fn read(file: &Table) -> Result<Aircraft, FileError> {
    let name = file.text("name", 40)?;
    let about = file.text("about", 200)?;
    let mass = file.number("mass_kg", 50.0..=1e6, None)?;
    let mass_range = file.pair("mass_range_kg", 50.0..=1e6)?;
    let (lightest, heaviest) = mass_range.value;
    if !(lightest..=heaviest).contains(&mass.value) {
        return Err(file.error(
            mass.at,
            format!(
                "`mass_kg` is {}; it must lie inside mass_range_kg, {lightest} to {heaviest}",
                mass.value
            ),
        ));
    }
    let wing = file.required_table("wing", "[wing]", WING_KEYS)?;
    let on_speed = wing.number("on_speed_alpha_deg", -5.0..=25.0, None)?;
    let stall = wing.number("stall_alpha_deg", 0.0..=40.0, None)?;
    if stall.value < on_speed.value + 1.0 {
        return Err(wing.error(
            stall.at,
            format!(
                "`stall_alpha_deg` is {}, on speed is {}; the stall must lie at least 1 degree above on speed",
                stall.value, on_speed.value
            ),
        ));
    }
    let (cl0, cd0) = (
        wing.number("lift_at_zero_alpha", -1.0..=3.0, None)?,
        wing.number("drag_at_zero_lift", 0.005..=1.0, None)?,
    );
    Ok(Aircraft {
        extras: read_extras(file, cd0.value, cl0.value)?,
        name: name.value,
        about: about.value,
        mass_kg: mass.value,
        mass_range_kg: mass_range.value,
        area_m2: wing.number("area_m2", 1.0..=2000.0, None)?.value,
        cl0: cl0.value,
        cl_per_rad: wing.number("lift_per_rad", 0.5..=8.0, None)?.value,
        cd0: cd0.value,
        k: wing
            .number("drag_per_lift_squared", 0.005..=1.0, None)?
            .value,
        alpha_on_rad: on_speed.value * DEG,
        alpha_stall_rad: stall.value * DEG,
        pitch_hold_s: wing.number("pitch_hold_s", 0.02..=10.0, None)?.value,
        swing_damping: wing.number("swing_damping", 0.0..=2.0, None)?.value,
        engine: read_engine(
            &file.required_table("engine", "[engine]", ENGINE_KEYS)?,
            file,
        )?,
    })
}

/// Reads the extras, which must leave some of the drag and the lift that they are part of.
fn read_extras(file: &Table, cd0: f64, cl0: f64) -> Result<Vec<Extra>, FileError> {
    const LEAST: f64 = 0.01;
    let mut extras: Vec<Extra> = Vec::new();
    let (mut drag, mut lift) = (cd0, cl0);
    if !file.has("extra") {
        return Ok(extras);
    }
    for table in file.tables("extra", 0..=MOST_EXTRAS, EXTRA_KEYS)? {
        let name = table.text("name", 40)?;
        if extras.iter().any(|extra| extra.name == name.value) {
            let message = format!(
                "a second extra called `{}`; give each a name of its own",
                printable(&name.value)
            );
            return Err(table.error(name.at, message));
        }
        let extra = Extra {
            name: name.value,
            drag: table.number("drag", 0.0..=0.2, None)?.value,
            lift: table.number("lift", 0.0..=1.0, None)?.value,
            out_mps: table.number("out_kt", 30.0..=400.0, None)?.value * KT,
            out_s: table.number("out_s", 0.5..=30.0, None)?.value,
        };
        drag -= extra.drag;
        lift -= extra.lift;
        for (left, part, whole) in [
            (drag, "drag", "drag_at_zero_lift"),
            (lift, "lift", "lift_at_zero_alpha"),
        ] {
            // Refuses a file that leaves exactly that much, too, however binary rounding falls.
            if left <= LEAST + 1e-12 {
                let message = format!(
                    "with the {part} of every extra in, {left:.3} of {whole} is left; leave more than {LEAST}"
                );
                return Err(table.error(table.at(), message));
            }
        }
        extras.push(extra);
    }
    Ok(extras)
}

fn read_engine(any: &Table, file: &Table) -> Result<Engine, FileError> {
    let kind = any.word("kind", &["jet", "propeller"])?.value;
    let keys = if kind == "jet" {
        JET_KEYS
    } else {
        PROPELLER_KEYS
    };
    let engine = file.required_table("engine", "[engine]", keys)?;
    let kind = if kind == "jet" {
        EngineKind::Jet {
            max_thrust_n: engine.number("max_thrust_n", 10.0..=1e7, None)?.value,
        }
    } else {
        let max_power_w = engine.number("max_power_w", 100.0..=1e8, None)?.value;
        EngineKind::Propeller {
            static_thrust_n: engine.number("static_thrust_n", 10.0..=1e7, None)?.value,
            useful_power_w: max_power_w * engine.number("efficiency", 0.05..=1.0, None)?.value,
        }
    };
    Ok(Engine {
        kind,
        idle_fraction: engine.number("idle_fraction", 0.0..=0.45, None)?.value,
        slow_s: engine.number("slow_s", 0.05..=30.0, None)?.value,
        quick_s: engine.number("quick_s", 0.05..=30.0, None)?.value,
    })
}
