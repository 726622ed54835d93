//! Drills: an aeroplane, the air, a start, and a list of tasks, read from TOML.
#![deny(clippy::disallowed_methods, clippy::disallowed_types)]

pub mod air_words;
pub mod aircraft_file;
pub mod columns;
pub mod guide;
pub mod hold;
pub mod lesson;
pub mod library;
pub mod parse;
pub mod path;
pub mod printable;
pub mod rate;
pub mod reader;
pub mod skill;
mod slips;
mod slow;
pub mod spelling;
pub mod step;
pub mod surprise;
pub mod table;

use std::collections::VecDeque;

use serde::{Deserialize, Serialize};

use crate::sim::air::{Air, AirSpec, log_profile};
use crate::sim::aircraft::Aircraft;
use crate::sim::deck::AimPoint;
use crate::sim::dynamics::State;
use crate::sim::math::cos;
use crate::sim::trim::{self, AtSpeed, Trim};
use crate::sim::world::World;
use crate::units::{FPM, FT, TICK_S, TICKS_PER_S};

pub use hold::Hold;
pub use path::{Glide, Path};
pub use rate::Rate;
use reader::{FileError, Table};
pub use skill::Skill;
pub use step::Step;
pub use surprise::Surprise;

/// A drill whose file has passed every check.
#[derive(Clone, Debug)]
pub struct Drill {
    /// The file's stem; names the drill everywhere.
    pub id: String,
    /// Title, one line.
    pub title: String,
    /// One sentence for the menu.
    pub about: String,
    /// How much the screen helps to begin with.
    pub aids: Aids,
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

/// How much the screen helps.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Aids {
    /// Forecast and level mark.
    #[default]
    Full,
    /// Level mark.
    Some,
    /// Neither.
    Bare,
}

impl Aids {
    /// All of them, from much help to none.
    pub const ALL: [Aids; 3] = [Aids::Full, Aids::Some, Aids::Bare];

    /// Its word in files and on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Aids::Full => "full",
            Aids::Some => "some",
            Aids::Bare => "bare",
        }
    }

    /// The one that a word stands for.
    pub fn of(word: &str) -> Option<Aids> {
        Aids::ALL.into_iter().find(|aids| aids.word() == word)
    }

    /// The value of the key `aids`, if it is there.
    fn read(table: &Table) -> Result<Option<Aids>, FileError> {
        let is_given = table.has("aids");
        let word = is_given.then(|| table.word("aids", &Aids::ALL.map(Aids::word)));
        Ok(word.transpose()?.and_then(|word| Aids::of(word.value)))
    }
}

/// How a drill begins.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Start {
    pub altitude_m: f64,
    /// Path through the air, rad, + up.
    pub path_rad: f64,
    /// Airspeed away from on speed, m/s, + fast.
    pub off_speed_mps: f64,
    /// Lever away from trim, fraction of travel.
    pub lever_off: f64,
    /// The lever itself, 0..1, where it is given instead of the offset.
    pub lever: Option<f64>,
    /// Engine state, fraction of what the engine can give there; None where it is settled at that lever.
    pub engine: Option<f64>,
    /// The steady level flight, extras in, from which it slows in; None where it does not.
    pub fast: Option<AtSpeed>,
}

/// One leg of a drill.
#[derive(Clone, Debug, PartialEq)]
pub struct Task {
    /// What it asks.
    pub kind: Kind,
    /// Whether it counts.
    pub scored: bool,
}

/// What a task asks.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// Stay at an altitude for a time.
    Hold(Hold),
    /// Go to another altitude and stay there.
    Step(Step),
    /// Go to a vertical speed and stay at it.
    Rate(Rate),
    /// Ride a straight path down to the aim point.
    Path(Path),
    /// Holds, steps and rates drawn from the seed.
    Surprise(Surprise),
    /// Slow in and be steady there; ends as a step to the altitude of its start.
    Slow(Step),
}

