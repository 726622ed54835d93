//! The list of drills by skill, and beside it the chosen one.

mod chosen;

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::text::{Line, Span};

use super::words;
use crate::drill::{Aids, Skill};
use crate::export::CAUTION;
use crate::progress::Choice;
use crate::score::points::PAR_POINTS;
use crate::tui::shelf::Shelf;
use crate::tui::theme::{Mark, Role, Theme};
use crate::tui::widgets::bars;
use crate::tui::widgets::page::Page;

/// From here on the chosen drill stands beside the list.
const WIDE: u16 = 136;
/// Columns of the list, and where they begin in it.
const LIST: u16 = 80;
const TITLE: u16 = 3;
const AIRCRAFT: u16 = 31;
const LAST: u16 = 46;
const BEST: u16 = 52;
const PAR: u16 = 58;
const LATEST: u16 = 64;
/// Rows of what the chosen drill is about, below the list.
const ABOUT: u16 = 2;

/// What the screen shows.
pub struct Menu<'a> {
    /// The drills.
    pub shelf: &'a Shelf,
    /// The chosen one.
    pub chosen: usize,
    /// How much the screen will help.
    pub aids: Aids,
    /// The letters that are looked for, while they are.
    pub find: Option<&'a str>,
    /// What is to be said before anything is chosen.
    pub sentence: Option<String>,
    /// What to fly next.
    pub next: Option<&'a Choice>,
}

/// A row of the list.
#[derive(Clone, Copy)]
enum Row {
    Gap,
    Skill(Skill),
    Drill(usize),
}

/// Draws it.
pub fn draw(menu: &Menu, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    head(menu, area, buffer, theme);
    let caution: Vec<&str> = CAUTION.lines().collect();
    let wide = area.width >= WIDE;
    // What the chosen drill is about stands below the list where there is no room beside it.
    let about = if wide { 0 } else { ABOUT };
    let foot = caution.len() as u16 + 2 + about;
    let list = Rect {
        y: area.y + 2,
        height: area.height.saturating_sub(2 + foot),
        width: if wide { LIST } else { area.width },
        ..area
    };
    drills(menu, list, buffer, theme);
    let drill = &menu.shelf.drills[menu.chosen];
    if wide {
        let side = Rect {
            x: list.right() + 2,
            width: area.width - list.width - 3,
            ..list
        };
        let record = menu.shelf.record(menu.chosen);
        chosen::draw(drill, record.as_ref(), side, buffer, theme);
    } else {
        let about = Rect {
            x: area.x + 1,
            y: list.bottom(),
            width: area.width - 2,
            height: ABOUT,
        };
        let mut page = Page::default();
        page.push(&drill.about, Role::Ink);
        page.draw(&mut 0, about, buffer, theme);
    }
    let quiet = theme.style(Role::Quiet);
    let y = area.bottom() - 1 - caution.len() as u16;
    for (row, line) in (y..).zip(&caution) {
        buffer.set_stringn(area.x + 1, row, line, area.width as usize - 1, quiet);
    }
    let keys = match (menu.find, wide) {
        (Some(_), _) => " enter opens the brief  up, down choose  esc clears",
        (None, true) => {
            " enter opens the brief  / find  w watch  l runs  g guess  p aeroplane  a aids  s so far  f first flight"
        }
        (None, false) => " enter opens the brief  / find  w watch  l runs  s so far",
    };
    words::foot(keys, "q quit", area, buffer, theme);
}

/// The name, what can be done, and what there is to say.
fn head(menu: &Menu, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let quiet = theme.style(Role::Quiet);
    let name = Line::from(vec![
        Span::styled(" leveloff", theme.style(Role::Strong)),
        Span::styled(
            "   hold a number, leave it, stop on another: by power alone",
            quiet,
        ),
    ]);
    let aids = Line::styled(
        format!("aids {} ", menu.aids.word()),
        theme.style(Role::Ink),
    );
    words::row(buffer, area, area.y, name, aids);
    let line = match (menu.find, &menu.sentence) {
        (Some(letters), _) => Line::styled(format!(" find: {letters}_"), theme.style(Role::Strong)),
        (None, Some(sentence)) => Line::styled(format!(" {sentence}"), theme.style(Role::Warning)),
        (None, None) => match menu.next {
            Some(next) => Line::from(vec![
                Span::styled(" n ", theme.style(Role::Strong)),
                Span::styled(next.in_short(), theme.style(Role::Ink)),
            ]),
            None => Line::styled(
                " enter: what the drill asks; enter again: fly it; then: where the points went",
                quiet,
            ),
        },
    };
    buffer.set_line(area.x, area.y + 1, &line, area.width);
}

