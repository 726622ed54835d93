//! `compare`: two runs side by side.

use super::place::Place;
use super::{Exit, Wrong, output, received, weigh};
use crate::export::compare::{self, Side};

/// Show two runs of a drill side by side
#[derive(clap::Args)]
pub struct Args {
    /// Id of a run, or the file of a recording
    #[arg(value_name = "ID|FILE")]
    one: String,
    /// The other
    #[arg(value_name = "ID|FILE")]
    other: String,
}

/// Refuses what is not of the same drill.
pub fn run(args: Args, place: &Place) -> anyhow::Result<Exit> {
    let side = |name: &str| -> anyhow::Result<Side> {
        let recording = received::recording(name, place)?.recording;
        let run = received::replay(&recording, name)?;
        let weighed = weigh::weigh(&run, place).0;
        Ok(Side {
            recording,
            run,
            weighed,
        })
    };
    let (a, b) = (side(&args.one)?, side(&args.other)?);
    if let Some(why) = compare::refusal(&a, &b) {
        let message = format!("these runs cannot be compared: {why}; give two runs of one drill");
        return Err(Wrong(message).into());
    }
    output::text(&compare::text(&a, &b))?;
    Ok(Exit::Done)
}
