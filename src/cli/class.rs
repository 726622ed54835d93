//! `class`: many learners' recordings, by drill.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use super::place::Place;
use super::weigh::Many;
use super::{Wrong, bar, output, received, wrong};
use crate::export::class::{self, Class, Learnt};
use crate::logbook::{self, Entry};
use crate::run::Recording;
use crate::run::recording::HandName;

/// Show what a class flew: points by drill, and what costs most, in all and by learner
#[derive(clap::Args)]
pub struct Args {
    /// Folder of recordings, with a folder inside for each learner if you like
    folder: PathBuf,
    /// Count runs of built-in hands and lever scripts as well
    #[arg(long)]
    hands: bool,
    /// As JSON
    #[arg(long, conflicts_with = "csv")]
    json: bool,
    /// As CSV, a row for each run
    #[arg(long)]
    csv: bool,
}

/// Most files of a folder that are read: a whole course has a few thousand.
const MOST: usize = 20_000;
/// Most levels of folders inside the folder that are searched.
const DEEPEST: usize = 4;
/// Files that are named for each reason, at most.
const NAMED: usize = 5;

/// Reads, flies again and weighs everything, then prints the result.
pub fn run(args: Args, place: &Place) -> anyhow::Result<()> {
    let mut files = Vec::new();
    find(&args.folder, DEEPEST, &mut files)?;
    let many = Many::at(place);
    let read = bar::each("flying runs again", &files, |file| {
        flown(file, &args, &many)
    });
    let (mut runs, mut left_out, mut unreadable) = (Vec::new(), 0, Vec::new());
    let (mut known, mut twice) = (BTreeSet::new(), Vec::new());
    for (file, read) in files.iter().zip(read) {
        match read {
            Ok(Some(run)) => {
                let own = (run.recording.id.clone(), run.recording.digest.clone());
                match known.insert(own) {
                    true => runs.push(run),
                    false => twice.push(output::name(file)),
                }
            }
            Ok(None) => left_out += 1,
            Err(why) => unreadable.push(format!("{}: {why}", output::name(file))),
        }
    }
    let is_empty = runs.is_empty();
    if args.csv {
        output::text(&class::table(&runs).csv())?;
    } else {
        let class = Class::of(runs, left_out, unreadable.len());
        match args.json {
            true => output::json(&class)?,
            false => output::text(&class.text())?,
        }
    }
    if is_empty {
        output::talk(match (args.hands, unreadable.is_empty()) {
            (_, false) => "No run in this folder can be counted.",
            (true, true) => "There is no run in this folder.",
            (false, true) => "No run in this folder was flown by a person.",
        });
    }
    if left_out > 0 {
        output::talk(&format!(
            "Left out, not flown by a person: {left_out} (--hands counts them)."
        ));
    }
    tell("Twice in the folder, counted once: ", &twice);
    tell("Left out: ", &unreadable);
    Ok(())
}

/// Prints a message about files, naming the first few.
fn tell(what: &str, files: &[String]) {
    for file in files.iter().take(NAMED) {
        output::talk(&format!("{what}{file}"));
    }
    if files.len() > NAMED {
        let more = files.len() - NAMED;
        output::talk(&format!("{what}... and {more} more"));
    }
}

/// Collects the recordings below a folder, ordered by name. A link is not followed: it may lead back.
fn find(folder: &Path, deeper: usize, found: &mut Vec<PathBuf>) -> anyhow::Result<()> {
    let name = output::name(folder);
    let entries = fs::read_dir(folder).map_err(|cause| {
        Wrong(format!(
            "cannot read the folder {name}: {cause}; check the path"
        ))
    })?;
    let mut entries: Vec<_> = entries.flatten().collect();
    entries.sort_by_key(fs::DirEntry::file_name);
    for entry in entries {
        let path = entry.path();
        // What lies beside a logbook's runs is no recording: pars, and the screen's memory.
        let is_par = entry.file_name() == "par";
        let is_memory = entry.file_name() == "state.json";
        match entry.file_type() {
            Ok(kind) if kind.is_dir() && !is_par && deeper > 0 => find(&path, deeper - 1, found)?,
            Ok(kind)
                if kind.is_file()
                    && !is_memory
                    && path.extension().is_some_and(|end| end == "json") =>
            {
                found.push(path);
            }
            _ => {}
        }
        if found.len() > MOST {
            let message =
                format!("there are more than {MOST} files below {name}; give a folder with fewer");
            return wrong(message);
        }
    }
    Ok(())
}

/// A learner's run; None where no person flew it and hands are not counted.
fn flown(file: &Path, args: &Args, many: &Many) -> Result<Option<Learnt>, String> {
    let recording = logbook::read_recording(file).map_err(|error| received::fault(&error))?;
    if recording.hand != HandName::Person && !args.hands {
        return Ok(None);
    }
    let run = recording.replay().map_err(|error| error.to_string())?;
    let weighed = many.weigh(&run);
    let entry = Entry::weighed(&recording, run.drill(), &weighed.score, &weighed.bills);
    Ok(Some(Learnt {
        pilot: pilot(&recording, file, &args.folder),
        flown: entry.flown(),
        recording,
    }))
}

/// Who flew: as the recording says, or else the folder it lies in, inside the one that was given.
fn pilot(recording: &Recording, file: &Path, folder: &Path) -> String {
    let inside = file
        .parent()
        .and_then(|parent| parent.strip_prefix(folder).ok());
    let inside = inside.map(|inside| inside.display().to_string());
    let named = recording
        .pilot
        .clone()
        .or(inside.filter(|name| !name.is_empty()));
    named.unwrap_or_else(|| "(no name)".to_string())
}
