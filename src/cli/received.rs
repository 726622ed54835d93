//! Recordings as arguments: one of the logbook by its id, or one in a file, which may be a stranger's.

use std::path::{Path, PathBuf};

use super::place::Place;
use super::{Wrong, note, output};
use crate::logbook::{self, LogbookError, notes};
use crate::run::{Recording, Run};

/// A recording, and whether it is one of the logbook.
pub struct Received {
    /// The recording.
    pub recording: Recording,
    /// The file of its notes.
    pub notes: PathBuf,
    /// Whether it was asked for by its id.
    pub is_own: bool,
}

/// Reads a recording by its id in the logbook, or from a file: a name that is spelt like a path, or a file that is there.
pub fn recording(name: &str, place: &Place) -> anyhow::Result<Received> {
    let path = Path::new(name);
    let is_file = name.ends_with(".json") || name.contains('/') || path.is_file();
    let (recording, notes) = match is_file {
        true => {
            let read =
                logbook::read_recording(path).map_err(|error| Wrong(unreadable(path, &error)));
            (read?, notes::beside(path))
        }
        false => {
            let logbook = place.logbook()?;
            let own = logbook.recording(name).map_err(note::asked_wrongly)?;
            (own, logbook.notes_file(name)?)
        }
    };
    Ok(Received {
        recording,
        notes,
        is_own: !is_file,
    })
}

/// Flies it again; `name` is how it was asked for.
pub fn replay(recording: &Recording, name: &str) -> anyhow::Result<Run> {
    let name = output::clean(name);
    recording
        .replay()
        .map_err(|error| anyhow::anyhow!("run {name} cannot be replayed: {error}"))
}

/// The message that a file cannot be read, why, and what to give instead.
pub fn unreadable(file: &Path, error: &LogbookError) -> String {
    let (name, why) = (output::name(file), fault(error));
    format!("{name} cannot be read as a recording: {why}; give the file of a run")
}

/// What is wrong with a file of a recording, without its name.
pub fn fault(error: &LogbookError) -> String {
    match error {
        LogbookError::Damaged { why, .. } => why.clone(),
        LogbookError::Io { cause, .. } => cause.to_string(),
        error => error.to_string(),
    }
}
