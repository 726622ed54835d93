//! A number while it is being typed.

use super::action::Action;

/// Longest number that can be typed, characters.
const LONGEST: usize = 7;

/// Digits and at most one point.
#[derive(Clone, Debug, Default)]
pub struct Typed {
    text: String,
    /// Whether the last key meant nothing to it.
    refused: bool,
}

impl Typed {
    /// The text as it stands.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Takes note of a key that means nothing to it.
    pub fn refuse(&mut self) {
        self.refused = true;
    }

    /// Whether the last key was such a key.
    pub fn has_refused(&self) -> bool {
        self.refused
    }

    /// Adds a digit or a point where there is room for it, or removes the last character. Returns whether the action was one of
    /// these.
    pub fn act(&mut self, action: Action) -> bool {
        self.refused = false;
        match action {
            Action::Write('.') if self.text.contains('.') => {}
            Action::Write(character) if self.text.len() < LONGEST => self.text.push(character),
            Action::Write(_) => {}
            Action::Erase => drop(self.text.pop()),
            _ => return false,
        }
        true
    }

    /// The number, if it is one yet.
    pub fn number(&self) -> Option<f64> {
        self.text.parse().ok()
    }
}
