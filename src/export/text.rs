//! Results as plain text of at most 78 columns.

use serde::Serialize;

use super::CAUTION;
use crate::brief::{DrillBrief, Predict};
use crate::drill::air_words;
use crate::drill::reader::{fixed, printable};
use crate::run::{Recording, Run};
use crate::score::{Figure, Metric, Score, TaskScore, metrics, story, tolerances, working};

/// Widest line.
const WIDTH: usize = 78;

/// The whole debrief of a run: what happened, every task with its figures and the arithmetic of its points, the published
/// tolerances it would meet, and the caution.
pub fn debrief(recording: &Recording, run: &Run, score: &Score) -> String {
    let mut text = Text::default();
    heading(&mut text, run, &word(recording.hand));
    let mut flown = when(&recording.at);
    if !recording.id.is_empty() {
        flown = format!("{flown}, run {}", recording.id);
    }
    text.line(&format!("flown {flown}, aids {}", word(recording.aids)));
    text.gap();
    for sentence in story::tell(run, score) {
        text.wrapped("", &sentence);
    }
    if recording.guesses.iter().any(Option::is_some) {
        let predict = Predict::of(&DrillBrief::new(run.drill()));
        for sentence in predict.told(&recording.guesses) {
            text.wrapped("", &sentence);
        }
    }
    for (index, task) in score.tasks.iter().enumerate() {
        text.gap();
        task_block(&mut text, index + 1, task);
    }
    text.gap();
    text.line(&format!("Points: {}", points(score.points)));
    text.gap();
    text.0.push_str(CAUTION);
    text.0.push('\n');
    text.0
}

/// A run in a few lines: what happened and the points of its tasks.
pub fn summary(run: &Run, score: &Score, hand: &str) -> String {
    let mut text = Text::default();
    heading(&mut text, run, hand);
    for sentence in story::tell(run, score) {
        text.wrapped("", &sentence);
    }
    for (index, task) in score.tasks.iter().enumerate() {
        text.line(&task_line(index + 1, task));
    }
    text.line(&format!("Points: {}", points(score.points)));
    text.0
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

fn task_line(n: usize, task: &TaskScore) -> String {
    let result = match (task.end_s, task.points) {
        (None, _) => "not finished".to_string(),
        (Some(_), None) => "not scored".to_string(),
        (Some(_), Some(points)) => format!("{points:.1} points"),
    };
    format!("Task {n}, {}: {result}", task.task.kind.name())
}

fn task_block(text: &mut Text, n: usize, task: &TaskScore) {
    text.line(&task_line(n, task));
    if task.end_s.is_none() {
        return;
    }
    for (metric, value) in metrics::of_kind(&task.task.kind).zip(&task.figures) {
        let row = format!(
            "  {:<20}{:>10} {}",
            metric.label,
            figure(metric, value),
            match value {
                Figure::Unknown => "",
                _ => metric.unit,
            }
        );
        text.line(row.trim_end());
    }
    for (index, drawn) in task.drawn.iter().enumerate() {
        task_block(text, index + 1, drawn);
    }
    for line in working::lines(task) {
        text.line(&format!("    {line}"));
    }
    if let Some(largest_ft) = task.largest_error_ft {
        text.wrapped("  ", &tolerance_sentence(largest_ft));
    }
}

fn tolerance_sentence(largest_ft: f64) -> String {
    let mut met: Vec<_> = tolerances::met(largest_ft).collect();
    met.sort_by(|a, b| a.feet.total_cmp(&b.feet));
    let names: Vec<String> = met
        .iter()
        .map(|tolerance| format!("{:.0} ft ({})", tolerance.feet, tolerance.source))
        .collect();
    match names.is_empty() {
        true => {
            format!("Largest error {largest_ft:.0} ft: inside none of the published tolerances.")
        }
        false => format!(
            "Largest error {largest_ft:.0} ft: inside {}.",
            names.join("; ")
        ),
    }
}

fn points(points: Option<f64>) -> String {
    points.map_or_else(
        || "nothing is scored".to_string(),
        |points| format!("{points:.1} of 100"),
    )
}

/// A figure for people, without its unit.
pub fn figure(metric: &Metric, figure: &Figure) -> String {
    match (figure, metric.unit) {
        (Figure::Unknown, _) => "-".to_string(),
        (Figure::Flag(true), _) => "yes".to_string(),
        (Figure::Flag(false), _) => "no".to_string(),
        (Figure::Word(word), _) => word.replace('_', " "),
        (Figure::Gates(gates), _) => {
            let passed = gates.iter().map(|gate| match gate.deviation_ft {
                Some(off_ft) => format!("{off_ft:+.0} ft"),
                None => "-".to_string(),
            });
            passed.collect::<Vec<_>>().join(", ")
        }
        (Figure::Number(x), "") if x.fract() == 0.0 => fixed(*x, 0),
        (Figure::Number(x), "s" | "deg" | "") => fixed(*x, 2),
        (Figure::Number(x), _) => fixed(*x, 1),
    }
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

/// Lines under construction.
#[derive(Default)]
struct Text(String);

impl Text {
    fn line(&mut self, line: &str) {
        self.0.push_str(line);
        self.0.push('\n');
    }

    fn gap(&mut self) {
        self.0.push('\n');
    }

    /// A sentence broken between words, each line after `indent`.
    fn wrapped(&mut self, indent: &str, sentence: &str) {
        let mut line = indent.to_string();
        for word in sentence.split_whitespace() {
            let words_already = line.len() > indent.len();
            if words_already && line.chars().count() + 1 + word.chars().count() > WIDTH {
                self.line(&line);
                line = format!("{indent}{word}");
            } else {
                if words_already {
                    line.push(' ');
                }
                line.push_str(word);
            }
        }
        self.line(&line);
    }
}
