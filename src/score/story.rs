//! What happened in a run, in one to three sentences with its own numbers.

use super::{Key, PAR_POINTS, Score, TaskScore};
use crate::drill::Kind;
use crate::drill::path::{FULL_POWER, Outcome};
use crate::drill::reader::{clock, plain};
use crate::run::{End, Leg, Run};
use crate::sim::world::Fault;
use crate::units::{FPM, FT, TICK_S};

/// One to three sentences: how it ended, the task with the fewest points, the one with the most.
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
        sentences.push(sentence(run, index, task));
    }
    if let (Some((worst, _)), Some((index, task))) = (worst, best)
        && worst != index
    {
        sentences.push(sentence(run, index, task));
    }
    sentences
}

/// How it ended.
pub fn ending(run: &Run, score: &Score) -> String {
    let captured: Vec<bool> = score
        .flown()
        .filter(|task| {
            task.task.kind.captures_ticks().is_some() && run.known().show(&task.task.kind)
        })
        .map(TaskScore::is_captured)
        .collect();
    let tally = match captured.len() {
        0 => String::new(),
        asked => {
            let count = captured.iter().filter(|captured| **captured).count();
            format!("; {count} of {asked} captured")
        }
    };
    let time = clock(run.time_s());
    match run.end() {
        Some(End::Fault(Fault::Stalled)) => {
            format!(
                "The angle of attack went beyond the stall at {time} and the run ended there{tally}."
            )
        }
        Some(End::Fault(Fault::Surface)) => {
            format!("The aeroplane met the surface at {time}{tally}.")
        }
        Some(End::Fault(Fault::Model)) => {
            format!("The model broke down at {time}: a defect of this program, not of your flying.")
        }
        Some(End::Left) if run.is_on_tape() => {
            format!("The track can be followed until {time}{tally}.")
        }
        Some(End::Left) if run.is_out_of_time() => {
            format!("The longest time for this drill was over at {time}{tally}.")
        }
        Some(End::Left) => format!("You left at {time}{tally}."),
        Some(End::Complete) | None => match path_ending(run) {
            Some((ending, call)) => format!("{ending} at {time}{call}{tally}."),
            None => format!("All tasks flown by {time}{tally}."),
        },
    }
}

/// The outcome of a run that ended with a path, and what is to be added about a call.
fn path_ending(run: &Run) -> Option<(&'static str, String)> {
    let approach = &run.leg().approach;
    let is_called = approach.called.is_some();
    let (ending, call) = match approach.outcome? {
        Outcome::InZone => ("Down on the deck", ", although a go-around was called"),
        Outcome::Short => ("Below the deck before reaching it", NOT_FLOWN),
        Outcome::Past => ("Past the zone and still in the air", NOT_FLOWN),
        Outcome::WentAround if is_called => match late_answer_s(run, run.leg()) {
            Some(late_s) => {
                let late = format!(", full power {late_s:.0} s after the call");
                return Some(("Gone around", late));
            }
            None => ("Gone around as called", ""),
        },
        Outcome::WentAround => ("Gone around without a call", ""),
    };
    Some((ending, if is_called { call } else { "" }.to_string()))
}

/// How long after the call for a go-around full power came, s, where that was no prompt answer.
pub fn late_answer_s(run: &Run, leg: &Leg) -> Option<f64> {
    let (called, _) = leg.approach.called.filter(|_| leg.approach.has_obeyed())?;
    let is_full = |tick: &u64| run.trace().lever_at(*tick as usize) >= FULL_POWER;
    let end = run.over(leg)?;
    let since = (called..end).rev().take_while(is_full).last()?;
    let late_s = (since - called) as f64 * TICK_S;
    (late_s > PROMPT_S).then_some(late_s)
}

/// A call reckons with full power 1.5 s later; an answer that takes twice as long is late.
const PROMPT_S: f64 = 3.0;
/// Who is still as far off as this, a share of the way, has not left and so has not stopped.
const LEFT: f64 = 0.9;
/// An end this far from what is asked is worth a word, in bands.
const FAR: f64 = 2.0;
const NOT_FLOWN: &str = ", the called go-around not flown";

