//! A program killed at any moment of saving a run: the next one repairs what is left.
#![cfg(unix)]

use std::fs;
use std::process::Stdio;
use std::time::{Duration, Instant};

use super::Shell;

#[test]
fn a_kill_leaves_every_run_whole_or_none() {
    let kills: u32 = std::env::var("KILLS").map_or(16, |n| n.parse().unwrap());
    let shell = Shell::new();
    let save = ["simulate", "catch-the-sink", "--hand", "steady", "--save"];
    shell.good(&save);
    // From now on pars are kept, so that the next runs spend their time on saving.
    shell.good(&save);
    let since = Instant::now();
    shell.good(&save);
    let takes = since.elapsed();
    for kill in 0..kills {
        let mut child = shell
            .command(&save)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        // Most kills come late, when files are written.
        let share = f64::from(kill % 16) / 16.0;
        std::thread::sleep(
            takes.mul_f64(0.4 + 0.8 * share) + Duration::from_micros(137 * u64::from(kill % 7)),
        );
        let _ = child.kill();
        child.wait().unwrap();
    }
    let listed = shell.json(&["log", "--json"]);
    assert_eq!(listed["unreadable"], 0, "{listed}");
    let entries = listed["entries"].as_array().unwrap();
    let mut ids: Vec<String> = entries
        .iter()
        .map(|entry| entry["id"].as_str().unwrap().to_string() + ".json")
        .collect();
    ids.sort();
    let files = fs::read_dir(shell.folder.join("data/runs")).unwrap();
    let mut names: Vec<String> = files
        .map(|file| file.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    assert_eq!(names, ids);
    assert!(ids.len() >= 3);
    println!("{kills} kills, {} runs kept", ids.len());
    for id in ids.iter().rev().take(5) {
        shell.good(&["debrief", id.strip_suffix(".json").unwrap()]);
    }
    // The next run that keeps pars removes the files that the killed writers left.
    shell.good(&[
        "simulate",
        "catch-the-sink",
        "--hand",
        "steady",
        "--seed",
        "9",
        "--air",
        "light",
    ]);
    let pars = fs::read_dir(shell.folder.join("data/par")).unwrap();
    for file in pars {
        let path = file.unwrap().path();
        assert!(
            path.extension().is_some_and(|ending| ending == "json"),
            "{path:?}"
        );
    }
}
