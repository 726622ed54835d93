//! `debrief`: fly a saved run again and show what happened.

use std::path::PathBuf;

use anyhow::Context;

use super::place::Place;
use super::received::{self, Received};
use super::{Exit, NUMBERED, fly, note, output, screen, weigh, whole, wrong};
use crate::brief::{DrillBrief, Predict};
use crate::export::told::{Debriefed, Kept};
use crate::export::{excerpt, html, json, svg, text};
use crate::logbook::notes;
use crate::progress::lately_of;
use crate::tui::Opening;
use crate::tui::screens::debrief::Debrief;

/// Show what happened in a saved run
#[derive(clap::Args)]
#[command(long_about = include_str!("debrief.txt"))]
pub struct Args {
    /// Id of the run, or the file of a recording; if not given, the latest run
    #[arg(value_name = "ID|FILE")]
    run: Option<String>,
    /// As JSON
    #[arg(long, conflicts_with = "text")]
    json: bool,
    /// As plain text, without screen
    #[arg(long)]
    text: bool,
    /// Print a drill file that practises a line of the bill, by its number: the task alone, from a few seconds before it
    #[arg(long, value_name = "LINE", value_parser = whole(NUMBERED), conflicts_with_all = ["json", "text"])]
    practise: Option<usize>,
    /// Write it as one page to print or send
    #[arg(long, value_name = "OUT.html", conflicts_with_all = ["json", "text", "practise"])]
    html: Option<PathBuf>,
    /// Write its picture alone
    #[arg(long, value_name = "OUT.svg", conflicts_with_all = ["json", "text", "practise"])]
    svg: Option<PathBuf>,
}

/// Replays the recording to the same bits, scores it and shows the result: on a terminal, the same screen as after a flight.
pub fn run(args: Args, place: &Place, screen: &screen::Args) -> anyhow::Result<Exit> {
    let latest = || place.logbook()?.latest_id().map_err(anyhow::Error::from);
    let name = match args.run {
        Some(name) => name,
        None => latest()?.context(
            "the logbook is empty; fly a drill first, or `leveloff simulate` one with --save",
        )?,
    };
    let received = received::recording(&name, place)?;
    let Received {
        recording,
        notes: file,
        is_own,
    } = received;
    let id = &recording.id;
    let run = received::replay(&recording, &name)?;
    if recording.seal.is_none() {
        output::talk(&format!(
            "Run {id} has no seal, like runs of earlier versions: it cannot show whether it was changed since."
        ));
    }
    let (weighed, pars) = weigh::weigh(&run, place);
    if args.json {
        output::json(&json::Report::new(&run, &weighed, Some(id)))?;
        return Ok(Exit::Done);
    }
    if let Some(n) = args.practise {
        let told = weighed.told();
        let Some(line) = n.checked_sub(1).and_then(|n| told.get(n)) else {
            let lines = told.len();
            return wrong(format!(
                "run {id} has no line {n} to practise; its bill has {lines}"
            ));
        };
        let drill = excerpt::of(&run, line)
            .with_context(|| format!("line {n} of run {id} cannot be made a drill of its own"))?;
        output::text(&drill.text)?;
        let aircraft = drill
            .text
            .lines()
            .find_map(|line| line.strip_prefix("aircraft = "));
        if let Some(file) = aircraft.filter(|name| name.ends_with(".toml\"")) {
            output::talk(&format!("It flies {file}: that file has to be beside it."));
        }
        return Ok(Exit::Done);
    }
    let found = notes::read(&file)?;
    let lately = match is_own {
        true => lately_of(&place.logbook()?.entries()?.practice(), id),
        false => None,
    };
    let guesses = match recording.guesses.iter().any(Option::is_some) {
        true => Predict::of(&DrillBrief::new(run.drill())).told(&recording.guesses),
        false => Vec::new(),
    };
    let kept = Kept::As(id.clone());
    let told = Debriefed {
        guesses,
        notes: found.notes,
        beside_last: lately.map(|lately| lately.sentence()),
        ..Debriefed::new(run, recording, weighed, pars, kept)
    };
    if let Some(file) = &args.svg {
        output::file(file, &svg::picture(&told.run, &told.weighed))?;
    }
    if let Some(file) = &args.html {
        output::file(file, &html::page(&told))?;
    }
    let exit = match args.svg.is_some() || args.html.is_some() {
        true => Exit::Done,
        false if !args.text && fly::is_terminal() => {
            let flown = format!("{}, hand {}", told.flown(), told.hand_word());
            let kept = Kept::Elsewhere(vec![flown]);
            let debrief = Debrief::new(Debriefed { kept, ..told }, None);
            fly::show(Opening::Debrief(Box::new(debrief)), place, screen)?
        }
        false => {
            output::text(&text::debrief(&told))?;
            Exit::Done
        }
    };
    note::tell_unreadable(found.unreadable);
    Ok(exit)
}
