//! A result as one JSON object, its keys in a fixed order.

use std::collections::BTreeMap;

use serde::Serialize;
use serde::ser::{SerializeMap, Serializer};

use super::excerpt::asked;
use crate::drill::Kind;
use crate::run::Run;
use crate::run::recording::SCHEMA;
use crate::score::{Figure, Reference, TaskScore, metrics};
use crate::sim::MODEL_VERSION;
use crate::sim::world::Fault;
use crate::units::TICK_S;
use crate::why::{Bill, Line, LineKind, Weighed};

/// What `simulate` and `debrief` report about a run.
#[derive(Serialize)]
pub struct Report<'a> {
    schema: u32,
    id: Option<&'a str>,
    drill: &'a str,
    aircraft: &'a str,
    seed: u64,
    model: u32,
    complete: bool,
    /// Present only if true: the run was ended because it reached the longest time.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    out_of_time: bool,
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
    /// Whether a surprise drew it: then the report has to say what it asked.
    is_drawn: bool,
    /// Its bill; for a surprise, those of all tasks drawn.
    bills: Vec<&'a Bill>,
}

impl<'a> Report<'a> {
    /// The report of a run; `id` names its recording, where it has one.
    pub fn new(run: &'a Run, weighed: &'a Weighed, id: Option<&'a str>) -> Report<'a> {
        let score = &weighed.score;
        let tasks = score.tasks.iter().enumerate();
        // An unfinished run has no bill.
        let bills = match score.complete {
            true => &weighed.bills[..],
            false => &[],
        };
        // Each bill belongs to a leg, and so does the reference of its points.
        let measured = Vec::from_iter(score.tasks.iter().flat_map(legs));
        let lines = bills.iter().flat_map(|bill| {
            let task = measured.get(bill.leg);
            let reference = task.map_or_else(Reference::default, |task| task.reference);
            let parts = score
                .tasks
                .get(bill.task - 1)
                .map_or(1, |task| legs(task).len());
            let lines = bill.lines.iter();
            lines.map(move |line| {
                FindingReport::of(line, 1.0 / parts as f64, beyond(bill, line, &reference))
            })
        });
        let mut findings = Vec::from_iter(lines);
        findings.sort_by(|a, b| b.gain_points.total_cmp(&a.gain_points));
        Report {
            schema: SCHEMA,
            id,
            drill: &run.drill().id,
            aircraft: &run.drill().aircraft.name,
            seed: run.seed(),
            model: MODEL_VERSION,
            complete: score.complete,
            out_of_time: run.is_out_of_time(),
            fault: run.fault(),
            end_s: run.time_s(),
            points: score.points,
            digest: run.digest(),
            tasks: tasks
                .map(|(i, task)| TaskReport {
                    n: i + 1,
                    task,
                    is_drawn: false,
                    bills: bills.iter().filter(|bill| bill.task == i + 1).collect(),
                })
                .collect(),
            findings,
        }
    }
}

/// A task, or the tasks that it drew: one per leg.
fn legs(task: &TaskScore) -> &[TaskScore] {
    match task.drawn.is_empty() {
        true => std::slice::from_ref(task),
        false => &task.drawn,
    }
}

/// The loss of a line beyond its own cost. A task that was not captured counts as the limit, and points follow from a cost less
/// what the task before handed on: so a cost that earns nothing is the limit plus what was handed on.
fn beyond(bill: &Bill, line: &Line, reference: &Reference) -> f64 {
    let at = |tick: u64| {
        let reach = bill.reach.iter().find(|reach| reach.tick == tick)?;
        let handed_on = reference.handed_on?.min(reach.cost);
        reach.terms.is_none().then_some(handed_on)
    };
    let all = at(line.to).unwrap_or(0.0) - at(line.from).unwrap_or(0.0);
    match line.kind {
        LineKind::Rest => {
            let told = bill.lines.iter().filter(|line| line.kind != LineKind::Rest);
            all - told.map(|line| beyond(bill, line, reference)).sum::<f64>()
        }
        _ => all,
    }
}

/// The whole cost of a line, where `beyond` is the part that its own cost leaves out.
fn whole_cost(line: &Line, beyond: f64) -> f64 {
    if beyond == 0.0 {
        return line.cost;
    }
    // The rest is reported as 0 where its terms sum to less.
    let sum = line.terms.map_or(line.cost, |terms| terms.iter().sum()) + beyond;
    match line.kind {
        LineKind::Rest => sum.max(0.0),
        _ => sum,
    }
}

#[derive(Serialize)]
struct FindingReport {
    task: usize,
    kind: &'static str,
    amount: f64,
    unit: &'static str,
    gain_s: Option<f64>,
    gain_points: f64,
    from_s: f64,
    to_s: f64,
}

impl FindingReport {
    /// The report of a line; `share` is what its task counts of the task of the drill that drew it.
    fn of(line: &Line, share: f64, beyond: f64) -> FindingReport {
        FindingReport {
            task: line.task,
            kind: line.kind.key(),
            amount: line.amount,
            unit: line.kind.unit(),
            // Only if the cost is a time.
            gain_s: line.terms.map(|_| whole_cost(line, beyond)),
            gain_points: share * line.points,
            from_s: line.from as f64 * TICK_S,
            to_s: line.to as f64 * TICK_S,
        }
    }
}

/// The points in reach of a task, and where they were lost.
struct Account {
    in_reach: f64,
    bill: Vec<LineReport>,
}

#[derive(Serialize)]
struct LineReport {
    from_s: f64,
    to_s: f64,
    kind: &'static str,
    amount: f64,
    unit: &'static str,
    cost: f64,
    points: f64,
    terms: Option<BTreeMap<&'static str, f64>>,
    until_s: Option<f64>,
}

/// The terms of a cost that is a time.
const TERMS: [&str; 4] = ["capture_s", "error_s", "lever_s", "steep_s"];

impl Account {
    /// The account of a task from its bills. Each task that a surprise drew has its own bill and counts as a share.
    fn of(bills: &[&Bill], task: &TaskScore) -> Option<Account> {
        let parts = legs(task);
        let share = 1.0 / parts.len() as f64;
        let told = |(bill, part): (&&Bill, &TaskScore)| {
            let lines = bill.lines.iter();
            let told =
                lines.map(|line| LineReport::of(line, share, beyond(bill, line, &part.reference)));
            Vec::from_iter(told)
        };
        (bills.len() == parts.len()).then(|| Account {
            in_reach: share * bills.iter().map(|bill| bill.in_reach).sum::<f64>(),
            bill: bills.iter().zip(parts).flat_map(told).collect(),
        })
    }
}

impl LineReport {
    fn of(line: &Line, share: f64, beyond: f64) -> LineReport {
        LineReport {
            from_s: line.from as f64 * TICK_S,
            to_s: line.to as f64 * TICK_S,
            kind: line.kind.key(),
            amount: line.amount,
            unit: line.kind.unit(),
            cost: whole_cost(line, beyond),
            points: share * line.points,
            // The extra loss belongs to the capture.
            terms: line.terms.map(|[capture_s, error_s, lever_s, steep_s]| {
                let terms = [capture_s + beyond, error_s, lever_s, steep_s];
                TERMS.into_iter().zip(terms).collect()
            }),
            until_s: line.until.map(|tick| tick as f64 * TICK_S),
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
        if self.is_drawn {
            for (key, value) in asked(&task.task.kind) {
                map.serialize_entry(key, &value)?;
            }
        }
        for (metric, figure) in metrics::of_kind(&task.task.kind).zip(&task.figures) {
            match figure {
                Figure::Number(number) => map.serialize_entry(metric.key, number)?,
                Figure::Flag(flag) => map.serialize_entry(metric.key, flag)?,
                Figure::Ended(outcome) => map.serialize_entry(metric.key, outcome.word())?,
                Figure::Gates(gates) => map.serialize_entry(metric.key, gates)?,
                Figure::Unknown => map.serialize_entry(metric.key, &None::<f64>)?,
            }
        }
        if let Kind::Surprise(_) = task.task.kind {
            let drawn = task.drawn.iter().enumerate();
            let drawn: Vec<_> = drawn
                .map(|(i, task)| TaskReport {
                    n: i + 1,
                    task,
                    is_drawn: true,
                    bills: self.bills.get(i).copied().into_iter().collect(),
                })
                .collect();
            map.serialize_entry("tasks", &drawn)?;
        }
        let scored = task.task.scored;
        let cost = task.cost.map(|cost| cost.total());
        map.serialize_entry("cost", &cost.filter(|_| scored))?;
        map.serialize_entry("best", &task.reference.best.filter(|_| scored))?;
        map.serialize_entry("par", &task.reference.par.filter(|_| scored))?;
        map.serialize_entry("handed_on", &task.reference.handed_on.filter(|_| scored))?;
        let account = Account::of(&self.bills, task);
        let account = account.as_ref();
        map.serialize_entry("in_reach", &account.map(|account| account.in_reach))?;
        map.serialize_entry("bill", &account.map(|account| &account.bill))?;
        map.end()
    }
}
