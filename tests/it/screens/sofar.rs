//! The progress screen: skills, points over runs with their curve, days, costs, what to fly next.

use super::*;

/// A line of the logbook, of run n of ten days of four.
fn line(n: usize, drill: &str, points: f64) -> String {
    let day = 1 + n / 4 * 2;
    let id = format!("202602{day:02}-1800{:02}-{n:04x}", n % 4);
    format!(
        r#"{{"schema":1,"id":"{id}","at":"2026-02-{day:02}T18:00:0{}+00:00","drill":"{drill}","title":"A drill","aircraft":"first jet","hand":"person","aids":"full","air":null,"seed":7,"model":1,"end_s":60.0,"complete":true,"left":false,"fault":null,"points":{points},"digest":"00","figures":[["rms_ft",{}]],"bill":[["level_off_late",{}],["rest",2.0]]}}"#,
        n % 4,
        20.0 - points / 10.0,
        98.0 - points
    ) + "\n"
}

fn log(seat: &Seat, lines: &str) {
    std::fs::create_dir_all(&seat.folder).unwrap();
    std::fs::write(seat.folder.join("logbook.jsonl"), lines).unwrap();
}

/// Forty runs of two drills on ten days, getting better.
fn practised(seat: &mut Seat) {
    let mut lines = String::new();
    for n in 0..40 {
        let drill = if n % 4 == 3 {
            "boat-slip"
        } else {
            "catch-the-sink"
        };
        let wobble = [3.0, -5.0, 1.0, 6.0, -4.0][n % 5];
        let points = 80.0 - 45.0 * 0.9_f64.powi(n as i32) + wobble;
        lines += &line(n, drill, points);
    }
    lines += "{\"schema\":1,\"id\":\"2026\n";
    log(seat, &lines);
}

#[test]
fn so_far_shows_whether_it_gets_better_and_what_next() {
    for (name, size, theme) in [
        ("80x24", SMALL, MONO),
        ("140x40", LARGE, MONO),
        ("ascii_80x24", SMALL, ASCII),
    ] {
        let mut seat = Seat::new(&format!("sofar-{name}"), size, theme);
        seat.key(KeyCode::Char('s'));
        assert!(seat.text().contains("No run of yours has been kept yet"));
        seat.key(KeyCode::Char('q'));
        practised(&mut seat);
        seat.key(KeyCode::Char('s'));
        insta::assert_snapshot!(format!("sofar_{name}"), seat.text());
        seat.key(KeyCode::Down);
        let text = seat.text();
        assert!(
            text.contains("go and stop: 10 runs, scattered by"),
            "{text}"
        );
        assert!(
            text.contains("1 of the logbook's lines cannot be read"),
            "{text}"
        );
    }
}

#[test]
fn so_far_is_put_together_otherwise_and_shows_each_figure() {
    let mut seat = Seat::new("sofar-otherwise", SMALL, MONO);
    practised(&mut seat);
    seat.key(KeyCode::Char('s'));
    let points = seat.text();
    assert!(points.contains("by skill: points"), "{points}");
    assert!(points.contains("100 pt"), "{points}");
    assert!(points.contains("days   best  last five"), "{points}");
    seat.key(KeyCode::Right);
    let rms = seat.text();
    assert!(rms.contains("by skill: rms error, ft"), "{rms}");
    assert!(!rms.contains("100 pt"), "{rms}");
    // The best run is the one with most points, so there is no column for it in feet.
    assert!(rms.contains("days  last five"), "{rms}");
    seat.key(KeyCode::Left);
    assert_eq!(seat.text(), points);
    seat.key(KeyCode::Tab);
    let drills = seat.text();
    assert!(drills.contains("by drill: points"), "{drills}");
    assert!(
        drills.contains("last five   since the first five"),
        "{drills}"
    );
    insta::assert_snapshot!("sofar_by_drill_80x24", drills);
    seat.key(KeyCode::Tab);
    let days = seat.text();
    assert!(days.contains("by day: points"), "{days}");
    assert!(
        days.contains("2026-02-19") && !days.contains("since the first"),
        "{days}"
    );
    seat.key(KeyCode::Tab);
    assert_eq!(seat.text(), points);
}

#[test]
fn where_no_change_can_be_told_so_far_draws_the_mean() {
    let mut seat = Seat::new("sofar-flat", SMALL, MONO);
    let points = [
        35.0, 75.0, 55.0, 80.0, 50.0, 78.0, 52.0, 76.0, 54.0, 70.0, 60.0, 66.0,
    ];
    let lines = points.iter().enumerate();
    let lines: String = lines
        .map(|(n, points)| line(n, "catch-the-sink", *points))
        .collect();
    log(&seat, &lines);
    seat.key(KeyCode::Char('s'));
    let text = seat.text();
    let told = text
        .lines()
        .find(|row| row.ends_with(", by chance?"))
        .unwrap();
    let change = told.split_once("65   ").unwrap().1;
    // The interval of the change, and no value for a change that may be chance.
    assert_eq!(change.matches(',').count(), 1, "{change}");
    assert!(
        change.starts_with('-') && change.contains(" to +"),
        "{change}"
    );
    let dots = |row: &str| row.chars().filter(|c| ('⠁'..='⣿').contains(c)).count();
    let most = text.lines().map(dots).max().unwrap();
    assert!(most >= 70, "the line leaves its row:\n{text}");
}

#[test]
fn the_menu_says_what_to_fly_next() {
    let mut seat = Seat::new("next", SMALL, MONO);
    practised(&mut seat);
    seat.app.look_up_best();
    let text = seat.text();
    let second = text.lines().nth(1).unwrap();
    assert_eq!(
        second, " n next: A drill, aids some: flown 10 days ago",
        "{text}"
    );
}

/// A warning, the days, the costs and the sentence together may take more rows than they have at least.
#[test]
fn what_to_fly_next_is_never_cut_off() {
    let mut seat = Seat::new("sofar-whole", SMALL, MONO);
    let name = "the-drill-with-the-longest-name-that-anybody-has-given-to-one-of-them";
    let lines: String = (0..54).map(|n| line(n, "catch-the-sink", 20.0)).collect();
    let lines = lines.replace("level_off_late", "second_move_missing");
    let costs = r#""bill":[["power_too_little",20.0],["level_power_off",20.0],"#;
    let lines = lines.replace(r#""bill":["#, costs);
    log(
        &seat,
        &(lines + "{\"schema\":1,\"id\":\"2026\n" + name + "\n"),
    );
    seat.key(KeyCode::Char('s'));
    let text = seat.text();
    for part in [
        "cannot be read",
        "the last four weeks",
        "costs most this week",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
    let rows: Vec<&str> = text.lines().collect();
    let (keys, below) = rows.split_last().unwrap();
    assert!(keys.contains("up, down row"), "{text}");
    let from = below.iter().position(|row| row.starts_with(" Fly "));
    let sentence = &below[from.expect("a sentence")..];
    assert!(sentence.len() >= 2, "{text}");
    assert!(sentence.last().unwrap().trim_end().ends_with('.'), "{text}");
}

/// By day there can be hundreds of rows.
#[test]
fn long_lists_have_page_keys_and_ends() {
    let of = |code| {
        action(
            leveloff::tui::action::Mode::SoFar,
            &KeyEvent::new(code, KeyModifiers::NONE),
        )
    };
    assert_eq!(of(KeyCode::Home), Some(Action::Scroll(i16::MIN)));
    assert_eq!(of(KeyCode::End), Some(Action::Scroll(i16::MAX)));
    assert!(matches!(of(KeyCode::PageDown), Some(Action::Scroll(2..))));
}
