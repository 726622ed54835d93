//! Readings from elsewhere: rows of steady flight on speed, from CSV or line by line.

use crate::drill::columns::{Column, Field, Mapping, Sheet};
use crate::drill::reader::{FileError, Source, plain};
use crate::drill::table::{self, Cell};
use crate::sim::math::sin;
use crate::units::{DEG, FPM, FT, KT};

/// The fewest rows: with fewer, nothing can be checked.
pub const LEAST: usize = 3;
/// The most rows: more than a person reads off.
pub const MOST: usize = 200;
/// Steady flight on speed, as it was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SteadyRow {
    /// Lever, 0..1.
    pub lever: f64,
    /// Vertical speed, m/s, + up.
    pub vertical_mps: f64,
    /// True airspeed, m/s.
    pub speed_mps: f64,
    pub mass_kg: f64,
    /// Altitude, m.
    pub h_m: f64,
    /// Byte offset of the row in its text.
    pub at: usize,
}

/// The columns of a row, in the order and the units in which it is typed.
pub const COLUMNS: [Field; 5] = [
    Field::Lever,
    Field::Vertical,
    Field::Speed,
    Field::Mass,
    Field::Altitude,
];
const TYPED_IN: [f64; COLUMNS.len()] = [0.01, FPM, KT, 1.0, FT];
/// Ranges of speed and altitude: those that an aeroplane's page can have.
const SPEEDS: (f64, f64) = (20.0 * KT, 400.0 * KT);
const ALTITUDES: (f64, f64) = (0.0, 30_000.0 * FT);

/// Reads CSV: a header that names five columns in any order, then one row per line; `mappings` name
/// the columns that are not found by their header.
///
/// # Errors
/// The first thing that is wrong, with its place and what would be right.
pub fn parse(source: Source, mappings: &[Mapping]) -> Result<Vec<SteadyRow>, FileError> {
    let sheet = Sheet::read(source, &COLUMNS, COLUMNS.len(), mappings)?;
    if let Some(line) = sheet.rows.get(MOST) {
        let message = format!("there are more than {MOST} rows; give the best of them");
        return Err(source.error(line.at, message));
    }
    let rows = sheet.rows.iter();
    let row = |line: &table::Row| read_row(&line.cells, &sheet.columns, line.at);
    rows.map(|line| row(line).map_err(|(at, what)| source.error(at, what)))
        .collect()
}

/// A row as it is typed: lever %, vertical speed ft/min, true airspeed kt, mass kg, altitude ft, separated by blanks or
/// commas. Mass and altitude may be left out after the first row: they are then those of the row before.
///
/// # Errors
/// What is wrong with it; what would be right.
pub fn typed(line: &str, before: Option<&SteadyRow>) -> Result<SteadyRow, String> {
    let is_between = |c: char| c == ',' || c.is_whitespace();
    let parts = line.split(is_between).filter(|part| !part.is_empty());
    let mut cells: Vec<String> = parts.map(String::from).collect();
    let typed = cells.len();
    if let Some(before) = before {
        let kept = [before.mass_kg, before.h_m / FT].map(|number| format!("{number:.3}"));
        cells.extend(kept.into_iter().skip(typed.max(3) - 3));
    }
    if typed < 3 || cells.len() != COLUMNS.len() {
        let s = if typed == 1 { "" } else { "s" };
        return Err(format!(
            "{typed} number{s} in a row; give lever %, ft/min, kt, kg and ft"
        ));
    }
    let columns = [0, 1, 2, 3, 4].map(|index| Column {
        field: COLUMNS[index],
        index,
        unit: TYPED_IN[index],
    });
    let text = cells.join(",");
    let cells = table::lines(&text)
        .next()
        .map_or_else(Vec::new, |line| line.cells);
    read_row(&cells, &columns, 0).map_err(|(_, what)| what)
}

fn read_row(cells: &[Cell], columns: &[Column], at: usize) -> Result<SteadyRow, (usize, String)> {
    let mut si = [0.0; COLUMNS.len()];
    for (column, si) in columns.iter().zip(&mut si) {
        let cell = &cells[column.index];
        let spec = column.field.spec();
        let range = match column.field {
            Field::Speed => SPEEDS,
            Field::Altitude => ALTITUDES,
            _ => spec.range,
        };
        let number = column.number(cell, range).map_err(|what| (cell.at, what))?;
        *si = number.ok_or_else(|| {
            (
                cell.at,
                format!("`{}` is missing; give it in each row", spec.name),
            )
        })?;
    }
    let [lever, vertical_mps, speed_mps, mass_kg, h_m] = si;
    // The steepest path that the trim on speed allows.
    if vertical_mps.abs() > speed_mps * sin(30.0 * DEG) {
        let what = format!(
            "{} ft/min at {} kt is steeper than 30 degrees; give flight on speed",
            plain((vertical_mps / FPM).round()),
            plain((speed_mps / KT).round())
        );
        return Err((at, what));
    }
    Ok(SteadyRow {
        lever,
        vertical_mps,
        speed_mps,
        mass_kg,
        h_m,
        at,
    })
}
