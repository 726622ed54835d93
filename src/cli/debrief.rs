//! `debrief`: fly a saved run again and tell what happened.

use anyhow::{Context, anyhow};

use super::place::Place;
use super::{Exit, Wrong, output};
use crate::export::{json, text};
use crate::logbook::LogbookError;
use crate::score;

/// Tell what happened in a saved run
#[derive(clap::Args)]
pub struct Args {
    /// Id of the run; the latest where it is not given
    id: Option<String>,
    /// As JSON
    #[arg(long, conflicts_with = "text")]
    json: bool,
    /// As plain text
    #[arg(long)]
    text: bool,
}

/// Replays the recording to the same bits, scores it, and tells.
pub fn run(args: Args, place: &Place) -> anyhow::Result<Exit> {
    let logbook = place.logbook()?;
    let id = match args.id {
        Some(id) => id,
        None => logbook.latest_id()?.context(
            "the logbook is empty; fly a drill first, or `leveloff simulate` one with --save",
        )?,
    };
    let recording = logbook.recording(&id).map_err(|error| match error {
        LogbookError::BadId { .. } | LogbookError::NoRun { .. } => Wrong(error.to_string()).into(),
        error => anyhow::Error::from(error),
    })?;
    let flown = recording.replay();
    let run = flown.map_err(|error| anyhow!("run {id} cannot be replayed: {error}"))?;
    let score = score::score(&run);
    if args.json {
        output::json(&json::Report::new(&run, &score, Some(&id)))?;
    } else {
        let debrief = text::debrief(&recording, &run, &score);
        output::results(|out| out.write_all(debrief.as_bytes()))?;
    }
    Ok(Exit::Done)
}
