//! A recipe as a person says it: "26.5 %; at 55 ft to go 36 %; 4 s later 37.5 %".

use crate::drill::reader::plain;
use crate::plan::recipe::percent;
use crate::plan::{Move, When};

/// Moves and what they are made on.
pub struct Moves<'a> {
    moves: &'a [Move],
    /// Altitude of a path at a distance in nautical miles, ft.
    altitude_ft: Option<&'a dyn Fn(f64) -> f64>,
}

impl<'a> Moves<'a> {
    /// Of anything but a path.
    pub fn plain(moves: &'a [Move]) -> Moves<'a> {
        Moves {
            moves,
            altitude_ft: None,
        }
    }

    /// Of a path whose altitude at a distance is known.
    pub fn on_path(moves: &'a [Move], altitude_ft: &'a dyn Fn(f64) -> f64) -> Moves<'a> {
        Moves {
            moves,
            altitude_ft: Some(altitude_ft),
        }
    }
}

/// The moves in one sentence without a full stop.
pub fn moves(said: &Moves) -> String {
    if said.moves.is_empty() {
        return "leave the lever where it is".to_string();
    }
    let before = std::iter::once(None).chain(said.moves.iter().map(|m| Some(m.lever)));
    let each = said.moves.iter().zip(before);
    let each: Vec<String> = each.map(|(m, before)| one(said, m, before)).collect();
    each.join("; ")
}

fn one(said: &Moves, made: &Move, before: Option<f64>) -> String {
    let value = plain((made.value * 100.0).round() / 100.0);
    // A cue can be there for the next move's time alone.
    let lever = match made.lever {
        lever if before == Some(lever) => "leave it".to_string(),
        0.0 => "idle".to_string(),
        lever => percent(lever),
    };
    match made.when {
        When::Start => lever,
        When::ToGoFt => format!("at {value} ft to go {lever}"),
        When::ToGoFpm => format!("at {value} ft/min to go {lever}"),
        When::FastKt => format!("at {value} kt fast {lever}"),
        When::AfterS => format!("{value} s later {lever}"),
        When::DistanceNm => match said.altitude_ft {
            Some(altitude_ft) => {
                let feet = plain((altitude_ft(made.value) / 10.0).round() * 10.0);
                format!("{value} nm out ({feet} ft) {lever}")
            }
            None => format!("{value} nm out {lever}"),
        },
    }
}
