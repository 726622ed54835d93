//! The figures of a run in words: a column for each task, then each task's arithmetic.

use ratatui::layout::Rect;

use super::words;
use crate::drill::path::Outcome;
use crate::drill::reader::plain;
use crate::drill::{Kind, Target};
use crate::export::rivals::{Rivals, TaskPlace, places};
use crate::run::Run;
use crate::score::{Figure, Key, Reference, Score, TaskScore, metrics, tolerances, working};
use crate::tui::canvas::Canvas;
use crate::tui::theme::Role;
use crate::tui::widgets::page::Page;
use crate::tui::widgets::scope::GUTTER;
use crate::units::{FPM, FT};

/// Least and most columns of the screen that a task takes.
const WIDTH: (u16, u16) = (14, 22);

/// One task as it was flown: what a surprise drew has a column each.
pub struct Column<'a> {
    /// Its leg of the run; None where it was not reached.
    pub leg: Option<usize>,
    /// Where it stands in the score.
    place: TaskPlace,
    /// Number and what it asks: "2 step 1,310 ft".
    name: String,
    score: &'a TaskScore,
}

/// A column for each task of the drill.
pub fn columns<'a>(run: &Run, score: &'a Score) -> Vec<Column<'a>> {
    let mut legs = run.legs().iter().enumerate().peekable();
    let of_legs = places(score).filter(|(_, task)| task.drawn.is_empty());
    of_legs
        .map(|(place, task)| Column {
            leg: legs
                .next_if(|(_, leg)| leg.task == place.task)
                .map(|(leg, _)| leg),
            place,
            name: format!("{} {}", place.number(), asked(&task.task.kind)),
            score: task,
        })
        .collect()
}

fn asked(kind: &Kind) -> String {
    match kind.target() {
        Some(Target::Altitude { altitude_m, .. }) => {
            format!("{} {} ft", kind.name(), plain((altitude_m / FT).round()))
        }
        Some(Target::Vertical { vertical_mps, .. }) => {
            format!("to {} ft/min", plain((vertical_mps / FPM).round() + 0.0))
        }
        Some(Target::Path(_)) | None => kind.name().to_string(),
    }
}

