//! A guided flight: a drill that ships, and what is said and asked on the way. The one that ships is the first flight.

use super::library;
use super::reader::{At, FileError, Source, Table};

const KEYS: &[&str] = &["title", "drill", "captured", "missed", "cue"];
const CUE_KEYS: &[&str] = &["after_s", "to_go_ft", "vertical_fpm", "lever", "say"];
/// The keys that say when a cue is due; each cue gives one of them.
const WHEN_KEYS: &[&str] = &["after_s", "to_go_ft", "vertical_fpm"];
/// The most characters that fit into three rows of the narrowest screen, broken at words.
const LONGEST: usize = 200;

/// A guided flight.
#[derive(Clone, Debug, PartialEq)]
pub struct Guide {
    /// One line.
    pub title: String,
    /// The id of a drill that ships.
    pub drill: String,
    /// Said once the drill is captured.
    pub captured: String,
    /// Said where it is not captured.
    pub missed: String,
    /// In the order in which they come.
    pub cues: Vec<Cue>,
}

/// Something said on the way.
#[derive(Clone, Debug, PartialEq)]
pub struct Cue {
    /// When it is due.
    pub when: When,
    /// What is said.
    pub say: String,
    /// Where the lever has to be before time goes on, 0..1.
    pub lever: Option<f64>,
}

/// The condition for a cue to be due, once the one before has been.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum When {
    /// This long after the cue before, or after the start, s.
    AfterS(f64),
    /// No more altitude than this to go, ft.
    ToGoFt(f64),
    /// Vertical speed passes this, ft/min.
    VerticalFpm(f64),
}

/// The file of the guided flight that ships.
pub const FIRST_FLIGHT: Source = Source {
    file: "drills/lessons/first-flight.toml",
    text: include_str!("../../drills/lessons/first-flight.toml"),
};

/// Reads a guided flight.
///
/// # Errors
/// The first thing wrong in it, with its place.
pub fn parse(source: Source) -> Result<Guide, FileError> {
    source.read(KEYS, |file| {
        let drill = file.text("drill", 80)?;
        if library::drill(&drill.value).is_none() {
            let message = "no drill of this name ships; `leveloff drills` lists them";
            return Err(file.error(drill.at, message));
        }
        let cues = file.tables("cue", 1..=100, CUE_KEYS)?;
        Ok(Guide {
            title: file.text("title", 40)?.value,
            drill: drill.value,
            captured: file.text("captured", LONGEST)?.value,
            missed: file.text("missed", LONGEST)?.value,
            cues: cues.iter().map(read_cue).collect::<Result<_, _>>()?,
        })
    })
}

fn read_cue(table: &Table) -> Result<Cue, FileError> {
    let given = WHEN_KEYS.iter().filter(|key| table.has(key));
    if given.count() != 1 {
        let message = format!(
            "a cue has one moment; give exactly one of {}",
            WHEN_KEYS.join(", ")
        );
        return Err(table.error(table.at(), message));
    }
    let value = |at: At<f64>| at.value;
    let after = table.optional_number("after_s", 0.0..=600.0)?;
    let to_go = table.optional_number("to_go_ft", 0.0..=5000.0)?;
    let when = match (after, to_go) {
        (Some(after), _) => When::AfterS(after.value),
        (_, Some(to_go)) => When::ToGoFt(to_go.value),
        _ => When::VerticalFpm(table.number("vertical_fpm", -5000.0..=5000.0, None)?.value),
    };
    Ok(Cue {
        when,
        say: table.text("say", LONGEST)?.value,
        lever: table.optional_number("lever", 0.0..=1.0)?.map(value),
    })
}
