//! `check`: whether files of drills and aeroplanes are right.

use std::path::{Path, PathBuf};

use super::{Exit, complain, find, output};
use crate::drill::reader::Source;
use crate::drill::{aircraft_file, reader::plain};
use crate::sim::trim;
use crate::units::KT;

/// Check files of drills and aeroplanes
#[derive(clap::Args)]
pub struct Args {
    /// Files of drills or aeroplanes
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
}

/// One line for each file: on standard output where it is right, on standard error where it is not.
pub fn run(args: Args) -> anyhow::Result<Exit> {
    let mut exit = Exit::Done;
    for file in &args.files {
        match check(file) {
            Ok(verdict) => {
                output::results(|out| writeln!(out, "{}: ok, {verdict}", output::name(file)))?
            }
            Err(error) => {
                complain(&error);
                exit = Exit::Wrong;
            }
        }
    }
    Ok(exit)
}

fn check(path: &Path) -> anyhow::Result<String> {
    let text = find::read(path)?;
    if describes_aircraft(&text) {
        let file = output::name(path);
        let source = Source {
            file: &file,
            text: &text,
        };
        let aircraft = aircraft_file::parse(source)?;
        let speed_kt = trim::on_speed(&aircraft, 0.0, 0.0).speed_mps / KT;
        return Ok(format!(
            "aeroplane \"{}\", on speed {speed_kt:.0} kt at sea level",
            aircraft.name
        ));
    }
    let drill = find::drill_file(path, &text)?;
    let tasks = match drill.tasks.len() {
        1 => "1 task".to_string(),
        count => format!("{count} tasks"),
    };
    let longest_s = plain(drill.longest_s().ceil());
    Ok(format!(
        "drill \"{}\", {tasks}, at most {longest_s} s",
        drill.title
    ))
}

/// Whether a text is meant as an aeroplane: it has a wing or an engine and no task. What is not TOML is left to the
/// drill's reader to complain about.
fn describes_aircraft(text: &str) -> bool {
    toml::from_str::<toml::Table>(text).is_ok_and(|table| {
        let has = |key: &str| table.contains_key(key);
        (has("wing") || has("engine")) && !has("task") && !has("start")
    })
}
