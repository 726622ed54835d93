//! The arithmetic of a task's points, line by line with the numbers filled in, so that a learner can follow it on paper.

use super::points::{CALLED_POINTS, PAR_POINTS, Scale};
use super::{Cost, Key, TaskScore, tolerances};
use crate::drill::Kind;
use crate::drill::path::Outcome;
use crate::units::FT;

/// The lines for one task, at most 74 columns wide; empty where the task is not scored or was not finished.
pub fn lines(task: &TaskScore) -> Vec<String> {
    let Some(points) = task.points else {
        return Vec::new();
    };
    if matches!(task.task.kind, Kind::Surprise(_)) {
        return vec![format!("points = mean of the drawn tasks = {points:.1}")];
    }
    let Some(scale) = task.scale else {
        return Vec::new();
    };
    let kind = &task.task.kind;
    if let Kind::Path(_) = kind
        && (task.outcome() != Some(Outcome::InZone) || task.is_missed())
    {
        return vec![match task.is_missed() {
            true => "a go-around was called and not flown: 0 points".to_string(),
            false => format!(
                "no touchdown in the zone: {points:.0} points; going around when called earns {CALLED_POINTS:.0}"
            ),
        }];
    }
    let Some(cost) = task.cost else {
        return vec!["not captured, so no cost and no points".to_string()];
    };
    let mut lines = cost_lines(task, &cost);
    let taken_off = task.reference.taken_off(&scale);
    let own = cost.total() - taken_off;
    if points == 0.0 && scale.points(own) > 0.0 {
        lines.push("it began inside its own band, so it asked for nothing: 0 points".to_string());
        return lines;
    }
    // An amount that rounds to 0 at the last place shown is left out.
    let handed_on = task.reference.handed_on;
    if let Some(handed_on) = handed_on.filter(|cost| exact(task, cost.abs()) != "0") {
        let (sign, word) = match handed_on < 0.0 {
            true => ("+", "a head start"),
            false => ("-", "a debt"),
        };
        // A debt beyond one whole scale is not taken off.
        let whole = match taken_off < handed_on {
            true => format!(", {}", amount(task, handed_on)),
            false => String::new(),
        };
        let comma = if whole.is_empty() { "," } else { " of" };
        lines.push(format!(
            "{sign} {}{comma} {word} from the task before{whole}: {} counts",
            amount(task, taken_off.abs()),
            amount(task, own)
        ));
    }
    lines.extend(par_lines(task, &scale));
    lines.push(points_line(task, &scale, own, points));
    if let Some(sink_fps) = task.number(Key::SinkFps) {
        lines.push(tolerances::sink(sink_fps));
    }
    lines
}

/// A task's cost beside those of par and best, such as `par 36.2 s, yours 51.0 s, best 31.4 s`; None where neither is known.
pub fn beside(task: &TaskScore) -> Option<String> {
    let reference = task.reference;
    reference.best.or(reference.par)?;
    let said = |who: &str, cost: Option<f64>| {
        let cost = cost.map_or("no cost".to_string(), |cost| match unit(task) {
            "" => format!("{:.0} %", 100.0 * cost),
            unit => format!("{cost:.1}{unit}"),
        });
        format!("{who} {cost}")
    };
    let of_what = match task.task.kind {
        Kind::Path(_) => " of the band",
        _ => "",
    };
    let yours = match task.points {
        Some(_) => said("yours", task.cost.map(|cost| cost.total())) + ", ",
        None => String::new(),
    };
    Some(format!(
        "{}, {yours}{}{of_what}",
        said("par", reference.par),
        said("best", reference.best)
    ))
}

/// The unit of a task's cost; empty for shares of a band.
fn unit(task: &TaskScore) -> &'static str {
    match task.task.kind {
        Kind::Step(_) | Kind::Rate(_) | Kind::Slow(_) => " s",
        Kind::Hold(_) => " ft",
        Kind::Path(_) | Kind::Surprise(_) => "",
    }
}

