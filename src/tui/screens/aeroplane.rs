//! The aeroplane's page: what it is like at one mass and altitude, and its drag curve as a picture.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::text::Line;

use super::words;
use crate::brief::AeroplanePage;
use crate::drill::Drill;
use crate::drill::reader::plain;
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::drag;
use crate::tui::widgets::page::Page;

/// From here on the text stands beside the picture.
const WIDE: u16 = 136;
const TEXT_WIDTH: u16 = 72;
/// Most rows of the picture.
const TALLEST: u16 = 26;

/// The page of an aeroplane, scrolled so far.
pub struct Aeroplane {
    page: AeroplanePage,
    text: Page,
    /// First line of the text in sight.
    pub scroll: u16,
}

impl Aeroplane {
    /// A drill's aeroplane as it is flown there, at the start's altitude.
    pub fn of(drill: &Drill) -> Aeroplane {
        let page = AeroplanePage::new(&drill.aircraft, drill.start.altitude_m);
        let mut text = Page::default();
        // The first line says what the screen's heading says.
        text.extend(page.lines().into_iter().skip(1), Role::Ink);
        Aeroplane {
            page,
            text,
            scroll: 0,
        }
    }
}

/// Draws it.
pub fn draw(aeroplane: &mut Aeroplane, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let page = &aeroplane.page;
    let title = Line::styled(format!(" {}", page.name), theme.style(Role::Strong));
    let at = format!(
        "{} kg, at {} ft ",
        plain(page.mass_kg.round()),
        plain(page.altitude_ft.round())
    );
    let at = Line::styled(at, theme.style(Role::Ink));
    words::row(buffer, area, area.y, title, at);
    let body = Rect {
        y: area.y + 2,
        height: area.height - 4,
        ..area
    };
    let (text, picture) = if area.width >= WIDE {
        let text = Rect {
            x: body.x + 1,
            width: TEXT_WIDTH,
            ..body
        };
        let picture = Rect {
            x: text.right() + 2,
            width: area.width - TEXT_WIDTH - 3,
            height: body.height.min(TALLEST),
            ..body
        };
        (text, picture)
    } else {
        let height = body.height / 2 + 1;
        let picture = Rect { height, ..body };
        let text = Rect {
            x: body.x + 1,
            y: body.y + height + 1,
            width: body.width - 2,
            height: body.height - height - 1,
        };
        (text, picture)
    };
    drag::draw(&page.drag_curve, picture, buffer, theme);
    let more = aeroplane
        .text
        .draw(&mut aeroplane.scroll, text, buffer, theme);
    let keys = " up, down, page up, page down";
    words::foot(keys, words::text_out(more), area, buffer, theme);
}
