//! A lesson: drills in an order, each with what it is for and the mark that passes it. The one that ships is the ladder.

use super::reader::{FileError, Source};
use super::{Aids, library};

const KEYS: &[&str] = &["title", "about", "rung"];
const RUNG_KEYS: &[&str] = &["drill", "why", "mark", "times", "aids"];

/// An ordered list of drills with a pass mark each.
#[derive(Clone, Debug, PartialEq)]
pub struct Lesson {
    /// One line.
    pub title: String,
    /// One sentence.
    pub about: String,
    /// From the first to the last.
    pub rungs: Vec<Rung>,
}

/// One drill of a lesson.
#[derive(Clone, Debug, PartialEq)]
pub struct Rung {
    /// The id of a drill that ships.
    pub drill: String,
    /// What it is for: completes "Fly it to ...".
    pub why: String,
    /// Points that pass it.
    pub mark: f64,
    /// So many times in a row.
    pub times: usize,
    /// With this help or less.
    pub aids: Aids,
}

/// The file of the lesson that ships.
pub const LADDER: Source = Source {
    file: "drills/lessons/ladder.toml",
    text: include_str!("../../drills/lessons/ladder.toml"),
};

/// The lesson that ships, from stopping a sink to whatever is called.
pub fn ladder() -> Lesson {
    // A test reads it.
    parse(LADDER).unwrap_or_else(|_| Lesson {
        title: String::new(),
        about: String::new(),
        rungs: Vec::new(),
    })
}

/// Reads a lesson.
///
/// # Errors
/// The first thing wrong in it, with its place.
pub fn parse(source: Source) -> Result<Lesson, FileError> {
    source.read(KEYS, |file| {
        let mut rungs: Vec<Rung> = Vec::new();
        for table in file.tables("rung", 1..=100, RUNG_KEYS)? {
            let drill = table.text("drill", 80)?;
            if library::drill(&drill.value).is_none() {
                let message = "no drill of this name ships; `leveloff drills` lists them";
                return Err(table.error(drill.at, message));
            }
            if rungs.iter().any(|rung| rung.drill == drill.value) {
                let message = "the same drill twice; give each a rung of its own";
                return Err(table.error(drill.at, message));
            }
            let aids = match table.has("aids") {
                true => table.word("aids", &Aids::ALL.map(Aids::word))?.value,
                false => Aids::Full.word(),
            };
            let aids = Aids::ALL.into_iter().find(|known| known.word() == aids);
            rungs.push(Rung {
                drill: drill.value,
                why: table.text("why", 100)?.value,
                mark: table.number("mark", 1.0..=100.0, None)?.value,
                times: table.number("times", 1.0..=9.0, Some(2.0))?.value as usize,
                aids: aids.unwrap_or_default(),
            });
        }
        Ok(Lesson {
            title: file.text("title", 80)?.value,
            about: file.text("about", 200)?.value,
            rungs,
        })
    })
}
