//! Reading a track: CSV with a header, from anybody.

use super::field::{self, Asked, Column, FIELDS, Field};
use crate::drill::reader::{FileError, Source, plain, printable};
use crate::drill::table::{self, Cell};

/// A column's values, each at its time; times ascend.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Series {
    /// When, s.
    pub t_s: Vec<f64>,
    /// What, SI.
    pub values: Vec<f64>,
}

/// Rows farther apart than this are too few to judge by, s: a level-off takes a few seconds.
const SLOWEST_S: f64 = 1.05;
/// So many rows are the least.
const LEAST_ROWS: usize = 8;

/// The columns of a track by what they hold; altitude is always there. Rows of one time are taken as their mean.
///
/// # Errors
/// The first thing that is not right, with what would be.
pub fn read(source: Source, asked: &[Asked]) -> Result<Vec<(Field, Series)>, FileError> {
    let mut header: Option<(Vec<Column>, usize)> = None;
    let mut table: Vec<(Field, Series)> = Vec::new();
    let mut last_s = f64::NEG_INFINITY;
    for line in table::lines(source.text) {
        let cells = &line.cells;
        let Some((columns, width)) = &header else {
            if cells.iter().all(|cell| cell.number().is_some()) {
                let what = "the first line holds numbers; it must name the columns, such as `t_s,altitude_ft,lever`";
                return Err(source.error(line.at, what));
            }
            let names: Vec<&str> = cells.iter().map(|cell| cell.text).collect();
            let columns = field::columns(&names, asked)
                .map_err(|what| source.error(line.at, printable(&what)))?;
            table = columns
                .iter()
                .map(|column| (column.field, Series::default()))
                .collect();
            header = Some((columns, cells.len()));
            continue;
        };
        if cells.len() != *width {
            let hint = match cells.len() > *width {
                true => "; where a comma is the decimal sign, separate cells by semicolons",
                false => "",
            };
            let cells = cells.len();
            let what = format!("{cells} cells in a row; the header has {width}{hint}");
            return Err(source.error(line.at, what));
        }
        let value = |column: &Column| {
            let cell = &cells[column.index];
            number(cell, column).map_err(|what| source.error(cell.at, what))
        };
        let time = columns.iter().find(|column| column.field == Field::Time);
        let Some((time, t_s)) = time.map(|time| Ok((time, value(time)?))).transpose()? else {
            continue;
        };
        let t_s = t_s.ok_or_else(|| {
            source.error(
                cells[time.index].at,
                "the time is missing; give one in each row",
            )
        })?;
        if t_s < last_s {
            let what = format!("the time is {t_s} s after {last_s} s; times must ascend");
            return Err(source.error(cells[time.index].at, what));
        }
        last_s = t_s;
        for (column, (_, series)) in columns.iter().zip(&mut table) {
            if let Some(value) = value(column)? {
                series.push(t_s, value);
            }
        }
    }
    if header.is_none() {
        return Err(source.error(0, "the file is empty; the first line must name the columns, such as `t_s,altitude_ft,lever`"));
    }
    table.iter_mut().for_each(|(_, series)| series.merge());
    let altitude = table.iter().find(|(field, _)| *field == Field::Altitude);
    let rows = altitude.map_or(0, |(_, series)| series.t_s.len());
    if rows < LEAST_ROWS {
        let what = format!("{rows} rows with an altitude; give at least {LEAST_ROWS}");
        return Err(source.error(source.text.len(), what));
    }
    let apart_s = altitude.map_or(0.0, |(_, series)| series.apart_s());
    if apart_s > SLOWEST_S {
        let what = format!(
            "its rows are {} s apart; give at least one a second",
            plain((10.0 * apart_s).round() / 10.0)
        );
        return Err(source.error(0, what));
    }
    table.retain(|(_, series)| series.t_s.len() >= LEAST_ROWS);
    Ok(table)
}

/// A cell's number in SI; None where it is empty.
fn number(cell: &Cell, column: &Column) -> Result<Option<f64>, String> {
    if cell.text.is_empty() {
        return Ok(None);
    }
    let known = FIELDS.iter().find(|known| known.field == column.field);
    let (name, (low, high)) = known.map_or(("value", (f64::MIN, f64::MAX)), |known| {
        (known.name, known.range)
    });
    match cell.number().map(|value| value * column.unit) {
        Some(value) if (low..=high).contains(&value) => Ok(Some(value)),
        Some(_) => {
            let (low, high) = (
                plain((low / column.unit).round()),
                plain((high / column.unit).round()),
            );
            let hint = match column.field {
                Field::Lever if column.unit == 1.0 => {
                    "; where it is in percent say --columns lever=COLUMN:%"
                }
                _ => "",
            };
            Err(format!(
                "`{name}` is {}; it takes a number from {low} to {high}{hint}",
                printable(cell.text)
            ))
        }
        None => {
            let what = match column.field {
                Field::Time => "a number, such as seconds from any moment on",
                _ => "a number",
            };
            let shown = printable(cell.text);
            Err(format!("`{name}` is `{shown}`; it takes {what}"))
        }
    }
}

impl Series {
    fn push(&mut self, t_s: f64, value: f64) {
        self.t_s.push(t_s);
        self.values.push(value);
    }

    /// Rows of one time become one, with their mean.
    fn merge(&mut self) {
        let rows: Vec<(f64, f64)> = self
            .t_s
            .iter()
            .copied()
            .zip(self.values.iter().copied())
            .collect();
        self.t_s.clear();
        self.values.clear();
        for same in rows.chunk_by(|a, b| a.0 == b.0) {
            let sum: f64 = same.iter().map(|(_, value)| value).sum();
            self.push(same[0].0, sum / same.len() as f64);
        }
    }

    /// How far apart its rows are, s: the median.
    pub fn apart_s(&self) -> f64 {
        let mut apart: Vec<f64> = self.t_s.windows(2).map(|pair| pair[1] - pair[0]).collect();
        apart.sort_by(f64::total_cmp);
        apart.get(apart.len() / 2).copied().unwrap_or(0.0)
    }

    /// Its value at a time, straight between rows and level beyond them.
    pub fn at(&self, t_s: f64) -> f64 {
        let after = self.t_s.partition_point(|own| *own <= t_s);
        match (after.checked_sub(1), self.t_s.get(after)) {
            (None, _) => self.values[0],
            (Some(before), None) => self.values[before],
            (Some(before), Some(next_s)) => {
                let (from_s, from) = (self.t_s[before], self.values[before]);
                from + (self.values[after] - from) * (t_s - from_s) / (next_s - from_s)
            }
        }
    }

    /// The stretches without a row that are longer than so much, s.
    pub fn gaps(&self, longer_s: f64) -> Vec<(f64, f64)> {
        let pairs = self.t_s.windows(2).map(|pair| (pair[0], pair[1]));
        pairs.filter(|(from, to)| to - from > longer_s).collect()
    }
}
