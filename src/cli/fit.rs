//! `fit`: an aeroplane's file from readings taken elsewhere.

use std::io::{self, BufRead, IsTerminal, Read, Write};
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};

use anyhow::Context;
use serde::Serialize;

use super::preferences::is_line;
use super::{Wrong, find, output, within, wrong};
use crate::drill::columns::{self, Mapping};
use crate::drill::reader::Source;
use crate::fit::rows::{self, SteadyRow};
use crate::fit::{Drive, Fit, Given, Reading, Refusal, Report, fit};
use crate::units::{FPM, FT, KT};

/// The six most informative rows: the ends of a line show best how steep it is; rows 1 % of lever apart are rounded differently,
/// where 1 % is worth a fraction of a mark on the instrument; and a lever that was set is exact.
const ASKED: [&str; 6] = [
    "at idle, or the steepest sink that is steady",
    "at full power, or the steepest climb that is steady",
    "1 % more lever than row 1",
    "1 % less than row 2",
    "2 % more than row 1",
    "2 % less than row 2",
];
/// Largest table that is read from standard input, bytes.
const LARGEST: u64 = 1 << 20;
/// Longest line that is typed, bytes.
const LONGEST: u64 = 1000;

/// Make an aeroplane's file from rows of readings taken elsewhere
#[derive(clap::Args)]
#[command(long_about = long_about())]
pub struct Args {
    /// The rows, as CSV; otherwise read from standard input, or asked for one by one
    #[arg(long, value_name = "FILE.csv")]
    rows: Option<PathBuf>,
    /// Which columns to read, and their units, where the header does not say: altitude=ALT:ft,lever=THR:%
    #[arg(long, value_name = "NAME=COLUMN[:UNIT],...", value_delimiter = ',', value_parser = Mapping::parse)]
    columns: Vec<Mapping>,
    /// Seconds the engine takes from idle to 95 %, 0.1 to 60
    #[arg(long, value_name = "S", value_parser = within(0.1..=60.0, "seconds"))]
    engine_from_idle_s: Option<f64>,
    /// True airspeed at the stall, level at sea level, 10 to 400
    #[arg(long, value_name = "KT", value_parser = within(10.0..=400.0, "knots"))]
    stall_kt: Option<f64>,
    /// Wing area, 1 to 2000
    #[arg(long, value_name = "M2", value_parser = within(1.0..=2000.0, "m2"))]
    area_m2: Option<f64>,
    /// It is a jet
    #[arg(long, conflicts_with = "propeller")]
    jet: bool,
    /// It has a propeller
    #[arg(long)]
    propeller: bool,
    /// How finely lever (%), vertical speed (ft/min), speed (kt) and altitude (ft) were read
    #[arg(long, value_name = "PCT,FPM,KT,FT", default_value = "1,50,1,100", value_parser = reading)]
    read_to: Reading,
    /// Name of the aeroplane
    #[arg(long, value_name = "NAME", default_value = "fitted aeroplane", value_parser = name)]
    name: String,
    /// Write the file here, never over an existing one, and report on it; otherwise print the file
    #[arg(long, value_name = "FILE.toml")]
    out: Option<PathBuf>,
    /// The result as JSON, with the file in `toml`
    #[arg(long)]
    json: bool,
}

fn long_about() -> String {
    include_str!("fit.txt").replace("{columns}", &columns::help(&rows::COLUMNS))
}

fn reading(text: &str) -> Result<Reading, String> {
    const RIGHT: &str = "give four numbers like 1,50,1,100: lever 0.01 to 10 %, 1 to 500 ft/min, 0.01 to 10 kt, 1 to 1000 ft";
    const LIMITS: [RangeInclusive<f64>; 4] = [0.01..=10.0, 1.0..=500.0, 0.01..=10.0, 1.0..=1000.0];
    let parts: Vec<&str> = text.split(',').collect();
    let numbers = parts.iter().zip(&LIMITS).map(|(part, limit)| {
        let number = part.trim().parse().ok();
        number.filter(|number| limit.contains(number))
    });
    match numbers.collect::<Option<Vec<f64>>>().as_deref() {
        Some([lever, fpm, kt, ft]) if parts.len() == LIMITS.len() => Ok(Reading {
            lever: lever / 100.0,
            vertical_mps: fpm * FPM,
            speed_mps: kt * KT,
            h_m: ft * FT,
        }),
        _ => Err(RIGHT.to_string()),
    }
}

fn name(text: &str) -> Result<String, String> {
    is_line(text, 40)
        .then(|| text.to_string())
        .ok_or_else(|| "give 1 to 40 characters on one line".to_string())
}

/// The report with the file in it.
#[derive(Serialize)]
struct Whole<'a> {
    #[serde(flatten)]
    report: &'a Report,
    toml: &'a str,
}

