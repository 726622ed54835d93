//! The bill of a task: where its points went.
//!
//! The *lines* are the stretches in which the points in [`reach`](crate::reach) fall; losses too small to report form the
//! *rest*. The points in reach at the start, minus all the lines, are the points earned.

pub mod kind;

use std::ops::Range;

use super::explain::{Case, evidence::Likely};
use crate::drill::reader::clock;
use crate::hands::{self, Script};
use crate::reach::{Reach, Stretch};
use crate::run::Run;
use crate::units::TICK_S;

pub use kind::LineKind;

/// A line can still be saved while this share of its points is in reach.
const SAVED: f64 = 0.9;

/// A line of an earlier task that cost at least this share of the dearest line comes first: later tasks begin where the earlier
/// ones end.
const LEADS: f64 = 0.75;

/// Where the points of one leg of a run went.
#[derive(Clone, Debug)]
pub struct Bill {
    /// Index of the leg in [`Run::legs`].
    pub leg: usize,
    /// The drill's task it belongs to, from 1.
    pub task: usize,
    /// Points in reach when the leg began, 0..100.
    pub in_reach: f64,
    /// Points earned.
    pub points: f64,
    /// The points in reach from the leg's first tick to its end; empty where there is nothing to measure the leg against.
    pub reach: Vec<Reach>,
    /// The lines worth reporting, in time order, then the rest, if there is any.
    pub lines: Vec<Line>,
}

/// One stretch in which points were lost.
#[derive(Clone, Debug)]
pub struct Line {
    /// Index of the leg it belongs to.
    pub leg: usize,
    /// The drill's task it belongs to, from 1.
    pub task: usize,
    /// What the line says.
    pub kind: LineKind,
    /// The amount, in [`LineKind::unit`]; at least 0.
    pub amount: f64,
    /// The tick at which it begins.
    pub from: u64,
    /// The tick at which it ends.
    pub to: u64,
    /// The ticks during which its sentence holds: within the line or around it.
    pub when: Range<u64>,
    /// The last tick at which it could still be saved; None for the rest.
    pub until: Option<u64>,
    /// Points lost.
    pub points: f64,
    /// The same loss as a cost.
    pub cost: f64,
    /// The cost split into the terms of a step's or a rate's cost: capture, error, lever, steepness, s. A task that was not
    /// captured counts as captured at the limit.
    pub terms: Option<[f64; 4]>,
    /// What was done and what to do next time, in one or two sentences; empty for the rest.
    pub sentence: String,
    /// The better flight; None for the rest.
    pub better: Option<Better>,
}

/// A flight that keeps most of a line's points.
#[derive(Clone, Debug)]
pub struct Better {
    /// The tick from which it differs from the learner's.
    pub from: u64,
    /// How many of the learner's lever moves it begins with, and its own after them: (tick, thousandths). A drill may have
    /// hundreds of lines and thousands of moves.
    same: usize,
    moves: Vec<(u64, u16)>,
    /// Points that it earns for the task.
    pub points: f64,
    /// Whether it ends as the task asks: captured, in the zone, inside the band.
    pub ends_well: bool,
}

/// The leg in which a fault ended a run.
pub(super) fn ended_in(run: &Run) -> Option<usize> {
    run.fault().and(run.legs().len().checked_sub(1))
}

/// The lines of several bills, without the rests, dearest first. One may be moved to the front: where a fault ended the run,
/// the dearest line of that leg; otherwise a line of an earlier task that cost nearly as much as the dearest of all.
pub(super) fn told(bills: &[Bill], ended_in: Option<usize>) -> Vec<&Line> {
    let lines = bills.iter().flat_map(|bill| &bill.lines);
    let mut told: Vec<&Line> = lines.filter(|line| line.kind != LineKind::Rest).collect();
    told.sort_by(|a, b| b.points.total_cmp(&a.points));
    let most = told.first().map_or(0.0, |line| line.points);
    let near = told.iter().take_while(|line| line.points >= LEADS * most);
    let near = near.enumerate().min_by_key(|(_, line)| line.leg);
    let led = told.iter().position(|line| Some(line.leg) == ended_in);
    if let Some(lead) = led.or(near.map(|(place, _)| place)) {
        told[..=lead].rotate_right(1);
    }
    told
}

