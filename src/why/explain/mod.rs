//! Explains the lines of the bill.
//!
//! Every line has a *fact*: how the flight differed from the better flight, in which `steady` takes over where the line begins
//! ([`facts`]). It gets a *name* only if two things hold: the evidence of the motion clearly supports it ([`evidence`]), and a
//! flight with that one thing put right, flown here, brings back most of the line and ends well ([`cures`]).

mod apart;
pub mod cures;
pub mod evidence;
pub mod facts;
pub mod landmarks;

use std::cell::OnceCell;

use super::bill::{Better, Line, LineKind};
use super::words;
use crate::drill::{self, Target};
use crate::plan::{self, Recipe, Seen, Setting, Sight, When};
use crate::reach::{Again, Curve, Stretch, cut};
use crate::run::moves::{LeverMove, flown_until};
use crate::run::{self, Run};
use crate::score::{Reference, Worth, leg_lost, leg_worth};
use crate::sim::dynamics::State;
use crate::sim::math::tan;
use crate::sim::trim;
use crate::units::TICKS_PER_S;
use cures::Cure;
use evidence::Likely;
use landmarks::{Landmarks, Yardstick};

/// A name explains a line if the flight with that fault put right brings back at least this share of it.
const EXPLAINS: f64 = 0.6;
/// Lines of fewer points, or of less than `OF_DEAREST` of the points of their task's dearest line, get only facts: their cause
/// cannot be seen clearly.
const WORTH_A_NAME: f64 = 6.0;
const OF_DEAREST: f64 = 0.7;
/// A flight whose lever is farther than this from the one that keeps what is asked, over the lever of 3 degrees, is a rescue;
/// going with a step takes 1.3.
const RESCUES: f64 = 1.5;
/// The time that several corrections take, ticks.
pub const SEVERAL: u64 = 10 * TICKS_PER_S;
/// A lever below this is at idle, fraction of travel.
pub const IDLE: f64 = 0.05;
/// Interval at which a line is sampled, ticks.
const LOOK: u64 = 8;
/// A descent has begun at this share of its path's sink, or of the power for it.
const SINKS: f64 = 0.5;

/// The recipes of a drill's brief, one per task; planned on first use.
pub type Brief = OnceCell<Vec<Option<Recipe>>>;

/// A leg with everything needed to explain it.
pub struct Case<'a> {
    /// The leg, ready to be flown again.
    pub again: Again<'a>,
    /// Its points and cost as flown.
    pub own: Worth,
    /// The points in reach over the leg; None where there is nothing to measure them against.
    pub curve: Option<Curve>,
    /// The leg as it was flown.
    pub flown: &'a run::Leg,
    /// The scales of lever and time in this leg.
    pub scale: Yardstick,
    pub moves: Vec<LeverMove>,
    /// Where things happen, in a step.
    pub step: Option<Landmarks>,
    /// The brief's recipe from the state in which the leg began; planned on first use.
    recipe: OnceCell<Recipe>,
    /// The brief of the whole drill, which most lines do not need.
    brief: &'a Brief,
}

/// A line to be explained.
pub struct Inquiry<'a> {
    /// The leg it lies in.
    pub leg: &'a Case<'a>,
    pub line: &'a Stretch,
    /// The better flight: `steady` takes over where the line begins.
    pub better: Option<Run>,
}

