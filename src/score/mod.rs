//! The worth of a run: figures from one table of metrics, a cost, and points.
#![deny(clippy::disallowed_methods, clippy::disallowed_types)]

pub mod cost;
pub mod hand;
pub mod metrics;
pub mod points;
pub mod scene;
pub mod series;
pub mod spread;
pub mod story;
pub mod tolerances;
pub mod working;

use crate::drill::path::Outcome;
use crate::drill::{Kind, Surprise, Task};
use crate::run::{End, Leg, Run};
use crate::sim::trim::ThreeDegrees;
use crate::units::TICK_S;

use scene::Scene;

pub use cost::Cost;
pub use hand::{HandFigures, moved_with};
pub use metrics::{Figure, Key, METRICS, Metric};
pub use points::{PAR_POINTS, Reference, Scale};
pub use spread::Spread;

/// A drill's result.
#[derive(Clone, Debug, PartialEq)]
pub struct Score {
    /// Mean of the scored tasks' points, 0..100; None where no task is scored, or where a scored task has no points.
    pub points: Option<f64>,
    /// Every task of the drill, flown or not.
    pub tasks: Vec<TaskScore>,
    /// Whether the last task ended.
    pub complete: bool,
}

impl Score {
    /// The tasks as flown: in place of a surprise, the tasks that it drew.
    pub fn flown(&self) -> impl Iterator<Item = &TaskScore> + Clone {
        self.tasks.iter().flat_map(|task| match &task.drawn[..] {
            [] => std::slice::from_ref(task),
            drawn => drawn,
        })
    }

    /// Whether any task earns points, so that a lack of them means that they are not known.
    pub fn is_asked_for(&self) -> bool {
        self.tasks.iter().any(|task| task.task.scored)
    }
}

/// A task's result.
#[derive(Clone, Debug, PartialEq)]
pub struct TaskScore {
    /// What it asked.
    pub task: Task,
    /// When it began, s; None where it was never begun.
    pub start_s: Option<f64>,
    /// When it ended, s; None where it did not.
    pub end_s: Option<f64>,
    /// The figures of [`METRICS`] for its kind, in their order.
    pub figures: Vec<Figure>,
    /// Its cost; None where there is none.
    pub cost: Option<Cost>,
    /// The tasks drawn by a surprise; empty for every other kind.
    pub drawn: Vec<TaskScore>,
    /// The results of `best` and `steady` for it, as far as they are known.
    pub reference: Reference,
    /// The scale of its points; None for an unfinished task.
    pub scale: Option<Scale>,
    /// 0..100; None where the task is not scored, or where the points depend on something unknown.
    pub points: Option<f64>,
    /// The values of 3 degrees where the task began, for recomputing the cost; None for an unfinished task.
    pub three: Option<ThreeDegrees>,
    /// Largest error in ft: over a hold, or from a step's first arrival in its band to its end; None where there is none.
    pub largest_error_ft: Option<f64>,
}

impl TaskScore {
    /// A task of which nothing is known: 0 points if it counts.
    fn unfinished(task: &Task) -> TaskScore {
        TaskScore {
            task: task.clone(),
            start_s: None,
            end_s: None,
            figures: vec![Figure::Unknown; metrics::of_kind(&task.kind).count()],
            cost: None,
            drawn: Vec::new(),
            reference: Reference::default(),
            scale: None,
            points: task.scored.then_some(0.0),
            three: None,
            largest_error_ft: None,
        }
    }

    /// A figure that is a number.
    pub fn number(&self, key: Key) -> Option<f64> {
        self.figure(key)?.number()
    }

    /// A figure, if the task's kind has it.
    pub fn figure(&self, key: Key) -> Option<Figure> {
        metrics::of_kind(&self.task.kind)
            .position(|metric| metric.id == key)
            .map(|index| self.figures[index].clone())
    }

    /// Whether a stay was captured.
    pub fn is_captured(&self) -> bool {
        self.figure(Key::Captured) == Some(Figure::Flag(true))
    }

    /// Whether a go-around was called and not flown.
    pub fn is_missed(&self) -> bool {
        self.figure(Key::Missed) == Some(Figure::Flag(true))
    }

    /// How a path ended.
    pub fn outcome(&self) -> Option<Outcome> {
        match self.figure(Key::Outcome)? {
            Figure::Ended(outcome) => Some(outcome),
            _ => None,
        }
    }
}

/// Scores a finished run, or the flown part of one, without any reference.
pub fn score(run: &Run) -> Score {
    score_against(run, &[])
}

