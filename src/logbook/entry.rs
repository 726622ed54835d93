//! A run in one line.

use serde::{Deserialize, Serialize};

use crate::drill::{Aids, Drill, Kind, Skill};
use crate::progress::Flown;
use crate::run::Recording;
use crate::run::recording::HandName;
use crate::score::{Score, metrics};
use crate::sim::world::Fault;
use crate::units::TICK_S;
use crate::why::Bill;

/// What the logbook says about a run without opening its recording.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// Version of this layout.
    pub schema: u32,
    /// The recording's id.
    pub id: String,
    /// When it was flown, RFC 3339, local.
    pub at: String,
    /// The drill's id.
    pub drill: String,
    /// The drill's title.
    pub title: String,
    /// The aeroplane's name.
    pub aircraft: String,
    /// Who moved the lever.
    pub hand: HandName,
    /// How much the screen helped.
    pub aids: Aids,
    /// The air named on the command line instead of the drill's, if any.
    pub air: Option<String>,
    /// Seed of the air.
    pub seed: u64,
    /// Version of the model.
    pub model: u32,
    /// How long it lasted, s.
    pub end_s: f64,
    /// Whether the last task ended.
    pub complete: bool,
    /// Whether the learner left it.
    pub left: bool,
    /// The fault it ended in, if any.
    pub fault: Option<Fault>,
    /// 0..100; None where the drill scores nothing.
    pub points: Option<f64>,
    /// Digest of the states.
    pub digest: String,
    /// The skill that the drill practises; None in lines older than this field.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub skill: Option<Skill>,
    /// Each figure that is a number: its key and its mean over the tasks that count.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub figures: Vec<(String, f64)>,
    /// The points lost: each kind of line and its cost, in points of the run; None where the run was not weighed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bill: Option<Vec<(String, f64)>>,
    /// The pilot's name, if given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pilot: Option<String>,
}

impl Entry {
    /// The line for a recording, with what only its drill knows; without bill and figures.
    pub fn of(recording: &Recording, drill: &Drill) -> Entry {
        Entry {
            schema: recording.schema,
            id: recording.id.clone(),
            at: recording.at.clone(),
            drill: recording.drill.clone(),
            title: drill.title.clone(),
            aircraft: drill.aircraft.name.clone(),
            hand: recording.hand,
            aids: recording.aids,
            air: recording.air.clone(),
            seed: recording.seed,
            model: recording.model,
            end_s: recording.ticks as f64 * TICK_S,
            // A recorded run is over: if it neither was left nor broke off, it was flown to its end.
            complete: !recording.left && recording.fault.is_none(),
            left: recording.left,
            fault: recording.fault,
            points: recording.points,
            digest: recording.digest.clone(),
            skill: Some(Skill::of(drill)),
            figures: Vec::new(),
            bill: None,
            pilot: recording.pilot.clone(),
        }
    }

    /// The same with its bill, its figures and the points of a score.
    pub fn weighed(recording: &Recording, drill: &Drill, score: &Score, bills: &[Bill]) -> Entry {
        Entry {
            points: score.points,
            complete: score.complete,
            bill: bill(drill, bills),
            figures: figures(score),
            ..Entry::of(recording, drill)
        }
    }

    /// The parts that matter for practice.
    pub fn flown(self) -> Flown {
        Flown {
            id: self.id,
            at: self.at,
            drill: self.drill,
            title: self.title,
            skill: self.skill,
            aids: self.aids,
            seconds: self.end_s,
            complete: self.complete,
            points: self.points,
            figures: self.figures,
            bill: self.bill,
        }
    }
}

/// Each figure's mean over the tasks that count and have it.
fn figures(score: &Score) -> Vec<(String, f64)> {
    let tasks = || score.flown().filter(|task| task.task.scored);
    let mut figures = Vec::new();
    for metric in metrics::METRICS {
        let numbers = tasks().filter_map(|task| task.number(metric.id));
        let numbers: Vec<f64> = numbers.collect();
        if !numbers.is_empty() {
            let mean = numbers.iter().sum::<f64>() / numbers.len() as f64;
            figures.push((metric.key.to_string(), hundredths(mean)));
        }
    }
    figures
}

/// The lines of all bills by kind, dearest first; None where there are no bills. A run's points are the mean over its tasks, a
/// surprise's the mean over the tasks drawn.
fn bill(drill: &Drill, bills: &[Bill]) -> Option<Vec<(String, f64)>> {
    if bills.is_empty() {
        return None;
    }
    let counting = drill.tasks.iter().filter(|task| task.scored).count() as f64;
    let mut list: Vec<(String, f64)> = Vec::new();
    for line in bills.iter().flat_map(|bill| &bill.lines) {
        let drawn = match &drill.tasks[line.task - 1].kind {
            Kind::Surprise(surprise) => f64::from(surprise.count),
            _ => 1.0,
        };
        let points = line.points / (counting * drawn);
        let key = line.kind.key();
        match list.iter_mut().find(|(known, _)| known == key) {
            Some((_, sum)) => *sum += points,
            None => list.push((key.to_string(), points)),
        }
    }
    list.sort_by(|a, b| b.1.total_cmp(&a.1));
    list.iter_mut()
        .for_each(|(_, points)| *points = hundredths(*points));
    Some(list)
}

/// Rounds to hundredths, which nobody reads finer, so that lines stay short.
fn hundredths(x: f64) -> f64 {
    (100.0 * x).round() / 100.0
}
