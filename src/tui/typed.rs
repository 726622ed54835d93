//! A number while it is being typed.

use super::action::Action;

/// Longest number that can be typed, characters.
const LONGEST: usize = 7;

/// Digits and at most one point.
#[derive(Clone, Debug, Default)]
pub struct Typed(String);

impl Typed {
    /// As it stands.
    pub fn text(&self) -> &str {
        &self.0
    }

    /// Takes a digit or a point where there is room for it, or the last one back; whether it was asked for that.
    pub fn act(&mut self, action: Action) -> bool {
        match action {
            Action::Write('.') if self.0.contains('.') => {}
            Action::Write(character) if self.0.len() < LONGEST => self.0.push(character),
            Action::Write(_) => {}
            Action::Erase => drop(self.0.pop()),
            _ => return false,
        }
        true
    }

    /// The number, if it is one yet.
    pub fn number(&self) -> Option<f64> {
        self.0.parse().ok()
    }
}
