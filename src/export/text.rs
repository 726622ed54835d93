//! Results as plain text of at most 78 columns.

use serde::Serialize;

use super::CAUTION;
use super::material::Material;
use super::rivals::{Rivals, TaskPlace, places};
use crate::brief::{DrillBrief, Predict};
use crate::drill::air_words;
use crate::drill::printable::{is_plain, printable, wrapped};
use crate::logbook::{About, Note};
use crate::run::{Recording, Run};
use crate::score::{Figure, HandFigures, TaskScore};
use crate::score::{metrics, moved_with, story, tolerances, working};
use crate::units::TICK_S;
use crate::why::{Line, Weighed, words};

/// Widest line.
const WIDTH: usize = 78;

/// The whole debrief of a run: what happened and why, marks and notes, every task with its figures beside those of par and best
/// and the arithmetic of its points, the published tolerances it would meet, and the caution.
pub fn debrief(flown: &Material) -> String {
    let Material {
        origin,
        run,
        weighed,
        ..
    } = flown;
    let score = &weighed.score;
    let mut text = Text::default();
    heading(&mut text, run, &origin.hand());
    text.wrapped("", &origin.flown());
    text.gap();
    first(&mut text, weighed);
    if let Some(lately) = flown.lately {
        text.wrapped("", lately);
    }
    for sentence in story::tell(run, score) {
        text.wrapped("", &sentence);
    }
    if origin.guesses().iter().any(Option::is_some) {
        let predict = Predict::of(&DrillBrief::new(run.drill()));
        for sentence in predict.told(origin.guesses()) {
            text.wrapped("", &sentence);
        }
    }
    for sentence in origin.told() {
        text.wrapped("", sentence);
    }
    bill(&mut text, run, weighed);
    marks_and_notes(&mut text, flown);
    let rivals = flown.pars.map(|pars| Rivals::of(run, pars));
    for (place, task) in places(score).filter(|(place, _)| place.drawn.is_none()) {
        text.gap();
        task_block(&mut text, place, task, rivals.as_ref());
    }
    if run.known().lever {
        hand(&mut text, flown, rivals.as_ref());
    }
    text.gap();
    text.line(&format!("Points: {}", points(score.points)));
    text.gap();
    text.0.push_str(CAUTION);
    text.0.push('\n');
    text.0
}

/// A run in a few lines: what happened and why, and the points of its tasks.
pub fn summary(run: &Run, weighed: &Weighed, hand: &str) -> String {
    let score = &weighed.score;
    let mut text = Text::default();
    heading(&mut text, run, hand);
    first(&mut text, weighed);
    for sentence in story::tell(run, score) {
        text.wrapped("", &sentence);
    }
    for (place, task) in places(score).filter(|(place, _)| place.drawn.is_none()) {
        text.wrapped("", &place_line(place, task));
    }
    text.line(&format!("Points: {}", points(score.points)));
    text.0
}

/// What it comes to.
fn first(text: &mut Text, weighed: &Weighed) {
    if !weighed.first.is_empty() {
        text.wrapped("", &weighed.first);
    }
}

/// Where the points went, task by task, and what is to be said of the lines after the first sentence.
fn bill(text: &mut Text, run: &Run, weighed: &Weighed) {
    let told = weighed.told();
    for bill in weighed.bills.iter().filter(|bill| !bill.lines.is_empty()) {
        text.gap();
        text.line(&format!(
            "Bill of task {}: {:.0} points in reach, {:.0} earned",
            run.leg_number(bill.leg),
            bill.in_reach,
            bill.points
        ));
        for line in &bill.lines {
            let n = told.iter().position(|told| std::ptr::eq(*told, line));
            text.line(&bill_row(n, line));
        }
        let told = bill.lines.iter().map(|line| &line.sentence);
        for sentence in told.filter(|said| !said.is_empty() && !weighed.first.ends_with(*said)) {
            text.wrapped("  ", sentence);
        }
    }
}

/// A line of a bill in one row: its number by points, when, points, what, and until when it could still be saved.
fn bill_row(n: Option<usize>, line: &Line) -> String {
    let n = n.map_or_else(String::new, |n| (n + 1).to_string());
    let until = match line.until {
        Some(tick) => format!("until {}", words::clock(tick as f64 * TICK_S)),
        None => String::new(),
    };
    let row = format!("{n:>3}  {:<49}{until}", line.in_short());
    row.trim_end().to_string()
}

/// How the lever was moved, beside how par's was.
fn hand(text: &mut Text, flown: &Material, rivals: Option<&Rivals>) {
    text.gap();
    text.line(&format!("{:<20}{:>10}{:>10}", "The hand", "yours", "par"));
    let rows = HandFigures::of(flown.run).beside(rivals.map(|rivals| &rivals.hand));
    for (label, yours, par) in rows {
        text.line(&format!("  {label:<18}{yours:>10}{par:>10}"));
    }
    if let Some(means) = moved_with(flown.origin.moved_with()) {
        text.line(&format!("  {means}"));
    }
}

/// The moments the learner marked in flight, and what others said of the run.
fn marks_and_notes(text: &mut Text, flown: &Material) {
    if flown.origin.marks().is_empty() && flown.notes.is_empty() {
        return;
    }
    text.gap();
    for (index, tick) in flown.origin.marks().iter().enumerate() {
        let time_s = *tick as f64 * TICK_S;
        text.line(&format!(
            "Mark {} at {time_s:.1} s, in task {}",
            index + 1,
            task_at(flown.run, *tick)
        ));
    }
    for note in flown.notes {
        text.wrapped("", &note_line(note));
    }
}

