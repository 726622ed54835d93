//! The only reader and the only writer of whole files. Only regular files are read, and only up to a sensible size: reading a
//! pipe could block forever, and a device has no end.

use std::fs::{self, File};
use std::io::{self, ErrorKind, Read, Write};
use std::path::Path;
use std::sync::atomic::{AtomicU32, Ordering};

/// Extension of a file that is being written. Its writer holds a lock on it for as long as the writer lives.
pub const PART: &str = "part";

/// Refuses anything that exists but is not a regular file. A missing file passes: opening it will report that.
///
/// # Errors
/// If it is something else, or cannot be examined.
pub fn check_regular(path: &Path) -> io::Result<()> {
    match fs::metadata(path) {
        Ok(meta) if meta.is_dir() => Err(ErrorKind::IsADirectory.into()),
        Ok(meta) if !meta.is_file() => Err(io::Error::new(
            ErrorKind::InvalidInput,
            "it is not a regular file",
        )),
        Ok(_) => Ok(()),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(()),
        Err(error) => Err(error),
    }
}

/// Reads a regular file of at most `most` bytes.
///
/// # Errors
/// If it is missing, cannot be read, is not regular or is larger.
pub fn read(path: &Path, most: u64) -> io::Result<Vec<u8>> {
    check_regular(path)?;
    read_opened(File::open(path)?, most)
}

/// The same for a file that is already open.
///
/// # Errors
/// If it cannot be read or is larger.
pub fn read_opened(file: File, most: u64) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    file.take(most + 1).read_to_end(&mut bytes)?;
    match bytes.len() as u64 > most {
        true => Err(io::Error::new(
            ErrorKind::FileTooLarge,
            format!("it is larger than {} MiB", most >> 20),
        )),
        false => Ok(bytes),
    }
}

/// Writes a temporary file beside `path` and renames it, so that no reader ever sees half of it; returns once it would survive
/// a loss of power.
///
/// # Errors
/// If it cannot be written; nothing is left of it then.
pub fn write_whole(path: &Path, bytes: &[u8]) -> io::Result<()> {
    static COUNT: AtomicU32 = AtomicU32::new(0);
    let count = COUNT.fetch_add(1, Ordering::Relaxed);
    let part = path.with_extension(format!("{}-{count}.{PART}", std::process::id()));
    let write = || {
        let mut out = File::create(&part)?;
        out.lock()?;
        out.write_all(bytes)?;
        out.sync_all()?;
        fs::rename(&part, path)
    };
    let written = write();
    match &written {
        Ok(()) => sync_folder(path),
        Err(_) => drop(fs::remove_file(&part)),
    }
    written
}

/// Makes the names in a file's folder durable. If a system cannot do that for folders, only the guarantee is lost.
pub fn sync_folder(path: &Path) {
    if let Some(folder) = path.parent() {
        let _ = File::open(folder).and_then(|folder| folder.sync_all());
    }
}

/// Removes an unfinished file whose writer is dead.
pub fn sweep(path: &Path) {
    if let Ok(part) = File::open(path)
        && part.try_lock().is_ok()
    {
        let _ = fs::remove_file(path);
    }
}
