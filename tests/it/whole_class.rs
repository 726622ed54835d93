//! A coach's class: a thousand recordings of four drills, flown again on all cores. Not run by default: it measures the machine.

use std::process::Command;
use std::time::{Duration, Instant};

use leveloff::hands;
use leveloff::run::Recording;
use serde_json::Value;

use crate::flying::shipped;
use crate::folder::Folder;
use crate::pilots::{Fault, Style, again, crew};
use crate::pty_harness::Start;

/// Steps in still air, three of them, steps in light air, a path.
const DRILLS: [&str; 4] = [
    "catch-the-sink",
    "quarry-stair",
    "stair-in-the-breeze",
    "onto-the-shelf",
];
const LEARNERS: u64 = 25;
const RUNS_EACH: u64 = 10;

/// Every learner flies every drill ten times in the same air, each run differently.
fn sent() -> Folder {
    let folder = Folder::new();
    let crew = crew();
    for id in DRILLS {
        let drill = shipped(id);
        for learner in 0..LEARNERS {
            for turn in 0..RUNS_EACH {
                let style: Style = crew[(learner % 6) as usize];
                let fault = (turn % 3 == 0).then_some(Fault::NoAnticipation);
                let mut hand = again(style, &drill, learner, learner * 100 + turn, fault);
                let run = hands::fly(drill.clone(), 7, &mut *hand);
                let day = 1 + turn;
                let recording = Recording {
                    id: format!("202603{day:02}-18{learner:02}00-{id}"),
                    at: format!("2026-03-{day:02}T18:{learner:02}:00+01:00"),
                    pilot: Some(format!("Learner {learner:02}")),
                    ..Recording::of(&run)
                };
                let text = serde_json::to_string(&recording).unwrap();
                folder.file(&format!("{}.json", recording.id), text);
            }
        }
    }
    folder
}

/// Processor time of the children that have ended, s: user and system, in ticks of 1/100 s (proc(5), fields 16 and 17).
fn work_s() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap();
    let fields = stat.rsplit_once(')').unwrap().1.split_whitespace();
    let ticks = fields
        .skip(13)
        .take(2)
        .map(|field| field.parse::<f64>().unwrap());
    ticks.sum::<f64>() / 100.0
}

#[test]
#[ignore = "measures the machine"]
fn a_thousand_recordings_are_told_soon_and_completely() {
    let (folder, data) = (sent(), Folder::new());
    let path = |folder: &Folder| folder.path().to_str().unwrap().to_string();
    let args = ["--data", &path(&data), "class", &path(&folder)];
    let class = |more: &[&str]| {
        let (since, work) = (Instant::now(), work_s());
        let mut command = Command::new(env!("CARGO_BIN_EXE_leveloff"));
        let output = command.args(args).args(more).output().unwrap();
        assert!(output.status.success() && output.stderr.is_empty());
        let (took, work) = (since.elapsed().as_secs_f64(), work_s() - work);
        println!("{took:.1} s, {work:.1} s of work: {:.2} cores", work / took);
        (work, work / took, output.stdout)
    };
    let (work, cores, first) = class(&["--json"]);
    let (_, _, second) = class(&["--json"]);
    assert_eq!(first, second);
    let told: Value = serde_json::from_slice(&first).unwrap();
    let drills = told["drills"].as_array().unwrap();
    assert_eq!(drills.len(), DRILLS.len());
    for drill in drills {
        assert_eq!(drill["runs"], LEARNERS * RUNS_EACH);
        assert_eq!(drill["learners"].as_array().unwrap().len() as u64, LEARNERS);
    }
    let mut pty = Start::on(80, 24).args(&args).spawn();
    pty.wait_text("flying runs again [");
    pty.wait_for(|text| text.contains(" a run"), Duration::from_secs(200));
    assert_eq!(pty.exit_code(), 0);
    let processors = std::thread::available_parallelism().unwrap().get();
    assert!(processors < 2 || cores >= 1.9, "{cores:.2} of {processors}");
    assert!(work <= 150.0, "{work:.0} s of work");
}
