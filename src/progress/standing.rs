//! The learner's standing on the ladder, and how much help to fly with.

use super::Flown;
use crate::drill::lesson::{Lesson, Rung};
use crate::drill::{Aids, Drill, Skill, library};

/// Help fades after this many passes in a row, and comes back after this many failures in a row.
const IN_A_ROW: usize = 2;
/// A failure is a run this far below the mark, points: one a little below is practice as it should be.
const FAILED: f64 = 15.0;
/// Number of latest runs from which a rung's success is taken.
pub const TELL: usize = 6;

/// The learner's standing on a rung.
#[derive(Clone, Debug)]
pub struct Standing<'a> {
    pub rung: &'a Rung,
    /// The runs of its drill, oldest first.
    pub runs: Vec<&'a Flown>,
    /// Whether its mark has been reached as often in a row as it asks.
    pub is_passed: bool,
    /// How much help to fly it with.
    pub aids: Aids,
    /// The share of the last few runs that reached the mark; None without a run.
    pub success: Option<f64>,
}

/// The standing on every rung, from a person's runs, oldest first.
pub fn standings<'a>(lesson: &'a Lesson, flown: &[&'a Flown]) -> Vec<Standing<'a>> {
    let rungs = lesson.rungs.iter();
    rungs.map(|rung| Standing::of(rung, flown)).collect()
}

impl<'a> Standing<'a> {
    fn of(rung: &'a Rung, flown: &[&'a Flown]) -> Standing<'a> {
        let of_drill = flown.iter().filter(|run| run.drill == rung.drill);
        let runs: Vec<&Flown> = of_drill.copied().collect();
        let last = &runs[runs.len().saturating_sub(TELL)..];
        let passed = last.iter().filter(|run| reaches(run, rung)).count();
        Standing {
            is_passed: is_passed(rung, &runs),
            aids: aids(rung, &runs),
            success: (!last.is_empty()).then(|| passed as f64 / last.len() as f64),
            rung,
            runs,
        }
    }

    pub fn drill(&self) -> Option<Drill> {
        let own = self.rung.own.as_deref().cloned();
        own.or_else(|| library::drill(&self.rung.drill)?.drill().ok())
    }

    /// The skill it practises.
    pub fn skill(&self) -> Option<Skill> {
        let known = self.runs.last().and_then(|run| run.skill);
        known.or_else(|| Some(Skill::of(&self.drill()?)))
    }

    /// Its drill's title.
    pub fn title(&self) -> String {
        let known = self.runs.last().map(|run| run.title.clone());
        known
            .or_else(|| Some(self.drill()?.title))
            .unwrap_or_else(|| self.rung.drill.clone())
    }
}

/// Whether a run reaches the mark, with any amount of help.
fn reaches(run: &Flown, rung: &Rung) -> bool {
    run.whole_points().is_some_and(|points| points >= rung.mark)
}

/// Whether a run counts for passing: it reaches the mark with no more help than the rung asks for.
pub(super) fn counts(rung: &Rung, run: &Flown) -> bool {
    reaches(run, rung) && helps(run.aids) <= helps(rung.aids)
}

/// Whether enough runs in a row have counted.
fn is_passed(rung: &Rung, runs: &[&Flown]) -> bool {
    let mut row = 0;
    runs.iter().any(|run| {
        row = if counts(rung, run) { row + 1 } else { 0 };
        row >= rung.times
    })
}

/// How much the aids help: their place from least to most.
fn helps(aids: Aids) -> usize {
    Aids::ALL
        .iter()
        .rev()
        .position(|other| *other == aids)
        .unwrap_or(0)
}

/// The help begins with what the rung asks for. It fades by success and comes back on failure: one step less after two runs in
/// a row that reach the mark, one more after two that fail by far. A run with other help than was due, which the person chose,
/// sets the level from there on. (Fading help: from memory; Guadagnoli and Lee 2004 for difficulty that follows skill, from
/// memory.)
fn aids(rung: &Rung, runs: &[&Flown]) -> Aids {
    let mut aids = rung.aids;
    let (mut reached, mut failed) = (0, 0);
    for run in runs {
        if run.aids != aids {
            (aids, reached, failed) = (run.aids, 0, 0);
        }
        let missed = run.whole_points().unwrap_or(0.0) < rung.mark - FAILED;
        match (reaches(run, rung), missed) {
            (true, _) => (reached, failed) = (reached + 1, 0),
            (false, true) => (reached, failed) = (0, failed + 1),
            (false, false) => (reached, failed) = (0, 0),
        }
        let place = helps(aids);
        let next = match (reached >= IN_A_ROW, failed >= IN_A_ROW) {
            (true, _) => place.saturating_sub(1),
            (_, true) => (place + 1).min(helps(Aids::Full)),
            _ => continue,
        };
        (aids, reached, failed) = (Aids::ALL[helps(Aids::Full) - next], 0, 0);
    }
    aids
}
