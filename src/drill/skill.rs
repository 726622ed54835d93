//! What a drill practises: derived from its tasks, never written into its file.

use serde::{Deserialize, Serialize};

use super::{Drill, Task};

/// One skill, the same word in the menu, the logbook and the ladder.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Skill {
    /// Stopping a climb or descent that is already under way.
    Stop,
    /// Leaving an altitude and stopping on another.
    GoAndStop,
    /// Going to a vertical speed and staying at it.
    Rates,
    /// Finding level and keeping it.
    Holds,
    /// Slowing in, from fast to on speed.
    Slowing,
    /// Riding a path to a deck that stands still.
    Paths,
    /// Riding one to a deck that moves.
    Ships,
    /// Doing what is not known beforehand.
    Surprises,
}

impl Skill {
    /// What a drill practises: the hardest among its scored tasks, or among all where none is scored.
    pub fn of(drill: &Drill) -> Skill {
        let counts = |task: &&Task| task.scored || !drill.is_scored();
        let tasks = drill.tasks.iter().filter(counts);
        let kinds: Vec<&str> = tasks.map(|task| task.kind.name()).collect();
        let steps = kinds.iter().filter(|kind| **kind == "step").count();
        match drill.aim {
            _ if kinds.contains(&"surprise") => Skill::Surprises,
            Some(aim) if kinds.contains(&"path") && aim.deck.speed_mps > 0.0 => Skill::Ships,
            _ if kinds.contains(&"path") => Skill::Paths,
            _ if kinds.contains(&"slow") => Skill::Slowing,
            _ if kinds.contains(&"rate") => Skill::Rates,
            _ if steps == 0 => Skill::Holds,
            // At least half of it is the stop.
            _ if drill.start.path_rad != 0.0 && steps <= 2 => Skill::Stop,
            _ => Skill::GoAndStop,
        }
    }

    /// Its name for a person.
    pub fn title(self) -> &'static str {
        match self {
            Skill::Stop => "stop",
            Skill::GoAndStop => "go and stop",
            Skill::Rates => "rates",
            Skill::Holds => "holds",
            Skill::Slowing => "slowing in",
            Skill::Paths => "paths",
            Skill::Ships => "ships",
            Skill::Surprises => "surprises",
        }
    }
}
