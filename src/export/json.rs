//! A result as one JSON object, its keys in a fixed order.

use serde::Serialize;
use serde::ser::{SerializeMap, Serializer};

use crate::drill::Kind;
use crate::run::Run;
use crate::run::recording::SCHEMA;
use crate::score::{Figure, TaskScore, metrics};
use crate::sim::MODEL_VERSION;
use crate::sim::world::Fault;
use crate::why::{Finding, Weighed};

/// What `simulate` and `debrief` tell of a run.
#[derive(Serialize)]
pub struct Report<'a> {
    schema: u32,
    id: Option<&'a str>,
    drill: &'a str,
    aircraft: &'a str,
    seed: u64,
    model: u32,
    complete: bool,
    fault: Option<Fault>,
    end_s: f64,
    points: Option<f64>,
    digest: String,
    tasks: Vec<TaskReport<'a>>,
    findings: Vec<FindingReport>,
}

struct TaskReport<'a> {
    n: usize,
    task: &'a TaskScore,
}

impl<'a> Report<'a> {
    /// The report of a run; `id` names its recording, where it has one.
    pub fn new(run: &'a Run, weighed: &'a Weighed, id: Option<&'a str>) -> Report<'a> {
        let score = &weighed.score;
        let tasks = score.tasks.iter().enumerate();
        Report {
            schema: SCHEMA,
            id,
            drill: &run.drill().id,
            aircraft: &run.drill().aircraft.name,
            seed: run.seed(),
            model: MODEL_VERSION,
            complete: score.complete,
            fault: run.fault(),
            end_s: run.time_s(),
            points: score.points,
            digest: run.digest(),
            tasks: tasks
                .map(|(i, task)| TaskReport { n: i + 1, task })
                .collect(),
            findings: weighed.findings.iter().map(FindingReport::of).collect(),
        }
    }
}

#[derive(Serialize)]
struct FindingReport {
    task: usize,
    kind: &'static str,
    amount: f64,
    unit: &'static str,
    gain_s: f64,
    gain_points: f64,
}

impl FindingReport {
    fn of(finding: &Finding) -> FindingReport {
        FindingReport {
            task: finding.task,
            kind: finding.kind.key(),
            amount: finding.amount,
            unit: finding.kind.unit(),
            gain_s: finding.gain_s,
            gain_points: finding.gain_points,
        }
    }
}

impl Serialize for TaskReport<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let task = self.task;
        let mut map = serializer.serialize_map(None)?;
        map.serialize_entry("n", &self.n)?;
        map.serialize_entry("kind", task.task.kind.name())?;
        map.serialize_entry("scored", &task.task.scored)?;
        map.serialize_entry("points", &task.points)?;
        map.serialize_entry("start_s", &task.start_s)?;
        map.serialize_entry("end_s", &task.end_s)?;
        for (metric, figure) in metrics::of_kind(&task.task.kind).zip(&task.figures) {
            match figure {
                Figure::Number(number) => map.serialize_entry(metric.key, number)?,
                Figure::Flag(flag) => map.serialize_entry(metric.key, flag)?,
                Figure::Word(word) => map.serialize_entry(metric.key, word)?,
                Figure::Gates(gates) => map.serialize_entry(metric.key, gates)?,
                Figure::Unknown => map.serialize_entry(metric.key, &None::<f64>)?,
            }
        }
        if let Kind::Surprise(_) = task.task.kind {
            let drawn = task.drawn.iter().enumerate();
            let drawn: Vec<_> = drawn
                .map(|(i, task)| TaskReport { n: i + 1, task })
                .collect();
            map.serialize_entry("tasks", &drawn)?;
        }
        let scored = task.task.scored;
        let cost = task.cost.map(|cost| cost.total());
        map.serialize_entry("cost", &cost.filter(|_| scored))?;
        map.serialize_entry("best", &task.reference.best.filter(|_| scored))?;
        map.serialize_entry("par", &task.reference.par.filter(|_| scored))?;
        map.serialize_entry("handed_on", &task.reference.handed_on.filter(|_| scored))?;
        map.end()
    }
}
