//! A guided flight: its instructions in a box above the flight.

use ratatui::layout::Rect;

use super::{fly, words};
use crate::tui::canvas::{self, Canvas};
use crate::tui::flight::{Flight, Phase};
use crate::tui::guided::Guided;
use crate::tui::theme::Role;
use crate::tui::widgets::page::Page;

/// Rows of the box: two of its border, three of what is said, one of what to do.
const BOX: u16 = 6;

pub fn draw(guided: &Guided, flight: &mut Flight, area: Rect, canvas: &mut Canvas) {
    let mut below = area;
    let window = canvas::top(&mut below, BOX);
    fly::draw(flight, below, canvas);
    let [title, said, to_do] = guided.told(flight);
    let mut text = words::border(&format!(" {title} "), window, canvas);
    (text.x, text.width) = (text.x + 1, text.width - 2);
    let last = canvas::bottom(&mut text, 1);
    let mut page = Page::default();
    page.push(said, Role::Ink);
    page.draw(&mut 0, text, canvas);
    canvas.put_within(last.x, last.y, to_do, last.width, Role::Warning);
    foot(guided, flight, area, canvas);
}

/// Draws the keys of a guided flight in place of a flight's.
fn foot(guided: &Guided, flight: &Flight, area: Rect, canvas: &mut Canvas) {
    if flight.typed.is_some() {
        return;
    }
    let keys = match flight.phase() {
        _ if flight.is_over() => "",
        Phase::Flying if guided.is_stopped() => "enter goes on without it",
        Phase::Flying => "space pauses",
        Phase::Ready => "space begins",
        Phase::Paused => "space goes on",
    };
    let out = "r from the start   esc to the menu";
    words::foot(format!(" {keys}"), out, area, canvas);
}
