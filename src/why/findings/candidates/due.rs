//! When a level-off was due, gusts apart: what the air brings after it began is nobody's fault.
//!
//! The leg is flown in air that brings no new gusts, and levelled off there as it was, sooner and later, until it stops on
//! the number. That gives the *time to go*: height to go over vertical speed when it begins, which is how a lead is reckoned
//! at the lever (by FAA-H-8083-15 a tenth of the vertical speed in ft/min, which is 6 s to go). In the air as it was, the
//! level-off was due when the flight had that time to go.

use super::{Scene, thousandths};
use crate::run::{Run, Trace};
use crate::units::TICKS_PER_S;
use crate::why::findings::landmarks::{Landmarks, asked_m};
use crate::why::findings::refly::{Leg, follow};

/// Level-offs are tried so many ticks apart.
const APART: u64 = TICKS_PER_S / 4;
/// Vertical speed is the mean over so many ticks.
const READ: usize = TICKS_PER_S as usize;
/// A level-off that has not stopped the aeroplane after so many phugoid periods is judged by where it is then.
const STOPS_PERIODS: f64 = 0.5;
/// Longest look ahead after a level-off that came early, ticks.
const AHEAD: u64 = 12 * TICKS_PER_S;

/// By how many ticks the level-off would have to move to come when it was due: below 0 where it came late.
pub fn shift(scene: &Scene, marks: &Landmarks) -> Option<i64> {
    let due = Due::new(scene, marks)?;
    let time_to_go_s = due.time_to_go_s()?;
    let onset = marks.onset.start;
    let mut run = scene.leg.until(due.first);
    while !due.is_within(&run, time_to_go_s) {
        if run.tick() >= onset + AHEAD || !due.go_on(&mut run) {
            return None;
        }
    }
    Some(run.tick() as i64 - onset as i64)
}

struct Due<'a> {
    /// The leg in settled air.
    settled: Leg,
    way: f64,
    asked_m: f64,
    /// The tick after the move that sets it going.
    first: u64,
    onset: u64,
    /// The lever before the level-off.
    going: &'a [(u64, u16)],
    /// The level-off, with the right power after it: a wrong one is another fault.
    level_off: Vec<(u64, u16)>,
    stops_ticks: u64,
}

impl<'a> Due<'a> {
    fn new(scene: &'a Scene, marks: &Landmarks) -> Option<Due<'a>> {
        let changes = &scene.lever().changes;
        let before = |end: u64| changes.partition_point(|(tick, _)| *tick < end);
        let onset = before(marks.onset.start);
        let settled = match marks.past.is_some() && marks.back.is_none() {
            true => marks.hand_over,
            false => marks.settled(),
        };
        let mut level_off = changes[onset..before(settled)].to_vec();
        level_off.push((settled, thousandths(scene.scale.level)));
        Some(Due {
            settled: scene.leg.in_settled_air(),
            way: scene.scale.way,
            asked_m: asked_m(&scene.run.legs()[scene.index])?,
            first: marks.going.first.end + 1,
            onset: marks.onset.start,
            going: &changes[..onset],
            level_off,
            stops_ticks: (STOPS_PERIODS * scene.scale.period) as u64,
        })
    }

    fn to_go_m(&self, run: &Run) -> f64 {
        self.way * (self.asked_m - run.world().state().h_m)
    }

    fn is_within(&self, run: &Run, time_to_go_s: f64) -> bool {
        let going_mps = self.way * lately_mps(run.trace());
        going_mps > 0.0 && self.to_go_m(run) <= time_to_go_s * going_mps
    }

    /// Flies a tick with the going power; false where the leg has ended.
    fn go_on(&self, run: &mut Run) -> bool {
        let legs = run.legs().len();
        let next = run.tick() + 1;
        follow(run, self.going, next);
        run.end().is_none() && run.legs().len() == legs
    }

    /// Time to go at the beginning of the level-off that stops on the number in settled air.
    fn time_to_go_s(&self) -> Option<f64> {
        let mut run = self.settled.until(self.first);
        let mut tried = Vec::new();
        while self.to_go_m(&run) > 0.0 {
            if run.tick().is_multiple_of(APART) {
                let going_mps = self.way * lately_mps(run.trace());
                tried.push((run.fork(), self.to_go_m(&run) / going_mps));
            }
            if !self.go_on(&mut run) {
                break;
            }
        }
        let past = tried.partition_point(|(run, _)| self.misses_by_m(run) <= 0.0);
        let (short, past) = (past.checked_sub(1)?, past.min(tried.len() - 1));
        let nearest = |index: &usize| self.misses_by_m(&tried[*index].0).abs();
        let index = match nearest(&short) <= nearest(&past) {
            true => short,
            false => past,
        };
        Some(tried[index].1)
    }

    /// How far past the number the aeroplane first stops, levelled off from where a run stands, m; below 0 short of it.
    fn misses_by_m(&self, run: &Run) -> f64 {
        let mut run = run.clone();
        let begin = run.tick();
        let level_off: Vec<(u64, u16)> = self
            .level_off
            .iter()
            .map(|(tick, lever)| (tick - self.onset + begin, *lever))
            .collect();
        while run.tick() < begin + self.stops_ticks
            && run.end().is_none()
            && self.way * run.world().state().vz_mps > 0.0
        {
            let next = run.tick() + 1;
            follow(&mut run, &level_off, next);
        }
        -self.to_go_m(&run)
    }
}

/// Vertical speed as it was lately, m/s.
fn lately_mps(trace: &Trace) -> f64 {
    let points = trace.points();
    let lately = &points[points.len().saturating_sub(READ)..];
    lately.iter().map(|point| point.state.vz_mps).sum::<f64>() / lately.len() as f64
}
