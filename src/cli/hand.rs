//! The built-in hands as arguments.

use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};

use crate::run::recording::HandName;
use crate::tui::shown::SHOWN;

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
