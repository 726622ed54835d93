//! The changes that are tried, one file a kind.

pub mod descent;
pub mod due;
pub mod engine;
pub mod going;
pub mod gust;
pub mod idle;
pub mod kept;
pub mod level;
pub mod pumping;
pub mod second;
pub mod timing;

use super::Kind;
use super::landmarks::{Landmarks, Scale};
use super::refly::{Leg, hand_over};
use super::worth::{Judge, Worth};
use crate::drill::{self, Target};
use crate::run::moves::{Lever, Move};
use crate::run::{Point, Run};
use crate::sim::math::tan;
use crate::sim::trim;

/// Power put on after a level-off that shows it came too early, over that of 3 degrees.
const AGAIN: f64 = 0.3;

/// Share of the gain of a level-off that is later from which on more power, or a move back, explains it.
const EXPLAINS: f64 = 0.6;

/// A leg with everything that candidates are made from.
pub struct Scene<'a> {
    /// The run it was flown in.
    pub run: &'a Run,
    /// Its index in the run.
    pub index: usize,
    /// The leg, to be flown again.
    pub leg: Leg,
    /// Its moves.
    pub moves: Vec<Move>,
    /// Lever and time.
    pub scale: Scale,
    /// What was made of it.
    pub flown: Worth,
    /// Who judges it.
    pub judge: Judge,
}

/// A changed flight and the unchanged one it is measured against.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// What was changed.
    pub kind: Kind,
    /// By how much, in the kind's unit.
    pub amount: f64,
    /// Where the changed flight parts from the one that was flown.
    pub from_tick: u64,
    /// Where `steady` takes it over.
    pub hand_over_tick: u64,
    /// The changed flight.
    pub run: Run,
    /// What it is worth.
    pub changed: Worth,
    /// What the unchanged flight is worth with the same hand-over.
    pub unchanged: Worth,
}

impl Candidate {
    /// What the change alone is worth in cost, s.
    pub fn gain_s(&self) -> f64 {
        self.unchanged.cost_s - self.changed.cost_s
    }

    /// The same in the smooth cost, s.
    pub fn soft_gain_s(&self) -> f64 {
        self.unchanged.soft_s + self.unchanged.steep_s - self.changed.soft_s - self.changed.steep_s
    }
}

impl Scene<'_> {
    /// Error towards where the leg goes, over the half-width of its band, at the beginning of each of a range of ticks: +
    /// past what is asked.
    pub fn shares(&self, run: &Run, ticks: std::ops::Range<u64>) -> Vec<f64> {
        let leg = &self.run.legs()[self.index];
        let end = run
            .tick()
            .min(run.legs()[self.index].end.unwrap_or(run.tick()));
        let share = |tick: u64| {
            let state = &run.trace().at(tick as usize).state;
            self.scale.way * leg.target.error(state, tick) / leg.target.band(state, tick)
        };
        (ticks.start..ticks.end.min(end)).map(share).collect()
    }

    /// Whether it has not reached what is asked at a tick.
    pub fn is_short_at(&self, tick: u64) -> bool {
        self.shares(self.run, tick..tick + 1)
            .iter()
            .any(|at| *at < 0.0)
    }

    /// The instants of a range of ticks, as far as the leg has them.
    fn points(&self, ticks: std::ops::Range<u64>) -> &[Point] {
        let end = self.run.legs()[self.index].end.unwrap_or(self.run.tick());
        let ticks = ticks.start.min(end) as usize..ticks.end.min(end) as usize;
        match ticks.is_empty() {
            true => &[],
            false => self.run.trace().between(ticks),
        }
    }

    /// The fastest it went where the leg goes, m/s.
    pub fn fastest_mps(&self, ticks: std::ops::Range<u64>) -> f64 {
        let points = self.points(ticks).iter();
        points
            .map(|p| self.scale.way * p.state.vz_mps)
            .fold(f64::NEG_INFINITY, f64::max)
    }

    /// Farthest past what is asked once a level-off has begun, over the half-width of the band.
    pub fn farthest(&self, run: &Run, from: u64) -> f64 {
        let until = from + self.scale.period as u64;
        self.shares(run, from..until)
            .into_iter()
            .fold(f64::NEG_INFINITY, f64::max)
    }

    /// Whether it goes the other way while the lever is past level.
    pub fn turns_back(&self, marks: &Landmarks) -> bool {
        let until = marks.back.map_or(marks.hand_over, |m| m.start);
        let turned_mps = -0.1 * self.scale.rate_mps;
        let mut points = self.points(marks.onset.end..until).iter();
        points.any(|p| self.scale.way * p.state.vz_mps < turned_mps)
    }

    /// Whether power goes on again after a level-off while the aeroplane is short by a share of the band.
    pub fn goes_again(&self, marks: &Landmarks, short: f64) -> bool {
        let after = self.moves.iter().filter(|m| m.start > marks.onset.end);
        let mut least = self.scale.beyond(marks.onset.to).max(0.0);
        for m in after {
            let is_short = self.shares(self.run, m.start..m.start + 1);
            if is_short.first().is_none_or(|share| *share > -short) {
                return false;
            }
            if self.scale.beyond(m.to) >= least + AGAIN * self.scale.three {
                return true;
            }
            least = least.min(self.scale.beyond(m.to).max(0.0));
        }
        false
    }

    /// Where it first stops or nearly stops after a tick, over the half-width of the band: negative short of what is asked.
    pub fn stops_at(&self, from: u64) -> Option<f64> {
        let end = self.run.legs()[self.index].end?;
        let slow_mps = 0.15 * self.scale.rate_mps;
        let trace = self.run.trace();
        let stop = (from..end)
            .find(|tick| self.scale.way * trace.at(*tick as usize).state.vz_mps <= slow_mps)?;
        self.shares(self.run, stop..stop + 1).first().copied()
    }

    /// Sink along the path at a tick, m/s; 0 on what is no path.
    pub fn sink_mps(&self, tick: u64) -> f64 {
        match &self.run.legs()[self.index].target {
            Target::Path(glide) => {
                let state = &self.run.trace().at(tick as usize).state;
                glide.closure_mps(state) * tan(glide.slope_rad)
            }
            _ => 0.0,
        }
    }

    /// The lever that keeps what is asked at a tick.
    pub fn right(&self, tick: u64) -> f64 {
        let Target::Path(_) = &self.run.legs()[self.index].target else {
            return self.scale.level;
        };
        let h_m = self.run.trace().at(tick as usize).state.h_m;
        let aircraft = &self.run.drill().aircraft;
        trim::at_vertical(aircraft, h_m, -self.sink_mps(tick)).lever
    }

    /// The lever as it was.
    pub fn lever(&self) -> &Lever {
        &self.leg.lever
    }

    /// The leg as it was up to a tick and by `steady` from there.
    pub fn unchanged(&self, at: u64) -> Option<Worth> {
        let run = self.leg.until(at);
        let run = hand_over(run, &[], at);
        self.judge.worth(&run)
    }
}

