//! What screens are drawn on.

use ratatui::buffer::Buffer;
use ratatui::layout::Constraint::{Length, Min};
use ratatui::layout::{Layout, Rect};
use ratatui::text::Line;

use super::theme::{Mark, Role, Theme};

/// Cells, and how roles look on them.
pub struct Canvas<'a> {
    /// The cells.
    pub buffer: &'a mut Buffer,
    /// How roles look.
    pub theme: Theme,
}

impl Canvas<'_> {
    /// Writes a text, starting at a cell.
    pub fn put(&mut self, x: u16, y: u16, text: impl AsRef<str>, role: Role) {
        self.buffer.set_string(x, y, text, self.theme.style(role));
    }

    /// The same in `room` columns; the rest of the text is cut off.
    pub fn put_within(&mut self, x: u16, y: u16, text: impl AsRef<str>, room: u16, role: Role) {
        let style = self.theme.style(role);
        self.buffer.set_stringn(x, y, text, room.into(), style);
    }

    /// Writes a line of several roles in `room` columns.
    pub fn put_line(&mut self, x: u16, y: u16, line: &Line, room: u16) {
        self.buffer.set_line(x, y, line, room);
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
    let [taken, rest] = area.layout(&Layout::vertical([Length(rows), Min(0)]));
    *area = rest;
    taken
}

/// Takes rows off its bottom.
pub fn bottom(area: &mut Rect, rows: u16) -> Rect {
    let rest = area.height.saturating_sub(rows);
    let rest = top(area, rest);
    std::mem::replace(area, rest)
}

/// Takes columns off its left side.
pub fn left(area: &mut Rect, columns: u16) -> Rect {
    let [taken, rest] = area.layout(&Layout::horizontal([Length(columns), Min(0)]));
    *area = rest;
    taken
}

/// Takes columns off its right side.
pub fn right(area: &mut Rect, columns: u16) -> Rect {
    let rest = area.width.saturating_sub(columns);
    let rest = left(area, rest);
    std::mem::replace(area, rest)
}
