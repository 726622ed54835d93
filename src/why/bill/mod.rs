//! The bill of a task: where its points went.
//!
//! The *lines* are the stretches in which what was in [`reach`](crate::reach) falls; what is too small to tell is the *rest*. In
//! reach at the start, less all of them, is what was earned, whoever flew.

pub mod kind;

use std::ops::Range;

use super::explain::{Case, evidence::Likely};
use crate::drill::reader::clock;
use crate::hands::{self, Script};
use crate::reach::{Reach, Stretch};
use crate::run::Run;
use crate::units::TICK_S;

pub use kind::LineKind;

/// A line is still to be saved while so much of it is in reach.
const SAVED: f64 = 0.9;

/// A line of an earlier task that cost so much of the dearest is told first: later tasks begin where the earlier ones end.
const LEADS: f64 = 0.75;

/// Where the points of one leg of a run went.
#[derive(Clone, Debug)]
pub struct Bill {
    /// Index of the leg in [`Run::legs`].
    pub leg: usize,
    /// The drill's task it belongs to, from 1.
    pub task: usize,
    /// Points in reach when it began, 0..100.
    pub in_reach: f64,
    /// Points earned.
    pub points: f64,
    /// What was in reach from its first tick to its end; empty where nothing was lost.
    pub reach: Vec<Reach>,
    /// The lines worth telling, in the order of time, and last the rest, where there is any.
    pub lines: Vec<Line>,
}

/// One stretch in which points went.
#[derive(Clone, Debug)]
pub struct Line {
    /// The leg it is about.
    pub leg: usize,
    /// The drill's task it belongs to, from 1.
    pub task: usize,
    /// What is said of it.
    pub kind: LineKind,
    /// How much of it, in [`LineKind::unit`]; at least 0.
    pub amount: f64,
    /// The tick at which it begins.
    pub from: u64,
    /// The tick at which it ends.
    pub to: u64,
    /// When what its sentence says was so, ticks: within it, or about it.
    pub when: Range<u64>,
    /// Till when it could still be saved, tick; None for the rest.
    pub until: Option<u64>,
    /// Points lost.
    pub points: f64,
    /// What that is in cost.
    pub cost: f64,
    /// The same in the terms of a step's or a rate's cost: capture, error, lever, steepness, s. What was not captured counts
    /// as one that took as long as the limit.
    pub terms: Option<[f64; 4]>,
    /// What was done and what to do next time, in one or two sentences; empty for the rest.
    pub sentence: String,
    /// A better flight; None for the rest.
    pub better: Option<Better>,
}

/// A flight that keeps most of a line's points.
#[derive(Clone, Debug)]
pub struct Better {
    /// What it does with the lever from the run's first tick on: (tick, thousandths).
    pub log: Vec<(u64, u16)>,
    /// The tick from which it differs from the learner's.
    pub from: u64,
    /// Points of the task it earns.
    pub points: f64,
    /// Whether it ends where it was asked to: captured, in the zone, inside the band.
    pub ends_well: bool,
}

/// The leg in which a fault ended a run.
pub(super) fn ended_in(run: &Run) -> Option<usize> {
    run.fault().and(run.legs().len().checked_sub(1))
}

/// The lines worth telling of some bills, the most points first. One may be moved to the front: where a fault ended the run, the
/// dearest of that leg; else that of an earlier task that cost nearly as much as the dearest of all.
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
    /// Flies it from the run's first tick to the end of a leg.
    pub fn fly(&self, run: &Run, leg: usize) -> Run {
        let mut script = Script::new(self.log.clone());
        let mut flown = run.again();
        while flown.end().is_none() && flown.legs().len() <= leg + 1 {
            hands::fly_leg(&mut flown, &mut script);
        }
        flown
    }
}

impl Bill {
    /// That of a leg, beside what the other legs of its run look like.
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

    /// What the lines do not hold; in the terms of a cost that is time where it is.
    fn rest(&self, in_time: bool) -> Option<Line> {
        let (first, last) = (self.reach.first()?, self.reach.last()?);
        let held = |of: fn(&Line) -> f64| self.lines.iter().map(of).sum::<f64>();
        let points = first.points - last.points - held(|line| line.points);
        // Bills add up to the hundredth.
        (points >= 0.005).then(|| Line {
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
    /// When, how many points and what, in a few words: "0:44-0:53  -19  level-off 2.9 s late".
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

    /// What went between two moments, about which nothing has been said yet.
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
