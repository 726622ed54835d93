//! A number while it is being typed.

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

    /// Takes a digit or a point where there is room for it.
    pub fn write(&mut self, character: char) {
        let second_point = character == '.' && self.0.contains('.');
        if self.0.len() < LONGEST && !second_point {
            self.0.push(character);
        }
    }

    pub fn erase(&mut self) {
        self.0.pop();
    }

    /// The number, if it is one yet.
    pub fn number(&self) -> Option<f64> {
        self.0.parse().ok()
    }
}
