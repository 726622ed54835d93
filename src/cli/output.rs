//! Standard output for results, standard error for messages.

use std::fmt::Display;
use std::fs::{self, OpenOptions};
use std::io::{self, BufWriter, ErrorKind, Write};
use std::path::Path;

use anyhow::Context;
use serde::Serialize;

use crate::drill::printable::{escaped, is_plain};
use crate::logbook::files;
use crate::run::recording::SCHEMA;

/// Lets `write` write to standard output, locked meanwhile, and makes sure that all of it arrived.
pub fn results(write: impl FnOnce(&mut dyn Write) -> io::Result<()>) -> anyhow::Result<()> {
    let mut out = BufWriter::new(io::stdout().lock());
    write(&mut out)?;
    Ok(out.flush()?)
}

/// Writes results, a line each.
pub fn lines(lines: impl IntoIterator<Item = impl Display>) -> anyhow::Result<()> {
    let mut lines = lines.into_iter();
    results(|out| lines.try_for_each(|line| writeln!(out, "{line}")))
}

/// Writes a result as indented JSON. Characters that are not plain can only occur in strings, where JSON has an escape for them.
pub fn json(value: &impl Serialize) -> anyhow::Result<()> {
    let text = serde_json::to_string_pretty(value)?;
    results(|out| {
        for c in text.chars() {
            match is_plain(c) || c == '\n' {
                true => write!(out, "{c}")?,
                false => {
                    let mut units = [0; 2];
                    let mut units = c.encode_utf16(&mut units).iter();
                    units.try_for_each(|unit| write!(out, "\\u{unit:04x}"))?;
                }
            }
        }
        writeln!(out)
    })
}

/// The same, with the version of the layout first.
pub fn versioned(value: &impl Serialize) -> anyhow::Result<()> {
    #[derive(Serialize)]
    struct Versioned<'a, T> {
        schema: u32,
        #[serde(flatten)]
        value: &'a T,
    }
    let schema = SCHEMA;
    json(&Versioned { schema, value })
}

/// Writes a text as a result. Whatever strangers have put into it, only plain characters and line ends are written.
pub fn text(text: &str) -> anyhow::Result<()> {
    results(|out| out.write_all(clean(text).as_bytes()))
}

/// Writes a result to a file, whole or not at all. An existing path that is no regular file, such as a link or a device, is
/// written to as it is.
pub fn file(path: &Path, text: &str) -> anyhow::Result<()> {
    let is_whole = fs::symlink_metadata(path).map_or(true, |meta| meta.is_file());
    let written = match is_whole {
        true => files::write_whole(path, text.as_bytes()),
        false => fs::write(path, text),
    };
    written.with_context(|| format!("cannot write {}", name(path)))
}

/// Writes a result to a new file. Returns false, and writes nothing, where the file exists already.
pub fn new_file(path: &Path, text: &str) -> anyhow::Result<bool> {
    let doing = || format!("cannot write {}", name(path));
    let made = OpenOptions::new().write(true).create_new(true).open(path);
    let mut out = match made {
        Err(cause) if cause.kind() == ErrorKind::AlreadyExists => return Ok(false),
        made => made.with_context(doing)?,
    };
    let written = out.write_all(text.as_bytes());
    // Half a file would be in the way of the next try.
    written
        .inspect_err(|_| drop(fs::remove_file(path)))
        .with_context(doing)?;
    Ok(true)
}

/// Prints a message on standard error; a failure to do so is ignored.
pub fn talk(message: &str) {
    let _ = writeln!(io::stderr(), "{}", clean(message));
}

/// A stranger's text made safe to print, line ends kept.
pub fn clean(text: &str) -> String {
    escaped(text, |c| c == '\n')
}

/// A path as messages name it.
pub fn name(path: &Path) -> String {
    escaped(&path.display().to_string(), |_| false)
}

/// A word of a command line, quoted where a shell would take it for something else.
pub fn argument(word: &str) -> String {
    let is_safe = |c: char| c.is_alphanumeric() || "-_./".contains(c);
    match word.chars().all(is_safe) {
        true => word.to_string(),
        false => format!("'{}'", clean(word).replace('\'', "'\\''")),
    }
}
