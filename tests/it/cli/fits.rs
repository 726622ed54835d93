//! `fit`: rows in, an aeroplane's file out.

use std::fs;
use std::io::Write;
use std::process::Stdio;

use leveloff::drill::printable::is_plain;

use super::{Outcome, Shell, one_line};
use crate::pty_harness::Start;

/// Six rows of the deck jet.
pub const ROWS: &str = "lever_pct,vertical_speed_fpm,speed_kt,mass_kg,altitude_ft\n\
    17,-1400,131,15800,1500\n28,-700,130,15800,1500\n38,0,130,15800,1500\n48,650,129,15800,1500\n\
    32,0,120,13600,1000\n44,0,141,17800,3000\n";

/// The outcome of `fit` for a text on standard input.
fn piped(shell: &Shell, text: &[u8], args: &[&str]) -> Outcome {
    let mut command = shell.command(&[&["fit"], args].concat());
    command
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    let mut child = command.spawn().unwrap();
    // It may stop reading before the end.
    let _ = child.stdin.take().unwrap().write_all(text);
    child.wait_with_output().unwrap().into()
}

#[test]
fn the_file_gives_back_rows_and_what_was_given() {
    let shell = Shell::new();
    shell.folder.file("rows.csv", ROWS);
    let args = [
        "fit",
        "--rows",
        "rows.csv",
        "--engine-from-idle-s",
        "3.6",
        "--stall-kt",
        "108",
        "--name",
        "my \"jet\" \\ 1",
        "--jet",
        "--out",
        "mine.toml",
    ];
    let told = shell.good(&args);
    assert!(told.contains("mine.toml is written"), "{told}");
    assert!(
        told.lines().all(|line| line.chars().count() <= 100),
        "{told}"
    );
    assert!(
        shell
            .good(&["check", "mine.toml"])
            .contains("ok, aeroplane \"my \"jet\" \\ 1\"")
    );

    let page = shell.json(&["aircraft", "mine.toml", "--altitude-ft", "1500", "--json"]);
    let number = |value: &serde_json::Value| value.as_f64().unwrap();
    for (deg, lever, fpm) in [
        (-6.0, 0.17, -1400.0),
        (-3.0, 0.28, -700.0),
        (0.0, 0.38, 0.0),
        (3.0, 0.48, 650.0),
    ] {
        let row = page["trim"]
            .as_array()
            .unwrap()
            .iter()
            .find(|row| number(&row["path_deg"]) == deg)
            .unwrap();
        // The row's own vertical speed, divided by the worth of 1 % of lever.
        let by =
            (fpm - number(&row["vertical_speed_fpm"])) / number(&page["fpm_per_percent"]) / 100.0;
        assert!((number(&row["lever"]) + by - lever).abs() < 0.015, "{row}");
        assert!(
            (number(&row["speed_mps"]) / 0.514444 - 130.0).abs() < 1.5,
            "{row}"
        );
    }
    assert!(
        (number(&page["engine"]["idle_to_95_s"]) - 3.6).abs() < 0.02,
        "{page}"
    );
    let sea = shell.json(&["aircraft", "mine.toml", "--altitude-ft", "0", "--json"]);
    let stall_kt = number(&sea["drag_curve"]["stall_kt"]);
    assert!((stall_kt - 108.0).abs() < 0.1, "{stall_kt}");

    // Every number of the file says where it comes from.
    let text = fs::read_to_string(shell.folder.join("mine.toml")).unwrap();
    let numbers = text
        .lines()
        .filter(|line| line.contains(" = ") && !line.starts_with('#'));
    for line in numbers.filter(|line| !line.starts_with("name") && !line.starts_with("about")) {
        assert!(line.contains("  # "), "{line}");
    }
    assert!(text.contains("from the 3.6 s given"), "{text}");
    assert!(text.contains("# row by row"), "{text}");
    assert!(text.contains("kind = \"jet\"  # given"), "{text}");
}

