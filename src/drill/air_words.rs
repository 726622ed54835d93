//! The air of a drill in a few words, the same on every screen and in every text.

use super::parse::GUST_WORDS;
use super::reader::plain;
use crate::sim::air::AirSpec;
use crate::units::KT;

/// "still air", "headwind 12 kt, lively gusts", "tailwind 5 kt, gusts of 6 kt wind", "headwind 5 kt, ship's wake".
pub fn in_words(air: &AirSpec) -> String {
    let knots = |mps: f64| (mps / KT * 10.0).round() / 10.0;
    let (headwind_kt, gusts_kt) = (knots(air.headwind_mps), knots(air.u20_mps));
    let mut parts = Vec::new();
    if headwind_kt > 0.0 {
        parts.push(format!("headwind {} kt", plain(headwind_kt)));
    } else if headwind_kt < 0.0 {
        parts.push(format!("tailwind {} kt", plain(-headwind_kt)));
    }
    if air.wake.is_some() {
        parts.push("ship's wake".to_string());
    } else if gusts_kt > 0.0 {
        let word = GUST_WORDS.iter().find(|(_, kt)| *kt == gusts_kt);
        parts.push(match word {
            Some((word, _)) => format!("{word} gusts"),
            None => format!("gusts of {} kt wind", plain(gusts_kt)),
        });
    }
    if let Some(shift) = air.shift.filter(|shift| shift.by_mps != 0.0) {
        let word = if shift.by_mps > 0.0 { "up" } else { "down" };
        let by_kt = knots(shift.by_mps.abs());
        parts.push(format!("wind {word} {} kt in flight", plain(by_kt)));
    }
    match parts.is_empty() {
        true => "still air".to_string(),
        false => parts.join(", "),
    }
}
