//! Drill files: every key with its range, and the rules between tasks.

use std::ops::RangeInclusive;

use super::aircraft_file::{self, cannot_fly_level};
use super::reader::{At, FileError, Source, Table, plain};
use super::{Drill, Hold, Kind, Start, Step, Task, hold, step};
use crate::sim::air::AirSpec;
use crate::sim::aircraft::Aircraft;
use crate::sim::deck::{AimPoint, Deck};
use crate::sim::trim;
use crate::units::{DEG, FT, KT, NM};

/// Range of every altitude asked for, ft.
pub const ALTITUDE_FT: RangeInclusive<f64> = 50.0..=30_000.0;
/// Range of every band half-width, ft.
pub const BAND_FT: RangeInclusive<f64> = 1.0..=5000.0;
/// Range of every time, s.
pub const SECONDS: RangeInclusive<f64> = 0.1..=3600.0;
/// Longest drill, s.
const LONGEST_S: f64 = 4.0 * 3600.0;

const KEYS: &[&str] = &[
    "title", "about", "aircraft", "mass_kg", "start", "air", "deck", "task",
];
const START_KEYS: &[&str] = &[
    "altitude_ft",
    "path_deg",
    "off_speed_kt",
    "lever_off",
    "distance_nm",
];
const AIR_KEYS: &[&str] = &["headwind_kt", "roughness_ft", "gusts", "wake"];
const DECK_KEYS: &[&str] = &[
    "height_ft",
    "speed_kt",
    "zone_ft",
    "heave_ft",
    "heave_period_s",
    "pitch_deg",
];
const TASK_KEYS: &[&str] = &["hold", "step", "scored"];
const KINDS: &[&str] = &["hold", "step"];

/// The words for gusts and their wind at 20 ft, kt.
pub const GUST_WORDS: &[(&str, f64)] = &[
    ("still", 0.0),
    ("light", 4.0),
    ("lively", 8.0),
    ("rough", 15.0),
];

/// An aircraft file that a drill refers to: the name for messages, and the text.
pub struct AircraftText {
    /// The file as messages name it.
    pub file: String,
    /// Its content.
    pub text: String,
}

/// Reads a drill. `find_aircraft` turns the drill's `aircraft` value into a file's text, or says what is wrong.
///
/// # Errors
/// The first thing wrong in the drill or its aircraft file, with its place.
pub fn parse(
    id: &str,
    source: Source,
    find_aircraft: &dyn Fn(&str) -> Result<AircraftText, String>,
) -> Result<Drill, FileError> {
    source.read(KEYS, |file| read(id, source, file, find_aircraft))
}

fn read(
    id: &str,
    source: Source,
    file: &Table,
    find_aircraft: &dyn Fn(&str) -> Result<AircraftText, String>,
) -> Result<Drill, FileError> {
    let title = file.text("title", 80)?;
    let about = file.text("about", 200)?;
    let reference = file.text("aircraft", 400)?;
    let start_table = file.required_table("start", "[start]", START_KEYS)?;
    let found = find_aircraft(&reference.value).map_err(|what| file.error(reference.at, what))?;
    let mut aircraft = aircraft_file::parse(Source {
        file: &found.file,
        text: &found.text,
    })?;
    let (lightest, heaviest) = aircraft.mass_range_kg;
    aircraft.mass_kg = file
        .number("mass_kg", lightest..=heaviest, Some(aircraft.mass_kg))?
        .value;
    let start = read_start(&start_table, &aircraft)?;
    let deck = read_deck(file)?;
    let air = read_air(file, deck.as_ref())?;
    let distance_nm = start_table.optional_number("distance_nm", 0.2..=20.0)?;
    let aim = deck.zip(distance_nm).map(|(deck, distance_nm)| AimPoint {
        deck,
        start_m: distance_nm.value * NM,
    });
    let tasks = read_tasks(file, &aircraft, start.altitude_m / FT)?;
    Ok(Drill {
        id: id.to_string(),
        title: title.value,
        about: about.value,
        aircraft,
        start,
        air,
        aim,
        tasks,
        text: source.text.to_string(),
        aircraft_text: found.text,
    })
}

