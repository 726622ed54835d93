//! The aeroplane's page: what it is like at one mass and altitude, and its drag curve as a picture.

use ratatui::layout::Rect;

use super::words;
use crate::brief::AeroplanePage;
use crate::drill::Drill;
use crate::drill::reader::plain;
use crate::tui::canvas::{self, Canvas};
use crate::tui::theme::Role;
use crate::tui::widgets::drag;
use crate::tui::widgets::page::Page;

/// From this width on the text stands beside the picture.
const WIDE: u16 = 136;
const TEXT_WIDTH: u16 = 72;
const TALLEST: u16 = 26;

/// The page of an aeroplane, and how far it is scrolled.
pub struct Aeroplane {
    page: AeroplanePage,
    text: Page,
    /// First row of the text in sight.
    pub scroll: u16,
}

impl Aeroplane {
    /// A drill's aeroplane, at the altitude of the start.
    pub fn of(drill: &Drill) -> Aeroplane {
        let page = AeroplanePage::new(&drill.aircraft, drill.start.altitude_m);
        let mut text = Page::default();
        // The first line says the same as the heading of the screen.
        text.extend(page.lines().into_iter().skip(1), Role::Ink);
        Aeroplane {
            page,
            text,
            scroll: 0,
        }
    }
}

pub fn draw(aeroplane: &mut Aeroplane, area: Rect, canvas: &mut Canvas) {
    let page = &aeroplane.page;
    let [kg, ft] = [page.mass_kg, page.altitude_ft].map(|x| plain(x.round()));
    let at = format!("{kg} kg, at {ft} ft ");
    words::head(&page.name, "", at, area, canvas);
    let mut body = Rect::new(area.x + 1, area.y + 2, area.width - 2, area.height - 4);
    let (text, picture) = if area.width >= WIDE {
        let text = canvas::left(&mut body, TEXT_WIDTH);
        let height = body.height.min(TALLEST);
        let picture = Rect::new(text.right() + 2, body.y, body.width - 1, height);
        (text, picture)
    } else {
        let height = body.height / 2 + 1;
        canvas::top(&mut body, height + 1);
        (body, Rect::new(area.x, area.y + 2, area.width, height))
    };
    drag::draw(&page.drag_curve, picture, canvas);
    let more = aeroplane.text.draw(&mut aeroplane.scroll, text, canvas);
    let keys = " up, down, page up, page down";
    words::foot(keys, words::text_out(more), area, canvas);
}
