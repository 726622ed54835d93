//! A finished run, and the lines that every debrief shows of it: screen, text and page lay out the same ones.

use super::rivals::{Rivals, TaskPlace};
use super::text::{by, when, word};
use super::words::task_name;
use crate::drill::printable::{is_plain, printable};
use crate::drill::reader::{clock, plain};
use crate::logbook::{About, Note};
use crate::run::{Recording, Run};
use crate::score::{Figure, HandFigures, Key, Metric, TaskScore};
use crate::score::{metrics, moved_with, story, tolerances, working};
use crate::units::TICK_S;
use crate::why::{Pars, Weighed};

/// Where a run is stored.
#[derive(Clone, Debug)]
pub enum Kept {
    /// In the logbook, by its id.
    As(String),
    /// Nowhere, and why.
    Not(String),
    /// In the file it was read from: what there is to say about that, a sentence each, the first of which says where it was
    /// read.
    Elsewhere(Vec<String>),
}

/// Everything known about a finished run.
pub struct Debriefed {
    pub run: Run,
    /// Who flew it, when and with what, and what was noted on the way; for a run read from a file it holds only the run.
    pub recording: Recording,
    /// Score and bill.
    pub weighed: Weighed,
    /// The results of the built-in hands for it; None where they are not needed or were not waited for.
    pub pars: Option<Pars>,
    /// Where it is stored.
    pub kept: Kept,
    /// Each guess made before flying, compared with the truth.
    pub guesses: Vec<String>,
    /// A coach's notes.
    pub notes: Vec<Note>,
    /// Points of the person's last runs of the drill; this one is the last if it was saved.
    pub lately: Vec<f64>,
    /// How it compares with the runs before it, in one sentence.
    pub beside_last: Option<String>,
}

/// How prominent a line is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weight {
    /// Plain text.
    Plain,
    /// Something to look up.
    Quiet,
}

/// Lines; those that belong to another are indented.
pub type Telling = Vec<(Weight, String)>;

impl Debriefed {
    /// A run about which nothing more is known.
    pub fn new(
        run: Run,
        recording: Recording,
        weighed: Weighed,
        pars: Option<Pars>,
        kept: Kept,
    ) -> Debriefed {
        Debriefed {
            run,
            recording,
            weighed,
            pars,
            kept,
            guesses: Vec::new(),
            notes: Vec::new(),
            lately: Vec::new(),
            beside_last: None,
        }
    }

    /// A run read from a file, and what there is to say about that.
    pub fn of_file(run: Run, weighed: Weighed, pars: Option<Pars>, said: Vec<String>) -> Debriefed {
        let recording = Recording::of(&run);
        Debriefed::new(run, recording, weighed, pars, Kept::Elsewhere(said))
    }

    /// The figures of both hands' flights of its drill.
    pub fn rivals(&self) -> Option<Rivals> {
        let pars = self.pars.as_ref();
        pars.map(|pars| Rivals::of(&self.run, pars))
    }

    /// Who moved the lever, in a word.
    pub fn hand_word(&self) -> String {
        match self.kept {
            Kept::Elsewhere(_) => "from a track".to_string(),
            _ => word(self.recording.hand),
        }
    }

    /// When, by whom and with what help it was flown, or where it was read.
    pub fn flown(&self) -> String {
        if let Kept::Elsewhere(told) = &self.kept {
            return told.first().cloned().unwrap_or_default();
        }
        let recording = &self.recording;
        let run = match recording.id.as_str() {
            "" => String::new(),
            id => format!(", run {id}"),
        };
        let (when, aids) = (when(&recording.at), word(recording.aids));
        format!("flown {when}{run}{}, aids {aids}", by(recording))
    }

    /// What is said below the first sentence: what happened, beside the runs before it; the guesses; the file it was read from.
    pub fn said(&self) -> [Vec<String>; 3] {
        let story = story::tell(&self.run, &self.weighed.score);
        let happened = self.beside_last.iter().cloned().chain(story);
        let of_file = self.told_of_file().iter().skip(1).cloned();
        [happened.collect(), self.guesses.clone(), of_file.collect()]
    }

    /// What there is to say about the file it was read from.
    pub fn told_of_file(&self) -> &[String] {
        match &self.kept {
            Kept::Elsewhere(told) => told,
            Kept::As(_) | Kept::Not(_) => &[],
        }
    }

    /// How the lever was moved, beside par's lever where that is known.
    pub fn hand(&self, rivals: Option<&Rivals>) -> Telling {
        let row = |label: &str, yours: &str, par: &str| {
            let row = format!("{label:<20}{yours:>10}{par:>10}");
            row.trim_end().to_string()
        };
        let par = rivals.map_or("", |_| "par");
        let mut lines = vec![(Weight::Quiet, row("the hand", "yours", par))];
        let figures = HandFigures::of(&self.run).beside(rivals.map(|rivals| &rivals.hand));
        for (label, yours, par) in figures {
            let par = rivals.map_or("", |_| &par);
            lines.push((Weight::Plain, row(&format!("  {label}"), &yours, par)));
        }
        let means = moved_with(&self.recording.moved_with);
        lines.extend(means.map(|means| (Weight::Plain, format!("  {means}"))));
        lines
    }

