//! Columns of tables from other programs: what they can hold, their names and their
//! units, in one list for everything that is read.

use super::reader::{FileError, Source, plain, printable};
use super::spelling;
use super::table::{self, Cell, Row};
use crate::units::{DEG, FPM, FT, KT, NM};

/// One row of the table of fields.
pub struct FieldSpec {
    /// What it holds.
    pub field: Field,
    /// Its name on the command line and, alone or followed by a unit as in `t_ms` or `alt (m)`, in a header.
    pub name: &'static str,
    /// Other names that logs use for it.
    pub also: &'static [&'static str],
    /// Its units: how they are written, and their size in SI. A column without a unit is in the first, where `bare`.
    pub units: &'static [(&'static str, f64)],
    /// Whether a column without a unit is taken to be in the first of them.
    pub bare: bool,
    /// The range of its values, SI.
    pub range: (f64, f64),
    /// What it is, for the help text.
    pub about: &'static str,
}

/// One pound, kg: exact, international yard and pound agreement of 1959.
const LB: f64 = 0.453_592_37;

const SECONDS: &[(&str, f64)] = &[("s", 1.0), ("ms", 1e-3), ("min", 60.0)];
const HEIGHTS: &[(&str, f64)] = &[("ft", FT), ("m", 1.0)];
const KMH: f64 = 1.0 / 3.6;
#[rustfmt::skip]
const SPEEDS: &[(&str, f64)] = &[("kt", KT), ("m/s", 1.0), ("mps", 1.0), ("km/h", KMH), ("kmh", KMH)];
const SHARES: &[(&str, f64)] = &[("1", 1.0), ("%", 0.01), ("pct", 0.01), ("percent", 0.01)];
const LENGTHS: &[(&str, f64)] = &[("m", 1.0), ("ft", FT), ("nm", NM), ("km", 1000.0)];
const CLIMBS: &[(&str, f64)] = &[("fpm", FPM), ("ft/min", FPM), ("m/s", 1.0), ("mps", 1.0)];
const MASSES: &[(&str, f64)] = &[("kg", 1.0), ("lb", LB)];
const ANGLES: &[(&str, f64)] = &[("deg", DEG), ("rad", 1.0)];
/// Units of wind, first the one in which our own tracks have it.
const WINDS: &[(&str, f64)] = &[("mps", 1.0), ("kt", KT)];

/// Ranges that no flight of a drill exceeds in time, altitude, speed or distance; clocks may count from long ago.
const TIMES: (f64, f64) = (-1e12, 1e12);
const ALTITUDES: (f64, f64) = (-1000.0, 40_000.0);
const FAST: (f64, f64) = (0.0, 1000.0);
const FAR: (f64, f64) = (-1e8, 1e8);
const ALL: (f64, f64) = (0.0, 1.0);
const STEEP: (f64, f64) = (-1.5, 1.5);
const WINDY: (f64, f64) = (-100.0, 100.0);
/// The steepest flight that a trim on speed is made for, and the masses that an aeroplane's file can have.
const CLIMBING: (f64, f64) = (-6000.0 * FPM, 6000.0 * FPM);
const HEAVY: (f64, f64) = (50.0, 1e6);

/// Makes the fields and the table from one list, so that no field can be without a row.
macro_rules! fields {
    ($($field:ident $name:literal $also:tt $units:ident $bare:literal $range:ident $about:literal;)*) => {
        /// What a column holds; each has its row in [`FIELDS`].
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum Field {
            $(#[doc = concat!("`", $name, "` ", $about)] $field,)*
        }

        /// Every column that is known.
        pub const FIELDS: &[FieldSpec] = &[$(FieldSpec {
            field: Field::$field,
            name: $name,
            also: &$also,
            units: $units,
            bare: $bare,
            range: $range,
            about: $about,
        },)*];
    };
}

fields! {
    Time "t" ["time"] SECONDS true TIMES "time, on any clock; it must ascend";
    Altitude "altitude" ["alt"] HEIGHTS false ALTITUDES "measured as in the drill";
    Lever "lever" ["power", "throttle"] SHARES true ALL "from 0 to 1, or in %";
    Speed "speed" ["airspeed", "tas"] SPEEDS false FAST "true airspeed";
    Vertical "vertical_speed" ["vs"] CLIMBS false CLIMBING "- down";
    Mass "mass" ["weight"] MASSES false HEAVY "";
    Distance "distance" [] LENGTHS false FAR "flown over the ground";
    ToAim "to_aim" [] LENGTHS false FAR "over the ground to the aim point";
    Engine "engine" [] SHARES true ALL "fraction of what it can give";
    Path "path" [] ANGLES false STEEP "through the air";
    Alpha "alpha" [] ANGLES false STEEP "angle of attack";
    Headwind "headwind" [] WINDS false WINDY "steady wind against the flight";
    GustAlong "gust_u" [] WINDS false WINDY "gust against the flight";
    GustUp "gust_w" [] WINDS false WINDY "gust upwards";
}

impl Field {
    /// Its row of the table.
    pub fn spec(self) -> &'static FieldSpec {
        &FIELDS[self as usize]
    }

    /// An example of its name in a header.
    fn example(self) -> String {
        let spec = self.spec();
        match spec.bare {
            true => spec.name.to_string(),
            false => format!("{}_{}", spec.name, spec.units[0].0),
        }
    }
}

