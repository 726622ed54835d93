//! A coach's comments on a run, stored beside its recording and never in it, one per line: `runs/<id>.notes.jsonl`, and
//! likewise for a recording elsewhere.

use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::lines::{self, Lines};
use super::{Logbook, LogbookError, id, json};
use crate::drill::printable::is_plain;
use crate::run::Recording;
use crate::run::recording::SCHEMA;

/// Largest file of notes that is read, bytes.
const LARGEST: u64 = 16 << 20;
/// Longest text of a note, characters.
const LONGEST: usize = 1000;
/// Longest name of its writer, characters.
const LONGEST_NAME: usize = 80;

/// What a note is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum About {
    Run,
    /// A task of its drill, from 1.
    Task(usize),
    /// A mark left in flight, from 1, in the order of `Recording::marks`.
    Mark(usize),
}

/// A comment on a run.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Note {
    /// Version of this layout.
    pub schema: u32,
    /// When it was written, RFC 3339, local.
    pub at: String,
    /// The writer's name, if given.
    pub by: Option<String>,
    /// What it is about.
    pub about: About,
    /// One line of text.
    pub text: String,
}

/// The notes on a run.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Notes {
    /// Oldest first.
    pub notes: Vec<Note>,
    /// Number of lines that this program cannot read as a note.
    pub unreadable: usize,
}

impl Note {
    /// A note; `at` is RFC 3339.
    pub fn new(at: String, by: Option<String>, about: About, text: String) -> Note {
        Note {
            schema: SCHEMA,
            at,
            by,
            about,
            text,
        }
    }

    /// What is wrong with its text or its writer's name, if anything.
    fn fault(&self) -> Option<String> {
        let length = self.text.chars().count();
        let by = self.by.as_deref();
        let is_marred = |text: &str| !text.chars().all(is_plain);
        if self.text.trim().is_empty() {
            Some("a note needs a text; say in a sentence what you saw".to_string())
        } else if length > LONGEST {
            Some(format!(
                "the note has {length} characters; at most {LONGEST} fit, so write two notes"
            ))
        } else if is_marred(&self.text) {
            Some("the note holds a control character or an invisible one; a note is one line of plain text".to_string())
        } else if by.is_some_and(|by| by.trim().is_empty() || is_marred(by)) {
            Some("the name of a note's writer must be one line of plain text".to_string())
        } else if by.is_some_and(|by| by.chars().count() > LONGEST_NAME) {
            Some(format!(
                "the name of a note's writer must have at most {LONGEST_NAME} characters"
            ))
        } else {
            None
        }
    }
}

/// The file for the notes on a recording, beside the recording's own: `x.json` has `x.notes.jsonl`.
pub fn beside(recording: &Path) -> PathBuf {
    recording.with_extension("notes.jsonl")
}

/// The notes in a file, oldest first; none if the file does not exist.
///
/// # Errors
/// If the file exists but cannot be read.
pub fn read(file: &Path) -> Result<Notes, LogbookError> {
    let bytes = lines::read(file, LARGEST).map_err(LogbookError::io("read", file))?;
    let (notes, unreadable) = lines::parse(&bytes, |note: &Note| note.schema);
    Ok(Notes { notes, unreadable })
}

/// Adds a note on a recording to a file of them.
///
/// # Errors
/// If there is no such task or mark, the note's text or its writer's name is not fit to keep, or the file cannot be written.
pub fn add(file: &Path, recording: &Recording, note: &Note) -> Result<(), LogbookError> {
    let id = &recording.id;
    let refuse = |why: String| Err(LogbookError::BadNote { why });
    if let Some(why) = note.fault() {
        return refuse(why);
    }
    let (what, number, count) = match note.about {
        About::Run => ("run", 1, 1),
        About::Mark(mark) => ("mark", mark, recording.marks.len()),
        About::Task(task) => match recording.drill() {
            Ok(drill) => ("task", task, drill.tasks.len()),
            Err(why) => return refuse(format!("the drill of run {id} cannot be read: {why}")),
        },
    };
    if !(1..=count).contains(&number) {
        return refuse(match count {
            0 => format!("run {id} has no {what}s; note it on the run or on a task"),
            1 => format!("run {id} has no {what} {number}; its only {what} is 1"),
            _ => format!("run {id} has no {what} {number}; its {what}s are 1 to {count}"),
        });
    }
    let line = json(file, note)?;
    let added = Lines::open(file).and_then(|mut lines| lines.add(&line));
    added.map_err(LogbookError::io("add to", file))
}

impl Logbook {
    /// The file for the notes on a run.
    ///
    /// # Errors
    /// If `id` is not an id.
    pub fn notes_file(&self, id: &str) -> Result<PathBuf, LogbookError> {
        id::check(id)?;
        Ok(beside(&self.run_file(id)))
    }

    /// The notes on a run, by [`read`].
    ///
    /// # Errors
    /// If `id` is not an id, or the file exists but cannot be read.
    pub fn notes(&self, id: &str) -> Result<Notes, LogbookError> {
        read(&self.notes_file(id)?)
    }

    /// Adds a note on a run. The recording is read, never written.
    ///
    /// # Errors
    /// If there is no such run, or as for [`add`].
    pub fn add_note(&self, id: &str, note: &Note) -> Result<(), LogbookError> {
        add(&self.notes_file(id)?, &self.recording(id)?, note)
    }
}
