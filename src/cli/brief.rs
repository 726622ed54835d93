//! `brief`: the numbers to go into a drill with.

use std::path::PathBuf;
use std::sync::Arc;

use serde::Serialize;

use super::{Exit, find, output};
use crate::brief::{DrillBrief, PowerCard};
use crate::drill::aircraft_file::cannot_fly_level;
use crate::export::CAUTION;
use crate::sim::aircraft::Aircraft;
use crate::sim::trim;
use crate::units::FT;

/// Show the powers and leads of a drill before flying it
#[derive(clap::Args)]
pub struct Args {
    /// Id of a drill that ships, or a file
    drill: PathBuf,
    /// As JSON
    #[arg(long)]
    json: bool,
}

/// The brief, and the power card for the altitude it starts at.
#[derive(Serialize)]
struct Page {
    #[serde(flatten)]
    brief: DrillBrief,
    /// None where the aeroplane cannot fly level there.
    power_card: Option<PowerCard>,
}

/// One drill's brief.
pub fn run(args: Args) -> anyhow::Result<Exit> {
    let drill = Arc::new(find::drill(&args.drill)?);
    let page = Page {
        brief: DrillBrief::new(&drill),
        power_card: PowerCard::new(&drill.aircraft, drill.start.altitude_m),
    };
    if args.json {
        output::json(&page)?;
        return Ok(Exit::Done);
    }
    let mut lines = page.brief.lines();
    lines.push(String::new());
    lines.extend(card_lines(
        page.power_card.as_ref(),
        &drill.aircraft,
        drill.start.altitude_m / FT,
    ));
    lines.push(String::new());
    output::results(|out| {
        lines.iter().try_for_each(|line| writeln!(out, "{line}"))?;
        writeln!(out, "{CAUTION}")
    })?;
    Ok(Exit::Done)
}

/// A power card as text, or why there is none.
pub fn card_lines(card: Option<&PowerCard>, aircraft: &Aircraft, altitude_ft: f64) -> Vec<String> {
    let mut lines = vec!["power card:".to_string()];
    match card {
        Some(card) => lines.extend(card.lines()),
        None => {
            let lever = trim::on_speed(aircraft, altitude_ft * FT, 0.0).lever;
            let why = cannot_fly_level(aircraft, aircraft.mass_kg, altitude_ft, lever);
            lines.push(format!("none: {why}"));
        }
    }
    lines
}
