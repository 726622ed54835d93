//! Reading a track: CSV with a header, from anybody.

use super::field::{self, Asked, Column, FIELDS, Field};
use crate::drill::reader::{FileError, Source, plain, printable};

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
    let mut at = 0;
    let mut header: Option<(Vec<Column>, usize, char)> = None;
    let mut table: Vec<(Field, Series)> = Vec::new();
    let mut last_s = f64::NEG_INFINITY;
    for line in source.text.split_inclusive('\n') {
        let content = line.trim_end();
        let begins = at;
        at += line.len();
        let content = match header {
            None => content.trim_start_matches('\u{feff}'),
            Some(_) => content,
        };
        let begins = begins + line.len().min(line.trim_end().len()) - content.len();
        if content.trim().is_empty() || content.starts_with('#') {
            continue;
        }
        let Some((columns, width, separator)) = &header else {
            let separator = [',', ';', '\t']
                .into_iter()
                .find(|c| content.contains(*c))
                .unwrap_or(',');
            let cells: Vec<&str> = content.split(separator).map(bare).collect();
            if cells.iter().all(|cell| cell.parse::<f64>().is_ok()) {
                let what = "the first line holds numbers; it must name the columns, such as `t_s,altitude_ft,lever`";
                return Err(source.error(begins, what));
            }
            let columns = field::columns(&cells, asked)
                .map_err(|what| source.error(begins, printable(&what)))?;
            table = columns
                .iter()
                .map(|column| (column.field, Series::default()))
                .collect();
            header = Some((columns, cells.len(), separator));
            continue;
        };
        let cells: Vec<&str> = content.split(*separator).collect();
        if cells.len() != *width {
            let what = format!("{} cells in a row; the header has {width}", cells.len());
            return Err(source.error(begins, what));
        }
        // Where a cell stands, for complaints.
        let place = |index: usize| {
            begins
                + cells[..index]
                    .iter()
                    .map(|cell| cell.len() + 1)
                    .sum::<usize>()
        };
        let value = |column: &Column| {
            number(cells[column.index], column)
                .map_err(|what| source.error(place(column.index), what))
        };
        let time = columns.iter().find(|column| column.field == Field::Time);
        let Some((time, t_s)) = time.map(|time| Ok((time, value(time)?))).transpose()? else {
            continue;
        };
        let t_s = t_s.ok_or_else(|| {
            source.error(
                place(time.index),
                "the time is missing; give one in each row",
            )
        })?;
        if t_s < last_s {
            let what = format!("the time is {t_s} s after {last_s} s; times must ascend");
            return Err(source.error(place(time.index), what));
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

/// A cell without its quotation marks.
fn bare(cell: &str) -> &str {
    let cell = cell.trim();
    let inside = cell
        .strip_prefix('"')
        .and_then(|rest| rest.strip_suffix('"'));
    inside.unwrap_or(cell).trim()
}

/// A cell's number in SI; None where it is empty.
fn number(cell: &str, column: &Column) -> Result<Option<f64>, String> {
    let cell = bare(cell);
    if cell.is_empty() {
        return Ok(None);
    }
    let known = FIELDS.iter().find(|known| known.field == column.field);
    let (name, (low, high)) = known.map_or(("value", (f64::MIN, f64::MAX)), |known| {
        (known.name, known.range)
    });
    let value = cell
        .parse::<f64>()
        .ok()
        .filter(|value| value.is_finite())
        .map(|value| value * column.unit);
    match value {
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
                printable(cell)
            ))
        }
        None => Err(format!(
            "`{name}` is `{}`; it takes a number",
            printable(cell)
        )),
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
