//! Drills: an aeroplane, the air, a start, and a list of tasks, read from TOML.
#![deny(clippy::disallowed_methods, clippy::disallowed_types)]

pub mod aircraft_file;
pub mod hold;
pub mod library;
pub mod parse;
pub mod reader;
pub mod step;

use crate::sim::air::AirSpec;
use crate::sim::aircraft::Aircraft;
use crate::sim::deck::AimPoint;
use crate::sim::dynamics::State;
use crate::sim::trim::{self, Trim};
use crate::sim::world::World;

pub use hold::Hold;
pub use step::Step;

/// A drill whose file has been found right in every respect.
#[derive(Clone, Debug)]
pub struct Drill {
    /// The file's stem; names the drill everywhere.
    pub id: String,
    /// Title, one line.
    pub title: String,
    /// One sentence for the menu.
    pub about: String,
    /// The aeroplane, at the mass this drill flies it at.
    pub aircraft: Aircraft,
    /// How it begins.
    pub start: Start,
    /// What the air does.
    pub air: AirSpec,
    /// The aim point, where the drill gives a deck and a distance to it.
    pub aim: Option<AimPoint>,
    /// What is asked, in order.
    pub tasks: Vec<Task>,
    /// The file's text, for the recording.
    pub text: String,
    /// The aircraft file's text, for the recording.
    pub aircraft_text: String,
}

/// How a drill begins.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Start {
    /// Altitude, m.
    pub altitude_m: f64,
    /// Path through the air, rad, + up.
    pub path_rad: f64,
    /// Airspeed away from on speed, m/s, + fast.
    pub off_speed_mps: f64,
    /// Lever away from trim, fraction of travel.
    pub lever_off: f64,
}

/// One leg of a drill.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Task {
    /// What it asks.
    pub kind: Kind,
    /// Whether it counts.
    pub scored: bool,
}

/// What a task asks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kind {
    /// Stay at an altitude for a time.
    Hold(Hold),
    /// Go to another altitude and stay there.
    Step(Step),
}

/// What the aeroplane is asked to be at: a value and how far from it is still good.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Target {
    /// An altitude and the half-width of its band, m.
    Altitude {
        /// The wanted altitude, m.
        altitude_m: f64,
        /// Half-width, m.
        band_m: f64,
    },
}

/// Where a task stands after a tick.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// It goes on.
    Running,
    /// It ended. `captured` is None for kinds that capture nothing.
    Over {
        /// Whether its stay was completed.
        captured: Option<bool>,
    },
}

/// What a task has seen of itself so far.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Progress {
    /// Ticks flown in this task.
    pub ticks: u64,
    /// Ticks of the unbroken stay that is running, 0 outside the band.
    pub stay_ticks: u64,
}

impl Kind {
    /// Its name in files and figures.
    pub fn name(&self) -> &'static str {
        match self {
            Kind::Hold(_) => "hold",
            Kind::Step(_) => "step",
        }
    }

    /// What it asks the aeroplane to be at.
    pub fn target(&self) -> Target {
        match self {
            Kind::Hold(hold) => hold.target(),
            Kind::Step(step) => step.target(),
        }
    }

    /// How long a stay it asks for, s.
    pub fn stay_s(&self) -> f64 {
        match self {
            Kind::Hold(hold) => hold.seconds,
            Kind::Step(step) => step.hold_s,
        }
    }

    /// The longest it can last, s; a stay begun in time may be finished after it.
    pub fn longest_s(&self) -> f64 {
        match self {
            Kind::Hold(hold) => hold.seconds,
            Kind::Step(step) => step.within_s + step.hold_s,
        }
    }

    /// Takes in the state at a tick's end; `progress` counts that tick already.
    pub fn verdict(&self, progress: &Progress) -> Verdict {
        match self {
            Kind::Hold(hold) => hold.verdict(progress),
            Kind::Step(step) => step.verdict(progress),
        }
    }
}

impl Target {
    /// How far the state is from it, in the target's own SI unit, + above.
    pub fn error(&self, state: &State) -> f64 {
        match *self {
            Target::Altitude { altitude_m, .. } => state.h_m - altitude_m,
        }
    }

    /// Half-width of the band, in the target's own SI unit.
    pub fn band(&self) -> f64 {
        match *self {
            Target::Altitude { band_m, .. } => band_m,
        }
    }

    /// Whether the state is inside the band.
    pub fn holds(&self, state: &State) -> bool {
        self.error(state).abs() <= self.band()
    }
}

impl Drill {
    /// The steady on-speed flight it starts from, before anything is put off.
    pub fn start_trim(&self) -> Trim {
        trim::on_speed(&self.aircraft, self.start.altitude_m, self.start.path_rad)
    }

    /// The lever it starts with, 0..1, not rounded.
    pub fn start_lever(&self) -> f64 {
        (self.start_trim().lever + self.start.lever_off).clamp(0.0, 1.0)
    }

    /// The world at its first tick.
    pub fn world(&self, seed: u64) -> World {
        let trim = self.start_trim();
        World::new(
            self.aircraft.clone(),
            &self.air,
            self.aim,
            seed,
            self.start.altitude_m,
            |mean_wind| {
                State::on_speed(
                    &self.aircraft,
                    self.start.altitude_m,
                    trim.speed_mps + self.start.off_speed_mps,
                    self.start.path_rad,
                    self.aircraft.engine.settles_at(self.start_lever()),
                    mean_wind,
                )
            },
        )
    }

    /// Whether any task counts.
    pub fn is_scored(&self) -> bool {
        self.tasks.iter().any(|task| task.scored)
    }

    /// The longest it can last, s.
    pub fn longest_s(&self) -> f64 {
        self.tasks.iter().map(|task| task.kind.longest_s()).sum()
    }
}
