//! What to fly now, and why. The rules are modest readings of what is known about motor learning:
//!
//! - *Near success*: the first rung not passed yet; after six runs that all fell far short, the one before it first. Practice
//!   serves best where it is neither sure nor hopeless (Guadagnoli and Lee 2004, from memory).
//! - *Days apart*: three runs a day; the highest passed rung of each skill comes back after a week (Shea et al. 2000; Lee and
//!   Genovese 1988).
//! - *A modest mix*: of three runs, one is of another rung, of another skill if there is one, and one is for what costs most,
//!   wherever that shows and success is not sure; no drill comes three times running. Mixing helped retention in laboratories
//!   and little outside them (Czyz et al. 2024; Ammar et al. 2024), so it stays near the rung.
//! - *Help fades by success* and comes back on failure ([`super::standing`]).

use std::cmp::Reverse;
use std::collections::BTreeMap;

use jiff::civil::Date;
use serde::Serialize;

use super::costs::{costs, week};
use super::standing::{Standing, TELL, counts, standings};
use super::{Flown, mean};
use crate::drill::Aids;
use crate::drill::lesson::Lesson;
use crate::drill::reader::plain;

/// Runs in a day's set: about eight minutes with their debriefs.
pub const SET: usize = 3;
/// A passed rung comes back after this many days.
const COMES_BACK_DAYS: i32 = 7;
/// A rung mixed in for a change lies at most this many above the current one.
const MIXED: usize = 3;
/// Success is sure from this share of runs that reach the mark.
const SURE: f64 = 0.8;
/// A rung is left for the one before while the best of its last runs is this far below the mark, points.
const FAR_SHORT: f64 = 20.0;
/// A name is worth a run of its own once it costs this much per weighed run, points.
const WORTH: f64 = 2.0;
/// Time to read the debrief of a run, s: our own guess, no source.
const READING_S: f64 = 60.0;
/// A drill never flown takes about this share of its longest time: `steady` needs about half.
const OF_LONGEST: f64 = 0.6;

/// Why a drill is to be flown.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "reason", rename_all = "snake_case")]
pub enum Reason {
    /// It is the next rung to pass.
    Rung {
        /// Runs in a row that reached the mark with the help asked for, so far.
        in_a_row: usize,
    },
    /// The rung after it is still too hard.
    StepBack {
        /// The title of that rung's drill.
        from: String,
    },
    /// It was passed, and some days have gone by.
    Days {
        /// Number of days.
        days: i32,
    },
    /// What costs most this week shows here.
    Weakness {
        /// Its name in the bill.
        name: String,
        /// What it cost this week, points.
        points: f64,
        /// The run in which it cost most.
        id: String,
    },
    /// Something else for a change: another rung, of another skill where there is one.
    Change,
    /// All are passed: on this rung the recent points are lowest, measured from its mark.
    Top,
}

/// A drill to fly.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Choice {
    /// The drill's id.
    pub drill: String,
    /// What is typed to fly it: its id, or its file.
    pub typed: String,
    pub title: String,
    /// How much help to fly it with.
    pub aids: Aids,
    /// Its rung, from 1; `of` is the number of rungs.
    pub rung: usize,
    /// See `rung`.
    pub of: usize,
    /// What the rung is for: completes "to ...".
    pub purpose: String,
    /// Points that pass it; `times` says how often in a row.
    pub mark: f64,
    /// See `mark`.
    pub times: usize,
    /// Estimated time with its debrief, s.
    pub seconds: f64,
    /// Why.
    #[serde(flatten)]
    pub reason: Reason,
}

/// What to fly now, and the day's set.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Next {
    pub now: Choice,
    /// The day's three runs as they stand now.
    pub set: Vec<Choice>,
    /// Runs flown today.
    pub flown_today: usize,
    /// Rungs passed.
    pub passed: usize,
}

/// What to fly next on a day, from a person's runs, oldest first. Pinned aids override the ladder's. None for an empty lesson.
pub fn next(lesson: &Lesson, flown: &[&Flown], today: Date, pinned: Option<Aids>) -> Option<Next> {
    let chooser = Chooser {
        flown,
        standings: standings(lesson, flown),
        today,
        pinned,
    };
    let flown_today = flown.iter().filter(|run| run.day() == Some(today)).count();
    let mut set: Vec<Choice> = (0..SET).filter_map(|n| chooser.choose(n)).collect();
    if let Some(now) = set.get_mut(flown_today % SET)
        && chooser.was_flown_twice(&now.drill)
        && let Some(other) = chooser.other_than(now.rung - 1)
    {
        *now = other;
    }
    Some(Next {
        now: set.get(flown_today % SET)?.clone(),
        flown_today,
        passed: chooser.standings.iter().filter(|s| s.is_passed).count(),
        set,
    })
}

