//! The logbook's errors: what went wrong, where, and what to try.

use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

use crate::drill::printable::{escaped, printable};

/// Why the logbook could not do what was asked.
#[derive(Debug, thiserror::Error)]
pub enum LogbookError {
    /// A file or folder could not be created, written or read.
    #[error("cannot {doing} {file}: {cause}; {}", cure(.cause.kind()))]
    Io {
        /// What was tried.
        doing: &'static str,
        /// The file or folder.
        file: PathName,
        /// The system's error.
        cause: io::Error,
    },
    /// Not an id.
    #[error("`{}` is not the id of a run; ids look like 20261125-223015-a1b2, `leveloff log` lists them", printable(.id))]
    BadId {
        /// What was given.
        id: String,
    },
    /// No run has this id.
    #[error("there is no run {id} in {dir}; `leveloff log` lists the runs")]
    NoRun {
        /// The id asked for.
        id: String,
        /// The logbook's folder.
        dir: PathName,
    },
    /// The file is not a valid recording.
    #[error(
        "{file} is not a recording this program can read ({why}); put back a copy, or remove it"
    )]
    Damaged {
        file: PathName,
        /// What is wrong with it.
        why: String,
    },
    /// A note that cannot be kept.
    #[error("{}", .why)]
    BadNote {
        /// What is wrong and how to put it right.
        why: String,
    },
    /// A run without a time.
    #[error("`{}` is not a time; a run is saved with an RFC 3339 time such as 2026-11-25T22:30:15+01:00", printable(.at))]
    BadTime {
        /// What was given.
        at: String,
    },
}

/// A path made safe to print.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PathName(pub PathBuf);

impl std::fmt::Display for PathName {
    fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        f.write_str(&escaped(&self.0.display().to_string(), |_| false))
    }
}

impl LogbookError {
    /// Turns a system error into one of the logbook.
    pub(super) fn io(doing: &'static str, file: &Path) -> impl FnOnce(io::Error) -> LogbookError {
        let file = PathName(file.to_path_buf());
        move |cause| LogbookError::Io { doing, file, cause }
    }

    pub(super) fn no_run(id: &str, dir: &Path) -> LogbookError {
        LogbookError::NoRun {
            id: id.to_string(),
            dir: PathName(dir.to_path_buf()),
        }
    }

    pub(super) fn damaged(file: &Path, why: &str) -> LogbookError {
        LogbookError::Damaged {
            file: PathName(file.to_path_buf()),
            why: printable(why),
        }
    }
}

fn cure(kind: ErrorKind) -> &'static str {
    match kind {
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded => {
            "free some space, or choose another folder with --data"
        }
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
            "make the folder writable, or choose another one with --data or LEVELOFF_DATA"
        }
        ErrorKind::NotADirectory | ErrorKind::AlreadyExists | ErrorKind::IsADirectory => {
            "something else is in its place: move it, or choose another folder with --data"
        }
        ErrorKind::FileTooLarge => "it is too long to be one of this program's; move it away",
        _ => "try again, or choose another folder with --data or LEVELOFF_DATA",
    }
}