#[test]
fn a_pipe_and_json_give_the_same_file() {
    let shell = Shell::new();
    let piped_file = piped(&shell, ROWS.as_bytes(), &[]);
    assert_eq!(piped_file.code, Some(0), "{piped_file:?}");
    let json = piped(&shell, ROWS.as_bytes(), &["--json"]);
    let json: serde_json::Value = serde_json::from_str(&json.out).unwrap();
    assert_eq!(json["toml"], piped_file.out.as_str());
    assert_eq!(json["nearest"], "deck jet");
    assert_eq!(json["rows"].as_array().unwrap().len(), 6);
    assert!(
        json["told"]
            .as_array()
            .unwrap()
            .iter()
            .all(|figure| figure["low"].as_f64() <= figure["value"].as_f64())
    );
    shell.folder.file("piped.toml", &piped_file.out);
    shell.good(&["check", "piped.toml"]);
    // Other columns, another order, other units.
    let other = "altitude_m,mass_lb,speed_kmh,vertical_speed_mps,lever\n457.2,34833,242.61,-7.112,0.17\n\
                 457.2,34833,240.76,-3.556,0.28\n457.2,34833,240.76,0,0.38\n457.2,34833,238.91,3.302,0.48\n";
    let same = piped(&shell, other.as_bytes(), &["--json"]);
    let same: serde_json::Value = serde_json::from_str(&same.out).unwrap();
    // Another program's form, with its columns named.
    let theirs = "ALT;TAS [kt];VSI;Weight (lb);THR\n1500;131;-1400;34833;17\n1500;130;-700;34833;28\n\
                  1500;130;0;34833;38\n1500;129;650;34833;48\n";
    let columns = "altitude=ALT:ft,vertical_speed=VSI:ft/min,lever=THR:%";
    let named = piped(&shell, theirs.as_bytes(), &["--json", "--columns", columns]);
    let named: serde_json::Value = serde_json::from_str(&named.out).unwrap();
    let level = |json: &serde_json::Value| json["told"][1]["value"].as_f64().unwrap();
    assert!((level(&same) - level(&json)).abs() < 0.5, "{same}");
    assert!((level(&named) - level(&same)).abs() < 0.5, "{named}");
}

#[test]
fn nothing_is_ever_written_over() {
    let shell = Shell::new();
    shell.folder.file("rows.csv", ROWS);
    shell.folder.file("mine.toml", "dear to me");
    let err = shell.bad(2, &["fit", "--rows", "rows.csv", "--out", "mine.toml"]);
    assert_eq!(
        one_line(&err),
        "leveloff: mine.toml already exists; name another, or move it away first"
    );
    assert_eq!(
        fs::read_to_string(shell.folder.join("mine.toml")).unwrap(),
        "dear to me"
    );
    shell.bad(
        1,
        &["fit", "--rows", "rows.csv", "--out", "nowhere/mine.toml"],
    );
}

#[test]
fn what_is_wrong_with_a_table_is_said_with_its_place() {
    let shell = Shell::new();
    let row = |row: &str| ROWS.replacen("28,-700,130,15800,1500", row, 1);
    let cases = [
        (
            String::new(),
            "1:1: the file is empty; the first line must name the columns, such as `lever,vertical_speed_fpm,",
        ),
        (
            "lever_pct,climb\n".into(),
            "1:1: there is no column `vertical_speed_fpm`; say which it is with --columns vertical_speed=COLUMN:fpm; the columns are lever_pct, climb",
        ),
        (
            "lever_pct,vertical_speed_fpm,speed_kt,mass_kg\n".into(),
            "1:1: there is no column `altitude_ft`; say which it is with --columns altitude=COLUMN:ft",
        ),
        (
            row("28,-700,130,15800"),
            "3:1: 4 cells in a row; the header has 5",
        ),
        (
            row("28,-700,13O,15800,1500"),
            "3:9: `speed` is `13O`; it takes a number",
        ),
        (
            row("28, nan,130,15800,1500"),
            "3:5: `vertical_speed` is `nan`; it takes",
        ),
        (
            row("28,-700,130,inf,1500"),
            "3:13: `mass` is `inf`; it takes",
        ),
        (
            row("128,-700,130,15800,1500"),
            "3:1: `lever` is 128; it takes a number from 0 to 100",
        ),
        (
            row("28,-700,500,15800,1500"),
            "3:9: `speed` is 500; it takes a number from 20 to 400",
        ),
        (
            row("28,-700,130,,1500"),
            "3:13: `mass` is missing; give it in each row",
        ),
        (
            row("28,-5000,80,15800,1500"),
            "3:1: -5,000 ft/min at 80 kt is steeper than 30 degrees",
        ),
        (
            row("28,700,130,15800,1500"),
            "4:1: row 2 and row 3 contradict each other",
        ),
        (
            row("38,-700,130,15800,1500"),
            "4:1: row 2 and row 3 contradict each other",
        ),
        (
            row("33,-700,130,15800,1500"),
            "3:1: row 2 contradicts the others: 33 % of lever where the others say 2",
        ),
        (
            row("28,-700,\u{1b}[2J\u{202e}9,15800,1500"),
            "3:9: `speed` is `\\u{1b}[2J\\u{202e}9`; it takes",
        ),
        (
            ROWS.lines().take(3).collect::<Vec<_>>().join("\n"),
            "1:1: different rows: 2; give at least 3",
        ),
        (
            format!("{ROWS}{}", "17,-1400,131,15800,1500\n".repeat(200)),
            "202:1: there are more than 200 rows",
        ),
    ];
    for (text, expected) in cases {
        shell.folder.file("bad.csv", &text);
        let err = shell.bad(2, &["fit", "--rows", "bad.csv"]);
        let line = one_line(&err);
        assert!(
            line.starts_with(&format!("bad.csv:{expected}")),
            "{line}\nnot {expected}"
        );
        assert!(line.chars().all(is_plain), "{line}");
        // The same from standard input.
        if !text.is_empty() {
            let outcome = piped(&shell, text.as_bytes(), &[]);
            assert_eq!(
                (outcome.code, outcome.out.as_str()),
                (Some(2), ""),
                "{expected}"
            );
            assert!(
                outcome
                    .err
                    .starts_with(&format!("standard input:{expected}")),
                "{}",
                outcome.err
            );
        }
    }
}

