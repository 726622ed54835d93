//! Checks the claims of a recording against its flight.
//!
//! The seal shows a change of any of its bytes. It is no signature: anyone who rewrites a recording can seal it anew, so
//! everything that follows from the flight is recomputed. Only the seal vouches for who flew, when, and with what aids.

use super::id;
use crate::drill::library;
use crate::run::{End, Recording, Run};

/// The claims that do not hold, a sentence each; `run` is the flight of the recording and `points` its worth today.
pub fn faults(recording: &Recording, run: &Run, points: Option<f64>) -> Vec<String> {
    let mut faults = Vec::new();
    let mut hold = |holds: bool, fault: &str| {
        if !holds {
            faults.push(fault.to_string());
        }
    };
    hold(
        recording.seal.is_some(),
        "it has no seal: nothing shows who flew it, when and with what aids",
    );
    let is_of_its_time = id::candidates(&recording.at, &recording.digest)
        .is_ok_and(|mut ids| ids.any(|id| id == recording.id));
    hold(is_of_its_time, "its id does not match its time");
    let said = if recording.left {
        Some(End::Left)
    } else {
        recording.fault.map(End::Fault).or(Some(End::Complete))
    };
    let both = recording.left && recording.fault.is_some();
    hold(
        run.end() == said && !both,
        "it did not end as it says (left, broken off or complete)",
    );
    hold(
        run.log() == recording.lever,
        "its lever log has moves that change nothing",
    );
    let over_s = crate::units::TICK_S * run.tick() as f64;
    hold(
        recording.marks.iter().all(|tick| *tick <= run.tick()),
        "a mark lies after its end",
    );
    // A stall is recorded when it is noticed, which may be at the end.
    let is_within = |s: &f64| (0.0..=over_s + 1.0).contains(s);
    hold(
        recording.stalls_s.iter().all(is_within),
        "a stall of its clock lies outside the run",
    );
    hold(
        ships(recording),
        "its drill or aeroplane has the name of one that ships, but a different text",
    );
    if recording.points != points {
        let told = |points: Option<f64>| {
            points.map_or("no points".to_string(), |points| {
                format!("{points:.3} points")
            })
        };
        faults.push(format!(
            "it says {}, today's rules give it {}",
            told(recording.points),
            told(points)
        ));
    }
    faults
}

/// Whether a drill or aeroplane with the name of a shipped file has that file's text.
fn ships(recording: &Recording) -> bool {
    let is_shipped = |found: Option<&library::Shipped>, text: &str| {
        found.is_none_or(|shipped| shipped.text == text)
    };
    let file: Option<toml::Table> = recording.drill_text.parse().ok();
    let aircraft = file
        .as_ref()
        .and_then(|file| file.get("aircraft")?.as_str());
    is_shipped(library::drill(&recording.drill), &recording.drill_text)
        && is_shipped(
            aircraft.and_then(library::aircraft),
            &recording.aircraft_text,
        )
}