/// What the aeroplane is asked to be at: a value and how far from it is still good enough.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Target {
    /// An altitude and the half-width of its band, m.
    Altitude {
        /// The wanted altitude, m.
        altitude_m: f64,
        /// Half-width, m.
        band_m: f64,
    },
    /// A vertical speed and the half-width of its band, m/s.
    Vertical {
        /// The wanted vertical speed, m/s, + up.
        vertical_mps: f64,
        /// Half-width, m/s.
        band_mps: f64,
    },
    /// The line down to an aim point; errors are m above it.
    Path(Glide),
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

/// The progress of a task so far.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Progress {
    /// Ticks flown in this task.
    pub ticks: u64,
    /// Ticks of the unbroken stay that is running, 0 outside the band.
    pub stay_ticks: u64,
    /// Altitudes at the ends of the stay's latest ticks, m, as far back as its kind looks.
    lately_m: VecDeque<f64>,
}

impl Progress {
    /// Takes in a tick that ended at an altitude in m; its kind looks back over `looks_back` ticks.
    pub fn take(&mut self, is_inside: bool, altitude_m: f64, looks_back: usize) {
        self.ticks += 1;
        if !is_inside {
            self.stay_ticks = 0;
            self.lately_m.clear();
            return;
        }
        self.stay_ticks += 1;
        self.lately_m.push_back(altitude_m);
        while self.lately_m.len() > looks_back + 1 {
            self.lately_m.pop_front();
        }
    }

    /// How far the altitude has moved, m, over the ticks that the kind looks back over, or over the stay so far.
    pub fn drift_m(&self) -> f64 {
        match (self.lately_m.front(), self.lately_m.back()) {
            (Some(before), Some(now)) => (now - before).abs(),
            _ => 0.0,
        }
    }
}

impl Kind {
    /// Its name in files and figures.
    pub fn name(&self) -> &'static str {
        match self {
            Kind::Hold(_) => "hold",
            Kind::Step(_) => "step",
            Kind::Rate(_) => "rate",
            Kind::Path(_) => "path",
            Kind::Surprise(_) => "surprise",
            Kind::Slow(_) => "slow",
        }
    }

    /// What it asks the aeroplane to be at; a surprise asks nothing itself, its drawn tasks do.
    pub fn target(&self) -> Option<Target> {
        let altitude = |altitude_m, band_m| Target::Altitude { altitude_m, band_m };
        match self {
            Kind::Hold(hold) => Some(altitude(hold.altitude_m, hold.band_m)),
            Kind::Step(step) | Kind::Slow(step) => Some(altitude(step.altitude_m, step.band_m)),
            Kind::Rate(rate) => Some(Target::Vertical {
                vertical_mps: rate.vertical_mps,
                band_mps: rate.band_mps,
            }),
            Kind::Path(path) => Some(Target::Path(path.glide)),
            Kind::Surprise(_) => None,
        }
    }

    /// How many tasks it counts as when it is flown.
    pub fn count(&self) -> usize {
        match self {
            Kind::Surprise(surprise) => surprise.count as usize,
            _ => 1,
        }
    }

    /// The stay that captures it, and the time allowed to begin it, s; None for kinds that capture nothing.
    fn capture_s(&self) -> Option<(f64, f64)> {
        match self {
            Kind::Step(step) | Kind::Slow(step) => Some((step.hold_s, step.within_s)),
            Kind::Rate(rate) => Some((rate.hold_s, rate.within_s)),
            Kind::Hold(_) | Kind::Path(_) | Kind::Surprise(_) => None,
        }
    }

    /// How long a stay it asks for, s; None for a path.
    pub fn stay_s(&self) -> Option<f64> {
        match self {
            Kind::Hold(hold) => Some(hold.seconds),
            Kind::Surprise(surprise) => Some(surprise.hold_s),
            _ => self.capture_s().map(|(hold_s, _)| hold_s),
        }
    }

    /// The length of the stay that captures it, ticks; None for kinds that capture nothing.
    pub fn captures_ticks(&self) -> Option<u64> {
        self.capture_s().map(|(hold_s, _)| stay_ticks(hold_s))
    }

    /// How many ticks back it looks to compare the altitude with the present one.
    pub fn looks_back(&self) -> usize {
        match self {
            Kind::Step(step) | Kind::Slow(step) => stay_ticks(step.hold_s) as usize / 2,
            _ => 0,
        }
    }

    /// The longest it is allowed to last, s; for a path, at a closure in m/s from a distance in m. A
    /// stay begun in time may be finished after that.
    pub fn longest_s(&self, closure_mps: f64, distance_m: f64) -> f64 {
        match self {
            Kind::Hold(hold) => hold.seconds,
            Kind::Step(step) | Kind::Slow(step) => step.within_s + step.hold_s,
            Kind::Rate(rate) => rate.within_s + rate.hold_s,
            Kind::Surprise(surprise) => {
                f64::from(surprise.count) * (surprise.within_s + surprise.hold_s)
            }
            Kind::Path(_) if closure_mps > 0.0 => distance_m / closure_mps,
            Kind::Path(_) => f64::INFINITY,
        }
    }

    /// Where a task stands after a tick, by the stay alone; `progress` already counts that
    /// tick. A path is judged by its approach instead.
    ///
    /// A hold ends with the first tick whose end is at or after its seconds. Any other kind is captured once its last
    /// seconds were a stay, and for an altitude a level one. It is missed with the first tick that ends outside the band
    /// after its time, or so late that no stay begun in time can still be running.
    pub fn verdict(&self, progress: &Progress) -> Verdict {
        let t_s = progress.ticks as f64 * TICK_S;
        let is_level = match self {
            Kind::Hold(hold) if t_s >= hold.seconds => return Verdict::Over { captured: None },
            Kind::Step(step) | Kind::Slow(step) => progress.drift_m() <= step.level_m(),
            _ => true,
        };
        let Some((hold_s, within_s)) = self.capture_s() else {
            return Verdict::Running;
        };
        let is_captured = progress.stay_ticks >= stay_ticks(hold_s) && is_level;
        let is_late = progress.stay_ticks == 0 && t_s > within_s || t_s > within_s + 2.0 * hold_s;
        match is_captured || is_late {
            true => Verdict::Over {
                captured: Some(is_captured),
            },
            false => Verdict::Running,
        }
    }
}

