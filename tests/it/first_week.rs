//! A newcomer's first week, simulated: thirty runs over seven days, each of the drill that `next` names, by a beginner whose
//! level-off comes late and gets better. Then the real program says what a coach would say.

use std::time::SystemTime;

use jiff::{Timestamp, ToSpan, tz::TimeZone};
use leveloff::drill::lesson;
use leveloff::hands;
use leveloff::logbook::Logbook;
use leveloff::progress::next::Reason;
use leveloff::progress::{Flown, costs, next};
use leveloff::run::Recording;
use leveloff::run::recording::HandName;
use leveloff::sim::air::noise::{Noise, Stream};

use crate::flying::shipped;
use crate::folder::Folder;
use crate::kept::{pars, weigh};
use crate::pilots::{Fault, Style, again};
use crate::pty_harness::Start;

const RUNS: u64 = 30;
/// How late the level-off comes at first, s.
const LATE_S: f64 = 4.0;
/// The run from which on neither the fault nor the beginner would be left.
const KNOWS_FROM: f64 = 36.0;
const PERSON: u64 = 3;

/// Flies the week into a folder. Returns the runs in order.
fn flown_week(folder: &Folder) -> Vec<Flown> {
    let logbook = Logbook::at(folder.path().to_path_buf());
    let ladder = lesson::ladder();
    let mut luck = Noise::new(PERSON, Stream::Learner);
    let now = Timestamp::try_from(SystemTime::now()).unwrap();
    let now = now.to_zoned_datetime(TimeZone::system());
    let mut flown: Vec<Flown> = Vec::new();
    for n in 0..RUNS {
        // Four or five a day, the last of them today, a few minutes apart.
        let day = (n * 7 / RUNS) as i64;
        let at = now.checked_sub((6 - day).days()).unwrap();
        let at = at.checked_sub(((RUNS - n) as i64).seconds()).unwrap();
        let today = at.date();
        let so_far: Vec<&Flown> = flown.iter().collect();
        let told = next(&ladder, &so_far, today, None).unwrap().now;
        let drill = shipped(&told.drill);
        let left = (1.0 - n as f64 / KNOWS_FROM).max(0.0);
        let fault = Fault::LevelOffLate {
            by_s: LATE_S * left,
        };
        let mut hand = match luck.share() < left {
            true => hands::built_in(HandName::Green, &drill, n).unwrap(),
            false => again(Style::Keys, &drill, PERSON, n, Some(fault)),
        };
        let run = hands::fly(drill.clone(), n, &mut *hand);
        let pars = pars(&drill, n);
        let weighed = weigh(&run, Some(pars));
        let recording = Recording {
            at: at.strftime("%Y-%m-%dT%H:%M:%S%:z").to_string(),
            hand: HandName::Person,
            aids: told.aids,
            ..Recording::of(&run)
        };
        let entry = logbook
            .save(&recording, &drill, &weighed.score, &weighed.bills)
            .unwrap();
        flown.push(entry.flown());
    }
    flown
}

fn start(folder: &Folder) -> Start {
    Start::on(80, 24).args(&["--data", folder.path().to_str().unwrap()])
}

/// Whether each rung of the ladder, in order, was passed, judged by the week alone.
fn passed(week: &[Flown]) -> Vec<bool> {
    let rungs = lesson::ladder().rungs.into_iter();
    let rungs = rungs.map(|rung| {
        let runs = week.iter().filter(|run| run.drill == rung.drill);
        let reached: Vec<bool> = runs
            .map(|run| run.points.unwrap_or(0.0) >= rung.mark)
            .collect();
        reached.windows(2).any(|two| two[0] && two[1])
    });
    rungs.collect()
}

