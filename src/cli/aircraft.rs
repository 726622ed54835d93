//! `aircraft`: what an aeroplane is like, before flying it.

use std::path::PathBuf;

use serde::Serialize;

use super::brief::{WithCard, card_lines};
use super::{find, output, within};
use crate::brief::{AeroplanePage, PowerCard};
use crate::drill::library;
use crate::sim::aircraft::Aircraft;
use crate::units::FT;

/// Columns and rows of the drag curve.
const PICTURE: (usize, usize) = (72, 16);

/// Show an aeroplane's powers, drag curve and power card, or list those that ship
#[derive(clap::Args)]
pub struct Args {
    /// Name of an aeroplane that ships, or a file
    name: Option<PathBuf>,
    /// Altitude for the figures, 0 to 30000
    #[arg(long, value_name = "FT", default_value_t = 1000.0, value_parser = within(0.0..=30_000.0, "feet"))]
    altitude_ft: f64,
    /// As JSON
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct Listing {
    aircraft: Vec<AircraftRow>,
}

#[derive(Serialize)]
struct AircraftRow {
    id: &'static str,
    name: String,
    about: String,
    mass_kg: f64,
}

/// Prints one aeroplane's page, or the list.
pub fn run(args: Args) -> anyhow::Result<()> {
    match &args.name {
        None => list(args.json),
        Some(name) => show(&find::aircraft(name)?, args.altitude_ft, args.json),
    }
}

fn show(aircraft: &Aircraft, altitude_ft: f64, json: bool) -> anyhow::Result<()> {
    let h_m = altitude_ft * FT;
    let mut page = AeroplanePage::new(aircraft, h_m);
    // As it was given, not as it comes back from metres.
    page.altitude_ft = altitude_ft;
    let power_card = PowerCard::new(aircraft, h_m);
    if json {
        return output::json(&WithCard { page, power_card });
    }
    let mut lines = page.lines();
    lines.push(String::new());
    lines.extend(page.drag_curve.picture(PICTURE.0, PICTURE.1));
    lines.push(String::new());
    lines.extend(card_lines(power_card.as_ref(), aircraft, altitude_ft));
    output::lines(lines)
}

fn list(json: bool) -> anyhow::Result<()> {
    let mut aircraft = Vec::new();
    for shipped in library::AIRCRAFT {
        let known = shipped.aircraft()?;
        aircraft.push(AircraftRow {
            id: shipped.id,
            name: known.name,
            about: known.about,
            mass_kg: known.mass_kg,
        });
    }
    if json {
        return output::versioned(&Listing { aircraft });
    }
    let line = |row: &AircraftRow| format!("{:<14}  {}", row.name, row.about);
    output::lines(aircraft.iter().map(line))
}