    /// The moments marked by the learner in flight, each with the notes on it, then the notes on tasks and on the whole run;
    /// `sign` goes before a mark's number.
    pub fn marks_and_notes(&self, sign: &str) -> Telling {
        let (marks, mut lines) = (&self.recording.marks, Telling::new());
        let is_of = |note: &Note, index: usize| note.about == About::Mark(index + 1);
        for (index, tick) in marks.iter().enumerate() {
            let (n, at) = (index + 1, clock(*tick as f64 * TICK_S));
            let mark = format!("{sign}{n} at {at}, in task {}", task_at(&self.run, *tick));
            lines.push((Weight::Plain, mark));
            let notes = self.notes.iter().filter(|note| is_of(note, index));
            lines.extend(notes.map(|note| (Weight::Plain, format!("   {}", note_line(note)))));
        }
        let is_told = |note: &&Note| (0..marks.len()).any(|index| is_of(note, index));
        let others = self.notes.iter().filter(|note| !is_told(note));
        lines.extend(others.map(|note| (Weight::Plain, note_line(note))));
        lines
    }
}

/// The number and name of the task in which a tick lies.
fn task_at(run: &Run, tick: u64) -> String {
    let begun = run.legs().iter().take_while(|leg| leg.start <= tick);
    let leg = begun.count().saturating_sub(1);
    let name = task_name(&run.legs()[leg].kind);
    format!("{}, {name}", run.leg_number(leg))
}

pub fn note_line(note: &Note) -> String {
    let about = match note.about {
        About::Run => String::new(),
        About::Task(task) => format!(" on task {task}"),
        About::Mark(mark) => format!(" on mark {mark}"),
    };
    let by = note.by.as_deref();
    let by = by.map_or(String::new(), |by| format!(" by {}", printable(by)));
    // A note has a line of its own, longer than what `printable` lets through.
    let said: String = note.text.chars().filter(|c| is_plain(*c)).collect();
    format!("Note{about}{by}, {}: {said}", when(&note.at))
}

/// A figure of a task in words, beside those of par and best, as far as they are known.
pub struct FigureRow {
    pub metric: &'static Metric,
    /// The learner's.
    pub yours: String,
    /// Par's and best's; None for figures that are more than a number.
    pub others: [Option<String>; 2],
}

/// The known figures of a task.
pub fn figures(place: TaskPlace, task: &TaskScore, rivals: Option<&Rivals>) -> Vec<FigureRow> {
    let others = rivals.map_or([None; 2], |rivals| rivals.of_task(place, task));
    let metrics = metrics::of_kind(&task.task.kind).zip(&task.figures);
    let known = metrics.filter(|(_, own)| **own != Figure::Unknown);
    let is_short = |own: &Figure| !matches!(own, Figure::Gates(_) | Figure::Ended(_));
    let row = |(metric, own): (&'static Metric, &Figure)| {
        let of = |other: Option<&TaskScore>| Some(metric.told(&other?.figure(metric.id)?));
        FigureRow {
            metric,
            yours: metric.told(own),
            others: others.map(|other| of(other).filter(|_| is_short(own))),
        }
    };
    known.map(row).collect()
}

/// The arithmetic of a task, its gates, its other figures beside those of par and best, and the published tolerances that it
/// would meet.
pub fn task(place: TaskPlace, task: &TaskScore, rivals: Option<&Rivals>) -> Telling {
    let quiet = |line: String| (Weight::Quiet, line);
    let working = working::lines(task).into_iter();
    let mut lines: Telling = working
        .map(|line| (Weight::Plain, format!("  {line}")))
        .collect();
    // The tasks drawn by a surprise show its result.
    if !task.drawn.is_empty() {
        return lines;
    }
    if task.end_s.is_none() {
        lines.push(quiet("  not flown to the end".to_string()));
    }
    lines.extend(gates(task).map(quiet));
    let figures = figures(place, task, rivals);
    let others = figures.iter().flat_map(|row| &row.others);
    let is_beside = others.flatten().next().is_some();
    if is_beside {
        lines.push(quiet(format!(
            "{:<18}{:>7}{:>7}{:>7}",
            "", "yours", "par", "best"
        )));
    }
    // The gates are listed above.
    for row in figures.iter().filter(|row| row.metric.id != Key::Gates) {
        let mut line = format!("{:<18}{:>7}", row.metric.label, row.yours);
        let has_room = is_beside && row.metric.id != Key::Outcome;
        for other in row.others.iter().filter(|_| has_room) {
            line += &format!("{:>7}", other.as_deref().unwrap_or("-"));
        }
        lines.push(quiet(format!("{line} {}", row.metric.told_in())));
    }
    let tolerances = task.largest_error_ft.map(tolerances::sentence);
    lines.extend(tolerances.map(quiet));
    lines
}

/// The gates of a path: the altitude asked at each, the altitude flown, and the difference.
fn gates(task: &TaskScore) -> impl Iterator<Item = String> {
    let gates = match task.figure(Key::Gates) {
        Some(Figure::Gates(gates)) => gates,
        _ => Vec::new(),
    };
    gates.into_iter().map(|gate| {
        let feet = |ft: f64| format!("{:>6} ft", plain(ft.round() + 0.0));
        let passed = match gate.deviation_ft {
            Some(off_ft) => {
                let off = format!("{:+.0}", off_ft.round() + 0.0);
                format!("flown{} {off:>5} ft", feet(gate.altitude_ft + off_ft))
            }
            None => "not reached".to_string(),
        };
        let (at_nm, asked) = (gate.distance_nm, feet(gate.altitude_ft));
        format!("gate {at_nm:>5.2} nm{asked}   {passed}")
    })
}
