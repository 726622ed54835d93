//! `drills`: those that ship.

use serde::Serialize;

use super::{Exit, output};
use crate::drill::library;
use crate::run::recording::SCHEMA;

/// List the drills that ship, in the order in which they teach
#[derive(clap::Args)]
pub struct Args {
    /// As JSON
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct Listing {
    schema: u32,
    drills: Vec<Row>,
}

#[derive(Serialize)]
struct Row {
    id: &'static str,
    title: String,
    about: String,
    aircraft: String,
    tasks: usize,
    scored: bool,
    longest_s: f64,
}

/// Id, title and what each is about.
pub fn run(args: Args) -> anyhow::Result<Exit> {
    let mut drills = Vec::new();
    for shipped in library::DRILLS {
        let drill = shipped.drill()?;
        drills.push(Row {
            id: shipped.id,
            scored: drill.is_scored(),
            longest_s: drill.longest_s(),
            tasks: drill.tasks.len(),
            title: drill.title,
            about: drill.about,
            aircraft: drill.aircraft.name,
        });
    }
    if args.json {
        output::json(&Listing {
            schema: SCHEMA,
            drills,
        })?;
    } else {
        output::results(|out| {
            drills.iter().try_for_each(|row| {
                writeln!(out, "{:<22}  {} ({})", row.id, row.title, row.aircraft)?;
                writeln!(out, "{:<22}  {}", "", row.about)
            })
        })?;
    }
    Ok(Exit::Done)
}