/// What stands in one row of the columns, and in which unit.
type Row = (&'static str, fn(&TaskScore) -> String);

/// The rows that always have their place.
const ROWS: [Row; 4] = [
    ("yours", |task| match (task.end_s, task.cost) {
        (Some(_), None) if !is_done(task) => begun(task),
        _ => cost(task, task.cost.map(|cost| cost.total())),
    }),
    ("par", |task| cost(task, task.reference.par)),
    ("best", |task| cost(task, task.reference.best)),
    ("points", |task| match task.points {
        Some(points) => format!("{points:.0}"),
        None => "-".to_string(),
    }),
];

/// An empty row.
const GAP: Row = ("", |_| String::new());

/// The rows that follow where there is room.
const MORE: [Row; 7] = [
    ("result", begun),
    ("past", |task| {
        off(task, Key::OvershootFt, Key::OvershootFpm)
    }),
    ("below", |task| number(task, Key::BelowFt, "ft")),
    ("short", |task| number(task, Key::ShortFt, "ft")),
    ("rms", |task| off(task, Key::RmsFt, Key::RmsFpm)),
    ("travel", |task| number(task, Key::LeverTravel, "%")),
    ("turns", |task| number(task, Key::LeverReversals, "")),
];

/// Rows that the columns need below their heads, and those that follow where there is room for `more`.
fn rows(columns: &[Column], more: bool) -> Vec<Row> {
    let known = columns
        .iter()
        .any(|column| column.score.reference != Reference::default());
    let first = ROWS
        .into_iter()
        .filter(|(label, _)| known || !matches!(*label, "par" | "best"));
    if !more {
        return first.collect();
    }
    // A figure that no task has needs no row.
    let has_some = |(_, value): &Row| columns.iter().any(|column| value(column.score) != "-");
    let more = MORE.into_iter().filter(has_some);
    first.chain([GAP]).chain(more).collect()
}

/// Rows of the screen that the columns take, with `more` of the figures or without.
pub fn height(columns: &[Column], more: bool) -> u16 {
    rows(columns, more).len() as u16 + 1
}

/// Draws the columns, the one of the chosen leg in sight and marked.
pub fn draw(columns: &[Column], chosen: Option<usize>, area: Rect, canvas: &mut Canvas) {
    let room = area.width.saturating_sub(GUTTER);
    // A mark before a name and a gap behind it.
    let names = columns.iter().map(|column| column.name.chars().count() + 2);
    let least = names.max().map_or(0, |widest| widest as u16).max(WIDTH.0);
    let fitting = (room / least).max(1) as usize;
    let shown = columns.len().clamp(1, fitting);
    let width = (room / shown as u16).clamp(least, WIDTH.1.max(least));
    let chosen = chosen.and_then(|leg| columns.iter().position(|column| column.leg == Some(leg)));
    let first = chosen.map_or(0, |chosen| (chosen + 1).saturating_sub(shown));
    let rows = rows(columns, area.height >= height(columns, true));
    let quiet = Role::Quiet;
    for (row, (label, _)) in rows.iter().enumerate() {
        canvas.put(area.x + 1, area.y + 1 + row as u16, label, quiet);
    }
    for (place, column) in columns.iter().skip(first).take(shown).enumerate() {
        let x = area.x + GUTTER + place as u16 * width;
        let is_chosen = chosen == Some(first + place);
        let (mark, role) = canvas.theme.row(is_chosen);
        let room = width - 1;
        let head = if is_chosen { role } else { quiet };
        canvas.put_within(x, area.y, format!("{mark}{}", column.name), room, head);
        for (row, (_, value)) in rows.iter().enumerate() {
            let text = value(column.score);
            canvas.put_within(x + 1, area.y + 1 + row as u16, text, room - 1, role);
        }
    }
    let hidden = columns.len() - shown.min(columns.len());
    if hidden > 0 {
        let text = format!("+{hidden}");
        let x = area.right().saturating_sub(text.len() as u16);
        canvas.put(x, area.y, text, quiet);
    }
}

/// A cost in its task's unit.
fn cost(task: &TaskScore, cost: Option<f64>) -> String {
    match (&task.task.kind, cost) {
        (_, None) => "-".to_string(),
        (Kind::Hold(_), Some(cost)) => format!("{cost:.1} ft"),
        (Kind::Path(_), Some(cost)) => format!("{:.0} % of band", 100.0 * cost),
        (_, Some(cost)) => format!("{cost:.1} s"),
    }
}

/// Whether it would have a cost if all that is needed for it were known.
fn is_done(task: &TaskScore) -> bool {
    task.number(Key::InBand).is_some() || task.number(Key::CaptureS).is_some()
}

fn begun(task: &TaskScore) -> String {
    match (task.number(Key::InBand), task.number(Key::CaptureS)) {
        (Some(share), _) => format!("{:.0} % inside", 100.0 * share),
        (_, Some(capture_s)) => format!("{capture_s:.1} s"),
        _ if task.end_s.is_none() => "-".to_string(),
        _ if matches!(task.task.kind, Kind::Path(_)) => outcome(task).to_string(),
        _ => "no stay".to_string(),
    }
}

fn off(task: &TaskScore, ft: Key, fpm: Key) -> String {
    match task.number(ft) {
        Some(feet) => format!("{feet:.0} ft"),
        None => number(task, fpm, "ft/min"),
    }
}

fn number(task: &TaskScore, key: Key, unit: &str) -> String {
    match task.number(key) {
        Some(number) => format!("{number:.0} {unit}").trim_end().to_string(),
        None => "-".to_string(),
    }
}

/// The gates of a path: the altitude asked at each, the one flown, and how far off that was.
fn gates(task: &TaskScore, page: &mut Page) {
    let Some(Figure::Gates(gates)) = task.figure(Key::Gates) else {
        return;
    };
    for gate in gates {
        let feet = |ft: f64| format!("{:>6} ft", plain(ft.round() + 0.0));
        let passed = match gate.deviation_ft {
            Some(off_ft) => {
                let off = format!("{:+.0}", off_ft.round() + 0.0);
                format!("flown{} {off:>5} ft", feet(gate.altitude_ft + off_ft))
            }
            None => "not reached".to_string(),
        };
        let asked = feet(gate.altitude_ft);
        page.push(
            format!(" gate {:>5.2} nm{asked}   {passed}", gate.distance_nm),
            Role::Quiet,
        );
    }
}

/// How an approach ended.
fn outcome(task: &TaskScore) -> &'static str {
    match task.outcome() {
        Some(Outcome::InZone) if task.is_missed() => "down, not around",
        Some(Outcome::InZone) => "in the zone",
        Some(Outcome::Short) => "short of the deck",
        Some(Outcome::Past) => "past the zone",
        Some(Outcome::WentAround) => "went around",
        None => "not finished",
    }
}

