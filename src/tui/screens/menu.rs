//! The list of drills by skill, and beside it the chosen one.

mod chosen;

use ratatui::layout::Rect;
use ratatui::text::Line;

use super::words;
use crate::drill::printable::{cut, wrapped};
use crate::drill::{Aids, Skill};
use crate::export::CAUTION;
use crate::progress::Choice;
use crate::score::points::PAR_POINTS;
use crate::tui::canvas::{self, Canvas};
use crate::tui::shelf::Shelf;
use crate::tui::theme::{Mark, Role};
use crate::tui::widgets::bars;
use crate::tui::widgets::page::Page;

/// From this width on the chosen drill stands beside the list.
const WIDE: u16 = 136;
/// Width of the list, and where its columns begin.
const LIST: u16 = 80;
const TITLE: u16 = 3;
const AIRCRAFT: u16 = 31;
const LAST: u16 = 46;
const BEST: u16 = 52;
const PAR: u16 = 58;
const LATEST: u16 = 64;
/// Rows of what the chosen drill is about, below the list.
const ABOUT: u16 = 2;

pub struct Menu<'a> {
    pub shelf: &'a Shelf,
    /// The drills that match the search; all of them while there is none.
    pub listed: Vec<(Skill, usize)>,
    pub chosen: usize,
    pub aids: Aids,
    /// The letters to search for, while a search is on.
    pub find: Option<&'a str>,
    /// What to do first, for a person who is new here.
    pub sentence: Option<String>,
    pub next: Option<&'a Choice>,
}

#[derive(Clone, Copy)]
enum ListRow {
    Gap,
    Skill(Skill),
    Drill(usize),
}

pub fn draw(menu: &Menu, area: Rect, canvas: &mut Canvas) {
    head(menu, area, canvas);
    let caution: Vec<&str> = CAUTION.lines().collect();
    let wide = area.width >= WIDE;
    // What the chosen drill is about stands below the list where there is no room beside it.
    let about = if wide { 0 } else { ABOUT };
    let foot = caution.len() as u16 + 2 + about;
    let mut rest = area;
    canvas::top(&mut rest, 2);
    canvas::bottom(&mut rest, foot);
    let list = canvas::left(&mut rest, if wide { LIST } else { area.width });
    drills(menu, list, canvas);
    let drill = &menu.shelf.drills[menu.chosen];
    let has_some = !menu.listed.is_empty();
    if wide && has_some {
        let side = Rect::new(rest.x + 2, rest.y, rest.width - 3, rest.height);
        let record = menu.shelf.record(menu.chosen);
        chosen::draw(drill, record.as_ref(), side, canvas);
    } else if has_some {
        let about = Rect::new(area.x + 1, list.bottom(), area.width - 2, ABOUT);
        let mut page = Page::default();
        let mut lines = wrapped("", &drill.about, usize::from(about.width));
        let is_cut = lines.len() > usize::from(ABOUT);
        lines.truncate(usize::from(ABOUT));
        if let Some(last) = lines.last_mut().filter(|_| is_cut) {
            *last = format!("{} ...", cut(last, usize::from(about.width) - 4));
        }
        page.extend(lines, Role::Ink);
        page.draw(&mut 0, about, canvas);
    }
    let y = area.bottom() - 1 - caution.len() as u16;
    for (row, line) in (y..).zip(&caution) {
        canvas.put_within(area.x + 1, row, line, area.width - 1, Role::Quiet);
    }
    let keys = match (menu.find, wide) {
        (Some(_), _) => {
            let choosing = " enter opens the brief  up, down choose  esc clears";
            let keys = if has_some { choosing } else { " esc clears" };
            return words::foot_typing(keys, area, canvas);
        }
        (None, true) => {
            " enter opens the brief  / find  w watch  l runs  g guess  p aeroplane  a aids  s so far  f first flight"
        }
        (None, false) => " enter opens the brief  / find  w watch  l runs  s so far",
    };
    words::foot(keys, "q quit", area, canvas);
}

/// Shown where there is nothing else to say.
const HOW: &str = " enter: what the drill asks; enter again: fly it; then: where the points went";

/// Draws the head: the program's name and what it is for, the aids, and a row for the search, the sentence or what to fly next.
fn head(menu: &Menu, area: Rect, canvas: &mut Canvas) {
    let theme = canvas.theme;
    let about = "hold a number, leave it, stop on another: by power alone";
    let aids = format!("aids {} ", menu.aids.word());
    words::head("leveloff", about, aids, area, canvas);
    let line = match (menu.find, &menu.sentence, menu.next) {
        (Some(letters), ..) => theme.line(format!(" find: {letters}_"), Role::Strong),
        (None, Some(sentence), _) => theme.line(format!(" {sentence}"), Role::Warning),
        (None, None, Some(next)) => Line::from(vec![
            theme.span(" n ", Role::Strong),
            theme.span(next.in_short(), Role::Ink),
        ]),
        (None, None, None) => theme.line(HOW, Role::Quiet),
    };
    canvas.put_line(area.x, area.y + 1, &line, area.width);
}

