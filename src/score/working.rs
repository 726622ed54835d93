//! The arithmetic of a task's points, line by line, with the numbers put in: a learner can follow it on paper.

use super::points::{rate_cost, step_cost};
use super::{Figure, TaskScore, tolerances};
use crate::drill::Kind;
use crate::units::FT;

/// The lines for one task; empty where the task is not scored or was not finished.
pub fn lines(task: &TaskScore) -> Vec<String> {
    let Some(points) = task.points else {
        return Vec::new();
    };
    if matches!(task.task.kind, Kind::Surprise(_)) {
        return vec![format!("points = mean of the drawn tasks = {points:.1}")];
    }
    let (Some(scale), Some(three)) = (task.scale, task.three) else {
        return Vec::new();
    };
    let number = |key: &str| task.number(key).unwrap_or(0.0);
    let Some(cost) = task.cost else {
        return vec!["not captured, so there is no cost and no point".to_string()];
    };
    let (rate_fps, lever_percent) = (three.rate_mps / FT, 100.0 * three.lever);
    let figure = |key: &str| task.number(key);
    let (unit, terms, rate, off_unit) = match task.task.kind {
        Kind::Hold(_) => ("ft", None, String::new(), ""),
        Kind::Step(_) => (
            "s",
            step_cost(figure, rate_fps, lever_percent),
            format!("{rate_fps:.2} ft/s, the 3-degree rate"),
            "ft",
        ),
        Kind::Rate(_) => (
            "s",
            rate_cost(figure, lever_percent),
            "100 ft/min".to_string(),
            "fpm",
        ),
        Kind::Path(_) | Kind::Surprise(_) => ("of the band", None, String::new(), ""),
    };
    let mut lines = match terms {
        None if unit == "ft" => vec![format!("cost = rms error = {cost:.1} ft")],
        None => {
            let mut lines = vec![format!("cost = rms share of the band used = {cost:.3}")];
            if points == 0.0 || task.figure("outcome") != Some(Figure::Word("in_zone")) {
                lines.push(format!("no touchdown in the zone: {points:.0} points; going around when called earns 50"));
                return lines;
            }
            lines
        }
        Some(terms) => vec![
            format!("  {:6.2} s  stay begun", terms.capture_s),
            format!(
                "+ {:6.2} s  ({:.1} past + {:.1} rms) / {rate}",
                terms.error_s,
                number(&format!("overshoot_{off_unit}")),
                number(&format!("rms_{off_unit}"))
            ),
            format!(
                "+ {:6.2} s  0.5 x {:.1} % of lever moved / {lever_percent:.1} %, the lever of 3 degrees",
                terms.lever_s,
                number("lever_travel")
            ),
            format!(
                "+ {:6.2} s  2 x {:.1} s too steep",
                terms.steep_s,
                number("steep_s")
            ),
            format!("= {cost:6.2} s  cost"),
        ],
    };
    let (floor, limit) = (scale.floor, scale.limit);
    lines.push(format!(
        "100 points at {floor:.1} {unit}, 0 at {limit:.1} {unit}, straight between: {points:.1}"
    ));
    if let (Kind::Path(_), Some(sink_fps)) = (&task.task.kind, task.number("sink_fps")) {
        lines.push(tolerances::sink(sink_fps));
    }
    lines
}
