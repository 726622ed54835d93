//! Recordings handed over by anybody: verified, debriefed, compared and listed by class.

use std::fs;
use std::path::{Path, PathBuf};

use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use serde_json::{Value, json};

use super::Shell;
use crate::pty_harness::Start;
use leveloff::drill::printable::is_plain;
use leveloff::sim::MODEL_VERSION;
use leveloff::sim::math::Digest;

/// Saves a run of a hand and returns its file.
fn keep(shell: &Shell, drill: &str, more: &[&str]) -> PathBuf {
    shell.recording(&shell.save(drill, more))
}

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

#[test]
fn a_run_that_is_what_it_says_holds_wherever_it_lies() {
    let shell = Shell::with_pars();
    let hand = ["--hand", "green", "--pilot", "Kim"];
    let kept = keep(&shell, "catch-the-sink", &hand);
    let sent = shell
        .folder
        .file("sent by Kim.json", fs::read(&kept).unwrap());
    let verdict = shell.good(&["verify", text(&sent), "--drill", "catch-the-sink"]);
    for part in [
        "holds; catch-the-sink",
        "by Kim",
        "hand green",
        &format!("model {MODEL_VERSION} (this program: {MODEL_VERSION})"),
    ] {
        assert!(verdict.contains(part), "{part} is not in {verdict}");
    }
    let id = kept.file_stem().unwrap().to_str().unwrap();
    let args = ["debrief", id, "--json"];
    assert_eq!(
        shell.json(&["debrief", text(&sent), "--json"]),
        shell.json(&args)
    );
    assert_eq!(
        shell.good(&["debrief", text(&sent)]),
        shell.good(&["debrief", id])
    );

    let other = shell.run(&["verify", text(&sent), "--drill", "cliff-top"]);
    assert_eq!(other.code, Some(1));
    assert!(
        other
            .out
            .contains("not a run of the drill `cliff-top` you gave"),
        "{other:?}"
    );
    shell.bad(2, &["verify", text(&sent), "--drill", "nowhere"]);
}

#[test]
fn a_run_of_another_model_is_told_with_both_versions() {
    let shell = Shell::with_pars();
    let kept = keep(&shell, "catch-the-sink", &["--hand", "green"]);
    let mut recording: Value = serde_json::from_slice(&fs::read(&kept).unwrap()).unwrap();
    recording["model"] = 999.into();
    recording.as_object_mut().unwrap().remove("seal");
    let file = shell.folder.file("old.json", recording.to_string());
    let outcome = shell.run(&["verify", text(&file)]);
    assert_eq!(outcome.code, Some(1));
    let told = "flown with model 999, this program has model";
    assert!(outcome.out.contains(told), "{outcome:?}");
}

/// A missing file gives no verdict, unlike a recording that does not hold.
#[test]
fn a_file_that_cannot_be_read_is_no_verdict() {
    let shell = Shell::with_pars();
    let err = shell.bad(2, &["verify", "nowhere.json"]);
    let line = "leveloff: nowhere.json cannot be read as a recording: ";
    assert!(err.starts_with(line), "{err}");
    assert!(err.contains("; give the file of a run"), "{err}");
    assert_eq!(err, shell.bad(2, &["debrief", "nowhere.json"]));
    // The readable files get their verdict all the same, good or bad.
    let kept = keep(&shell, "catch-the-sink", &["--hand", "green"]);
    shell.folder.file("broken.json", "{");
    let files = ["broken.json", "nowhere.json", text(&kept)];
    let outcome = shell.run(&[&["verify"], &files[..]].concat());
    assert_eq!((outcome.code, outcome.err), (Some(2), err));
    assert!(outcome.out.contains("broken.json: does not hold"));
    assert!(outcome.out.contains(": holds; catch-the-sink"));
    assert!(!outcome.out.contains("nowhere"), "{}", outcome.out);
    let broken = shell.run(&["verify", "broken.json"]);
    assert_eq!(broken.code, Some(1), "{broken:?}");
}

