//! `next`: what to fly now, and why.

use serde::Serialize;

use super::place::Place;
use super::{Exit, log, output};
use crate::drill::Aids;
use crate::export::progress_words::count;
use crate::progress::{Flown, Next, next};

/// What to fly now, and why; then the day's set of three
///
/// It follows your own runs up a ladder of drills, each with a mark to reach. Help fades as you reach the marks and comes back when you do not.
#[derive(clap::Args)]
pub struct Args {
    /// Keep to this much help, whatever happens
    #[arg(long, value_name = "AIDS")]
    aids: Option<Aids>,
    /// As JSON
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct Told {
    sentence: String,
    #[serde(flatten)]
    next: Next,
}

/// Reads the logbook, chooses what to fly next and prints it.
pub fn run(args: Args, place: &Place) -> anyhow::Result<Exit> {
    let found = place.logbook()?.entries()?;
    let unreadable = found.unreadable;
    let flown = found.practice();
    let flown: Vec<&Flown> = flown.iter().collect();
    let lesson = place.lesson()?;
    let preferred = || place.preferences.text("aids").and_then(Aids::of);
    let aids = args.aids.or_else(preferred);
    let Some(next) = next(&lesson, &flown, log::today()?, aids) else {
        output::talk("The lesson has no rungs.");
        return Ok(Exit::Failed);
    };
    let sentence = next.now.sentence();
    if args.json {
        output::versioned(&Told { sentence, next })?;
    } else {
        let minutes = next.set.iter().map(|choice| choice.seconds).sum::<f64>() / 60.0;
        output::results(|out| {
            writeln!(out, "{sentence}\n")?;
            writeln!(
                out,
                "{}: {} of {} rungs passed; {} flown today. A day's three, about {minutes:.0} min:",
                lesson.title,
                next.passed,
                lesson.rungs.len(),
                count(next.flown_today, "run"),
            )?;
            next.set.iter().try_for_each(|choice| {
                writeln!(
                    out,
                    "  leveloff fly {} --aids {}",
                    output::argument(&choice.typed),
                    choice.aids.word()
                )
            })
        })?;
    }
    if unreadable > 0 {
        output::talk(&format!(
            "Unreadable lines of the logbook, left out: {unreadable}."
        ));
    }
    Ok(Exit::Done)
}