/// A cost as used in the arithmetic: exact enough that the points come out, without needless zeros.
fn exact(task: &TaskScore, cost: f64) -> String {
    let decimals = if unit(task).is_empty() { 4 } else { 3 };
    let text = format!("{cost:.decimals$}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// The same with its unit.
fn amount(task: &TaskScore, cost: f64) -> String {
    exact(task, cost) + unit(task)
}

/// The terms of a cost with the figures from which they are made, and their sum.
fn cost_lines(task: &TaskScore, cost: &Cost) -> Vec<String> {
    let number = |key: Key| task.number(key).unwrap_or(0.0);
    let Some(three) = task.three else {
        return Vec::new();
    };
    let (rate_fps, lever_percent) = (three.rate_mps / FT, 100.0 * three.lever);
    let travel = number(Key::LeverTravel);
    let terms = match *cost {
        Cost::Capture {
            capture_s,
            error_s,
            lever_s,
            steep_s,
        } => {
            let past = |past, rms| format!("{:.2} past + {:.2} rms", number(past), number(rms));
            let error = match task.task.kind {
                Kind::Slow(_) => format!(
                    "({:.2} below + {:.2} above + {:.2} rms) / {rate_fps:.3} ft/s",
                    number(Key::BelowFt),
                    number(Key::AboveFt),
                    number(Key::RmsFt)
                ),
                Kind::Rate(_) => {
                    format!("({}) / 100 ft/min", past(Key::OvershootFpm, Key::RmsFpm))
                }
                _ => format!(
                    "({}) / {rate_fps:.3} ft/s, the 3-degree rate",
                    past(Key::OvershootFt, Key::RmsFt)
                ),
            };
            let lever = format!(
                "0.5 x {travel:.2} % of lever / {lever_percent:.3} %, the lever of 3 degrees"
            );
            let steep = format!("2 x {:.2} s too steep", number(Key::SteepS));
            let mut terms = vec![
                (capture_s, "stay began".to_string()),
                (error_s, error),
                (lever_s, lever),
                (steep_s, steep),
            ];
            // Only a step counts how steep it was.
            terms.truncate(if let Kind::Step(_) = task.task.kind {
                4
            } else {
                3
            });
            terms
        }
        Cost::Hold { error_ft, lever_ft } => {
            let lever = format!(
                "0.1 x {rate_fps:.3} x lever a minute / {lever_percent:.3}; {travel:.2} % in all"
            );
            vec![(error_ft, "rms error".to_string()), (lever_ft, lever)]
        }
        Cost::Path {
            deviation,
            lever,
            touchdown,
            sink,
        } => {
            let off_ft = number(Key::TouchdownFt).abs();
            let off = format!("0.25 x {off_ft:.0} ft from the aim point / half the zone");
            let too_much = "0.5 x (sink / the path's sink - 1.2), at least 0";
            vec![
                (deviation, "rms share of the band used".to_string()),
                (lever, "for lever travel per minute".to_string()),
                (touchdown, off),
                (sink, too_much.to_string()),
            ]
        }
    };
    // Pad the unit so that the descriptions line up in one column.
    let unit = match unit(task) {
        " s" => " s ",
        unit => unit,
    };
    let line = |sign: char, value: f64, what: &str| {
        format!("{sign} {value:7.3}{unit} {what}")
            .trim_end()
            .to_string()
    };
    let signs = std::iter::once(' ').chain(std::iter::repeat('+'));
    let mut lines: Vec<String> = signs
        .zip(&terms)
        .map(|(sign, (value, what))| line(sign, *value, what))
        .collect();
    lines.push(line('=', cost.total(), "cost"));
    lines
}

/// The costs of 100, 75 and 0 points, and the reason for par's place.
fn par_lines(task: &TaskScore, scale: &Scale) -> Vec<String> {
    let told = |cost| amount(task, cost);
    let (floor, limit) = (told(scale.floor), told(scale.limit));
    let Some(par) = scale.par else {
        return vec![format!(
            "100 points at {floor}, 0 at {limit}, linear between"
        )];
    };
    if scale.floor >= scale.limit {
        return vec![format!(
            "best, {floor}, does not come below the limit, {limit}: 0 points there and beyond"
        )];
    }
    let halfway = scale.floor + 0.5 * (scale.limit - scale.floor);
    let mut lines = Vec::new();
    match task.reference.par {
        Some(own) if own == par => {}
        None => lines.push(format!(
            "steady has no cost here: par halfway from best to the limit, {}",
            told(par)
        )),
        Some(own) if par < halfway => lines.push(format!(
            "par {}, put at its least distance from best, {}",
            told(own),
            told(par)
        )),
        Some(own) => lines.push(format!(
            "par {}, put halfway from best to the limit, {}",
            told(own),
            told(par)
        )),
    }
    lines.push(format!(
        "100 points at best, {floor}; 75 at par, {}; 0 at {limit}",
        told(par)
    ));
    lines
}

/// The formula for the points of a cost, with the numbers filled in.
fn points_line(task: &TaskScore, scale: &Scale, cost: f64, points: f64) -> String {
    let line = |most: f64, lowest: f64, from: f64, to: f64| {
        let plus = match lowest {
            0.0 => String::new(),
            lowest => format!("{lowest:.0} + "),
        };
        let [from, to, cost] = [from, to, cost].map(|cost| exact(task, cost));
        format!("{plus}{most:.0} x ({to} - {cost}) / ({to} - {from}) = {points:.1} points")
    };
    match scale.par {
        _ if cost >= scale.limit => format!("at the limit or beyond: {points:.1} points"),
        _ if cost <= scale.floor && scale.par.is_some() => {
            format!("as good as best, or better: {points:.1} points")
        }
        _ if cost <= scale.floor => format!("at the 100-point cost or below: {points:.1} points"),
        Some(par) if cost <= par => line(100.0 - PAR_POINTS, PAR_POINTS, scale.floor, par),
        Some(par) => line(PAR_POINTS, 0.0, par, scale.limit),
        None => line(100.0, 0.0, scale.floor, scale.limit),
    }
}
