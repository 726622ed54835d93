//! `judge`: its results for tracks of various origins, and its messages for bad files.

use std::sync::LazyLock;

use serde_json::Value;

use super::{Shell, one_line};
use crate::pty_harness::Start;

/// Puts a track of a run of quarry-stair into the shell's folder and returns the run's own result. Flown once for all tests.
fn track(shell: &Shell) -> &'static Value {
    static FLOWN: LazyLock<(String, Value)> = LazyLock::new(|| {
        let shell = Shell::with_pars();
        let args = [
            "simulate",
            "quarry-stair",
            "--hand",
            "green",
            "--track",
            "track.csv",
            "--json",
        ];
        let own = shell.json(&args);
        let text = std::fs::read_to_string(shell.folder.join("track.csv"));
        (text.unwrap(), own)
    });
    let (text, own) = &*FLOWN;
    shell.folder.file("track.csv", text);
    own
}

/// Two columns of the track, every fourth row, after 20 s of constant altitude, without the rows of a stretch.
fn altitude_alone(shell: &Shell, without: std::ops::Range<f64>) -> String {
    let text = std::fs::read_to_string(shell.folder.join("track.csv")).unwrap();
    let mut rows = text.lines().skip(1).step_by(4).map(|row| {
        let cells: Vec<f64> = row.split(',').map(|cell| cell.parse().unwrap()).collect();
        (cells[0] + 520.0, cells[5] / 0.3048)
    });
    let (first_s, first_ft) = rows.next().unwrap();
    let before = (0..80).map(|n| (first_s - 20.0 + 0.25 * f64::from(n), first_ft));
    let all = before.chain([(first_s, first_ft)]).chain(rows);
    let rows = all.filter(|(t_s, _)| !without.contains(t_s));
    let rows = rows.map(|(t_s, ft)| format!("{:.0};{ft:.2}\n", 1000.0 * t_s));
    "Clock;ALT\n".to_string() + &rows.collect::<String>()
}

const COLUMNS: &str = "t=Clock:ms,altitude=ALT:ft";

#[test]
fn a_track_of_ours_is_told_like_its_run() {
    let shell = Shell::with_pars();
    let own = track(&shell);
    let judged = shell.json(&["judge", "track.csv", "--drill", "quarry-stair", "--json"]);
    let points = |of: &Value, n: usize| of["tasks"][n]["points"].as_f64();
    for n in 0..4 {
        let (a, b) = (points(own, n), points(&judged, n));
        assert!(
            a.zip(b).map_or(a == b, |(a, b)| (a - b).abs() <= 1.0),
            "{a:?} {b:?}"
        );
        for key in ["best", "par"] {
            assert_eq!(own["tasks"][n][key], judged["tasks"][n][key], "{n} {key}");
        }
        let task = &judged["tasks"][n];
        if let Some(lines) = task["bill"].as_array() {
            let lost: f64 = lines
                .iter()
                .filter_map(|line| line["points"].as_f64())
                .sum();
            let in_reach = task["in_reach"].as_f64().unwrap();
            assert!((in_reach - lost - points(&judged, n).unwrap()).abs() < 1e-6);
        }
    }
    assert!(!judged["findings"].as_array().unwrap().is_empty());
    assert_eq!(judged["track"]["begin_s"], 0.0);
    assert_eq!(judged["track"]["missing"], serde_json::json!([]));
    let text = shell.good(&["judge", "track.csv", "--drill", "quarry-stair"]);
    assert!(text.contains("Bill of task"), "{text}");
    assert!(
        text.contains("until here") || text.contains("dotted: "),
        "{text}"
    );
    assert!(
        text.lines().all(|line| line.chars().count() <= 78),
        "{text}"
    );
    assert!(text.trim_end().ends_with(leveloff::export::CAUTION));
}

