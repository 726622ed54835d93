//! Marks left in flight.

use crossterm::event::KeyCode;

use super::{ASCII, MONO, SMALL, Seat};

#[test]
fn a_mark_is_acknowledged_drawn_and_kept() {
    let mut seat = Seat::new("mark", SMALL, MONO);
    seat.open("Down the quarry stair");
    seat.key(KeyCode::Enter);
    seat.key(KeyCode::Char('m'));
    assert!(
        !seat.text().contains("marked"),
        "nothing has been flown yet"
    );
    seat.key(KeyCode::Char(' '));
    seat.wait(4.95);
    seat.key(KeyCode::Char('m'));
    let text = seat.text();
    assert!(text.contains(" marked at 0:05"), "{text}");
    assert_eq!(text.matches('▴').count(), 1, "{text}");
    seat.wait(1.0);
    assert!(!seat.text().contains("marked"), "for a second");
    seat.wait(4.0);
    seat.key(KeyCode::Char(' '));
    seat.key(KeyCode::Char('m'));
    seat.key(KeyCode::Char('m'));
    let text = seat.text();
    assert!(text.contains("marked at 0:10"), "{text}");
    assert_eq!(text.matches('▴').count(), 2, "one a tick: {text}");
    insta::assert_snapshot!("marks_80x24", text);
    assert!(
        seat.app.is_moving(),
        "the word is taken back in a pause too"
    );
    seat.wait(1.1);
    assert!(seat.text().contains("paused: space goes on"));
    assert!(!seat.app.is_moving());
    seat.key(KeyCode::Char(' '));
    seat.key(KeyCode::Char('q'));

    let marks = seat.recording().marks;
    assert_eq!(marks.len(), 2);
    for (mark, at_s) in marks.iter().zip([5.0, 10.0]) {
        let off_s = *mark as f64 / 64.0 - at_s;
        assert!(off_s.abs() < 0.2, "{marks:?}");
    }
}

#[test]
fn marks_have_a_twin_without_unicode_and_leave_the_picture() {
    let mut seat = Seat::new("mark-ascii", SMALL, ASCII);
    seat.key(KeyCode::Enter);
    seat.key(KeyCode::Enter);
    seat.key(KeyCode::Char(' '));
    seat.wait(2.0);
    seat.key(KeyCode::Char('m'));
    let text = seat.text();
    assert!(text.is_ascii() && text.matches('^').count() == 1, "{text}");
    seat.wait(42.0);
    assert_eq!(seat.text().matches('^').count(), 0);
}
