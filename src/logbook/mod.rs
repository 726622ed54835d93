//! The logbook: one line a run in `logbook.jsonl`, one whole recording a run in `runs/`, its notes beside it; in `par/` what
//! `best` and `steady` made of drills.
//!
//! Values in, bytes out, the folder given. Several programs may write at the same time: a line is added under a lock, in
//! one piece, and a recording appears under its name only when it is whole.

pub mod cache;
pub mod entry;
mod error;
mod id;
pub mod notes;

use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use crate::drill::Drill;
use crate::run::Recording;
use crate::run::recording::{HandName, SCHEMA};
use crate::score::Score;

pub use entry::Entry;
pub use error::LogbookError;
pub use notes::{About, Note, Notes};

/// A folder that holds runs. Making one touches nothing.
#[derive(Clone, Debug)]
pub struct Logbook {
    dir: PathBuf,
}

/// What the logbook's lines say.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Entries {
    /// The runs, oldest first.
    pub entries: Vec<Entry>,
    /// Lines that are not a run as this program knows it: damaged, half written, or of a later layout.
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

    /// Keeps a run: gives the recording an id and its points, writes it, then adds its line. All or nothing.
    ///
    /// The recording's `at` must be filled in; its `id` and `points` are not looked at.
    ///
    /// # Errors
    /// Where the folder cannot be written, or `at` is not RFC 3339.
    pub fn save(
        &self,
        recording: &Recording,
        drill: &Drill,
        score: &Score,
    ) -> Result<Entry, LogbookError> {
        let id = self.claim_id(recording)?;
        let recording = Recording {
            id,
            points: score.points,
            ..recording.clone()
        };
        let entry = Entry::of(&recording, drill, score);
        let file = self.run_file(&recording.id);
        let saved = json(&file, &recording)
            .and_then(|bytes| {
                write_whole(&file, &bytes).map_err(|cause| LogbookError::io("write", &file, cause))
            })
            .and_then(|()| self.append(&entry));
        match saved {
            Ok(()) => Ok(entry),
            Err(error) => {
                let _ = fs::remove_file(&file);
                Err(error)
            }
        }
    }

    /// An id that nobody else has: its file is made, empty, to claim it.
    fn claim_id(&self, recording: &Recording) -> Result<String, LogbookError> {
        let runs = self.dir.join("runs");
        fs::create_dir_all(&runs).map_err(|cause| LogbookError::io("make", &runs, cause))?;
        for id in id::candidates(&recording.at, &recording.digest)? {
            let file = self.run_file(&id);
            match File::create_new(&file) {
                Ok(_) => return Ok(id),
                Err(cause) if cause.kind() == ErrorKind::AlreadyExists => {}
                Err(cause) => return Err(LogbookError::io("make", &file, cause)),
            }
        }
        let cause = io::Error::new(ErrorKind::AlreadyExists, "every id of this second is taken");
        Err(LogbookError::io("make", &runs, cause))
    }

    fn append(&self, entry: &Entry) -> Result<(), LogbookError> {
        let file = self.summary();
        let line = json(&file, entry)?;
        append_line(&file, &line).map_err(|cause| LogbookError::io("add to", &file, cause))
    }

    /// Every run, oldest first; an empty list where nothing was ever saved.
    ///
    /// # Errors
    /// Where the file is there but cannot be read.
    pub fn entries(&self) -> Result<Entries, LogbookError> {
        let file = self.summary();
        let bytes = match read_shared(&file) {
            Ok(bytes) => bytes,
            Err(cause) if cause.kind() == ErrorKind::NotFound => return Ok(Entries::default()),
            Err(cause) => return Err(LogbookError::io("read", &file, cause)),
        };
        let mut found = Entries::default();
        for line in bytes.split(|byte| *byte == b'\n') {
            if line.trim_ascii().is_empty() {
                continue;
            }
            match serde_json::from_slice::<Entry>(line) {
                Ok(entry) if entry.schema == SCHEMA => found.entries.push(entry),
                _ => found.unreadable += 1,
            }
        }
        Ok(found)
    }

    /// A whole recording by its id.
    ///
    /// # Errors
    /// Where the id is none, no run has it, or its file cannot be read.
    pub fn recording(&self, id: &str) -> Result<Recording, LogbookError> {
        id::check(id)?;
        let file = self.run_file(id);
        let bytes = fs::read(&file).map_err(|cause| match cause.kind() {
            ErrorKind::NotFound => LogbookError::no_run(id, &self.dir),
            _ => LogbookError::io("read", &file, cause),
        })?;
        let recording: Recording = serde_json::from_slice(&bytes)
            .map_err(|why| LogbookError::damaged(&file, &why.to_string()))?;
        if recording.schema != SCHEMA {
            let why = format!("layout {}, known is {SCHEMA}", recording.schema);
            return Err(LogbookError::damaged(&file, &why));
        }
        Ok(recording)
    }

    /// The id of the run saved last; None where there is none.
    ///
    /// # Errors
    /// As [`Logbook::entries`].
    pub fn latest_id(&self) -> Result<Option<String>, LogbookError> {
        Ok(self.entries()?.entries.pop().map(|entry| entry.id))
    }

    /// The most points a person has had on a drill; None where there are none.
    ///
    /// # Errors
    /// As [`Logbook::entries`].
    pub fn best_points(&self, drill: &str) -> Result<Option<f64>, LogbookError> {
        Ok(self.entries()?.best_points(drill))
    }
}