/// Fields as lines of a help text: their names, their units, what they are.
pub fn help(fields: &[Field]) -> String {
    let lines = fields.iter().map(|field| {
        let spec = field.spec();
        let names = [&[spec.name], spec.also].concat().join(", ");
        let units: Vec<&str> = spec.units.iter().map(|(word, _)| *word).collect();
        let line = format!("  {names:<24}{:<25}{}", units.join(", "), spec.about);
        line.trim_end().to_string()
    });
    lines.collect::<Vec<_>>().join("\n")
}

impl FieldSpec {
    /// Its units as they are written: "ft or m".
    fn unit_words(&self) -> String {
        let words: Vec<&str> = self.units.iter().map(|(word, _)| *word).collect();
        words.join(" or ")
    }

    /// The size of a unit, SI, by how it is written.
    fn unit(&self, word: &str) -> Option<f64> {
        let found = self.units.iter().find(|(own, _)| *own == word);
        found.map(|(_, size)| *size)
    }

    fn is_called(&self, name: &str) -> bool {
        name == self.name || self.also.contains(&name)
    }

    /// The size of the unit of a column with this name in a header; None where it is not this field, or has no unit.
    fn unit_of(&self, column: &str) -> Option<f64> {
        let column = column.trim().to_ascii_lowercase();
        if self.is_called(&column) {
            return self.bare.then_some(self.units[0].1);
        }
        let (name, word) = split(&column)?;
        self.is_called(name).then(|| self.unit(word))?
    }
}

/// A column that is read: what it holds, where it is, and the size of its unit, SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Column {
    /// Its row of the table.
    pub field: Field,
    /// Its place among the cells, from 0.
    pub index: usize,
    /// Size of its unit, SI.
    pub unit: f64,
}

impl Column {
    /// A cell's number in SI, inside a range; None where the cell is empty.
    ///
    /// # Errors
    /// What is wrong with it; what would be right.
    pub fn number(&self, cell: &Cell, (low, high): (f64, f64)) -> Result<Option<f64>, String> {
        if cell.text.is_empty() {
            return Ok(None);
        }
        let (name, shown) = (self.field.spec().name, printable(cell.text));
        match cell.number().map(|value| value * self.unit) {
            Some(value) if (low..=high).contains(&value) => Ok(Some(value)),
            Some(_) => {
                let tenths = |end: f64| plain((10.0 * end / self.unit).round() / 10.0);
                let [low, high] = [low, high].map(tenths);
                let hint = match self.field {
                    Field::Lever if self.unit == 1.0 => {
                        "; if it is in percent, give --columns lever=COLUMN:%"
                    }
                    _ => "",
                };
                Err(format!(
                    "`{name}` is {shown}; it takes a number from {low} to {high}{hint}"
                ))
            }
            None => {
                let what = match self.field {
                    Field::Time => "a number, such as seconds from any moment",
                    _ => "a number",
                };
                Err(format!("`{name}` is `{shown}`; it takes {what}"))
            }
        }
    }
}

/// A table with a header: the columns that are read, and its rows.
pub struct Sheet<'a> {
    /// The columns, in the order of the fields wanted.
    pub columns: Vec<Column>,
    /// The rows, each with as many cells as the header.
    pub rows: Vec<Row<'a>>,
}

impl<'a> Sheet<'a> {
    /// Reads the wanted columns, of which the first `needed` must be there; `mappings` name
    /// the columns that are not found by their header.
    ///
    /// # Errors
    /// The first thing that is wrong, with what would be right.
    pub fn read(
        source: Source<'a>,
        wanted: &[Field],
        needed: usize,
        mappings: &[Mapping],
    ) -> Result<Sheet<'a>, FileError> {
        let mut lines = table::lines(source.text);
        let example = || {
            let names: Vec<String> = wanted[..needed]
                .iter()
                .map(|field| field.example())
                .collect();
            format!("name the columns, such as `{}`", names.join(","))
        };
        let Some(header) = lines.next() else {
            let what = format!("the file is empty; the first line must {}", example());
            return Err(source.error(0, what));
        };
        if header.cells.iter().all(|cell| cell.number().is_some()) {
            let what = format!("the first line holds numbers; it must {}", example());
            return Err(source.error(header.at, what));
        }
        let names: Vec<String> = header.cells.iter().map(|c| printable(c.text)).collect();
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        let columns = columns(&names, wanted, needed, mappings)
            .map_err(|what| source.error(header.at, what))?;
        let rows: Vec<Row> = lines.collect();
        let width = names.len();
        if let Some(row) = rows.iter().find(|row| row.cells.len() != width) {
            let cells = row.cells.len();
            let hint = match cells > width {
                true => "; if a comma is the decimal sign, separate cells with semicolons",
                false => "",
            };
            let what = format!("{cells} cells in a row; the header has {width}{hint}");
            return Err(source.error(row.at, what));
        }
        Ok(Sheet { columns, rows })
    }
}

