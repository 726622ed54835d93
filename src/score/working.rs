//! The arithmetic of a task's points, line by line, with the numbers put in: a learner can follow it on paper.

use super::TaskScore;
use super::points::step_cost;
use crate::drill::Kind;
use crate::units::FT;

/// The lines for one task; empty where the task is not scored or was not finished.
pub fn lines(task: &TaskScore) -> Vec<String> {
    let (Some(points), Some(scale), Some(three)) = (task.points, task.scale, task.three) else {
        return Vec::new();
    };
    let number = |key: &str| task.number(key).unwrap_or(0.0);
    let Some(cost) = task.cost else {
        return vec!["not captured, so there is no cost and no point".to_string()];
    };
    let (rate_fps, lever_percent) = (three.rate_mps / FT, 100.0 * three.lever);
    let (unit, mut lines) = match task.task.kind {
        Kind::Hold(_) => ("ft", vec![format!("cost = rms error = {cost:.1} ft")]),
        Kind::Step(_) => {
            let Some(terms) = step_cost(|key| task.number(key), rate_fps, lever_percent) else {
                return Vec::new();
            };
            let lines = vec![
                format!("  {:6.2} s  stay begun", terms.capture_s),
                format!(
                    "+ {:6.2} s  ({:.1} ft past + {:.1} ft rms) / {rate_fps:.2} ft/s, the 3-degree rate",
                    terms.error_s,
                    number("overshoot_ft"),
                    number("rms_ft")
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
            ];
            ("s", lines)
        }
    };
    let (floor, limit) = (scale.floor, scale.limit);
    lines.push(format!(
        "100 points at {floor:.1} {unit}, 0 at {limit:.1} {unit}, straight between: {points:.1}"
    ));
    lines
}
