//! The words by the marker: the extras that come out as the aeroplane slows in, that a path has come into sight, a call for a
//! go-around with the time that is left for it, or the touchdown and what follows it.

use super::numbers::is_moving;
use crate::drill::path::{Call, FULL_POWER, Touchdown};
use crate::drill::{Aids, Kind};
use crate::run::Run;
use crate::tui::flight::Flight;
use crate::tui::screens::words;
use crate::tui::widgets::posts::distance_at_m;
use crate::tui::widgets::said::Said;
use crate::units::{FT, TICKS_PER_S};

/// The countdown to a go-around begins at no more than this, s.
const LONGEST_COUNT_S: f64 = 5.0;

/// How long the message stays that the path has come into sight, or that the aeroplane has slowed to on speed, ticks.
const TOLD_TICKS: u64 = 4 * TICKS_PER_S;

/// The words to show now.
pub fn said(flight: &Flight) -> Option<Said> {
    slowing(flight.run()).or_else(|| approaching(flight))
}

/// The extras on their way out; then that the aeroplane has slowed to on speed.
fn slowing(run: &Run) -> Option<Said> {
    let (world, tick) = (run.world(), run.tick());
    let slowing = world.slowing()?;
    if let Some(slow) = slowing.slow_tick() {
        let lines = ["on speed from here", "hold the altitude by power"];
        return (tick - slow <= TOLD_TICKS).then(|| Said {
            lines: lines.map(String::from).to_vec(),
            left: None,
        });
    }
    let moving = slowing.shares(world.aircraft(), tick);
    let moving = moving.filter(|(_, share)| is_moving(*share));
    let lines = moving.map(|(extra, _)| format!("{} out", extra.name));
    let lines: Vec<String> = lines.collect();
    (!lines.is_empty()).then_some(Said { lines, left: None })
}

fn approaching(flight: &Flight) -> Option<Said> {
    let run = flight.run();
    let approach = &run.leg().approach;
    let said = |lines: [String; 2], left: Option<f64>| {
        Some(Said {
            lines: lines.to_vec(),
            left,
        })
    };
    if let Some(Touchdown {
        distance_m,
        sink_mps,
        ..
    }) = approach.touchdown
    {
        let feet = words::feet(distance_m.abs());
        let side = if distance_m >= 0.0 { "before" } else { "past" };
        let habit = match approach.full_power_s() {
            Some(power_s) => format!("full power after {power_s:.1} s"),
            None => "full power now (home)".to_string(),
        };
        let sink = sink_mps / FT;
        let down = format!("down {feet} ft {side} the aim point, {sink:.1} ft/s");
        return said([down, habit], None);
    }
    let Some((_, call)) = approach.called else {
        return said(in_sight(flight)?, None);
    };
    // A call holds to the end, even once its reason is gone.
    let why = match call {
        _ if !approach.is_still_called_for() => "go around, as called",
        Call::Low => "too low: go around",
        Call::Sinking => "sinking too fast: go around",
    };
    if run.lever() >= FULL_POWER {
        let set = "full power is set: leave it there";
        return said([why.to_string(), set.to_string()], None);
    }
    let (left, share) = match run.go_around_left_s(LONGEST_COUNT_S) {
        Some(left_s) if left_s > 0.0 => (format!("within {left_s:.1} s"), left_s / LONGEST_COUNT_S),
        _ => ("at once".to_string(), 0.0),
    };
    let what = format!("full power (home) {left}");
    said([why.to_string(), what], Some(share))
}

/// That the path has just come into sight and, with aids, how far off it the aeroplane is.
fn in_sight(flight: &Flight) -> Option<[String; 2]> {
    let (run, leg) = (flight.run(), flight.run().leg());
    let Kind::Path(path) = &leg.kind else {
        return None;
    };
    let show_m = path.show_m.filter(|_| flight.shown_by().is_none())?;
    let glide = &path.glide;
    let before = run.tick().saturating_sub(TOLD_TICKS).max(leg.start);
    let was_m = distance_at_m(run, glide, before);
    if !flight.sees_path() || was_m <= show_m {
        return None;
    }
    let off_m = glide.deviation_m(run.world().state(), run.tick());
    let where_to = match flight.aids {
        Aids::Bare => "by its gates".to_string(),
        _ => format!("you are {} it", words::off(off_m)),
    };
    Some(["the path is in sight".to_string(), where_to])
}
