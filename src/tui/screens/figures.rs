//! The figures of a run in words: one row for each task, then each task's arithmetic.

use ratatui::text::Line;

use super::words;
use crate::drill::Kind;
use crate::drill::reader::plain;
use crate::run::Run;
use crate::score::{Figure, Score, TaskScore, metrics, tolerances, working};
use crate::tui::theme::{Role, Theme};
use crate::units::TICKS_PER_S;

const TABLE_HEAD: &str =
    "task               stay begun    past  short      rms  lever  turns  points";
/// Columns between a task's name and its points.
const BETWEEN: usize = 49;

/// A head, then a row for each task; below a surprise one for each task it drew.
pub fn table(score: &Score) -> Vec<String> {
    let mut rows = vec![TABLE_HEAD.to_string()];
    for (index, task) in score.tasks.iter().enumerate() {
        rows.push(row(&(index + 1).to_string(), task));
        for (drawn, task) in task.drawn.iter().enumerate() {
            rows.push(row(&format!("  {}", drawn + 1), task));
        }
    }
    rows
}

fn row(n: &str, task: &TaskScore) -> String {
    let name = format!("{n} {}", words::task_name(&task.task.kind));
    let points = match task.points {
        Some(points) => format!("{points:>7.0}"),
        None => format!("{:>7}", "-"),
    };
    match &task.task.kind {
        Kind::Path(_) => format!("{name:<18} {:<48}{points}", approach(task)),
        Kind::Surprise(surprise) => {
            let told = format!("{} told, mean of all {}", task.drawn.len(), surprise.count);
            format!("{name:<18} {told:<48}{points}")
        }
        _ => format!("{name:<18}{:<BETWEEN$}{points}", stay(task)),
    }
}

/// The columns of holds, steps and rates.
fn stay(task: &TaskScore) -> String {
    let column = |text: Option<String>, width: usize| {
        format!("{:>width$}", text.unwrap_or_else(|| "-".to_string()))
    };
    let number = |key: &str, unit: &str| Some(format!("{:.0}{unit}", task.number(key)?));
    let feet_or_rate = |what: &str| {
        number(&format!("{what}_ft"), " ft").or_else(|| number(&format!("{what}_fpm"), " fpm"))
    };
    let begun = match (task.number("in_band"), task.number("capture_s")) {
        (Some(share), _) => format!("{:.0} % inside", 100.0 * share),
        (_, Some(capture_s)) => format!("{capture_s:.1} s"),
        _ if task.end_s.is_some() => "missed".to_string(),
        _ => "-".to_string(),
    };
    format!(
        "{begun:>11}{}{}{}{}{}",
        column(feet_or_rate("overshoot"), 8),
        column(number("short_ft", " ft"), 7),
        column(feet_or_rate("rms"), 9),
        column(number("lever_travel", " %"), 7),
        column(number("lever_reversals", ""), 7),
    )
}

/// How an approach ended.
fn approach(task: &TaskScore) -> String {
    let outcome = match task.figure("outcome") {
        Some(Figure::Word("in_zone")) => "in the zone",
        Some(Figure::Word("short")) => "short of the deck",
        Some(Figure::Word("past")) => "past the zone",
        Some(Figure::Word("went_around")) => "went around",
        _ => "not finished",
    };
    let missed = match task.figure("missed") {
        Some(Figure::Flag(true)) => ", a call missed",
        _ => "",
    };
    match (task.number("touchdown_ft"), task.number("sink_fps")) {
        (Some(at_ft), Some(sink_fps)) => {
            let side = if at_ft >= 0.0 { "before" } else { "past" };
            format!(
                "{outcome}, {:.0} ft {side} aim, {sink_fps:.1} ft/s{missed}",
                at_ft.abs()
            )
        }
        _ => format!("{outcome}{missed}"),
    }
}

/// One task's arithmetic, its other figures, and the published tolerances it would meet; a surprise's tasks one by one.
pub fn lines(run: &Run, index: usize, task: &TaskScore, theme: &Theme) -> Vec<Line<'static>> {
    let n = (index + 1).to_string();
    let from_m = words::from_m(run.drill(), index);
    if task.drawn.is_empty() {
        return task_lines(&n, from_m, task, theme);
    }
    let points = run.trace().points();
    let drawn = task.drawn.iter().enumerate();
    drawn
        .flat_map(|(drawn, task)| {
            let tick = task
                .start_s
                .map_or(0, |start_s| (start_s * TICKS_PER_S as f64) as usize);
            let from_m = points[tick.min(points.len() - 1)].state.h_m;
            task_lines(&format!("{n}, {}", drawn + 1), from_m, task, theme)
        })
        .collect()
}

fn task_lines(n: &str, from_m: f64, task: &TaskScore, theme: &Theme) -> Vec<Line<'static>> {
    let (ink, quiet) = (theme.style(Role::Ink), theme.style(Role::Quiet));
    let asked = words::task(&task.task.kind, from_m);
    let mut lines = vec![
        Line::default(),
        Line::styled(format!("{n}  {asked}"), theme.style(Role::Strong)),
    ];
    for line in working::lines(task) {
        lines.push(Line::styled(format!("   {line}"), ink));
    }
    for (metric, figure) in metrics::of_kind(&task.task.kind).zip(&task.figures) {
        match figure {
            Figure::Number(x) => {
                let text = format!("   {:<18}{x:>8.2} {}", metric.label, metric.unit);
                lines.push(Line::styled(text, quiet));
            }
            Figure::Gates(gates) => {
                for gate in gates {
                    let passed = match gate.deviation_ft {
                        Some(off_ft) => format!("passed at {off_ft:+.0} ft"),
                        None => "not reached".to_string(),
                    };
                    let place = format!(
                        "{:.2} nm, {} ft",
                        gate.distance_nm,
                        plain(gate.altitude_ft.round())
                    );
                    lines.push(Line::styled(format!("   gate {place:<19} {passed}"), quiet));
                }
            }
            _ => {}
        }
    }
    if let Some(largest_ft) = task.largest_error_ft {
        let text =
            format!("   largest error {largest_ft:.0} ft; published tolerances it would meet:");
        lines.push(Line::styled(text, quiet));
        let met: Vec<_> = tolerances::met(largest_ft).collect();
        for tolerance in &met {
            let text = format!("     +-{:.0} ft  {}", tolerance.feet, tolerance.source);
            lines.push(Line::styled(text, quiet));
        }
        if met.is_empty() {
            lines.push(Line::styled("     none of ours to compare", quiet));
        }
    }
    lines
}
