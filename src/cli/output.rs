//! Standard output for results, standard error for talk.

use std::io::{self, BufWriter, Write};
use std::path::Path;

use serde::Serialize;

/// Gives standard output to `write`, in one piece, and makes sure that it arrived.
pub fn results(write: impl FnOnce(&mut dyn Write) -> io::Result<()>) -> anyhow::Result<()> {
    let mut out = BufWriter::new(io::stdout().lock());
    write(&mut out)?;
    Ok(out.flush()?)
}

/// Writes a result as indented JSON.
pub fn json(value: &impl Serialize) -> anyhow::Result<()> {
    let text = serde_json::to_string_pretty(value)?;
    results(|out| writeln!(out, "{text}"))
}

/// Says something on standard error; if nobody can hear it, so be it.
pub fn talk(message: &str) {
    let _ = writeln!(io::stderr(), "{}", clean(message));
}

/// A stranger's text made safe to print: control characters escaped, line ends kept.
pub fn clean(text: &str) -> String {
    let mut shown = String::with_capacity(text.len());
    for c in text.chars() {
        if c.is_control() && c != '\n' {
            shown.extend(c.escape_default());
        } else {
            shown.push(c);
        }
    }
    shown
}

/// A path as messages name it.
pub fn name(path: &Path) -> String {
    clean(&path.display().to_string()).replace('\n', "\\n")
}