/// A stay in ticks: the smallest number of them that lasts `hold_s` seconds.
fn stay_ticks(hold_s: f64) -> u64 {
    (hold_s * TICKS_PER_S as f64).ceil() as u64
}

impl Target {
    /// How far a state at a tick is from it, in the target's own SI unit, + above.
    pub fn error(&self, state: &State, tick: u64) -> f64 {
        match self {
            Target::Altitude { altitude_m, .. } => state.h_m - altitude_m,
            Target::Vertical { vertical_mps, .. } => state.vz_mps - vertical_mps,
            Target::Path(glide) => glide.deviation_m(state, tick),
        }
    }

    /// Half-width of the band for a state at a tick, in the target's own SI unit.
    pub fn band(&self, state: &State, tick: u64) -> f64 {
        match self {
            Target::Altitude { band_m, .. } => *band_m,
            Target::Vertical { band_mps, .. } => *band_mps,
            Target::Path(glide) => glide.half_width_m(glide.distance_m(state, tick)),
        }
    }

    /// Whether a state at a tick is inside the band.
    pub fn holds(&self, state: &State, tick: u64) -> bool {
        self.error(state, tick).abs() <= self.band(state, tick)
    }

    /// The size of its unit in SI: feet for altitudes and paths, feet a minute for vertical speeds.
    pub fn unit(&self) -> f64 {
        match self {
            Target::Altitude { .. } | Target::Path(_) => FT,
            Target::Vertical { .. } => FPM,
        }
    }

    /// How that unit is written.
    pub fn unit_name(&self) -> &'static str {
        match self {
            Target::Altitude { .. } | Target::Path(_) => "ft",
            Target::Vertical { .. } => "ft/min",
        }
    }
}

impl Drill {
    /// The steady on-speed flight it starts from, before any offset is applied.
    pub fn start_trim(&self) -> Trim {
        trim::on_speed(&self.aircraft, self.start.altitude_m, self.start.path_rad)
    }

