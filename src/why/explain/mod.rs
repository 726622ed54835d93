//! What can be said of a line of the bill.
//!
//! A line is always told by *facts*: how the lever differed from that of the better flight, which hands over where the line
//! begins ([`facts`]). It gets a *name* only where that is earned: the evidence of the motion speaks for it clearly
//! ([`evidence`]), and a flight with that one thing put right, flown here, brings back most of the line and ends well
//! ([`cures`]).

pub mod cures;
pub mod evidence;
pub mod facts;
pub mod landmarks;

use std::cell::OnceCell;

use super::bill::lines::Stretch;
use super::bill::reach::Curve;
use super::bill::{Better, Line, LineKind};
use super::refly::Again;
use super::words;
use crate::drill::{self, Target};
use crate::plan::{self, Recipe, Setting};
use crate::run::{self, Run, moves::Move};
use crate::sim::dynamics::State;
use crate::sim::math::tan;
use crate::sim::trim;
use crate::units::TICKS_PER_S;
use cures::Cure;
use landmarks::{Landmarks, Yardstick};

/// A name explains a line where the flight with that put right brings back so much of it.
const EXPLAINS: f64 = 0.6;
/// Lines of fewer points, or of so much less than the dearest of their task, are told as facts: what led to them is not to be
/// seen clearly.
const WORTH_A_NAME: f64 = 4.0;
const OF_DEAREST: f64 = 0.7;
/// Who needs more than so much of the lever of 3 degrees either way comes to the rescue; going with a step takes 1.3.
const RESCUES: f64 = 1.5;
/// Several corrections take so long, ticks.
pub const SEVERAL: u64 = 10 * TICKS_PER_S;
/// A lever below this is at idle, fraction of travel.
pub const IDLE: f64 = 0.05;
/// A line is looked at so often, ticks.
const LOOK: u64 = 8;
/// A descent has begun with this share of its path's sink, or of the power for it.
const SINKS: f64 = 0.5;

/// A leg with everything that is asked about it.
pub struct Case<'a> {
    /// The leg, to be flown again.
    pub again: &'a Again<'a>,
    /// The leg as it was flown.
    pub flown: &'a run::Leg,
    /// What lever and time mean in it.
    pub scale: Yardstick,
    /// Its moves.
    pub moves: Vec<Move>,
    /// Where things happen, in a step.
    pub step: Option<Landmarks>,
    /// The brief's recipe from where it began; planned once it is asked for.
    recipe: OnceCell<Recipe>,
}

/// A line to be explained.
pub struct Inquiry<'a> {
    /// The leg it lies in.
    pub leg: &'a Case<'a>,
    /// The line.
    pub line: &'a Stretch,
    /// The flight that hands over where the line begins.
    pub better: Option<Run>,
}

