//! What was read off elsewhere: rows of steady flight on speed, from CSV or line by line.

use std::ops::RangeInclusive;

use crate::drill::reader::{FileError, Source, plain, printable};
use crate::drill::spelling;
use crate::drill::table::{self, Cell};
use crate::sim::math::sin;
use crate::units::{DEG, FPM, FT, KT};

/// With fewer rows nothing can be checked.
pub const LEAST: usize = 3;
/// More rows than a person reads.
pub const MOST: usize = 200;
/// One pound, kg: exact, international yard and pound agreement of 1959.
const LB: f64 = 0.453_592_37;

/// Steady flight on speed, as it was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row {
    /// Lever, 0..1.
    pub lever: f64,
    /// Vertical speed, m/s, + up.
    pub vertical_mps: f64,
    /// True airspeed, m/s.
    pub speed_mps: f64,
    /// Mass, kg.
    pub mass_kg: f64,
    /// Altitude, m.
    pub h_m: f64,
    /// Where it stands in its text, bytes.
    pub at: usize,
}

/// A column that is understood: its name, which quantity it is, the unit in SI, and what may stand in it.
struct Column {
    name: &'static str,
    quantity: usize,
    unit: f64,
    range: RangeInclusive<f64>,
}

const fn column(name: &'static str, quantity: usize, unit: f64, low: f64, high: f64) -> Column {
    let range = low..=high;
    Column {
        name,
        quantity,
        unit,
        range,
    }
}

/// Lever, vertical speed, speed, mass, altitude: the first of each is what is asked for line by line. Masses, altitudes and speeds
/// are those an aeroplane's file and its page can have.
const COLUMNS: &[Column] = &[
    column("lever_pct", 0, 0.01, 0.0, 100.0),
    column("vertical_speed_fpm", 1, FPM, -6000.0, 6000.0),
    column("speed_kt", 2, KT, 20.0, 400.0),
    column("mass_kg", 3, 1.0, 50.0, 1e6),
    column("altitude_ft", 4, FT, 0.0, 30_000.0),
    column("power_pct", 0, 0.01, 0.0, 100.0),
    column("lever", 0, 1.0, 0.0, 1.0),
    column("vertical_speed_mps", 1, 1.0, -30.0, 30.0),
    column("speed_mps", 2, 1.0, 10.0, 205.0),
    column("speed_kmh", 2, 1.0 / 3.6, 37.0, 740.0),
    column("mass_lb", 3, LB, 111.0, 2.2e6),
    column("altitude_m", 4, 1.0, 0.0, 9144.0),
];
const QUANTITIES: [&str; 5] = ["lever", "vertical speed", "speed", "mass", "altitude"];

/// Reads CSV: a header that names five columns in any order, then a row a line. Blank lines are skipped.
///
/// # Errors
/// The first thing that is not right, with its place and what would be.
pub fn parse(source: Source) -> Result<Vec<Row>, FileError> {
    let mut header: Option<Vec<&Column>> = None;
    let mut rows = Vec::new();
    for line in table::lines(source.text) {
        let wrong = |(at, what): (usize, String)| source.error(at, what);
        match &header {
            None => header = Some(read_header(&line.cells).map_err(wrong)?),
            Some(_) if rows.len() == MOST => {
                let message = format!("there are more than {MOST} rows; give the best of them");
                return Err(source.error(line.at, message));
            }
            Some(columns) => {
                if line.cells.len() != columns.len() {
                    let names: Vec<&str> = columns.iter().map(|column| column.name).collect();
                    let cells = line.cells.len();
                    let message = format!("{cells} cells in a row; give {}", names.join(","));
                    return Err(source.error(line.at, message));
                }
                rows.push(read_row(&line.cells, columns, line.at).map_err(wrong)?);
            }
        }
    }
    if header.is_none() {
        let names: Vec<&str> = COLUMNS[..QUANTITIES.len()].iter().map(|c| c.name).collect();
        let message = format!(
            "there is no header; the first line must be like `{}`",
            names.join(",")
        );
        return Err(source.error(0, message));
    }
    Ok(rows)
}