    /// How many tasks are flown in it, those drawn by a surprise included.
    pub fn legs(&self) -> usize {
        self.tasks.iter().map(|task| task.kind.count()).sum()
    }

    /// The lever it starts with, 0..1, not rounded.
    pub fn start_lever(&self) -> f64 {
        if let Some(fast) = &self.start.fast {
            return fast.trim.lever;
        }
        let trimmed = self.start_trim().lever + self.start.lever_off;
        self.start.lever.unwrap_or(trimmed).clamp(0.0, 1.0)
    }

    /// The engine it starts with, fraction of what it can give.
    pub fn start_engine(&self) -> f64 {
        let settled = self.aircraft.engine.settles_at(self.start_lever());
        self.start.engine.unwrap_or(settled)
    }

    /// The world at its first tick.
    pub fn world(&self, seed: u64) -> World {
        self.world_in(Air::new(&self.air, seed))
    }

    /// Its air without what cannot be known beforehand: gusts, and the ship's pitching.
    pub fn calm_air(&self) -> Air {
        let mut known = self.air.clone();
        known.u20_mps = 0.0;
        if let Some(ship) = &mut known.wake {
            ship.pitch_rad = 0.0;
        }
        let mut air = Air::new(&known, 0);
        air.settle();
        air
    }

    /// The world at its first tick in some air.
    pub fn world_in(&self, air: Air) -> World {
        let (start, trim) = (&self.start, self.start_trim());
        let state = State::on_speed(
            &self.aircraft,
            start.altitude_m,
            trim.speed_mps + start.off_speed_mps,
            start.path_rad,
            self.start_engine(),
            &air.mean(start.altitude_m),
        );
        let fast = start.fast.map(|fast| State {
            theta_rad: fast.alpha_rad,
            engine: fast.trim.engine,
            ..state
        });
        self.world_from(air, fast.unwrap_or(state))
    }

    /// The world at its first tick in some air, from a given state.
    pub fn world_from(&self, air: Air, state: State) -> World {
        let world = World::new(self.aircraft.clone(), air, self.aim, state);
        match self.start.fast {
            Some(_) => world.slowing_in(),
            None => world,
        }
    }

    /// Whether any task counts.
    pub fn is_scored(&self) -> bool {
        self.tasks.iter().any(|task| task.scored)
    }

    /// Speed at which the aim point comes nearer in flight on speed, in the steady wind at the
    /// start, m/s; the ground speed without a deck.
    pub fn closure_mps(&self) -> f64 {
        self.closure_in_mps(self.air.headwind_mps)
    }

    /// The same when the wind blows hardest against the flight: before its shift or after it.
    pub fn least_closure_mps(&self) -> f64 {
        let more_mps = self.air.shift.map_or(0.0, |shift| shift.by_mps.max(0.0));
        self.closure_in_mps(self.air.headwind_mps + more_mps)
    }

    /// The same in a headwind at 20 ft.
    fn closure_in_mps(&self, headwind_20ft_mps: f64) -> f64 {
        let trim = self.start_trim();
        let headwind_mps = log_profile(
            headwind_20ft_mps,
            self.air.roughness_m,
            self.start.altitude_m,
        );
        let deck_mps = self.aim.map_or(0.0, |aim| aim.deck.speed_mps);
        trim.speed_mps * cos(trim.path_rad) - headwind_mps - deck_mps
    }

    /// The tick at which a run is ended whatever happens: one that flies away from the aim point would never end. No stay
    /// that can still be finished takes that long, nor does a path that is flown at all like one.
    pub fn last_tick(&self) -> u64 {
        const TIMES: f64 = 2.0;
        const MORE_S: f64 = 60.0;
        ((TIMES * self.longest_s() + MORE_S) * TICKS_PER_S as f64) as u64
    }

    /// The longest it can last, s.
    pub fn longest_s(&self) -> f64 {
        let (closure_mps, distance_m) = (
            self.least_closure_mps(),
            self.aim.map_or(0.0, |aim| aim.start_m),
        );
        let tasks = self.tasks.iter();
        tasks
            .map(|task| task.kind.longest_s(closure_mps, distance_m))
            .sum()
    }
}