/// Values that a stranger may put in place of any other.
fn hostile() -> impl Strategy<Value = Value> {
    prop_oneof![
        Just(Value::Null),
        Just(json!(true)),
        any::<i64>().prop_map(Value::from),
        any::<u64>().prop_map(Value::from),
        any::<u16>().prop_map(Value::from),
        any::<f64>().prop_map(Value::from),
        Just(json!([])),
        Just(json!({})),
        prop::collection::vec(any::<u64>(), 0..5).prop_map(Value::from),
        prop::collection::vec((any::<u64>(), any::<u16>()), 0..9).prop_map(|moves| json!(moves)),
        Just(json!(
            "\u{1b}]0;title\u{7}\u{1b}[31m\u{9b}2J\r\n\u{202e}\u{200b}\u{e0041}"
        )),
        Just(json!("../../../etc/passwd")),
        Just(json!("person")),
        Just(json!("rough")),
        Just(json!(
            "title = \"a\u{202e}b\"\nabout = \"\u{200b}\"\naircraft = \"\u{202e}\""
        )),
        Just(json!("x".repeat(100_000))),
    ]
}

/// A recording's file, for replacing one value while all the rest stays byte for byte as it was.
struct Sent {
    text: String,
    values: serde_json::Map<String, Value>,
}

impl Sent {
    fn of(file: &Path) -> Sent {
        let text = fs::read_to_string(file).unwrap();
        let values = serde_json::from_str(&text).unwrap();
        Sent { text, values }
    }

    fn exchanged(&self, key: &str, new: &Value) -> String {
        let member = |value: &Value| format!("{}:{value}", json!(key));
        let old = member(&self.values[key]);
        assert_eq!(self.text.matches(&old).count(), 1, "{old}");
        self.text.replacen(&old, &member(new), 1)
    }

    /// Any of its values, and a replacement.
    fn any(&self) -> impl Strategy<Value = (String, Value)> + use<> {
        let keys: Vec<String> = self.values.keys().cloned().collect();
        let values = self.values.clone();
        let pair = (prop::sample::select(keys), hostile());
        pair.prop_filter("the same", move |(key, value)| values[key] != *value)
    }
}

/// The file without its seal, and with a correct one: anyone who changes a file can seal it again.
fn resealed(text: &str) -> (String, String) {
    let (body, _) = text.rsplit_once(",\"seal\":").unwrap();
    let bare = format!("{body}}}");
    let mut seal = Digest::default();
    seal.add_bytes(bare.as_bytes());
    let seal = seal.hex();
    (bare, format!("{body},\"seal\":\"{seal}\"}}"))
}

/// Values that only the seal protects: who flew, when within that second, with what device and aids; the name of a drill file of
/// one's own; and the seed where nothing is drawn from it, since the flight is the same.
const ONLY_SEALED: [&str; 8] = [
    "hand", "aids", "stalls_s", "marks", "guesses", "pilot", "drill", "seed",
];

