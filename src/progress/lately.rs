//! Compares a run with the last few of the same drill: better or worse, and by what.

use serde::Serialize;

use super::summary::LATELY;
use super::{Flown, mean, of};
use crate::drill::reader::plain;
use crate::sim::math::sqrt;

/// The fewest earlier runs whose scatter means something.
const SCATTERS: usize = 3;
/// The smallest difference that is reported, points.
const TOLD: f64 = 0.5;

/// A run compared with those before it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Lately {
    pub points: f64,
    /// How many runs it is compared with: the last five flown to their end, or as many as there are.
    pub runs: usize,
    pub mean: f64,
    /// Their standard deviation; None for fewer than three.
    pub scatter: Option<f64>,
    /// Whether it has more points than every earlier run of this drill.
    pub is_best: bool,
    /// The name of the bill that changed most, of those that moved the points the way they went: its key, and the points it
    /// cost more than before.
    pub by: Option<(String, f64)>,
}

/// The run with an id, among all runs, oldest first, compared with those before it.
pub fn lately_of(flown: &[Flown], id: &str) -> Option<Lately> {
    let place = flown.iter().position(|run| run.id == id)?;
    let before: Vec<&Flown> = flown[..place].iter().collect();
    lately(&before, &flown[place])
}

/// Compares a run with those of its drill among `before`, oldest first; None where it was not flown to its end, has no points,
/// or is the first.
pub fn lately(before: &[&Flown], now: &Flown) -> Option<Lately> {
    let points = now.whole_points()?;
    let same = |run: &&&Flown| run.drill == now.drill && run.whole_points().is_some();
    let all: Vec<&Flown> = before.iter().filter(same).copied().collect();
    let last = &all[all.len().saturating_sub(LATELY)..];
    let of_last: Vec<f64> = last.iter().filter_map(|run| run.points).collect();
    let before = mean(of_last.iter().copied())?;
    let squares = of_last
        .iter()
        .map(|points| (points - before) * (points - before));
    let scatter = sqrt(squares.sum::<f64>() / (of_last.len() as f64 - 1.0).max(1.0));
    Some(Lately {
        points,
        runs: last.len(),
        mean: before,
        scatter: (last.len() >= SCATTERS).then_some(scatter),
        is_best: all.iter().all(|run| run.points < now.points),
        by: by(last, now, points - before),
    })
}

/// The name of the bill that changed most, of those that moved the points the way they went.
fn by(last: &[&Flown], now: &Flown, change: f64) -> Option<(String, f64)> {
    let own = now.bill.as_ref()?;
    let earlier: Vec<&Vec<(String, f64)>> =
        last.iter().filter_map(|run| run.bill.as_ref()).collect();
    let bills = earlier.iter().copied().chain([own]);
    let mut keys: Vec<&String> = bills.flatten().map(|(key, _)| key).collect();
    keys.sort_unstable();
    keys.dedup();
    let more = keys
        .into_iter()
        .filter(|key| *key != "rest")
        .filter_map(|key| {
            let then = mean(earlier.iter().map(|bill| of(bill, key).unwrap_or(0.0)))?;
            Some((key.clone(), of(own, key).unwrap_or(0.0) - then))
        });
    let helped = more.filter(|(_, more)| more * change < 0.0 && more.abs() >= TOLD);
    helped.max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))
}

impl Lately {
    /// One line for a person.
    pub fn sentence(&self) -> String {
        let whole = |x: f64| plain(x.abs().round());
        let change = self.points - self.mean;
        let than = match self.runs {
            1 => "your previous run".to_string(),
            n => format!("the mean of your last {n}"),
        };
        let mut said = match change {
            change if change >= TOLD => format!("{} better than {than}", whole(change)),
            change if change <= -TOLD => format!("{} worse than {than}", whole(change)),
            _ => format!("As good as {than}"),
        };
        let inside = self.scatter.filter(|scatter| change.abs() < *scatter);
        said += &match inside {
            Some(scatter) => format!(
                " ({}), within their scatter ({})",
                whole(self.mean),
                whole(scatter)
            ),
            None => format!(" ({})", whole(self.mean)),
        };
        if let Some((key, more)) = self.by.as_ref().filter(|_| change.abs() >= TOLD) {
            let word = if *more < 0.0 { "less" } else { "more" };
            let name = key.replace('_', " ");
            said += &format!("; {name} cost {} {word}", whole(*more));
        }
        said += if self.is_best {
            "; your best here."
        } else {
            "."
        };
        said
    }
}
