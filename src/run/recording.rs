//! A run as data: enough to fly it again to the same bits.

use std::sync::Arc;

use serde::{Deserialize, Serialize};

use super::{End, Run};
use crate::drill::parse::AircraftText;
use crate::drill::reader::{FileError, Source};
use crate::drill::{Aids, Drill, parse};
use crate::sim::MODEL_VERSION;
use crate::sim::world::Fault;

/// Version of the layout of recordings, summaries and JSON results.
pub const SCHEMA: u32 = 1;

/// Who moved the lever.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum HandName {
    /// A person at the keys.
    Person,
    /// The built-in hand `steady`.
    Steady,
    /// A lever script.
    Script,
    /// The built-in hand `green`: a beginner.
    Green,
    /// The built-in hand `brief`: what the brief says.
    Brief,
    /// The built-in hand `best`: the schedule of lowest cost.
    Best,
    /// A hand that levels off late.
    LevelOffLate,
    /// A hand that levels off early.
    LevelOffEarly,
    /// A hand that goes with too much power, or takes too much off.
    PowerTooMuch,
    /// A hand that goes with too little.
    PowerTooLittle,
    /// A hand that leaves out the second move of a level-off.
    SecondMoveMissing,
    /// A hand that pumps the lever.
    Pumping,
    /// A hand that sets level power wrong.
    LevelPowerOff,
    /// A hand that begins the descent of a path late.
    DescentLate,
    /// A hand that begins the descent of a path early.
    DescentEarly,
}

/// What a person moved the lever with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Means {
    Keys,
    /// The wheel or a drag of the mouse.
    Mouse,
    /// A throttle or another axis.
    Axis,
}

/// A stored run. It holds the full texts, so that it outlives changes of the files.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Recording {
    /// Version of this layout.
    pub schema: u32,
    /// The recording's id.
    pub id: String,
    /// When it was flown, RFC 3339.
    pub at: String,
    /// The drill's id.
    pub drill: String,
    /// The drill file.
    pub drill_text: String,
    /// The aircraft file.
    pub aircraft_text: String,
    /// Seed of the air.
    pub seed: u64,
    /// The air named on the command line instead of the drill's, if any.
    pub air: Option<String>,
    /// Version of the model it was flown with.
    pub model: u32,
    /// Who moved the lever.
    pub hand: HandName,
    /// How much the screen helped.
    pub aids: Aids,
    /// Ticks flown.
    pub ticks: u64,
    /// Every move of the lever: [tick it takes effect with, thousandths of travel].
    pub lever: Vec<(u64, u16)>,
    /// Seconds into the run at which the clock had stalled and been set right; not scored.
    pub stalls_s: Vec<f64>,
    /// Whether the learner left it.
    pub left: bool,
    /// What ended it early, if anything did.
    pub fault: Option<Fault>,
    /// Digest of the states.
    pub digest: String,
    /// Points when it was flown.
    pub points: Option<f64>,
    /// Ticks at which the learner left a mark.
    #[serde(default)]
    pub marks: Vec<u64>,
    /// The learner's guesses before flying, in the order of `brief::Predict`'s questions, each in its question's unit; None for
    /// a question that was passed over, empty where nothing was asked.
    #[serde(default)]
    pub guesses: Vec<Option<f64>>,
    /// The means by which a person moved the lever; empty where it was never moved, and in recordings older than this field.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub moved_with: Vec<Means>,
    /// The pilot's name, if given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pilot: Option<String>,
    /// Digest of everything above, which shows that a stored recording has not been changed; None before it is stored, and in
    /// recordings stored before there were seals.
    #[serde(default, skip_serializing)]
    pub seal: Option<String>,
}

/// Why a recording cannot be flown again.
#[derive(Debug, thiserror::Error)]
pub enum ReplayError {
    /// Its texts are no longer valid.
    #[error("{0}")]
    File(#[from] FileError),
    /// It asks for an air that is not known.
    #[error("the recording names an unknown air: {0}")]
    Air(String),
    /// It was made by another model.
    #[error("flown with model {found}, this program has model {MODEL_VERSION}")]
    Model {
        /// The recording's model.
        found: u32,
    },
    /// Its length differs from what it says.
    #[error("it ends after {found} ticks, the recording says {wanted}")]
    Ticks {
        /// Its length.
        found: u64,
        /// What it says.
        wanted: u64,
    },
    /// It does not replay to the same states.
    #[error("it replays to digest {found}, the recording says {wanted}")]
    Digest {
        /// What it replays to.
        found: String,
        /// What it says.
        wanted: String,
    },
}

impl Recording {
    /// The drill it was flown on, from its own texts.
    ///
    /// # Errors
    /// If the texts are no longer valid.
    pub fn drill(&self) -> Result<Drill, ReplayError> {
        let (file, text) = (&format!("{} (recorded)", self.drill), &self.drill_text);
        let source = Source { file, text };
        let mut drill = parse::parse(&self.drill, source, &|_| {
            Ok(AircraftText {
                file: "aircraft (recorded)".to_string(),
                text: self.aircraft_text.clone(),
            })
        })?;
        if let Some(air) = &self.air {
            drill.air.u20_mps =
                parse::air_word_mps(air).ok_or_else(|| ReplayError::Air(air.clone()))?;
        }
        Ok(drill)
    }

    /// Flies it again.
    ///
    /// # Errors
    /// If its texts are no longer valid, another model made it, or its length or digest differs.
    pub fn replay(&self) -> Result<Run, ReplayError> {
        if self.model != MODEL_VERSION {
            return Err(ReplayError::Model { found: self.model });
        }
        let mut run = Run::new(Arc::new(self.drill()?), self.seed);
        while run.tick() < self.ticks && run.end().is_none() {
            run.fly_by(&self.lever);
        }
        run.leave();
        if run.tick() != self.ticks {
            let (found, wanted) = (run.tick(), self.ticks);
            return Err(ReplayError::Ticks { found, wanted });
        }
        let found = run.digest();
        if found != self.digest {
            return Err(ReplayError::Digest {
                found,
                wanted: self.digest.clone(),
            });
        }
        Ok(run)
    }

    /// A recording of a finished run. The shell fills in what only it knows: `id`, `at`, `hand`, `aids`, `air`.
    pub fn of(run: &Run) -> Recording {
        Recording {
            schema: SCHEMA,
            id: String::new(),
            at: String::new(),
            drill: run.drill().id.clone(),
            drill_text: run.drill().text.clone(),
            aircraft_text: run.drill().aircraft_text.clone(),
            seed: run.seed(),
            air: None,
            model: MODEL_VERSION,
            hand: HandName::Person,
            aids: Aids::Full,
            ticks: run.tick(),
            lever: run.log().to_vec(),
            stalls_s: Vec::new(),
            left: run.end() == Some(End::Left),
            fault: run.fault(),
            digest: run.digest(),
            points: None,
            marks: Vec::new(),
            guesses: Vec::new(),
            moved_with: Vec::new(),
            pilot: None,
            seal: None,
        }
    }
}