struct Chooser<'a> {
    flown: &'a [&'a Flown],
    standings: Vec<Standing<'a>>,
    today: Date,
    pinned: Option<Aids>,
}

impl Chooser<'_> {
    /// The run at place `n` of a day's set: first the rung, or one flown long ago; then something else; then what costs most.
    fn choose(&self, n: usize) -> Option<Choice> {
        let special = match n {
            0 => self.after_days(),
            1 => self.other_than(self.climb()?.rung - 1),
            _ => self.weakness(),
        };
        special.or_else(|| self.climb())
    }

    /// The first rung not passed yet.
    fn current(&self) -> Option<usize> {
        self.standings
            .iter()
            .position(|standing| !standing.is_passed)
    }

    fn climb(&self) -> Option<Choice> {
        let Some(index) = self.current() else {
            return self.top();
        };
        let here = &self.standings[index];
        let last = &here.runs[here.runs.len().saturating_sub(TELL)..];
        let best = last.iter().filter_map(|run| run.whole_points());
        let best = best.fold(0.0, f64::max);
        if index > 0 && last.len() == TELL && best < here.rung.mark - FAR_SHORT {
            let before = &self.standings[index - 1];
            // If that one was flown since the last of these runs, it is this rung's turn again.
            let since = |run: &Flown| last.last().is_some_and(|last| run.at > last.at);
            if !before.runs.last().is_some_and(|run| since(run)) {
                let from = here.title();
                return Some(self.choice(index - 1, Reason::StepBack { from }));
            }
        }
        let row = here
            .runs
            .iter()
            .rev()
            .take_while(|run| counts(here.rung, run));
        let in_a_row = row.count();
        Some(self.choice(index, Reason::Rung { in_a_row }))
    }

    fn top(&self) -> Option<Choice> {
        let lately = |standing: &Standing| {
            let last = standing.runs.iter().rev().take(TELL);
            let points = mean(last.filter_map(|run| run.whole_points()));
            points.unwrap_or(0.0) - standing.rung.mark
        };
        let lowest = (0..self.standings.len())
            .min_by(|a, b| lately(&self.standings[*a]).total_cmp(&lately(&self.standings[*b])));
        Some(self.choice(lowest?, Reason::Top))
    }

    /// Another rung for a change: one of another skill before one of the same, and an open rung at or above the current one
    /// before the one flown longest ago.
    fn other_than(&self, here: usize) -> Option<Choice> {
        let skill = self.standings[here].skill();
        let of_another = |index: &usize| self.standings[*index].skill() != skill;
        let current = self.current().unwrap_or(here);
        let near = current..self.standings.len().min(current + 1 + MIXED);
        let open = near.filter(|index| *index != here && !self.standings[*index].is_passed);
        let last_at = |index: &usize| self.standings[*index].runs.last().map(|run| &run.at);
        let flown =
            (0..self.standings.len()).filter(|index| *index != here && last_at(index).is_some());
        let other = open.clone().find(of_another);
        let other = other.or_else(|| flown.clone().filter(of_another).min_by_key(last_at));
        let other = other.or_else(|| open.clone().next());
        let other = other.or_else(|| flown.min_by_key(last_at))?;
        let standing = &self.standings[other];
        let days = standing.runs.last().and_then(|run| self.days_since(run));
        let reason = match days.filter(|days| standing.is_passed && *days > 1) {
            Some(days) => Reason::Days { days },
            None => Reason::Change,
        };
        Some(self.choice(other, reason))
    }

    /// Whether the last two runs were both of a drill, and more recent than the time after which it comes back.
    fn was_flown_twice(&self, drill: &str) -> bool {
        let last = self.flown.iter().rev().take(2);
        let lately = |run: &Flown| {
            self.days_since(run)
                .is_some_and(|days| days < COMES_BACK_DAYS)
        };
        last.filter(|run| run.drill == drill && lately(run)).count() == 2
    }

    fn days_since(&self, run: &Flown) -> Option<i32> {
        Some(run.day()?.until(self.today).ok()?.get_days())
    }

    /// The rung flown longest ago, of the highest passed rungs of each skill, if that is long enough ago.
    fn after_days(&self) -> Option<Choice> {
        let passed = (0..self.standings.len()).filter(|index| self.standings[*index].is_passed);
        let mut highest = BTreeMap::new();
        for index in passed {
            highest.insert(self.standings[index].skill(), index);
        }
        let ago = highest.into_values().filter_map(|index| {
            Some((index, self.days_since(self.standings[index].runs.last()?)?))
        });
        let (index, days) = ago.max_by_key(|(index, days)| (*days, Reverse(*index)))?;
        (days >= COMES_BACK_DAYS).then(|| self.choice(index, Reason::Days { days }))
    }

    /// The drill on which the dearest name of the week costs most, of those up to the current rung whose success is not sure.
    fn weakness(&self) -> Option<Choice> {
        let since = week(self.today);
        let is_lately = |run: &&&Flown| run.day().is_some_and(|day| day >= since);
        let lately: Vec<&Flown> = self.flown.iter().filter(is_lately).copied().collect();
        let costs = costs(&lately);
        let dearest = costs.lines.first()?;
        if dearest.points < WORTH * costs.runs as f64 {
            return None;
        }
        let reached = self
            .current()
            .map_or(self.standings.len(), |index| index + 1);
        let cost = |standing: &Standing| {
            let lately = standing.runs.iter().filter(is_lately);
            let bills = lately.filter_map(|run| run.bill.as_ref());
            mean(bills.map(|bill| super::of(bill, &dearest.key).unwrap_or(0.0)))
        };
        let unsure = |index: &usize| {
            self.standings[*index]
                .success
                .is_none_or(|share| share < SURE)
        };
        let costly = (0..reached).filter(unsure);
        let costly = costly.filter_map(|index| Some((index, cost(&self.standings[index])?)));
        let costly = costly.filter(|(_, points)| *points > 0.0);
        let (index, _) = costly.max_by(|a, b| a.1.total_cmp(&b.1))?;
        let reason = Reason::Weakness {
            name: dearest.key.clone(),
            points: dearest.points,
            id: dearest.id.clone(),
        };
        Some(self.choice(index, reason))
    }

    fn choice(&self, index: usize, reason: Reason) -> Choice {
        let standing = &self.standings[index];
        let rung = standing.rung;
        let flown_s = mean(standing.runs.iter().rev().take(TELL).map(|run| run.seconds));
        let longest_s = || Some(OF_LONGEST * standing.drill()?.longest_s());
        Choice {
            drill: rung.drill.clone(),
            typed: rung.typed.clone(),
            title: standing.title(),
            aids: self.pinned.unwrap_or(standing.aids),
            rung: index + 1,
            of: self.standings.len(),
            purpose: rung.why.clone(),
            mark: rung.mark,
            times: rung.times,
            seconds: flown_s.or_else(longest_s).unwrap_or(0.0) + READING_S,
            reason,
        }
    }
}

