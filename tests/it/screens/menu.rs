//! The menu by skill, with the results on each drill, and the list of runs.

use std::fmt::Write as _;

use leveloff::logbook::Entry;
use leveloff::run::recording::HandName;

use super::*;
use crate::flying;

/// An entry of the logbook: the nth run of a drill.
fn entry(drill: &Drill, n: usize, points: f64) -> Entry {
    let mut run = Run::new(Arc::new(drill.clone()), 7);
    run.fly();
    run.leave();
    let recording = Recording {
        id: format!("20260301-0930{:02}-{n:04x}", n % 60),
        at: format!("2026-03-01T09:30:{:02}+00:00", n % 60),
        ..Recording::of(&run)
    };
    Entry {
        complete: true,
        left: false,
        points: Some(points),
        bill: Some(vec![
            ("level_off_late".to_string(), 12.0),
            ("rest".to_string(), 40.0),
            ("second_move_missing".to_string(), 3.5),
        ]),
        ..Entry::of(&recording, drill)
    }
}

fn keep(seat: &mut Seat, entries: &[Entry]) {
    let mut lines = String::new();
    for entry in entries {
        writeln!(lines, "{}", serde_json::to_string(entry).unwrap()).unwrap();
    }
    std::fs::create_dir_all(&seat.folder).unwrap();
    std::fs::write(seat.folder.join("logbook.jsonl"), lines).unwrap();
    seat.app.look_up_best();
}

/// A learner's first days: the early drills, one of them up to par, and some runs that do not count.
fn first_days() -> Vec<Entry> {
    let [sink, slip, stair] = ["catch-the-sink", "boat-slip", "quarry-stair"].map(flying::shipped);
    let mut entries = Vec::new();
    let points = [
        5.0, 18.0, 12.0, 33.0, 41.0, 38.0, 55.0, 52.0, 61.0, 66.0, 71.0, 74.6, 69.0,
    ];
    entries.extend((0..).zip(points).map(|(n, points)| entry(&sink, n, points)));
    entries.extend(
        (20..)
            .zip([22.0, 30.0])
            .map(|(n, points)| entry(&slip, n, points)),
    );
    entries.push(Entry {
        complete: false,
        left: true,
        points: Some(99.0),
        ..entry(&slip, 30, 99.0)
    });
    entries.push(Entry {
        hand: HandName::Steady,
        ..entry(&stair, 31, 88.0)
    });
    entries
}

fn row(text: &str, title: &str) -> String {
    // The text above the list may name a drill as well.
    let row = text.lines().skip(2).find(|line| line.contains(title));
    row.unwrap_or_else(|| panic!("no {title}: {text}"))
        .to_string()
}

#[test]
fn the_menu_and_the_runs_at_three_sizes() {
    for (size, name) in [(SMALL, "80x24"), (LARGE, "140x40"), (VAST, "200x60")] {
        let mut seat = Seat::new(&format!("days-{name}"), size, MONO);
        keep(&mut seat, &first_days());
        insta::assert_snapshot!(format!("menu_{name}"), seat.text());
        seat.key(KeyCode::Char('/'));
        seat.write("late");
        insta::assert_snapshot!(format!("find_{name}"), seat.text());
        seat.key(KeyCode::Esc);
        seat.key(KeyCode::Char('l'));
        insta::assert_snapshot!(format!("runs_{name}"), seat.text());
    }
    let mut seat = Seat::new("days-ascii", LARGE, ASCII);
    keep(&mut seat, &first_days());
    assert!(seat.text().is_ascii(), "{}", seat.text());
    insta::assert_snapshot!("menu_140x40_ascii", seat.text());
}

#[test]
fn only_complete_runs_of_a_person_stand_in_the_menu() {
    let mut seat = Seat::new("complete", SMALL, MONO);
    keep(&mut seat, &first_days());
    let text = seat.text();
    let sink = row(&text, "Catch the sink");
    assert!(sink.contains("  69    75   ✓"), "last, best, par: {sink}");
    let slip = row(&text, "Down to the boat slip");
    assert!(
        slip.contains("  30    30"),
        "the one left is neither: {slip}"
    );
    assert!(!slip.contains('✓'), "{slip}");
    let stair = row(&text, "Down the quarry stair");
    assert!(!stair.contains("88"), "another hand's is nobody's: {stair}");
}

