//! The help: the key table, as it stands.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::widgets::{Block, Clear, Widget};

use crate::tui::action::{Place, help};
use crate::tui::theme::{Role, Theme};

/// Draws the keys of a place over whatever is there.
pub fn draw(place: Place, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let rows: Vec<_> = help(place).collect();
    let (width, height) = (56.min(area.width), (rows.len() as u16 + 6).min(area.height));
    let window = Rect {
        x: area.x + (area.width - width) / 2,
        y: area.y + (area.height - height) / 2,
        width,
        height,
    };
    Clear.render(window, buffer);
    let mut block = Block::bordered()
        .title(" keys ")
        .border_style(theme.style(Role::Quiet));
    if !theme.unicode {
        block = block.border_set(ASCII_BORDER);
    }
    let inside = block.inner(window);
    block.render(window, buffer);
    let mut y = inside.y + 1;
    let mut line = |keys: &str, what: &str| {
        if y < inside.bottom() {
            buffer.set_stringn(inside.x + 2, y, keys, 14, theme.style(Role::Strong));
            let room = inside.width.saturating_sub(17) as usize;
            buffer.set_stringn(inside.x + 16, y, what, room, theme.style(Role::Ink));
        }
        y += 1;
    };
    for binding in rows {
        line(binding.shown, binding.what);
    }
    line("ctrl-z", "to the background");
    line("ctrl-c", "end at once; a run under way is kept");
}

const ASCII_BORDER: ratatui::symbols::border::Set<'static> = ratatui::symbols::border::Set {
    top_left: "+",
    top_right: "+",
    bottom_left: "+",
    bottom_right: "+",
    vertical_left: "|",
    vertical_right: "|",
    horizontal_top: "-",
    horizontal_bottom: "-",
};
