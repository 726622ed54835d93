//! Runs that are kept, listed, flown again and debriefed.

use std::fs;

use leveloff::sim::MODEL_VERSION;
use serde_json::Value;

use super::{Shell, one_line};

const SAVE: &[&str] = &[
    "simulate",
    "catch-the-sink",
    "--hand",
    "steady",
    "--save",
    "--json",
];

fn save(shell: &Shell, more: &[&str]) -> (String, String) {
    let text = shell.good(&[SAVE, more].concat());
    let result: Value = serde_json::from_str(&text).unwrap();
    (result["id"].as_str().unwrap().to_string(), text)
}

#[test]
fn a_saved_run_debriefs_to_the_same_result() {
    let shell = Shell::with_pars();
    let largest = u64::MAX.to_string();
    let (still, still_text) = save(&shell, &["--seed", "3"]);
    let (rough, rough_text) = save(&shell, &["--seed", &largest, "--air", "rough"]);
    assert_ne!(still, rough);
    assert!(rough_text.contains(&largest), "{rough_text}");

    assert_eq!(shell.good(&["debrief", &still, "--json"]), still_text);
    assert_eq!(shell.good(&["debrief", &rough, "--json"]), rough_text);
    assert_eq!(shell.good(&["debrief", "--json"]), rough_text, "the latest");
}

#[test]
fn without_save_nothing_is_kept() {
    let shell = Shell::new();
    let result = shell.json(
        &SAVE[..4]
            .iter()
            .chain(&["--json"])
            .copied()
            .collect::<Vec<_>>(),
    );
    assert_eq!(result["id"], Value::Null);
    assert!(!shell.folder.join("data").exists());
}

#[test]
fn the_same_seed_gives_the_same_bytes_and_another_does_not() {
    let shell = Shell::new();
    let fly = |seed| {
        shell.good(&[
            "simulate",
            "catch-the-sink",
            "--hand",
            "steady",
            "--air",
            "4",
            "--json",
            "--seed",
            seed,
        ])
    };
    assert_eq!(fly("11"), fly("11"));
    assert_ne!(fly("11"), fly("12"));
    let unsaid = shell.json(&["simulate", "catch-the-sink", "--hand", "steady", "--json"]);
    assert_eq!(unsaid["seed"], 0);
}

#[test]
fn the_debrief_in_text_has_story_figures_arithmetic_and_caution() {
    let shell = Shell::with_pars();
    let (id, result) = save(&shell, &[]);
    let result: Value = serde_json::from_str(&result).unwrap();
    let text = shell.good(&["debrief"]);
    assert_eq!(text, shell.good(&["debrief", &id, "--text"]));
    assert!(
        text.lines().all(|line| line.chars().count() <= 78),
        "{text}"
    );
    let rms = format!(
        "rms error{:>16.1}",
        result["tasks"][0]["rms_ft"].as_f64().unwrap()
    );
    let points = format!("Points: {:.1} of 100", result["points"].as_f64().unwrap());
    for part in [
        "Catch the sink",
        &id,
        "hand steady",
        "1 of 1 captured",
        &rms,
        "stay began",
        "Part-FCL",
        &points,
    ] {
        assert!(text.contains(part), "{part} is not in\n{text}");
    }
    assert!(
        text.trim_end().ends_with(leveloff::export::CAUTION),
        "{text}"
    );
}

#[test]
fn a_recording_that_was_changed_does_not_replay() {
    let shell = Shell::with_pars();
    let (id, _) = save(&shell, &[]);
    let file = shell.recording(&id);
    let good = fs::read_to_string(&file).unwrap();
    let mut recording: Value = serde_json::from_str(&good).unwrap();

    recording["seal"].take();
    recording["model"] = 999.into();
    fs::write(&file, recording.to_string()).unwrap();
    let err = shell.bad(1, &["debrief"]);
    assert!(one_line(&err).contains("flown with model 999"), "{err}");

    recording["model"] = MODEL_VERSION.into();
    recording["lever"][0][1] = 999.into();
    fs::write(&file, recording.to_string()).unwrap();
    let err = shell.bad(1, &["debrief", "--json"]);
    assert!(
        one_line(&err).contains("cannot be replayed: it replays to digest"),
        "{err}"
    );

    recording["drill_text"] = "nonsense".into();
    fs::write(&file, recording.to_string()).unwrap();
    shell.bad(1, &["debrief"]);

    fs::write(&file, &good[..40]).unwrap();
    let err = shell.bad(1, &["debrief"]);
    assert!(one_line(&err).contains("is not a recording"), "{err}");

    fs::write(&file, good).unwrap();
    shell.good(&["debrief"]);
}

