//! Hostile files and arguments, full disks, and closed pipes.
#![cfg(unix)]

use std::fs::{self, File};
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use leveloff::drill::printable::is_plain;

use super::writes::on_a_full_disk;
use super::{Outcome, Shell, hold_drill, one_line};

/// Longer than anything here takes, shorter than an endless wait.
const LIMIT: Duration = Duration::from_secs(20);

/// The outcome of a command that must end on its own.
fn ends(mut command: Command) -> Outcome {
    let child = command.stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = child.spawn().unwrap();
    let since = Instant::now();
    while child.try_wait().unwrap().is_none() {
        if since.elapsed() > LIMIT {
            child.kill().unwrap();
            panic!("still at it after {LIMIT:?}: {command:?}");
        }
        std::thread::sleep(Duration::from_millis(5));
    }
    child.wait_with_output().unwrap().into()
}

/// Saves a run where there is a logbook already, so that its pars are kept as well.
fn saved(shell: &Shell) -> String {
    let save = || shell.save("catch-the-sink", &["--hand", "steady"]);
    save();
    save()
}

/// Puts something else in the place of a file.
fn replace(path: &Path, put: &str) {
    let _ = fs::remove_file(path);
    match put {
        "pipe" => assert!(Command::new("mkfifo").arg(path).status().unwrap().success()),
        "huge" => File::create(path).unwrap().set_len(5 << 30).unwrap(),
        "device" => std::os::unix::fs::symlink("/dev/zero", path).unwrap(),
        _ => fs::create_dir(path).unwrap(),
    }
}

#[test]
fn only_regular_files_of_a_sensible_size_are_read() {
    for put in ["pipe", "huge", "device", "folder"] {
        let shell = Shell::with_pars();
        let id = saved(&shell);
        let run = format!("data/runs/{id}.json");
        shell
            .folder
            .file("d.toml", hold_drill("own.toml", 1000.0, 5.0));
        let cases: &[(&str, i32, &[&str])] = &[
            ("data/logbook.jsonl", 1, &["log"]),
            ("data/logbook.jsonl", 1, &["debrief"]),
            (&run, 1, &["debrief", &id]),
            ("drill.toml", 2, &["check", "drill.toml"]),
            ("drill.toml", 2, &["brief", "drill.toml"]),
            ("own.toml", 2, &["check", "d.toml"]),
            (
                "l.csv",
                2,
                &["simulate", "catch-the-sink", "--lever", "l.csv"],
            ),
        ];
        for (file, code, args) in cases {
            replace(&shell.folder.join(file), put);
            let outcome = ends(shell.command(args));
            assert_eq!(outcome.code, Some(*code), "{put} {file}: {outcome:?}");
            assert_eq!(outcome.out, "", "{put} {file}");
            one_line(&outcome.err);
            let path = shell.folder.join(file);
            let _ = fs::remove_file(&path).or_else(|_| fs::remove_dir(&path));
        }
        // Pars are recomputed. A run that cannot be added to a broken logbook prints its result first, then the error.
        let par = fs::read_dir(shell.folder.join("data/par")).unwrap();
        for file in par {
            replace(&file.unwrap().path(), put);
        }
        replace(&shell.folder.join("data/logbook.jsonl"), put);
        let args = ["simulate", "catch-the-sink", "--hand", "steady"];
        let plain = ends(shell.command(&args));
        assert_eq!(plain.code, Some(0), "{put}: {plain:?}");
        if put != "huge" {
            let saving = ends(shell.command(&[&args[..], &["--save"]].concat()));
            assert_eq!((saving.code, saving.out), (Some(1), plain.out), "{put}");
            assert!(one_line(&saving.err).contains("was not saved"), "{put}");
        }
    }
}

#[test]
fn a_recording_that_says_too_much_ends_all_the_same() {
    let shell = Shell::with_pars();
    let id = saved(&shell);
    let file = shell.recording(&id);
    let text = fs::read_to_string(&file).unwrap();
    let (body, _) = text.rsplit_once(",\"seal\"").unwrap();
    let ticks = body.split_once("\"ticks\":").unwrap().1;
    let ticks = ticks.split_once(',').unwrap().0;
    let from = format!("\"ticks\":{ticks}");
    fs::write(
        &file,
        body.replacen(&from, "\"ticks\":1000000000000000", 1) + "}",
    )
    .unwrap();
    let outcome = ends(shell.command(&["debrief", &id]));
    assert_eq!((outcome.code, outcome.out.as_str()), (Some(1), ""));
    assert!(outcome.err.contains("1000000000000000"), "{outcome:?}");
}

/// Characters that a stranger's text may hold and a terminal must not get.
const SLY: &str = "\u{1b}]0;gotcha\u{7}\u{9b}31m\u{7f}\u{202e}\u{200b}";

