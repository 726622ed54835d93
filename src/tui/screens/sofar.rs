//! Practice so far: points or a figure over the runs with their curve, by skill, drill or day; the days flown, what costs most,
//! and what to fly next.

use jiff::civil::Date;
use ratatui::layout::Rect;

use super::words;
use crate::drill::Aids;
use crate::drill::printable::{cut, padded, printable};
use crate::drill::reader::fixed;
use crate::export::progress_words::{self, count};
use crate::progress::{Choice, Costs, Flown, Group, Summary, costs, next, summary};
use crate::score::metrics::METRICS;
use crate::tui::canvas::{self, Canvas};
use crate::tui::key_lever::Way;
use crate::tui::shelf::Shelf;
use crate::tui::theme::{Mark, Role, Theme};
use crate::tui::widgets::learning::{self, POINTS, Series};
use crate::tui::widgets::page::Page;

/// Days that the strip of days shows.
const DAYS: i32 = 28;
/// Rows of the text below the picture, at least; an empty one comes before it, the keys after.
const BELOW: u16 = 4;

/// Rows of the table that are shown on any screen, and rows left to the picture below before more of the table is shown. The rest
/// is scrolled.
const ROWS: usize = 8;
const PICTURE: usize = 16;
/// From this width on there is room for all columns beside the titles of drills.
const WIDE: u16 = 100;
/// How runs are grouped, in the order in which the key goes through them.
const GROUPS: [(Group, &str); 3] = [
    (Group::Skill, "by skill"),
    (Group::Drill, "by drill"),
    (Group::Day, "by day"),
];

pub struct SoFar {
    /// Each row with its values of the figure.
    rows: Vec<(Summary, Vec<f64>)>,
    chosen: usize,
    /// Index into [`GROUPS`].
    group: usize,
    figure: &'static str,
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
    /// A person's practice as it stands on a day, with the aids that are pinned; `trouble` says which of it could not be read.
    pub fn of(
        shelf: &Shelf,
        today: Option<Date>,
        pinned: Option<Aids>,
        trouble: Option<String>,
    ) -> SoFar {
        let flown: Vec<&Flown> = shelf.practice.flown().iter().collect();
        let since = today.map(costs::week);
        let lately = flown.iter().filter(|run| run.day() >= since);
        let lesson = &shelf.lesson;
        let next = today.and_then(|today| next(lesson, &flown, today, pinned));
        let passed = next.as_ref().map_or(0, |next| next.passed);
        let mut so_far = SoFar {
            rows: Vec::new(),
            chosen: 0,
            group: 0,
            figure: POINTS,
            runs: flown.len(),
            days: summary::days(&flown),
            today,
            costs: costs(&lately.copied().collect::<Vec<_>>()),
            rungs: (passed, lesson.rungs.len()),
            lesson: lesson.title.clone(),
            next: next.map(|next| next.now),
            trouble,
        };
        so_far.put_together(&flown);
        so_far
    }

    fn put_together(&mut self, flown: &[&Flown]) {
        let (group, _) = GROUPS[self.group];
        let mut rows = summary::by(flown, group, self.figure);
        match group {
            Group::Skill => {
                let skill = |row: &Summary| flown.iter().rev().find(|run| is_of(run, group, row));
                rows.sort_by_cached_key(|row| skill(row).and_then(|run| run.skill));
            }
            // The latest first.
            Group::Drill | Group::Day => rows.sort_by(|a, b| b.last_at.cmp(&a.last_at)),
        }
        let rows = rows.into_iter().map(|row| {
            let of_row = flown.iter().filter(|run| is_of(run, group, &row));
            let series = summary::series(&of_row.copied().collect::<Vec<_>>(), self.figure);
            (row, series.values)
        });
        self.rows = rows.collect();
        self.move_by(0);
    }

    /// Groups the runs by the next of `GROUPS`.
    pub fn regroup(&mut self, shelf: &Shelf) {
        self.group = (self.group + 1) % GROUPS.len();
        self.chosen = 0;
        self.put_together(&shelf.practice.flown().iter().collect::<Vec<_>>());
    }

    /// Turns to the next or the previous figure of those that the chosen runs have.
    pub fn next_figure(&mut self, shelf: &Shelf, way: Way) {
        let flown: Vec<&Flown> = shelf.practice.flown().iter().collect();
        let Some((row, _)) = self.rows.get(self.chosen) else {
            return;
        };
        let (group, _) = GROUPS[self.group];
        let of_row = flown.iter().filter(|run| is_of(run, group, row));
        let has = |key: &&str| of_row.clone().any(|run| run.figure(key).is_some());
        let mut keys = vec![POINTS];
        keys.extend(METRICS.iter().map(|metric| metric.key).filter(has));
        let at = keys.iter().position(|key| *key == self.figure).unwrap_or(0);
        let by = if way == Way::Up { 1 } else { keys.len() - 1 };
        self.figure = keys[(at + by) % keys.len()];
        self.put_together(&flown);
    }

    pub fn move_by(&mut self, by: i16) {
        let last = self.rows.len().saturating_sub(1);
        self.chosen = self.chosen.saturating_add_signed(by.into()).min(last);
    }
}

fn is_of(run: &Flown, group: Group, row: &Summary) -> bool {
    summary::key(run, group).is_some_and(|key| key == row.key)
}