impl<'a> Case<'a> {
    /// Of a leg that has ended.
    pub fn of(again: &'a Again<'a>) -> Case<'a> {
        let flown = &again.run.legs()[again.leg];
        let aircraft = &again.run.drill().aircraft;
        let begun = &again.run.trace().at(flown.start as usize).state;
        let (h_m, way) = match flown.target {
            Target::Path(_) => (begun.h_m, -1.0),
            Target::Altitude { altitude_m, .. } => (altitude_m, (altitude_m - begun.h_m).signum()),
            Target::Vertical { .. } => {
                (begun.h_m, -flown.target.error(begun, flown.start).signum())
            }
        };
        let mut scale = Yardstick::new(aircraft, h_m, way);
        if let drill::Kind::Rate(rate) = &flown.kind {
            scale.level = trim::at_vertical(aircraft, h_m, rate.vertical_mps).lever;
        }
        let moves = again.lever.moves();
        let step = match flown.kind {
            drill::Kind::Step(_) => Landmarks::find(&scale, &moves, &again.lever, flown.start),
            _ => None,
        };
        Case {
            again,
            flown,
            scale,
            moves,
            step,
            recipe: OnceCell::new(),
        }
    }

    /// The brief's recipe from the state the leg began in.
    pub fn recipe(&self) -> &Recipe {
        let start = self.again.start;
        self.recipe.get_or_init(|| {
            plan::of_task(
                &Setting::of(self.again.run.drill()),
                &self.flown.kind,
                (self.state(start), self.again.lever.before, start),
            )
        })
    }

    /// The aeroplane at a tick.
    pub fn state(&self, tick: u64) -> &State {
        &self.again.run.trace().at(tick as usize).state
    }

    /// The lever that keeps what is asked at a tick.
    pub fn right(&self, tick: u64) -> f64 {
        match self.sink_asked_mps(tick) {
            None => self.scale.level,
            Some(sink_mps) => {
                let aircraft = &self.again.run.drill().aircraft;
                trim::at_vertical(aircraft, self.state(tick).h_m, -sink_mps).lever
            }
        }
    }

    /// Sink that keeps a path at a tick, m/s.
    pub fn sink_asked_mps(&self, tick: u64) -> Option<f64> {
        match &self.flown.target {
            Target::Path(glide) => Some(glide.closure_mps(self.state(tick)) * tan(glide.slope_rad)),
            _ => None,
        }
    }

    /// What counts of a path, where it is looked at, ticks.
    pub fn counting(&self) -> Vec<u64> {
        let ticks = (self.again.start..self.again.end).step_by(LOOK as usize);
        match &self.flown.target {
            Target::Path(glide) => {
                let counts =
                    |tick: &u64| glide.distance_m(self.state(*tick), *tick) <= glide.from_m;
                ticks.filter(counts).collect()
            }
            _ => Vec::new(),
        }
    }

    /// When a path's descent begins, tick, and how far above the path, s of its sink.
    pub fn begins_down(&self) -> Option<(u64, f64)> {
        let Target::Path(glide) = &self.flown.target else {
            return None;
        };
        let sink = |tick: u64| Some(-self.state(tick).vz_mps / self.sink_asked_mps(tick)?);
        let mut ticks = (self.again.start..self.again.end).step_by(LOOK as usize);
        let tick = ticks.find(|tick| sink(*tick).is_some_and(|sink| sink > SINKS))?;
        let above_m = glide.deviation_m(self.state(tick), tick);
        Some((tick, above_m / self.sink_asked_mps(tick)?))
    }

    /// Error over the half-width of the band, + past what is asked.
    pub fn share(&self, tick: u64) -> f64 {
        let (state, target) = (self.state(tick), &self.flown.target);
        self.scale.way * target.error(state, tick) / target.band(state, tick)
    }

    /// Vertical speed towards where it goes, over that of 3 degrees.
    pub fn pace(&self, tick: u64) -> f64 {
        self.scale.way * self.state(tick).vz_mps / self.scale.rate_mps
    }
}

impl Inquiry<'_> {
    /// The line's ticks that are looked at.
    fn ticks(&self) -> impl Iterator<Item = u64> {
        (self.line.from.tick..self.line.to.tick).step_by(LOOK as usize)
    }

    /// The mean of something over them.
    fn mean(&self, of: impl Fn(u64) -> f64) -> f64 {
        self.ticks().map(of).sum::<f64>() / self.ticks().count() as f64
    }

    /// The share of them where something holds.
    fn share(&self, is: impl Fn(&u64) -> bool) -> f64 {
        self.ticks().filter(is).count() as f64 / self.ticks().count() as f64
    }

    /// Whether the better flight only comes to the rescue: it does not end well, or needs far more or less power than the task
    /// does.
    fn is_rescue(&self) -> bool {
        let (leg, from) = (self.leg, self.line.from.tick);
        let Some(run) = &self.better else { return true };
        let flown = better(leg.again, run, from);
        let most = RESCUES * leg.scale.three;
        let last = (from + SEVERAL).min(run.trace().ticks() as u64);
        let off = |tick: u64| run.trace().lever_at(tick as usize) - leg.right(from);
        !flown.is_some_and(|flown| flown.ends_well)
            || (from..last).any(|tick| off(tick).abs() > most)
    }

    /// The leg flown again with what a name stands for put right, or a beginning as the brief has it; None where that does not
    /// end well or does not bring back most of the line.
    pub fn put_right(&self, kind: LineKind) -> Option<(LineKind, Cure, Better)> {
        let cure = cures::of(self, kind)?;
        let flown = better(self.leg.again, &cure.run, cure.from)?;
        let wanted = EXPLAINS * self.line.points();
        let explains = flown.ends_well && flown.points - self.line.to.points >= wanted;
        explains.then_some((kind, cure, flown))
    }
}

