//! Groups runs: by drill, by skill, by day.

use jiff::civil::Date;
use serde::Serialize;

use super::curve::{Curve, Values};
use super::{Flown, mean};

/// Number of latest runs that stand for the recent level.
pub const LATELY: usize = 5;

/// What runs are grouped by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Group {
    Drill,
    /// The skill practised.
    Skill,
    /// The local date on which it was flown.
    Day,
}

/// The best run.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Best {
    pub points: f64,
    /// Its recording's id.
    pub id: String,
    /// When it was flown.
    pub at: String,
}

/// The summary of a group of runs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Summary {
    /// The drill's id, the skill or the day.
    pub key: String,
    /// The group's name for a person.
    pub title: String,
    /// Number of runs.
    pub runs: usize,
    /// How many of them were flown to the end.
    pub complete: usize,
    /// Number of days.
    pub days: usize,
    /// Time flown, minutes.
    pub minutes: f64,
    /// When the latest run was flown.
    pub last_at: String,
    /// The run with the most points, of those flown to their end.
    pub best: Option<Best>,
    /// The mean figure of all runs flown to their end; `lately` is that of the last five.
    pub mean: Option<f64>,
    /// See `mean`.
    pub lately: Option<f64>,
    /// The learning curve; None for days, and where there are too few runs.
    pub curve: Option<Curve>,
}

/// Groups runs, oldest first; the groups are in the order in which they were first flown. `figure` is what is followed over the
/// runs: `points`, or the key of a figure.
pub fn by(flown: &[&Flown], group: Group, figure: &str) -> Vec<Summary> {
    let keys = std::collections::BTreeMap::<String, usize>::new();
    let (mut keys, mut groups) = (keys, Vec::<Vec<&Flown>>::new());
    for run in flown {
        let Some(key) = key(run, group) else {
            continue;
        };
        let next = groups.len();
        let place = *keys.entry(key).or_insert(next);
        if place == next {
            groups.push(Vec::new());
        }
        groups[place].push(run);
    }
    groups
        .iter()
        .map(|runs| summary(runs, group, figure))
        .collect()
}

/// The key of the group to which a run belongs.
pub fn key(run: &Flown, group: Group) -> Option<String> {
    match group {
        Group::Drill => Some(run.drill.clone()),
        Group::Skill => run.skill.map(|skill| skill.title().to_string()),
        Group::Day => run.day().map(|day| day.to_string()),
    }
}

fn summary(runs: &[&Flown], group: Group, figure: &str) -> Summary {
    let last = runs[runs.len() - 1];
    let key = key(last, group).unwrap_or_default();
    let series = series(runs, figure);
    let values = &series.values;
    let best = runs
        .iter()
        .filter_map(|run| Some((run.whole_points()?, run)))
        .max_by(|a, b| a.0.total_cmp(&b.0));
    Summary {
        title: match group {
            Group::Drill => last.title.clone(),
            _ => key.clone(),
        },
        key,
        runs: runs.len(),
        complete: runs.iter().filter(|run| run.complete).count(),
        days: days(runs).len(),
        minutes: runs.iter().map(|run| run.seconds).sum::<f64>() / 60.0,
        last_at: last.at.clone(),
        best: best.map(|(points, run)| Best {
            points,
            id: run.id.clone(),
            at: run.at.clone(),
        }),
        mean: mean(values.iter().copied()),
        lately: mean(values.iter().rev().take(LATELY).copied()),
        curve: match group {
            Group::Day => None,
            Group::Drill | Group::Skill => Curve::fit(&series),
        },
    }
}

/// The values of a figure over the runs flown to their end.
pub fn series(runs: &[&Flown], figure: &str) -> Values {
    let whole = runs.iter().filter(|run| run.complete);
    let valued = whole.filter_map(|run| Some((run, run.figure(figure)?)));
    let (runs, values): (Vec<&&Flown>, Vec<f64>) = valued.unzip();
    let is_signed = values.iter().any(|value| *value < 0.0);
    Values {
        scale: match figure {
            "points" => (0.0, 100.0),
            "in_band" => (0.0, 1.0),
            _ if is_signed => (f64::NEG_INFINITY, f64::INFINITY),
            _ => (0.0, f64::INFINITY),
        },
        values,
        drills: numbered(runs.iter().map(|run| run.drill.as_str())),
        days: numbered(runs.iter().map(|run| run.day())),
    }
}

/// Numbers things from 0, equal ones alike.
fn numbered<T: Ord>(things: impl Iterator<Item = T>) -> Vec<usize> {
    let mut known = std::collections::BTreeMap::new();
    let number = things.map(|thing| {
        let next = known.len();
        *known.entry(thing).or_insert(next)
    });
    number.collect()
}

/// The days on which runs were flown, each once, in order.
pub fn days(runs: &[&Flown]) -> Vec<Date> {
    let mut days: Vec<Date> = runs.iter().filter_map(|run| run.day()).collect();
    days.sort_unstable();
    days.dedup();
    days
}
