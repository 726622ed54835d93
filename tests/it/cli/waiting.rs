//! Progress on the command line, and the local time.

use std::time::{Duration, SystemTime};

use leveloff::cli::bar::{Bar, each, line};
use leveloff::cli::clock::told;

const DOING: &str = "weighing the run";

#[test]
fn a_bar_fills_from_left_to_right_in_a_line_of_one_width() {
    let texts: Vec<String> = [-1.0, 0.0, 0.5, 1.0, 2.0]
        .map(|done| line(DOING, done))
        .into();
    assert!(texts.iter().all(|text| text.len() == texts[0].len()));
    assert!(texts[0].len() < 78);
    let cells = texts.iter().map(|text| text.matches('#').count());
    assert_eq!(cells.collect::<Vec<_>>(), [0, 0, 15, 30, 30]);
}

#[test]
fn a_bar_comes_late_says_nothing_twice_and_leaves_an_empty_line() {
    let said = |patience| {
        let mut out = Vec::new();
        let mut bar = Bar::on(&mut out, DOING, patience);
        for done in [0.0, 0.5, 0.5001, 1.0] {
            bar.show(done);
        }
        drop(bar);
        String::from_utf8(out).unwrap()
    };
    assert_eq!(said(Duration::MAX), "");
    let shown = said(Duration::ZERO);
    let blank = " ".repeat(line(DOING, 0.0).len());
    let wanted = [
        "",
        &line(DOING, 0.0),
        &line(DOING, 0.5),
        &line(DOING, 1.0),
        &blank,
        "",
    ];
    assert_eq!(shown, wanted.join("\r"));
}

#[test]
fn work_on_all_processors_comes_back_in_order() {
    let items: Vec<u64> = (0..200).collect();
    let done = each("counting", &items, |n| {
        std::thread::sleep(Duration::from_micros(n * 37 % 300));
        n * n
    });
    assert_eq!(done, items.iter().map(|n| n * n).collect::<Vec<_>>());
    assert!(each("counting", &[0; 0], |n: &u64| *n).is_empty());
}

#[test]
fn a_clock_gone_wrong_still_tells_a_time() {
    let year = Duration::from_secs(31_556_952);
    let now = SystemTime::UNIX_EPOCH;
    assert_eq!(told(now + 56 * year).get(..4), Some("2025"));
    for years in [8029, 8030, 8031, 100_000, 1_000_000] {
        let told = told(now + years * year);
        assert!(told.starts_with("9999-"), "{years}: {told}");
        assert_eq!(told.len(), "2026-11-25T22:30:15+01:00".len());
    }
    for years in [1971, 2000, 100_000] {
        let told = told(now - years * year);
        assert!(told.starts_with("000"), "{years}: {told}");
    }
}