#[test]
fn a_recording_reaches_the_terminal_only_in_plain_characters() {
    let shell = Shell::with_pars();
    let id = saved(&shell);
    let file = shell.recording(&id);
    let text = fs::read_to_string(&file).unwrap();
    let (body, _) = text.rsplit_once(",\"seal\"").unwrap();
    let sly: String = SLY
        .encode_utf16()
        .map(|unit| format!("\\u{unit:04x}"))
        .collect();
    let is_plain = |text: &str| text.chars().all(|c| is_plain(c) || c == '\n');

    // The id must match the file's name, whatever else is changed.
    fs::write(
        &file,
        body.replace(&format!("\"id\":\"{id}\""), &format!("\"id\":\"{sly}\"")) + "}",
    )
    .unwrap();
    let err = shell.bad(1, &["debrief", &id]);
    assert!(is_plain(&err) && err.contains("gotcha"), "{err:?}");

    for (key, code) in [("at", 0), ("drill", 0), ("digest", 1), ("air", 1)] {
        let from = body.split_once(&format!("\"{key}\":")).unwrap().1;
        let from = from.split_once(',').unwrap().0;
        let changed = body.replacen(
            &format!("\"{key}\":{from}"),
            &format!("\"{key}\":\"{sly}\""),
            1,
        );
        fs::write(&file, changed + "}").unwrap();
        for args in [&["debrief", &id][..], &["debrief", &id, "--json"]] {
            let outcome = shell.run(args);
            assert_eq!(outcome.code, Some(code), "{key}: {outcome:?}");
            assert!(
                is_plain(&outcome.out) && is_plain(&outcome.err),
                "{key}: {outcome:?}"
            );
            if code == 0 {
                assert!(outcome.err.contains("has no seal"), "{key}: {outcome:?}");
            }
        }
    }
}

#[test]
fn arguments_and_json_come_back_in_plain_characters() {
    let shell = Shell::with_pars();
    let is_plain = |text: &str| text.chars().all(|c| is_plain(c) || c == '\n');
    let cases: &[&[&str]] = &[
        &[SLY],
        &["simulate", "catch-the-sink", "--hand", SLY],
        &[
            "simulate",
            "catch-the-sink",
            "--hand",
            "steady",
            "--seed",
            SLY,
        ],
        &[
            "simulate",
            "catch-the-sink",
            "--hand",
            "steady",
            "--air",
            SLY,
        ],
        &["brief", SLY],
        &["check", SLY],
        &["aircraft", SLY],
        &["debrief", SLY],
        &["note", SLY, "x"],
    ];
    for args in cases {
        let outcome = shell.run(args);
        assert_eq!(outcome.code, Some(2), "{args:?}: {outcome:?}");
        assert!(outcome.err.contains("31m"), "{args:?}: {outcome:?}");
        assert!(is_plain(&outcome.err), "{args:?}: {outcome:?}");
    }
    // A drill takes its id from its file's name, which may hold anything.
    let name = "a\u{9b}\u{7f}\u{202e}b.toml";
    shell.folder.file(name, hold_drill("deck jet", 1000.0, 5.0));
    for args in [
        &["simulate", name, "--hand", "steady", "--save", "--json"][..],
        &["log", "--json"],
    ] {
        let out = shell.good(args);
        assert!(is_plain(&out), "{args:?}: {out:?}");
        let told: serde_json::Value = serde_json::from_str(&out).unwrap();
        let drill = told.get("drill").unwrap_or(&told["entries"][0]["drill"]);
        assert_eq!(drill, name.strip_suffix(".toml").unwrap());
    }
    assert!(is_plain(&shell.good(&["log"])));
    let drill = hold_drill("deck jet", 1000.0, 5.0).replace("\"Hold\"", "\"Ho\u{202e}ld\"");
    shell.folder.file("sly.toml", drill);
    let err = shell.bad(2, &["check", "sly.toml"]);
    assert!(one_line(&err).contains("invisible character"), "{err}");
}

#[test]
fn wide_names_keep_the_columns() {
    let shell = Shell::new();
    for name in ["\u{7740}\u{9678}\u{7df4}\u{7fd2}", "hold"] {
        let file = format!("{name}.toml");
        shell
            .folder
            .file(&file, hold_drill("deck jet", 1000.0, 5.0));
        shell.good(&["simulate", &file, "--hand", "steady", "--save"]);
    }
    let out = shell.good(&["log"]);
    let at = |line: &str| {
        let (before, _) = line.split_once("  steady").unwrap();
        leveloff::drill::printable::columns(before)
    };
    let places: Vec<usize> = out.lines().map(at).collect();
    assert_eq!(places.len(), 2);
    assert_eq!(places[0], places[1], "{out}");
}

