//! The real binary, from arguments to exit code.

mod briefs;
mod contracts;
mod conventions;
mod demonstrations;
mod files;
mod fits;
mod gates;
mod handing;
mod hostile;
mod judging;
mod kills;
mod lessons;
mod notes;
mod pilots;
mod repeats;
mod runs;
mod scripts;
mod waiting;
mod weighing;
mod writes;

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use crate::folder::Folder;
use crate::kept;

/// The program in a folder of its own, with its logbook in `data` there and no terminal.
pub struct Shell {
    pub folder: Folder,
}

/// The result of a command.
#[derive(Debug)]
pub struct Outcome {
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
}

impl Shell {
    pub fn new() -> Shell {
        Shell {
            folder: Folder::new(),
        }
    }

    /// The same, with the pars of the most used drills already in the logbook's folder, for tests that are not about weighing.
    pub fn with_pars() -> Shell {
        let shell = Shell::new();
        kept::lay_pars(&shell.folder.join("data"));
        shell
    }

    pub fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_leveloff"));
        command
            .args(args)
            .current_dir(self.folder.path())
            .env("LEVELOFF_DATA", self.folder.join("data"))
            .env("HOME", self.folder.path())
            .env_remove("XDG_DATA_HOME")
            .env_remove("XDG_CONFIG_HOME")
            .stdin(Stdio::null());
        command
    }

    pub fn run(&self, args: &[&str]) -> Outcome {
        self.command(args).output().unwrap().into()
    }

    /// Standard output of a command that must succeed.
    pub fn good(&self, args: &[&str]) -> String {
        let outcome = self.run(args);
        assert_eq!(outcome.code, Some(0), "{args:?}: {outcome:?}");
        outcome.out
    }

    /// Standard error of a command that must exit with `code` and print nothing on standard output.
    pub fn bad(&self, code: i32, args: &[&str]) -> String {
        let outcome = self.run(args);
        assert_eq!(outcome.code, Some(code), "{args:?}: {outcome:?}");
        assert_eq!(outcome.out, "", "{args:?}");
        outcome.err
    }

    pub fn json(&self, args: &[&str]) -> serde_json::Value {
        serde_json::from_str(&self.good(args)).unwrap()
    }

    /// Flies a drill without a screen, keeps the run and returns its id.
    pub fn save(&self, drill: &str, more: &[&str]) -> String {
        let args = ["simulate", drill, "--save", "--json"];
        let result = self.json(&[&args[..], more].concat());
        result["id"].as_str().unwrap().to_string()
    }

    /// The file of a run that was kept.
    pub fn recording(&self, id: &str) -> PathBuf {
        self.folder.join(&format!("data/runs/{id}.json"))
    }
}

impl From<Output> for Outcome {
    fn from(output: Output) -> Outcome {
        Outcome {
            code: output.status.code(),
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
        }
    }
}

/// A drill of one hold.
pub fn hold_drill(aircraft: &str, altitude_ft: f64, seconds: f64) -> String {
    format!(
        "title = \"Hold\"\nabout = \"Hold.\"\naircraft = \"{aircraft}\"\n[start]\naltitude_ft = {altitude_ft}\n\
         [[task]]\nhold = {{ altitude_ft = {altitude_ft}, band_ft = 2000, seconds = {seconds} }}\n"
    )
}

/// The message, which must be a single line.
pub fn one_line(err: &str) -> &str {
    assert_eq!(err.lines().count(), 1, "{err}");
    err.trim_end()
}

#[test]
fn help_ends_in_the_caution() {
    let shell = Shell::new();
    let help = shell.good(&["--help"]);
    assert!(
        help.trim_end().ends_with(leveloff::export::CAUTION),
        "{help}"
    );
    assert!(shell.good(&["--version"]).starts_with("leveloff "));
}

#[test]
fn the_caution_fits_three_lines_of_78_columns() {
    let lines: Vec<&str> = leveloff::export::CAUTION.lines().collect();
    assert!(lines.len() <= 3);
    assert!(lines.iter().all(|line| line.chars().count() <= 78));
}

