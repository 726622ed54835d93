//! What ships: the drills in the order in which they teach, and the aeroplanes, embedded in the binary.

use super::parse::AircraftText;
use super::reader::{FileError, Source, printable};
use super::{Drill, aircraft_file, parse};
use crate::sim::aircraft::Aircraft;

/// A text that ships.
pub struct Shipped {
    /// The file's stem.
    pub id: &'static str,
    /// Its path in the repository, for messages.
    pub file: &'static str,
    /// Its content.
    pub text: &'static str,
}

macro_rules! shipped {
    ($folder:literal: $($id:literal),* $(,)?) => {
        &[$(Shipped {
            id: $id,
            file: concat!($folder, "/", $id, ".toml"),
            text: include_str!(concat!("../../", $folder, "/", $id, ".toml")),
        }),*]
    };
}

/// The aeroplanes, from easy to hard.
pub const AIRCRAFT: &[Shipped] =
    shipped!("drills/aircraft": "first-jet", "deck-jet", "late-jet", "prop-trainer");

/// The drills, in the order in which they teach.
pub const DRILLS: &[Shipped] = shipped!("drills":
    "catch-the-sink",
    "cliff-top",
    "out-of-idle",
    "boat-slip",
    "lamp-room",
    "level-over-the-tarn",
    "ripples-on-the-lough",
    "fast-past-the-mast",
    "stair-in-the-breeze",
    "into-the-quarry",
    "quarry-stair",
    "post-for-the-hut",
    "gannet-ledges",
    "over-the-ridge",
    "empty-crates",
    "wind-over-the-moor",
    "the-late-answer",
    "idle-and-late",
    "long-way-down",
    "above-the-cloud",
    "flint-edges",
    "the-wind-gets-up",
    "storm-watch",
    "a-rate-and-no-more",
    "slow-for-the-geese",
    "off-the-fast-road",
    "seventy-to-lose",
    "slow-then-down",
    "a-narrow-gap",
    "half-a-mile-on-it",
    "half-a-mile-high",
    "half-a-mile-low",
    "in-close",
    "no-room-left",
    "a-mile-out",
    "onto-the-shelf",
    "wind-dies-at-the-mole",
    "long-shallow-reef",
    "gates-by-heart",
    "short-turf",
    "steep-under-the-light",
    "supply-ship",
    "ship-in-the-breeze",
    "swell-from-the-west",
    "full-holds",
    "late-all-the-way-down",
    "behind-the-ship",
    "before-the-squall",
    "what-the-rock-calls",
    "errands-round-the-ship",
);

/// A shipped aeroplane by its name or its file's stem.
pub fn aircraft(name: &str) -> Option<&'static Shipped> {
    let is_called = |shipped: &&Shipped| shipped.id == name || shipped.name() == name;
    AIRCRAFT.iter().find(is_called)
}

/// A shipped drill's text by its id.
pub fn drill(id: &str) -> Option<&'static Shipped> {
    DRILLS.iter().find(|shipped| shipped.id == id)
}

/// The names of the shipped aeroplanes, as drills write them.
pub fn aircraft_names() -> Vec<String> {
    AIRCRAFT.iter().map(Shipped::name).collect()
}

impl Shipped {
    /// Its name, as drills write it.
    fn name(&self) -> String {
        self.id.replace('-', " ")
    }

    /// The text with its file's name, for messages.
    pub fn source(&self) -> Source<'static> {
        Source {
            file: self.file,
            text: self.text,
        }
    }

    /// Reads it as a drill; it can refer to shipped aeroplanes only.
    ///
    /// # Errors
    /// What is wrong in the file; a test makes sure that nothing is in what ships.
    pub fn drill(&self) -> Result<Drill, FileError> {
        parse::parse(self.id, self.source(), &find_shipped_aircraft)
    }

    /// Reads it as an aeroplane.
    ///
    /// # Errors
    /// What is wrong in the file; a test makes sure that nothing is in what ships.
    pub fn aircraft(&self) -> Result<Aircraft, FileError> {
        aircraft_file::parse(self.source())
    }
}

/// Finds a shipped aeroplane for a drill, or says which there are.
///
/// # Errors
/// A sentence for the drill's author.
pub fn find_shipped_aircraft(name: &str) -> Result<AircraftText, String> {
    match aircraft(name) {
        Some(shipped) => Ok(AircraftText {
            file: shipped.file.to_string(),
            text: shipped.text.to_string(),
        }),
        None => Err(format!(
            "no aeroplane \"{}\" ships; name one of \"{}\", or a file relative to this one",
            printable(name),
            aircraft_names().join("\", \"")
        )),
    }
}
