//! `log`: the saved runs.

use serde::Serialize;

use super::place::Place;
use super::{Exit, output};
use crate::drill::printable::{padded, printable};
use crate::export::text;
use crate::logbook::Entry;
use crate::run::recording::SCHEMA;

/// List the saved runs, oldest first
#[derive(clap::Args)]
pub struct Args {
    /// As JSON
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct Listing {
    schema: u32,
    entries: Vec<Entry>,
    unreadable: usize,
}

/// One line a run.
pub fn run(args: Args, place: &Place) -> anyhow::Result<Exit> {
    let logbook = place.logbook()?;
    let found = logbook.entries()?;
    let unreadable = found.unreadable;
    if args.json {
        output::json(&Listing {
            schema: SCHEMA,
            entries: found.entries,
            unreadable,
        })?;
    } else {
        output::results(|out| {
            found
                .entries
                .iter()
                .try_for_each(|entry| writeln!(out, "{}", line(entry)))
        })?;
        if found.entries.is_empty() {
            output::talk("No runs yet: fly a drill, or `leveloff simulate` one with --save.");
        }
    }
    if unreadable > 0 {
        let file = output::name(&logbook.dir().join("logbook.jsonl"));
        output::talk(&format!(
            "Left out of {file}, since they cannot be read: {unreadable} of its lines."
        ));
    }
    Ok(Exit::Done)
}

fn line(entry: &Entry) -> String {
    let points = entry
        .points
        .map_or("-".to_string(), |points| format!("{points:.1}"));
    let end = match (entry.fault, entry.complete) {
        (Some(fault), _) => text::word(fault),
        (None, true) => "complete".to_string(),
        (None, false) => "left".to_string(),
    };
    format!(
        "{:<20}  {}  {}  {:<7}  {points:>5}  {end}",
        printable(&entry.id),
        text::when(&entry.at),
        padded(&printable(&entry.drill), 20),
        text::word(entry.hand),
    )
}