/// A row as it is typed: lever %, vertical speed ft/min, true airspeed kt, mass kg, altitude ft, apart by blanks or commas. Mass and
/// altitude may be left out after the first row: they are those of the row before.
///
/// # Errors
/// What is wrong with it; what would be right.
pub fn typed(line: &str, before: Option<&Row>) -> Result<Row, String> {
    let is_between = |c: char| c == ',' || c.is_whitespace();
    let parts = line.split(is_between).filter(|part| !part.is_empty());
    let mut cells: Vec<String> = parts.map(String::from).collect();
    let typed = cells.len();
    if let Some(before) = before {
        let kept = [before.mass_kg, before.h_m / FT].map(|number| format!("{number:.3}"));
        cells.extend(kept.into_iter().skip(typed.max(3) - 3));
    }
    if typed < 3 || cells.len() != QUANTITIES.len() {
        let s = if typed == 1 { "" } else { "s" };
        return Err(format!(
            "{typed} number{s} in a row; give lever %, ft/min, kt, kg and ft"
        ));
    }
    let columns: Vec<&Column> = COLUMNS[..QUANTITIES.len()].iter().collect();
    let text = cells.join(",");
    let cells = table::lines(&text)
        .next()
        .map_or_else(Vec::new, |line| line.cells);
    read_row(&cells, &columns, 0).map_err(|(_, what)| what)
}

fn read_header(cells: &[Cell]) -> Result<Vec<&'static Column>, (usize, String)> {
    let known: Vec<&str> = COLUMNS.iter().map(|column| column.name).collect();
    let mut found: Vec<&Column> = Vec::new();
    for Cell { at, text: cell, .. } in cells.iter().copied() {
        let Some(column) = COLUMNS.iter().find(|column| column.name == cell) else {
            let typed = printable(cell);
            let message = format!(
                "unknown column `{typed}`; known are {}{}",
                known.join(", "),
                spelling::hint(&typed, &known)
            );
            return Err((at, message));
        };
        if let Some(twin) = found.iter().find(|other| other.quantity == column.quantity) {
            let what = QUANTITIES[column.quantity];
            return Err((
                at,
                format!("`{cell}` after `{}`; give one column of {what}", twin.name),
            ));
        }
        found.push(column);
    }
    let is_there = |quantity: usize| found.iter().any(|column| column.quantity == quantity);
    match (0..QUANTITIES.len()).find(|quantity| !is_there(*quantity)) {
        Some(quantity) => Err((
            cells[0].at,
            format!(
                "no column of {}; add `{}`",
                QUANTITIES[quantity], COLUMNS[quantity].name
            ),
        )),
        None => Ok(found),
    }
}

fn read_row(cells: &[Cell], columns: &[&Column], at: usize) -> Result<Row, (usize, String)> {
    let mut si = [0.0; QUANTITIES.len()];
    for (cell, column) in cells.iter().zip(columns) {
        let number = cell.number().filter(|x| column.range.contains(x));
        let Some(number) = number else {
            let (low, high) = (plain(*column.range.start()), plain(*column.range.end()));
            let shown = printable(cell.text);
            let message = format!(
                "`{}` is `{shown}`; it takes a number from {low} to {high}",
                column.name
            );
            return Err((cell.at, message));
        };
        si[column.quantity] = number * column.unit;
    }
    let [lever, vertical_mps, speed_mps, mass_kg, h_m] = si;
    // The steepest that a trim on speed is made for.
    if vertical_mps.abs() > speed_mps * sin(30.0 * DEG) {
        let what = format!(
            "{} ft/min at {} kt is steeper than 30 degrees; give flight on speed",
            plain((vertical_mps / FPM).round()),
            plain((speed_mps / KT).round())
        );
        return Err((at, what));
    }
    Ok(Row {
        lever,
        vertical_mps,
        speed_mps,
        mass_kg,
        h_m,
        at,
    })
}
