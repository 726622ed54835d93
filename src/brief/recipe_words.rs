//! A recipe in words: "26.5 %; at 55 ft to go 36 %; 4 s later 37.5 %".

use crate::drill::reader::plain;
use crate::plan::recipe::set;
use crate::plan::{Move, When};

/// The moves in one sentence without a full stop.
pub fn moves(moves: &[Move]) -> String {
    on_path(moves, &|_| None)
}

/// The same for a path; its altitude (ft) at a distance (nautical miles) is added where it is known.
pub fn on_path(moves: &[Move], altitude_ft: &dyn Fn(f64) -> Option<f64>) -> String {
    if moves.is_empty() {
        return "leave the lever where it is".to_string();
    }
    let mut before = None;
    let each = moves.iter().map(|made| {
        // A cue may be there only because the next move's time counts from it.
        let lever = match before.replace(made.lever) == Some(made.lever) {
            true => "leave it".to_string(),
            false => set(made.lever),
        };
        match made.when {
            When::Start => lever,
            When::DistanceNm => {
                let feet = altitude_ft(made.value).map_or_else(String::new, |feet| {
                    format!(" ({} ft)", plain((feet / 10.0).round() * 10.0))
                });
                format!("{}{feet} {lever}", made.cue().trim_start_matches("at "))
            }
            _ => format!("{} {lever}", made.cue()),
        }
    });
    each.collect::<Vec<String>>().join("; ")
}
