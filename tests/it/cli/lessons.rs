//! A coach's own lesson: checked, handed out in a folder, followed.

use std::fs;

use serde_json::Value;

use super::{Shell, hold_drill, one_line};

const LESSON: &str = r#"
title = "Kim's week"
about = "A hold of our own, then a stop."
[[rung]]
drill = "drills/our hold.toml"
why = "keep a number"
mark = 60
times = 1
aids = "some"
[[rung]]
drill = "cliff-top"
why = "stop a climb"
mark = 40
"#;

/// A shell with the lesson in a folder, and its file.
fn handed_out(text: &str) -> (Shell, String) {
    let shell = Shell::new();
    let lesson = shell.folder.file("lesson.toml", text);
    fs::create_dir(shell.folder.join("drills")).unwrap();
    let hold = hold_drill("first jet", 1500.0, 5.0);
    shell.folder.file("drills/our hold.toml", hold);
    (shell, lesson.to_str().unwrap().to_string())
}

#[test]
fn a_lesson_is_checked_as_one() {
    let (shell, lesson) = handed_out(LESSON);
    let told = shell.good(&["check", &lesson]);
    assert!(
        told.ends_with("ok, lesson \"Kim's week\", 2 rungs\n"),
        "{told}"
    );
    let ladder = concat!(env!("CARGO_MANIFEST_DIR"), "/drills/lessons/ladder.toml");
    let told = shell.good(&["check", ladder]);
    assert!(told.contains("ok, lesson \"The ladder\", "), "{told}");
    // The message says what is wrong, where, and what would be right; a fault in a drill names its own place.
    let wrong = |from: &str, to: &str, at: &str, what: &str| {
        assert!(LESSON.contains(from), "{from}");
        shell.folder.file("wrong.toml", LESSON.replace(from, to));
        let path = shell.folder.join("wrong.toml");
        let told = shell.bad(2, &["check", path.to_str().unwrap()]);
        let told = one_line(&told);
        assert!(told.contains(&format!("wrong.toml:{at}: ")), "{told}");
        assert!(told.contains(what), "{told}");
    };
    wrong(
        "cliff-top",
        "cliff-tip",
        "11:9",
        "the nearest is `cliff-top`",
    );
    wrong("mark = 40", "mark = 140", "13:8", "a number from 1 to 100");
    wrong(
        "why = \"stop",
        "wy = \"stop",
        "12:1",
        "the nearest is `why`",
    );
    wrong(
        "[[rung]]\ndrill = \"cl",
        "[[rungs]]\ndrill = \"cl",
        "10:3",
        "unknown key `rungs`",
    );
    wrong(
        "\"cliff-top\"",
        "\"drills/our hold.toml\"",
        "11:9",
        "the same drill twice",
    );
    shell.folder.file(
        "drills/cliff-top.toml",
        hold_drill("first jet", 1500.0, 5.0),
    );
    wrong(
        "\"cliff-top\"",
        "\"drills/cliff-top.toml\"",
        "11:9",
        "is also called cliff-top",
    );
    shell.folder.file("drills/bad.toml", "title = 3\n");
    wrong(
        "\"cliff-top\"",
        "\"drills/bad.toml\"",
        "11:9",
        "drills/bad.toml:1:9: `title`",
    );
    wrong(
        "\"cliff-top\"",
        "\"/dev/zero\"",
        "11:9",
        "there is no file /dev/zero",
    );
}

/// Who prefers little help in the file is not told to take more of it.
#[test]
fn next_keeps_to_the_preferred_aids_and_an_argument_comes_before_them() {
    let shell = Shell::new();
    let aids = |more: &[&str]| {
        let next = shell.json(&[&["next", "--json"], more].concat());
        next["now"]["aids"].as_str().unwrap().to_string()
    };
    assert_eq!(aids(&[]), "full");
    let file = shell.good(&["config", "init"]);
    fs::write(file.trim_end(), "aids = \"bare\"\n").unwrap();
    assert_eq!(aids(&[]), "bare");
    assert_eq!(aids(&["--aids", "some"]), "some");
}

#[test]
fn next_follows_the_lesson_that_is_asked_for() {
    let (shell, lesson) = handed_out(LESSON);
    let next = |more: &[&str]| shell.good(&[&["next"], more].concat());
    assert!(next(&[]).contains("The ladder: 0 of "));
    let told = next(&["--lesson", &lesson]);
    assert!(
        told.contains("to keep a number: rung 1 of 2; to pass, 60 points once."),
        "{told}"
    );
    assert!(told.contains("Kim's week: 0 of 2 rungs passed"), "{told}");
    let folder = shell.folder.path().to_str().unwrap();
    let typed = format!("leveloff fly '{folder}/drills/our hold.toml' --aids some\n");
    assert!(told.contains(&typed), "{typed} {told}");
    assert!(
        told.contains("leveloff fly cliff-top --aids full\n"),
        "{told}"
    );
    let told: Value = shell.json(&["next", "--json", "--lesson", &lesson]);
    assert_eq!(
        (&told["now"]["drill"], &told["now"]["of"]),
        (&"our hold".into(), &2.into())
    );
    // As a preference, which an argument overrides.
    let mut preferred = shell.command(&["next"]);
    let preferred = preferred.env("LEVELOFF_LESSON", &lesson).output().unwrap();
    assert!(
        String::from_utf8(preferred.stdout)
            .unwrap()
            .contains("Kim's week")
    );
    let gone = shell.bad(2, &["next", "--lesson", "gone.toml"]);
    assert!(
        one_line(&gone).contains("there is no file gone.toml"),
        "{gone}"
    );
}