impl<'a> Case<'a> {
    /// The case of a leg that begins where `begun`, a fork of the run, stands; None where the leg was left or does not count. A
    /// leg in which a fault ended the run earned nothing.
    pub fn of(
        run: &'a Run,
        leg: usize,
        begun: Run,
        reference: Reference,
        brief: &'a Brief,
    ) -> Option<Case<'a>> {
        let own = leg_worth(run, leg, &reference).or_else(|| leg_lost(run, leg, &reference))?;
        let again = Again::new(run, leg, begun, reference)?;
        let flown = &run.legs()[leg];
        if !run.drill().tasks[flown.task].scored {
            return None;
        }
        // A flawless leg has nothing to be measured against. A path on which the hands go around as called still has the points
        // for going around.
        let is_called = flown.approach.called.is_some();
        let is_lost = is_called || reference.best.is_some() || reference.par.is_some();
        let aircraft = &run.drill().aircraft;
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
        Some(Case {
            curve: is_lost.then(|| Curve::of(&again, own)),
            again,
            own,
            flown,
            scale,
            moves,
            step,
            recipe: OnceCell::new(),
            brief,
        })
    }

    /// The stretches in which points were lost, dearest first.
    pub fn stretches(&self) -> Vec<Stretch> {
        let reach = self.curve.as_ref().map(|curve| cut(&curve.reach));
        let mut stretches = reach.unwrap_or_default();
        stretches.sort_by(|a, b| b.points().total_cmp(&a.points()));
        stretches
    }

    /// Pairs a stretch with its better flight, ready to be explained.
    pub fn about(&'a self, line: &'a Stretch) -> Inquiry<'a> {
        let curve = self.curve.as_ref();
        let better = curve.and_then(|curve| curve.better(&self.again, line.from.tick));
        Inquiry {
            leg: self,
            line,
            better,
        }
    }

    /// The likely faults behind the dearest stretch; None where it is not worth a name.
    pub fn looks(&self) -> Option<Likely> {
        let dearest = self.stretches().into_iter().next()?;
        (dearest.points() >= WORTH_A_NAME).then(|| evidence::looks(&self.about(&dearest)))
    }

    /// The lines of a bill in time order, each explained; `others` are the likely faults of the other legs.
    pub fn lines(&self, others: &[Likely]) -> Vec<Line> {
        let order = self.stretches();
        let dearest = order.first().map_or(0.0, Stretch::points);
        let least = WORTH_A_NAME.max(OF_DEAREST * dearest);
        let mut lines: Vec<Line> = Vec::new();
        for stretch in &order {
            let mut scene = self.about(stretch);
            let told: Vec<LineKind> = lines.iter().map(|line| line.kind).collect();
            let mut line = Line::of(self, stretch);
            (line.kind, line.amount) = facts::of(&scene, &told);
            let tried = match stretch.points() < least {
                true => Vec::new(),
                false => scene.tried(line.kind, &told, others),
            };
            let put_right = tried.into_iter().filter_map(|kind| scene.put_right(kind));
            let best = put_right.max_by(|a, b| a.2.points.total_cmp(&b.2.points));
            let best = best.or_else(|| scene.put_right(line.kind));
            let cure = best.map(|(kind, cure, flown)| {
                // A cure without an amount keeps the fact's amount.
                line.amount = cure.amount.unwrap_or(line.amount);
                (line.kind, line.better) = (kind, Some(flown));
                cure
            });
            match &cure {
                // Compare the lever with that of the advised flight if both begin with the task.
                Some(cure) if line.kind.is_side() && scene.begins_with_the_task() => {
                    scene.better = Some(cure.run.clone());
                    (line.kind, line.amount) = apart::lever(&scene);
                }
                Some(_) => {}
                None => {
                    // A name without a flight that proves it is not given.
                    if line.kind.is_name() {
                        (line.kind, line.amount) = apart::lever(&scene);
                    }
                    let flown = scene.better.as_ref();
                    line.better = flown.and_then(|run| better(&self.again, run, stretch.from.tick));
                }
            }
            line.when = facts::when(&scene, line.kind).unwrap_or(line.when);
            let own = self.again.run;
            line.sentence = words::sentence(own, &line, cure.as_ref(), scene.better.as_ref());
            lines.push(line);
        }
        lines.sort_by_key(|line| line.from);
        lines
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

    /// The recipe that the drill's brief has for this task; None for a drawn task.
    fn read(&self) -> Option<&Recipe> {
        let drill = self.again.run.drill();
        let recipes = self.brief.get_or_init(|| plan::recipes(drill));
        recipes[self.flown.task].as_ref()
    }

    /// The recipe that a step's first two moves followed, and its stop: the recipe right from the state in which the step
    /// began, or the one in the brief.
    pub fn as_briefed(&self) -> Option<(&Recipe, &plan::Move)> {
        let onset = self.step.as_ref()?.onset;
        let mut made = self.made();
        let went = made.next()?.to;
        let is_next = made.next().is_some_and(|m| m.start == onset.start);
        is_next.then_some(())?;
        let right = Some(self.recipe()).filter(|recipe| self.begins_with(recipe, went));
        let read = || self.read().filter(|read| self.begins_with(read, went));
        let recipe = right.or_else(read)?;
        let stop = recipe.get(1).filter(|stop| stop.when == When::ToGoFt)?;
        self.is_set(onset.to, stop).then_some((recipe, stop))
    }

    /// Whether a first move goes where the drill's brief says.
    pub fn is_as_read(&self, to: f64) -> bool {
        let read = self.read();
        read.is_some_and(|read| self.begins_with(read, to))
    }

    fn begins_with(&self, recipe: &Recipe, to: f64) -> bool {
        recipe.first().is_some_and(|first| self.is_set(to, first))
    }

    /// Whether a lever is where a move of a recipe puts it.
    fn is_set(&self, lever: f64, m: &plan::Move) -> bool {
        !self.scale.is_move(lever - m.lever)
    }

    /// A step's landmarks, if its first move goes the same way as the brief's: the aeroplane may have been on its way already.
    pub fn going(&self) -> Option<&Landmarks> {
        let by = self.recipe().first()?.lever - self.again.lever.before;
        let marks = self.step.as_ref()?;
        (marks.first.by() * by > 0.0).then_some(marks)
    }

    /// The moves large enough to be deliberate.
    pub fn made(&self) -> impl Iterator<Item = &LeverMove> {
        self.moves.iter().filter(|m| self.scale.is_move(m.by()))
    }

    /// The quantity that a recipe's cue counts. Distance and airspeed only ever decrease.
    pub fn seen(&self, cue: When, sight: &Sight) -> Seen {
        let way = match cue {
            When::DistanceNm | When::FastKt => 1.0,
            _ => self.scale.way,
        };
        Seen {
            ticks: sight.task_ticks,
            to_go: way * sight.missing(),
        }
    }

    /// The points in reach at a tick, interpolated linearly between the sampled ticks; 0 where there is no curve.
    pub fn in_reach(&self, tick: u64) -> f64 {
        let reach = self.curve.as_ref().map_or(&[][..], |curve| &curve.reach);
        let next = reach.partition_point(|reach| reach.tick < tick);
        match (
            next.checked_sub(1).map(|last| &reach[last]),
            reach.get(next),
        ) {
            (Some(a), Some(b)) => {
                let share = (tick - a.tick) as f64 / (b.tick - a.tick) as f64;
                a.points + share * (b.points - a.points)
            }
            (None, Some(only)) | (Some(only), None) => only.points,
            (None, None) => 0.0,
        }
    }

    /// The state of the aeroplane at a tick.
    pub fn state(&self, tick: u64) -> &State {
        self.again.run.trace().state(tick as usize)
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

    /// The sink that keeps a path at a tick, m/s; None where the task is not a path.
    pub fn sink_asked_mps(&self, tick: u64) -> Option<f64> {
        match &self.flown.target {
            Target::Path(glide) => Some(glide.closure_mps(self.state(tick)) * tan(glide.slope_rad)),
            _ => None,
        }
    }

    /// The sampled ticks of a path that count.
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

    /// The tick at which a path's descent begins, and the height above the path then, s of its sink.
    pub fn begins_down(&self) -> Option<(u64, f64)> {
        let sinks = |tick: &u64| {
            let asked = self.sink_asked_mps(*tick)?;
            Some(-self.state(*tick).vz_mps > SINKS * asked)
        };
        let mut ticks = (self.again.start..self.again.end).step_by(LOOK as usize);
        let tick = ticks.find(|tick| sinks(tick) == Some(true))?;
        let above_m = self.flown.target.error(self.state(tick), tick);
        Some((tick, above_m / self.sink_asked_mps(tick)?))
    }

    /// How far the power that was meant to keep something was off, fraction of travel, on the side to which the flight is off
    /// on average: the offset that was exceeded for a fifth of the time. None on a path, which needs now more power, now less.
    pub fn power_off(&self) -> Option<f64> {
        let from = self.step.map_or(self.again.start, |marks| marks.onset.end);
        let ticks = || (from..self.again.end).step_by(LOOK as usize);
        let side: f64 = ticks().map(|tick| self.share(tick).clamp(-2.0, 2.0)).sum();
        let too_much = self.scale.way * side.signum();
        let off = |tick| too_much * (self.again.lever.at(tick) - self.scale.level);
        let mut offs: Vec<f64> = ticks().map(off).collect();
        offs.sort_by(f64::total_cmp);
        let is_path = matches!(self.flown.target, Target::Path(_));
        offs.get(offs.len() * 4 / 5).copied().filter(|_| !is_path)
    }

    /// Error over the half-width of the band, + past what is asked.
    pub fn share(&self, tick: u64) -> f64 {
        let (state, target) = (self.state(tick), &self.flown.target);
        self.scale.way * target.error(state, tick) / target.band(state, tick)
    }

    /// Vertical speed in the leg's direction, over that of 3 degrees.
    pub fn pace(&self, tick: u64) -> f64 {
        self.scale.way * self.state(tick).vz_mps / self.scale.rate_mps
    }
}

impl Inquiry<'_> {
    /// The sampled ticks of the line.
    fn ticks(&self) -> impl Iterator<Item = u64> {
        (self.line.from.tick..self.line.to.tick).step_by(LOOK as usize)
    }

    /// The mean of a quantity over the sampled ticks.
    fn mean(&self, of: impl Fn(u64) -> f64) -> f64 {
        self.ticks().map(of).sum::<f64>() / self.ticks().count() as f64
    }

    /// The share of the sampled ticks at which a condition holds.
    fn share(&self, is: impl Fn(&u64) -> bool) -> f64 {
        self.ticks().filter(is).count() as f64 / self.ticks().count() as f64
    }

    /// Whether the line begins at the start of a task that goes somewhere.
    pub fn begins_with_the_task(&self) -> bool {
        !self.stays() && self.line.from.tick <= self.leg.again.start + cures::SOON
    }

    /// Whether the brief's first moves no longer apply: the line lies in a hold or a path and begins long after that did.
    pub fn is_well_begun(&self) -> bool {
        self.stays() && self.line.from.tick > self.leg.again.start + SEVERAL
    }

    fn stays(&self) -> bool {
        use drill::Kind::{Hold, Path};
        matches!(self.leg.flown.kind, Hold(_) | Path(_))
    }

    /// Whether the better flight is only a rescue: it does not end well, or needs far more or less power than the task does.
    fn is_rescue(&self) -> bool {
        let (leg, from) = (self.leg, self.line.from.tick);
        let Some(run) = &self.better else { return true };
        let flown = better(&leg.again, run, from);
        let most = RESCUES * leg.scale.three;
        // What follows a touchdown is another matter.
        let last = (from + SEVERAL).min(flown_until(run) as u64);
        let off = |tick: u64| run.trace().lever_at(tick as usize) - leg.right(from);
        !flown.is_some_and(|flown| flown.ends_well)
            || (from..last).any(|tick| off(tick).abs() > most)
    }

    /// The kinds to put right, to see whether one explains the line: the names that the motion supports, in view of the kinds
    /// already given and the other legs. In slowing in, power comes up once, and the
    /// flights themselves show whether that was late or early.
    fn tried(&self, fact: LineKind, told: &[LineKind], others: &[Likely]) -> Vec<LineKind> {
        use LineKind::*;
        let names = match self.leg.flown.kind {
            drill::Kind::Slow(_) => vec![PowerUpLate, PowerUpEarly],
            _ => Vec::from_iter(evidence::name(self, others)),
        };
        let may_be = |name: &LineKind| match fact {
            // A beginner's fault goes before every name, and so do a call and a fact already proved by a flight.
            NeverMoved | WrongWay | BeganLate | KeptTooLong | NeverLevelled | LevelOffLate
            | LevelOffEarly | CallMissed | NotCalled => false,
            // An error that the lever keeps causing is not one left uncorrected. Where the lever was left at an end, nothing
            // was corrected and the level-off was not begun.
            LeftAtIdle | LeftAtFull => {
                !matches!(name, NotCorrected | LevelOffLate | Overcontrol | Pumping)
            }
            LevelPowerOff => *name != NotCorrected,
            _ => true,
        };
        let is_new = |name: &LineKind| !told.contains(name) && may_be(name);
        names.into_iter().filter(is_new).collect()
    }

    /// Flies the leg again with the named fault put right, or with the brief's beginning; None where that does not end well or
    /// does not bring back most of the line.
    pub fn put_right(&self, kind: LineKind) -> Option<(LineKind, Cure, Better)> {
        let cure = cures::of(self, kind)?;
        let flown = better(&self.leg.again, &cure.run, cure.from)?;
        let explains = flown.ends_well && self.is_explained_by(&cure.run);
        explains.then_some((kind, cure, flown))
    }

    /// Whether a flight brings back most of the line.
    fn is_explained_by(&self, run: &Run) -> bool {
        let wanted = self.line.to.points + EXPLAINS * self.line.points();
        let worth = self.leg.again.worth(run);
        worth.is_some_and(|worth| worth.points >= wanted)
    }
}

fn better(again: &Again, run: &Run, from: u64) -> Option<Better> {
    let leg = &run.legs()[again.leg];
    let holds = |end| leg.target.holds(&run.trace().at(end as usize).state, end);
    let ends_well = match &leg.kind {
        drill::Kind::Path(_) => leg.approach.touchdown.is_some() || leg.approach.has_obeyed(),
        _ => leg.captured.unwrap_or_else(|| leg.end.is_some_and(holds)),
    };
    let points = again.worth(run)?.points;
    Some(Better::of(again.run, run, from, points, ends_well))
}
