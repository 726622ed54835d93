//! What happened, in two or three sentences with the run's own numbers.

use super::{Score, TaskScore};
use crate::drill::Kind;
use crate::drill::reader::plain;
use crate::run::{End, Run};
use crate::sim::world::Fault;
use crate::units::FT;

/// Two or three sentences: how it ended, the task that cost the most, the one that went best.
pub fn tell(run: &Run, score: &Score) -> Vec<String> {
    let mut sentences = vec![ending(run, score)];
    let rated = || {
        let scored = score.tasks.iter().enumerate();
        scored.filter(|(_, task)| task.task.scored && task.end_s.is_some())
    };
    let points = |task: &TaskScore| task.points.unwrap_or(0.0);
    let worst = rated().min_by(|a, b| points(a.1).total_cmp(&points(b.1)));
    let best = rated().max_by(|a, b| points(a.1).total_cmp(&points(b.1)));
    if let Some((index, task)) = worst {
        sentences.push(sentence(index, task));
    }
    if let (Some((worst, _)), Some((index, task))) = (worst, best)
        && worst != index
    {
        sentences.push(sentence(index, task));
    }
    sentences
}

fn ending(run: &Run, score: &Score) -> String {
    let captured = score
        .tasks
        .iter()
        .filter(|task| matches!(task.figure("captured"), Some(super::Figure::Flag(true))));
    let steps = score
        .tasks
        .iter()
        .filter(|task| matches!(task.task.kind, Kind::Step(_)));
    let (captured, steps) = (captured.count(), steps.count());
    let tally = match steps {
        0 => String::new(),
        _ => format!("; {captured} of {steps} steps captured"),
    };
    let time_s = run.time_s();
    match run.end() {
        Some(End::Fault(Fault::Stalled)) => {
            format!(
                "The angle of attack went beyond the stall after {time_s:.0} s and the run ended there{tally}."
            )
        }
        Some(End::Fault(Fault::Surface)) => {
            format!("The aeroplane met the surface after {time_s:.0} s{tally}.")
        }
        Some(End::Fault(Fault::Model)) => {
            format!(
                "The model broke down after {time_s:.0} s: a defect of this program, not of your flying."
            )
        }
        Some(End::Left) => format!("You left after {time_s:.0} s{tally}."),
        Some(End::Complete) | None => format!("All tasks flown in {time_s:.0} s{tally}."),
    }
}

fn sentence(index: usize, task: &TaskScore) -> String {
    let n = index + 1;
    let number = |key: &str| task.number(key).unwrap_or(0.0);
    let points = task.points.unwrap_or(0.0);
    match task.task.kind {
        Kind::Hold(hold) => format!(
            "Task {n}, the hold: {:.0} % of the time inside {} ft, {:.0} ft rms, {} of the number on average; {points:.0} points.",
            100.0 * number("in_band"),
            plain((hold.band_m / FT).round()),
            number("rms_ft"),
            above_or_below(number("bias_ft")),
        ),
        Kind::Step(step) => {
            let to = plain((step.altitude_m / FT).round());
            let past = match number("overshoot_ft") {
                past if past >= 1.0 => format!("went {past:.0} ft past the number"),
                _ => "never went past the number".to_string(),
            };
            let short = match number("short_ft") {
                short if short >= 1.0 => format!(", paused {short:.0} ft short of it"),
                _ => String::new(),
            };
            match task.number("capture_s") {
                Some(capture_s) => format!(
                    "Task {n}, the step to {to} ft: {past}{short}, and the stay began after {capture_s:.1} s; {points:.0} points."
                ),
                None => format!(
                    "Task {n}, the step to {to} ft: {past}{short}, and no stay was completed in time; 0 points."
                ),
            }
        }
    }
}

fn above_or_below(bias_ft: f64) -> String {
    let side = if bias_ft >= 0.0 { "above" } else { "below" };
    format!("{:.0} ft {side}", bias_ft.abs())
}