/// A reader detects any changed value, and only plain text reaches the terminal. `MUTANTS=1000` tries a thousand changes.
#[test]
fn every_single_change_is_told_and_nothing_but_plain_text_gets_out() {
    let mutants: usize = std::env::var("MUTANTS").map_or(180, |n| n.parse().unwrap());
    let shell = Shell::with_pars();
    let kept = keep(
        &shell,
        "catch-the-sink",
        &["--hand", "green", "--pilot", "Kim"],
    );
    let sent = Sent::of(&kept);
    let (_, same) = resealed(&sent.text);
    assert_eq!(same, sent.text, "sealed as the program does it");
    fs::create_dir_all(shell.folder.join("sent")).unwrap();
    let mut changed: Vec<String> = Vec::new();
    let mut put = |name: &str, text: &str| {
        let file = format!("sent/{name}-{}.json", changed.len());
        fs::write(shell.folder.join(&file), text).unwrap();
        changed.push(file);
    };
    // Each field replaced by a plausible value.
    let padded = |key: &str| json!(format!("{} ", sent.values[key].as_str().unwrap()));
    let plausible = [
        ("schema", json!(2)),
        ("id", json!("20261125-223015-a1b2")),
        ("at", json!("2026-11-25T22:30:15+01:00")),
        ("drill", json!("cliff-top")),
        ("drill_text", padded("drill_text")),
        ("aircraft_text", padded("aircraft_text")),
        ("seed", json!(1)),
        ("air", json!("light")),
        ("model", json!(MODEL_VERSION + 1)),
        ("hand", json!("person")),
        ("aids", json!("full")),
        ("ticks", json!(sent.values["ticks"].as_u64().unwrap() - 1)),
        ("lever", json!([[64, 500]])),
        ("stalls_s", json!([1.5])),
        ("left", json!(true)),
        ("fault", json!("stalled")),
        ("digest", json!("0123456789abcdef")),
        ("points", json!(99.0)),
        ("marks", json!([64])),
        ("guesses", json!([40.0])),
        ("pilot", json!("Ada")),
        ("seal", json!("0123456789abcdef")),
    ];
    assert_eq!(plausible.len(), sent.values.len(), "every key once");
    for (key, value) in plausible {
        put(key, &sent.exchanged(key, &value));
    }
    let mut runner = TestRunner::deterministic();
    for _ in 0..mutants {
        let (key, value) = sent.any().new_tree(&mut runner).unwrap().current();
        let text = sent.exchanged(&key, &value);
        put("sealed", &text);
        if key != "seal" {
            let (bare, anew) = resealed(&text);
            put("unsealed", &bare);
            put(&format!("anew-{key}"), &anew);
        }
    }
    let is_clean = |text: &str| text.chars().all(|c| is_plain(c) || c == '\n');

    let files: Vec<&str> = changed.iter().map(String::as_str).collect();
    let verdicts = shell.run(&[&["verify"], &files[..]].concat());
    assert_eq!(verdicts.code, Some(1), "{verdicts:?}");
    assert!(
        is_clean(&verdicts.out) && is_clean(&verdicts.err),
        "{verdicts:?}"
    );
    for file in &files {
        let row = |verdict: &str| verdicts.out.contains(&format!("{file}: {verdict}"));
        let mut only_sealed = ONLY_SEALED.iter();
        match only_sealed.any(|key| file.starts_with(&format!("sent/anew-{key}-"))) {
            true => assert!(row("holds; ") || row("does not hold"), "{file}"),
            false => assert!(row("does not hold"), "{file} in {}", verdicts.out),
        }
    }
    let class = shell.run(&["class", "sent", "--hands"]);
    assert_eq!(class.code, Some(0), "{class:?}");
    assert!(is_clean(&class.out) && is_clean(&class.err), "{class:?}");
    // Without a seal a changed file may look like a true one; it is debriefed all the same.
    for file in files
        .iter()
        .filter(|file| file.contains("unsealed"))
        .step_by(12)
    {
        for args in [
            &["debrief", file] as &[&str],
            &["compare", file, file],
            &["debrief", file, "--json"],
        ] {
            let outcome = shell.run(args);
            assert!(matches!(outcome.code, Some(0..=2)), "{args:?}: {outcome:?}");
            assert!(
                is_clean(&outcome.out) && is_clean(&outcome.err),
                "{args:?}: {outcome:?}"
            );
        }
    }
}

#[test]
fn two_runs_of_a_drill_stand_side_by_side_and_others_do_not() {
    let shell = Shell::with_pars();
    let green = keep(
        &shell,
        "catch-the-sink",
        &["--hand", "green", "--pilot", "Kim"],
    );
    let steady = keep(&shell, "catch-the-sink", &["--hand", "steady"]);
    let id = steady.file_stem().unwrap().to_str().unwrap();
    let told = shell.good(&["compare", text(&green), id]);
    let points = |path: &Path| {
        let report = shell.json(&["debrief", text(path), "--json"]);
        format!("{:.1}", report["points"].as_f64().unwrap())
    };
    let row = told.lines().find(|row| row.starts_with("points")).unwrap();
    let words: Vec<&str> = row.split_whitespace().collect();
    assert_eq!(words, ["points", &points(&green), &points(&steady)]);
    for part in [
        "by Kim, hand green",
        "hand steady",
        "stay began after",
        "the hand: ",
    ] {
        assert!(told.contains(part), "{part} is not in {told}");
    }
    assert!(!told.contains("Different "), "the same air: {told}");

    // In still air nothing is drawn from the seed.
    let again = keep(
        &shell,
        "catch-the-sink",
        &["--hand", "green", "--seed", "9"],
    );
    let told = shell.good(&["compare", text(&green), text(&again)]);
    assert!(!told.contains("seed"), "{told}");
    let gusty = ["--hand", "green", "--seed", "3", "--air", "light"];
    let gusty = keep(&shell, "catch-the-sink", &gusty);
    let other = ["--hand", "green", "--seed", "4", "--air", "light"];
    let other = keep(&shell, "catch-the-sink", &other);
    let told = shell.good(&["compare", text(&gusty), text(&other)]);
    assert!(told.contains("Different seeds: A 3, B 4"), "{told}");
    let told = shell.good(&["compare", text(&green), text(&gusty)]);
    assert!(
        told.contains("Different air: A the drill's, B light."),
        "{told}"
    );

    let other = keep(&shell, "cliff-top", &["--hand", "green"]);
    let err = shell.bad(2, &["compare", text(&green), text(&other)]);
    let why = "one is of the drill `catch-the-sink`, the other of `cliff-top`";
    assert!(err.contains(why), "{err}");
}

