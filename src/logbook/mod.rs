//! The logbook: one line per run in `logbook.jsonl`, one whole recording per run in `runs/`, its notes beside it; in `par/` the
//! results of `best` and `steady` for drills.
//!
//! Values in, bytes out, in a given folder. Several programs may write at the same time: a run is saved under a lock on the
//! lines, its line is appended in one piece, and a recording appears under its name only when it is complete.

pub mod cache;
pub mod claims;
pub mod entry;
mod error;
pub mod files;
mod id;
mod lines;
mod mend;
pub mod notes;
mod seal;

use std::fs;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

use std::collections::BTreeMap;

use jiff::Timestamp;
use serde_json::error::Category;

use crate::drill::{Drill, Skill, library};
use crate::progress::Flown;
use crate::run::Recording;
use crate::run::recording::{HandName, SCHEMA};
use crate::score::Score;
use crate::why::Bill;

pub use entry::Entry;
pub use error::{LogbookError, PathName};
use lines::Lines;
pub use notes::{About, Note, Notes};

/// Largest `logbook.jsonl` that is read, bytes: about half a million runs.
const LARGEST_SUMMARY: u64 = 256 << 20;
/// Largest recording that is read, bytes: the longest drill with a move at every tick takes about 4 MiB.
const LARGEST_RECORDING: u64 = 64 << 20;

/// A folder that holds runs. Creating this value touches no file.
#[derive(Clone, Debug)]
pub struct Logbook {
    dir: PathBuf,
}

/// The contents of the logbook's lines.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Entries {
    /// The runs, oldest first.
    pub entries: Vec<Entry>,
    /// Number of lines that this program cannot read as a run: damaged, half written, or of a later layout.
    pub unreadable: usize,
}

impl Logbook {
    /// The logbook in a folder, which need not exist before the first run is saved.
    pub fn at(dir: PathBuf) -> Logbook {
        Logbook { dir }
    }

    /// Its folder.
    pub fn dir(&self) -> &Path {
        &self.dir
    }

    fn summary(&self) -> PathBuf {
        self.dir.join("logbook.jsonl")
    }

    fn run_file(&self, id: &str) -> PathBuf {
        self.dir.join("runs").join(format!("{id}.json"))
    }

    /// Saves a run: gives the recording an id and its points, writes it, then appends its line. All or nothing, and once this
    /// returns the run survives a loss of power.
    ///
    /// The recording's `at` must be filled in; its `id` and `points` are ignored.
    ///
    /// # Errors
    /// If the folder cannot be written, or `at` is not RFC 3339.
    pub fn save(
        &self,
        recording: &Recording,
        drill: &Drill,
        score: &Score,
        bills: &[Bill],
    ) -> Result<Entry, LogbookError> {
        let candidates = id::candidates(&recording.at, &recording.digest)?;
        let runs = self.dir.join("runs");
        fs::create_dir_all(&runs).map_err(LogbookError::io("make", &runs))?;
        // From here on no other program takes an id, adds a line or mends.
        let mut lines = self.lines()?;
        let mut free = candidates.filter(|id| !self.run_file(id).exists());
        let id = free.next().ok_or_else(|| {
            let why = "every id of this second is taken";
            LogbookError::io("make", &runs)(io::Error::new(ErrorKind::AlreadyExists, why))
        })?;
        let recording = Recording {
            id,
            points: score.points,
            ..recording.clone()
        };
        let entry = Entry::weighed(&recording, drill, score, bills);
        let file = self.run_file(&recording.id);
        let bytes = seal::sealed(json(&file, &recording)?);
        files::write_whole(&file, &bytes).map_err(LogbookError::io("write", &file))?;
        self.add(&mut lines, &entry).inspect_err(|_| {
            let _ = fs::remove_file(&file);
        })?;
        files::sync_folder(&self.summary());
        files::sync_folder(&self.dir);
        Ok(entry)
    }

    fn lines(&self) -> Result<Lines, LogbookError> {
        let file = self.summary();
        Lines::open(&file).map_err(LogbookError::io("open", &file))
    }

    fn add(&self, lines: &mut Lines, entry: &Entry) -> Result<(), LogbookError> {
        let file = self.summary();
        let line = json(&file, entry)?;
        let added = lines.add(&line);
        added.map_err(LogbookError::io("add to", &file))
    }

