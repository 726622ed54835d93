//! `drills`: the drills that ship.

use serde::Serialize;

use super::output;
use crate::drill::library;

/// List the drills that ship, in teaching order
#[derive(clap::Args)]
pub struct Args {
    /// As JSON
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct Listing {
    drills: Vec<DrillRow>,
}

#[derive(Serialize)]
struct DrillRow {
    id: &'static str,
    title: String,
    about: String,
    aircraft: String,
    tasks: usize,
    scored: bool,
    longest_s: f64,
}

/// Prints the id and title of each drill, and what it is about.
pub fn run(args: Args) -> anyhow::Result<()> {
    let mut drills = Vec::new();
    for shipped in library::DRILLS {
        let drill = shipped.drill()?;
        drills.push(DrillRow {
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
        return output::versioned(&Listing { drills });
    }
    output::lines(drills.iter().map(|row| {
        let (id, about) = (row.id, &row.about);
        let what = format!("{} ({})", row.title, row.aircraft);
        format!("{id:<22}  {what}\n{:<22}  {about}", "")
    }))
}
