//! What the rows of every screen have in common.

use ratatui::layout::Rect;
use ratatui::symbols::border;
use ratatui::text::Line;
use ratatui::widgets::{Block, Clear, Widget};

use crate::tui::canvas::Canvas;
use crate::tui::theme::{Mark, Role, Theme};

pub use crate::drill::reader::clock;
pub use crate::export::words::{feet, fpm, from_m, nm, off, task, task_name, task_short};

/// Draws the first row of a screen: its title, quietly what it shows, and something at the right end.
pub fn head<'a>(
    title: &str,
    what: &str,
    right: impl Into<Line<'a>>,
    area: Rect,
    canvas: &mut Canvas,
) {
    let theme = canvas.theme;
    let mut left = Line::from(theme.span(format!(" {title}"), Role::Strong));
    if !what.is_empty() {
        left.push_span(theme.span(format!("   {what}"), Role::Quiet));
    }
    let right = right.into();
    let style = theme.style(Role::Ink).patch(right.style);
    row(left, right.style(style), area.y, area, canvas);
}

/// Puts one line at the left and, where there is room, another at the right end of the same row.
pub fn row(left: Line, right: Line, y: u16, area: Rect, canvas: &mut Canvas) {
    if y >= area.bottom() {
        return;
    }
    let width = right.width() as u16;
    canvas.put_line(area.x, y, &left, area.width);
    if left.width() as u16 + 2 + width <= area.width {
        canvas.put_line(area.right() - width, y, &right, width);
    }
}

/// Adds to a line, quietly, as many of the parts as there is room for.
pub fn add_parts(
    line: &mut Line<'static>,
    parts: impl IntoIterator<Item = String>,
    room: usize,
    theme: &Theme,
) {
    let mut gap = "   ".to_string();
    for part in parts {
        let span = theme.span(format!("{gap}{part}"), Role::Quiet);
        if line.width() + span.width() > room {
            return;
        }
        line.push_span(span);
        gap = format!(" {} ", theme.mark(Mark::DOT));
    }
}

/// Draws the last row of a screen over what is there: at the left its keys, quiet unless styled otherwise and cut where there is
/// no room; at the right the ways out and the help.
pub fn foot<'a>(left: impl Into<Line<'a>>, out: &str, area: Rect, canvas: &mut Canvas) {
    last_row(left.into(), format!("{out}   ? help "), area, canvas);
}

/// The same while letters are typed, without the ways out and the help: their letters would be typed too.
pub fn foot_typing(keys: &str, area: Rect, canvas: &mut Canvas) {
    last_row(keys.into(), String::new(), area, canvas);
}

fn last_row(left: Line, right: String, area: Rect, canvas: &mut Canvas) {
    let style = canvas.theme.style(Role::Quiet).patch(left.style);
    let right = canvas.theme.line(right, Role::Quiet);
    let (y, width) = (area.bottom() - 1, right.width() as u16);
    let at = area.right().saturating_sub(width);
    let room = area.width.saturating_sub(width + 2);
    let row = Rect::new(area.x, y, area.width, 1);
    Clear.render(row, canvas.buffer);
    canvas.put_line(area.x, y, &left.style(style), room);
    canvas.put_line(at, y, &right, width);
}

/// The ways out of a text, after a hint where the text goes on.
pub fn text_out(more: bool) -> &'static str {
    if more {
        "down: more   q menu"
    } else {
        "q menu"
    }
}

/// Draws a border around an area. Returns the area inside it.
pub fn border(title: &str, area: Rect, canvas: &mut Canvas) -> Rect {
    let mut block = Block::bordered()
        .title(title.to_string())
        .border_style(canvas.theme.style(Role::Quiet));
    if !canvas.theme.unicode {
        block = block.border_set(ASCII_BORDER);
    }
    let inside = block.inner(area);
    block.render(area, canvas.buffer);
    inside
}

const ASCII_BORDER: border::Set<'static> = border::Set {
    top_left: "+",
    top_right: "+",
    bottom_left: "+",
    bottom_right: "+",
    vertical_left: "|",
    vertical_right: "|",
    horizontal_top: "-",
    horizontal_bottom: "-",
};
