//! `verify`: whether recordings are what they claim to be.

use std::path::PathBuf;

use super::place::Place;
use super::weigh::Many;
use super::{Exit, bar, find, output, received, wrong};
use crate::drill::Drill;
use crate::export::text;
use crate::logbook::{self, LogbookError, claims};
use crate::run::Recording;
use crate::sim::MODEL_VERSION;

/// Fly recordings again and say whether they are what they claim
#[derive(clap::Args)]
pub struct Args {
    /// Files of recordings
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// The drill they must be runs of: the id of one that ships, or a file
    #[arg(long, value_name = "DRILL")]
    drill: Option<PathBuf>,
}

/// Prints one line per file, and below it what does not hold. A file that cannot even be read gets no verdict but an error.
pub fn run(args: Args, place: &Place) -> anyhow::Result<Exit> {
    let drill = args.drill.as_deref().map(find::drill).transpose()?;
    let many = Many::at(place);
    let verdicts = bar::each(
        "flying runs again",
        &args.files,
        |file| match logbook::read_recording(file) {
            Ok(recording) => Ok(verdict(&recording, drill.as_ref(), &many)),
            Err(error @ LogbookError::Io { .. }) => Err(received::unreadable(file, &error)),
            Err(error) => Ok((String::new(), vec![received::fault(&error)])),
        },
    );
    let (mut said, mut unread, mut exit) = (String::new(), Vec::new(), Exit::Done);
    for (file, verdict) in args.files.iter().zip(verdicts) {
        let name = output::name(file);
        let (what, faults) = match verdict {
            Ok(verdict) => verdict,
            Err(why) => {
                unread.push(why);
                continue;
            }
        };
        if !faults.is_empty() {
            exit = Exit::Failed;
        }
        said += &match faults.is_empty() {
            true => format!("{name}: holds; {what}\n"),
            false if what.is_empty() => format!("{name}: does not hold\n"),
            false => format!("{name}: does not hold; {what}\n"),
        };
        faults
            .iter()
            .for_each(|fault| said += &format!("  {fault}\n"));
    }
    output::text(&said)?;
    match unread.is_empty() {
        true => Ok(exit),
        false => wrong(unread.join("\n")),
    }
}

/// What a recording claims to be, and which of its claims do not hold.
fn verdict(recording: &Recording, drill: Option<&Drill>, many: &Many) -> (String, Vec<String>) {
    let mut what = format!("{}, flown {}", recording.drill, text::when(&recording.at));
    what += &text::by(recording);
    what += &format!(", hand {}", text::word(recording.hand));
    if let Some(points) = recording.points {
        what += &format!(", {points:.1} points");
    }
    what += &format!(", model {}", recording.model);
    let mut faults = Vec::new();
    if let Some(drill) = drill
        && (&drill.text, &drill.aircraft_text) != (&recording.drill_text, &recording.aircraft_text)
    {
        faults.push(format!(
            "it is not a run of the drill `{}` you gave",
            drill.id
        ));
    }
    match recording.replay() {
        Ok(run) => {
            let points = many.score(&run).points;
            what += &format!(" (this program: {MODEL_VERSION})");
            faults.extend(claims::faults(recording, &run, points));
        }
        Err(error) => faults.push(format!("it cannot be flown again: {error}")),
    }
    (what, faults)
}
