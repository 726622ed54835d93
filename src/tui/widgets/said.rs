//! A few words where the eye is: by the marker, in a block of their own.

use ratatui::layout::Rect;

use crate::tui::canvas::Canvas;
use crate::tui::theme::Role;

const CELLS: usize = 20;
/// Rows kept free between the marker and the words.
const APART: u16 = 2;

/// Words to be seen at once.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    pub lines: Vec<String>,
    /// The share of the time that is left, where there is a countdown.
    pub left: Option<f64>,
}

impl Said {
    /// Draws the words centred on a column: above a row where there is room, as the aeroplane is usually sinking, else below.
    pub(super) fn draw(&self, (x, y): (u16, u16), picture: Rect, canvas: &mut Canvas) {
        let mut lines = self.lines.clone();
        if let Some(left) = self.left {
            let filled = (left.clamp(0.0, 1.0) * CELLS as f64).ceil() as usize;
            lines.push(canvas.theme.bar(filled, CELLS));
        }
        let wide = lines.iter().map(|line| line.chars().count()).max();
        let width = (wide.unwrap_or(0) as u16 + 4).min(picture.width);
        let height = lines.len() as u16;
        let top = match y >= picture.y + height + APART {
            true => y - height - APART,
            false => (y + APART + 1).min(picture.bottom().saturating_sub(height)),
        };
        let from = x.saturating_sub(width / 2);
        let from = from.clamp(picture.x, picture.right() - width);
        for (row, line) in (top..).zip(&lines) {
            let line = format!("{line:^width$}", width = usize::from(width));
            canvas.put_within(from, row, line, width, Role::Warning);
        }
    }
}