/// The rows, with a gap between skills where all of them fit.
fn rows(listed: &[(Skill, usize)], room: usize) -> Vec<ListRow> {
    let put = |has_gaps: bool| {
        let mut rows = Vec::new();
        let mut under = None;
        for (skill, index) in listed {
            if under.replace(skill) != Some(skill) {
                if has_gaps && !rows.is_empty() {
                    rows.push(ListRow::Gap);
                }
                rows.push(ListRow::Skill(*skill));
            }
            rows.push(ListRow::Drill(*index));
        }
        rows
    };
    let airy = put(true);
    if airy.len() <= room { airy } else { put(false) }
}

fn drills(menu: &Menu, area: Rect, canvas: &mut Canvas) {
    let quiet = Role::Quiet;
    let theme = canvas.theme;
    for (column, name) in [
        (AIRCRAFT, "aeroplane"),
        (LAST, "last"),
        (BEST, "best"),
        (PAR, "par"),
        (LATEST, "latest runs"),
    ] {
        canvas.put(area.x + column, area.y, name, quiet);
    }
    if menu.listed.is_empty() {
        let none = "   no drill or aeroplane has that in its name";
        canvas.put(area.x, area.y + 1, none, Role::Ink);
        return;
    }
    // The first row names the columns, and the last says how much more there is.
    let room = usize::from(area.height.saturating_sub(2));
    let rows = rows(&menu.listed, room);
    let is_chosen = |row: &ListRow| matches!(row, ListRow::Drill(index) if *index == menu.chosen);
    let at = rows.iter().position(is_chosen).unwrap_or(0);
    let first = at.saturating_sub(room / 2);
    let first = first.min(rows.len().saturating_sub(room));
    for (y, row) in (area.y + 1..).zip(rows.iter().skip(first).take(room)) {
        match row {
            ListRow::Gap => {}
            ListRow::Skill(skill) => skill_row(*skill, area.x, y, canvas),
            ListRow::Drill(index) => drill_row(menu, *index, area.x, y, canvas),
        }
    }
    let is_drill = |row: &&ListRow| matches!(row, ListRow::Drill(_));
    let drills = |rows: &[ListRow]| rows.iter().filter(is_drill).count();
    let above = drills(&rows[..first]);
    let below = drills(&rows[rows.len().min(first + room)..]);
    let sign = |mark: Mark, count: usize| format!("   {} {count} more", theme.mark(mark));
    if above > 0 {
        canvas.put(area.x, area.y, sign(Mark::UP, above), quiet);
    }
    if below > 0 {
        canvas.put(area.x, area.bottom() - 1, sign(Mark::DOWN, below), quiet);
    }
}

fn skill_row(skill: Skill, x: u16, y: u16, canvas: &mut Canvas) {
    let theme = canvas.theme;
    let line = Line::from(vec![
        theme.span(format!(" {}", skill.title()), Role::Band),
        theme.span(format!("   {}", about(skill)), Role::Quiet),
    ]);
    canvas.put_line(x, y, &line, LIST);
}

/// What a skill is, in a few words.
fn about(skill: Skill) -> &'static str {
    match skill {
        Skill::Stop => "a climb or a descent is running: end it on the number",
        Skill::GoAndStop => "leave one number, end on the next",
        Skill::Slowing => "lose speed at one altitude, and catch it on speed",
        Skill::Rates => "go to a vertical speed and keep it",
        Skill::Holds => "find level power from a wrong setting, and stay",
        Skill::Paths => "down a straight line to a deck that stands still",
        Skill::Ships => "down to a deck that moves away",
        Skill::Surprises => "what comes next is called on the way",
    }
}

fn drill_row(menu: &Menu, index: usize, x: u16, y: u16, canvas: &mut Canvas) {
    let drill = &menu.shelf.drills[index];
    let (mark, role) = canvas.theme.row(index == menu.chosen);
    canvas.put(x + 1, y, mark, role);
    canvas.put_within(x + TITLE, y, &drill.title, AIRCRAFT - TITLE - 2, role);
    let (name, room) = (&drill.aircraft.name, LAST - AIRCRAFT - 2);
    canvas.put_within(x + AIRCRAFT, y, name, room, Role::Quiet);
    let Some(record) = menu.shelf.record(index) else {
        return;
    };
    let points = record.points();
    if let Some(last) = points.last() {
        canvas.put(x + LAST, y, format!("{last:>4.0}"), role);
    }
    canvas.put(x + BEST, y, format!("{:>4.0}", record.best), role);
    // At least as good as par, rounded as shown.
    if record.best.round() >= PAR_POINTS {
        canvas.put(x + PAR + 1, y, canvas.theme.mark(Mark::DONE), role);
    }
    let latest = bars::row(&points, &canvas.theme);
    canvas.put(x + LATEST, y, latest, Role::Alternative);
}
