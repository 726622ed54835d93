//! Lever scripts: their rules, seen in the recording that a run leaves.

use std::fs;

use serde_json::Value;

use super::{Shell, one_line};
use crate::flying::shipped;

/// Flies the first drill with a script and returns the moves in its recording, (tick, thousandths).
fn moves(script: &str) -> Vec<(u64, u64)> {
    let shell = Shell::new();
    shell.folder.file("script.csv", script);
    let id = shell.save("catch-the-sink", &["--lever", "script.csv"]);
    let text = fs::read_to_string(shell.recording(&id)).unwrap();
    let recording: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(recording["hand"], "script");
    serde_json::from_value(recording["lever"].clone()).unwrap()
}

#[test]
fn a_row_takes_effect_at_the_nearest_tick() {
    // 0.4 and 0.6 of the tick that ends at 1/64 s; then 99.4 and 101.6 ticks.
    assert_eq!(moves("t_s,lever\n0.00625,0.5\n"), [(0, 500)]);
    assert_eq!(moves("t_s,lever\n0.009375,0.5\n"), [(1, 500)]);
    assert_eq!(
        moves("t_s,lever\n1.553125,0.5\n1.5875,0.6\n"),
        [(99, 500), (102, 600)]
    );
}

#[test]
fn a_lever_is_rounded_to_thousandths() {
    let script = "t_s,lever\n0,0.42049\n1,0.4206\n2,1\n3,0\n4,1e-3\n";
    assert_eq!(
        moves(script),
        [(0, 420), (64, 421), (128, 1000), (192, 0), (256, 1)]
    );
}

#[test]
fn blank_lines_and_spaces_are_nothing() {
    let script = "\n  \nt_s,lever\r\n\r\n 0 , 0.5 \r\n\n1,0.6";
    assert_eq!(moves(script), [(0, 500), (64, 600)]);
}

#[test]
fn of_two_rows_at_one_tick_the_last_holds() {
    assert_eq!(moves("t_s,lever\n1,0.5\n1,0.7\n1.001,0.6\n"), [(64, 600)]);
}

#[test]
fn rows_after_the_end_are_ignored() {
    let shell = Shell::new();
    shell.folder.file("short.csv", "t_s,lever\n0,0.5\n");
    shell
        .folder
        .file("long.csv", "t_s,lever\n0,0.5\n900000,0.1\n1000000,0.9\n");
    let result = |script| shell.good(&["simulate", "catch-the-sink", "--lever", script, "--json"]);
    assert_eq!(result("short.csv"), result("long.csv"));
}

#[test]
fn without_rows_the_lever_stays_at_its_unrounded_start() {
    let shell = Shell::with_pars();
    shell.folder.file("none.csv", "t_s,lever\n");
    shell.good(&[
        "simulate",
        "catch-the-sink",
        "--lever",
        "none.csv",
        "--track",
        "track.csv",
    ]);
    let track = fs::read_to_string(shell.folder.join("track.csv")).unwrap();
    let start = shipped("catch-the-sink").start_lever();
    assert!(
        (start * 1000.0).fract() > 1e-3,
        "the start happens to be round"
    );
    for row in track.lines().skip(1) {
        let lever: f64 = row.split(',').nth(1).unwrap().parse().unwrap();
        assert!((lever - start).abs() < 1e-8);
    }
}

/// The message for a lever in per cents gives the share, as a person would write it.
#[test]
fn a_lever_in_per_cents_is_told_as_a_share_without_dust() {
    for (percent, share) in [
        ("1.3", "0.013"),
        ("2.2", "0.022"),
        ("57.3", "0.573"),
        ("38.25", "0.3825"),
    ] {
        let shell = Shell::new();
        shell
            .folder
            .file("script.csv", format!("t_s,lever\n0,0.5\n1,{percent}\n"));
        let err = shell.bad(2, &["simulate", "catch-the-sink", "--lever", "script.csv"]);
        let told = format!("from 0 to 1; {percent} % is {share}");
        assert_eq!(
            one_line(&err).split_once(&told).map(|(_, rest)| rest),
            Some(""),
            "{err}"
        );
    }
}

#[test]
fn what_is_wrong_in_a_script_is_told_with_its_place() {
    let cases = [
        ("", "script.csv:1:1: "),
        ("0,0.5\n", "script.csv:1:1: "),
        ("t_s;lever\n", "script.csv:1:1: "),
        ("lever,t_s\n", "script.csv:1:1: "),
        ("t_s,lever\n0,0.5\n1,1.01\n", "script.csv:3:1: "),
        ("t_s,lever\n0,NaN\n", "script.csv:2:1: "),
        ("t_s,lever\n-1,0.5\n", "script.csv:2:1: "),
        ("t_s,lever\n2,0.5\n1,0.5\n", "script.csv:3:1: "),
        ("t_s,lever\n0,0.5,0.5\n", "script.csv:2:1: "),
        ("t_s,lever\n0\n", "script.csv:2:1: "),
        ("t_s,lever\n0,\u{1b}[31m\n", "script.csv:2:1: "),
    ];
    for (script, place) in cases {
        let shell = Shell::new();
        shell.folder.file("script.csv", script);
        let args = [
            "simulate",
            "catch-the-sink",
            "--lever",
            "script.csv",
            "--track",
            "t.csv",
            "--save",
        ];
        let err = shell.bad(2, &args);
        let line = one_line(&err);
        assert!(line.starts_with(place), "{script:?}: {line}");
        assert!(line.contains("; ") || line.contains("must"), "{line}");
        assert!(!line.contains('\u{1b}'));
        assert!(!shell.folder.join("t.csv").exists() && !shell.folder.join("data").exists());
    }
}
