//! Files of lines that several programs add to.

use std::fs::File;
use std::io::{self, ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::Path;

use serde::de::DeserializeOwned;

use super::files;
use crate::run::recording::SCHEMA;

/// A file of lines that nobody else reads or adds to meanwhile.
pub struct Lines(File);

impl Lines {
    /// Opens a file, or makes it, and waits for its turn.
    pub fn open(path: &Path) -> io::Result<Lines> {
        files::check_regular(path)?;
        let mut options = File::options();
        let file = options.read(true).append(true).create(true).open(path)?;
        file.lock()?;
        Ok(Lines(file))
    }

    /// All of it, at most so many bytes.
    pub fn read(&mut self, most: u64) -> io::Result<Vec<u8>> {
        self.0.seek(SeekFrom::Start(0))?;
        files::read_opened(self.0.try_clone()?, most)
    }

    /// Adds one line, which then outlives a loss of power. A line that an earlier writer left unfinished is closed first; one of
    /// our own that cannot be finished is taken back.
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

/// A whole file of lines, read while nobody is adding to it; nothing where there is none.
pub fn read(path: &Path, most: u64) -> io::Result<Vec<u8>> {
    files::check_regular(path)?;
    let file = match File::open(path) {
        Err(cause) if cause.kind() == ErrorKind::NotFound => return Ok(Vec::new()),
        file => file?,
    };
    file.lock_shared()?;
    files::read_opened(file, most)
}

/// The lines that are what they should be, and how many others there are: damaged, half written, or of a later layout.
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
