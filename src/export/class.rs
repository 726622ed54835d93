//! Many learners' runs, drill by drill: the spread of the points, what costs most, what each learner needs.

use std::collections::BTreeMap;

use serde::Serialize;

use super::progress_words::{count, name};
use super::table::{Cell, Table};
use crate::drill::reader::{fixed, printable};
use crate::progress::{Flown, costs};
use crate::run::Recording;
use crate::run::recording::SCHEMA;
use crate::score::Spread;
use crate::sim::math::Digest;

/// A learner's run.
pub struct Learnt {
    /// Who flew it.
    pub pilot: String,
    pub recording: Recording,
    /// Its result by today's rules.
    pub flown: Flown,
}

#[derive(Debug, Serialize)]
pub struct Class {
    schema: u32,
    drills: Vec<DrillReport>,
    /// Number of runs not flown by a person.
    left_out: usize,
    /// Number of files that are not a recording which can be flown again.
    unreadable: usize,
}

#[derive(Debug, Serialize)]
struct DrillReport {
    drill: String,
    title: String,
    air: Option<String>,
    /// A short mark of its text, if another drill has the same name.
    text: Option<String>,
    runs: usize,
    complete: usize,
    points: Option<Spread>,
    costs: Vec<CostARun>,
    learners: Vec<Learner>,
}

/// A kind of line.
#[derive(Debug, Serialize)]
struct CostARun {
    kind: String,
    /// Points lost by it, the mean over all runs.
    points_a_run: f64,
    /// Runs that have it.
    runs: usize,
}

#[derive(Debug, Serialize)]
struct Learner {
    pilot: String,
    runs: usize,
    best: Option<f64>,
    latest: Option<f64>,
    /// The kind of line that costs this learner most.
    needs: Option<CostARun>,
}

impl Class {
    /// The report on runs in any order.
    pub fn of(mut runs: Vec<Learnt>, left_out: usize, unreadable: usize) -> Class {
        runs.sort_by(|a, b| (&a.flown.at, &a.flown.id).cmp(&(&b.flown.at, &b.flown.id)));
        // Drills with the same name but different texts are different drills.
        let mut by_drill: BTreeMap<_, Vec<&Learnt>> = BTreeMap::new();
        for run in &runs {
            let of = &run.recording;
            let key = (&of.drill, &of.air, &of.drill_text, &of.aircraft_text);
            by_drill.entry(key).or_default().push(run);
        }
        let mut drills: Vec<DrillReport> = by_drill
            .values()
            .map(|runs| DrillReport::of(runs))
            .collect();
        let names = drills.iter().map(|of| (of.drill.clone(), of.air.clone()));
        let names: Vec<_> = names.collect();
        for (report, runs) in drills.iter_mut().zip(by_drill.values()) {
            let own = (report.drill.clone(), report.air.clone());
            let same = names.iter().filter(|name| **name == own).count();
            report.text = (same > 1).then(|| text_mark(&runs[0].recording));
        }
        Class {
            schema: SCHEMA,
            drills,
            left_out,
            unreadable,
        }
    }

    /// The report as text for a person.
    pub fn text(&self) -> String {
        let drills: Vec<String> = self.drills.iter().map(DrillReport::text).collect();
        drills.join("\n")
    }
}

/// A mark that distinguishes a drill from others of its name: a few digits of the digest of its texts.
fn text_mark(recording: &Recording) -> String {
    const DIGITS: usize = 6;
    let mut digest = Digest::default();
    digest.add_bytes(recording.drill_text.as_bytes());
    digest.add_bytes(recording.aircraft_text.as_bytes());
    digest.hex()[..DIGITS].to_string()
}