impl Choice {
    /// The same in a few words, for a line of a list.
    pub fn in_short(&self) -> String {
        let why = match &self.reason {
            Reason::Rung { .. } => {
                let mark = plain(self.mark.round());
                format!("rung {} of {}, its mark {mark}", self.rung, self.of)
            }
            Reason::Change => format!("for a change, rung {} of {}", self.rung, self.of),
            Reason::StepBack { .. } => "the rung after it is still far off".to_string(),
            Reason::Days { days } => format!("flown {days} days ago"),
            Reason::Weakness { name, .. } => format!("{} costs most", name.replace('_', " ")),
            Reason::Top => "all rungs are passed".to_string(),
        };
        format!("next: {}, aids {}: {why}", self.title, self.aids.word())
    }

    /// What to fly and why, in one sentence.
    pub fn sentence(&self) -> String {
        let aids = self.aids.word();
        let title = &self.title;
        let whole = |x: f64| plain(x.round());
        match &self.reason {
            Reason::Rung { in_a_row } => {
                let have = match in_a_row {
                    0 => String::new(),
                    n => format!(", {n} so far"),
                };
                let times = match self.times {
                    1 => "once".to_string(),
                    2 => "twice in a row".to_string(),
                    n => format!("{n} times in a row"),
                };
                format!(
                    "Fly {title}, aids {aids}, to {}: rung {} of {}; to pass, {} points {times}{have}.",
                    self.purpose,
                    self.rung,
                    self.of,
                    whole(self.mark),
                )
            }
            Reason::StepBack { from } => format!(
                "Fly {title} once more, aids {aids}: {from} has stayed far from its mark for {TELL} runs, and this leads up to it."
            ),
            Reason::Days { days } => format!(
                "Fly {title} again, aids {aids}: you passed it, {days} days have gone by, and skill refreshed after a gap lasts longer."
            ),
            Reason::Weakness { name, points, .. } => format!(
                "Fly {title}, aids {aids}, and practise this: {} cost you {} points this week, more than anything else.",
                name.replace('_', " "),
                whole(*points),
            ),
            Reason::Change => format!(
                "Fly {title}, aids {aids}, for a change, to {}: its mark is {} points.",
                self.purpose,
                whole(self.mark),
            ),
            Reason::Top => format!(
                "Fly {title}, aids {aids}: all rungs are passed, and this is where you are least above the mark."
            ),
        }
    }
}
