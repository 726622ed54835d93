//! What screens are drawn on.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::theme::{Mark, Role, Theme};

/// Cells, and how roles look on them.
pub struct Canvas<'a> {
    /// The cells.
    pub buffer: &'a mut Buffer,
    /// How roles look.
    pub theme: Theme,
}

impl Canvas<'_> {
    /// Writes a text from a cell on.
    pub fn put(&mut self, x: u16, y: u16, text: impl AsRef<str>, role: Role) {
        self.buffer.set_string(x, y, text, self.theme.style(role));
    }

    /// The same in so many columns; what has no room is cut off.
    pub fn put_within(
        &mut self,
        x: u16,
        y: u16,
        text: impl AsRef<str>,
        room: impl Into<usize>,
        role: Role,
    ) {
        let style = self.theme.style(role);
        self.buffer.set_stringn(x, y, text, room.into(), style);
    }

    /// Puts a mark into a cell, in place of what was there.
    pub fn set_mark(&mut self, x: u16, y: u16, mark: Mark, role: Role) {
        let cell = &mut self.buffer[(x, y)];
        cell.reset();
        let symbol = self.theme.mark(mark);
        cell.set_symbol(symbol).set_style(self.theme.style(role));
    }

    /// Whether a row is empty over some columns.
    pub fn is_free(&self, mut columns: std::ops::Range<u16>, y: u16) -> bool {
        columns.all(|x| self.buffer[(x, y)].symbol() == " ")
    }
}

/// Takes rows off the top of an area, as far as it has them.
pub fn top(area: &mut Rect, rows: u16) -> Rect {
    let taken = Rect {
        height: rows.min(area.height),
        ..*area
    };
    area.y += taken.height;
    area.height -= taken.height;
    taken
}

/// Takes rows off its bottom.
pub fn bottom(area: &mut Rect, rows: u16) -> Rect {
    let mut taken = *area;
    *area = top(&mut taken, area.height.saturating_sub(rows));
    taken
}

/// Takes columns off its left side.
pub fn left(area: &mut Rect, columns: u16) -> Rect {
    let taken = Rect {
        width: columns.min(area.width),
        ..*area
    };
    area.x += taken.width;
    area.width -= taken.width;
    taken
}

/// Takes columns off its right side.
pub fn right(area: &mut Rect, columns: u16) -> Rect {
    let mut taken = *area;
    *area = left(&mut taken, area.width.saturating_sub(columns));
    taken
}
