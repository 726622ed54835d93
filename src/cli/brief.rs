//! `brief`: the numbers to go into a drill with.

use std::path::PathBuf;
use std::sync::Arc;

use serde::Serialize;

use super::{find, output};
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

/// A page, and the power card after it.
#[derive(Serialize)]
pub struct WithCard<T> {
    /// The page.
    #[serde(flatten)]
    pub page: T,
    /// None where the aeroplane cannot fly level there.
    pub power_card: Option<PowerCard>,
}

/// Prints one drill's brief.
pub fn run(args: Args) -> anyhow::Result<()> {
    let drill = Arc::new(find::drill(&args.drill)?);
    let brief = WithCard {
        page: DrillBrief::new(&drill),
        power_card: PowerCard::of(&drill),
    };
    if args.json {
        return output::json(&brief);
    }
    let mut lines = brief.page.lines();
    lines.push(String::new());
    lines.extend(card_lines(
        brief.power_card.as_ref(),
        &drill.aircraft,
        PowerCard::altitude_m(&drill) / FT,
    ));
    lines.extend([String::new(), CAUTION.to_string()]);
    output::lines(lines)
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