/// The drill's task, from 1, that is flown at a tick.
fn task_at(run: &Run, tick: u64) -> usize {
    let begun = run.legs().iter().take_while(|leg| leg.start <= tick);
    1 + begun.last().map_or(0, |leg| leg.task)
}

/// A note in one line.
pub fn note_line(note: &Note) -> String {
    let about = match note.about {
        About::Run => String::new(),
        About::Task(task) => format!(" on task {task}"),
        About::Mark(mark) => format!(" on mark {mark}"),
    };
    let by = note
        .by
        .as_deref()
        .map_or(String::new(), |by| format!(" by {}", printable(by)));
    // A note is a line of its own, longer than what `printable` lets through.
    let said: String = note.text.chars().filter(|c| is_plain(*c)).collect();
    format!("Note{about}{by}, {}: {said}", when(&note.at))
}

fn heading(text: &mut Text, run: &Run, hand: &str) {
    let drill = run.drill();
    text.line(&printable(&drill.title));
    text.wrapped(
        "",
        &format!(
            "{}: {}, {}, seed {}, hand {hand}",
            printable(&drill.id),
            printable(&drill.aircraft.name),
            air_words::in_words(&drill.air),
            run.seed()
        ),
    );
}

/// A task in a line: what it is, what it came to, and what of that is to be said beside the figures.
pub(super) fn place_line(place: TaskPlace, task: &TaskScore) -> String {
    let (what, n) = match place.drawn {
        Some(drawn) => ("Drawn", drawn + 1),
        None => ("Task", place.task + 1),
    };
    let result = match (task.end_s, task.points) {
        (None, _) => "not finished".to_string(),
        (Some(_), None) if task.task.scored => "no points without the lever".to_string(),
        (Some(_), None) => "not scored".to_string(),
        (Some(_), Some(points)) => format!("{points:.1} points"),
    };
    let beside = match working::beside(task).filter(|_| task.task.scored) {
        Some(beside) => format!("; {beside}"),
        None => String::new(),
    };
    format!("{what} {n}, {}: {result}{beside}", task.task.kind.name())
}

fn task_block(text: &mut Text, place: TaskPlace, task: &TaskScore, rivals: Option<&Rivals>) {
    text.wrapped("", &place_line(place, task));
    if task.end_s.is_none() {
        return;
    }
    figures(text, place, task, rivals);
    for (index, drawn) in task.drawn.iter().enumerate() {
        let place = TaskPlace {
            drawn: Some(index),
            ..place
        };
        task_block(text, place, drawn, rivals);
    }
    for line in working::lines(task) {
        text.line(&format!("    {line}"));
    }
    if let Some(largest_ft) = task.largest_error_ft {
        text.wrapped("  ", &tolerances::sentence(largest_ft));
    }
}

/// A task's figures, and where they are known those of par and best beside them.
fn figures(text: &mut Text, place: TaskPlace, task: &TaskScore, rivals: Option<&Rivals>) {
    let par = rivals.and_then(|rivals| rivals.par(place, task));
    let best = rivals.and_then(|rivals| rivals.best(place, task));
    let is_beside = par.is_some() || best.is_some();
    if is_beside {
        text.line(&format!("{:>32}{:>17}{:>11}", "yours", "par", "best"));
    }
    for (index, metric) in metrics::of_kind(&task.task.kind).enumerate() {
        let value = &task.figures[index];
        let unit = match value {
            Figure::Unknown => "",
            _ => metric.told_in(),
        };
        let mut row = format!("  {:<20}{:>10} {unit:<6}", metric.label, metric.told(value));
        // The gates fill the line.
        if is_beside && !matches!(value, Figure::Gates(_)) {
            for rival in [par, best] {
                let theirs =
                    rival.map_or("-".to_string(), |rival| metric.told(&rival.figures[index]));
                row += &format!("{theirs:>11}");
            }
        }
        text.line(row.trim_end());
    }
}

pub(super) fn points(points: Option<f64>) -> String {
    points.map_or_else(
        || "nothing is scored".to_string(),
        |points| format!("{points:.1} of 100"),
    )
}

/// The word that files use for a value such as a hand, the aids or a fault.
pub fn word(value: impl Serialize) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(word)) => word,
        _ => String::new(),
    }
}

/// `2026-11-25 22:30` of an RFC 3339 time.
pub fn when(at: &str) -> String {
    let minute: String = at.chars().take(16).collect();
    printable(&minute.replacen('T', " ", 1))
}

/// " by Kim", where it was said who flew.
pub fn by(recording: &Recording) -> String {
    let pilot = recording.pilot.as_deref().map(printable);
    pilot.map_or_else(String::new, |pilot| format!(" by {pilot}"))
}

/// Lines under construction.
#[derive(Default)]
pub(super) struct Text(pub(super) String);

impl Text {
    pub(super) fn line(&mut self, line: &str) {
        self.0.push_str(line);
        self.0.push('\n');
    }

    fn gap(&mut self) {
        self.0.push('\n');
    }

    /// A sentence broken between words, each line after `indent`.
    pub(super) fn wrapped(&mut self, indent: &str, sentence: &str) {
        let lines = wrapped(indent, sentence, WIDTH);
        lines.iter().for_each(|line| self.line(line));
    }
}
