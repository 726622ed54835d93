//! The landmarks of a step: the power it goes with, the level-off, the return to level power.

use crate::plan::three_degree_lever;
use crate::run::moves::{Lever, LeverMove};
use crate::sim::aircraft::Aircraft;
use crate::sim::stability;
use crate::sim::trim;
use crate::units::TICKS_PER_S;

/// Power beyond level that counts as going, over the lever of 3 degrees.
const GOING: f64 = 0.25;
/// The level-off leaves less than this share of the usual going power, at once and on average over the time after it.
const LEVELLED: f64 = 0.55;
/// The time after it, phugoid periods.
const AFTER_PERIODS: f64 = 0.07;
/// The most that counts as usual going power, over the lever of 3 degrees: a learner who begins with a kick takes it back
/// first, and that is not the level-off.
const USUAL: f64 = 1.0;
/// A change of the lever smaller than this is aimless, over the lever of 3 degrees.
pub const AIMLESS: f64 = 0.08;
/// A lever left past level by less than this is taken for a level power set wrong, by more for a move back that never came: the
/// two have the same effect. Over the lever of 3 degrees.
pub const MEANT: f64 = 0.3;
/// A return comes within this of the level-off, phugoid periods.
const RETURN_PERIODS: f64 = 0.35;
/// A learner who goes later than this after the task's beginning was not on the way when it began, phugoid periods.
const SOON_PERIODS: f64 = 0.12;
/// A return that never comes counts as missing from this time after the level-off's beginning, phugoid periods.
const MISSING_PERIODS: f64 = 0.5;
/// A level-off lies at most this far from when it was due, phugoid periods: moves farther apart are two different ones.
const SHIFT_PERIODS: f64 = 0.3;

/// The scales of lever and time for an aeroplane where a leg asks it to be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Yardstick {
    /// +1 where the leg goes up, -1 where it goes down.
    pub way: f64,
    /// Lever that keeps what is asked.
    pub level: f64,
    /// Lever from level to 3 degrees on the going side, fraction of travel.
    pub three: f64,
    /// 3-degree rate, m/s.
    pub rate_mps: f64,
    /// Phugoid period, ticks.
    pub period: f64,
}

impl Yardstick {
    /// The yardstick of a leg that asks to go `way` to, or to stay at, an altitude in m.
    pub fn new(aircraft: &Aircraft, h_m: f64, way: f64) -> Yardstick {
        let level = trim::on_speed(aircraft, h_m, 0.0);
        let swing = stability::swing(aircraft, h_m, &level);
        Yardstick {
            way,
            level: level.lever,
            three: three_degree_lever(aircraft, h_m, way),
            rate_mps: trim::three_degrees(aircraft, h_m).rate_mps,
            period: swing.period_s * TICKS_PER_S as f64,
        }
    }

    /// Whether a change of the lever is large enough to be deliberate.
    pub fn is_move(&self, by: f64) -> bool {
        by.abs() >= AIMLESS * self.three
    }

    /// Power beyond level of a lever, + towards the going side.
    pub fn beyond(&self, lever: f64) -> f64 {
        self.way * (lever - self.level)
    }

    /// Whether a lever setting is one to go with.
    pub fn is_going(&self, lever: f64) -> bool {
        self.beyond(lever) >= GOING * self.three
    }

    /// How far a level-off may lie from when it was due, ticks.
    pub fn far(&self) -> u64 {
        (SHIFT_PERIODS * self.period) as u64
    }
}

/// The landmarks of a step as it was flown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Landmarks {
    /// The move that sets the power it goes with.
    pub first: LeverMove,
    /// The median power beyond level from that move to the level-off, fraction of travel.
    pub beyond: f64,
    /// The first move of the level-off.
    pub onset: LeverMove,
    /// How far it goes past level, where that is marked, fraction of travel.
    pub past: Option<f64>,
    /// The move back, where there is one in time.
    pub back: Option<LeverMove>,
    /// The tick from which a move back that never comes counts as missing.
    pub missing: u64,
}

impl Landmarks {
    /// Finds the landmarks of a finished leg that began at `start`; None where there is no level-off in it.
    pub fn find(
        scale: &Yardstick,
        moves: &[LeverMove],
        lever: &Lever,
        start: u64,
    ) -> Option<Landmarks> {
        let soon = start + (SOON_PERIODS * scale.period) as u64;
        let first = match moves.iter().find(|m| scale.is_going(m.to)) {
            Some(first) if first.start <= soon || !scale.is_going(lever.before) => *first,
            // The aeroplane is already on its way when it is asked to stop.
            _ if scale.is_going(lever.before) => LeverMove {
                start,
                end: start,
                from: lever.before,
                to: lever.before,
            },
            _ => return None,
        };
        let after = (AFTER_PERIODS * scale.period) as u64;
        let index = moves.iter().position(|m| {
            let going = first.end..m.start.max(first.end + 1);
            let left = || LEVELLED * scale.beyond(lever.mean(going)).min(USUAL * scale.three);
            m.start >= first.end
                && scale.way * m.by() < 0.0
                && scale
                    .beyond(m.to)
                    .max(scale.beyond(lever.mean(m.end..m.end + after)))
                    < left()
        })?;
        let onset = moves[index];
        let beyond = scale.beyond(lever.median(first.end..onset.start.max(first.end + 1)));
        let after = &moves[index + 1..];
        let past = Some(-scale.beyond(onset.to)).filter(|past| *past > MEANT * scale.three);
        let in_time = |m: &&LeverMove| {
            scale.way * m.by() > 0.0
                && (m.start - onset.start) as f64 <= RETURN_PERIODS * scale.period
        };
        let back = past.and_then(|_| after.iter().find(in_time).copied());
        Some(Landmarks {
            first,
            beyond,
            onset,
            past,
            back,
            missing: onset.start + (MISSING_PERIODS * scale.period) as u64,
        })
    }
}
