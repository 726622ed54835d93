//! `debrief`: fly a saved run again and tell what happened.

use anyhow::{Context, anyhow};

use super::place::Place;
use super::{Exit, note, output, weigh};
use crate::export::{excerpt, json, text};
use crate::progress::lately_of;

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
    /// The drill file that practises a line of the bill, by its number: the task alone, from a few seconds before
    #[arg(long, value_name = "LINE", conflicts_with_all = ["json", "text"])]
    practise: Option<usize>,
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
    if recording.seal.is_none() {
        output::talk(&format!(
            "Run {id} has no seal, as runs of earlier versions: whether it was changed since cannot be told."
        ));
    }
    let (weighed, pars) = weigh::weigh(&run, place);
    if args.json {
        output::json(&json::Report::new(&run, &weighed, Some(&id)))?;
        return Ok(Exit::Done);
    }
    if let Some(n) = args.practise {
        let told = weighed.told();
        let line = n.checked_sub(1).and_then(|n| told.get(n));
        let drill = line
            .and_then(|line| excerpt::of(&run, line))
            .with_context(|| {
                format!(
                    "run {id} has no line {n} to practise; its bill has {}",
                    told.len()
                )
            })?;
        output::results(|out| out.write_all(drill.text.as_bytes()))?;
        return Ok(Exit::Done);
    }
    let found = logbook.notes(&id)?;
    let lately = lately_of(&logbook.entries()?.practice(), &id);
    let lately = lately.map(|lately| lately.sentence());
    let debrief = text::debrief(&text::Flown {
        recording: &recording,
        run: &run,
        weighed: &weighed,
        pars: pars.as_ref(),
        notes: &found.notes,
        lately: lately.as_deref(),
    });
    output::results(|out| out.write_all(debrief.as_bytes()))?;
    note::tell_unreadable(found.unreadable);
    Ok(Exit::Done)
}