#[test]
fn after_a_week_the_program_says_what_a_coach_would() {
    let folder = Folder::new();
    let week = flown_week(&folder);
    let rungs = lesson::ladder().rungs;
    let passed = passed(&week);
    let count = passed.iter().filter(|is_passed| **is_passed).count();
    let current = passed.iter().position(|is_passed| !is_passed).unwrap();
    assert!((6..15).contains(&count), "somebody who gets on: {count}");

    // Never the same three times running, never far beyond what was reached.
    let drills: Vec<&str> = week.iter().map(|run| run.drill.as_str()).collect();
    assert!(
        !drills.windows(3).any(|w| w[0] == w[1] && w[1] == w[2]),
        "{drills:?}"
    );
    let place = |drill: &str| rungs.iter().position(|rung| rung.drill == drill).unwrap();
    assert!(
        drills.iter().all(|drill| place(drill) <= current + 3),
        "{drills:?}"
    );

    // What it says now has a true reason.
    let so_far: Vec<&Flown> = week.iter().collect();
    let today = week.last().unwrap().day().unwrap();
    let told = next(&lesson::ladder(), &so_far, today, None).unwrap();
    let days_ago = |drill: &str| {
        let last = week.iter().rev().find(|run| run.drill == drill)?.day()?;
        Some(last.until(today).unwrap().get_days())
    };
    for choice in &told.set {
        let here = place(&choice.drill);
        match &choice.reason {
            Reason::Rung { .. } => assert_eq!(here, current),
            Reason::Days { days } => {
                assert!(passed[here] && *days > 1);
                assert_eq!(days_ago(&choice.drill), Some(*days));
            }
            Reason::Change => assert!(here != current && here <= current + 3),
            Reason::StepBack { .. } => assert_eq!(here + 1, current),
            Reason::Weakness { name, .. } => {
                assert_eq!(
                    Some(name),
                    costs(&so_far).lines.first().map(|line| &line.key)
                );
                assert!(here <= current, "within reach so far");
            }
            Reason::Top => panic!("not yet"),
        }
    }

    let mut pty = start(&folder).spawn();
    pty.wait_text(&format!(" n next: {}, aids ", told.now.title));
    pty.send("n");
    let brief = pty.wait_text("enter flies");
    assert!(brief.contains(&told.now.title), "{brief}");
    assert!(
        brief.contains(&format!("aids {}", told.now.aids.word())),
        "{brief}"
    );
    pty.send("q");
    pty.wait_text(" n next: ");
    pty.send("s");
    let so_far_screen = pty.wait_text("the last four weeks");
    let dearest = &costs(&so_far).lines[0];
    for wanted in [
        format!("30 runs on 7 days   {count} of {} rungs", rungs.len()),
        "·■■■■■■■  today".to_string(),
        format!(
            "costs most this week  {} {:.0} pt",
            dearest.key.replace('_', " "),
            dearest.points
        ),
        format!("Fly {}", told.now.title),
    ] {
        assert!(
            so_far_screen.contains(&wanted),
            "no {wanted:?} in\n{so_far_screen}"
        );
    }
    // A week is short: with only a few runs of a skill, no change is claimed.
    for row in so_far_screen.lines().filter(|row| row.contains("stop  ")) {
        assert!(
            row.contains("too few runs") || row.contains(" to "),
            "{row}"
        );
    }
    assert!(so_far_screen.contains("too few runs"), "{so_far_screen}");
    pty.send("qq");
    assert_eq!(pty.exit_code(), 0);

    let says = |args: &[&str], wanted: &str| {
        let mut pty = start(&folder).args(args).spawn();
        assert_eq!(pty.exit_code(), 0);
        let text = pty.screen_text();
        assert!(text.contains(wanted), "no {wanted:?} in\n{text}");
    };
    let ladder = format!("The ladder: {count} of {} rungs passed", rungs.len());
    says(&["next"], &ladder);
    says(&["next"], &format!("Fly {}", told.now.title));
    says(&["log", "--by", "skill"], "30 runs on 7 days");
    says(
        &["log", "--costs"],
        &format!("What costs you most is {}", dearest.key.replace('_', " ")),
    );
}