    /// Every run, oldest first; an empty list where none was ever saved. What a dead writer has left is mended first, if the
    /// folder can be written: a whole recording without a line gets one, an unfinished file is removed.
    ///
    /// # Errors
    /// If the file exists but cannot be read.
    pub fn entries(&self) -> Result<Entries, LogbookError> {
        let found = self.read_entries()?;
        match mend::is_needed(self, &found) {
            true => {
                // If mending fails, the rest stays as it was.
                let _ = mend::mend(self);
                self.read_entries()
            }
            false => Ok(found),
        }
    }

    fn read_entries(&self) -> Result<Entries, LogbookError> {
        let file = self.summary();
        let bytes = lines::read(&file, LARGEST_SUMMARY);
        let bytes = bytes.map_err(LogbookError::io("read", &file))?;
        Ok(Entries::parse(&bytes))
    }

    /// A whole recording by its id.
    ///
    /// # Errors
    /// If `id` is not an id, no run has it, or its file cannot be read.
    pub fn recording(&self, id: &str) -> Result<Recording, LogbookError> {
        id::check(id)?;
        let file = self.run_file(id);
        match read_recording(&file) {
            Ok(recording) if recording.id != id => Err(LogbookError::damaged(
                &file,
                &format!("it says that it is run `{}`", recording.id),
            )),
            Err(LogbookError::Io { cause, .. }) if cause.kind() == ErrorKind::NotFound => {
                Err(LogbookError::no_run(id, &self.dir))
            }
            read => read,
        }
    }

    /// The id of the run saved last; None where there is none.
    ///
    /// # Errors
    /// As [`Logbook::entries`].
    pub fn latest_id(&self) -> Result<Option<String>, LogbookError> {
        Ok(self.entries()?.entries.pop().map(|entry| entry.id))
    }
}

/// Reads a recording from any file, which may come from a stranger: its size is bounded, its layout known, its seal unbroken,
/// its id valid.
///
/// # Errors
/// If it cannot be read, or is not such a recording.
pub fn read_recording(file: &Path) -> Result<Recording, LogbookError> {
    let bytes = files::read(file, LARGEST_RECORDING).map_err(LogbookError::io("read", file))?;
    let damaged = |why: &str| LogbookError::damaged(file, why);
    let recording: Recording =
        serde_json::from_slice(&bytes).map_err(|why| damaged(&not_one(&why)))?;
    if recording.schema != SCHEMA {
        let why = format!("layout {}, this program knows {SCHEMA}", recording.schema);
        return Err(damaged(&why));
    }
    id::check(&recording.id).map_err(|error| damaged(&error.to_string()))?;
    match &recording.seal {
        Some(seal) if !seal::fits(&bytes, seal) => {
            Err(damaged("its seal does not match: it has been changed"))
        }
        _ => Ok(recording),
    }
}

/// What is wrong with a text that should be a recording.
fn not_one(error: &serde_json::Error) -> String {
    let at = format!("line {}, column {}", error.line(), error.column());
    match error.classify() {
        Category::Eof if error.column() == 0 => "it is empty".to_string(),
        Category::Eof => format!("it breaks off at {at}: part of it is missing"),
        Category::Data => format!("something that a recording needs is missing or wrong at {at}"),
        Category::Syntax | Category::Io => format!("it is not JSON at {at}"),
    }
}

impl Entries {
    fn parse(bytes: &[u8]) -> Entries {
        let (mut entries, unreadable) = lines::parse(bytes, |entry: &Entry| entry.schema);
        // A recording that was copied here has the last line, whenever it was flown.
        entries.sort_by_cached_key(|entry| entry.at.parse::<Timestamp>().ok());
        Entries {
            entries,
            unreadable,
        }
    }

    /// Adds the skill that each run practises, where a line is older than that field and the drill ships.
    pub fn with_skills(mut self) -> Entries {
        let mut known = BTreeMap::<String, Option<Skill>>::new();
        for entry in self
            .entries
            .iter_mut()
            .filter(|entry| entry.skill.is_none())
        {
            let shipped = || Some(Skill::of(&library::drill(&entry.drill)?.drill().ok()?));
            entry.skill = *known.entry(entry.drill.clone()).or_insert_with(shipped);
        }
        self
    }

    /// The runs flown by a person.
    pub fn practice(self) -> Vec<Flown> {
        let entries = self.with_skills().entries.into_iter();
        let own = entries.filter(|entry| entry.hand == HandName::Person);
        own.map(Entry::flown).collect()
    }
}

fn json(file: &Path, value: &impl serde::Serialize) -> Result<Vec<u8>, LogbookError> {
    serde_json::to_vec(value).map_err(|error| LogbookError::io("write", file)(error.into()))
}
