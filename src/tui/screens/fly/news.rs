//! What is said by the marker: a call for a go-around with the time that is left for it, or the touchdown and what follows it.

use crate::drill::path::{Call, FULL_POWER, Touchdown};
use crate::run::Run;
use crate::tui::screens::words;
use crate::tui::widgets::said::Said;
use crate::units::FT;

/// The count of the time left for a go-around begins here at most, s.
const LONGEST_COUNT_S: f64 = 5.0;

/// What is to be said now.
pub fn said(run: &Run) -> Option<Said> {
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
    let (_, call) = approach.called?;
    let why = match call {
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
