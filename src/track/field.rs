//! What a track can tell: one table of columns, their names and units.

use crate::drill::spelling;
use crate::units::{DEG, FT, KT, NM};

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Field {
    /// Time, from any moment on.
    Time,
    /// Altitude, as the drill counts it.
    Altitude,
    /// True airspeed.
    Speed,
    /// The lever, 0..1.
    Lever,
    /// Flown over the ground, from any place on.
    Distance,
    /// Over the ground to the aim point.
    ToAim,
    /// Engine, fraction of what it can give.
    Engine,
    /// Path through the air.
    Path,
    /// Angle of attack.
    Alpha,
    /// Steady wind against the flight.
    Headwind,
    /// Gust against the flight.
    GustAlong,
    /// Gust upwards.
    GustUp,
}

/// One row of the table.
pub struct Known {
    /// What it holds.
    pub field: Field,
    /// Its name, on the command line and, alone or with a unit behind as in `t_ms` or `alt (m)`, in a header.
    pub name: &'static str,
    /// What logs call it as well.
    pub also: &'static [&'static str],
    /// Its units: how they are written and how large they are in SI. The first is that of a column without one, where `bare`.
    pub units: &'static [(&'static str, f64)],
    /// Whether a column without a unit is in the first of them.
    pub bare: bool,
    /// What is no such value, SI.
    pub range: (f64, f64),
}

const SECONDS: &[(&str, f64)] = &[("s", 1.0), ("ms", 1e-3), ("min", 60.0)];
const HEIGHTS: &[(&str, f64)] = &[("ft", FT), ("m", 1.0)];
const SPEEDS: &[(&str, f64)] = &[("kt", KT), ("m/s", 1.0), ("mps", 1.0), ("km/h", 1.0 / 3.6)];
const SHARES: &[(&str, f64)] = &[("1", 1.0), ("%", 0.01), ("percent", 0.01)];
const LENGTHS: &[(&str, f64)] = &[("m", 1.0), ("ft", FT), ("nm", NM), ("km", 1000.0)];
const ANGLES: &[(&str, f64)] = &[("deg", DEG), ("rad", 1.0)];
/// Speeds of the air are written as our own tracks write them.
const WINDS: &[(&str, f64)] = &[("mps", 1.0), ("kt", KT)];

/// No flight of a drill lasts as long, is as high, as fast or goes as far; clocks may count from long ago.
const TIMES: (f64, f64) = (-1e12, 1e12);
const ALTITUDES: (f64, f64) = (-1000.0, 40_000.0);
const FAST: (f64, f64) = (0.0, 1000.0);
const FAR: (f64, f64) = (-1e8, 1e8);
const STEEP: (f64, f64) = (-1.5, 1.5);
const WINDY: (f64, f64) = (-100.0, 100.0);

macro_rules! row {
    ($field:ident, $name:literal, $also:expr, $units:ident, $bare:literal, $range:expr) => {
        Known {
            field: Field::$field,
            name: $name,
            also: &$also,
            units: $units,
            bare: $bare,
            range: $range,
        }
    };
}

/// Every column that is read; others are passed over.
pub const FIELDS: &[Known] = &[
    row!(Time, "t", ["time"], SECONDS, true, TIMES),
    row!(Altitude, "altitude", ["alt"], HEIGHTS, false, ALTITUDES),
    row!(Speed, "speed", ["airspeed", "tas"], SPEEDS, false, FAST),
    row!(
        Lever,
        "lever",
        ["power", "throttle"],
        SHARES,
        true,
        (0.0, 1.0)
    ),
    row!(Distance, "distance", [], LENGTHS, false, FAR),
    row!(ToAim, "to_aim", [], LENGTHS, false, FAR),
    row!(Engine, "engine", [], SHARES, true, (0.0, 1.0)),
    row!(Path, "path", [], ANGLES, false, STEEP),
    row!(Alpha, "alpha", [], ANGLES, false, STEEP),
    row!(Headwind, "headwind", [], WINDS, false, WINDY),
    row!(GustAlong, "gust_u", [], WINDS, false, WINDY),
    row!(GustUp, "gust_w", [], WINDS, false, WINDY),
];

impl Known {
    /// Its units as they are written: "ft or m".
    pub fn unit_words(&self) -> String {
        let words: Vec<&str> = self.units.iter().map(|(word, _)| *word).collect();
        words.join(" or ")
    }

    /// The size of a unit, SI, by how it is written.
    pub fn unit(&self, word: &str) -> Option<f64> {
        let found = self.units.iter().find(|(own, _)| *own == word);
        found.map(|(_, size)| *size)
    }

    fn is_called(&self, name: &str) -> bool {
        name == self.name || self.also.contains(&name)
    }

