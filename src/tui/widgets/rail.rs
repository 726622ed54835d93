//! The rail: the lever lying down, what the engine really gives, and where level flight is.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::tui::theme::{Mark, Role, Theme};

/// What the rail shows, all as lever positions 0..1.
pub struct Rail {
    /// The lever.
    pub lever: f64,
    /// The lever that would hold what the engine gives now.
    pub engine: f64,
    /// The lever that flies level here, with that aid.
    pub level: Option<f64>,
}

impl Rail {
    /// Draws it on two rows: marks above, the rail below.
    pub fn render(&self, area: Rect, buffer: &mut Buffer, theme: &Theme) {
        if area.width < 12 || area.height < 2 {
            return;
        }
        let last = f64::from(area.width - 1);
        let column = |share: f64| area.x + (share.clamp(0.0, 1.0) * last).round() as u16;
        let (quiet, y) = (theme.style(Role::Quiet), area.y + 1);
        for x in area.left()..area.right() {
            buffer.set_string(x, y, theme.mark(Mark::Rail), quiet);
        }
        for tenth in 0..=10 {
            let x = column(f64::from(tenth) / 10.0);
            buffer.set_string(x, y, theme.mark(Mark::Tenth), quiet);
        }
        if let Some(level) = self.level {
            let x = column(level);
            let word = format!("{} level", theme.mark(Mark::Level));
            let fits = x + word.chars().count() as u16 <= area.right();
            if fits {
                buffer.set_string(x, area.y, word, theme.style(Role::Band));
            } else {
                let word = format!("level {}", theme.mark(Mark::Level));
                buffer.set_string(
                    x + 1 - word.chars().count() as u16,
                    area.y,
                    word,
                    theme.style(Role::Band),
                );
            }
        }
        let (lever, engine) = (column(self.lever), column(self.engine));
        for x in lever.min(engine)..lever.max(engine) {
            buffer.set_string(x, y, theme.mark(Mark::Gap), theme.style(Role::Ink));
        }
        let marker = theme.style(Role::Marker);
        if lever == engine {
            buffer.set_string(lever, y, theme.mark(Mark::LeverAndEngine), marker);
        } else {
            buffer.set_string(
                engine,
                y,
                theme.mark(Mark::Engine),
                theme.style(Role::Engine),
            );
            buffer.set_string(lever, y, theme.mark(Mark::Lever), marker);
        }
    }
}