/// Reads, fits, writes the file, and only then prints the report.
pub fn run(args: Args) -> anyhow::Result<()> {
    if let Some(path) = args
        .out
        .as_deref()
        .filter(|path| path.symlink_metadata().is_ok())
    {
        return Err(is_there(path));
    }
    let given = Given {
        name: args.name,
        kind: match (args.jet, args.propeller) {
            (true, _) => Some(Drive::Jet),
            (_, true) => Some(Drive::Propeller),
            _ => None,
        },
        from_idle_s: args.engine_from_idle_s,
        stall_mps: args.stall_kt.map(|kt| kt * KT),
        area_m2: args.area_m2,
        reading: args.read_to,
    };
    let fitted = match &args.rows {
        Some(path) => table(
            &output::name(path),
            &find::read(path)?,
            &args.columns,
            &given,
        )?,
        None if io::stdin().is_terminal() => asked(io::stdin().lock(), &given)?,
        None => table("standard input", &piped()?, &args.columns, &given)?,
    };
    if let Some(path) = &args.out
        && !output::new_file(path, &fitted.toml)?
    {
        return Err(is_there(path));
    }
    match (args.json, &args.out) {
        (true, _) => output::json(&Whole {
            report: &fitted.report,
            toml: &fitted.toml,
        })?,
        (_, None) => output::text(&fitted.toml)?,
        (_, Some(path)) => {
            let name = output::name(path);
            let last = format!(
                "\n{name} is written; see `leveloff check {name}` and `leveloff aircraft {name}`"
            );
            output::lines(fitted.report.lines().into_iter().chain([last]))?;
        }
    }
    Ok(())
}

/// Standard input to its end, as a table.
fn piped() -> anyhow::Result<String> {
    let mut bytes = Vec::new();
    io::stdin()
        .lock()
        .take(LARGEST + 1)
        .read_to_end(&mut bytes)
        .context("cannot read standard input")?;
    if bytes.is_empty() {
        return wrong(
            "no rows came on standard input; give --rows FILE.csv, pipe a table in, or run it on a terminal",
        );
    }
    if bytes.len() as u64 > LARGEST {
        return wrong("standard input is larger than 1 MiB; give a few rows");
    }
    String::from_utf8(bytes)
        .map_err(|_| Wrong("standard input is not UTF-8 text; give CSV".into()).into())
}

/// Fits an aeroplane to a table; an error names its place.
fn table(file: &str, text: &str, mappings: &[Mapping], given: &Given) -> anyhow::Result<Fit> {
    let source = Source { file, text };
    let rows = rows::parse(source, mappings)?;
    let placed = |refusal: Refusal| {
        let at = refusal.row.map_or(0, |row| rows[row].at);
        source.error(at, refusal.message)
    };
    Ok(fit(&rows, given).map_err(placed)?)
}

/// Fits an aeroplane to rows that are asked for. Where they contradict each other, one can be typed again.
fn asked(mut input: impl BufRead, given: &Given) -> anyhow::Result<Fit> {
    output::talk(
        "Steady flight on speed, one row a line: lever %, vertical speed ft/min (- down),\n\
         true airspeed kt, mass kg, altitude ft; mass and altitude only where they\n\
         change. Set the lever to whole percents, and read all at one altitude.\n\
         An empty line ends the rows.",
    );
    let mut rows = Vec::new();
    while rows.len() < rows::MOST
        && let Some(row) = ask(&mut input, rows.len(), &rows)?
    {
        rows.push(row);
    }
    loop {
        let refusal = match fit(&rows, given) {
            Ok(fitted) => return Ok(fitted),
            Err(refusal) => refusal,
        };
        if refusal.row.is_none() {
            return wrong(refusal.message);
        }
        output::talk(&refusal.message);
        prompt("number of the row to type again, or an empty line to give up: ");
        let number = line(&mut input)?.trim().parse().unwrap_or(0);
        if !(1..=rows.len()).contains(&number) {
            return wrong("without that row there is no aeroplane; nothing is written");
        }
        output::talk("an empty line leaves it out");
        match ask(&mut input, number - 1, &rows)? {
            Some(row) => rows[number - 1] = row,
            None => drop(rows.remove(number - 1)),
        }
    }
}

/// Asks for a row until it is right; None where the line is empty.
fn ask(
    input: &mut impl BufRead,
    place: usize,
    rows: &[SteadyRow],
) -> anyhow::Result<Option<SteadyRow>> {
    loop {
        let asked = ASKED
            .get(place)
            .map_or_else(String::new, |what| format!(", {what}"));
        prompt(&format!("row {}{asked}: ", place + 1));
        let line = line(input)?;
        if line.trim().is_empty() {
            return Ok(None);
        }
        let before = place.checked_sub(1).and_then(|before| rows.get(before));
        match rows::typed(&line, before) {
            Ok(row) => return Ok(Some(row)),
            Err(what) => output::talk(&format!("  {what}")),
        }
    }
}

fn prompt(text: &str) {
    let _ = write!(io::stderr(), "{text}");
}

/// Reads a line that is typed; the end of input counts as an empty one.
fn line(input: &mut impl BufRead) -> anyhow::Result<String> {
    let mut line = Vec::new();
    input.take(LONGEST).read_until(b'\n', &mut line)?;
    if line.len() as u64 == LONGEST && !line.ends_with(b"\n") {
        input.skip_until(b'\n')?;
    }
    Ok(String::from_utf8_lossy(&line).into_owned())
}

fn is_there(path: &Path) -> anyhow::Error {
    let name = output::name(path);
    Wrong(format!(
        "{name} already exists; name another, or move it away first"
    ))
    .into()
}
