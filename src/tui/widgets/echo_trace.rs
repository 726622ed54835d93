//! The echo on the scope: short dashes drawn beneath everything else, distinguished from one's own line by their shape.

use ratatui::layout::Rect;

use super::dots::Dots;
use super::plot::TimeAxis;
use super::scope::Scope;
use crate::run::Run;
use crate::tui::canvas::Canvas;
use crate::tui::echo::Echo;
use crate::tui::theme::{Mark, Role, Theme};

/// Dots from one dash to the next.
const EVERY: i64 = 6;
/// The dots of a dash within that distance; the cells of the others are left to the band's middle line.
const DASH: std::ops::Range<i64> = 2..5;

impl Echo<'_> {
    /// Draws the echo over a picture. Whatever is drawn later replaces its cells.
    pub(super) fn draw(&self, on: &Scope, picture: Rect, along: &TimeAxis, canvas: &mut Canvas) {
        let window = &on.window;
        let mut dots = Dots::new(picture);
        let height = dots.height();
        let mut last: Option<i32> = None;
        for x in 0..dots.width() {
            let tick = along.tick(x);
            let value = tick.and_then(|tick| self.value(window.measure, on.run, tick as u64));
            let y = value.map(|value| window.dot(value));
            if let Some(y) = y
                && DASH.contains(&along.count(x).rem_euclid(EVERY))
            {
                // Join the dots of a dash, so that a steep one keeps its slope, but not across a jump between tasks.
                let from = last.filter(|last| (last - y).abs() < height / 4);
                dots.column(x, from.unwrap_or(y), y, Role::Echo);
            }
            last = y;
        }
        dots.render(canvas);
    }

    /// The legend of the dashes, or that there is no echo of this task.
    pub(super) fn legend(&self, run: &Run, theme: &Theme) -> String {
        match self.is_asked_alike(run) {
            true => format!("{} {}", theme.mark(Mark::ECHO).repeat(2), self.name),
            false => "no echo".to_string(),
        }
    }
}