impl Entries {
    /// The most points a person has had on a drill; None where there are none.
    pub fn best_points(&self, drill: &str) -> Option<f64> {
        let own = |entry: &&Entry| entry.drill == drill && entry.hand == HandName::Person;
        let points = self
            .entries
            .iter()
            .filter(own)
            .filter_map(|entry| entry.points);
        points.max_by(f64::total_cmp)
    }
}

fn json(file: &Path, value: &impl serde::Serialize) -> Result<Vec<u8>, LogbookError> {
    serde_json::to_vec(value).map_err(|error| LogbookError::io("write", file, error.into()))
}

/// Writes beside the file and renames, so that nobody ever reads half of it.
fn write_whole(file: &Path, bytes: &[u8]) -> io::Result<()> {
    let part = file.with_extension("json.part");
    let written = File::create(&part)
        .and_then(|mut out| out.write_all(bytes).and_then(|()| out.sync_data()))
        .and_then(|()| fs::rename(&part, file));
    if written.is_err() {
        let _ = fs::remove_file(&part);
    }
    written
}

/// Adds one line under a lock. A line that an earlier writer left unfinished is closed first; one of our own that cannot
/// be finished is taken back.
fn append_line(file: &Path, line: &[u8]) -> io::Result<()> {
    let options = OpenOptions::new()
        .read(true)
        .append(true)
        .create(true)
        .clone();
    let mut out = options.open(file)?;
    out.lock()?;
    let length = out.seek(SeekFrom::End(0))?;
    let mut bytes = Vec::with_capacity(line.len() + 2);
    if length > 0 {
        let mut last = [0];
        out.seek(SeekFrom::End(-1))?;
        out.read_exact(&mut last)?;
        if last != *b"\n" {
            bytes.push(b'\n');
        }
    }
    bytes.extend_from_slice(line);
    bytes.push(b'\n');
    let written = out.write_all(&bytes);
    if written.is_err() {
        let _ = out.set_len(length);
    }
    written
}

/// The whole file, read while nobody is adding to it.
fn read_shared(file: &Path) -> io::Result<Vec<u8>> {
    let mut input = File::open(file)?;
    input.lock_shared()?;
    let mut bytes = Vec::new();
    input.read_to_end(&mut bytes)?;
    Ok(bytes)
}
