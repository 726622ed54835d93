//! `fit`: an aeroplane's file from what was read off elsewhere.

use std::io::{self, BufRead, IsTerminal, Read, Write};
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};

use anyhow::Context;
use serde::Serialize;

use super::{Exit, Wrong, find, output};
use crate::drill::printable::is_plain;
use crate::drill::reader::{Source, plain};
use crate::fit::rows::{self, Row};
use crate::fit::{Given, Kind, Reading, Report, fit};
use crate::units::{FPM, FT, KT};

/// Longest table that is read from standard input, bytes.
const LARGEST: u64 = 1 << 20;
/// Longest line that is typed, bytes.
const LONGEST: u64 = 1000;

/// Make an aeroplane's file from rows read off elsewhere
#[derive(clap::Args)]
#[command(long_about = include_str!("fit.txt"))]
pub struct Args {
    /// The rows, CSV; else from standard input, or asked for one by one
    #[arg(long, value_name = "FILE.csv")]
    rows: Option<PathBuf>,
    /// Seconds the engine takes from idle to 95 %, 0.1 to 60
    #[arg(long, value_name = "S", value_parser = from_idle_s)]
    engine_from_idle_s: Option<f64>,
    /// True speed of the stall, level at sea level, 10 to 400
    #[arg(long, value_name = "KT", value_parser = stall_kt)]
    stall_kt: Option<f64>,
    /// Wing area, 1 to 2000
    #[arg(long, value_name = "M2", value_parser = area_m2)]
    area_m2: Option<f64>,
    /// It has a jet
    #[arg(long, conflicts_with = "propeller")]
    jet: bool,
    /// It has a propeller
    #[arg(long)]
    propeller: bool,
    /// To what lever (%), vertical speed (ft/min), speed (kt) and altitude (ft) were read
    #[arg(long, value_name = "PCT,FPM,KT,FT", default_value = "1,50,1,100", value_parser = reading)]
    read_to: Reading,
    /// Its name
    #[arg(long, value_name = "NAME", default_value = "fitted aeroplane", value_parser = name)]
    name: String,
    /// Write the file here, never over one that is there, and tell of it; without, the file is the result
    #[arg(long, value_name = "FILE.toml")]
    out: Option<PathBuf>,
    /// What was found as JSON, the file in `toml`
    #[arg(long)]
    json: bool,
}

fn within(text: &str, range: RangeInclusive<f64>, unit: &str) -> Result<f64, String> {
    let number = text.parse().ok().filter(|number| range.contains(number));
    let (low, high) = (plain(*range.start()), plain(*range.end()));
    number.ok_or_else(|| format!("give {unit} from {low} to {high}"))
}

fn from_idle_s(text: &str) -> Result<f64, String> {
    within(text, 0.1..=60.0, "seconds")
}

fn stall_kt(text: &str) -> Result<f64, String> {
    within(text, 10.0..=400.0, "knots")
}

fn area_m2(text: &str) -> Result<f64, String> {
    within(text, 1.0..=2000.0, "m2")
}

fn reading(text: &str) -> Result<Reading, String> {
    const RIGHT: &str = "give four numbers like 1,50,1,100: lever 0.01 to 10 %, 1 to 500 ft/min, 0.01 to 10 kt, 1 to 1000 ft";
    let numbers: Option<Vec<f64>> = text
        .split(',')
        .map(|part| part.trim().parse().ok())
        .collect();
    let limits = [0.01..=10.0, 1.0..=500.0, 0.01..=10.0, 1.0..=1000.0];
    match numbers.as_deref() {
        Some([lever, fpm, kt, ft])
            if [lever, fpm, kt, ft]
                .iter()
                .zip(limits)
                .all(|(x, limit)| limit.contains(*x)) =>
        {
            Ok(Reading {
                lever: lever / 100.0,
                vertical_mps: fpm * FPM,
                speed_mps: kt * KT,
                h_m: ft * FT,
            })
        }
        _ => Err(RIGHT.to_string()),
    }
}

fn name(text: &str) -> Result<String, String> {
    let fits = (1..=40).contains(&text.chars().count()) && text.chars().all(is_plain);
    fits.then(|| text.to_string())
        .ok_or_else(|| "give 1 to 40 characters on one line".to_string())
}

/// The report with the file in it.
#[derive(Serialize)]
struct Whole<'a> {
    #[serde(flatten)]
    report: &'a Report,
    toml: &'a str,
}

/// Reads, fits, writes the file, and only then tells.
pub fn run(args: Args) -> anyhow::Result<Exit> {
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
            (true, _) => Some(Kind::Jet),
            (_, true) => Some(Kind::Propeller),
            _ => None,
        },
        from_idle_s: args.engine_from_idle_s,
        stall_mps: args.stall_kt.map(|kt| kt * KT),
        area_m2: args.area_m2,
        reading: args.read_to,
    };
    let (file, text, rows) = match &args.rows {
        None if io::stdin().is_terminal() => (None, String::new(), asked(io::stdin().lock())?),
        rows => {
            let (file, text) = match rows {
                Some(path) => (output::name(path), find::read(path)?),
                None => ("standard input".to_string(), piped()?),
            };
            let rows = rows::parse(Source {
                file: &file,
                text: &text,
            })?;
            (Some(file), text, rows)
        }
    };
    let fitted = fit(&rows, &given).map_err(|refusal| match (&file, refusal.row) {
        (Some(file), row) => {
            let at = row.map_or(0, |row| rows[row].at);
            anyhow::Error::from(Source { file, text: &text }.error(at, refusal.message))
        }
        (None, _) => Wrong(refusal.message).into(),
    })?;
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
        (_, Some(path)) => output::results(|out| {
            let mut lines = fitted.report.lines().into_iter();
            lines.try_for_each(|line| writeln!(out, "{line}"))?;
            let name = output::name(path);
            writeln!(
                out,
                "\n{name} is written; see `leveloff check {name}` and `leveloff aircraft {name}`"
            )
        })?,
    }
    Ok(Exit::Done)
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
        return Err(Wrong("no rows came on standard input; give --rows FILE.csv, pipe a table in, or start it on a terminal".into()).into());
    }
    if bytes.len() as u64 > LARGEST {
        return Err(Wrong("standard input is larger than 1 MiB; give a few rows".into()).into());
    }
    String::from_utf8(bytes)
        .map_err(|_| Wrong("standard input is not UTF-8 text; give CSV".into()).into())
}

/// Asks for row after row; what is wrong with one is said, and it is asked again. An empty line ends.
fn asked(mut input: impl BufRead) -> anyhow::Result<Vec<Row>> {
    output::talk(
        "Steady flight on speed, a row a line: lever %, vertical speed ft/min (- down), true airspeed kt, mass kg,\n\
         altitude ft. Mass and altitude may be left out where they stay. Six rows from steep sink to steep climb\n\
         are good. An empty line ends.",
    );
    let mut rows: Vec<Row> = Vec::new();
    while rows.len() < rows::MOST {
        let _ = write!(io::stderr(), "row {}: ", rows.len() + 1);
        let mut line = Vec::new();
        input.by_ref().take(LONGEST).read_until(b'\n', &mut line)?;
        let line = String::from_utf8_lossy(&line);
        if line.trim().is_empty() {
            break;
        }
        match rows::typed(&line, rows.last()) {
            Ok(row) => rows.push(row),
            Err(what) => output::talk(&format!("  {what}")),
        }
    }
    Ok(rows)
}

fn is_there(path: &Path) -> anyhow::Error {
    let name = output::name(path);
    Wrong(format!(
        "{name} is there already; name another, or move it away first"
    ))
    .into()
}
