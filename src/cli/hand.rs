//! The built-in hands as arguments.

use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};

use super::Wrong;
use crate::drill::Drill;
use crate::export::text::word;
use crate::run::recording::HandName;
use crate::tui::shown::{self, SHOWN};

/// Reads the name of a built-in hand.
pub fn parser() -> impl TypedValueParser<Value = HandName> {
    let values = SHOWN
        .iter()
        .map(|shown| PossibleValue::new(shown.name).help(shown.about));
    PossibleValuesParser::new(values).try_map(|name| {
        let shown = SHOWN.iter().find(|shown| shown.name == name);
        shown.map(|shown| shown.hand).ok_or("no such hand")
    })
}

/// Complains about a hand whose fault cannot be seen on a drill.
pub fn check(hand: HandName, drill: &Drill) -> Result<(), Wrong> {
    let Some(refusal) = shown::refusal(hand, drill) else {
        return Ok(());
    };
    let instead = match shown::faults(drill).join(", ") {
        faults if faults.is_empty() => "no fault; watch steady, green or best".to_string(),
        faults => faults,
    };
    Err(Wrong(format!(
        "`{}` {refusal}; it can show {instead}",
        word(hand)
    )))
}
