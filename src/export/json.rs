//! A result as one JSON object, its keys in a fixed order.

use serde::Serialize;
use serde::ser::{SerializeMap, Serializer};

use crate::drill::Kind;
use crate::run::Run;
use crate::run::recording::SCHEMA;
use crate::score::{Figure, Score, TaskScore, metrics};
use crate::sim::MODEL_VERSION;
use crate::sim::world::Fault;

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
    findings: [(); 0],
}

struct TaskReport<'a> {
    n: usize,
    task: &'a TaskScore,
}

impl<'a> Report<'a> {
    /// The report of a run; `id` names its recording, where it has one.
    pub fn new(run: &'a Run, score: &'a Score, id: Option<&'a str>) -> Report<'a> {
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
            findings: [],
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
        map.serialize_entry("cost", &task.cost.filter(|_| task.task.scored))?;
        map.serialize_entry("best", &None::<f64>)?;
        map.serialize_entry("par", &None::<f64>)?;
        map.end()
    }
}
