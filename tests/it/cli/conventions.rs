//! The conventions of shell programs: examples that run, a manual page, completions, preferences.

use std::fs;
use std::path::Path;
use std::process::Command;

use leveloff::drill::{Skill, library};
use leveloff::why::LineKind;

use super::{Shell, hold_drill};
use crate::pty_harness::Start;

/// A log with names of its own.
const FLIGHT: &str = "\
Time,ALT,THR
0,1200,30\n1,1190,30\n2,1178,32\n3,1165,35\n4,1150,37\n5,1133,38\n6,1115,38\n7,1096,38\n8,1076,40\n9,1056,40\n";

/// The run that the examples name.
const ID: &str = "20261125-223015-a1b2";

/// The example lines of a command's help.
fn examples(shell: &Shell, command: &[&str]) -> Vec<String> {
    let help = shell.good(&[command, &["--help"]].concat());
    let (_, rest) = help
        .split_once("Examples:\n")
        .unwrap_or_else(|| panic!("{command:?} has no examples:\n{help}"));
    let lines = rest.lines().take_while(|line| line.starts_with("  "));
    let own = lines.filter_map(|line| line.strip_prefix("  leveloff"));
    own.map(|line| format!("leveloff{line}")).collect()
}

/// The commands as the program's own help lists them.
fn commands(shell: &Shell) -> Vec<String> {
    let help = shell.good(&["--help"]);
    let (_, rest) = help.split_once("Commands:\n").unwrap();
    let rows = rest.lines().take_while(|line| !line.is_empty());
    let names = rows.filter(|row| !row.starts_with("   "));
    let names = names.filter_map(|row| row.split_whitespace().next());
    let names = names.filter(|name| *name != "help");
    names.map(String::from).collect()
}

/// Provides the files that the examples name: a drill, a lever script and a run with their id.
fn furnish(shell: &Shell) {
    shell
        .folder
        .file("drill.toml", hold_drill("deck jet", 1000.0, 30.0));
    shell
        .folder
        .file("lever.csv", "t_s,lever\n2.0,0.5\n5.0,0.38\n");
    shell.folder.file("rows.csv", super::fits::ROWS);
    shell.folder.file("flight.csv", FLIGHT);
    let id = shell.save("quarry-stair", &["--hand", "pumping"]);
    let text = fs::read_to_string(shell.recording(&id)).unwrap();
    let mut recording: serde_json::Value = serde_json::from_str(&text).unwrap();
    recording["id"] = ID.into();
    // Another id would break the seal; a run of an earlier version has none.
    recording.as_object_mut().unwrap().remove("seal");
    fs::write(shell.recording(ID), recording.to_string()).unwrap();
    fs::create_dir(shell.folder.join("recordings")).unwrap();
    for name in ["one.json", "other.json", "recordings/one.json"] {
        shell.folder.file(name, &text);
    }
}

#[test]
fn every_example_of_every_help_runs() {
    let shell = Shell::with_pars();
    furnish(&shell);
    let binary = Path::new(env!("CARGO_BIN_EXE_leveloff"));
    let path = format!(
        "{}:{}",
        binary.parent().unwrap().display(),
        std::env::var("PATH").unwrap_or_default()
    );
    let mut all = examples(&shell, &[]);
    for command in commands(&shell) {
        let own = examples(&shell, &[&command]);
        assert!(!own.is_empty(), "{command}");
        let is_own = |line: &String| line.starts_with(&format!("leveloff {command}"));
        assert!(own.iter().all(is_own), "{own:?}");
        all.extend(own);
    }
    for line in all {
        if line == "leveloff" || line.starts_with("leveloff fly ") {
            let words: Vec<&str> = line.split_whitespace().skip(1).collect();
            let pty = Start::on(80, 24).args(&words);
            let mut pty = pty.spawn();
            if !words.is_empty() {
                pty.wait_text("ready: space begins");
                pty.send("q");
            }
            pty.wait_text("enter opens the brief");
            pty.send("q");
            assert_eq!(pty.exit_code(), 0, "{line}");
            continue;
        }
        let output = Command::new("sh")
            .args(["-c", &line])
            .current_dir(shell.folder.path())
            .env("PATH", &path)
            .env("LEVELOFF_DATA", shell.folder.join("data"))
            .env("HOME", shell.folder.path())
            .env("XDG_CONFIG_HOME", shell.folder.join("config"))
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(0), "{line}: {output:?}");
    }
    for made in [
        "track.csv",
        "mine.toml",
        "practice.toml",
        "leveloff.1",
        "leveloff-fly.1",
    ] {
        let text = fs::read_to_string(shell.folder.join(made)).unwrap();
        assert!(!text.is_empty(), "{made}");
    }
}

