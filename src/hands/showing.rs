//! What a named fault looks like on a drill, and whether it can be seen there at all.

use super::faulty::{Faulty, Flaw, Learner};
use super::stray::Stray;
use super::{Hand, Sight};
use crate::drill::{Drill, Kind, Target};
use crate::plan::three_degree_lever;
use crate::run::recording::HandName;
use crate::sim::math::tan;
use crate::sim::trim;

/// How wrong a level power is believed, over the lever of 3 degrees.
const LEVEL_OFF: f64 = 0.29;
/// And no more than carries the aeroplane over so much of the band a second, where steps have a narrow one.
const LEVEL_OFF_PER_S: f64 = 0.21;
/// A level-off that is early stops short by so much of the band.
const STOPS_SHORT: f64 = 1.5;
/// A descent is begun so late, or early, that the path is missed by so much of the band.
const MISSES: f64 = 1.5;

/// The kinds of task a fault has a meaning in: a level-off belongs to a step, a first move to what goes elsewhere. Empty for
/// hands without a fault.
pub fn stage(name: HandName) -> &'static [&'static str] {
    match name {
        HandName::LevelOffLate | HandName::LevelOffEarly => &["step"],
        HandName::PowerTooMuch | HandName::PowerTooLittle => &["step", "rate", "path"],
        HandName::SecondMoveMissing | HandName::Pumping | HandName::LevelPowerOff => {
            &["step", "hold", "rate", "path"]
        }
        HandName::DescentLate | HandName::DescentEarly => &["path"],
        HandName::Person
        | HandName::Script
        | HandName::Steady
        | HandName::Green
        | HandName::Brief
        | HandName::Best => &[],
    }
}

/// Whether a hand has something to show on a drill: those without a fault on every one, a fault where a task that counts, or
/// may be drawn, has room for it.
pub fn shows(name: HandName, drill: &Drill) -> bool {
    let stage = stage(name);
    let has_room = |kind: &Kind| match kind {
        Kind::Surprise(surprise) => surprise.kinds.iter().any(|kind| stage.contains(kind)),
        kind => stage.contains(&kind.name()),
    };
    let mut tasks = drill.tasks.iter().filter(|task| task.scored);
    stage.is_empty() || tasks.any(|task| has_room(&task.kind))
}

impl Flaw {
    /// The flaw of a named hand on a drill, plain enough to be seen by anyone; None for names that are not flaws.
    pub fn plain(name: HandName, drill: &Drill) -> Option<Flaw> {
        let start_m = drill.start.altitude_m;
        let three = three_degree_lever(&drill.aircraft, start_m, -1.0);
        let three_mps = trim::three_degrees(&drill.aircraft, start_m).rate_mps;
        let band_m = widest_m(drill);
        let level_off = match band_m > 0.0 {
            true => LEVEL_OFF.min(LEVEL_OFF_PER_S * band_m / three_mps),
            false => LEVEL_OFF,
        };
        // Level power is wrong so that the first step is carried past its number.
        let to_m = drill.tasks.iter().find_map(|task| match &task.kind {
            Kind::Step(step) => Some(step.altitude_m),
            _ => None,
        });
        let way = to_m.map_or(1.0, |to_m| (to_m - start_m).signum());
        Some(match name {
            HandName::LevelOffLate => Flaw::LevelOff { late_s: 3.0 },
            HandName::LevelOffEarly => Flaw::LevelOff {
                late_s: -f64::max(3.0, STOPS_SHORT * band_m / three_mps),
            },
            HandName::PowerTooMuch => Flaw::Going { times: 1.6 },
            HandName::PowerTooLittle => Flaw::Going { times: 0.45 },
            HandName::SecondMoveMissing => Flaw::SecondMoveMissing,
            HandName::Pumping => Flaw::Pumping { swing: 0.5 * three },
            HandName::LevelPowerOff => Flaw::LevelPower {
                off: level_off * way * three,
            },
            HandName::DescentLate => Flaw::Descent {
                late_s: band_s(drill),
            },
            HandName::DescentEarly => Flaw::Descent {
                late_s: -band_s(drill),
            },
            HandName::Person
            | HandName::Script
            | HandName::Steady
            | HandName::Green
            | HandName::Brief
            | HandName::Best => return None,
        })
    }
}

/// Half-width of the widest band of a step, m.
fn widest_m(drill: &Drill) -> f64 {
    let bands = drill.tasks.iter().map(|task| match &task.kind {
        Kind::Step(step) => step.band_m,
        Kind::Surprise(surprise) => surprise.band_m,
        _ => 0.0,
    });
    bands.fold(0.0, f64::max)
}

/// Time in which a path comes down by what is missed of it, s.
fn band_s(drill: &Drill) -> f64 {
    let glides = drill.tasks.iter().filter_map(|task| match &task.kind {
        Kind::Path(path) => Some(path.glide),
        _ => None,
    });
    let seconds = glides
        .map(|glide| MISSES * glide.band_m / (drill.closure_mps().max(1.0) * tan(glide.slope_rad)));
    seconds.fold(0.0, f64::max)
}

/// A hand that shows a fault on every task that has room for it.
#[derive(Clone, Debug)]
pub struct Showing {
    step: Faulty,
    other: Stray,
    /// The task under way, and whether it is a step.
    task: Option<(Target, bool)>,
}

impl Showing {
    /// One that shows a flaw on a drill.
    pub fn new(drill: &Drill, flaw: Flaw) -> Showing {
        let learner = Learner::showing();
        Showing {
            step: Faulty::new(drill, learner, Some(flaw)),
            other: Stray::new(drill, learner, flaw),
            task: None,
        }
    }
}

impl Hand for Showing {
    fn lever(&mut self, sight: &Sight) -> Option<u16> {
        let is_step = match self.task {
            Some((target, is_step)) if target == sight.target => is_step,
            _ => match sight.target {
                Target::Altitude { altitude_m, band_m } => {
                    (sight.altitude_m - altitude_m).abs() > band_m
                }
                _ => false,
            },
        };
        self.task = Some((sight.target, is_step));
        // Both see everything.
        let (step, other) = (self.step.lever(sight), self.other.lever(sight));
        if is_step { step } else { other }
    }
}
