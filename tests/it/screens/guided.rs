//! The first flight, guided: following its instructions ends in a capture; doing nothing or the wrong thing gets an answer.

use super::*;

/// A seat in the guided flight, begun from the menu of a first start.
fn begun(name: &str, size: (u16, u16)) -> Seat {
    let mut seat = Seat::new(name, size, MONO);
    assert!(seat.text().contains("f: your first flight"));
    seat.key(KeyCode::Char('f'));
    assert!(seat.text().contains("space begins"), "{}", seat.text());
    seat.key(KeyCode::Char(' '));
    seat
}

/// Presses an arrow as often as the screen asks.
fn obey(seat: &mut Seat) {
    let text = seat.text();
    let asked = text.split("; set ").nth(1).expect("something asked");
    let (_, asked) = asked.split_once(" %: ").expect("the keys for it");
    let mut words = asked.split([' ', ',']).filter(|word| !word.is_empty());
    let code = match words.next() {
        Some("up") => KeyCode::Up,
        Some("down") => KeyCode::Down,
        other => panic!("{other:?}: {text}"),
    };
    let times = words.nth(1).expect("how often").parse().unwrap_or(1);
    for _ in 0..times {
        // Taps, not a held key.
        seat.keys(1, code);
        seat.wait(0.25);
    }
    assert!(!seat.text().contains("; set "), "{}", seat.text());
}

fn fly_as_told(seat: &mut Seat) {
    for _ in 0..3 {
        seat.until_flown("; set ");
        obey(seat);
    }
    seat.until_flown("again, alone?");
}

#[test]
fn done_as_told_it_is_captured_and_neither_kept_nor_offered_again() {
    let mut seat = begun("guided", SMALL);
    fly_as_told(&mut seat);
    assert!(seat.text().contains("Captured"));
    assert!(seat.now < Duration::from_secs(70), "{:?}", seat.now);
    assert!(!seat.folder.join("logbook.jsonl").exists());
    // Flown alone it is the drill itself.
    seat.key(KeyCode::Enter);
    assert!(seat.text().contains("ready: space begins"));
    assert!(!seat.text().contains("first flight"), "{}", seat.text());
    seat.key(KeyCode::Char('q'));
    assert!(!seat.text().contains("f: your first flight"));
    let memory = std::fs::read_to_string(seat.folder.join("state.json")).unwrap();
    assert!(memory.contains("\"guided\":true"), "{memory}");
    seat.key(KeyCode::Char('f'));
    assert!(seat.text().contains("Your first flight"));
}

#[test]
fn its_halts_at_both_sizes() {
    for (size, name) in [(SMALL, "80x24"), (LARGE, "140x40")] {
        let mut seat = begun(&format!("halts-{name}"), size);
        insta::assert_snapshot!(format!("halt_{name}"), seat.until_flown("; set "));
        obey(&mut seat);
        let swing = seat.until_flown("; set ");
        insta::assert_snapshot!(format!("swing_{name}"), swing);
    }
}

#[test]
fn nothing_done_time_stands_and_it_says_so() {
    let mut seat = begun("guided-idle", SMALL);
    let before = seat.until_flown("set 35.5 %");
    seat.wait(20.0);
    let text = seat.text();
    let head = |text: &str| text.lines().nth(6).unwrap().to_string();
    assert_eq!(head(&before), head(&text), "the clock stands");
    assert!(
        text.contains("no hurry: lever at 22.3 %; set 35.5 %: up arrow, 13 times"),
        "{text}"
    );
    // If the levers are skipped, nothing is captured; the message is kind and offers another try.
    seat.key(KeyCode::Enter);
    let over = seat.until_flown("once more?");
    assert!(over.contains("not captured"), "{over}");
    seat.key(KeyCode::Enter);
    assert!(seat.text().contains("space begins"), "{}", seat.text());
    fly_from_ready(&mut seat);
}

fn fly_from_ready(seat: &mut Seat) {
    seat.key(KeyCode::Char(' '));
    fly_as_told(seat);
}

#[test]
fn the_wrong_thing_is_put_right_and_it_still_ends_captured() {
    let mut seat = begun("guided-wrong", SMALL);
    seat.wait(5.0);
    seat.key(KeyCode::Char('9'));
    let text = seat.text();
    assert!(
        text.contains("lever at 90 %; set 22.3 %: down arrow, 68 times"),
        "{text}"
    );
    obey(&mut seat);
    seat.until_flown("set 35.5 %");
    for _ in 0..3 {
        seat.keys(1, KeyCode::Down);
        seat.wait(0.3);
    }
    let text = seat.text();
    assert!(text.contains("the other way: lever at 19"), "{text}");
    for _ in 0..5 {
        seat.keys(1, KeyCode::PageUp);
        seat.wait(0.3);
    }
    let text = seat.text();
    assert!(text.contains("lever at 44"), "{text}");
    assert!(text.contains("set 35.5 %: down arrow"), "{text}");
    obey(&mut seat);
    for _ in 0..2 {
        seat.until_flown("; set ");
        obey(&mut seat);
    }
    assert!(seat.until_flown("again, alone?").contains("Captured"));
}

#[test]
fn refused_it_is_not_offered_again() {
    let mut seat = begun("guided-refused", SMALL);
    seat.wait(3.0);
    seat.key(KeyCode::Enter);
    let text = seat.text();
    assert!(
        text.contains("Your first flight"),
        "enter leaves it not: {text}"
    );
    seat.key(KeyCode::Esc);
    assert!(seat.text().contains("enter again flies it"));
    assert!(!seat.folder.join("logbook.jsonl").exists());
}
