//! Ten years of ten runs a day: the time and memory it takes to show them. Not run by default: a busy machine would measure
//! its own load.

use std::fmt::Write as _;
use std::time::Instant;

use jiff::civil::date;
use leveloff::drill::Skill;
use leveloff::sim::air::noise::{Noise, Stream};
use serde_json::json;

use crate::flying::all_shipped;
use crate::folder::Folder;
use crate::pty_harness::{Pty, Start, peak_kib};

const RUNS: usize = 36_500;
const A_DAY: usize = 10;

fn filled() -> Folder {
    let folder = Folder::new();
    let mut noise = Noise::new(1, Stream::Learner);
    let drills: Vec<_> = all_shipped().collect();
    let mut lines = String::new();
    for n in 0..RUNS {
        let drill = &drills[(noise.share() * drills.len() as f64) as usize];
        let day = date(2016, 1, 1)
            .checked_add(jiff::Span::new().days((n / A_DAY) as i64))
            .unwrap();
        let (hour, second) = (8 + n % A_DAY, n % 60);
        let points =
            (40.0 + 30.0 * n as f64 / RUNS as f64 + 12.0 * noise.normal()).clamp(0.0, 100.0);
        let line = json!({
            "schema": 1, "id": format!("{}-{hour:02}00{second:02}-{n:04x}", day.to_string().replace('-', "")),
            "at": format!("{day}T{hour:02}:00:{second:02}+00:00"), "drill": drill.id, "title": drill.title,
            "aircraft": drill.aircraft.name, "hand": "person", "aids": "full", "air": null, "seed": n, "model": 1,
            "end_s": 80.0, "complete": true, "left": false, "fault": null, "points": points,
            "digest": format!("{n:016x}"), "skill": Skill::of(drill),
            "figures": [["rms_ft", 12.0], ["lever_travel", 40.0 + points], ["lever_reversals", 6.0]],
            "bill": [["level_off_late", (90.0 - points).max(0.0) / 2.0], ["rest", 3.0]],
        });
        writeln!(lines, "{line}").unwrap();
    }
    folder.file("logbook.jsonl", lines);
    folder
}

/// The peak memory of the program so far, MB.
fn memory_mb(pty: &Pty) -> f64 {
    peak_kib(pty.pid()).unwrap() as f64 / 1000.0
}

#[test]
#[ignore = "measures the machine"]
fn ten_years_are_seen_at_once() {
    let folder = filled();
    let start = || Start::on(140, 40).args(&["--data", folder.path().to_str().unwrap()]);
    let (mut menu_s, mut so_far_s, mut log_s, mut memory) = (vec![], vec![], vec![], 0.0_f64);
    for _ in 0..5 {
        let since = Instant::now();
        let pty = start().spawn();
        // The drill to fly next is known only once everything has been read.
        pty.wait_text(" next: ");
        menu_s.push(since.elapsed().as_secs_f64());
        let since = Instant::now();
        pty.send("s");
        pty.wait_text("the last four weeks");
        so_far_s.push(since.elapsed().as_secs_f64());
        memory = memory.max(memory_mb(&pty));
        for args in [&["log", "--by", "skill"][..], &["log", "--json"]] {
            let since = Instant::now();
            let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_leveloff"));
            let output = command.arg("--data").arg(folder.path()).args(args).output();
            assert!(output.unwrap().status.success());
            log_s.push(since.elapsed().as_secs_f64());
        }
    }
    let middle = |times: &mut Vec<f64>| {
        times.sort_by(f64::total_cmp);
        times[times.len() / 2]
    };
    let (menu, so_far) = (middle(&mut menu_s), middle(&mut so_far_s));
    log_s.sort_by(f64::total_cmp);
    let log = log_s[log_s.len() - 1];
    println!(
        "{RUNS} runs: menu {menu:.2} s, so far {so_far:.2} s, log {log:.2} s at most, memory {memory:.0} MB"
    );
    assert!(menu <= 0.6 && so_far <= 0.8 && log <= 0.8 && memory <= 150.0);
}