#[test]
fn on_a_terminal_the_one_opens_with_the_other_beside_it() {
    let shell = Shell::with_pars();
    let sent = |hand| {
        let id = shell.save("catch-the-sink", &["--hand", hand]);
        (shell.recording(&id), id)
    };
    let ((green, _), (steady, steady_id)) = (sent("green"), sent("steady"));
    let args = ["compare", text(&green), text(&steady)];
    let mut pty = Start::on(140, 40).args(&args).spawn();
    let screen = pty.wait_text(&format!("dotted: run {steady_id}, 75 points"));
    for part in ["Catch the sink   debrief", "69 points", "hand steady"] {
        assert!(screen.contains(part), "{part} is not on\n{screen}");
    }
    pty.send("q");
    assert_eq!(pty.exit_code(), 0);
    pty.assert_restored();
    let told = shell.good(&[&args[..], &["--text"]].concat());
    assert!(told.contains("hand steady"), "{told}");
}

#[test]
fn on_a_terminal_the_debrief_of_a_file_opens_with_the_notes_beside_it() {
    let shell = Shell::with_pars();
    let kept = keep(
        &shell,
        "catch-the-sink",
        &["--hand", "green", "--pilot", "Kim"],
    );
    let sent = shell.folder.file("sent.json", fs::read(&kept).unwrap());
    shell.good(&["note", text(&sent), "Earlier next time."]);
    let id = kept.file_stem().unwrap().to_str().unwrap();
    let start = || Start::on(140, 40);
    let mut pty = start().args(&["debrief", text(&sent)]).spawn();
    let screen = pty.wait_text("q leave");
    for part in [
        "Catch the sink   debrief",
        "69 points",
        "tab line",
        id,
        "by Kim, aids bare, hand green",
        "Earlier next time.",
    ] {
        assert!(screen.contains(part), "{part} is not on\n{screen}");
    }
    pty.send("q");
    assert_eq!(pty.exit_code(), 0);
    pty.assert_restored();
    let mut printed = start().args(&["debrief", text(&sent), "--text"]).spawn();
    printed.wait_text("local rules and instructor come first");
    assert_eq!(printed.exit_code(), 0);
}

#[test]
fn a_recording_that_is_cut_short_is_called_so() {
    let shell = Shell::with_pars();
    let kept = keep(&shell, "catch-the-sink", &["--hand", "green"]);
    let whole = fs::read_to_string(&kept).unwrap();
    for (text, told) in [
        (&whole[..200], "it breaks off at line 1, column 200"),
        ("", "it is empty"),
        ("{}", "something that a recording needs is missing or wrong"),
        ("title = 1", "it is not JSON"),
    ] {
        shell.folder.file("sent.json", text);
        let err = shell.bad(2, &["debrief", "sent.json"]);
        assert!(err.contains(told), "{err}");
    }
}

#[test]
fn a_recording_that_lies_there_twice_counts_once() {
    let shell = Shell::with_pars();
    let kept = keep(
        &shell,
        "catch-the-sink",
        &["--hand", "green", "--pilot", "Kim"],
    );
    for folder in ["a", "b"] {
        fs::create_dir_all(shell.folder.join("sent").join(folder)).unwrap();
        fs::copy(
            &kept,
            shell.folder.join("sent").join(folder).join("run.json"),
        )
        .unwrap();
    }
    let class = shell.run(&["class", "sent", "--hands"]);
    assert!(class.out.contains(": 1 run by 1 learner"), "{class:?}");
    let told = "Twice in the folder, counted once: sent/b/run.json\n";
    assert_eq!(class.err, told);
}

/// What the screens remember lies in the same folder as the runs.
#[test]
fn the_memory_of_the_screens_is_no_recording_left_out() {
    let shell = Shell::new();
    let folder = shell.folder.join("data");
    fs::create_dir(&folder).unwrap();
    let memory = "{\"schema\":1,\"drill\":\"catch-the-sink\"}\n";
    fs::write(folder.join("state.json"), memory).unwrap();
    for (more, told) in [
        (
            &[] as &[&str],
            "No run in this folder was flown by a person.\n",
        ),
        (&["--hands"], "There is no run in this folder.\n"),
    ] {
        let class = shell.run(&[&["class", "data"], more].concat());
        assert_eq!((class.code, class.err.as_str()), (Some(0), told));
    }
    let class = shell.json(&["class", "data", "--hands", "--json"]);
    assert_eq!(class["unreadable"], 0, "{class}");
    fs::write(folder.join("half.json"), "{").unwrap();
    let class = shell.run(&["class", "data"]);
    let told = "No run in this folder can be counted.";
    assert!(class.err.contains(told), "{class:?}");
}

