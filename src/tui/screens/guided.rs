//! A guided flight: what is said in a box above the flight.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::widgets::{Block, Widget};

use super::{fly, help, words};
use crate::tui::flight::{Flight, Phase};
use crate::tui::guided::{Guided, is_over};
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::page::Page;

/// Rows of the box: its border, three of what is said, one of what is to be done.
const BOX: u16 = 6;

/// Draws it.
pub fn draw(guided: &Guided, flight: &mut Flight, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let window = Rect {
        height: BOX,
        ..area
    };
    let below = Rect {
        y: area.y + BOX,
        height: area.height - BOX,
        ..area
    };
    fly::draw(flight, below, buffer, theme);
    let [title, said, to_do] = guided.told(flight);
    let mut block = Block::bordered()
        .title(format!(" {title} "))
        .border_style(theme.style(Role::Quiet));
    if !theme.unicode {
        block = block.border_set(help::ASCII_BORDER);
    }
    let inside = block.inner(window);
    block.render(window, buffer);
    let text = Rect {
        x: inside.x + 1,
        width: inside.width - 2,
        height: inside.height - 1,
        ..inside
    };
    let mut page = Page::default();
    page.push(said, Role::Ink);
    page.draw(&mut 0, text, buffer, theme);
    let y = inside.bottom() - 1;
    let width = usize::from(text.width);
    buffer.set_stringn(text.x, y, to_do, width, theme.style(Role::Warning));
    foot(guided, flight, area, buffer, theme);
}

/// Its own keys in place of a flight's.
fn foot(guided: &Guided, flight: &Flight, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    if flight.typed().is_some() {
        return;
    }
    let keys = match flight.phase() {
        _ if is_over(flight) => "",
        Phase::Flying if guided.is_stopped() => "enter goes on without it",
        Phase::Flying => "space pauses",
        Phase::Ready => "space begins",
        Phase::Paused => "space goes on",
    };
    let out = "r from the start   esc to the menu";
    words::foot(format!(" {keys}"), out, area, buffer, theme);
}