/// Scores a run against what other hands made of its legs, in the order of [`Run::legs`]; missing references at the end count
/// as unknown.
pub fn score_against(run: &Run, references: &[Reference]) -> Score {
    let reference = |leg: usize| references.get(leg).copied().unwrap_or_default();
    let legs_of = |task: usize| {
        let legs = run.legs().iter().enumerate();
        legs.filter(move |(_, leg)| leg.task == task)
            .map(|(index, leg)| (leg, reference(index)))
    };
    let tasks: Vec<TaskScore> = run
        .drill()
        .tasks
        .iter()
        .enumerate()
        .map(|(index, task)| {
            let mut legs = legs_of(index);
            match &task.kind {
                Kind::Surprise(surprise) => score_surprise(run, task, surprise, legs),
                _ => score_task(run, task, legs.next()),
            }
        })
        .collect();
    let scored: Vec<Option<f64>> = tasks
        .iter()
        .filter(|task| task.task.scored)
        .map(|task| task.points)
        .collect();
    let sum: Option<f64> = scored.iter().copied().sum();
    Score {
        points: sum
            .filter(|_| !scored.is_empty())
            // The sum of nothing is -0.
            .map(|sum| sum / scored.len() as f64 + 0.0),
        tasks,
        complete: run.end() == Some(End::Complete),
    }
}

/// The mean over the drawn tasks; tasks that were not reached count 0.
fn score_surprise<'a>(
    run: &Run,
    task: &Task,
    surprise: &Surprise,
    legs: impl Iterator<Item = (&'a Leg, Reference)>,
) -> TaskScore {
    let drawn: Vec<TaskScore> = legs
        .map(|(leg, reference)| {
            let task = Task {
                kind: leg.kind.clone(),
                scored: task.scored,
            };
            score_task(run, &task, Some((leg, reference)))
        })
        .collect();
    let points: Option<f64> = drawn.iter().map(|task| task.points).sum();
    let complete = drawn.len() == surprise.count as usize;
    TaskScore {
        start_s: drawn.first().and_then(|task| task.start_s),
        end_s: drawn
            .last()
            .filter(|_| complete)
            .and_then(|task| task.end_s),
        points: points
            .filter(|_| task.scored)
            .map(|points| points / f64::from(surprise.count) + 0.0),
        drawn,
        ..TaskScore::unfinished(task)
    }
}

fn score_task(run: &Run, task: &Task, leg: Option<(&Leg, Reference)>) -> TaskScore {
    let mut result = TaskScore {
        start_s: leg.map(|(leg, _)| leg.start as f64 * TICK_S),
        ..TaskScore::unfinished(task)
    };
    let Some((leg, reference)) = leg else {
        return result;
    };
    let Some(end) = leg.end else {
        return result;
    };
    let scene = Scene::new(run, leg, end);
    result.end_s = Some(end as f64 * TICK_S);
    if scene.known.show(&leg.kind) {
        result.figures = metrics::of_kind(&task.kind)
            .map(|metric| (metric.value)(&scene))
            .collect();
    }
    let scale = Scale::new(&scene, &reference);
    result.cost = Cost::of(&scene);
    result.reference = reference;
    result.scale = Some(scale);
    result.three = Some(scene.three);
    result.largest_error_ft = scene.largest_error_ft();
    if task.scored {
        result.points = points::points(&scene, &scale, result.cost, &reference);
    }
    result
}

/// The worth of a single finished leg.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worth {
    /// 0..100.
    pub points: f64,
    /// The cost; None where there is none.
    pub cost: Option<Cost>,
    /// The cost that is worth nothing.
    pub limit: f64,
}

impl Worth {
    /// The cost; the limit where there is none.
    pub fn cost_or_limit(&self) -> f64 {
        self.cost.map_or(self.limit, |cost| cost.total())
    }
}

/// The worth of one leg of a run, by its index, whether its task counts or not; None where the leg is unfinished, or where its
/// points depend on something unknown.
pub fn leg_worth(run: &Run, leg: usize, reference: &Reference) -> Option<Worth> {
    let leg = run.legs().get(leg)?;
    let scene = Scene::new(run, leg, leg.end?);
    let scale = Scale::new(&scene, reference);
    let cost = Cost::of(&scene);
    Some(Worth {
        points: points::points(&scene, &scale, cost, reference)?,
        cost,
        limit: scale.limit,
    })
}

/// The worth of the leg in which a fault ended the run: 0 points, at the limit of its cost.
pub fn leg_lost(run: &Run, leg: usize, reference: &Reference) -> Option<Worth> {
    let is_last = run.fault().is_some() && leg + 1 == run.legs().len();
    let leg = run.legs().get(leg).filter(|_| is_last)?;
    let scene = Scene::new(run, leg, run.tick());
    Some(Worth {
        points: 0.0,
        cost: None,
        limit: Scale::new(&scene, reference).limit,
    })
}

/// The cost of one leg of a run, by its index; None where the leg was not begun or is unfinished, captured nothing, or was
/// worth nothing whatever it cost (a path that does not end in its zone, or after a call that was not flown).
pub fn leg_cost(run: &Run, leg: usize) -> Option<f64> {
    let leg = run.legs().get(leg)?;
    let scene = Scene::new(run, leg, leg.end?);
    let is_path = matches!(leg.kind, Kind::Path(_));
    let counts = !is_path
        || (leg.approach.outcome == Some(Outcome::InZone) && leg.approach.called.is_none());
    let cost = Cost::of(&scene).filter(|_| counts)?;
    Some(cost.total())
}