#[cfg(target_os = "linux")]
#[test]
fn output_that_cannot_be_written_is_an_error() {
    let shell = Shell::new();
    let cases: &[&[&str]] = &[&["--help"], &["--version"], &["fly", "--help"], &["drills"]];
    for args in cases {
        let full = fs::OpenOptions::new()
            .write(true)
            .open("/dev/full")
            .unwrap();
        let output = shell.command(args).stdout(full).output().unwrap();
        assert_eq!(output.status.code(), Some(1), "{args:?}: {output:?}");
        assert!(!output.stderr.is_empty(), "{args:?}");
    }
}

/// A limit on the size of files simulates a disk that fills up: with each limit another write is the first to fail.
#[test]
fn a_full_disk_keeps_a_run_whole_or_not_at_all_and_its_result_is_told() {
    let shell = Shell::new();
    let args = ["simulate", "catch-the-sink", "--hand", "steady", "--save"];
    let told = shell.good(&args[..4]);
    // Blank lines, so that the logbook is longer than a recording.
    let blank = " ".repeat(99) + "\n";
    let mut seen = [false; 3];
    for blocks in [0, 1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 1024] {
        let data = shell.folder.join("data");
        let _ = fs::remove_dir_all(&data);
        fs::create_dir_all(&data).unwrap();
        fs::write(data.join("logbook.jsonl"), blank.repeat(1000)).unwrap();
        let outcome = on_a_full_disk(&shell, blocks, &args);
        let runs = fs::read_dir(data.join("runs")).map_or(0, Iterator::count);
        let listed = shell.good(&["log"]).lines().count();
        assert!(outcome.out.starts_with(&told), "{blocks}: {outcome:?}");
        match outcome.code {
            Some(0) => {
                seen[0] = true;
                assert_eq!((runs, listed), (1, 1), "{blocks}");
            }
            code => {
                assert_eq!(
                    (code, runs, listed),
                    (Some(1), 0, 0),
                    "{blocks}: {outcome:?}"
                );
                let err = one_line(&outcome.err);
                seen[1] |= err.contains("cannot write");
                seen[2] |= err.contains("cannot add to");
            }
        }
    }
    assert_eq!(seen, [true; 3], "saved, no recording, no line");
}

/// A flight is stored once: weighing a drill of twenty minutes takes the memory of a few flights of it, not of a hundred.
#[cfg(target_os = "linux")]
#[test]
fn a_long_drill_is_weighed_in_little_memory() {
    let shell = Shell::new();
    let drill = hold_drill("deck jet", 1000.0, 1200.0)
        .replace("[[task]]", "[air]\ngusts = \"lively\"\n[[task]]");
    shell
        .folder
        .file("d.toml", drill.replace("band_ft = 2000", "band_ft = 40"));
    let most_kib = weighed_in_kib(&shell);
    assert!(most_kib > 0 && most_kib < 64 << 10, "{most_kib} KiB");
}

/// As many tasks as a drill may have: what is kept of each must not hold the whole run.
#[cfg(target_os = "linux")]
#[test]
#[ignore = "takes half a minute; run it in release"]
fn a_drill_of_two_hundred_tasks_is_weighed_in_bounded_memory() {
    let shell = Shell::new();
    let begin = "title = 'T'\nabout = 'A'\naircraft = 'deck jet'\n[start]\naltitude_ft = 1200\n";
    let steps = (0..200).map(|n| {
        let to_ft = if n % 2 == 0 { 1400 } else { 1200 };
        format!(
            "[[task]]\nstep = {{ to_ft = {to_ft}, band_ft = 25, hold_s = 10, within_s = 60 }}\n"
        )
    });
    shell
        .folder
        .file("d.toml", begin.to_string() + &steps.collect::<String>());
    let most_kib = weighed_in_kib(&shell);
    assert!(most_kib > 0 && most_kib < 640 << 10, "{most_kib} KiB");
}

/// The most memory, read from `/proc`, that the flight of `d.toml` by `green`, and its weighing, take, KiB.
#[cfg(target_os = "linux")]
fn weighed_in_kib(shell: &Shell) -> u64 {
    let mut command = shell.command(&["simulate", "d.toml", "--hand", "green"]);
    let mut child = command.stdout(Stdio::null()).spawn().unwrap();
    let mut most_kib: u64 = 0;
    while child.try_wait().unwrap().is_none() {
        most_kib = most_kib.max(crate::pty_harness::peak_kib(child.id()).unwrap_or(0));
        std::thread::sleep(Duration::from_millis(5));
    }
    assert!(child.wait().unwrap().success());
    most_kib
}