#[test]
fn what_a_drill_asks_is_a_picture_beside_the_list() {
    let beside = |seat: &mut Seat, title: &str| {
        seat.key(KeyCode::Char('/'));
        seat.write(title);
        let text = seat.text();
        seat.key(KeyCode::Esc);
        let columns = text.lines().map(|line| line.chars().skip(82).collect());
        columns.collect::<Vec<String>>().join("\n")
    };
    let mut seat = Seat::new("asked", LARGE, MONO);
    for (title, labels) in [
        ("Down the quarry stair", vec!["1,660 │", "1,310 │", "890 │"]),
        ("A rate and no more", vec!["1,300 │"]),
        ("The supply ship", vec!["1,087 │", "55 │"]),
        (
            "Errands round the ship",
            vec!["1,900 │", "1,400 │", "900 │"],
        ),
    ] {
        let text = beside(&mut seat, title);
        assert!(text.contains("what is asked: altitude"), "{title}: {text}");
        assert!(text.contains("about "), "{title}: {text}");
        for label in labels {
            assert!(text.contains(label), "{title}, {label}: {text}");
        }
    }
    let stair = flying::shipped("quarry-stair");
    let mut entries = first_days();
    entries.extend((60..75).map(|n| entry(&stair, n, 50.0)));
    keep(&mut seat, &entries);
    // The bars are lower for many tasks, so that the picture has room.
    for title in ["Catch the sink", "Down the quarry stair"] {
        let text = beside(&mut seat, title);
        assert!(text.contains("what is asked: altitude"), "{text}");
        assert!(text.contains("your last 12 complete runs"), "{text}");
        assert!(text.contains("level off late"), "{text}");
    }
}

#[test]
fn what_costs_most_is_told_beside_the_list() {
    let mut seat = Seat::new("costs", LARGE, MONO);
    keep(&mut seat, &first_days());
    let text = seat.text();
    assert!(text.contains("your last 12 complete runs"), "{text}");
    assert!(
        text.contains("12.0 points a run   level off late"),
        "{text}"
    );
    assert!(
        text.contains(" 3.5 points a run   second move missing"),
        "{text}"
    );
    assert!(
        !text.contains("a run   rest"),
        "what is not told is no advice: {text}"
    );
}

#[test]
fn a_run_flown_to_its_end_keeps_its_bill_and_old_lines_are_read() {
    let drill = flying::shipped("catch-the-sink");
    let mut seat = Seat::before(vec![drill], "bill-kept", LARGE, MONO);
    seat.keys(2, KeyCode::Enter);
    seat.key(KeyCode::Char('4'));
    for _ in 0..130 {
        seat.wait(1.0);
    }
    seat.settle();
    let logbook = seat.logbook();
    let kept = logbook.entries().unwrap().entries.remove(0);
    let bill = kept.bill.clone().unwrap();
    assert!(
        bill.iter().map(|(_, points)| points).sum::<f64>() > 20.0,
        "{bill:?}"
    );
    assert!(
        bill.is_sorted_by(|a, b| a.1 >= b.1),
        "dearest first: {bill:?}"
    );
    let mut line = serde_json::to_value(&kept).unwrap();
    line.as_object_mut().unwrap().remove("bill");
    std::fs::write(seat.folder.join("logbook.jsonl"), line.to_string()).unwrap();
    let old = logbook.entries().unwrap().entries.remove(0);
    assert_eq!(old, Entry { bill: None, ..kept });
}