#[test]
fn an_id_that_is_none_is_a_wrong_question() {
    let shell = Shell::with_pars();
    let err = shell.bad(1, &["debrief"]);
    assert!(one_line(&err).contains("the logbook is empty"), "{err}");
    save(&shell, &[]);
    for id in ["..", "20261125-223015-a1b2", "\u{1b}[2J"] {
        let err = shell.bad(2, &["debrief", id]);
        assert!(one_line(&err).contains("leveloff log"), "{err}");
        assert!(!err.contains('\u{1b}'));
    }
    for file in ["../logbook", "/etc/passwd", "nowhere.json"] {
        let err = shell.bad(2, &["debrief", file]);
        let told = format!("{file} cannot be read as a recording");
        assert!(one_line(&err).contains(&told), "{err}");
    }
    let err = shell.bad(2, &["debrief", "--practise", "99"]);
    assert!(
        one_line(&err).contains("has no line 99 to practise"),
        "{err}"
    );
}

#[test]
fn the_log_lists_every_run_and_counts_what_it_cannot_read() {
    let shell = Shell::with_pars();
    let empty = shell.run(&["log"]);
    assert_eq!((empty.code, empty.out.as_str()), (Some(0), ""));
    assert!(empty.err.contains("No runs yet"));

    let (first, _) = save(&shell, &[]);
    let (second, result) = save(&shell, &["--air", "light"]);
    let lines = shell.good(&["log"]);
    let ids: Vec<&str> = lines
        .lines()
        .map(|line| line.split_whitespace().next().unwrap())
        .collect();
    assert_eq!(ids, [first.as_str(), second.as_str()]);

    let listing = shell.json(&["log", "--json"]);
    let result: Value = serde_json::from_str(&result).unwrap();
    let entry = &listing["entries"][1];
    for key in [
        "schema", "id", "drill", "aircraft", "seed", "model", "complete", "fault", "end_s",
        "points", "digest",
    ] {
        assert_eq!(entry[key], result[key], "{key}");
    }
    assert_eq!(
        (&entry["air"], &entry["hand"], &entry["aids"]),
        (&"light".into(), &"steady".into(), &"bare".into())
    );
    assert_eq!(listing["unreadable"], 0);

    let file = shell.folder.join("data/logbook.jsonl");
    let text = fs::read_to_string(&file).unwrap();
    fs::write(
        &file,
        text.replacen("catch-the-sink", "\\u001b[31mred", 1) + "half a li",
    )
    .unwrap();
    let outcome = shell.run(&["log"]);
    assert_eq!(outcome.code, Some(0));
    assert_eq!(outcome.out.lines().count(), 2);
    assert!(!outcome.out.contains('\u{1b}'), "{:?}", outcome.out);
    assert!(
        one_line(&outcome.err).ends_with("left out: 1."),
        "{outcome:?}"
    );
}

#[test]
fn what_cannot_be_written_is_told_after_the_result() {
    let shell = Shell::new();
    let in_the_way = shell.folder.file("in-the-way", "");
    let dir = in_the_way.join("data");
    let told = |args: &[&str]| {
        let outcome = shell.run(args);
        assert_eq!(outcome.code, Some(1), "{outcome:?}");
        assert!(outcome.out.contains("oints"), "{outcome:?}");
        one_line(&outcome.err).to_string()
    };
    for args in [SAVE, &SAVE[..5]] {
        let line = told(&[args, &["--data", dir.to_str().unwrap()]].concat());
        assert!(
            line.contains("in-the-way") && line.contains("--data"),
            "{line}"
        );
    }
    let line = told(&[&SAVE[..4], &["--track", "in-the-way/t.csv"]].concat());
    assert!(line.contains("cannot write in-the-way/t.csv"), "{line}");
}

/// A logbook line of a person's run, `day` of March.
fn kept(day: usize, drill: &str, points: f64) -> String {
    let id = format!("202603{day:02}-180000-{:04x}", points as u64);
    format!(
        r#"{{"schema":1,"id":"{id}","at":"2026-03-{day:02}T18:00:00+01:00","drill":"{drill}","title":"{drill}","aircraft":"first jet","hand":"person","aids":"full","air":null,"seed":7,"model":1,"end_s":60.0,"complete":true,"left":false,"fault":null,"points":{points},"digest":"00","figures":[["rms_ft",{}]],"bill":[["dive",{}],["rest",1.5]]}}"#,
        20.0 - points / 10.0,
        98.5 - points
    ) + "\n"
}

