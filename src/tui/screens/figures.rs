//! The figures of a run in words: a column for each task, then each task's arithmetic.

use ratatui::layout::Rect;

use super::words;
use crate::drill::Kind;
use crate::drill::path::Outcome;
use crate::export::rivals::{Rivals, TaskPlace, places};
use crate::export::told::{self, Debriefed};
use crate::score::{Key, METRICS, Metric, Reference, Score, TaskScore};
use crate::tui::canvas::Canvas;
use crate::tui::theme::Role;
use crate::tui::widgets::page::Page;
use crate::tui::widgets::scope::GUTTER;

/// Least and most columns of the screen for a task.
const WIDTH: (u16, u16) = (14, 22);

/// One task as it was flown. Each task that a surprise drew has a column of its own.
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
pub fn columns(told: &Debriefed) -> Vec<Column<'_>> {
    let mut legs = told.run.legs().iter().enumerate().peekable();
    let of_legs = places(&told.weighed.score).filter(|(_, task)| task.drawn.is_empty());
    of_legs
        .map(|(place, task)| Column {
            leg: legs
                .next_if(|(_, leg)| leg.task == place.task)
                .map(|(leg, _)| leg),
            place,
            name: format!("{} {}", place.number(), words::task_name(&task.task.kind)),
            score: task,
        })
        .collect()
}

/// The label of a row, and its text in each column.
type Figures = (&'static str, Vec<String>);

/// Rows that follow where there is room. Each shows the first of its figures that a task has.
const MORE: [(&str, &[Key]); 6] = [
    ("past", &[Key::OvershootFt, Key::OvershootFpm]),
    ("below", &[Key::BelowFt]),
    ("short", &[Key::ShortFt]),
    ("rms", &[Key::RmsFt, Key::RmsFpm]),
    ("travel", &[Key::LeverTravel]),
    ("turns", &[Key::LeverReversals]),
];

/// The rows below the heads of the columns, with `more` also those that follow where there is room.
fn rows(columns: &[Column], more: bool) -> Vec<Figures> {
    let row = |label, value: &dyn Fn(&TaskScore) -> String| -> Figures {
        let values = columns.iter().map(|column| value(column.score));
        (label, values.collect())
    };
    let is_known = |column: &Column| column.score.reference != Reference::default();
    let mut rows = vec![row("yours", &|task| match (task.end_s, task.cost) {
        (Some(_), None) if !is_done(task) => begun(task),
        _ => cost(task, task.cost.map(|cost| cost.total())),
    })];
    if columns.iter().any(is_known) {
        rows.push(row("par", &|task| cost(task, task.reference.par)));
        rows.push(row("best", &|task| cost(task, task.reference.best)));
    }
    rows.push(row("points", &|task| match task.points {
        Some(points) => format!("{points:.0}"),
        None => "-".to_string(),
    }));
    if more {
        rows.push(row("", &|_| String::new()));
        let figures = MORE.map(|(label, keys)| row(label, &|task| number(task, keys)));
        // A figure that no task has needs no row.
        let has_some = |(_, values): &Figures| values.iter().any(|value| value != "-");
        let figures = std::iter::once(row("result", &begun)).chain(figures);
        rows.extend(figures.filter(has_some));
    }
    rows
}

/// The rows of the screen that the columns take, with `more` of the figures or without.
pub fn height(columns: &[Column], more: bool) -> u16 {
    rows(columns, more).len() as u16 + 1
}

/// Draws the columns, with that of the chosen leg in sight and marked.
pub fn draw(columns: &[Column], chosen: Option<usize>, area: Rect, canvas: &mut Canvas) {
    let room = area.width.saturating_sub(GUTTER);
    // A mark before a name and a gap after it.
    let names = columns.iter().map(|column| column.name.chars().count() + 2);
    let least = names.max().map_or(0, |widest| widest as u16).max(WIDTH.0);
    let fitting = (room / least).max(1) as usize;
    let shown = columns.len().clamp(1, fitting);
    let width = (room / shown as u16).clamp(least, WIDTH.1.max(least));
    let chosen = chosen.and_then(|leg| columns.iter().position(|column| column.leg == Some(leg)));
    let first = chosen.map_or(0, |chosen| (chosen + 1).saturating_sub(shown));
    let rows = rows(columns, area.height >= height(columns, true));
    let quiet = Role::Quiet;
    // What the rows "yours", "par" and "best" hold.
    canvas.put(area.x + 1, area.y, "cost", quiet);
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
        for (row, (_, values)) in rows.iter().enumerate() {
            let text = &values[first + place];
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

/// Whether the task would have a cost if everything needed to work it out were known.
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

fn number(task: &TaskScore, keys: &[Key]) -> String {
    let of = |metric: &&Metric| keys.contains(&metric.id) && task.number(metric.id).is_some();
    let metric = METRICS.iter().find(of);
    let told = metric.and_then(|metric| Some((task.number(metric.id)?, metric.unit)));
    told.map_or("-".to_string(), |(number, unit)| {
        format!("{number:.0} {unit}").trim_end().to_string()
    })
}

/// How an approach ended.
fn outcome(task: &TaskScore) -> &'static str {
    match task.outcome() {
        Some(Outcome::InZone) if task.is_missed() => "call missed",
        Some(Outcome::InZone) => "in the zone",
        Some(Outcome::Short) => "short of the deck",
        Some(Outcome::Past) => "past the zone",
        Some(Outcome::WentAround) => "went around",
        None => "not finished",
    }
}

/// How the approach ended in a run whose last task is a path that is over.
pub fn ending(score: &Score) -> Option<&'static str> {
    let path = score.tasks.last()?;
    let is_over = matches!(path.task.kind, Kind::Path(_)) && path.end_s.is_some();
    is_over.then(|| outcome(path))
}

/// Adds each task's arithmetic, its other figures and the published tolerances it would meet; the tasks of a surprise one by one.
/// Where a leg is chosen, only its task is added.
pub fn lines(told: &Debriefed, rivals: Option<&Rivals>, chosen: Option<usize>, page: &mut Page) {
    let (run, score) = (&told.run, &told.weighed.score);
    let columns = columns(told);
    let mut put = |place: TaskPlace, asked: String, task: &TaskScore| {
        page.gap();
        page.push(format!(" {}  {asked}", place.number()), Role::Strong);
        page.told(told::task(place, task, rivals));
    };
    let wanted = columns
        .iter()
        .filter(|column| chosen.is_none() || column.leg == chosen);
    for Column {
        leg, place, score, ..
    } in wanted
    {
        let from_m = match leg {
            Some(leg) => run.trace().state(run.legs()[*leg].start as usize).h_m,
            None => words::from_m(run.drill(), place.task),
        };
        put(*place, words::task(&score.task.kind, from_m), score);
    }
    let surprises = places(score).filter(|(_, task)| !task.drawn.is_empty());
    for (place, task) in surprises.filter(|_| chosen.is_none()) {
        put(place, words::task_name(&task.task.kind), task);
    }
}