/// The lines of a bill, in the order of time, each with what can be said of it.
pub fn lines(leg: &Case, curve: &Curve, stretches: &[Stretch]) -> Vec<Line> {
    let mut order: Vec<&Stretch> = stretches.iter().collect();
    order.sort_by(|a, b| b.points().total_cmp(&a.points()));
    let dearest = order.first().map_or(0.0, |stretch| stretch.points());
    let least = WORTH_A_NAME.max(OF_DEAREST * dearest);
    let mut lines: Vec<Line> = Vec::new();
    for stretch in order {
        let from = stretch.from.tick;
        let scene = Inquiry {
            leg,
            line: stretch,
            better: curve.better(leg.again, from),
        };
        let told: Vec<LineKind> = lines.iter().map(|line| line.kind).collect();
        let mut line = Line::of(leg.again, stretch, &curve.reach);
        (line.kind, line.amount) = facts::of(&scene, &told);
        // A beginner's fault comes before every name.
        let is_first = matches!(
            line.kind,
            LineKind::NeverMoved | LineKind::WrongWay | LineKind::NeverLevelled
        );
        let mut names = names(&scene, &told);
        // An error that the lever keeps making, or that was there from the beginning, is not one that was left.
        let makes = matches!(
            line.kind,
            LineKind::LevelPowerOff
                | LineKind::LeftAtIdle
                | LineKind::LeftAtFull
                | LineKind::BeganLate
        );
        names.retain(|name| !makes || *name != LineKind::NotCorrected);
        let tried = match names {
            _ if stretch.points() < least => Vec::new(),
            names if is_first || names.is_empty() => vec![line.kind],
            names => names,
        };
        let put_right = tried.into_iter().filter_map(|kind| scene.put_right(kind));
        let best = put_right.max_by(|a, b| a.2.points.total_cmp(&b.2.points));
        let best = best.or_else(|| scene.put_right(line.kind));
        let is_cured = best.is_some();
        let flight = match best {
            Some((kind, cure, flown)) => {
                // By how much a beginning was wrong the fact says.
                line.amount = cure.amount.unwrap_or(line.amount);
                (line.kind, line.better) = (kind, Some(flown));
                Some(cure.run)
            }
            None => {
                let flown = scene.better.as_ref();
                line.better = flown.and_then(|run| better(leg.again, run, from));
                scene.better
            }
        };
        line.sentence = words::sentence(leg.again.run, &line, flight.as_ref(), is_cured);
        lines.push(line);
    }
    lines.sort_by_key(|line| line.from);
    lines
}

/// What a line may be named beside what was told: what its motion speaks for. Slowing in, power comes up once, and the flights
/// themselves tell whether that was late or early.
fn names(scene: &Inquiry, told: &[LineKind]) -> Vec<LineKind> {
    let mut names = match scene.leg.flown.kind {
        drill::Kind::Slow(_) => vec![LineKind::PowerUpLate, LineKind::PowerUpEarly],
        _ => Vec::from_iter(evidence::name(scene)),
    };
    names.retain(|name| !told.contains(name));
    names
}

fn better(again: &Again, run: &Run, from: u64) -> Option<Better> {
    let leg = &run.legs()[again.leg];
    let holds = |end| leg.target.holds(&run.trace().at(end as usize).state, end);
    let ends_well = match &leg.kind {
        drill::Kind::Path(_) => leg.approach.touchdown.is_some() || leg.approach.has_obeyed(),
        _ => leg.captured.unwrap_or_else(|| leg.end.is_some_and(holds)),
    };
    Some(Better {
        points: again.worth(run)?.points,
        ends_well,
        from,
        log: run.log().to_vec(),
    })
}