fn sentence(run: &Run, index: usize, task: &TaskScore) -> String {
    let number = |key: Key| task.number(key).unwrap_or(0.0);
    let worth = match task.points {
        Some(points) => format!("; {points:.0} points"),
        None => String::new(),
    };
    let begun = match task.number(Key::CaptureS) {
        Some(capture_s) => format!("and the stay began after {capture_s:.1} s{worth}."),
        None => format!(
            "and no stay was completed in time{}; 0 points.",
            far_off(run, index)
        ),
    };
    let said = match &task.task.kind {
        Kind::Hold(hold) => format!(
            "the hold: {:.0} % of the time inside {} ft, {:.0} ft rms, on average {} the number{worth}.",
            100.0 * number(Key::InBand),
            plain((hold.band_m / FT).round()),
            number(Key::RmsFt),
            above_or_below(number(Key::BiasFt)),
        ),
        Kind::Step(step) => {
            let to = plain((step.altitude_m / FT).round());
            let past = match number(Key::OvershootFt) {
                past if past >= 1.0 => format!("went {past:.0} ft past the number"),
                _ => "never went past the number".to_string(),
            };
            let short = match number(Key::ShortFt) {
                short if short >= 1.0 && short < LEFT * asked_ft(run, index) => {
                    format!(", stopped {short:.0} ft short of it")
                }
                _ => String::new(),
            };
            format!("the step to {to} ft: {past}{short}, {begun}")
        }
        Kind::Rate(rate) if !run.known().show(&task.task.kind) => format!(
            "the rate of {} ft/min: the vertical speed is not known.",
            plain((rate.vertical_mps / FPM).round())
        ),
        Kind::Rate(rate) => {
            let past = match number(Key::OvershootFpm) {
                past if past >= 10.0 => format!("went {past:.0} ft/min past it"),
                _ => "never went past it".to_string(),
            };
            let to = plain((rate.vertical_mps / FPM).round());
            format!("the rate of {to} ft/min: {past}, {begun}")
        }
        Kind::Slow(_) => {
            let slow = match task.number(Key::SlowS) {
                Some(slow_s) => format!("slow after {slow_s:.1} s"),
                None => "never slow".to_string(),
            };
            let below_ft = number(Key::BelowFt);
            format!("slowing in: {slow}, {below_ft:.0} ft below the number at most, {begun}")
        }
        Kind::Path(_) => format!("the path: {}{worth}.", approach(task)),
        Kind::Surprise(_) => {
            let mean = task.points.map_or("", |_| " on average");
            format!(
                "the surprise: {} tasks drawn{worth}{mean}.",
                task.drawn.len()
            )
        }
    };
    format!("Task {}, {said}", index + 1)
}

/// The leg of a task, its first where a surprise drew several.
fn leg_of(run: &Run, task: usize) -> Option<&Leg> {
    run.legs().iter().find(|leg| leg.task == task)
}

/// How far a step leads, ft.
fn asked_ft(run: &Run, task: usize) -> f64 {
    leg_of(run, task).map_or(0.0, |leg| {
        let state = run.trace().state(leg.start as usize);
        leg.target.error(state, leg.start).abs() / FT
    })
}

/// Where a task for an altitude or a rate ended, if that was far outside its band.
fn far_off(run: &Run, task: usize) -> String {
    let Some((leg, end)) = leg_of(run, task).and_then(|leg| Some((leg, run.over(leg)?))) else {
        return String::new();
    };
    let state = run.trace().state(end as usize);
    let (error, band) = (leg.target.error(state, end), leg.target.band(state, end));
    if error.abs() <= FAR * band {
        return String::new();
    }
    let off = plain((error.abs() / leg.target.unit()).round());
    let side = if error > 0.0 { "above" } else { "below" };
    format!(", {off} {} {side} at the end", leg.target.unit_name())
}

