//! `debrief`: fly a saved run again and tell what happened.

use anyhow::{Context, anyhow};

use super::place::Place;
use super::{Exit, note, output, weigh};
use crate::export::{json, text};

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
    let recording = logbook.recording(&id).map_err(note::asked_wrongly)?;
    let flown = recording.replay();
    let run = flown.map_err(|error| anyhow!("run {id} cannot be replayed: {error}"))?;
    let (weighed, pars) = weigh::weigh(&run, place);
    if args.json {
        output::json(&json::Report::new(&run, &weighed, Some(&id)))?;
        return Ok(Exit::Done);
    }
    let found = logbook.notes(&id)?;
    let debrief = text::debrief(&text::Flown {
        recording: &recording,
        run: &run,
        weighed: &weighed,
        pars: pars.as_ref(),
        notes: &found.notes,
    });
    output::results(|out| out.write_all(debrief.as_bytes()))?;
    note::tell_unreadable(found.unreadable);
    Ok(Exit::Done)
}
