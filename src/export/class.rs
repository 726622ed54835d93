//! Many learners' runs, drill by drill: how points spread, what costs most, who needs what.

use std::collections::BTreeMap;

use serde::Serialize;

use super::table::{Cell, Table};
use crate::drill::reader::{fixed, printable};
use crate::run::Recording;
use crate::run::recording::SCHEMA;
use crate::score::Spread;
use crate::why::{Kind, Weighed};

/// A learner's run, weighed.
pub struct Flown {
    /// Who flew it.
    pub pilot: String,
    /// Its recording.
    pub recording: Recording,
    /// The drill's title.
    pub title: String,
    /// Points by today's rules; None where nothing is scored.
    pub points: Option<f64>,
    /// Whether it was flown to its end.
    pub complete: bool,
    /// What each kind of line took from the drill's points.
    pub lost: BTreeMap<Kind, f64>,
}

/// A class.
#[derive(Debug, Serialize)]
pub struct Class {
    schema: u32,
    drills: Vec<Drill>,
    /// Runs by hands that are no person's.
    left_out: usize,
    /// Files that are no recording that can be flown again.
    unreadable: usize,
}

#[derive(Debug, Serialize)]
struct Drill {
    drill: String,
    title: String,
    air: Option<String>,
    runs: usize,
    complete: usize,
    points: Option<Spread>,
    costs: Vec<Cost>,
    learners: Vec<Learner>,
}

/// A kind of line.
#[derive(Debug, Serialize)]
struct Cost {
    kind: &'static str,
    /// Points lost by it, mean over all runs.
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
    needs: Option<Cost>,
}

impl Flown {
    /// A run with what its bills say.
    pub fn of(pilot: String, recording: Recording, title: String, weighed: &Weighed) -> Flown {
        let mut lost = BTreeMap::new();
        let scored = weighed
            .score
            .tasks
            .iter()
            .filter(|task| task.points.is_some());
        let scored = scored.count().max(1) as f64;
        for line in weighed.told() {
            // A line is in points of its task, of which the drill's are the mean; those a surprise drew share one.
            let drawn = weighed.bills.iter().filter(|bill| bill.task == line.task);
            let share = 1.0 / (scored * drawn.count() as f64);
            *lost.entry(line.kind).or_insert(0.0) += share * line.points;
        }
        Flown {
            pilot,
            recording,
            title,
            points: weighed.score.points,
            complete: weighed.score.complete,
            lost,
        }
    }
}

impl Class {
    /// Of runs in any order.
    pub fn of(mut runs: Vec<Flown>, left_out: usize, unreadable: usize) -> Class {
        runs.sort_by(|a, b| {
            (&a.recording.at, &a.recording.id).cmp(&(&b.recording.at, &b.recording.id))
        });
        // What has the same name but another text is another drill.
        let mut by_drill: BTreeMap<_, Vec<&Flown>> = BTreeMap::new();
        for run in &runs {
            let of = &run.recording;
            let key = (&of.drill, &of.air, &of.drill_text, &of.aircraft_text);
            by_drill.entry(key).or_default().push(run);
        }
        Class {
            schema: SCHEMA,
            drills: by_drill.values().map(|runs| Drill::of(runs)).collect(),
            left_out,
            unreadable,
        }
    }

    /// For a person.
    pub fn text(&self) -> String {
        let drills: Vec<String> = self.drills.iter().map(Drill::text).collect();
        drills.join("\n")
    }
}

impl Drill {
    fn of(runs: &[&Flown]) -> Drill {
        let mut by_pilot: BTreeMap<&str, Vec<&Flown>> = BTreeMap::new();
        for run in runs {
            by_pilot.entry(&run.pilot).or_default().push(run);
        }
        let learners = by_pilot.iter().map(|(pilot, runs)| {
            let mut points = runs.iter().filter_map(|run| run.points);
            Learner {
                pilot: pilot.to_string(),
                runs: runs.len(),
                best: points.clone().max_by(f64::total_cmp),
                latest: points.next_back(),
                needs: costs(runs).into_iter().next(),
            }
        });
        let first = &runs[0].recording;
        Drill {
            drill: first.drill.clone(),
            title: runs[0].title.clone(),
            air: first.air.clone(),
            runs: runs.len(),
            complete: runs.iter().filter(|run| run.complete).count(),
            points: Spread::of(runs.iter().filter_map(|run| run.points)),
            costs: costs(runs),
            learners: learners.collect(),
        }
    }

