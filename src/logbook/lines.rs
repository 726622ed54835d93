//! Line-based files to which several programs append.

use std::fs::File;
use std::io::{self, ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::Path;

use serde::de::DeserializeOwned;

use super::files;
use crate::run::recording::SCHEMA;

/// A line-based file that no other program reads or appends to meanwhile.
pub struct Lines(File);

impl Lines {
    /// Opens a file, or creates it, and waits for the lock.
    pub fn open(path: &Path) -> io::Result<Lines> {
        files::check_regular(path)?;
        let mut options = File::options();
        let file = options.read(true).append(true).create(true).open(path)?;
        file.lock()?;
        Ok(Lines(file))
    }

    /// Reads all of it; at most `most` bytes.
    pub fn read(&mut self, most: u64) -> io::Result<Vec<u8>> {
        self.0.seek(SeekFrom::Start(0))?;
        files::read_opened(self.0.try_clone()?, most)
    }

    /// Appends one line, which then survives a loss of power. A line that an earlier writer left unfinished is closed first;
    /// one of our own that cannot be finished is removed again.
    pub fn add(&mut self, line: &[u8]) -> io::Result<()> {
        let length = self.0.seek(SeekFrom::End(0))?;
        let mut bytes = Vec::with_capacity(line.len() + 2);
        if length > 0 {
            let mut last = [0];
            self.0.seek(SeekFrom::End(-1))?;
            self.0.read_exact(&mut last)?;
            if last != *b"\n" {
                bytes.push(b'\n');
            }
        }
        bytes.extend_from_slice(line);
        bytes.push(b'\n');
        let written = self.0.write_all(&bytes).and_then(|()| self.0.sync_all());
        if written.is_err() {
            let _ = self.0.set_len(length);
        }
        written
    }
}

/// Reads a whole file of lines while no writer holds it; empty if the file does not exist.
pub fn read(path: &Path, most: u64) -> io::Result<Vec<u8>> {
    files::check_regular(path)?;
    let file = match File::open(path) {
        Err(cause) if cause.kind() == ErrorKind::NotFound => return Ok(Vec::new()),
        file => file?,
    };
    file.lock_shared()?;
    files::read_opened(file, most)
}

/// The valid lines, and the number of others: damaged, half written, or of a later layout.
pub fn parse<T: DeserializeOwned>(bytes: &[u8], schema: impl Fn(&T) -> u32) -> (Vec<T>, usize) {
    let (mut read, mut unreadable) = (Vec::new(), 0);
    let lines = bytes.split(|byte| *byte == b'\n');
    for line in lines.filter(|line| !line.trim_ascii().is_empty()) {
        match serde_json::from_slice(line) {
            Ok(line) if schema(&line) == SCHEMA => read.push(line),
            _ => unreadable += 1,
        }
    }
    (read, unreadable)
}
