//! What practice has come to so far: by skill, the points over the runs with their curve, the days, what costs most, what next.

use jiff::civil::Date;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::text::{Line, Span};

use super::words;
use crate::drill::reader::{fixed, printable};
use crate::export::progress_words::{self, count};
use crate::progress::{Choice, Costs, Flown, Group, Summary, costs, next, summary};
use crate::tui::shelf::Shelf;
use crate::tui::theme::{Mark, Role, Theme};
use crate::tui::widgets::learning;
use crate::tui::widgets::page::Page;

/// Days that the strip of days shows.
const DAYS: i32 = 28;
/// Rows below the picture: days, costs, what next, keys.
const BELOW: u16 = 6;

/// What is shown.
pub struct SoFar {
    skills: Vec<(Summary, Vec<f64>)>,
    chosen: usize,
    runs: usize,
    days: Vec<Date>,
    today: Option<Date>,
    costs: Costs,
    next: Option<Choice>,
    rungs: (usize, usize),
    lesson: String,
    trouble: Option<String>,
}

impl SoFar {
    /// What a person's runs, oldest first, have come to on a day; `trouble` is what could not be read of them.
    pub fn of(shelf: &Shelf, today: Option<Date>, trouble: Option<String>) -> SoFar {
        let flown: Vec<&Flown> = shelf.practice.flown().iter().collect();
        let mut skills = summary::by(&flown, Group::Skill, "points");
        let order = |row: &Summary| {
            let of_skill = flown.iter().rev().filter_map(|run| run.skill);
            of_skill.into_iter().find(|skill| skill.title() == row.key)
        };
        skills.sort_by_cached_key(order);
        let skills = skills.into_iter().map(|row| {
            let of_skill = flown
                .iter()
                .filter(|run| run.skill.is_some_and(|skill| skill.title() == row.key));
            let of_skill: Vec<&Flown> = of_skill.copied().collect();
            let (_, points) = summary::series(&of_skill, "points");
            (row, points)
        });
        let since = today.map(costs::week);
        let lately = flown.iter().filter(|run| run.day() >= since);
        let lesson = &shelf.lesson;
        let next = today.and_then(|today| next(lesson, &flown, today, None));
        SoFar {
            skills: skills.collect(),
            chosen: 0,
            runs: flown.len(),
            days: summary::days(&flown),
            today,
            costs: costs(&lately.copied().collect::<Vec<_>>()),
            rungs: (
                next.as_ref().map_or(0, |next| next.passed),
                lesson.rungs.len(),
            ),
            lesson: lesson.title.clone(),
            next: next.map(|next| next.now),
            trouble,
        }
    }

    /// Another skill.
    pub fn move_by(&mut self, by: i16) {
        let last = self.skills.len().saturating_sub(1);
        self.chosen = self.chosen.saturating_add_signed(by.into()).min(last);
    }
}

/// Draws it.
pub fn draw(so_far: &SoFar, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let quiet = theme.style(Role::Quiet);
    let mut title = Line::styled(" so far   ", theme.style(Role::Strong));
    title.push_span(Span::styled(so_far.lesson.clone(), quiet));
    let all = format!(
        "{} on {}   {} of {} rungs ",
        count(so_far.runs, "run"),
        count(so_far.days.len(), "day"),
        so_far.rungs.0,
        so_far.rungs.1
    );
    words::row(
        buffer,
        area,
        area.y,
        title,
        Line::styled(all, theme.style(Role::Ink)),
    );
    let rows = so_far.skills.len() as u16;
    table(
        so_far,
        Rect {
            y: area.y + 2,
            ..area
        },
        buffer,
        theme,
    );
    let top = area.y + 4 + rows;
    let picture = Rect {
        y: top,
        height: (area.bottom() - BELOW).saturating_sub(top),
        ..area
    };
    match so_far.skills.get(so_far.chosen) {
        Some((row, points)) => learning::draw(row, points, picture, buffer, theme),
        None => {
            let text = " No run of yours was kept yet: fly one, and it is here.";
            buffer.set_stringn(
                area.x,
                area.y + 2,
                text,
                area.width.into(),
                theme.style(Role::Ink),
            );
        }
    }
    below(so_far, area, buffer, theme);
    let keys = Line::styled(" up, down another skill", quiet);
    let right = Line::styled("q menu   ? help ", quiet);
    words::row(buffer, area, area.bottom() - 1, keys, right);
}

/// A line a skill.
fn table(so_far: &SoFar, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    if so_far.skills.is_empty() {
        return;
    }
    let head = format!(
        "   {:<14}{:>6}{:>6}{:>7}{:>11}   {}",
        "", "runs", "days", "best", "last five", "change by the curve, 95 %"
    );
    buffer.set_stringn(
        area.x,
        area.y,
        head,
        area.width.into(),
        theme.style(Role::Quiet),
    );
    for (n, (row, _)) in so_far.skills.iter().enumerate() {
        let (mark, role) = match n == so_far.chosen {
            true => (theme.mark(Mark::Chosen), Role::Strong),
            false => (" ", Role::Ink),
        };
        let whole = |points: Option<f64>| points.map_or("-".to_string(), |x| fixed(x, 0));
        let change = match &row.curve {
            Some(curve) => {
                let told = if curve.is_told() { "" } else { ", by chance?" };
                let change = curve.change;
                format!(
                    "{:+.0}, {:+.0} to {:+.0}{told}",
                    change.value, change.low, change.high
                )
            }
            None => "too few runs".to_string(),
        };
        let line = format!(
            " {mark} {:<14}{:>6}{:>6}{:>7}{:>11}   {change}",
            row.title,
            row.runs,
            row.days,
            whole(row.best.as_ref().map(|best| best.points)),
            whole(row.lately),
        );
        let y = area.y + 1 + n as u16;
        buffer.set_stringn(area.x, y, line, area.width.into(), theme.style(role));
    }
}

/// The days, what costs most, what next.
fn below(so_far: &SoFar, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let mut page = Page::default();
    page.extend(
        so_far.trouble.iter().map(|trouble| printable(trouble)),
        Role::Warning,
    );
    if let Some(today) = so_far.today.filter(|_| so_far.runs > 0) {
        let flown = |ago: i32| {
            let day = today.checked_sub(jiff::Span::new().days(ago));
            day.is_ok_and(|day| so_far.days.binary_search(&day).is_ok())
        };
        let (yes, no) = if theme.unicode {
            ('■', '·')
        } else {
            ('#', '.')
        };
        let strip: String = (0..DAYS)
            .rev()
            .map(|ago| if flown(ago) { yes } else { no })
            .collect();
        page.push(format!("the last four weeks  {strip}  today"), Role::Ink);
    }
    let dearest = so_far.costs.lines.iter().take(3);
    let dearest: Vec<String> = dearest
        .map(|cost| format!("{} {:.0}", progress_words::name(&cost.key), cost.points))
        .collect();
    if !dearest.is_empty() {
        page.push(
            format!("costs most this week  {}", printable(&dearest.join(", "))),
            Role::Ink,
        );
    }
    page.extend(so_far.next.iter().map(Choice::sentence), Role::Strong);
    let rows = Rect {
        x: area.x + 1,
        y: area.bottom() - BELOW + 1,
        width: area.width - 2,
        height: BELOW - 2,
    };
    page.draw(&mut 0, rows, buffer, theme);
}