#[test]
fn altitude_alone_tells_what_it_can() {
    let shell = Shell::with_pars();
    let own = track(&shell);
    shell
        .folder
        .file("alt.csv", altitude_alone(&shell, 560.0..563.0));
    let args = [
        "judge",
        "alt.csv",
        "--drill",
        "quarry-stair",
        "--columns",
        COLUMNS,
    ];
    let judged = shell.json(&[&args[..], &["--json"]].concat());
    let told = &judged["track"];
    assert!(
        // A beginner leaves late, which altitude alone does not show.
        (told["begin_s"].as_f64().unwrap() - 520.0).abs() <= 10.0,
        "{told}"
    );
    assert_eq!(
        told["missing"],
        serde_json::json!(["lever", "speed", "alpha"])
    );
    assert_eq!(told["gaps"].as_array().unwrap().len(), 1, "{told}");
    assert_eq!(told["gaps"][0]["bridged"], true);
    assert_eq!(judged["points"], Value::Null);
    let (a, b) = (&own["tasks"][1], &judged["tasks"][1]);
    let feet = |of: &Value| of["overshoot_ft"].as_f64().unwrap();
    assert!((feet(a) - feet(b)).abs() <= 1.0, "{a} {b}");
    for key in [
        "points",
        "cost",
        "lever_travel",
        "lever_reversals",
        "alpha_error_deg",
        "bill",
    ] {
        assert_eq!(b[key], Value::Null, "{key}");
    }
    let text = shell.good(&args);
    for said in [
        "No rows from",
        "Not in the track, so no figures come from it: lever, airspeed, angle of attack.",
        "the level-off from a descent of",
        "before it leaves 1,660 ft for 1,310 ft",
        "no points without the lever",
        "Points: not known",
    ] {
        assert!(text.replace('\n', " ").contains(said), "{said}: {text}");
    }
    // A gap too long to bridge ends it.
    shell
        .folder
        .file("alt.csv", altitude_alone(&shell, 560.0..575.0));
    let judged = shell.json(&[&args[..], &["--json"]].concat());
    assert_eq!(judged["complete"], false);
    assert_eq!(judged["track"]["gaps"][0]["bridged"], false);
    let text = shell.good(&args);
    assert!(text.contains("The track can be followed until"), "{text}");
}

/// A typical telephone's log: one row a second, metres, decimal commas, a byte order mark, semicolons, CRLF, a gap.
#[test]
fn a_log_of_a_telephone_is_read_as_it_is() {
    let shell = Shell::with_pars();
    let own = track(&shell);
    let text = std::fs::read_to_string(shell.folder.join("track.csv")).unwrap();
    let rows = text.lines().skip(1).step_by(16).filter_map(|row| {
        let cells: Vec<f64> = row.split(',').map(|cell| cell.parse().unwrap()).collect();
        let is_there = !(60.5..67.5).contains(&cells[0]);
        let row = format!("{:.1};{:.1}\r\n", cells[0], cells[5]);
        is_there.then(|| row.replace('.', ","))
    });
    let log = "\u{feff}Time;alt (m)\r\n".to_string() + &rows.collect::<String>();
    shell.folder.file("log.csv", log);
    let judged = shell.json(&[
        "judge",
        "log.csv",
        "--drill",
        "quarry-stair",
        "--start",
        "0",
        "--json",
    ]);
    let feet = |of: &Value| of["tasks"][1]["overshoot_ft"].as_f64().unwrap();
    assert!((feet(own) - feet(&judged)).abs() <= 3.0, "{judged}");
    assert_eq!(judged["track"]["gaps"][0]["bridged"], true, "{judged}");
    assert_eq!(judged["track"]["rows_per_s"], 1.0);
}

#[test]
fn on_a_terminal_it_is_a_debrief_to_step_through() {
    let shell = Shell::with_pars();
    track(&shell);
    let alt = altitude_alone(&shell, 560.0..563.0);
    shell.folder.file("alt.csv", alt);
    let path = shell.folder.join("alt.csv");
    let args = [
        "judge",
        path.to_str().unwrap(),
        "--drill",
        "quarry-stair",
        "--columns",
        COLUMNS,
    ];
    let start = Start::on(80, 24).args(&args);
    let mut pty = start.spawn();
    pty.wait_text("Points and the bill need the lever");
    pty.wait_text("c compare");
    pty.send("c");
    pty.wait_text("dotted: best");
    pty.send("q");
    assert_eq!(pty.exit_code(), 0);
}