pub fn draw(so_far: &SoFar, area: Rect, canvas: &mut Canvas) {
    let (runs, days) = (count(so_far.runs, "run"), count(so_far.days.len(), "day"));
    let (passed, rungs) = so_far.rungs;
    let all = format!("{runs} on {days}   {passed} of {rungs} rungs ");
    words::head("so far", &so_far.lesson, all, area, canvas);
    let mut picture = area;
    canvas::top(&mut picture, 2);
    let text = below(so_far, &canvas.theme);
    let text_rows = text.rows(area.width - 2).max(BELOW);
    canvas::bottom(&mut picture, text_rows + 2);
    let room = usize::from(picture.height).saturating_sub(PICTURE + 2);
    let room = room.max(ROWS);
    table(so_far, room, picture, canvas);
    canvas::top(&mut picture, 2 + so_far.rows.len().min(room) as u16);
    let figure = Series::of(so_far.figure);
    match so_far.rows.get(so_far.chosen) {
        Some((row, values)) => {
            let curve = row.curve.as_ref();
            learning::draw(&row.title, values, curve, &figure, picture, canvas);
        }
        None => {
            let text = " No run of yours has been kept yet: fly one and it appears here.";
            canvas.put_within(area.x, area.y + 2, text, area.width, Role::Ink);
        }
    }
    let y = area.bottom() - 1 - text_rows;
    let place = Rect::new(area.x + 1, y, area.width - 2, text_rows);
    text.draw(&mut 0, place, canvas);
    let arrows = canvas.theme.mark(Mark::SIDEWAYS);
    let keys = format!(" up, down row   tab by skill, drill, day   {arrows} figure");
    words::foot(keys, "q menu", area, canvas);
}

/// Draws the table, a line per skill, drill or day.
fn table(so_far: &SoFar, room: usize, area: Rect, canvas: &mut Canvas) {
    if so_far.rows.is_empty() {
        return;
    }
    let (group, title) = GROUPS[so_far.group];
    let (figure, theme) = (Series::of(so_far.figure), canvas.theme);
    let mut put = |y: u16, line: String, role: Role| {
        canvas.put_within(area.x, y, line, area.width, role);
    };
    let all = match so_far.rows.len() {
        count if count > room => format!(", {count} in all"),
        _ => String::new(),
    };
    let what = format!(" {title}: {}{all}", figure.label());
    put(area.y - 1, what, Role::Quiet);
    // The titles of drills need the room of the middle columns; the menu shows the best points.
    let is_short = group == Group::Drill && area.width < WIDE;
    let wide = if group == Group::Drill { 26 } else { 14 };
    // The best is the run with the most points, so it is shown only beside points.
    let is_points = so_far.figure == POINTS;
    let middle = |days: &str, best: &str| match (is_short, is_points) {
        (true, _) => String::new(),
        (false, true) => format!("{days:>6}{best:>7}"),
        (false, false) => format!("{days:>6}"),
    };
    let change = match group {
        Group::Day => "",
        Group::Drill | Group::Skill => "since the first five, 95 %",
    };
    let (middle_head, lately) = (middle("days", "best"), "last five");
    let head = format!(
        "   {:<wide$}{:>6}{middle_head}{lately:>11}   {change}",
        "", "runs"
    );
    put(area.y, head, Role::Quiet);
    let first = (so_far.chosen + 1).saturating_sub(room);
    let shown = so_far.rows.iter().enumerate().skip(first).take(room);
    for (y, (n, (row, _))) in (area.y + 1..).zip(shown) {
        let (mark, role) = theme.row(n == so_far.chosen);
        let change = match &row.curve {
            Some(curve) => {
                let change = curve.change;
                let [by, low, high] =
                    [change.value, change.low, change.high].map(|x| figure.signed(x));
                match curve.is_told() {
                    true => format!("{by}, {low} to {high}"),
                    false => format!("{low} to {high}, by chance?"),
                }
            }
            None if group == Group::Day => String::new(),
            None => "too few runs".to_string(),
        };
        let best = row.best.as_ref().map(|best| fixed(best.points, 0));
        let best = best.unwrap_or("-".to_string());
        let line = format!(
            " {mark} {}{:>6}{}{:>11}   {change}",
            padded(cut(&printable(&row.title), wide), wide),
            row.runs,
            middle(&row.days.to_string(), &best),
            row.lately.map_or("-".to_string(), |x| figure.plain(x)),
        );
        put(y, line, role);
    }
}

/// The days, what costs most, and what to fly next.
fn below(so_far: &SoFar, theme: &Theme) -> Page {
    let mut page = Page::default();
    page.extend(so_far.trouble.as_deref().map(printable), Role::Warning);
    if let Some(today) = so_far.today.filter(|_| so_far.runs > 0) {
        let flown = |ago: i32| {
            let day = today.checked_sub(jiff::Span::new().days(ago));
            day.is_ok_and(|day| so_far.days.binary_search(&day).is_ok())
        };
        let (yes, no) = theme.either(('■', '·'), ('#', '.'));
        let day = |ago| if flown(ago) { yes } else { no };
        let strip: String = (0..DAYS).rev().map(day).collect();
        page.push(format!("the last four weeks  {strip}  today"), Role::Ink);
    }
    let dearest = so_far.costs.lines.iter().take(3);
    let dearest: Vec<String> = dearest
        .map(|cost| format!("{} {:.0} pt", progress_words::name(&cost.key), cost.points))
        .collect();
    if !dearest.is_empty() {
        let dearest = printable(&dearest.join(", "));
        page.push(format!("costs most this week  {dearest}"), Role::Ink);
    }
    page.extend(so_far.next.iter().map(Choice::sentence), Role::Strong);
    page
}
