//! Cleans up after writers that died: a recording without a line gets one, an unfinished file is removed.

use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;

use super::files::{self, PART};
use super::{Entries, Entry, LARGEST_SUMMARY, Logbook, LogbookError};

/// Something in the folder of recordings that no line mentions.
enum Stray {
    /// A recording, by its id.
    Recording(String),
    /// A file that was being written.
    Part(PathBuf),
}

/// Whether there is anything to mend.
pub fn is_needed(logbook: &Logbook, found: &Entries) -> bool {
    !strays(logbook, found).is_empty()
}

/// Mends the logbook while no other program saves a run. Whatever cannot be read as a recording is left for a person to look
/// at.
pub fn mend(logbook: &Logbook) -> Result<(), LogbookError> {
    let file = logbook.summary();
    let mut lines = logbook.lines()?;
    let bytes = lines.read(LARGEST_SUMMARY);
    let bytes = bytes.map_err(LogbookError::io("read", &file))?;
    for stray in strays(logbook, &Entries::parse(&bytes)) {
        match stray {
            Stray::Part(path) => files::sweep(&path),
            Stray::Recording(id) => {
                let path = logbook.run_file(&id);
                if fs::metadata(&path).is_ok_and(|meta| meta.is_file() && meta.len() == 0) {
                    let _ = fs::remove_file(&path);
                } else if let Ok(recording) = logbook.recording(&id)
                    && let Ok(drill) = recording.drill()
                {
                    logbook.add(&mut lines, &Entry::of(&recording, &drill))?;
                }
            }
        }
    }
    Ok(())
}

/// The strays in the order of their names, which is that of time.
fn strays(logbook: &Logbook, found: &Entries) -> Vec<Stray> {
    let known: BTreeSet<&str> = found
        .entries
        .iter()
        .map(|entry| entry.id.as_str())
        .collect();
    let files = fs::read_dir(logbook.dir().join("runs"));
    let mut paths: Vec<PathBuf> = files
        .into_iter()
        .flatten()
        .flatten()
        .map(|file| file.path())
        .collect();
    paths.sort();
    let stray = |path: PathBuf| {
        let stem = path.file_stem()?.to_str()?;
        match path.extension()?.to_str()? {
            PART => Some(Stray::Part(path)),
            "json" if !known.contains(stem) => Some(Stray::Recording(stem.to_string())),
            _ => None,
        }
    };
    paths.into_iter().filter_map(stray).collect()
}
