//! Every place that writes, on a disk that is full at once or after some bytes. A failed write is reported in one line and in
//! the exit code, no file is torn, and existing files stay.
#![cfg(unix)]

use std::fs;
use std::path::Path;
use std::process::Command;

use super::fits::ROWS;
use super::{Outcome, Shell, one_line};

/// The outcome of a command that can write no file longer than `blocks`: a longer file breaks off on the way.
pub fn on_a_full_disk(shell: &Shell, blocks: u32, args: &[&str]) -> Outcome {
    let program = shell.command(args);
    let script = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" \"$@\"");
    let mut command = Command::new("/bin/sh");
    command.arg("-c").arg(script).arg(program.get_program());
    command.args(program.get_args());
    command.current_dir(shell.folder.path());
    for (name, value) in program.get_envs() {
        match value {
            Some(value) => command.env(name, value),
            None => command.env_remove(name),
        };
    }
    command.output().unwrap().into()
}

/// Every file below a folder with its contents. Empty files do not count: a file of lines is created before it is filled, so
/// that it can be locked.
fn files(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        match path.is_dir() {
            true => found.extend(files(&path)),
            false => {
                let bytes = fs::read(&path).unwrap();
                if !bytes.is_empty() {
                    found.push((path.display().to_string(), bytes));
                }
            }
        }
    }
    found.sort();
    found
}

#[test]
fn whatever_cannot_be_written_is_told_and_leaves_all_as_it_was() {
    let shell = Shell::new();
    let fly = ["simulate", "catch-the-sink", "--hand", "steady"];
    let save = || shell.save(fly[1], &["--hand", "steady", "--seed", "3"]);
    save();
    let id = &save();
    let note = "x".repeat(900);
    shell.folder.file("old.html", "what was there");
    shell.folder.file("rows.csv", ROWS);
    let cases: [(&[&str], &str); 8] = [
        (&["debrief", id, "--html", "new.html"], "new.html"),
        (&["debrief", id, "--html", "old.html"], "old.html"),
        (&["debrief", id, "--svg", "new.svg"], "new.svg"),
        (
            &[fly[0], fly[1], fly[2], fly[3], "--track", "new.csv"],
            "new.csv",
        ),
        (&["note", id, &note], "notes.jsonl"),
        (
            &[
                "fit",
                "--rows",
                "rows.csv",
                "--engine-from-idle-s",
                "3.6",
                "--stall-kt",
                "108",
                "--jet",
                "--out",
                "mine.toml",
            ],
            "mine.toml",
        ),
        (&["config", "init"], "config.toml"),
        (&[fly[0], fly[1], fly[2], fly[3], "--save"], "runs"),
    ];
    for (args, named) in cases {
        let before = files(shell.folder.path());
        for blocks in [0, 1] {
            let outcome = on_a_full_disk(&shell, blocks, args);
            assert_eq!(
                outcome.code,
                Some(1),
                "{args:?}, {blocks} blocks: {outcome:?}"
            );
            let said = one_line(&outcome.err);
            assert!(said.contains(named), "{args:?}: {said}");
            assert_eq!(
                files(shell.folder.path()),
                before,
                "{args:?}, {blocks} blocks"
            );
        }
        // The failed tries leave nothing in the way.
        shell.good(args);
    }
}