/// Every change worth trying on a step.
pub fn of_step(scene: &Scene) -> Vec<Candidate> {
    let mut found = Vec::new();
    let start = scene.run.legs()[scene.index].start;
    if let Some(early) = Landmarks::find(&scene.scale, &scene.moves, scene.lever(), start)
        && let marks = left_alone(scene, early)
        && let Some(unchanged) = scene.unchanged(marks.hand_over)
    {
        let second = second::of(scene, &marks, unchanged);
        let timing = timing::of(scene, &marks, unchanged);
        // Power left past level makes it stop short too: where giving it back explains it, that is no early level-off.
        let turned = second.as_ref().is_some_and(|second| {
            scene.turns_back(&marks)
                || timing
                    .as_ref()
                    .is_some_and(|timing| second.gain_s() > EXPLAINS * timing.gain_s())
        });
        let going = going::of(scene, &marks, unchanged);
        let going = match marks.is_left_alone {
            false => going,
            // A better rate need not end on the number by itself.
            true => {
                let corrected = scene
                    .unchanged(early.hand_over)
                    .and_then(|unchanged| going::of(scene, &early, unchanged));
                let both = going.into_iter().chain(corrected);
                both.max_by(|a, b| a.gain_s().total_cmp(&b.gain_s()))
            }
        };
        // And going too slowly makes every level-off early for that rate: the power is the cure that comes first.
        let slow = going.as_ref().is_some_and(|going| {
            going.kind == Kind::PowerTooLittle
                && timing
                    .as_ref()
                    .is_some_and(|timing| going.gain_s() > EXPLAINS * timing.gain_s())
        });
        let is_told = |found: &Candidate| found.kind != Kind::LevelOffEarly || !turned && !slow;
        found.extend(timing.filter(is_told));
        found.extend(second);
        found.extend(going);
        let level = level::of(scene, &marks);
        found.extend(level.or_else(|| kept::after(scene, marks.settled())));
    } else {
        found.extend(going::without_level_off(scene));
    }
    found.extend(pumping::of(scene));
    // Too much power taken off lets the engine down as well: one thing, told once.
    if !found.iter().any(|found| found.kind == Kind::PowerTooMuch) {
        found.extend(engine::of(scene));
    }
    found.extend(gust::of(scene));
    found.extend(idle::of(scene));
    found
}

/// Who leaves the lever alone off the number after a level-off is not about to correct: the other hand comes in after that.
fn left_alone(scene: &Scene, marks: Landmarks) -> Landmarks {
    match idle::wait(scene) {
        Some((from, to)) if from >= marks.onset.start => Landmarks {
            hand_over: marks.hand_over.max(to),
            is_left_alone: true,
            ..marks
        },
        _ => marks,
    }
}

/// Every change worth trying on a leg that asks to stay at an altitude or a rate.
pub fn of_stay(scene: &Scene) -> Vec<Candidate> {
    let mut found = Vec::new();
    found.extend(kept::of(scene));
    if let drill::Kind::Hold(_) = scene.run.legs()[scene.index].kind {
        found.extend(idle::of(scene));
    }
    found.extend(pumping::of(scene));
    found.extend(engine::of(scene));
    found.extend(gust::of(scene));
    found
}

/// Every change worth trying on a path.
pub fn of_path(scene: &Scene) -> Vec<Candidate> {
    let mut found = Vec::new();
    let kept = kept::on_path(scene);
    // Too little power taken off is late for any moment, too much early: the power is the cure that comes first.
    let power = kept
        .as_ref()
        .filter(|found| matches!(found.kind, Kind::PowerTooMuch | Kind::PowerTooLittle));
    let explained_s = power.map_or(f64::NEG_INFINITY, |found| found.gain_s() / EXPLAINS);
    found.extend(descent::of(scene).filter(|found| found.gain_s() > explained_s));
    found.extend(kept);
    found.extend(pumping::of(scene));
    found.extend(engine::of(scene));
    found.extend(gust::of(scene));
    found
}

/// A lever in thousandths.
fn thousandths(lever: f64) -> u16 {
    crate::run::thousandths(lever)
}
