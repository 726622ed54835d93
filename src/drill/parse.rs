//! Drill files: their top and the ranges that tasks share. The modules below read `[start]`, `[air]`, `[deck]` and `[[task]]`.

mod air;
mod start;
mod tasks;

use std::ops::RangeInclusive;

use super::aircraft_file;
use super::reader::{FileError, Source, Table};
use super::{Aids, Drill};
use crate::sim::deck::AimPoint;
use crate::units::NM;

pub use air::{GUST_WORDS, air_word_mps, gust_word_kt};

/// Range of every altitude asked for, ft.
pub const ALTITUDE_FT: RangeInclusive<f64> = 50.0..=30_000.0;
/// Range of every band half-width, ft.
pub const BAND_FT: RangeInclusive<f64> = 1.0..=5000.0;
/// Range of every band half-width of a vertical speed, ft/min.
pub const BAND_FPM: RangeInclusive<f64> = 10.0..=2000.0;
/// Range of every time, s.
pub const SECONDS: RangeInclusive<f64> = 0.1..=3600.0;

const KEYS: &[&str] = &[
    "title", "about", "aircraft", "aids", "mass_kg", "start", "air", "deck", "task",
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
    let aids = Aids::read(file)?.unwrap_or_default();
    let start_table = file.required_table("start", "[start]", start::KEYS)?;
    let found = find_aircraft(&reference.value).map_err(|what| file.error(reference.at, what))?;
    let mut aircraft = aircraft_file::parse(Source {
        file: &found.file,
        text: &found.text,
    })?;
    let (lightest, heaviest) = aircraft.mass_range_kg;
    aircraft.mass_kg = file
        .number("mass_kg", lightest..=heaviest, Some(aircraft.mass_kg))?
        .value;
    let tasks = file.tables("task", 1..=tasks::MOST, tasks::KEYS);
    let slows_in = tasks.is_ok_and(|tasks| tasks.first().is_some_and(|task| task.has("slow")));
    let start = match slows_in {
        true => start::read_fast(&start_table, &aircraft)?,
        false => start::read(&start_table, &aircraft)?,
    };
    let deck = air::read_deck(file)?;
    let air = air::read(file, deck.as_ref())?;
    let distance_nm = start_table.optional_number("distance_nm", 0.2..=20.0)?;
    let aim = deck.zip(distance_nm).map(|(deck, distance_nm)| AimPoint {
        deck,
        start_m: distance_nm.value * NM,
    });
    let mut drill = Drill {
        id: id.to_string(),
        title: title.value,
        about: about.value,
        aids,
        aircraft,
        start,
        air,
        aim,
        tasks: Vec::new(),
        text: source.text.to_string(),
        aircraft_text: found.text,
    };
    drill.tasks = tasks::read(file, &drill)?;
    Ok(drill)
}
