//! What a drill practises: derived from its tasks, never written into its file.

use serde::{Deserialize, Serialize};

use super::{Drill, Kind, Task};

/// One skill, the same word in the menu, the logbook and the ladder.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Skill {
    /// Stopping a climb or descent that is running already.
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
    /// Doing what nobody knows beforehand.
    Surprises,
}

impl Skill {
    /// What a drill practises: what is hardest among its tasks that count, or among all where none does.
    pub fn of(drill: &Drill) -> Skill {
        let has = |is: fn(&Kind) -> bool| {
            let counts = |task: &&Task| task.scored || !drill.is_scored();
            drill
                .tasks
                .iter()
                .filter(counts)
                .filter(|task| is(&task.kind))
                .count()
        };
        let steps = has(|kind| matches!(kind, Kind::Step(_)));
        if has(|kind| matches!(kind, Kind::Surprise(_))) > 0 {
            Skill::Surprises
        } else if has(|kind| matches!(kind, Kind::Path(_))) > 0 {
            match drill.aim {
                Some(aim) if aim.deck.speed_mps > 0.0 => Skill::Ships,
                _ => Skill::Paths,
            }
        } else if has(|kind| matches!(kind, Kind::Slow(_))) > 0 {
            Skill::Slowing
        } else if has(|kind| matches!(kind, Kind::Rate(_))) > 0 {
            Skill::Rates
        } else if steps == 0 {
            Skill::Holds
        } else if drill.start.path_rad != 0.0 && steps <= 2 {
            // Half of it or more is the stop.
            Skill::Stop
        } else {
            Skill::GoAndStop
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
