//! Before flying: what is asked, and the numbers to go in with.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::text::{Line, Span};

use super::words;
use crate::brief::power_card::{Correction, WATCHED_S};
use crate::drill::Aids;
use crate::drill::Drill;
use crate::drill::air_words;
use crate::drill::printable::cut;
use crate::drill::reader::plain;
use crate::tui::echo::Choice;
use crate::tui::prepared::Sheet;
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::page::Page;
use crate::units::KT;

/// From here on the numbers stand beside what to do.
const WIDE: u16 = 136;
/// Columns that what to do takes then.
const RECIPES: u16 = 78;
/// Columns before the moves in a row of the card.
const CARD_HEAD: usize = 10;

/// What the screen shows.
pub struct Briefing<'a> {
    /// The drill.
    pub drill: &'a Drill,
    /// The best points on it so far.
    pub best: Option<f64>,
    /// How much the screen will help.
    pub aids: Aids,
    /// Which run will be drawn beside one's own.
    pub echo: Choice,
    /// What there is to know; None while it is being worked out.
    pub sheet: Option<&'a Sheet>,
    /// Whether the numbers behind it are asked for.
    pub more: bool,
}

/// Draws the brief as a screen of its own, from line `scroll` of its text on.
pub fn draw(briefing: &Briefing, scroll: &mut u16, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let aids = Line::styled(
        format!(
            "echo {}   aids {} ",
            briefing.echo.word(),
            briefing.aids.word()
        ),
        theme.style(Role::Ink),
    );
    let room = usize::from(area.width).saturating_sub(aids.width() + 2);
    words::row(buffer, area, area.y, head(briefing, room, theme), aids);
    let inside = Rect {
        x: area.x + 1,
        y: area.y + 2,
        width: area.width - 2,
        height: area.height - 4,
    };
    let mut text = to_do(briefing);
    let is_wide = area.width >= WIDE;
    let more = match is_wide {
        true => {
            let left = Rect {
                width: RECIPES,
                ..inside
            };
            let right = Rect {
                x: inside.x + RECIPES + 2,
                width: inside.width - RECIPES - 2,
                ..inside
            };
            let mut side = Page::default();
            numbers(&mut side, briefing, right.width);
            let mut beside = *scroll;
            let is_left = text.draw(scroll, left, buffer, theme);
            let is_right = side.draw(&mut beside, right, buffer, theme);
            // The shorter of the two stands while the longer one goes on.
            *scroll = beside.max(*scroll);
            is_left || is_right
        }
        false => {
            if briefing.more {
                text.gap();
                numbers(&mut text, briefing, inside.width);
            }
            text.draw(scroll, inside, buffer, theme)
        }
    };
    let keys = match (is_wide, briefing.more) {
        (true, _) => " enter flies  w watch  g guess",
        (_, true) => " enter flies  w watch  g guess  m fewer numbers",
        (_, false) => " enter flies  w watch  g guess  m more numbers",
    };
    words::text_foot(keys, more, area, buffer, theme);
}

/// The drill, then as much of what it is flown with as there is room for.
fn head(briefing: &Briefing, room: usize, theme: &Theme) -> Line<'static> {
    let drill = briefing.drill;
    let name: String = cut(&format!(" {}", drill.title), room).to_string();
    let mut line = Line::from(Span::styled(name, theme.style(Role::Strong)));
    let parts = [
        drill.aircraft.name.clone(),
        air_words::in_words(&drill.air),
        format!("on speed {:.0} kt", drill.start_trim().speed_mps / KT),
    ];
    words::add_parts(&mut line, parts, room, theme);
    line
}

/// What to do, task by task: the first thing to see.
fn to_do(briefing: &Briefing) -> Page {
    let drill = briefing.drill;
    let mut page = Page::default();
    page.push(drill.about.clone(), Role::Ink);
    page.push(
        match briefing.best {
            Some(best) => format!("par is 75 points; your best so far {best:.0}"),
            None => "par is 75 points".to_string(),
        },
        Role::Quiet,
    );
    page.gap();
    let Some(sheet) = briefing.sheet else {
        page.push("what to do is being worked out", Role::Quiet);
        return page;
    };
    for (asked, task) in sheet.brief.tasks.iter().zip(&drill.tasks) {
        let mut lines = asked.recipe_lines();
        if !task.scored
            && let Some(last) = lines.last_mut()
        {
            *last += "   (unscored)";
        }
        page.extend(lines, Role::Strong);
    }
    page.gap();
    page.push(
        match drill.air.u20_mps > 0.0 || drill.air.wake.is_some() {
            true => "That is for the air without its gusts. Correct what stays, not each of them.",
            false => {
                "Each % is where the lever goes. Half a second or five feet off is near enough."
            }
        },
        Role::Quiet,
    );
    page
}

/// The numbers behind it, and the power card, for a place so many columns wide.
fn numbers(page: &mut Page, briefing: &Briefing, width: u16) {
    let Some(Sheet { brief, card }) = briefing.sheet else {
        return;
    };
    page.extend(brief.number_lines(), Role::Ink);
    page.gap();
    let Some(card) = card else {
        page.push("power card: it cannot fly level here", Role::Ink);
        return;
    };
    let level = format!(
        "power card: from level at {} ft on {:.1} %, still air",
        plain(card.altitude_ft.round()),
        100.0 * card.level_lever
    );
    page.push(level, Role::Strong);
    let rows = card.corrections.iter().map(Correction::line);
    let lines = rows.flat_map(|row| between_moves(&row, usize::from(width)));
    page.extend(lines, Role::Ink);
    page.push(
        format!(
            "Each row was flown; +- is the most it strays in the {WATCHED_S:.0} s after its last move."
        ),
        Role::Quiet,
    );
}

/// A row of the card, broken after a move where it is too long for one line.
fn between_moves(row: &str, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for part in row.split_inclusive([';', ':']) {
        if !line.is_empty() && line.len() + part.len() > width {
            lines.push(std::mem::replace(&mut line, " ".repeat(CARD_HEAD)));
            line += part.trim_start();
        } else {
            line += part;
        }
    }
    lines.push(line);
    lines
}