#[test]
fn what_needs_a_terminal_says_so_and_what_does_not() {
    let shell = Shell::new();
    for args in [&[] as &[&str], &["fly", "catch-the-sink"]] {
        let err = shell.bad(2, args);
        let line = one_line(&err);
        for told in [
            "needs a terminal",
            "commands that print need none",
            "--help",
        ] {
            assert!(line.contains(told), "{line}");
        }
    }
}

#[test]
fn wrong_arguments_end_in_two() {
    let shell = Shell::new();
    let cases: &[&[&str]] = &[
        &["nonsense"],
        &["fly"],
        &["check"],
        &["brief"],
        &["brief", "nowhere"],
        &["simulate", "catch-the-sink"],
        &["simulate", "catch-the-sink", "--hand", "nobody"],
        &[
            "simulate",
            "catch-the-sink",
            "--hand",
            "steady",
            "--lever",
            "x.csv",
        ],
        &[
            "simulate",
            "catch-the-sink",
            "--hand",
            "steady",
            "--seed",
            "-1",
        ],
        &[
            "simulate",
            "catch-the-sink",
            "--hand",
            "steady",
            "--seed",
            "18446744073709551616",
        ],
        &[
            "simulate",
            "catch-the-sink",
            "--hand",
            "steady",
            "--air",
            "61",
        ],
        &["simulate", "catch-the-sink", "--hand", "steady", "--air=-1"],
        &[
            "simulate",
            "catch-the-sink",
            "--hand",
            "steady",
            "--air",
            "NaN",
        ],
        &[
            "simulate",
            "catch-the-sink",
            "--hand",
            "steady",
            "--air",
            "breezy",
        ],
        &["aircraft", "deck jet", "--altitude-ft", "inf"],
        &["debrief", "--json", "--text"],
    ];
    for args in cases {
        let err = shell.bad(2, args);
        assert!(!err.is_empty(), "{args:?}");
    }
}

#[test]
fn a_closed_pipe_is_success() {
    let shell = Shell::with_pars();
    shell.good(&["simulate", "catch-the-sink", "--hand", "steady", "--save"]);
    let cases: &[&[&str]] = &[
        &["--help"],
        &["drills"],
        &["aircraft"],
        &["aircraft", "deck jet", "--json"],
        &["brief", "catch-the-sink"],
        &["log"],
        &["debrief"],
        &["simulate", "catch-the-sink", "--hand", "steady", "--json"],
    ];
    for args in cases {
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        let output = shell.command(args).stdout(writer).output().unwrap();
        assert_eq!(output.status.code(), Some(0), "{args:?}: {output:?}");
        assert!(output.stderr.is_empty(), "{args:?}: {output:?}");
    }
}

#[test]
fn the_logbook_is_where_one_says() {
    let shell = Shell::new();
    let save = ["simulate", "catch-the-sink", "--hand", "steady", "--save"];
    let has = |dir: &Path| dir.join("logbook.jsonl").is_file();

    shell.good(&save);
    assert!(has(&shell.folder.join("data")));

    let option = shell.folder.join("option");
    shell.good(&[&save[..], &["--data", option.to_str().unwrap()]].concat());
    assert!(has(&option));

    let home = shell
        .command(&save)
        .env_remove("LEVELOFF_DATA")
        .output()
        .unwrap();
    assert!(home.status.success());
    #[cfg(target_os = "linux")]
    assert!(has(&shell.folder.join(".local/share/leveloff")));

    #[cfg(target_os = "linux")]
    {
        let mut command = shell.command(&save);
        command
            .env("LEVELOFF_DATA", "")
            .env("XDG_DATA_HOME", shell.folder.join("xdg"));
        assert!(command.output().unwrap().status.success());
        assert!(has(&shell.folder.join("xdg/leveloff")));
    }
}
