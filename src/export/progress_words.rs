//! The results of practice, in words and tables.

use super::table::{Cell, Table};
use super::text::when;
use crate::drill::reader::fixed;
use crate::progress::curve::LEAST;
use crate::progress::{Costs, Curve, Group, Summary};
use crate::score::METRICS;

/// "1 day", "3 days".
pub fn count(n: usize, what: &str) -> String {
    match n {
        1 => format!("1 {what}"),
        n => format!("{n} {what}s"),
    }
}

/// A name of the bill in words.
pub fn name(key: &str) -> String {
    key.replace('_', " ")
}

/// A table with a row for each group of runs.
pub fn summaries(rows: &[Summary], group: Group) -> Table {
    // Columns that mean nothing for a single day are left out.
    let head = match group {
        Group::Drill => {
            "drill runs complete days minutes best mean last_five change at_least at_most last_flown"
        }
        Group::Skill => {
            "skill runs complete days minutes best mean last_five change at_least at_most last_flown"
        }
        Group::Day => "day runs complete minutes best mean",
    };
    let row = |row: &Summary| {
        let change = row.curve.as_ref().map(|curve| curve.change);
        let (name, days) = (Cell::text(&row.key), Cell::Number(row.days as f64, 0));
        let [runs, complete] = [row.runs, row.complete].map(|n| Cell::Number(n as f64, 0));
        let best = Cell::maybe(row.best.as_ref().map(|best| best.points), 1);
        let (minutes, mean) = (Cell::Number(row.minutes, 0), Cell::maybe(row.mean, 1));
        if group == Group::Day {
            return vec![name, runs, complete, minutes, best, mean];
        }
        vec![
            name,
            runs,
            complete,
            days,
            minutes,
            best,
            mean,
            Cell::maybe(row.lately, 1),
            Cell::maybe(change.map(|change| change.value), 1),
            Cell::maybe(change.map(|change| change.low), 1),
            Cell::maybe(change.map(|change| change.high), 1),
            Cell::Text(when(&row.last_at)),
        ]
    };
    Table::new(head, rows.iter().map(row))
}

/// A curve in a few sentences; `runs` is the number of runs flown to their end.
pub fn curve(curve: Option<&Curve>, figure: &str, runs: usize) -> String {
    let are_few = runs < LEAST;
    let runs = count(runs, "run");
    let Some(curve) = curve else {
        let needs = match are_few {
            true => format!("{LEAST} or more"),
            false => "more of them on the same drill".to_string(),
        };
        return format!("{runs} flown to the end: a curve needs {needs}.");
    };
    let metric = METRICS.iter().find(|metric| metric.key == figure);
    let unit = match metric.map_or("points", |metric| metric.told_in()) {
        "" => String::new(),
        unit => format!(" {unit}"),
    };
    let one = |x: f64| metric.map_or_else(|| fixed(x, 1), |metric| metric.number(x, 1));
    let (change, scatter) = (curve.change, one(curve.scatter));
    let (now, low, high) = (one(curve.now.value), one(change.low), one(change.high));
    let ends = curve.ends();
    if !curve.is_told() {
        return format!(
            "Over {runs} no change stands out from chance: from the first {ends} to the last {ends} it is {low} to {high}{unit} \
             (95 %). Single runs scatter by {scatter} about their mean, {now}."
        );
    }
    let way = if change.value > 0.0 { "up" } else { "down" };
    let by = one(change.value.abs());
    let form = match curve.half_life_runs {
        _ if curve.is_straight() => "It is all but straight.".to_string(),
        Some(half) => {
            let half = fixed(half, 1);
            format!("It slows down: every {half} runs cover half of the way left.")
        }
        None => "It speeds up.".to_string(),
    };
    format!(
        "Over {runs} the curve goes {way} by {by}{unit} from the first {ends} to the last {ends} (95 %: {low} to {high}), to {now}. \
         Single runs scatter by {scatter} about it. {form}"
    )
}

/// What cost most, one row per name.
pub fn costs(costs: &Costs) -> Table {
    let rows = costs.lines.iter().map(|cost| {
        vec![
            Cell::text(&cost.key),
            Cell::Number(cost.points, 1),
            Cell::Number(cost.runs as f64, 0),
            Cell::text(&cost.drill),
            Cell::text(&cost.id),
        ]
    });
    Table::new("name points runs most_on dearest_run", rows)
}

/// The same in one sentence.
pub fn costs_in_all(costs: &Costs) -> String {
    match costs.lines.first() {
        Some(first) => format!(
            "What costs you most is {}: {:.0} of {:.0} points lost in {}.",
            name(&first.key),
            first.points,
            costs.points,
            count(costs.runs, "weighed run"),
        ),
        None if costs.runs == 0 => "No run was weighed in this time.".to_string(),
        None if costs.points > 0.0 => "What was lost in this time has no name.".to_string(),
        None => "No run weighed in this time lost points.".to_string(),
    }
}