    /// The size of the unit of a column of this name in a header; None where it is not one of these, or has no unit.
    fn unit_of(&self, column: &str) -> Option<f64> {
        let column = column.trim().to_ascii_lowercase();
        if self.is_called(&column) {
            return self.bare.then_some(self.units[0].1);
        }
        let (name, word) = split(&column)?;
        self.is_called(name).then(|| self.unit(word))?
    }
}

/// A column that is read: what it holds, where it stands, and the size of its unit, SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Column {
    /// Its row of the table.
    pub field: Field,
    /// Its place among the cells, from 0.
    pub index: usize,
    /// Size of its unit, SI.
    pub unit: f64,
}

/// Which column of a header is to be taken for what, as asked: `altitude=ALT:ft`.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    field: Field,
    column: String,
    unit: Option<f64>,
}

impl Asked {
    /// Reads one of them.
    ///
    /// # Errors
    /// What is wrong with it; what would be right.
    pub fn parse(text: &str) -> Result<Asked, String> {
        let names: Vec<&str> = FIELDS.iter().map(|known| known.name).collect();
        let right = "give NAME=COLUMN or NAME=COLUMN:UNIT, such as altitude=ALT:ft";
        let (name, column) = text
            .split_once('=')
            .ok_or_else(|| format!("`{text}` names no column; {right}"))?;
        let known = FIELDS.iter().find(|known| known.is_called(name.trim()));
        let known = known.ok_or_else(|| {
            let hint = spelling::hint(name, &names);
            format!("there is no `{name}`{hint}; it takes {}", names.join(", "))
        })?;
        let (column, unit) = match column.rsplit_once(':') {
            None => (column, None),
            Some((column, word)) => {
                let unit = known.unit(word.trim());
                let words = known.unit_words();
                let unit =
                    unit.ok_or_else(|| format!("`{name}` cannot be in `{word}`; give {words}"))?;
                (column, Some(unit))
            }
        };
        match column.trim() {
            "" => Err(format!("`{text}` names no column; {right}")),
            column => Ok(Asked {
                field: known.field,
                column: column.to_string(),
                unit,
            }),
        }
    }
}

/// The columns of a header, those asked for first, each thing once.
///
/// # Errors
/// What is missing, or asked for and not there, or of no known unit.
pub fn columns(header: &[&str], asked: &[Asked]) -> Result<Vec<Column>, String> {
    let mut found = Vec::new();
    for known in FIELDS {
        let wanted = asked.iter().find(|asked| asked.field == known.field);
        let place = |name: &str| header.iter().position(|cell| cell.trim() == name);
        let column = match wanted {
            Some(wanted) => {
                let index = place(&wanted.column).ok_or_else(|| {
                    let hint = spelling::hint(&wanted.column, header);
                    let all = header.join(", ");
                    format!(
                        "there is no column `{}`{hint}; there are {all}",
                        wanted.column
                    )
                })?;
                let unit = wanted
                    .unit
                    .or_else(|| known.unit(split(&header[index].to_ascii_lowercase())?.1))
                    .or(known.bare.then_some(known.units[0].1));
                let unit = unit.ok_or_else(|| no_unit(known, header[index]))?;
                Some((index, unit))
            }
            None => header
                .iter()
                .enumerate()
                .find_map(|(index, cell)| Some((index, known.unit_of(cell)?))),
        };
        match column {
            Some((index, unit)) => found.push(Column {
                field: known.field,
                index,
                unit,
            }),
            None if matches!(known.field, Field::Time | Field::Altitude) => {
                let lacks = header
                    .iter()
                    .find(|cell| known.is_called(&cell.trim().to_ascii_lowercase()));
                return Err(match lacks {
                    Some(cell) => no_unit(known, cell),
                    None => {
                        let (name, unit) = (known.name, known.units[0].0);
                        format!(
                            "there is no column `{name}_{unit}`; say which it is with --columns {name}=COLUMN:{unit}; there are {}",
                            header.join(", ")
                        )
                    }
                });
            }
            None => {}
        }
    }
    Ok(found)
}

/// A column's name and the unit behind it: `t_ms`, `alt (m)`, `Speed [kt]`.
fn split(column: &str) -> Option<(&str, &str)> {
    let column = column.trim().trim_end_matches([')', ']']);
    let (name, word) = column.rsplit_once(['_', '(', '[', ' '])?;
    Some((name.trim_end(), word.trim()))
}

fn no_unit(known: &Known, column: &str) -> String {
    let (name, column) = (known.name, column.trim());
    let (words, first) = (known.unit_words(), known.units[0].0);
    format!("`{column}` does not say its unit ({words}); give --columns {name}={column}:{first}")
}
