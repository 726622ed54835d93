//! The layout: picture, columns and text, side by side where there is room.

use ratatui::layout::Rect;

use super::{Debrief, SAID_ROWS, figures, head, text};
use crate::tui::canvas::{self, Canvas};
use crate::tui::theme::Role;
use crate::tui::widgets::page::{self, Page};
use crate::tui::widgets::{bars, bill_strip, lever, strip};

/// From this height on the picture has room for a second curve above lever and engine.
const TALL: u16 = 24;
/// From this size on the points of the last runs have a picture.
const VAST: (u16, u16) = (170, 50);
/// Least rows of the picture, and most rows where text follows below it.
const PICTURE_ROWS: (u16, u16) = (11, 26);
/// Most rows of what comes first, above the picture: with the head it takes the first twelve rows of the screen.
const TOP_ROWS: u16 = 10;

/// Draws what comes first, the picture and everything else as one long page. Returns whether it goes on below.
pub(super) fn draw_below(debrief: &mut Debrief, area: Rect, canvas: &mut Canvas) -> bool {
    let width = area.width - 1;
    let top = text::top(debrief, TOP_ROWS, width, &canvas.theme);
    let rest = text::rest(debrief, &canvas.theme);
    let columns = figures::columns(&debrief.told);
    let top_rows = top.rows(width).min(TOP_ROWS);
    let (least, most) = PICTURE_ROWS;
    let rows = [
        top_rows,
        area.height.saturating_sub(top_rows).clamp(least, most),
        figures::height(&columns, false) + 1,
        rest.rows(width),
    ];
    let all = rows.into_iter().fold(0, u16::saturating_add);
    let mut left = Rect::new(0, 0, width, all);
    let places = rows.map(|rows| canvas::top(&mut left, rows));
    let mut scroll = match std::mem::take(&mut debrief.reveal) {
        true => 0,
        false => debrief.scroll,
    };
    let more = page::long(all, &mut scroll, area, canvas, |canvas| {
        top.draw(&mut 0, places[0], canvas);
        draw_picture(debrief, places[1], canvas);
        figures::draw(&columns, debrief.leg, places[2], canvas);
        rest.draw(&mut 0, places[3], canvas);
    });
    debrief.scroll = scroll;
    more
}

/// Draws the first sentence above the picture with its columns, and the text beside them. Returns whether the text goes on below.
pub(super) fn draw_beside(debrief: &mut Debrief, area: Rect, canvas: &mut Canvas) -> bool {
    let said = first_sentence(debrief, area, canvas);
    let mut left = area;
    canvas::top(&mut left, said);
    let (page, chosen) = text::page(debrief, &canvas.theme);
    let columns = figures::columns(&debrief.told);
    let width = (u32::from(area.width) * 36 / 100).clamp(40, 76) as u16;
    let mut text = canvas::right(&mut left, width);
    (left.width, text.width) = (left.width - 2, width - 1);
    let is_vast = area.width >= VAST.0 && area.height >= VAST.1;
    let last_rows = match is_vast && !debrief.told.lately.is_empty() {
        true => bars::ROWS.0 + bars::MORE + 1,
        false => 0,
    };
    let last = canvas::bottom(&mut text, last_rows);
    let few = figures::height(&columns, false);
    let many = figures::height(&columns, true);
    let rows = match left.height {
        height if height >= TALL + many => many,
        height if height >= PICTURE_ROWS.0 + few + 2 => few,
        _ => 0,
    };
    let below = canvas::bottom(&mut left, rows);
    draw_picture(debrief, left, canvas);
    if rows > 0 {
        figures::draw(&columns, debrief.leg, below, canvas);
    }
    if last_rows > 0 {
        let last = Rect::new(last.x + 1, last.y + 1, last.width, last.height - 1);
        bars::draw(&debrief.told.lately, bars::ROWS.0, last, canvas);
    }
    if std::mem::take(&mut debrief.reveal) {
        page.reveal(chosen, &mut debrief.scroll, text);
    }
    page.draw(&mut debrief.scroll, text, canvas)
}

/// Draws the first sentence. Returns the rows that it takes.
fn first_sentence(debrief: &Debrief, area: Rect, canvas: &mut Canvas) -> u16 {
    let mut page = Page::default();
    page.push(debrief.said(), Role::Strong);
    let rows = page.rows(area.width - 2).min(SAID_ROWS);
    let place = Rect::new(area.x + 1, area.y, area.width - 2, rows);
    page.draw(&mut 0, place, canvas);
    rows
}

/// Draws the head and the picture alone.
pub fn draw_print(debrief: &Debrief, area: Rect, canvas: &mut Canvas) {
    head(debrief, area, canvas);
    let mut picture = area;
    canvas::top(&mut picture, 2);
    draw_picture(debrief, picture, canvas);
}

fn draw_picture(debrief: &Debrief, mut area: Rect, canvas: &mut Canvas) {
    let stretch = debrief.stretch();
    let lever_rows = match debrief.told.run.known().lever {
        true => (area.height / 4).max(3),
        false => 0,
    };
    let bill_rows = match debrief.line.is_some() {
        true => (area.height / 8).clamp(2, 4),
        false => 0,
    };
    let mut sides = strip::sides(&stretch);
    if area.height < TALL {
        sides.truncate(1);
    }
    // A row apart, so that the numbers of one axis are not read on the next.
    let rows = (area.height - lever_rows - bill_rows - 1) / sides.len() as u16 - 1;
    for side in sides {
        strip::curve_of(side, &stretch, canvas::top(&mut area, rows), canvas);
        canvas::top(&mut area, 1);
    }
    let times = canvas::bottom(&mut area, 1);
    let bill = canvas::bottom(&mut area, bill_rows);
    lever::of_stretch(&stretch, area, canvas);
    bill_strip::bill(&stretch, &debrief.told.weighed, debrief.line, bill, canvas);
    lever::times(&stretch, times, canvas);
}