fn read_start(table: &Table, aircraft: &Aircraft) -> Result<Start, FileError> {
    let altitude = table.number("altitude_ft", ALTITUDE_FT, None)?;
    let path = table.number("path_deg", -10.0..=10.0, Some(0.0))?;
    let off_speed = table.number("off_speed_kt", -25.0..=40.0, Some(0.0))?;
    let lever_off = table.number("lever_off", -0.5..=0.5, Some(0.0))?;
    can_fly_level(table, aircraft, altitude)?;

    let h_m = altitude.value * FT;
    let on_speed = trim::on_speed(aircraft, h_m, path.value * DEG);
    if !on_speed.is_possible() {
        let range = path_range_deg(aircraft, h_m);
        return Err(table.error(
            path.at,
            format!(
                "a steady path of {} degrees takes {:.0} % of lever; {} can fly {:.1} to {:.1} degrees there",
                plain(path.value),
                100.0 * on_speed.lever,
                aircraft.name,
                range.0,
                range.1
            ),
        ));
    }
    let stall = trim::at_alpha(aircraft, aircraft.alpha_stall_rad, h_m, path.value * DEG);
    let slowest_kt = (stall.speed_mps - on_speed.speed_mps) / KT;
    if off_speed.value < slowest_kt {
        return Err(table.error(
            off_speed.at,
            format!(
                "`off_speed_kt` is {}, below the stall; the stall is {:.1} kt under on speed",
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
    })
}

/// The shallowest and steepest steady paths, by tenths of a degree inside +-10.
fn path_range_deg(aircraft: &Aircraft, h_m: f64) -> (f64, f64) {
    let possible =
        |tenths: &i32| trim::on_speed(aircraft, h_m, f64::from(*tenths) / 10.0 * DEG).is_possible();
    let low = (-100..=100).find(possible).unwrap_or(0);
    let high = (-100..=100).rev().find(possible).unwrap_or(0);
    (f64::from(low) / 10.0, f64::from(high) / 10.0)
}

fn can_fly_level(
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

fn read_deck(file: &Table) -> Result<Option<Deck>, FileError> {
    let Some(table) = file.table("deck", "[deck]", DECK_KEYS)? else {
        return Ok(None);
    };
    Ok(Some(Deck {
        height_m: table.number("height_ft", 0.0..=300.0, None)?.value * FT,
        speed_mps: table.number("speed_kt", 0.0..=40.0, Some(0.0))?.value * KT,
        zone_m: table.number("zone_ft", 50.0..=3000.0, None)?.value * FT,
        heave_m: table.number("heave_ft", 0.0..=20.0, Some(0.0))?.value * FT,
        heave_period_s: table
            .number("heave_period_s", 4.0..=30.0, Some(10.0))?
            .value,
        pitch_rad: table.number("pitch_deg", 0.0..=5.0, Some(0.0))?.value * DEG,
    }))
}

fn read_air(file: &Table, deck: Option<&Deck>) -> Result<AirSpec, FileError> {
    let Some(table) = file.table("air", "[air]", AIR_KEYS)? else {
        return Ok(AirSpec::default());
    };
    let headwind = table.number("headwind_kt", -40.0..=60.0, Some(0.0))?;
    let roughness = table.number("roughness_ft", 0.0001..=10.0, Some(0.15))?;
    let u20_kt = if !table.has("gusts") {
        0.0
    } else if table.is_text("gusts") {
        let words: Vec<&'static str> = GUST_WORDS.iter().map(|(word, _)| *word).collect();
        let word = table.word("gusts", &words)?.value;
        gust_word_kt(word).unwrap_or(0.0)
    } else {
        match table.table("gusts", "gusts", &["u20_kt"])? {
            Some(gusts) => gusts.number("u20_kt", 0.0..=60.0, None)?.value,
            None => 0.0,
        }
    };
    let wake = table.flag("wake", false)?;
    if wake.value && deck.is_none() {
        let message = "`wake` is the air behind a ship; give a [deck] as well, or leave it out";
        return Err(table.error(wake.at, message));
    }
    Ok(AirSpec {
        headwind_mps: headwind.value * KT,
        roughness_m: roughness.value * FT,
        u20_mps: u20_kt * KT,
        wake: deck.filter(|_| wake.value).map(Deck::wake),
    })
}

/// The wind at 20 ft that a word for gusts stands for, kt.
pub fn gust_word_kt(word: &str) -> Option<f64> {
    GUST_WORDS
        .iter()
        .find(|(known, _)| *known == word)
        .map(|(_, kt)| *kt)
}

fn read_tasks(file: &Table, aircraft: &Aircraft, start_ft: f64) -> Result<Vec<Task>, FileError> {
    let mut target_ft = start_ft;
    let mut total_s = 0.0;
    let mut tasks = Vec::new();
    for table in file.tables("task", 1..=200, TASK_KEYS)? {
        let scored = table.flag("scored", true)?.value;
        let (kind, altitude) = read_kind(&table, aircraft, target_ft)?;
        can_fly_level(&table, aircraft, altitude)?;
        target_ft = altitude.value;
        total_s += kind.longest_s();
        if total_s > LONGEST_S {
            let message = format!(
                "up to here the drill can last {} s; it takes at most {}",
                plain(total_s),
                plain(LONGEST_S)
            );
            return Err(table.error(table.at(), message));
        }
        tasks.push(Task { kind, scored });
    }
    Ok(tasks)
}

/// The task's one kind, and the altitude in ft that it leaves as the target.
fn read_kind(
    table: &Table,
    aircraft: &Aircraft,
    target_ft: f64,
) -> Result<(Kind, At<f64>), FileError> {
    let given: Vec<&str> = table.keys().filter(|key| KINDS.contains(key)).collect();
    let [kind] = given[..] else {
        let found = match given.len() {
            0 => "a task without a kind".to_string(),
            _ => format!("a task of two kinds, {}", given.join(" and ")),
        };
        let right = KINDS.join(", ");
        return Err(table.error(table.at(), format!("{found}; give exactly one of {right}")));
    };
    match kind {
        "hold" => {
            let keys = table.required_table("hold", "hold", hold::KEYS)?;
            let (hold, altitude) = Hold::read(&keys, target_ft)?;
            Ok((Kind::Hold(hold), altitude))
        }
        _ => {
            let keys = table.required_table("step", "step", step::KEYS)?;
            let rate_mps = trim::three_degrees(aircraft, target_ft * FT).rate_mps;
            let (step, altitude) = Step::read(&keys, target_ft, rate_mps / FT)?;
            Ok((Kind::Step(step), altitude))
        }
    }
}

/// The wind at 20 ft that an `--air` value stands for, m/s: a word for gusts, or knots within 0..60.
pub fn air_word_mps(air: &str) -> Option<f64> {
    let kt = gust_word_kt(air).or_else(|| air.parse().ok())?;
    (0.0..=60.0).contains(&kt).then_some(kt * KT)
}
