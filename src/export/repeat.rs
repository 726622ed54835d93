//! One drill flown many times: the spread of points and figures.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use super::class::spread_table;
use super::rivals::places;
use crate::run::Run;
use crate::run::recording::SCHEMA;
use crate::score::{Figure, Score, Spread, metrics};
use crate::sim::MODEL_VERSION;
use crate::sim::world::Fault;

/// One of the flights.
#[derive(Serialize)]
pub struct Repetition {
    seed: u64,
    digest: String,
    points: Option<f64>,
    complete: bool,
    fault: Option<Fault>,
    /// Each known number, by task and key, such as `2 overshoot_ft`; for the tasks of a surprise such as `2.1 rms_ft`.
    figures: BTreeMap<String, f64>,
}

#[derive(Serialize)]
pub struct Repeat<'a> {
    schema: u32,
    drill: &'a str,
    hand: &'a str,
    model: u32,
    points: Option<Spread>,
    figures: BTreeMap<&'a str, Spread>,
    runs: &'a [Repetition],
}

impl Repetition {
    pub fn of(run: &Run, score: &Score) -> Repetition {
        let mut figures = BTreeMap::new();
        for (place, task) in places(score) {
            let name = place.number();
            for (metric, figure) in metrics::of_kind(&task.task.kind).zip(&task.figures) {
                let number = match figure {
                    Figure::Number(number) => *number,
                    Figure::Flag(flag) => f64::from(u8::from(*flag)),
                    _ => continue,
                };
                figures.insert(format!("{name} {}", metric.key), number);
            }
            if let Some(points) = task.points {
                figures.insert(format!("{name} points"), points);
            }
        }
        Repetition {
            seed: run.seed(),
            digest: run.digest(),
            points: score.points,
            complete: score.complete,
            fault: run.fault(),
            figures,
        }
    }
}

impl<'a> Repeat<'a> {
    pub fn of(drill: &'a str, hand: &'a str, runs: &'a [Repetition]) -> Repeat<'a> {
        let spread = |key: &'a str| {
            let values = runs.iter().filter_map(|run| run.figures.get(key).copied());
            Some((key, Spread::of(values)?))
        };
        Repeat {
            schema: SCHEMA,
            drill,
            hand,
            model: MODEL_VERSION,
            points: Spread::of(runs.iter().filter_map(|run| run.points)),
            figures: keys(runs).into_iter().filter_map(spread).collect(),
            runs,
        }
    }

    /// The report as text for a person.
    pub fn text(&self) -> String {
        let points = self.points.map(|points| ("points", points));
        let figures = self.figures.iter().map(|(key, spread)| (*key, *spread));
        let rows: Vec<_> = points.into_iter().chain(figures).collect();
        let complete = self.runs.iter().filter(|run| run.complete).count();
        format!(
            "{}, hand {}: {} runs, {complete} flown to the end\n\n{}",
            self.drill,
            self.hand,
            self.runs.len(),
            spread_table(&rows).text()
        )
    }
}

/// A row for each run, a column for each figure.
pub fn csv(runs: &[Repetition]) -> String {
    let keys = keys(runs);
    let mut text = String::from("seed,digest,points,complete");
    keys.iter().for_each(|key| text += &format!(",{key}"));
    text.push('\n');
    let number = |number: Option<f64>| number.map_or(String::new(), |number| number.to_string());
    for run in runs {
        let points = number(run.points);
        text += &format!("{},{},{points},{}", run.seed, run.digest, run.complete);
        for key in &keys {
            text += &format!(",{}", number(run.figures.get(*key).copied()));
        }
        text.push('\n');
    }
    text
}

/// Every figure that any run has.
fn keys(runs: &[Repetition]) -> BTreeSet<&str> {
    let figures = runs.iter().flat_map(|run| run.figures.keys());
    figures.map(String::as_str).collect()
}