#[test]
fn pages_and_pictures_are_written() {
    let shell = Shell::with_pars();
    track(&shell);
    let out = shell.good(&[
        "judge",
        "track.csv",
        "--drill",
        "quarry-stair",
        "--html",
        "out.html",
        "--svg",
        "out.svg",
    ]);
    assert_eq!(out, "");
    let read = |name: &str| std::fs::read_to_string(shell.folder.join(name)).unwrap();
    assert!(read("out.svg").starts_with("<svg"));
    assert!(read("out.html").contains("read from track.csv"));
}

#[test]
fn what_is_not_right_is_told_with_its_place() {
    let shell = Shell::new();
    let rows: String = (0..20).map(|n| format!("{n},1000\n")).collect();
    let good = format!("t_s,altitude_ft\n{rows}");
    let cases: &[(String, &str)] = &[
        (
            String::new(),
            "1:1: the file is empty; the first line must name the columns",
        ),
        (
            rows.clone(),
            "1:1: the first line holds numbers; it must name the columns",
        ),
        (
            good.replace("altitude_ft", "HGT"),
            "1:1: there is no column `altitude_ft`; say which it is",
        ),
        (
            good.replace("altitude_ft", "ALT"),
            "1:1: `ALT` has no unit (ft or m); give --columns altitude=ALT:ft",
        ),
        (
            good.replace("altitude_ft", "altitude"),
            "1:1: `altitude` has no unit (ft or m)",
        ),
        (
            good.replace("\n7,1000", "\n7,1000,3"),
            "9:1: 3 cells in a row; the header has 2",
        ),
        (
            good.replace("\n7,1000", "\n7,abc"),
            "9:3: `altitude` is `abc`; it takes a number",
        ),
        (
            good.replace("\n7,1000", "\n7,nan"),
            "9:3: `altitude` is `nan`; it takes a number",
        ),
        (
            good.replace("\n7,1000", "\n7,1e9"),
            "9:3: `altitude` is 1e9; it takes a number from",
        ),
        (
            good.replace("altitude_ft\n", "altitude_ft,path_rad\n")
                .replace(",1000", ",1000,1.7"),
            "2:8: `path` is 1.7; it takes a number from -1.5 to 1.5",
        ),
        (
            good.replace("\n7,1000", "\n,1000"),
            "9:1: the time is missing; give one in each row",
        ),
        (
            good.replace("\n7,1000", "\n5,1000"),
            "9:1: the time 5 s comes after 6 s; times must ascend",
        ),
        (
            good.replace("\n7,1000", "\n7,\u{1b}[2Jx"),
            "9:3: `altitude` is `\\u{1b}[2Jx`; it takes a number",
        ),
        (
            good.replace("t_s", "t_min"),
            "1:1: its rows are 60 s apart; give at least one a second",
        ),
        (
            "t_s,altitude_ft\n0,1000\n1,1000\n".to_string(),
            "4:1: rows with an altitude: 2; give at least 8",
        ),
    ];
    for (text, said) in cases {
        shell.folder.file("own.csv", text);
        let err = shell.bad(2, &["judge", "own.csv", "--drill", "catch-the-sink"]);
        let line = one_line(&err);
        assert!(
            line.starts_with(&format!("own.csv:{said}")),
            "{said}\n{line}"
        );
    }
    shell.folder.file("own.csv", &good);
    for (more, said) in [
        (
            &["--drill", "a-mile-out"] as &[&str],
            "a path, but the track has no distance; give a column",
        ),
        (
            &["--drill", "catch-the-sink"],
            "the first task of catch-the-sink cannot be found in it; give --start",
        ),
        (
            &["--drill", "catch-the-sink", "--start", "99"],
            "the track goes from 0 to 19 s; give a time within it",
        ),
        (
            &["--drill", "catch-the-sink", "--columns", "altitude=ALT:ft"],
            "there is no column `ALT`",
        ),
        (
            &[
                "--drill",
                "catch-the-sink",
                "--columns",
                "altitude=altitude_ft:kt",
            ],
            "`altitude` cannot be in `kt`; give ft or m",
        ),
        (
            &["--drill", "catch-the-sink", "--columns", "hight=ALT"],
            "there is no `hight`",
        ),
    ] {
        let err = shell.bad(2, &[&["judge", "own.csv"], more].concat());
        assert!(err.contains(said), "{said}\n{err}");
    }
}
