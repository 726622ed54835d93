//! Files of drills and aeroplanes: where they are looked for, and the messages for bad ones.

use crate::flying::{SLUGGISH, edited};
use leveloff::drill::library;

use super::{Shell, hold_drill, one_line};

fn simulate(shell: &Shell, drill: &str) -> String {
    let args = [
        "simulate", drill, "--hand", "steady", "--track", "t.csv", "--save",
    ];
    let err = shell.bad(2, &args);
    assert!(!shell.folder.join("t.csv").exists() && !shell.folder.join("data").exists());
    one_line(&err).to_string()
}

#[test]
fn an_unknown_name_lists_the_known_and_the_nearest() {
    let shell = Shell::new();
    let line = simulate(&shell, "catch-the-snk");
    assert!(line.contains("nearest is `catch-the-sink`"), "{line}");
    assert!(
        library::DRILLS
            .iter()
            .all(|shipped| line.contains(shipped.id)),
        "{line}"
    );
    let line = simulate(&shell, "\u{1b}[2J");
    assert!(
        !line.contains('\u{1b}') && !line.contains("nearest"),
        "{line}"
    );

    let err = shell.bad(2, &["aircraft", "dekc jet"]);
    let line = one_line(&err);
    assert!(line.contains("nearest is `deck jet`"), "{line}");
    assert!(
        library::aircraft_names()
            .iter()
            .all(|name| line.contains(name))
    );
}

#[test]
fn a_file_that_is_no_text_is_told_in_one_line() {
    let shell = Shell::new();
    std::fs::create_dir(shell.folder.join("folder.toml")).unwrap();
    shell
        .folder
        .file("latin.toml", b"title = \"x\"\nabout = \"caf\xe9\"\n");
    let missing = simulate(&shell, "missing.toml");
    assert!(missing.contains("missing.toml"), "{missing}");
    let folder = simulate(&shell, "folder.toml");
    assert!(folder.contains("folder.toml is a folder"), "{folder}");
    let latin = simulate(&shell, "latin.toml");
    assert!(latin.starts_with("latin.toml:2:13: not UTF-8"), "{latin}");
}

#[test]
fn a_bad_drill_is_told_with_its_place_and_nothing_before_it() {
    let shell = Shell::new();
    let good = hold_drill("deck jet", 1500.0, 10.0);
    let cases = [
        (
            good.replace("seconds = 10", "seconds = 0"),
            "bad.toml:7:56: `seconds` is 0; ",
        ),
        (
            good.replace("about", "abuot"),
            "bad.toml:2:1: unknown key `abuot`",
        ),
        (
            good.replace("deck jet", "paper plane"),
            "bad.toml:3:12: no aeroplane \"paper plane\" ships; ",
        ),
        (
            good.replace("deck jet", "paper.toml"),
            "bad.toml:3:12: there is no file paper.toml; ",
        ),
        (good.replace("[start]", "[start"), "bad.toml:4:"),
        (String::new(), "bad.toml:1:1: "),
    ];
    for (text, wanted) in cases {
        shell.folder.file("bad.toml", text);
        let line = simulate(&shell, "bad.toml");
        assert!(line.starts_with(wanted), "{line}");
        let err = shell.bad(2, &["check", "bad.toml"]);
        assert_eq!(one_line(&err), line);
    }
}

#[test]
fn an_aeroplane_is_found_beside_its_drill() {
    let shell = Shell::new();
    std::fs::create_dir_all(shell.folder.join("school/hangar")).unwrap();
    let own = library::AIRCRAFT[0].text.replace("first jet", "school jet");
    shell.folder.file("school/hangar/own.toml", &own);
    shell.folder.file(
        "school/lesson.toml",
        hold_drill("hangar/own.toml", 1500.0, 2.0),
    );
    let result = shell.json(&[
        "simulate",
        "school/lesson.toml",
        "--hand",
        "steady",
        "--json",
        "--save",
    ]);
    assert_eq!(result["drill"], "lesson");
    assert_eq!(result["aircraft"], "school jet");
    assert!(
        shell
            .good(&["aircraft", "school/hangar/own.toml"])
            .starts_with("school jet at 1000 ft")
    );

    // The recording holds both texts and outlives the files.
    std::fs::remove_dir_all(shell.folder.join("school")).unwrap();
    let again = shell.json(&["debrief", "--json"]);
    assert_eq!(again, result);
}

