//! A hand that shows a fault plainly: it flies what the brief says with one thing changed, leaves that
//! until it has shown, and goes on as `steady`.

use std::sync::Arc;

use super::{Brief, Hand, SHORT_OF_FULL, Sight, Steady};
use crate::drill::{Drill, Kind};
use crate::plan::recipe::{LEVER_PER_S, half_percent};
use crate::plan::{Move, Recipe, When, three_degree_lever};
use crate::run::Travel;
use crate::run::recording::HandName;
use crate::sim::aircraft::Aircraft;
use crate::sim::trim;
use crate::units::{FT, NM, TICKS_PER_S};

/// How far off its time a level-off or a descent is, s: three seconds late is a second later than most people are.
const LEVEL_OFF_S: f64 = 3.0;
const DESCENT_S: f64 = 12.0;
/// At idle, with extras coming out, the aeroplanes that ship lose 1.9 to 2.8 kt a second while slowing in.
const LOSES_KT_PER_S: f64 = 2.3;
/// The size of the first move, as a multiple of what it should be.
const MUCH: f64 = 1.6;
const LITTLE: f64 = 0.45;
/// How wrong a level power is, as a share of the lever of 3 degrees.
const WRONG: f64 = 0.25;
/// How far past level power a stop goes at least, as a share of the lever of 3 degrees: as far as a
/// level-off without a second move usually does.
const PAST: f64 = 0.4;
/// How far pumping goes to either side, as a share of the lever of 3 degrees, and how long
/// until it turns, ticks: before any answer shows.
const PUMPS: f64 = 0.6;
const TURNS: u64 = 3 * TICKS_PER_S / 2;
/// How long the fault is left to show after its last move, ticks: what came at the wrong time for as long as a
/// person looks at it, what is left wrong for longer.
const LOOKED_AT: u64 = 3 * TICKS_PER_S;
const LEFT: u64 = 10 * TICKS_PER_S;
/// The longest that a fault under way is left, ticks of the task: after too small a first move the next cue may never come.
const LONGEST: u64 = 30 * TICKS_PER_S;

/// The kinds of task in which a fault has a meaning: a level-off belongs to a step or to slowing in, a first move to a task
/// that goes somewhere else. Empty for hands without a fault.
pub fn stage(name: HandName) -> &'static [&'static str] {
    match name {
        HandName::LevelOffLate | HandName::LevelOffEarly | HandName::SecondMoveMissing => {
            &["step", "slow"]
        }
        HandName::PowerTooMuch | HandName::PowerTooLittle => &["step", "rate", "path"],
        HandName::Pumping | HandName::LevelPowerOff => &["step", "hold", "rate", "path", "slow"],
        HandName::DescentLate | HandName::DescentEarly => &["path"],
        HandName::Person
        | HandName::Script
        | HandName::Steady
        | HandName::Green
        | HandName::Brief
        | HandName::Best => &[],
    }
}

/// Whether a hand has something to show on a drill. A hand without a fault always has; one with a fault needs a scored task
/// with room for it, or a scored surprise that may draw one.
pub fn shows(name: HandName, drill: &Drill) -> bool {
    let stage = stage(name);
    let has_room = |kind: &Kind| match kind {
        Kind::Surprise(surprise) => surprise.kinds.iter().any(|kind| stage.contains(kind)),
        kind => stage.contains(&kind.name()),
    };
    let mut tasks = drill.tasks.iter().filter(|task| task.scored);
    stage.is_empty() || tasks.any(|task| has_room(&task.kind))
}

/// The hand.
#[derive(Clone, Debug)]
pub struct Showing {
    fault: HandName,
    aircraft: Aircraft,
    brief: Brief,
    steady: Steady,
    /// When `steady` takes over, ticks of the task.
    until: u64,
    /// Where `steady` would have the lever; pumping goes about that.
    middle: f64,
}

impl Showing {
    pub fn new(drill: &Arc<Drill>, fault: HandName) -> Showing {
        Showing {
            fault,
            aircraft: drill.aircraft.clone(),
            brief: Brief::new(drill),
            steady: Steady::new(drill),
            until: 0,
            middle: drill.start_lever(),
        }
    }

