//! `note`: a comment on a run, kept beside its recording.

use super::place::Place;
use super::received::{self, Received};
use super::{NUMBERED, Wrong, clock, output, whole};
use crate::export::told;
use crate::logbook::{About, LogbookError, Note, notes};

/// Add a comment to a saved run or to a recording you were given, or list its comments
///
/// They are kept beside the recording, never in it: the notes on x.json are in x.notes.jsonl.
#[derive(clap::Args)]
pub struct Args {
    /// Id of the run, or the file of a recording
    #[arg(value_name = "ID|FILE")]
    run: String,
    /// The comment, one line; without it, the comments are listed
    text: Option<String>,
    /// On one task of the drill, numbered from 1
    #[arg(long, value_name = "N", requires = "text", value_parser = whole(NUMBERED))]
    task: Option<usize>,
    /// On a mark left in flight, numbered from 1
    #[arg(long, value_name = "N", requires = "text", conflicts_with = "task", value_parser = whole(NUMBERED))]
    mark: Option<usize>,
    /// Name of the writer
    #[arg(long, value_name = "WHO", requires = "text")]
    by: Option<String>,
}

/// Adds a note, or lists them.
pub fn run(args: Args, place: &Place) -> anyhow::Result<()> {
    let received = received::recording(&args.run, place)?;
    let Received {
        recording,
        notes: file,
        ..
    } = received;
    let Some(said) = args.text else {
        let found = notes::read(&file)?;
        output::lines(found.notes.iter().map(told::note_line))?;
        if found.notes.is_empty() {
            output::talk(&format!("No notes on run {} yet.", recording.id));
        }
        tell_unreadable(found.unreadable);
        return Ok(());
    };
    let about = match (args.task, args.mark) {
        (Some(task), _) => About::Task(task),
        (_, Some(mark)) => About::Mark(mark),
        _ => About::Run,
    };
    let note = Note::new(clock::now(), args.by, about, said);
    notes::add(&file, &recording, &note).map_err(asked_wrongly)
}

/// Says that lines were left out, if any were.
pub fn tell_unreadable(lines: usize) {
    if lines > 0 {
        output::talk(&format!("Unreadable notes, left out: {lines}."));
    }
}

/// Turns an error into [`Wrong`] where the run is not there or the note is not fit to keep; any other error is a failure.
pub fn asked_wrongly(error: LogbookError) -> anyhow::Error {
    match error {
        LogbookError::BadId { .. } | LogbookError::NoRun { .. } | LogbookError::BadNote { .. } => {
            Wrong(error.to_string()).into()
        }
        error => error.into(),
    }
}