#[test]
fn a_practice_with_an_own_aeroplane_says_which_file_it_needs() {
    let shell = Shell::new();
    let own = library::AIRCRAFT[0].text.replace("first jet", "school jet");
    shell.folder.file("own.toml", &own);
    shell.folder.file("none.csv", "t_s,lever\n");
    for (aircraft, needs) in [("own.toml", true), ("first jet", false)] {
        let drill = format!(
            "title = 'T'\nabout = 'A'\naircraft = '{aircraft}'\n[start]\naltitude_ft = 1500\n\
             [[task]]\nstep = {{ to_ft = 1300, band_ft = 25, hold_s = 10, within_s = 60 }}\n"
        );
        shell.folder.file("drill.toml", drill);
        shell.good(&["simulate", "drill.toml", "--lever", "none.csv", "--save"]);
        let outcome = shell.run(&["debrief", "--practise", "1"]);
        let told = "It flies \"own.toml\": that file has to be beside it.";
        assert_eq!(outcome.err.contains(told), needs, "{}", outcome.err);
        assert!(outcome.out.contains("[task.step]"), "{}", outcome.out);
    }
}

#[test]
fn what_is_wrong_in_an_aeroplane_is_told_in_its_own_file() {
    let shell = Shell::new();
    let own = library::AIRCRAFT[0]
        .text
        .replace("area_m2 = 27.5", "area_m2 = 0");
    shell.folder.file("own.toml", own);
    shell
        .folder
        .file("drill.toml", hold_drill("own.toml", 1500.0, 2.0));
    let line = simulate(&shell, "drill.toml");
    assert!(
        line.starts_with("own.toml:7:11: `area_m2` is 0; "),
        "{line}"
    );
    let err = shell.bad(2, &["check", "own.toml"]);
    assert_eq!(one_line(&err), line);
}

#[test]
fn check_tells_good_from_bad() {
    let shell = Shell::new();
    shell
        .folder
        .file("drill.toml", hold_drill("deck jet", 2500.0, 10.0));
    shell.folder.file("plane.toml", library::AIRCRAFT[0].text);
    shell.folder.file("other.toml", "[package]\nname = \"x\"\n");
    let good = shell.good(&["check", "drill.toml", "plane.toml"]);
    let lines: Vec<&str> = good.lines().collect();
    assert_eq!(lines.len(), 3, "with a remark on the hold: {good}");
    assert!(lines[0].starts_with("drill.toml: ok, drill"), "{good}");
    assert!(
        lines[2].starts_with("plane.toml: ok, aeroplane \"first jet\""),
        "{good}"
    );

    let outcome = shell.run(&[
        "check",
        "other.toml",
        "drill.toml",
        "missing.toml",
        "plane.toml",
    ]);
    assert_eq!(outcome.code, Some(2));
    assert_eq!(outcome.out, good);
    let complaints: Vec<&str> = outcome.err.lines().collect();
    assert_eq!(complaints.len(), 2, "{outcome:?}");
    assert!(complaints[0].starts_with("other.toml:1:"), "{outcome:?}");
    assert!(complaints[1].contains("missing.toml"), "{outcome:?}");
}

#[test]
fn everything_that_ships_checks_as_a_file_too() {
    let shell = Shell::new();
    let mut args = vec!["check".to_string()];
    for shipped in library::DRILLS.iter().chain(library::AIRCRAFT) {
        shell
            .folder
            .file(&format!("{}.toml", shipped.id), shipped.text);
        args.push(format!("{}.toml", shipped.id));
    }
    let args: Vec<&str> = args.iter().map(String::as_str).collect();
    let lines = shell.good(&args).lines().count();
    assert_eq!(lines, library::DRILLS.len() + library::AIRCRAFT.len());
}

/// A band of five feet, where half a per cent of the lever drifts farther; and a rate that ends in the surface.
#[test]
fn check_remarks_on_what_nobody_earns_points_for() {
    let shell = Shell::new();
    for (file, altitude_ft, task) in [
        (
            "narrow.toml",
            7800,
            "step = { to_ft = 9300, band_ft = 5, hold_s = 3, within_s = 360 }",
        ),
        (
            "low.toml",
            600,
            "rate = { to_fpm = -1000, band_fpm = 50, hold_s = 15, within_s = 40 }",
        ),
        (
            "right.toml",
            1600,
            "rate = { to_fpm = -500, band_fpm = 80, hold_s = 15, within_s = 40 }",
        ),
    ] {
        let begin = "title = 'T'\nabout = 'A'\naircraft = 'prop trainer'\n";
        let text = format!("{begin}[start]\naltitude_ft = {altitude_ft}\n[[task]]\n{task}\n");
        shell.folder.file(file, text);
    }
    let good = shell.good(&["check", "narrow.toml", "low.toml", "right.toml"]);
    let lines: Vec<&str> = good.lines().collect();
    assert_eq!(lines.len(), 5, "{good}");
    for (remark, kind) in [(lines[1], "step"), (lines[3], "rate")] {
        let begin = format!("  task 1, the {kind}: neither steady nor the brief earns a point");
        assert!(remark.starts_with(&begin), "{good}");
    }
}

