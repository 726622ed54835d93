//! Two runs of a drill side by side.

use super::table::{Cell, Table};
use super::text::{Text, by, when, word};
use super::told::Debriefed;
use crate::drill::reader::printable;
use crate::logbook::cache::seed_matters;
use crate::score::{Figure, HandFigures, TaskScore, metrics};

/// Number of bill lines shown for each run.
const LINES: usize = 3;

/// Why two runs cannot be compared, if they cannot.
pub fn refusal(a: &Debriefed, b: &Debriefed) -> Option<String> {
    let (a, b) = (&a.recording, &b.recording);
    let (one, other) = (printable(&a.drill), printable(&b.drill));
    if a.drill_text == b.drill_text && a.aircraft_text == b.aircraft_text {
        return None;
    }
    Some(match (a.drill == b.drill, a.drill_text == b.drill_text) {
        (true, true) => format!("both are of `{one}`, but in different aeroplanes"),
        (true, false) => format!("both are of a drill `{one}`, but its text differs"),
        _ => format!("one is of the drill `{one}`, the other of `{other}`"),
    })
}

/// Compares both runs, task by task.
pub fn text(a: &Debriefed, b: &Debriefed) -> String {
    let title = printable(&a.run.drill().title);
    let mut text = Text(format!("{title}\n\n{}", together(a, b)));
    for (name, side) in [("A", a), ("B", b)] {
        text.line("");
        text.wrapped("", &format!("{name}: {}", side.weighed.first));
        for line in side.weighed.told().iter().take(LINES) {
            text.line(&format!("   {}", line.in_short()));
        }
    }
    text.0
}

/// Who flew the runs, and their figures side by side.
pub fn together(a: &Debriefed, b: &Debriefed) -> String {
    let mut text = String::new();
    for (name, side) in [("A", a), ("B", b)] {
        let recording = &side.recording;
        text += &format!(
            "{name}  {}, flown {}{}, hand {}, aids {}\n",
            printable(&recording.id),
            when(&recording.at),
            by(recording),
            word(recording.hand),
            word(recording.aids)
        );
    }
    if let Some(note) = other_air(a, b) {
        text += &format!("\n{note}\n");
    }
    text.push('\n');
    text + &figures(a, b).text()
}

/// A note that a difference may be due to the air.
fn other_air(a: &Debriefed, b: &Debriefed) -> Option<String> {
    let seed_matters = seed_matters(a.run.drill());
    let (a, b) = (&a.recording, &b.recording);
    if a.air != b.air {
        let named = |air: &Option<String>| air.as_deref().map_or("the drill's".into(), printable);
        let (one, other) = (named(&a.air), named(&b.air));
        return Some(format!("Different air: A {one}, B {other}."));
    }
    (a.seed != b.seed && seed_matters).then(|| {
        let (one, other) = (a.seed, b.seed);
        format!("Different seeds: A {one}, B {other}; what is drawn from them differs.")
    })
}

fn figures(a: &Debriefed, b: &Debriefed) -> Table {
    let mut rows = vec![row(
        "points",
        "",
        points(a.weighed.score.points),
        points(b.weighed.score.points),
    )];
    let tasks = a.weighed.score.tasks.iter().zip(&b.weighed.score.tasks);
    for (n, (one, other)) in tasks.enumerate() {
        task(&mut rows, &(n + 1).to_string(), one, other);
    }
    let hand = HandFigures::of(&b.run);
    for (label, one, other) in HandFigures::of(&a.run).beside(Some(&hand)) {
        rows.push(row(&format!("the hand: {label}"), "", one, other));
    }
    Table::new(" A B unit", rows)
}

fn task(rows: &mut Vec<Vec<Cell>>, n: &str, one: &TaskScore, other: &TaskScore) {
    let kind = one.task.kind.name();
    let (a, b) = (points(one.points), points(other.points));
    rows.push(row(&format!("task {n}, {kind}: points"), "", a, b));
    // A surprise may have drawn different kinds.
    if one.task.kind.name() == other.task.kind.name() {
        for (index, metric) in metrics::of_kind(&one.task.kind).enumerate() {
            let both = [&one.figures[index], &other.figures[index]];
            if both.iter().all(|value| **value == Figure::Unknown) {
                continue;
            }
            let [a, b] = both.map(|value| metric.told(value));
            rows.push(row(&format!("  {}", metric.label), metric.told_in(), a, b));
        }
    }
    for (index, (one, other)) in one.drawn.iter().zip(&other.drawn).enumerate() {
        task(rows, &format!("{n}.{}", index + 1), one, other);
    }
}

fn points(points: Option<f64>) -> String {
    points.map_or("-".to_string(), |points| format!("{points:.1}"))
}

fn row(label: &str, unit: &str, a: String, b: String) -> Vec<Cell> {
    let words = [label.to_string(), a, b, unit.to_string()];
    words.map(Cell::Text).into()
}