/// Which column of a header a field is to be read from, as the user asked: `altitude=ALT:ft`.
#[derive(Clone, Debug, PartialEq)]
pub struct Mapping {
    field: Field,
    column: String,
    unit: Option<f64>,
}

impl Mapping {
    /// Reads a mapping.
    ///
    /// # Errors
    /// What is wrong with it; what would be right.
    pub fn parse(text: &str) -> Result<Mapping, String> {
        let names: Vec<&str> = FIELDS.iter().map(|spec| spec.name).collect();
        let right = "give NAME=COLUMN or NAME=COLUMN:UNIT, such as altitude=ALT:ft";
        let (name, column) = text
            .split_once('=')
            .ok_or_else(|| format!("`{text}` names no column; {right}"))?;
        let spec = FIELDS.iter().find(|spec| spec.is_called(name.trim()));
        let spec = spec.ok_or_else(|| {
            let hint = spelling::hint(name, &names);
            format!(
                "there is no `{name}`{hint}; the names are {}",
                names.join(", ")
            )
        })?;
        let (column, unit) = match column.rsplit_once(':') {
            None => (column, None),
            Some((column, word)) => {
                let unit = spec.unit(word.trim());
                let words = spec.unit_words();
                let unit =
                    unit.ok_or_else(|| format!("`{name}` cannot be in `{word}`; give {words}"))?;
                (column, Some(unit))
            }
        };
        match column.trim() {
            "" => Err(format!("`{text}` names no column; {right}")),
            column => Ok(Mapping {
                field: spec.field,
                column: column.to_string(),
                unit,
            }),
        }
    }

    /// The place of its column in a header and the size of the column's unit, SI.
    fn among(&self, header: &[&str]) -> Result<(usize, f64), String> {
        let (spec, column) = (self.field.spec(), &self.column);
        let index = header.iter().position(|cell| cell.trim() == column);
        let index = index.ok_or_else(|| {
            let (shown, hint) = (printable(column), spelling::hint(column, header));
            format!(
                "there is no column `{shown}`{hint}; the columns are {}",
                listed(header)
            )
        })?;
        let unit = self
            .unit
            .or_else(|| spec.unit(split(&header[index].to_ascii_lowercase())?.1))
            .or(spec.bare.then_some(spec.units[0].1));
        let unit = unit.ok_or_else(|| no_unit(spec, header[index]))?;
        Ok((index, unit))
    }
}

/// The wanted columns of a header, each field once.
fn columns(
    header: &[&str],
    wanted: &[Field],
    needed: usize,
    mappings: &[Mapping],
) -> Result<Vec<Column>, String> {
    let mut found = Vec::new();
    for (place, &field) in wanted.iter().enumerate() {
        let spec = field.spec();
        let by_name = || {
            let mut cells = header.iter().enumerate();
            cells.find_map(|(index, cell)| Some((index, spec.unit_of(cell)?)))
        };
        let column = match mappings.iter().find(|mapping| mapping.field == field) {
            Some(mapping) => Some(mapping.among(header)?),
            None => by_name(),
        };
        match column {
            Some((index, unit)) => found.push(Column { field, index, unit }),
            None if place < needed => {
                let lacks = |cell: &&&str| spec.is_called(&cell.trim().to_ascii_lowercase());
                return Err(match header.iter().find(lacks) {
                    Some(cell) => no_unit(spec, cell),
                    None => format!(
                        "there is no column `{}`; say which it is with --columns {}=COLUMN:{}; the columns are {}",
                        field.example(),
                        spec.name,
                        spec.units[0].0,
                        listed(header)
                    ),
                });
            }
            None => {}
        }
    }
    Ok(found)
}

/// A column's name and the unit after it: `t_ms`, `alt (m)`, `Speed [kt]`.
fn split(column: &str) -> Option<(&str, &str)> {
    let column = column.trim().trim_end_matches([')', ']']);
    let (name, word) = column.rsplit_once(['_', '(', '[', ' '])?;
    Some((name.trim_end(), word.trim()))
}

/// The names in a header; only the first where there are very many.
fn listed(header: &[&str]) -> String {
    const MOST: usize = 24;
    let more = if header.len() > MOST { ", ..." } else { "" };
    header[..header.len().min(MOST)].join(", ") + more
}

fn no_unit(spec: &FieldSpec, column: &str) -> String {
    let (name, column) = (spec.name, column.trim());
    let (words, first) = (spec.unit_words(), spec.units[0].0);
    format!("`{column}` has no unit ({words}); give --columns {name}={column}:{first}")
}