/// A hold in trim pays for nothing, and a wind that shifts after the end never does.
#[test]
fn check_remarks_on_points_for_nothing_and_on_wind_that_comes_too_late() {
    let shell = Shell::new();
    let drill = |start: &str, air: &str, more: &str| {
        format!(
            "title = 'T'\nabout = 'A'\naircraft = 'prop trainer'\n[start]\naltitude_ft = 1500\n{start}\n{air}\n\
             [[task]]\nhold = {{ altitude_ft = 1500, band_ft = 25, seconds = 20 }}\n{more}\n"
        )
    };
    let late = "[air]\nshift_kt = 8\nshift_at_s = 300";
    for (file, text) in [
        ("trimmed.toml", drill("", "", "")),
        ("off.toml", drill("lever_off = 0.05", "", "")),
        ("unscored.toml", drill("", "", "scored = false")),
        ("late.toml", drill("lever_off = 0.05", late, "")),
    ] {
        shell.folder.file(file, text);
    }
    let remarks = |file: &str| -> Vec<String> {
        let good = shell.good(&["check", file]);
        good.lines().skip(1).map(str::to_string).collect()
    };
    let [trimmed, late] = ["trimmed.toml", "late.toml"].map(remarks);
    assert_eq!(trimmed.len(), 1, "{trimmed:?}");
    assert!(
        trimmed[0].contains("task 1, the hold: it begins in trim"),
        "{trimmed:?}"
    );
    assert_eq!(late, ["  the wind shifts at 300 s, when the drill is over"]);
    for file in ["off.toml", "unscored.toml"] {
        assert_eq!(remarks(file), [""; 0], "{file}");
    }
}

/// The reason that makes a rate impossible is named; so is a band that reaches below the surface.
#[test]
fn check_says_why_a_rate_cannot_be_flown() {
    let shell = Shell::new();
    let begin = "title = 'T'\nabout = 'A'\naircraft = 'prop trainer'\n";
    for (file, altitude_ft, task, told) in [
        (
            "steep.toml",
            3000,
            "rate = { to_fpm = -3000, band_fpm = 50, hold_s = 15, within_s = 40 }",
            "; steeper than it sinks at idle, ",
        ),
        (
            "climb.toml",
            3000,
            "rate = { to_fpm = 3000, band_fpm = 50, hold_s = 15, within_s = 40 }",
            "; more than it climbs at full power, ",
        ),
        (
            "surface.toml",
            200,
            "rate = { to_fpm = -500, band_fpm = 50, hold_s = 60, within_s = 40 }",
            "; the surface comes before the stay is over",
        ),
        (
            "band.toml",
            60,
            "hold = { altitude_ft = 60, band_ft = 80, seconds = 20 }",
            "task 1, the hold: its band reaches 20 ft below the surface",
        ),
    ] {
        let text = format!("{begin}[start]\naltitude_ft = {altitude_ft}\n[[task]]\n{task}\n");
        shell.folder.file(file, text);
        let good = shell.good(&["check", file]);
        assert!(good.contains(told), "{good}");
    }
}

#[test]
fn check_remarks_on_an_aeroplane_below_its_line() {
    let shell = Shell::new();
    shell
        .folder
        .file("late.toml", edited("late jet", &[("slow_s", "6.0")]));
    shell.folder.file("good.toml", library::AIRCRAFT[0].text);
    let good = shell.good(&["check", "late.toml", "good.toml"]);
    let lines: Vec<&str> = good.lines().collect();
    assert_eq!(lines.len(), 3, "{good}");
    assert!(lines[0].starts_with("late.toml: ok, aeroplane \"late jet\""));
    assert!(
        lines[1].starts_with("  the engine of late jet takes ")
            && lines[1].contains("14 CFR 33.73"),
        "{good}"
    );
    assert!(lines[2].starts_with("good.toml: ok, "), "{good}");
}

#[test]
fn check_refuses_an_aeroplane_that_nobody_can_fly() {
    let shell = Shell::new();
    let sluggish = [&SLUGGISH[..], &[("slow_s", "6.0")]].concat();
    // Without the extras, whose drag would exceed the rest.
    let wild = edited("late jet", &sluggish);
    let wild = wild.split("[[extra]]").next().unwrap();
    shell.folder.file("wild.toml", wild);
    let err = shell.bad(2, &["check", "wild.toml"]);
    let line = one_line(&err);
    assert!(
        line.starts_with("wild.toml: the phugoid of late jet grows: damping -0.1"),
        "{line}"
    );

    // The others are still judged.
    shell.folder.file("good.toml", library::AIRCRAFT[0].text);
    let outcome = shell.run(&["check", "wild.toml", "good.toml"]);
    assert_eq!(outcome.code, Some(2));
    assert_eq!(outcome.err, err);
    assert!(outcome.out.starts_with("good.toml: ok, "), "{outcome:?}");
}
