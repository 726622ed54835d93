//! A run is over and is being weighed: a moment's quiet, with a bar that says how long.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::text::Line;

use super::words;
use crate::tui::theme::{Mark, Role, Theme};

/// Columns of the bar.
const BAR: u16 = 40;

/// Draws it for a drill's title, with the share of the work that is done, 0 to 1.
pub fn draw(title: &str, share: f64, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let quiet = theme.style(Role::Quiet);
    let title = Line::styled(format!(" {title}"), theme.style(Role::Strong));
    words::row(buffer, area, area.y, title, Line::default());
    let x = area.x + area.width.saturating_sub(BAR) / 2;
    let y = area.y + area.height / 2;
    buffer.set_string(
        x,
        y - 2,
        "The run is over and is being weighed.",
        theme.style(Role::Ink),
    );
    let filled = (share.clamp(0.0, 1.0) * f64::from(BAR)).round() as u16;
    for column in 0..BAR {
        let (mark, role) = match column < filled {
            true => (Mark::Filled, Role::Band),
            false => (Mark::Empty, Role::Quiet),
        };
        buffer.set_string(x + column, y, theme.mark(mark), theme.style(role));
    }
    buffer.set_string(x, y + 2, "Two built-in hands fly the same drill", quiet);
    buffer.set_string(x, y + 3, "in the same air: that makes par and best.", quiet);
    let keys = " q does not wait   enter again   n next drill";
    words::foot(keys, "", area, buffer, theme);
}