#[test]
fn a_log_without_a_change_tells_none() {
    let shell = Shell::new();
    let points = [35.0, 75.0, 55.0, 80.0, 50.0, 78.0, 52.0, 76.0, 54.0, 70.0];
    let lines = points.iter().enumerate();
    let lines: Vec<String> = lines
        .map(|(n, points)| kept(n + 1, "catch-the-sink", *points))
        .collect();
    fs::create_dir(shell.folder.join("data")).unwrap();
    shell.folder.file("data/logbook.jsonl", lines.concat());
    let over = shell.good(&["log", "--over"]);
    let told = "no change stands out from chance: from the first 5 to the last 5 it is -";
    assert!(over.contains(told), "{over}");
    assert!(over.contains("about their mean, 62.5."), "{over}");
    let drill = &shell.json(&["log", "--by", "drill", "--json"])["rows"][0]["curve"];
    assert_eq!(drill["change"]["value"], 0.0, "{drill}");
    assert_eq!(drill["now"]["value"], 62.5, "{drill}");
}

#[test]
fn the_log_puts_runs_together_and_tells_what_they_come_to() {
    let shell = Shell::new();
    let mut lines: Vec<String> = (1..=12)
        .map(|n| kept(n, "catch-the-sink", 40.0 + 2.0 * n as f64))
        .collect();
    lines.push(kept(12, "short-turf", 20.0));
    fs::create_dir(shell.folder.join("data")).unwrap();
    shell.folder.file("data/logbook.jsonl", lines.concat());

    let drills = shell.json(&["log", "--by", "drill", "--sort", "points", "--json"]);
    assert_eq!(drills["rows"][0]["key"], "catch-the-sink");
    assert_eq!(drills["rows"][0]["best"]["points"], 64.0);
    assert_eq!(drills["rows"][1]["key"], "short-turf");
    assert_eq!(drills["days"], 12);
    let skills = shell.good(&["log", "--by", "skill", "--csv"]);
    assert!(skills.starts_with("skill,runs,"), "{skills}");
    assert!(skills.contains("\npaths,1,1,1,"), "{skills}");
    let told = shell.good(&["log", "--by", "drill"]);
    let head = told.lines().next().unwrap();
    assert!(head.contains("change  at least  at most"), "{head}");
    assert!(told.trim_end().ends_with("with 95 % confidence"), "{told}");
    let days = shell.good(&["log", "--by", "day", "--since", "2026-03-11"]);
    assert_eq!(days.lines().count(), 3, "{days}");

    let over = shell.good(&["log", "--over", "--drill", "catch-the-sink"]);
    assert!(over.contains("the curve goes up by"), "{over}");
    assert!(
        over.contains("from the first 5 to the last 5 (95 %: "),
        "{over}"
    );
    assert!(over.contains("It is all but straight."), "{over}");
    assert!(over.contains("\n100 pt │"), "no picture:\n{over}");
    let dots = |over: &str| over.chars().filter(|c| ('⠁'..='⣿').contains(c)).count();
    assert!(dots(&over) > 20, "no curve:\n{over}");
    let csv = shell.good(&["log", "--over", "--drill", "catch-the-sink", "--csv"]);
    assert_eq!(dots(&csv), 0, "{csv}");
    let rms = shell.json(&["log", "--over", "rms_ft", "--skill", "stop", "--json"]);
    assert_eq!(rms["runs"][0]["value"], 15.8);
    assert!(
        rms["curve"]["change"]["high"].as_f64().unwrap() < 0.0,
        "{rms}"
    );

    let costs = shell.json(&["log", "--costs", "--since", "2026-03-12", "--json"]);
    assert_eq!(costs["lines"][0]["key"], "dive");
    assert_eq!(costs["lines"][0]["points"], 113.0);
    assert_eq!(
        shell.json(&["log", "--costs", "--json"])["runs"],
        0,
        "long ago"
    );
    let err = shell.bad(2, &["log", "--over", "nonsense"]);
    assert!(err.contains("capture_s"), "{err}");

    let sorted = shell.good(&["log", "--sort", "points"]);
    assert!(sorted.starts_with("20260312-180000-0040"), "{sorted}");
}

/// A week of costs ends with the day that is asked for, not with today, and their order is not to be chosen.
#[test]
fn the_costs_until_a_day_are_those_of_the_week_before_it() {
    let shell = Shell::new();
    let lines: Vec<String> = [3, 5, 8]
        .into_iter()
        .map(|day| kept(day, "catch-the-sink", 40.0 + day as f64))
        .collect();
    fs::create_dir(shell.folder.join("data")).unwrap();
    shell.folder.file("data/logbook.jsonl", lines.concat());
    let costs = shell.json(&["log", "--costs", "--until", "2026-03-10", "--json"]);
    assert_eq!(costs["runs"], 2, "{costs}");
    assert_eq!(costs["lines"][0]["points"], 104.0, "{costs}");
    for list in ["--costs", "--over"] {
        let err = shell.bad(2, &["log", list, "--sort", "points"]);
        assert!(err.contains("cannot be used with"), "{list}: {err}");
    }
}