#[test]
fn the_manual_page_tells_every_command_and_ends_in_the_caution() {
    let shell = Shell::new();
    let page = shell.good(&["man"]);
    assert!(page.contains(".TH leveloff 1"), "{page}");
    for command in commands(&shell) {
        let name = format!("leveloff\\-{command}(1)");
        assert!(page.contains(&name), "{name} is not in {page}");
        let own = shell.good(&["man", &command]);
        assert!(own.contains("Examples:"), "{own}");
    }
    assert!(page.contains("not an approved training"), "{page}");
    let err = shell.bad(2, &["man", "flyy"]);
    assert!(err.contains("the nearest is `fly`"), "{err}");
}

#[test]
fn every_shell_gets_completions_for_every_command() {
    let shell = Shell::new();
    for name in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let script = shell.good(&["completions", name]);
        for command in commands(&shell) {
            assert!(script.contains(&command), "{name}: {command}");
        }
    }
    shell.bad(2, &["completions", "abacus"]);
}

#[test]
fn preferences_give_way_to_the_environment_and_that_to_arguments() {
    let shell = Shell::with_pars();
    let file = shell.good(&["config", "path"]);
    let file = Path::new(file.trim_end());
    assert!(file.starts_with(shell.folder.path()), "{file:?}");
    assert_eq!(
        shell.good(&["config", "init"]).trim_end(),
        file.to_str().unwrap()
    );
    let err = shell.bad(2, &["config", "init"]);
    assert!(err.contains("already exists"), "{err}");

    let dir = |name: &str| shell.folder.join(name).to_str().unwrap().to_string();
    let text = fs::read_to_string(file).unwrap();
    fs::write(file, format!("{text}data = {:?}\n", dir("by-file"))).unwrap();
    let save = ["simulate", "catch-the-sink", "--hand", "green", "--save"];
    let has = |name: &str| Path::new(&dir(name)).join("logbook.jsonl").is_file();
    let by_file = |args: &[&str]| {
        let mut command = shell.command(args);
        command.env_remove("LEVELOFF_DATA");
        command.output().unwrap()
    };
    assert!(by_file(&save).status.success());
    assert!(has("by-file") && !has("data"));
    shell.good(&save);
    assert!(has("data"));
    shell.good(&[&save[..], &["--data", &dir("by-argument")]].concat());
    assert!(has("by-argument"));

    let shown = |output: std::process::Output| String::from_utf8(output.stdout).unwrap();
    let rows = shown(by_file(&["config", "show"]));
    assert!(rows.contains("by-file  (from the file)"), "{rows}");
    let rows = shell.good(&["config"]);
    assert!(rows.contains("data  (from LEVELOFF_DATA)"), "{rows}");
    let rows = shell.json(&["config", "show", "--json"]);
    let data = &rows["keys"].as_array().unwrap();
    let data = data.iter().find(|row| row["key"] == "data").unwrap();
    assert_eq!(data["from"], "environment");
}

#[test]
fn the_file_that_is_begun_sets_nothing_and_every_line_taken_from_it_sets_its_key() {
    let shell = Shell::new();
    let file = shell.good(&["config", "init"]);
    let file = Path::new(file.trim_end());
    let keys = || {
        let shown = shell.json(&["config", "show", "--json"]);
        shown["keys"].as_array().unwrap().clone()
    };
    let is_set = |key: &serde_json::Value| key["from"] == "file";
    assert!(!keys().iter().any(is_set));
    let text = fs::read_to_string(file).unwrap();
    let set = text.lines().filter_map(|line| line.strip_prefix("# "));
    let set: Vec<&str> = set.filter(|line| line.contains(" = ")).collect();
    // Here the environment sets the folder of the logbook.
    let set: Vec<&str> = set
        .into_iter()
        .filter(|line| !line.starts_with("data"))
        .collect();
    fs::write(file, set.join("\n")).unwrap();
    for key in keys().iter().filter(|key| key["key"] != "data") {
        let (name, value) = (key["key"].as_str().unwrap(), key["value"].as_str().unwrap());
        assert!(is_set(key), "{key}");
        let lines = [format!("{name} = \"{value}\""), format!("{name} = {value}")];
        assert!(
            set.iter()
                .any(|line| lines.iter().any(|known| known == line)),
            "{key}"
        );
    }
}

#[test]
fn what_is_wrong_with_a_preference_is_told_with_its_place() {
    let shell = Shell::new();
    let file = shell.good(&["config", "init"]);
    for (text, wanted) in [
        ("adis = \"full\"", "; the nearest is `aids`"),
        (
            "aids = \"most\"",
            "config.toml:1:8: `aids` is \"most\"; it takes one of",
        ),
        ("aids = 3", "`aids` is a number"),
        (
            "data = \"flying\"",
            "`data` is not a full path; begin it with /",
        ),
        (
            "pilot = \"  \"",
            "config.toml:1:9: `pilot`: it takes one line of 1 to 40 plain characters",
        ),
        ("aids = ", "not valid TOML"),
    ] {
        fs::write(file.trim_end(), text).unwrap();
        let error = shell.bad(2, &["config"]);
        assert!(error.contains(wanted), "{error}");
    }
}