#[test]
fn drills_of_one_name_can_be_told_apart() {
    let shell = Shell::new();
    fs::create_dir_all(shell.folder.join("sent")).unwrap();
    for altitude_ft in [1500.0, 2500.0] {
        let drill = super::hold_drill("deck jet", altitude_ft, 5.0);
        shell.folder.file("mine.toml", drill);
        let kept = keep(&shell, "mine.toml", &["--hand", "green"]);
        fs::copy(
            &kept,
            shell.folder.join("sent").join(kept.file_name().unwrap()),
        )
        .unwrap();
    }
    let class = ["class", "sent", "--hands"];
    let report = shell.json(&[&class[..], &["--json"]].concat());
    let marks: Vec<&str> = (0..2)
        .map(|n| report["drills"][n]["text"].as_str().unwrap())
        .collect();
    assert_ne!(marks[0], marks[1]);
    let told = shell.good(&class);
    for mark in marks {
        let head = format!("Hold (mine, one of several drills of this name, text {mark}): 1 run");
        assert!(told.contains(&head), "{head} is not in {told}");
    }
    // A single recording needs none.
    let first = fs::read_dir(shell.folder.join("sent"))
        .unwrap()
        .next()
        .unwrap();
    fs::remove_file(first.unwrap().path()).unwrap();
    assert!(shell.good(&class).contains("Hold (mine): 1 run"));
}

#[test]
fn a_class_is_told_by_drill_and_by_learner() {
    let shell = Shell::with_pars();
    let sent = shell.folder.join("sent");
    let mut points = Vec::new();
    for (folder, pilot, hand) in [
        ("a", Some("Kim"), "green"),
        ("a", Some("Kim"), "steady"),
        ("Ada", None, "pumping"),
    ] {
        let named = pilot.map_or(vec![], |pilot| vec!["--pilot", pilot]);
        let kept = keep(
            &shell,
            "catch-the-sink",
            &[&["--hand", hand], &named[..]].concat(),
        );
        let recording: Value = serde_json::from_slice(&fs::read(&kept).unwrap()).unwrap();
        points.push(recording["points"].as_f64().unwrap());
        fs::create_dir_all(sent.join(folder)).unwrap();
        fs::copy(&kept, sent.join(folder).join(kept.file_name().unwrap())).unwrap();
    }
    fs::write(sent.join("a/no recording.json"), "{}").unwrap();
    fs::write(sent.join("a/readme.txt"), "hello").unwrap();
    let class = shell.json(&["class", "sent", "--hands", "--json"]);
    assert_eq!(class["unreadable"], 1);
    assert_eq!(class["drills"].as_array().unwrap().len(), 1);
    let drill = &class["drills"][0];
    assert_eq!((&drill["runs"], &drill["complete"]), (&json!(3), &json!(3)));
    let mean = points.iter().sum::<f64>() / 3.0;
    assert!((drill["points"]["mean"].as_f64().unwrap() - mean).abs() < 1e-9);
    let learners = drill["learners"].as_array().unwrap();
    let names: Vec<&Value> = learners.iter().map(|learner| &learner["pilot"]).collect();
    assert_eq!(names, ["Ada", "Kim"], "named by the folder where nobody is");
    assert_eq!(learners[1]["runs"], 2);
    assert_eq!(learners[1]["best"].as_f64(), Some(points[0].max(points[1])));
    let needs = &learners[0]["needs"];
    assert!(needs["points_a_run"].as_f64().unwrap() <= 100.0 - points[2] + 1e-9);

    let told = shell.good(&["class", "sent", "--hands"]);
    for part in [
        "3 runs by 2 learners, 3 flown to the end",
        "what costs most",
        "Kim",
    ] {
        assert!(told.contains(part), "{part} is not in {told}");
    }
    let rows = shell.good(&["class", "sent", "--hands", "--csv"]);
    assert_eq!(rows.lines().count(), 4, "{rows}");
    let nobody = shell.run(&["class", "sent"]);
    assert!(
        nobody.out.trim().is_empty() && nobody.err.contains("flown by a person"),
        "{nobody:?}"
    );
    shell.bad(2, &["class", "nowhere"]);
}