    fn text(&self) -> String {
        let air = self.air.as_deref().map(printable);
        let air = air.map_or_else(String::new, |air| format!(", air {air}"));
        let mut text = format!(
            "{} ({}{air}): {} runs by {} learners, {} to the end\n",
            printable(&self.title),
            printable(&self.drill),
            self.runs,
            self.learners.len(),
            self.complete
        );
        if let Some(points) = &self.points {
            text += &format!("\n{}", spread_table(&[("points", *points)]).text());
        }
        if !self.costs.is_empty() {
            let rows = self.costs.iter().map(|cost| {
                vec![
                    Cell::Text(words(cost.kind)),
                    Cell::Number(cost.points_a_run, 1),
                    Cell::Number(cost.runs as f64, 0),
                ]
            });
            let head = vec!["what costs most", "points_a_run", "runs"];
            let rows = rows.collect();
            text += &format!("\n{}", Table { head, rows }.text());
        }
        let rows = self.learners.iter().map(|learner| {
            let needs = learner.needs.as_ref().map_or("-".to_string(), |cost| {
                format!(
                    "{}, {} a run",
                    words(cost.kind),
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
        let head = vec!["who", "runs", "best", "latest", "loses most by"];
        let rows = rows.collect();
        text + &format!("\n{}", Table { head, rows }.text())
    }
}

/// What costs these runs, the dearest first.
fn costs(runs: &[&Flown]) -> Vec<Cost> {
    let mut lost: BTreeMap<Kind, (f64, usize)> = BTreeMap::new();
    for (kind, points) in runs.iter().flat_map(|run| &run.lost) {
        let entry = lost.entry(*kind).or_default();
        *entry = (entry.0 + points, entry.1 + 1);
    }
    let mut costs: Vec<Cost> = lost
        .into_iter()
        .map(|(kind, (points, having))| Cost {
            kind: kind.key(),
            points_a_run: points / runs.len() as f64,
            runs: having,
        })
        .collect();
    costs.sort_by(|a, b| b.points_a_run.total_cmp(&a.points_a_run));
    costs
}

fn words(key: &str) -> String {
    key.replace('_', " ")
}

/// Numbers by their names and how they spread.
pub fn spread_table(rows: &[(&str, Spread)]) -> Table {
    let rows = rows.iter().map(|(name, spread)| {
        let numbers = [
            Some(spread.mean),
            spread.sd,
            Some(spread.low),
            Some(spread.lower),
            Some(spread.median),
            Some(spread.upper),
            Some(spread.high),
        ];
        let mut row = vec![Cell::text(name), Cell::Number(spread.n as f64, 0)];
        row.extend(numbers.map(|number| Cell::maybe(number, 2)));
        row
    });
    Table {
        head: vec![
            "figure",
            "n",
            "mean",
            "sd",
            "least",
            "lower_quarter",
            "median",
            "upper_quarter",
            "most",
        ],
        rows: rows.collect(),
    }
}

/// A row for each run, for other programs.
pub fn table(runs: &[Flown]) -> Table {
    let rows = runs.iter().map(|run| {
        let dearest = run.lost.iter().max_by(|a, b| a.1.total_cmp(b.1));
        vec![
            Cell::text(&run.recording.drill),
            Cell::text(&run.pilot),
            Cell::text(&run.recording.at),
            Cell::text(&run.recording.id),
            Cell::maybe(run.points, 2),
            Cell::text(if run.complete { "yes" } else { "no" }),
            dearest.map_or(Cell::Unknown, |(kind, _)| Cell::text(kind.key())),
            Cell::maybe(dearest.map(|(_, points)| *points), 2),
        ]
    });
    Table {
        head: vec![
            "drill",
            "pilot",
            "at",
            "id",
            "points",
            "complete",
            "loses_most_by",
            "lost_points",
        ],
        rows: rows.collect(),
    }
}