impl DrillReport {
    fn of(runs: &[&Learnt]) -> DrillReport {
        let mut by_pilot: BTreeMap<&str, Vec<&Flown>> = BTreeMap::new();
        for run in runs {
            let own = by_pilot.entry(&run.pilot).or_default();
            own.push(&run.flown);
        }
        let flown: Vec<&Flown> = runs.iter().map(|run| &run.flown).collect();
        let learners = by_pilot.iter().map(|(pilot, runs)| {
            let mut points = runs.iter().filter_map(|run| run.points);
            Learner {
                pilot: pilot.to_string(),
                runs: runs.len(),
                best: points.clone().max_by(f64::total_cmp),
                latest: points.next_back(),
                needs: costs_a_run(runs).into_iter().next(),
            }
        });
        let first = &runs[0].recording;
        DrillReport {
            drill: first.drill.clone(),
            title: flown[0].title.clone(),
            air: first.air.clone(),
            text: None,
            runs: runs.len(),
            complete: flown.iter().filter(|run| run.complete).count(),
            points: Spread::of(flown.iter().filter_map(|run| run.points)),
            costs: costs_a_run(&flown),
            learners: learners.collect(),
        }
    }

    fn text(&self) -> String {
        let air = self.air.as_deref().map(printable);
        let air = air.map_or_else(String::new, |air| format!(", air {air}"));
        let mark = self.text.as_ref();
        let mark = mark.map_or_else(String::new, |mark| {
            format!(", one of several drills of this name, text {mark}")
        });
        let mut text = format!(
            "{} ({}{air}{mark}): {} by {}, {} flown to the end\n",
            printable(&self.title),
            printable(&self.drill),
            count(self.runs, "run"),
            count(self.learners.len(), "learner"),
            self.complete
        );
        if let Some(points) = &self.points {
            text += &format!("\n{}", spread_table(&[("points", *points)]).text());
        }
        if !self.costs.is_empty() {
            let rows = self.costs.iter().map(|cost| {
                vec![
                    Cell::Text(name(&cost.kind)),
                    Cell::Number(cost.points_a_run, 1),
                    Cell::Number(cost.runs as f64, 0),
                ]
            });
            let costs = Table::new("what_costs_most points_a_run runs", rows);
            text += &format!("\n{}", costs.text());
        }
        let rows = self.learners.iter().map(|learner| {
            let needs = learner.needs.as_ref().map_or("-".to_string(), |cost| {
                format!(
                    "{}, {} a run",
                    name(&cost.kind),
                    fixed(cost.points_a_run, 1)
                )
            });
            vec![
                Cell::Text(learner.pilot.clone()),
                Cell::Number(learner.runs as f64, 0),
                Cell::maybe(learner.best, 1),
                Cell::maybe(learner.latest, 1),
                Cell::Text(needs),
            ]
        });
        let learners = Table::new("who runs best latest loses_most_by", rows);
        text + &format!("\n{}", learners.text())
    }
}

/// The kinds of line in these runs and their cost, dearest first.
fn costs_a_run(runs: &[&Flown]) -> Vec<CostARun> {
    let lines = costs(runs).lines.into_iter();
    let cost = lines.map(|cost| CostARun {
        kind: cost.key,
        points_a_run: cost.points / runs.len() as f64,
        runs: cost.runs,
    });
    cost.collect()
}

/// A table of the spread of named numbers.
pub fn spread_table(rows: &[(&str, Spread)]) -> Table {
    let rows = rows.iter().map(|(label, of)| {
        let [low, lower, median] = [of.low, of.lower, of.median].map(Some);
        let [upper, high, mean] = [of.upper, of.high, of.mean].map(Some);
        let numbers = [mean, of.sd, low, lower, median, upper, high];
        let mut row = vec![Cell::text(label), Cell::Number(of.n as f64, 0)];
        row.extend(numbers.map(|number| Cell::maybe(number, 2)));
        row
    });
    Table::new(
        "figure n mean sd least lower_quarter median upper_quarter most",
        rows,
    )
}

/// A row for each run, for other programs.
pub fn table(runs: &[Learnt]) -> Table {
    let rows = runs.iter().map(|Learnt { pilot, flown, .. }| {
        let costs = costs(&[flown]);
        let dearest = costs.lines.first();
        vec![
            Cell::text(&flown.drill),
            Cell::text(pilot),
            Cell::text(&flown.at),
            Cell::text(&flown.id),
            Cell::maybe(flown.points, 2),
            Cell::text(if flown.complete { "yes" } else { "no" }),
            dearest.map_or(Cell::Unknown, |cost| Cell::text(&cost.key)),
            Cell::maybe(dearest.map(|cost| cost.points), 2),
        ]
    });
    Table::new(
        "drill pilot at id points complete loses_most_by lost_points",
        rows,
    )
}
