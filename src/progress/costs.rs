//! What costs most: the bills of several runs, added up by name.

use std::collections::BTreeMap;

use jiff::civil::Date;
use serde::Serialize;

use super::Flown;

/// Number of days in *this week*, today included.
pub const WEEK: i32 = 7;
/// The name under which a bill keeps losses too small to report.
const REST: &str = "rest";

/// A name of the bill and what it cost.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NamedCost {
    pub key: String,
    /// Points lost, summed over runs.
    pub points: f64,
    /// Number of runs in which it cost points.
    pub runs: usize,
    /// The drill on which it cost most.
    pub drill: String,
    /// The run in which it cost most.
    pub id: String,
}

/// All that was lost.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Costs {
    /// Runs that were weighed.
    pub runs: usize,
    /// Points lost in them.
    pub points: f64,
    /// Points lost under the rest, which has no name.
    pub rest: f64,
    /// The names, dearest first.
    pub lines: Vec<NamedCost>,
}

/// The first day of the week that ends with the given day.
pub fn week(today: Date) -> Date {
    let days = jiff::Span::new().days(WEEK - 1);
    today.checked_sub(days).unwrap_or(today)
}

/// Adds up what was lost in some runs.
pub fn costs(flown: &[&Flown]) -> Costs {
    let mut costs = Costs::default();
    let mut lines = BTreeMap::<&str, Adding>::new();
    for run in flown {
        let Some(bill) = &run.bill else {
            continue;
        };
        costs.runs += 1;
        for (key, points) in bill {
            costs.points += points;
            match key.as_str() {
                REST => costs.rest += points,
                key => lines.entry(key).or_default().add(run, *points),
            }
        }
    }
    costs.lines = lines
        .into_iter()
        .filter_map(|(key, adding)| adding.cost(key))
        .collect();
    costs.lines.sort_by(|a, b| b.points.total_cmp(&a.points));
    costs
}

#[derive(Default)]
struct Adding<'a> {
    points: f64,
    runs: usize,
    drills: BTreeMap<&'a str, f64>,
    dearest: Option<(f64, &'a Flown)>,
}

impl<'a> Adding<'a> {
    fn add(&mut self, run: &'a Flown, points: f64) {
        self.points += points;
        self.runs += 1;
        *self.drills.entry(&run.drill).or_default() += points;
        if self.dearest.is_none_or(|(most, _)| points >= most) {
            self.dearest = Some((points, run));
        }
    }

    fn cost(self, key: &str) -> Option<NamedCost> {
        let drill = self.drills.iter().max_by(|a, b| a.1.total_cmp(b.1))?.0;
        Some(NamedCost {
            key: key.to_string(),
            points: self.points,
            runs: self.runs,
            drill: (*drill).to_string(),
            id: self.dearest?.1.id.clone(),
        })
    }
}
