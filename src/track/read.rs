//! Reading a track: CSV with a header, from any source.

use crate::drill::columns::{Column, Field, Mapping, Sheet};
use crate::drill::reader::{FileError, Source, plain};

/// A column's values, each at its time; times ascend.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Series {
    /// Times, s.
    pub t_s: Vec<f64>,
    /// Values, SI.
    pub values: Vec<f64>,
}

/// Rows farther apart than this are too sparse to judge by, s: a level-off takes a few seconds.
const SLOWEST_S: f64 = 1.05;
/// The fewest rows that are accepted.
const LEAST_ROWS: usize = 8;

/// The columns that are read from a track; the first two are required.
pub const COLUMNS: [Field; 12] = [
    Field::Time,
    Field::Altitude,
    Field::Lever,
    Field::Speed,
    Field::Distance,
    Field::ToAim,
    Field::Engine,
    Field::Path,
    Field::Alpha,
    Field::Headwind,
    Field::GustAlong,
    Field::GustUp,
];

/// The columns of a track by what they hold; altitude is always there. Rows with the same time are averaged.
///
/// # Errors
/// The first thing that is wrong, with what would be right.
pub fn read(source: Source, mappings: &[Mapping]) -> Result<Vec<(Field, Series)>, FileError> {
    let sheet = Sheet::read(source, &COLUMNS, 2, mappings)?;
    let mut table: Vec<(Field, Series)> = sheet
        .columns
        .iter()
        .map(|column| (column.field, Series::default()))
        .collect();
    let mut last_s = f64::NEG_INFINITY;
    for row in &sheet.rows {
        let value = |column: &Column| {
            let cell = &row.cells[column.index];
            let number = column.number(cell, column.field.spec().range);
            number.map_err(|what| source.error(cell.at, what))
        };
        // The time column comes first.
        let time = &sheet.columns[0];
        let at = row.cells[time.index].at;
        let what = "the time is missing; give one in each row";
        let t_s = value(time)?.ok_or_else(|| source.error(at, what))?;
        if t_s < last_s {
            let what = format!("the time {t_s} s comes after {last_s} s; times must ascend");
            return Err(source.error(at, what));
        }
        last_s = t_s;
        for (column, (_, series)) in sheet.columns.iter().zip(&mut table) {
            if let Some(value) = value(column)? {
                series.push(t_s, value);
            }
        }
    }
    table.iter_mut().for_each(|(_, series)| series.merge());
    let altitude = table.iter().find(|(field, _)| *field == Field::Altitude);
    let rows = altitude.map_or(0, |(_, series)| series.t_s.len());
    if rows < LEAST_ROWS {
        let what = format!("rows with an altitude: {rows}; give at least {LEAST_ROWS}");
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

impl Series {
    fn push(&mut self, t_s: f64, value: f64) {
        self.t_s.push(t_s);
        self.values.push(value);
    }

    /// Merges rows with the same time into their mean.
    fn merge(&mut self) {
        let Series { t_s, values } = std::mem::take(self);
        let rows: Vec<(f64, f64)> = t_s.into_iter().zip(values).collect();
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

    /// Its value at a time, linear between rows and constant beyond them.
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

    /// The stretches without a row that are longer than a given time, s.
    pub fn gaps(&self, longer_s: f64) -> Vec<(f64, f64)> {
        let pairs = self.t_s.windows(2).map(|pair| (pair[0], pair[1]));
        pairs.filter(|(from, to)| to - from > longer_s).collect()
    }
}