#[test]
fn hostile_input_ends_in_two() {
    let shell = Shell::new();
    let nothing = piped(&shell, b"", &[]);
    assert_eq!(nothing.code, Some(2));
    assert!(
        nothing.err.contains("give --rows FILE.csv"),
        "{}",
        nothing.err
    );
    let endless = vec![b'1'; 3 << 20];
    assert!(
        piped(&shell, &endless, &[])
            .err
            .contains("larger than 1 MiB")
    );
    assert!(
        piped(&shell, b"\xff\xfe\x00", &[])
            .err
            .contains("not UTF-8")
    );
    shell.folder.file("binary.csv", b"lever_pct,\xff\n");
    shell.bad(2, &["fit", "--rows", "binary.csv"]);
    shell.bad(2, &["fit", "--rows", "."]);
    shell.bad(2, &["fit", "--rows", "missing.csv"]);
    shell.folder.file("rows.csv", ROWS);
    let wrong: &[&[&str]] = &[
        &["--jet", "--propeller"],
        &["--engine-from-idle-s", "0"],
        &["--stall-kt", "nan"],
        &["--area-m2", "-3"],
        &["--name", ""],
        &["--name", "  "],
        &["--name", "a\u{1b}b"],
        &["--read-to", "1,50,1"],
        &["--read-to", "0,50,1,100"],
    ];
    for args in wrong {
        shell.bad(2, &[&["fit", "--rows", "rows.csv"], *args].concat());
    }
}

#[test]
fn a_wing_area_that_is_given_tells_the_lift_coefficient() {
    let shell = Shell::new();
    shell.folder.file("rows.csv", ROWS);
    let json = shell.json(&["fit", "--rows", "rows.csv", "--area-m2", "50", "--json"]);
    let file = json["toml"].as_str().unwrap();
    assert!(file.contains("area_m2 = 50.0  # given"), "{file}");
    assert!(
        !json["taken"]
            .as_array()
            .unwrap()
            .contains(&"lift coefficient on speed".into())
    );
}

#[test]
fn rows_are_asked_for_on_a_terminal() {
    let folder = crate::folder::Folder::new();
    let out = folder.join("asked.toml");
    let pty = Start::on(100, 40).args(&["fit", "--out", out.to_str().unwrap()]);
    let mut pty = pty.spawn();
    pty.wait_text("row 1, ");
    // What is beyond the longest line is no row of its own.
    pty.send(format!("{:1000}28 -700 130 15800 1500\r", "x"));
    pty.send("28 -700 130\r");
    pty.wait_text("3 numbers in a row; give lever %");
    pty.send("28 -700 130 15800 1500\r");
    pty.wait_text("row 2, ");
    pty.send("38, 0, 930\r");
    pty.wait_text("`speed` is 930; it takes a number from 20 to 400");
    pty.send("38, 0, 130\r");
    pty.wait_text("row 3, ");
    pty.send("48 650 129\r");
    pty.wait_text("row 4, ");
    pty.send("48 -650 129\r");
    pty.wait_text("row 5, ");
    pty.send("\r");
    pty.wait_text("row 2 and row 4 contradict each other");
    pty.send("4\r");
    pty.wait_text("an empty line leaves it out");
    pty.send("18 -1350 131\r");
    pty.wait_text("asked.toml is written");
    assert_eq!(pty.exit_code(), 0);
    assert!(
        fs::read_to_string(out)
            .unwrap()
            .contains("Fitted to 4 rows")
    );
}
