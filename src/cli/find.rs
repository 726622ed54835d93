//! From what was typed to a drill or an aeroplane: a shipped one by its name, or a file.

use std::io::ErrorKind;
use std::path::Path;

use super::{Wrong, output, wrong};
use crate::drill::lesson::{self, Lesson};
use crate::drill::parse::{self, AircraftText};
use crate::drill::reader::{FileError, Source, printable};
use crate::drill::{Drill, aircraft_file, library, spelling};
use crate::logbook::files;
use crate::sim::aircraft::Aircraft;

/// Largest file that is read, bytes.
const LARGEST: u64 = 16 << 20;

/// A drill by its id or its file.
pub fn drill(name: &Path) -> anyhow::Result<Drill> {
    let ids = || library::DRILLS.iter().map(|shipped| shipped.id);
    match name.to_str().and_then(library::drill) {
        Some(shipped) => Ok(shipped.drill()?),
        None if is_file(name) => drill_file(name, &read(name)?),
        None => Err(unknown("drill", name, &ids().collect::<Vec<_>>()).into()),
    }
}

/// An aeroplane by its name, its stem or its file.
pub fn aircraft(name: &Path) -> anyhow::Result<Aircraft> {
    match name.to_str().and_then(library::aircraft) {
        Some(shipped) => Ok(shipped.aircraft()?),
        None if is_file(name) => aircraft_file(name, &read(name)?),
        None => {
            let names = library::aircraft_names();
            let names: Vec<&str> = names.iter().map(String::as_str).collect();
            Err(unknown("aeroplane", name, &names).into())
        }
    }
}

/// An aeroplane from its file's text.
pub fn aircraft_file(path: &Path, text: &str) -> anyhow::Result<Aircraft> {
    let file = &output::name(path);
    Ok(aircraft_file::parse(Source { file, text })?)
}

/// A drill from its file's text. Its aeroplane is a shipped one, or a file relative to it.
pub fn drill_file(path: &Path, text: &str) -> anyhow::Result<Drill> {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let folder = path.parent().unwrap_or(Path::new(""));
    let file = &output::name(path);
    Ok(parse::parse(&stem, Source { file, text }, &|name| {
        if library::aircraft(name).is_some() {
            return library::find_shipped_aircraft(name);
        }
        // A drill may come from anyone: only a plain file is opened for it, never a device or a pipe.
        let path = folder.join(name);
        if path.is_file() {
            return Ok(AircraftText {
                file: output::name(&path),
                text: read(&path).map_err(|error| error.to_string())?,
            });
        }
        library::find_shipped_aircraft(name).map_err(|message| match name.ends_with(".toml") {
            true => format!("there is no file {}; {message}", output::name(&path)),
            false => message,
        })
    })?)
}

/// A lesson from its file.
pub fn lesson(path: &Path) -> anyhow::Result<Lesson> {
    lesson_file(path, &read(path)?)
}

/// A lesson from its file's text. Its drills are shipped ones, or files relative to it.
pub fn lesson_file(path: &Path, text: &str) -> anyhow::Result<Lesson> {
    let folder = path.parent().unwrap_or(Path::new(""));
    let file = &output::name(path);
    Ok(lesson::parse(Source { file, text }, &|name| {
        let path = folder.join(name);
        // As with aeroplanes: a device or a pipe is never opened.
        if !path.is_file() {
            let message = lesson::no_file(name).err().unwrap_or_default();
            return Err(format!(
                "there is no file {}, and {message}",
                output::name(&path)
            ));
        }
        let drill = read(&path).and_then(|text| drill_file(&path, &text));
        let drill = drill.map_err(|error| error.to_string())?;
        Ok((path.to_string_lossy().into_owned(), drill))
    })?)
}

/// A file's text.
pub fn read(path: &Path) -> anyhow::Result<String> {
    let name = output::name(path);
    if path.is_dir() {
        return wrong(format!("{name} is a folder; name a file in it"));
    }
    let bytes = files::read(path, LARGEST).map_err(|cause| match cause.kind() {
        ErrorKind::NotFound => Wrong(format!("there is no file {name}; check the path")),
        ErrorKind::FileTooLarge => {
            Wrong(format!("cannot read {name}: {cause}; give a smaller file"))
        }
        _ => Wrong(format!(
            "cannot read {name}: {cause}; check the path and its permissions"
        )),
    })?;
    String::from_utf8(bytes).map_err(|error| not_text(&name, error).into())
}

fn not_text(file: &str, error: std::string::FromUtf8Error) -> FileError {
    let valid = error.utf8_error().valid_up_to();
    let text = &String::from_utf8_lossy(&error.as_bytes()[..valid]);
    let what = "not UTF-8 text from here on; save the file as UTF-8";
    Source { file, text }.error(valid, what)
}

/// Whether what was typed means a file: it is there, or is spelt like one.
fn is_file(name: &Path) -> bool {
    name.extension().is_some_and(|ending| ending == "toml") || name.exists()
}

fn unknown(what: &str, name: &Path, known: &[&str]) -> Wrong {
    let typed = printable(&name.to_string_lossy());
    let hint = spelling::hint(&typed, known);
    Wrong(format!(
        "there is no {what} `{typed}`{hint}; give a file ending in .toml, or one of: {}",
        known.join(", ")
    ))
}