    /// The recipe with the fault in it; empty where there is no room for it.
    fn spoilt(&self, mut moves: Recipe, sight: &Sight) -> Recipe {
        if moves.is_empty() || !stage(self.fault).contains(&sight.kind.name()) {
            return Recipe::new();
        }
        let level = trim::on_speed(&self.aircraft, sight.altitude_m, 0.0).lever;
        let rate_mps = trim::three_degrees(&self.aircraft, sight.altitude_m).rate_mps;
        let stop = moves
            .iter()
            .position(|m| matches!(m.when, When::ToGoFt | When::FastKt));
        let up = stop.filter(|stop| moves[*stop].when == When::FastKt);
        let stop = stop.unwrap_or(0);
        // In slowing in, the stop is the power coming up.
        let (off_ft, off_kt) = (LEVEL_OFF_S * rate_mps / FT, LEVEL_OFF_S * LOSES_KT_PER_S);
        let closure_mps = sight.approach.map_or(0.0, |(_, closure_mps)| closure_mps);
        let off_nm = DESCENT_S * closure_mps / NM;
        match self.fault {
            HandName::LevelOffLate if up.is_some() => {
                let cue = Move {
                    lever: sight.lever.min(moves[0].lever),
                    ..moves[stop]
                };
                (moves[stop].when, moves[stop].value) = (When::AfterS, LEVEL_OFF_S);
                moves.insert(stop, cue);
            }
            HandName::LevelOffEarly if up.is_some() => moves[stop].value += off_kt,
            HandName::LevelOffLate => moves[stop].value -= off_ft,
            HandName::LevelOffEarly => moves[stop].value += off_ft,
            HandName::PowerTooMuch | HandName::PowerTooLittle => {
                let times = match self.fault {
                    HandName::PowerTooMuch => MUCH,
                    _ => LITTLE,
                };
                moves[0].lever = half_percent(level + times * (moves[0].lever - level));
            }
            HandName::SecondMoveMissing => {
                // The stop goes past level power, so that there is something to give back.
                let way = (level - moves[0].lever).signum();
                let past = PAST * three_degree_lever(&self.aircraft, sight.altitude_m, way);
                let least = half_percent(level + way * past);
                if way * (least - moves[stop].lever) > 0.0 {
                    moves[stop].lever = least;
                }
                moves.truncate(stop + 1);
            }
            HandName::LevelPowerOff => {
                let last = moves.len() - 1;
                let off = WRONG * three_degree_lever(&self.aircraft, sight.altitude_m, -1.0);
                moves[last].lever = half_percent(moves[last].lever + off);
            }
            HandName::DescentLate => moves[0].value -= off_nm,
            HandName::DescentEarly => moves[0].value += off_nm,
            _ => return Recipe::new(),
        }
        if let Kind::Path(_) = sight.kind {
            // The end of a path is not part of the fault.
            moves.truncate(1);
        }
        moves
    }

    /// Moves the lever to and fro about where `steady` would have it.
    fn pumped(&mut self, sight: &Sight) -> Option<u16> {
        let own = Sight {
            lever: self.middle,
            ..*sight
        };
        if let Some(lever) = self.steady.lever(&own) {
            self.middle = f64::from(lever) / 1000.0;
        }
        let side = match (sight.tick / TURNS).is_multiple_of(2) {
            true => 1.0,
            false => -1.0,
        };
        let three = three_degree_lever(&self.aircraft, sight.altitude_m, -1.0);
        let wanted = (self.middle + side * PUMPS * three).clamp(0.0, SHORT_OF_FULL);
        Travel::per_s(LEVER_PER_S).next(sight.lever, wanted)
    }
}

impl Hand for Showing {
    fn lever(&mut self, sight: &Sight) -> Option<u16> {
        let is_over = sight.is_down || sight.is_called;
        if self.fault == HandName::Pumping && !is_over {
            return self.pumped(sight);
        }
        if sight.task_ticks == 0 {
            // Reads the brief, and spoils it.
            let moves = self.brief.meet(sight).clone();
            let spoilt = self.spoilt(moves, sight);
            self.until = if spoilt.is_empty() { 0 } else { u64::MAX };
            self.brief.replace(spoilt);
        }
        if sight.task_ticks >= self.until || is_over {
            return self.steady.lever(sight);
        }
        self.steady.watch(sight);
        let lever = self.brief.follow(sight);
        if self.until == u64::MAX {
            let is_long = self.brief.has_begun() && sight.task_ticks >= LONGEST;
            if self.brief.is_done() {
                self.until = sight.task_ticks
                    + match self.fault {
                        HandName::SecondMoveMissing | HandName::LevelPowerOff => LEFT,
                        _ => LOOKED_AT,
                    };
            } else if is_long {
                self.until = sight.task_ticks;
            }
        }
        lever
    }
}
