//! `check`: whether files of drills, aeroplanes and lessons are right.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::{Exit, complain, find, output};
use crate::brief::{Severity, judge};
use crate::drill::reader::plain;
use crate::drill::{Kind, Target};
use crate::export::progress_words::count;
use crate::hands;
use crate::sim::aircraft::Aircraft;
use crate::sim::trim;
use crate::units::{FT, KT};

/// Check files of drills, aeroplanes and lessons
#[derive(clap::Args)]
#[command(long_about = include_str!("check.txt"))]
pub struct Args {
    /// Files of drills, aeroplanes or lessons
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
}

/// What a file is, where it is right, or the sentences that say why it is wrong.
enum Verdict {
    Good {
        /// What it is.
        what: String,
        /// What its author may not have meant.
        remarks: Vec<String>,
    },
    Wrong(Vec<String>),
}

/// Prints a line for each file and its remarks below: on standard output where it is right, on standard error where it is not.
pub fn run(args: Args) -> anyhow::Result<Exit> {
    let mut exit = Exit::Done;
    for file in &args.files {
        match check(file) {
            Ok(Verdict::Good { what, remarks }) => output::results(|out| {
                writeln!(out, "{}: ok, {what}", output::name(file))?;
                let mut remarks = remarks.iter();
                remarks.try_for_each(|remark| writeln!(out, "  {remark}"))
            })?,
            Ok(Verdict::Wrong(sentences)) => {
                for sentence in sentences {
                    output::talk(&format!("{}: {sentence}", output::name(file)));
                }
                exit = Exit::Wrong;
            }
            Err(error) => {
                complain(&error);
                exit = Exit::Wrong;
            }
        }
    }
    Ok(exit)
}

fn check(path: &Path) -> anyhow::Result<Verdict> {
    let text = find::read(path)?;
    let keys = keys(&text);
    let has = |key: &str| keys.iter().any(|known| known == key);
    if (has("wing") || has("engine")) && !has("task") && !has("start") {
        return Ok(verdict_on(&find::aircraft_file(path, &text)?));
    }
    let good = |what: String| Verdict::Good {
        what,
        remarks: Vec::new(),
    };
    // A misspelt `rung` still means a lesson: no key of a drill begins like that.
    if keys.iter().any(|key| key.starts_with("rung")) {
        let lesson = find::lesson_file(path, &text)?;
        let rungs = count(lesson.rungs.len(), "rung");
        return Ok(good(format!("lesson \"{}\", {rungs}", lesson.title)));
    }
    let drill = Arc::new(find::drill_file(path, &text)?);
    let tasks = count(drill.tasks.len(), "task");
    let longest_s = plain(drill.longest_s().ceil());
    let what = format!("drill \"{}\", {tasks}, at most {longest_s} s", drill.title);
    let named = |index: usize| {
        let kind = drill.tasks[index].kind.name();
        format!("task {}, the {kind}", index + 1)
    };
    let beyond = hands::beyond::of(&drill).into_iter().map(|index| {
        let why = hands::beyond::why(&drill, index);
        let why = why.unwrap_or_else(|| "there may be too little time or room".to_string());
        let task = named(index);
        format!("{task}: neither steady nor the brief earns a point; {why}")
    });
    let under = drill.tasks.iter().enumerate().filter_map(|(index, task)| {
        let (lowest_m, band_m) = match (&task.kind, task.kind.target()) {
            (Kind::Surprise(surprise), _) => (surprise.low_m, surprise.band_m),
            (_, Some(Target::Altitude { altitude_m, band_m })) => (altitude_m, band_m),
            _ => return None,
        };
        let under_ft = plain(((band_m - lowest_m) / FT).round());
        let told = format!(
            "{}: its band reaches {under_ft} ft below the surface",
            named(index)
        );
        (band_m > lowest_m).then_some(told)
    });
    let for_nothing = hands::beyond::is_for_nothing(&drill).then(|| {
        let task = named(0);
        format!("{task}: it begins in trim, and a lever left alone earns all its points; give `lever_off`, or `scored = false`")
    });
    let too_late = drill
        .air
        .shift
        .filter(|shift| shift.at_s >= drill.longest_s());
    let too_late = too_late.map(|shift| {
        let at_s = plain(shift.at_s);
        format!("the wind shifts at {at_s} s, when the drill is over")
    });
    let remarks = under.chain(beyond).chain(for_nothing).chain(too_late);
    Ok(Verdict::Good {
        what,
        remarks: remarks.collect(),
    })
}

/// The verdict on an aeroplane: one whose file reads well may still be one that nobody can fly.
fn verdict_on(aircraft: &Aircraft) -> Verdict {
    let (mut wrong, mut remarks) = (Vec::new(), Vec::new());
    for judgement in judge(aircraft) {
        match judgement.severity {
            Severity::Error => wrong.push(judgement.sentence),
            Severity::Remark => remarks.push(judgement.sentence),
        }
    }
    if !wrong.is_empty() {
        return Verdict::Wrong(wrong);
    }
    let speed_kt = trim::on_speed(aircraft, 0.0, 0.0).speed_mps / KT;
    Verdict::Good {
        what: format!(
            "aeroplane \"{}\", on speed {speed_kt:.0} kt at sea level",
            aircraft.name
        ),
        remarks,
    }
}

/// The keys at the top of a file, which show what it is meant to be. A file that is not TOML has none, and is left to the drill's
/// reader to complain about.
fn keys(text: &str) -> Vec<String> {
    let table = toml::from_str::<toml::Table>(text).unwrap_or_default();
    table.keys().cloned().collect()
}