#[test]
fn a_wrong_preference_is_told_and_nothing_is_run() {
    let shell = Shell::new();
    let file = shell.good(&["config", "path"]);
    let file = Path::new(file.trim_end());
    fs::create_dir_all(file.parent().unwrap()).unwrap();
    fs::write(file, "aids = \"full\"\nadis = \"some\"\n").unwrap();
    for args in [&["log"] as &[&str], &["config"], &["debrief"]] {
        let err = shell.bad(2, args);
        let wanted = "config.toml:2:1: unknown key `adis` in the file; the known keys are aids";
        assert!(
            err.contains(wanted) && err.contains("nearest is `aids`"),
            "{err}"
        );
    }
    for args in [
        &["config", "path"] as &[&str],
        &["man"],
        &["drills"],
        &["--help"],
    ] {
        shell.good(args);
    }
    fs::remove_file(file).unwrap();
    let output = shell
        .command(&["log"])
        .env("LEVELOFF_AIDS", "most")
        .output();
    let err = String::from_utf8(output.unwrap().stderr).unwrap();
    assert!(
        err.contains("LEVELOFF_AIDS is `most`; it takes one of full, some, bare"),
        "{err}"
    );
}

#[test]
fn preferred_aids_are_what_a_drill_opens_with() {
    let config = crate::folder::Folder::new();
    let start = || {
        let args = ["fly", "quarry-stair", "--seed", "5"];
        let start = Start::on(80, 24).args(&args);
        start.env("XDG_CONFIG_HOME", config.path().to_str().unwrap())
    };
    fs::create_dir_all(config.join("leveloff")).unwrap();
    config.file("leveloff/config.toml", "aids = \"bare\"\n");
    for (start, aids) in [
        (start(), "aids bare"),
        (start().env("LEVELOFF_AIDS", "some"), "aids some"),
        (
            start()
                .env("LEVELOFF_AIDS", "some")
                .args(&["--aids", "full"]),
            "aids full",
        ),
    ] {
        let pty = start.spawn();
        let screen = pty.wait_text("ready: space begins");
        assert!(screen.contains(aids), "{aids}: {screen}");
    }
}

/// Every key of a table and of those in it.
fn keys_of(value: &toml::Value, into: &mut Vec<String>) {
    match value {
        toml::Value::Table(table) => {
            for (key, value) in table {
                into.push(key.clone());
                keys_of(value, into);
            }
        }
        toml::Value::Array(values) => values.iter().for_each(|value| keys_of(value, into)),
        _ => {}
    }
}

#[test]
fn the_help_of_check_names_every_key_of_what_ships() {
    let help = Shell::new().good(&["check", "--help"]);
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("drills");
    let mut keys = Vec::new();
    for folder in [root.clone(), root.join("aircraft")] {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|end| end == "toml") {
                let text = fs::read_to_string(path).unwrap();
                keys_of(&toml::from_str(&text).unwrap(), &mut keys);
            }
        }
    }
    assert!(keys.len() > 500, "{}", keys.len());
    let words: Vec<&str> = help
        .split(|c: char| !c.is_ascii_alphanumeric() && c != '_')
        .collect();
    for key in keys {
        assert!(words.contains(&key.as_str()), "{key}");
    }
}

#[test]
fn the_help_names_every_skill_and_every_kind_of_line() {
    let shell = Shell::new();
    let words = |command: &str| {
        let help = shell.good(&[command, "--help"]);
        let words = help.split(|c: char| !c.is_ascii_alphanumeric() && c != '_');
        Vec::from_iter(words.map(str::to_owned))
    };
    let log = words("log");
    for drill in library::DRILLS {
        let skill = serde_json::to_value(Skill::of(&drill.drill().unwrap())).unwrap();
        assert!(log.iter().any(|word| skill == *word), "{skill}");
    }
    let debrief = words("debrief");
    for kind in LineKind::all() {
        assert!(debrief.iter().any(|word| word == kind.key()), "{kind:?}");
    }
}

#[test]
fn the_drills_of_the_readme_and_of_the_help_can_be_flown() {
    let shell = Shell::new();
    let readme = Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md");
    let readme = fs::read_to_string(readme).unwrap();
    let (_, rest) = readme.split_once("```toml\n").unwrap();
    let (drill, _) = rest.split_once("```").unwrap();
    shell.folder.file("drill.toml", drill);
    let help = shell.good(&["check", "--help"]);
    let (_, rest) = help.split_once("A drill is a TOML file:\n\n").unwrap();
    let (drill, _) = rest.split_once("\n\n").unwrap();
    shell.folder.file("other.toml", drill);
    let said = shell.good(&["check", "drill.toml", "other.toml"]);
    assert_eq!(said.matches(": ok, ").count(), 2, "{said}");
}

#[test]
fn the_definition_of_arguments_is_sound() {
    leveloff::cli::definition().debug_assert();
}

#[test]
fn arguments_after_a_command_reach_the_folder() {
    let args = ["leveloff", "log", "--data", "here"];
    let matches = leveloff::cli::definition().get_matches_from(args);
    let data: Option<&std::path::PathBuf> = matches.get_one("data");
    assert_eq!(data, Some(&"here".into()));
}