#[test]
fn what_counts_nothing_is_said_in_words() {
    let shell = Shell::with_pars();
    save(&shell, &[]);
    save(&shell, &["--air", "light"]);
    for args in [
        &["log", "--by", "skill"][..],
        &["log", "--over"],
        &["log", "--costs"],
    ] {
        let outcome = shell.run(args);
        assert_eq!(
            (outcome.code, outcome.out.as_str()),
            (Some(0), ""),
            "{args:?}"
        );
        let told = "No run flown by a person matches.\n\
                    Left out, not flown by a person: 2 (--hand counts those of one hand).\n";
        assert_eq!(outcome.err, told, "{args:?}");
    }
    let steady = shell.good(&["log", "--by", "skill", "--hand", "steady", "--csv"]);
    assert!(steady.contains(",2,"), "{steady}");
    let outcome = shell.run(&["log", "--until", "2020-01-01"]);
    assert_eq!(outcome.err, "No run matches.\n");
    let outcome = shell.run(&["log", "--over", "touchdown_ft", "--hand", "steady"]);
    assert_eq!(outcome.out, "");
    assert!(outcome.err.contains("has `touchdown_ft`"), "{outcome:?}");
    // Headers stay in output for programs.
    assert_eq!(
        shell
            .good(&["log", "--by", "skill", "--csv"])
            .lines()
            .count(),
        1
    );
}

#[test]
fn a_log_asked_wrongly_says_what_would_be_right() {
    let shell = Shell::with_pars();
    save(&shell, &[]);
    for (args, told) in [
        (
            ["--drill", "catch-the-sinc"],
            "the nearest is `catch-the-sink`",
        ),
        (["--skill", "stops"], "give one of stop, go_and_stop"),
        (["--skill", "stops"], "the nearest is `stop`"),
        (["--hand", "stedy"], "the nearest is `steady`"),
        (["--since", "yesterday"], "such as 2026-11-25"),
        (["--until", "2026-02-30"], "such as 2026-11-25"),
    ] {
        let err = shell.bad(2, &["log", args[0], args[1]]);
        assert!(err.contains(told), "{err}");
    }
    // A drill that ships but was never flown is no mistake.
    assert_eq!(shell.run(&["log", "--drill", "cliff-top"]).code, Some(0));
    let whole = "give a whole number from ";
    for args in [
        &["simulate", "cliff-top", "--hand", "steady", "--seed", "x"][..],
        &["simulate", "cliff-top", "--hand", "steady", "--repeat", "x"],
        &["fly", "cliff-top", "--seed", "1.5"],
        &["judge", "t.csv", "--drill", "cliff-top", "--seed", "-1"],
        &[
            "simulate",
            "cliff-top",
            "--hand",
            "steady",
            "--repeat",
            "-2",
        ],
        &["note", "a", "b", "--task", "-1"],
        &["debrief", "--practise", "one"],
        &["note", "a", "b", "--task", "one"],
    ] {
        let err = shell.bad(2, args);
        assert!(err.contains(whole), "{err}");
    }
}

#[test]
fn runs_of_all_hands_stand_in_the_same_columns() {
    let shell = Shell::with_pars();
    for hand in ["steady", "second_move_missing"] {
        shell.good(&["simulate", "quarry-stair", "--hand", hand, "--save"]);
    }
    let text = shell.good(&["log"]);
    let ends: Vec<_> = text.lines().map(|line| line.find("complete")).collect();
    assert_eq!(ends.len(), 2, "{text}");
    assert!(ends[0].is_some() && ends[0] == ends[1], "{text}");
}

#[test]
fn a_drawn_task_says_what_it_asked() {
    let shell = Shell::new();
    let args = [
        "simulate",
        "what-the-rock-calls",
        "--hand",
        "steady",
        "--save",
    ];
    shell.good(&[&args[..], &["--seed", "3"]].concat());
    let text = shell.good(&["debrief", "--text"]);
    let drawn: Vec<_> = text
        .lines()
        .filter(|line| line.starts_with("Drawn "))
        .collect();
    assert_eq!(drawn.len(), 6, "{text}");
    for line in drawn {
        let (asked, _) = line.split_once(':').unwrap();
        assert!(
            asked.ends_with(" ft") || asked.ends_with(" ft/min"),
            "{line}"
        );
    }
}
