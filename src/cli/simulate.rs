//! `simulate`: fly a drill without a person.

use std::path::PathBuf;
use std::sync::Arc;

use anyhow::Context;

use super::place::Place;
use super::repeat::{self, Form};
use super::{
    Exit, Wrong, air_value, clock, complain, find, fly, hand, output, pilot_name, weigh, whole,
};
use crate::drill::Aids;
use crate::drill::Drill;
use crate::drill::reader::Source;
use crate::export::{csv, json, text};
use crate::hands::{self, Hand, Script};
use crate::run::Recording;
use crate::run::recording::HandName;
use crate::sim::world::Fault;

/// Fly a drill without a person: by a lever script or a built-in hand
#[derive(clap::Args)]
#[command(group = clap::ArgGroup::new("who").required(true).args(["lever", "hand"]))]
pub struct Args {
    /// Id of a drill that ships, or a file
    drill: PathBuf,
    /// Lever script: CSV with the header `t_s,lever`, lever 0 to 1
    #[arg(long, value_name = "FILE.csv")]
    lever: Option<PathBuf>,
    /// Built-in hand
    #[arg(long, value_name = "HAND", value_parser = hand::parser())]
    hand: Option<HandName>,
    /// Seed of the air and of surprises
    #[arg(long, value_name = "S", default_value_t = 0, value_parser = whole(0..=u64::MAX))]
    seed: u64,
    /// Fly it this many times, 2 to 10000, with this seed and those after it, and show how points and figures spread
    #[arg(long, value_name = "N", conflicts_with_all = ["track", "save"],
          value_parser = whole(2..=10_000_u64))]
    repeat: Option<u64>,
    /// Gusts instead of the drill's: still, light, lively, rough, or their wind at 20 ft in knots
    #[arg(long, value_name = "WORD|KT", value_parser = air_value)]
    air: Option<String>,
    /// Write the track, sixteen rows a second
    #[arg(long, value_name = "OUT.csv")]
    track: Option<PathBuf>,
    /// Result as JSON
    #[arg(long)]
    json: bool,
    /// Result as CSV, a row for each run of `--repeat`
    #[arg(long, requires = "repeat", conflicts_with = "json")]
    csv: bool,
    /// Keep the run in the logbook
    #[arg(long)]
    save: bool,
    /// Name of the pilot, kept with the run
    #[arg(long, value_name = "NAME", requires = "save", value_parser = pilot_name)]
    pilot: Option<String>,
}

/// Reads everything, flies, saves, and only then prints the result; failures to write are reported last.
pub fn run(args: Args, place: &Place) -> anyhow::Result<Exit> {
    let drill = fly::drill_in_air(&args.drill, args.air.as_deref())?;
    let (name, hand) = who(&args, &drill)?;
    if let Some(count) = args.repeat {
        let last = args.seed.checked_add(count - 1);
        let last = last.ok_or_else(|| {
            Wrong("the last seed would be too large; give a smaller --seed".into())
        })?;
        let form = match (args.json, args.csv) {
            (true, _) => Form::Json,
            (_, true) => Form::Csv,
            _ => Form::Text,
        };
        let seeds: Vec<u64> = (args.seed..=last).collect();
        return repeat::run(&drill, &text::word(name), &seeds, &form, place, hand);
    }
    let run = hands::fly(drill, args.seed, &mut *hand(args.seed));
    let (weighed, _) = weigh::weigh(&run, place);
    let mut failures = Vec::new();
    if let Some(path) = &args.track {
        failures.extend(output::file(path, &csv::track(&run)).err());
    }
    let mut id = None;
    if args.save {
        let recording = Recording {
            at: clock::now(),
            hand: name,
            aids: Aids::Bare,
            air: args.air.clone(),
            pilot: args.pilot.clone(),
            ..Recording::of(&run)
        };
        let (score, bills) = (&weighed.score, &weighed.bills);
        let saved = place
            .logbook()
            .and_then(|logbook| Ok(logbook.save(&recording, run.drill(), score, bills)?));
        match saved {
            Ok(entry) => id = Some(entry.id),
            Err(error) => failures.push(error.context("the run was not saved")),
        }
    }
    if args.json {
        output::json(&json::Report::new(&run, &weighed, id.as_deref()))?;
    } else {
        let summary = text::summary(&run, &weighed, &text::word(name));
        output::results(|out| {
            out.write_all(summary.as_bytes())?;
            id.iter().try_for_each(|id| writeln!(out, "Saved as {id}"))
        })?;
    }
    for error in &failures {
        complain(error);
    }
    match run.fault() {
        _ if !failures.is_empty() => Ok(Exit::Failed),
        Some(Fault::Model) => Ok(Exit::Failed),
        _ => Ok(Exit::Done),
    }
}

/// A hand for each seed.
type Hands = Box<dyn Fn(u64) -> Box<dyn Hand> + Sync>;

/// The hand asked for.
fn who(args: &Args, drill: &Arc<Drill>) -> anyhow::Result<(HandName, Hands)> {
    if let Some(path) = &args.lever {
        let (file, text) = (&output::name(path), &find::read(path)?);
        let script = Script::parse(Source { file, text })?;
        return Ok((
            HandName::Script,
            Box::new(move |_| Box::new(script.clone())),
        ));
    }
    let name = args.hand.context("neither hand nor script")?;
    hand::check(name, drill)?;
    let drill = drill.clone();
    let of =
        move |seed| hands::built_in(name, &drill, seed).expect("only built-in hands are taken");
    Ok((name, Box::new(of)))
}
