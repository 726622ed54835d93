//! Results as plain text of at most 78 columns.

use serde::Serialize;

use super::CAUTION;
use super::rivals::{TaskPlace, places};
use super::told::{self, Debriefed, Telling};
use crate::drill::printable::{columns, printable, wrapped};
use crate::drill::reader::{clock, plain};
use crate::drill::{Target, air_words};
use crate::run::{Recording, Run};
use crate::score::{Score, TaskScore, story, working};
use crate::units::{FPM, FT, TICK_S};
use crate::why::{Line, Weighed};

/// Greatest width of a line.
const WIDTH: usize = 78;

/// The whole debrief of a run: what happened and why, marks and notes, every task with its figures beside those of par and best
/// and the arithmetic of its points, the published tolerances that it would meet, and the caution.
pub fn debrief(flown: &Debriefed) -> String {
    let Debriefed { run, weighed, .. } = flown;
    let score = &weighed.score;
    let mut text = Text::default();
    heading(&mut text, run, &flown.hand_word());
    text.wrapped("", &flown.flown());
    text.gap();
    text.wrapped("", &weighed.first);
    for sentence in flown.said().concat() {
        text.wrapped("", &sentence);
    }
    bill(&mut text, run, weighed);
    text.block(flown.marks_and_notes("Mark "));
    let rivals = flown.rivals();
    for (place, task) in places(score) {
        text.gap();
        text.wrapped("", &place_line(run, place, task));
        text.lines("  ", told::task(place, task, rivals.as_ref()));
    }
    if run.known().lever {
        text.block(flown.hand(rivals.as_ref()));
    }
    text.gap();
    text.line(&format!("Points: {}", points(score)));
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
    text.wrapped("", &weighed.first);
    for sentence in story::tell(run, score) {
        text.wrapped("", &sentence);
    }
    for (place, task) in places(score).filter(|(place, _)| place.drawn.is_none()) {
        text.wrapped("", &place_line(run, place, task));
    }
    text.line(&format!("Points: {}", points(score)));
    text.0
}

/// Where the points were lost, task by task, and the sentences of the lines that the first sentence does not cover.
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
        // Lines too small to list may come to nothing.
        for line in bill.lines.iter().filter(|line| line.points >= 0.5) {
            let n = told.iter().position(|told| std::ptr::eq(*told, line));
            text.line(&bill_row(n, line));
        }
        let told = bill.lines.iter().map(|line| &line.sentence);
        for sentence in told.filter(|said| !said.is_empty() && !weighed.first.ends_with(*said)) {
            text.wrapped("  ", sentence);
        }
    }
}

/// A line of a bill in one row: its number in the debrief, when, points, what, and until when it could still be saved.
fn bill_row(n: Option<usize>, line: &Line) -> String {
    let n = n.map_or_else(String::new, |n| (n + 1).to_string());
    let until = match line.until {
        Some(tick) => format!("until {}", clock(tick as f64 * TICK_S)),
        None => String::new(),
    };
    let row = format!("{n:>3}  {:<54}{until}", line.in_short());
    row.trim_end().to_string()
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

/// A task in a line: its kind, its result, and its cost beside those of par and best.
pub(super) fn place_line(run: &Run, place: TaskPlace, task: &TaskScore) -> String {
    let (what, n) = match place.drawn {
        Some(drawn) => ("Drawn", drawn + 1),
        None => ("Task", place.task + 1),
    };
    let result = match (task.end_s, task.points) {
        (None, _) => "not finished".to_string(),
        (Some(_), None) if task.task.scored && !run.known().lever => {
            "no points without the lever".to_string()
        }
        (Some(_), None) if task.task.scored => "points not known".to_string(),
        (Some(_), None) => "not scored".to_string(),
        (Some(_), Some(points)) => format!("{points:.1} points"),
    };
    let beside = match working::beside(task).filter(|_| task.task.scored) {
        Some(beside) => format!("; {beside}"),
        None => String::new(),
    };
    let kind = &task.task.kind;
    let asked = match kind.target().filter(|_| place.drawn.is_some()) {
        Some(Target::Altitude { altitude_m, .. }) => {
            format!(" {} ft", plain((altitude_m / FT).round()))
        }
        Some(Target::Vertical { vertical_mps, .. }) => {
            format!(" {:+.0} ft/min", vertical_mps / FPM)
        }
        Some(Target::Path(_)) | None => String::new(),
    };
    format!("{what} {n}, {}{asked}: {result}{beside}", kind.name())
}

pub(super) fn points(score: &Score) -> String {
    match score.points {
        Some(points) => format!("{points:.1} of 100"),
        None if score.is_asked_for() => "not known".to_string(),
        None => "nothing is scored".to_string(),
    }
}

/// The word that files use for a value such as a hand, the aids or a fault.
pub fn word(value: impl Serialize) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(word)) => word,
        _ => String::new(),
    }
}

/// An RFC 3339 time as `2026-11-25 22:30`.
pub fn when(at: &str) -> String {
    let minute: String = at.chars().take(16).collect();
    printable(&minute.replacen('T', " ", 1))
}

/// " by Kim", if the pilot's name is known.
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

    /// Lines, each after `indent` and wrapped where it is too long.
    fn lines(&mut self, indent: &str, lines: Telling) {
        for (_, line) in lines {
            match columns(indent) + columns(&line) <= WIDTH {
                true => self.line(&format!("{indent}{}", line.trim_end())),
                false => self.wrapped(indent, &line),
            }
        }
    }

    /// The same after a gap, if there are any lines.
    fn block(&mut self, lines: Telling) {
        if !lines.is_empty() {
            self.gap();
            self.lines("", lines);
        }
    }

    /// A sentence wrapped between words, each line after `indent`.
    pub(super) fn wrapped(&mut self, indent: &str, sentence: &str) {
        let lines = wrapped(indent, sentence, WIDTH);
        lines.iter().for_each(|line| self.line(line));
    }
}
