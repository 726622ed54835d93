//! Marks and notes on a saved run.

use std::fs;

use serde_json::Value;

use super::{Shell, one_line};

/// Saves a run with two marks. Returns its id and its file's text.
fn saved(shell: &Shell) -> (String, String) {
    let id = shell.save("quarry-stair", &["--hand", "steady"]);
    let file = shell.recording(&id);
    let mut recording: Value = serde_json::from_slice(&fs::read(&file).unwrap()).unwrap();
    recording["seal"].take();
    recording["marks"] = serde_json::json!([128, 2240]);
    let text = recording.to_string();
    fs::write(&file, &text).unwrap();
    (id, text)
}

#[test]
fn notes_are_listed_and_stand_in_the_debrief() {
    let shell = Shell::with_pars();
    let (id, recording) = saved(&shell);
    let outcome = shell.run(&["note", &id]);
    assert_eq!((outcome.code, outcome.out.as_str()), (Some(0), ""));
    assert!(one_line(&outcome.err).starts_with("No notes on run"));
    let json = shell.good(&["debrief", &id, "--json"]);

    assert_eq!(shell.good(&["note", &id, "Better than last week."]), "");
    shell.good(&[
        "note",
        &id,
        "Look at the lever here.",
        "--task",
        "1",
        "--by",
        "Coach",
    ]);
    shell.good(&["note", &id, "--mark", "2", "--", "- and here?"]);
    let listed = shell.good(&["note", &id]);
    let lines: Vec<&str> = listed.lines().collect();
    assert_eq!(lines.len(), 3);
    assert!(lines[0].starts_with("Note, 2") && lines[0].ends_with(": Better than last week."));
    assert!(
        lines[1].starts_with("Note on task 1 by Coach, 2"),
        "{listed}"
    );
    assert!(lines[1].ends_with(": Look at the lever here."));
    assert!(lines[2].starts_with("Note on mark 2, 2") && lines[2].ends_with(": - and here?"));

    let debrief = shell.good(&["debrief", &id]);
    for line in &lines {
        assert!(debrief.contains(line), "{line} is not in\n{debrief}");
    }
    assert!(
        debrief.contains("\nMark 1 at 0:02, in task 1, "),
        "{debrief}"
    );
    assert!(
        debrief.contains("\nMark 2 at 0:35, in task 2, "),
        "{debrief}"
    );
    assert_eq!(shell.good(&["debrief", &id, "--json"]), json);
    let file = shell.recording(&id);
    assert_eq!(fs::read_to_string(file).unwrap(), recording);
    assert_eq!(shell.good(&["log"]).lines().count(), 1);

    // A long note is broken to the width of the page.
    shell.good(&["note", &id, &"many words ".repeat(80)]);
    let debrief = shell.good(&["debrief", &id]);
    assert!(
        debrief.lines().all(|line| line.chars().count() <= 78),
        "{debrief}"
    );
    assert_eq!(debrief.matches("words").count(), 80);
}

#[test]
fn what_cannot_be_noted_is_told_and_ends_in_two() {
    let shell = Shell::new();
    let err = shell.bad(2, &["note", "20261125-223015-a1b2", "a"]);
    assert!(one_line(&err).contains("there is no run"), "{err}");
    assert!(!shell.folder.join("data").exists());
    let (id, _) = saved(&shell);
    for (args, wanted) in [
        (&["a", "--task", "99"][..], "has no task 99"),
        (&["a", "--task", "0"], "has no task 0"),
        (&["a", "--mark", "3"], "has no mark 3"),
        (&[""], "needs a text"),
        (&["a\u{1b}[31m"], "control character"),
        (&["a\nb"], "control character"),
        (&["a", "--by", "a\u{7}"], "writer"),
    ] {
        let err = shell.bad(2, &[&["note", &id], args].concat());
        assert!(one_line(&err).contains(wanted), "{err}");
        assert!(!err.contains('\u{1b}'));
    }
    for args in [
        &[][..],
        &[&id, "a", "--task", "1", "--mark", "1"],
        &[&id, "--task", "1"],
        &[&id, "--by", "Coach"],
        &[&id, "a", "--task", "-1"],
        &[&id, "a", "--task", "one"],
        &[&id, "a", "b"],
    ] {
        shell.bad(2, &[&["note"], args].concat());
    }
    for id in ["../x", "20261125-223015-a1b2"] {
        shell.bad(2, &["note", id]);
    }
    let runs = fs::read_dir(shell.folder.join("data/runs"))
        .unwrap()
        .count();
    assert_eq!(runs, 1);
}

#[test]
fn notes_it_cannot_read_are_counted_and_their_escapes_never_shown() {
    let shell = Shell::with_pars();
    let (id, _) = saved(&shell);
    shell.good(&["note", &id, "A good one."]);
    let file = shell.folder.join(&format!("data/runs/{id}.notes.jsonl"));
    let good = fs::read_to_string(&file).unwrap();
    let red = good.replace("A good one.", "\\u001b[31mred");
    fs::write(&file, format!("{good}nonsense\n{red}")).unwrap();
    for args in [&["note", &id][..], &["debrief", &id]] {
        let outcome = shell.run(args);
        assert_eq!(outcome.code, Some(0));
        assert!(outcome.out.contains("A good one.") && outcome.out.contains("[31mred"));
        assert!(!outcome.out.contains('\u{1b}'), "{:?}", outcome.out);
        // A changed recording has lost its seal, which `debrief` says as well.
        let last = outcome.err.lines().last().unwrap();
        assert!(last.ends_with("notes, left out: 1."), "{last}");
    }
}

#[test]
fn what_was_received_is_noted_beside_its_file() {
    let shell = Shell::with_pars();
    let (id, recording) = saved(&shell);
    std::fs::create_dir_all(shell.folder.join("class/Alder")).unwrap();
    let file = shell.folder.file("class/Alder/x.json", &recording);
    let name = file.to_str().unwrap();
    shell.good(&[
        "note",
        name,
        "Look at the lever here.",
        "--task",
        "1",
        "--by",
        "Coach",
    ]);
    assert_eq!(fs::read_to_string(&file).unwrap(), recording);
    let notes = fs::read_to_string(shell.folder.join("class/Alder/x.notes.jsonl")).unwrap();
    assert_eq!(notes.lines().count(), 1, "{notes}");
    let listed = shell.good(&["note", name]);
    let line = listed.trim_end();
    assert!(line.starts_with("Note on task 1 by Coach, 2"), "{line}");
    assert!(shell.good(&["debrief", name]).contains(line));
    // The logbook's own copy has none, and the class reads as many recordings as before.
    assert_eq!(shell.good(&["note", &id]), "");
    let class = shell.json(&["class", "class", "--hands", "--json"]);
    assert_eq!(
        (&class["drills"][0]["runs"], &class["unreadable"]),
        (&1.into(), &0.into())
    );
    let err = shell.bad(2, &["note", name, "a", "--task", "99"]);
    assert!(one_line(&err).contains("has no task 99"), "{err}");
    let err = shell.bad(2, &["note", "class/nobody.json", "a"]);
    assert!(
        one_line(&err).contains("cannot be read as a recording"),
        "{err}"
    );
    assert!(!shell.folder.join("class/nobody.notes.jsonl").exists());
}