/// The rows, with a gap between skills where all of them fit.
fn rows(listed: &[(Skill, usize)], room: usize) -> Vec<Row> {
    let put = |has_gaps: bool| {
        let mut rows = Vec::new();
        let mut under = None;
        for (skill, index) in listed {
            if under.replace(skill) != Some(skill) {
                if has_gaps && !rows.is_empty() {
                    rows.push(Row::Gap);
                }
                rows.push(Row::Skill(*skill));
            }
            rows.push(Row::Drill(*index));
        }
        rows
    };
    let airy = put(true);
    if airy.len() <= room { airy } else { put(false) }
}

fn drills(menu: &Menu, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let quiet = theme.style(Role::Quiet);
    for (column, name) in [
        (AIRCRAFT, "aeroplane"),
        (LAST, "last"),
        (BEST, "best"),
        (PAR, "par"),
        (LATEST, "latest runs"),
    ] {
        buffer.set_string(area.x + column, area.y, name, quiet);
    }
    let listed = menu.shelf.listed(menu.find.unwrap_or_default());
    if listed.is_empty() {
        let none = "   no drill and no aeroplane has that in its name";
        buffer.set_string(area.x, area.y + 1, none, theme.style(Role::Ink));
        return;
    }
    // The first row names the columns, and the last says how much more there is.
    let room = usize::from(area.height.saturating_sub(2));
    let rows = rows(&listed, room);
    let is_chosen = |row: &Row| matches!(row, Row::Drill(index) if *index == menu.chosen);
    let at = rows.iter().position(is_chosen).unwrap_or(0);
    let first = at
        .saturating_sub(room / 2)
        .min(rows.len().saturating_sub(room));
    for (y, row) in (area.y + 1..).zip(rows.iter().skip(first).take(room)) {
        match row {
            Row::Gap => {}
            Row::Skill(skill) => skill_row(*skill, area.x, y, buffer, theme),
            Row::Drill(index) => drill_row(menu, *index, area.x, y, buffer, theme),
        }
    }
    let drills = |rows: &[Row]| {
        rows.iter()
            .filter(|row| matches!(row, Row::Drill(_)))
            .count()
    };
    let above = drills(&rows[..first]);
    let below = drills(&rows[rows.len().min(first + room)..]);
    let sign = |mark: Mark, count: usize| format!("   {} {count} more", theme.mark(mark));
    if above > 0 {
        buffer.set_string(area.x, area.y, sign(Mark::Up, above), quiet);
    }
    if below > 0 {
        buffer.set_string(area.x, area.bottom() - 1, sign(Mark::Down, below), quiet);
    }
}

fn skill_row(skill: Skill, x: u16, y: u16, buffer: &mut Buffer, theme: &Theme) {
    let line = Line::from(vec![
        Span::styled(format!(" {}", skill.title()), theme.style(Role::Band)),
        Span::styled(format!("   {}", about(skill)), theme.style(Role::Quiet)),
    ]);
    buffer.set_line(x, y, &line, LIST);
}

/// What a skill is, in a few words.
fn about(skill: Skill) -> &'static str {
    match skill {
        Skill::Stop => "a climb or a descent is running: end it on the number",
        Skill::GoAndStop => "leave one number, end on the next",
        Skill::Slowing => "lose speed at one altitude, and catch it where it is slow",
        Skill::Rates => "go to a vertical speed and keep it",
        Skill::Holds => "find level power from a wrong one, and stay",
        Skill::Paths => "down a straight line to a deck that stands still",
        Skill::Ships => "down to a deck that moves away",
        Skill::Surprises => "what comes next is called on the way",
    }
}

fn drill_row(menu: &Menu, index: usize, x: u16, y: u16, buffer: &mut Buffer, theme: &Theme) {
    let drill = &menu.shelf.drills[index];
    let (mark, role) = match index == menu.chosen {
        true => (theme.mark(Mark::Chosen), Role::Strong),
        false => (" ", Role::Ink),
    };
    let (style, quiet) = (theme.style(role), theme.style(Role::Quiet));
    buffer.set_string(x + 1, y, mark, style);
    let room = usize::from(AIRCRAFT - TITLE - 2);
    buffer.set_stringn(x + TITLE, y, &drill.title, room, style);
    let room = usize::from(LAST - AIRCRAFT - 2);
    buffer.set_stringn(x + AIRCRAFT, y, &drill.aircraft.name, room, quiet);
    let Some(record) = menu.shelf.record(index) else {
        return;
    };
    let points = record.points();
    if let Some(last) = points.last() {
        buffer.set_string(x + LAST, y, format!("{last:>4.0}"), style);
    }
    buffer.set_string(x + BEST, y, format!("{:>4.0}", record.best), style);
    // As good as par, to the point as shown.
    if record.best.round() >= PAR_POINTS {
        buffer.set_string(x + PAR + 1, y, theme.mark(Mark::Done), style);
    }
    let latest = bars::row(&points, theme);
    buffer.set_string(x + LATEST, y, latest, theme.style(Role::Alternative));
}