/// How an approach ended, in words.
fn approach(task: &TaskScore) -> String {
    let number = |key: Key| task.number(key).unwrap_or(0.0);
    let ending = match task.outcome() {
        Some(Outcome::InZone) => {
            let at_ft = number(Key::TouchdownFt);
            let side = if at_ft >= 0.0 { "before" } else { "past" };
            let power = match task.number(Key::FullPowerS) {
                Some(power_s) => format!(", full power after {power_s:.1} s"),
                None => String::new(),
            };
            format!(
                "down in the zone {:.0} ft {side} the aim point at {:.1} ft/s{power}",
                at_ft.abs(),
                number(Key::SinkFps)
            )
        }
        Some(Outcome::Short) => "short of the deck".to_string(),
        Some(Outcome::Past) => "past the zone, not down: a bolter".to_string(),
        Some(Outcome::WentAround) => "went around".to_string(),
        None => "not down in the zone".to_string(),
    };
    match task.is_missed() {
        true => format!("{ending}; a go-around was called and not flown"),
        false => ending,
    }
}

fn above_or_below(bias_ft: f64) -> String {
    match bias_ft.round() {
        0.0 => "on".to_string(),
        bias if bias > 0.0 => format!("{bias:.0} ft above"),
        bias => format!("{:.0} ft below", -bias),
    }
}

/// So many points, and no task below par, are better than par.
const BETTER_POINTS: f64 = PAR_POINTS + 10.0;

/// Praise for a run at par or better: its best task.
pub fn praise(run: &Run, score: &Score) -> String {
    let points = |task: &TaskScore| task.points.unwrap_or(0.0);
    let rated = |(_, task): &(usize, &TaskScore)| task.points.is_some() && task.end_s.is_some();
    let rated = score.flown().enumerate().filter(rated);
    let best = rated.max_by(|a, b| points(a.1).total_cmp(&points(b.1)));
    let good = best.map_or_else(String::new, |(_, task)| good(task));
    let which = best.filter(|_| !run.is_of_one_task());
    let which = which.map_or_else(String::new, |(leg, _)| {
        format!("; task {} went best", run.leg_number(leg))
    });
    let is_par = |task: &TaskScore| task.points.is_none_or(|points| points >= PAR_POINTS - 0.5);
    match score.points {
        Some(points) if points >= BETTER_POINTS && score.flown().all(is_par) => {
            format!("Better than par{which}: {good}")
        }
        _ => format!("As good as par{which}: {good}"),
    }
}

fn good(task: &TaskScore) -> String {
    let number = |key: Key| task.number(key).unwrap_or(0.0);
    let number_of = |key: Key| plain(number(key).round());
    match &task.task.kind {
        Kind::Step(_) => format!(
            "the stay began after {:.1} s, {} ft past the number at most, {} ft rms in it.",
            number(Key::CaptureS),
            number_of(Key::OvershootFt),
            number_of(Key::RmsFt)
        ),
        Kind::Slow(_) => format!(
            "slow after {:.1} s, {} ft below the number at most, the stay began after {:.1} s.",
            number(Key::SlowS),
            number_of(Key::BelowFt),
            number(Key::CaptureS)
        ),
        Kind::Rate(_) => format!(
            "the stay began after {:.1} s and kept the rate to {} ft/min rms.",
            number(Key::CaptureS),
            number_of(Key::RmsFpm)
        ),
        Kind::Hold(_) => format!(
            "{:.0} % of the time inside, {} ft rms, with {} % of lever travel.",
            100.0 * number(Key::InBand),
            number_of(Key::RmsFt),
            number_of(Key::LeverTravel)
        ),
        Kind::Path(_) => format!(
            "down {} ft from the aim point at {:.1} ft/s.",
            plain(number(Key::TouchdownFt).abs().round()),
            number(Key::SinkFps)
        ),
        Kind::Surprise(_) => "every call was answered.".to_string(),
    }
}