/// The same of a run that ends in a path.
pub fn ending(score: &Score) -> Option<&'static str> {
    let path = score.tasks.last()?;
    let is_over = matches!(path.task.kind, Kind::Path(_)) && path.end_s.is_some();
    is_over.then(|| outcome(path))
}

/// Each task's arithmetic, its other figures, and the published tolerances it would meet; a surprise's tasks one by one. Only
/// the chosen leg's where one is.
pub fn lines(
    run: &Run,
    score: &Score,
    rivals: Option<&Rivals>,
    chosen: Option<usize>,
    page: &mut Page,
) {
    let points = run.trace().points();
    let columns = columns(run, score);
    let wanted = columns
        .iter()
        .filter(|column| chosen.is_none() || column.leg == chosen);
    for column in wanted {
        let from_m = match column.leg {
            Some(leg) => points[run.legs()[leg].start as usize].state.h_m,
            None => words::from_m(run.drill(), column.place.task),
        };
        let (n, _) = column.name.split_once(' ').unwrap_or((&column.name, ""));
        let par = rivals.and_then(|rivals| rivals.par(column.place, column.score));
        let best = rivals.and_then(|rivals| rivals.best(column.place, column.score));
        task_lines(n, from_m, [Some(column.score), par, best], page);
    }
    for (index, task) in score.tasks.iter().enumerate() {
        if !task.drawn.is_empty() && chosen.is_none() {
            page.gap();
            let name = words::task_name(&task.task.kind);
            page.push(format!(" {}  {name}", index + 1), Role::Strong);
            page.inset(3, working::lines(task), Role::Ink);
        }
    }
}

/// A task, with the learner's score, par's and best's as far as they are known.
fn task_lines(n: &str, from_m: f64, scores: [Option<&TaskScore>; 3], page: &mut Page) {
    let [Some(task), par, best] = scores else {
        return;
    };
    page.gap();
    page.push(
        format!(" {n}  {}", words::task(&task.task.kind, from_m)),
        Role::Strong,
    );
    page.inset(3, working::lines(task), Role::Ink);
    if task.end_s.is_none() {
        page.push("   not flown to its end", Role::Quiet);
    }
    gates(task, page);
    let beside = par.is_some() || best.is_some();
    if beside {
        page.push(
            format!(" {:<18}{:>7}{:>7}{:>7}", "", "yours", "par", "best"),
            Role::Quiet,
        );
    }
    let others: &[Option<&TaskScore>] = if beside { &[par, best] } else { &[] };
    for (index, metric) in metrics::of_kind(&task.task.kind).enumerate() {
        let figure = &task.figures[index];
        if !matches!(figure, Figure::Number(_)) {
            continue;
        }
        let mut text = format!(" {:<18}{:>7}", metric.label, metric.told(figure));
        for other in others {
            let told = other.map_or("-".to_string(), |other| metric.told(&other.figures[index]));
            text += &format!("{told:>7}");
        }
        page.push(format!("{text} {}", metric.told_in()), Role::Quiet);
    }
    if let Some(largest_ft) = task.largest_error_ft {
        page.push(
            format!(" {}", tolerances::sentence(largest_ft)),
            Role::Quiet,
        );
    }
}
