//! A lesson: drills in an order, each with its purpose and the mark that passes it. The one that
//! ships is the ladder; a coach can write another.

use std::sync::Arc;

use super::reader::{FileError, Source, printable};
use super::{Aids, Drill, library, spelling};

const KEYS: &[&str] = &["title", "about", "rung"];
const RUNG_KEYS: &[&str] = &["drill", "why", "mark", "times", "aids"];

/// An ordered list of drills with a pass mark each.
#[derive(Clone, Debug, Default)]
pub struct Lesson {
    /// One line.
    pub title: String,
    /// One sentence.
    pub about: String,
    /// From the first to the last.
    pub rungs: Vec<Rung>,
}

/// One drill of a lesson.
#[derive(Clone, Debug)]
pub struct Rung {
    /// The drill's id.
    pub drill: String,
    /// What is typed to fly it: the id of a drill that ships, or a file.
    pub typed: String,
    /// The drill itself, where it is not one that ships.
    pub own: Option<Arc<Drill>>,
    /// What it is for: completes "Fly it to ...".
    pub why: String,
    /// Points that pass it.
    pub mark: f64,
    /// How many times in a row that is needed.
    pub times: usize,
    /// The most help with which it counts.
    pub aids: Aids,
}

/// The file of the lesson that ships.
pub const LADDER: Source = Source {
    file: "drills/lessons/ladder.toml",
    text: include_str!("../../drills/lessons/ladder.toml"),
};

/// The lesson that ships, from stopping a sink to surprises.
pub fn ladder() -> Lesson {
    // A test makes sure that it can be read.
    parse(LADDER, &no_file).unwrap_or_default()
}

/// A drill that does not ship, and what is typed to fly it, or a sentence for the lesson's author.
pub type Found = Result<(String, Drill), String>;

/// Finds nothing: only the drills that ship are known.
///
/// # Errors
/// Always.
pub fn no_file(name: &str) -> Found {
    let ids: Vec<&str> = library::DRILLS.iter().map(|shipped| shipped.id).collect();
    let hint = spelling::hint(name, &ids);
    Err(format!(
        "no drill of this name ships; `leveloff drills` lists them{hint}"
    ))
}

/// Reads a lesson; `find` looks up a drill that does not ship.
///
/// # Errors
/// The first thing wrong in it, with its place.
pub fn parse(source: Source, find: &dyn Fn(&str) -> Found) -> Result<Lesson, FileError> {
    source.read(KEYS, |file| {
        let mut rungs: Vec<Rung> = Vec::new();
        for table in file.tables("rung", 1..=100, RUNG_KEYS)? {
            let name = table.text("drill", 200)?;
            let wrong = |message: String| table.error(name.at, message);
            let (drill, typed, own) = match library::drill(&name.value) {
                Some(_) => (name.value.clone(), name.value.clone(), None),
                None => {
                    let (typed, own) = find(&name.value).map_err(wrong)?;
                    (own.id.clone(), typed, Some(Arc::new(own)))
                }
            };
            // Runs are distinguished by the ids of their drills.
            if own.is_some() && library::drill(&drill).is_some() {
                return Err(wrong(format!(
                    "a drill that ships is also called {}; give the file another name",
                    printable(&drill)
                )));
            }
            if own.as_ref().is_some_and(|own| !own.is_scored()) {
                return Err(wrong(
                    "nothing in this drill earns points; use one that does".into(),
                ));
            }
            if rungs.iter().any(|rung| rung.drill == drill) {
                return Err(wrong(
                    "the same drill twice; give each rung a drill of its own".into(),
                ));
            }
            let aids = Aids::read(&table)?;
            rungs.push(Rung {
                drill,
                typed,
                own,
                why: table.text("why", 100)?.value,
                mark: table.number("mark", 1.0..=100.0, None)?.value,
                times: table.count("times", 1..=9, Some(2))?.value as usize,
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
