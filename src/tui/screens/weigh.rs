//! A run is over and is being weighed: a moment's quiet, with a bar that says how long.

use ratatui::layout::Rect;
use ratatui::text::Line;

use super::words;
use crate::tui::canvas::Canvas;
use crate::tui::theme::{Mark, Role};

/// Columns of the bar.
const BAR: u16 = 40;

/// Draws it for a drill's title, with the share of the work that is done, 0 to 1.
pub fn draw(title: &str, share: f64, area: Rect, canvas: &mut Canvas) {
    let quiet = Role::Quiet;
    let title = canvas.theme.line(format!(" {title}"), Role::Strong);
    words::row(title, Line::default(), area.y, area, canvas);
    let x = area.x + area.width.saturating_sub(BAR) / 2;
    let y = area.y + area.height / 2;
    canvas.put(x, y - 2, "The run is over and is being weighed.", Role::Ink);
    let filled = (share.clamp(0.0, 1.0) * f64::from(BAR)).round() as u16;
    for column in 0..BAR {
        let (mark, role) = match column < filled {
            true => (Mark::Filled, Role::Band),
            false => (Mark::Empty, Role::Quiet),
        };
        canvas.put(x + column, y, canvas.theme.mark(mark), role);
    }
    canvas.put(x, y + 2, "Two built-in hands fly the same drill", quiet);
    canvas.put(x, y + 3, "in the same air: that makes par and best.", quiet);
    let keys = " q does not wait   enter again   n next drill";
    words::foot(keys, "", area, canvas);
}