#[test]
fn letters_find_a_drill_and_escape_clears_them() {
    let mut seat = Seat::new("find", SMALL, MONO);
    seat.key(KeyCode::Char('/'));
    // Each of these letters means something elsewhere on the menu.
    seat.write("gap?");
    let text = seat.text();
    assert!(text.contains("find: gap?_"), "{text}");
    assert!(text.contains("no drill or aeroplane has that"), "{text}");
    assert!(
        !text.contains("enter opens"),
        "there is nothing to open: {text}"
    );
    seat.key(KeyCode::Enter);
    assert!(seat.text().contains("find: gap?_"), "nothing to open");
    seat.keys(4, KeyCode::Backspace);
    seat.write("QUARRY");
    let text = seat.text();
    assert!(text.contains("Into the quarry") && text.contains("Down the quarry stair"));
    assert!(!text.contains("Catch the sink"), "{text}");
    assert!(row(&text, "Into the quarry").contains('▸'), "{text}");
    assert!(
        !text.contains("q quit") && !text.contains("? help"),
        "typed: {text}"
    );
    seat.key(KeyCode::Down);
    seat.key(KeyCode::Enter);
    assert!(seat.text().contains("Down the quarry stair"));
    // Back from the brief the search is still there; escape clears it before it quits.
    seat.key(KeyCode::Esc);
    assert!(seat.text().contains("find: QUARRY_"), "{}", seat.text());
    assert_eq!(seat.key(KeyCode::Esc), Wish::Stay);
    let text = seat.text();
    assert!(!text.contains("find:"), "{text}");
    assert!(row(&text, "Down the quarry stair").contains('▸'), "{text}");
    // After a flight letters have their usual meaning on the menu.
    seat.key(KeyCode::Char('/'));
    seat.write("stair");
    seat.keys(2, KeyCode::Enter);
    seat.key(KeyCode::Char('q'));
    assert!(!seat.text().contains("find:"), "{}", seat.text());
    seat.key(KeyCode::Char('/'));
    seat.write("x");
    assert_eq!(seat.key(KeyCode::Esc), Wish::Stay, "clears, and only that");
    assert!(row(&seat.text(), "Down the quarry stair").contains('▸'));
    assert_eq!(seat.key(KeyCode::Esc), Wish::Exit(0));
}

#[test]
fn the_list_says_that_it_goes_on_and_is_crossed_by_keys() {
    let mut seat = Seat::new("more", SMALL, MONO);
    let count = |text: &str, sign: &str| {
        let line = text.lines().find(|line| line.contains(sign))?;
        let words: Vec<&str> = line.split_whitespace().collect();
        words[1].parse::<usize>().ok()
    };
    let drills = |text: &str| {
        let titles = library::DRILLS
            .iter()
            .map(|shipped| shipped.drill().unwrap().title);
        let shown = titles.filter(|title| text.contains(&format!("{title} ")));
        shown.count()
    };
    let text = seat.text();
    assert_eq!(count(&text, "↑"), None, "{text}");
    assert_eq!(
        count(&text, "↓").unwrap() + drills(&text),
        library::DRILLS.len(),
        "{text}"
    );
    seat.key(KeyCode::PageDown);
    let text = seat.text();
    let both = count(&text, "↑").unwrap() + count(&text, "↓").unwrap();
    assert_eq!(both + drills(&text), library::DRILLS.len(), "{text}");
    seat.key(KeyCode::End);
    let text = seat.text();
    assert!(row(&text, "Errands round the ship").contains('▸'), "{text}");
    assert_eq!(count(&text, "↓"), None, "{text}");
    seat.key(KeyCode::PageUp);
    seat.key(KeyCode::Home);
    assert!(row(&seat.text(), "Catch the sink").contains('▸'));
}

#[test]
fn years_of_runs_are_read_in_a_moment() {
    let drill = library::DRILLS[0].drill().unwrap();
    let mut seat = Seat::new("years", SMALL, MONO);
    let one = entry(&drill, 1, 40.0);
    let mut entries = vec![one.clone(); 36_499];
    entries.push(Entry {
        points: Some(61.0),
        ..one
    });
    keep(&mut seat, &entries);
    let since = Instant::now();
    seat.app.look_up_best();
    let took = since.elapsed();
    println!("36,500 runs: {took:?}");
    let text = seat.text();
    assert!(
        row(&text, "Catch the sink").contains("  61    61"),
        "{text}"
    );
    // The aim is 0.6 s in an optimised build; this leaves room for a loaded machine and another build.
    assert!(took < Duration::from_secs(6), "{took:?}");
}

/// What a drill is about has two rows below the list; a text that needs more is marked as cut.
#[test]
fn what_is_too_long_below_the_list_ends_in_dots() {
    let about = |words: usize| "word ".repeat(words).trim().to_string();
    for (words, is_cut) in [(12, false), (30, false), (40, true)] {
        let text = format!(
            "title = 'T'\nabout = '{}'\naircraft = 'deck jet'\n[start]\naltitude_ft = 1500\n\
             [[task]]\nhold = {{ altitude_ft = 1500, band_ft = 25, seconds = 10 }}\n",
            about(words)
        );
        let drill = Arc::new(flying::drill(&text).unwrap());
        let mut seat = Seat::before(vec![drill], &format!("about-{words}"), SMALL, MONO);
        let text = seat.text();
        assert_eq!(text.contains("word ..."), is_cut, "{text}");
    }
}
