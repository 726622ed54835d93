//! `gates`: the altitudes, sink, closure and power of a straight path, without a drill.

use std::path::PathBuf;

use super::{find, output, within, wrong};
use crate::brief::PathBrief;
use crate::brief::path::{Descent, Flier, wind_lost_mps};
use crate::export::CAUTION;
use crate::sim::math::tan;
use crate::units::{DEG, FT, KT, NM};

/// Roughness for which the wind lost on the way down is given: that of a drill that names none, ft.
const ROUGHNESS_FT: f64 = 0.15;

/// With less closure than this the aim point counts as not coming nearer.
const LEAST_CLOSURE_KT: f64 = 1.0;

/// Show the altitudes, sink and power of a straight path down to a deck
#[derive(clap::Args)]
#[command(group = clap::ArgGroup::new("flier").required(true).args(["speed_kt", "aircraft"]))]
pub struct Args {
    /// Slope of the path relative to the deck, 1 to 8 degrees
    #[arg(long, value_name = "D", value_parser = within(1.0..=8.0, "degrees"))]
    slope: f64,
    /// Height of the deck above the surface, 0 to 300 ft
    #[arg(long, value_name = "H", value_parser = within(0.0..=300.0, "feet"))]
    deck_ft: f64,
    /// Where the table begins, 0.1 to 15 nautical miles from the aim point
    #[arg(long, value_name = "N", default_value_t = 3.0, value_parser = within(0.1..=15.0, "nautical miles"))]
    from_nm: f64,
    /// Horizontal speed through the air, 20 to 400 kt
    #[arg(long, value_name = "V", value_parser = within(20.0..=400.0, "knots"))]
    speed_kt: Option<f64>,
    /// An aeroplane on speed, instead of a speed: the name of one that ships, or a file
    #[arg(long, value_name = "NAME")]
    aircraft: Option<PathBuf>,
    /// Wind against the flight, -40 to 60 kt
    #[arg(long, value_name = "W", default_value_t = 0.0, value_parser = within(-40.0..=60.0, "knots"))]
    wind_kt: f64,
    /// Speed of the deck, away from the aeroplane, 0 to 40 kt
    #[arg(long, value_name = "S", default_value_t = 0.0, value_parser = within(0.0..=40.0, "knots"))]
    deck_kt: f64,
    /// As JSON
    #[arg(long)]
    json: bool,
}

/// Prints the card.
pub fn run(args: Args) -> anyhow::Result<()> {
    let aircraft = args.aircraft.as_deref().map(find::aircraft).transpose()?;
    let (slope_rad, deck_m) = (args.slope * DEG, args.deck_ft * FT);
    let half_way_m = deck_m + args.from_nm / 2.0 * NM * tan(slope_rad);
    let flier = match &aircraft {
        Some(aircraft) => Flier::Aeroplane(aircraft, half_way_m),
        None => Flier::Speed(args.speed_kt.unwrap_or_default() * KT),
    };
    let card = PathBrief::new(&Descent {
        slope_rad,
        deck_m,
        deck_mps: args.deck_kt * KT,
        wind_mps: args.wind_kt * KT,
        lost_mps: wind_lost_mps(args.wind_kt * KT, ROUGHNESS_FT * FT),
        flier,
        gates_m: gates_nm(args.from_nm).iter().map(|nm| nm * NM).collect(),
    });
    if card.now.closure_kt < LEAST_CLOSURE_KT {
        let message = format!(
            "the aim point comes no nearer: closure is {:.0} kt; give more speed, less wind or a slower deck",
            card.now.closure_kt
        );
        return wrong(message);
    }
    if args.json {
        return output::json(&card);
    }
    output::lines(card.lines().into_iter().chain([format!("\n{CAUTION}")]))
}

/// Where the table begins, then every whole mile inside, then half a mile.
fn gates_nm(from_nm: f64) -> Vec<f64> {
    let miles = (1..=15).rev().map(f64::from);
    let inside = miles.chain([0.5]).filter(|nm| *nm < from_nm);
    std::iter::once(from_nm).chain(inside).collect()
}