impl Better {
    /// The better flight of a run, with the tick from which it differs and what it earns.
    pub fn of(run: &Run, flown: &Run, from: u64, points: f64, ends_well: bool) -> Better {
        let both = run.log().iter().zip(flown.log());
        let same = both.take_while(|(own, theirs)| own == theirs).count();
        Better {
            from,
            same,
            moves: flown.log()[same..].to_vec(),
            points,
            ends_well,
        }
    }

    /// Flies it from the run's first tick to the end of a leg.
    pub fn fly(&self, run: &Run, leg: usize) -> Run {
        let log = [&run.log()[..self.same], &self.moves].concat();
        let mut script = Script::new(log);
        let mut flown = run.again();
        while flown.end().is_none() && flown.legs().len() <= leg + 1 {
            hands::fly_leg(&mut flown, &mut script);
        }
        flown
    }
}

impl Bill {
    /// The bill of a leg; `others` are the likely faults of the run's other legs.
    pub fn of(case: &Case, others: &[Likely]) -> Bill {
        let reach = case.curve.as_ref().map(|curve| curve.reach.clone());
        let reach = reach.unwrap_or_default();
        let points = case.own.points;
        let mut bill = Bill {
            leg: case.again.leg,
            task: case.flown.task + 1,
            in_reach: reach.first().map_or(points, |first| first.points),
            points,
            reach,
            lines: case.lines(others),
        };
        let in_time = case.flown.kind.captures_ticks().is_some();
        bill.lines.extend(bill.rest(in_time));
        bill
    }

    /// The loss that the lines do not cover, split into terms if the cost is a time.
    fn rest(&self, in_time: bool) -> Option<Line> {
        let (first, last) = (self.reach.first()?, self.reach.last()?);
        let held = |of: fn(&Line) -> f64| self.lines.iter().map(of).sum::<f64>();
        let points = first.points - last.points - held(|line| line.points);
        // Less is what adding up leaves.
        (points >= 1e-9).then(|| Line {
            points,
            cost: (last.cost - first.cost - held(|line| line.cost)).max(0.0),
            terms: in_time.then(|| {
                let all = first.terms_to(last);
                let held = self.lines.iter().filter_map(|line| line.terms);
                held.fold(all, |rest, line| {
                    [0, 1, 2, 3].map(|term| rest[term] - line[term])
                })
            }),
            ..Line::between(self.leg, self.task, first, last)
        })
    }
}

impl Line {
    /// When, how many points and what for, in a few words: "0:44-0:53  -19  level-off 2.9 s late".
    pub fn in_short(&self) -> String {
        let at = |tick: u64| clock(tick as f64 * TICK_S);
        let when = match self.kind {
            LineKind::Rest => String::new(),
            _ if at(self.from) == at(self.to) => at(self.from),
            _ => format!("{}-{}", at(self.from), at(self.to)),
        };
        let label = self.kind.label(self.amount);
        format!("{when:<10}{:>4}  {label}", format!("-{:.0}", self.points))
    }

    /// The loss between two moments, as a line without a kind or a sentence yet.
    fn between(leg: usize, task: usize, from: &Reach, to: &Reach) -> Line {
        Line {
            leg,
            task,
            kind: LineKind::Rest,
            amount: 0.0,
            from: from.tick,
            to: to.tick,
            when: from.tick..to.tick,
            until: None,
            points: from.points - to.points,
            cost: to.cost - from.cost,
            terms: None,
            sentence: String::new(),
            better: None,
        }
    }

    pub(super) fn of(case: &Case, stretch: &Stretch) -> Line {
        let reach = case.curve.iter().flat_map(|curve| &curve.reach);
        let (from, to) = (&stretch.from, &stretch.to);
        let still = to.points + SAVED * stretch.points();
        let saved = reach.take_while(|reach| reach.tick <= from.tick || reach.points >= still);
        Line {
            until: saved.last().map(|reach| reach.tick),
            terms: case.flown.kind.captures_ticks().map(|_| from.terms_to(to)),
            ..Line::between(case.again.leg, case.flown.task + 1, from, to)
        }
    }
}
