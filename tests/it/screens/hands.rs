//! A hand flying on the fly screen.

use std::sync::Arc;
use std::time::Duration;

use crossterm::event::KeyCode;
use leveloff::drill::Aids;
use leveloff::drill::library;
use leveloff::export::text::word;
use leveloff::hands::{self, Script, Steady};
use leveloff::run::recording::HandName;
use leveloff::tui::action::Action;
use leveloff::tui::flight::{Flight, Pilot};
use leveloff::tui::shown::SHOWN;

use super::{HeldUp, LARGE, MONO, SMALL, Seat, at_every_size};
use crate::flying::{self, shipped};

#[test]
fn a_hand_in_a_flight_flies_what_it_flies_without_a_screen() {
    let drill = shipped("quarry-stair");
    let alone = hands::fly(drill.clone(), 3, &mut Steady::new(&drill));
    let pilots = [
        Pilot::Hand {
            name: HandName::Steady,
            told: "shown by steady".to_string(),
            hand: Box::new(Steady::new(&drill)),
        },
        Pilot::Hand {
            name: HandName::Person,
            told: "flown again".to_string(),
            hand: Box::new(Script::new(alone.log().to_vec())),
        },
    ];
    for pilot in pilots {
        let mut now = Duration::ZERO;
        let mut flight = Flight::new(drill.clone(), 3, pilot, Aids::Full, now);
        flight.act(Action::Set(9), now);
        assert_eq!(flight.run().tick(), 0, "the lever's keys begin nothing");
        flight.act(Action::Pause, now);
        while flight.run().end().is_none() {
            now += Duration::from_millis(17);
            flight.act(Action::Set(9), now);
            flight.advance(now);
        }
        assert_eq!(flight.run().digest(), alone.digest());
        assert_eq!(flight.run().log(), alone.log());
    }
}

/// Goes down the list of hands to one by its name.
fn choose(seat: &mut Seat, name: &str) {
    for _ in 0..SHOWN.len() {
        if seat.text().contains(&format!("▸ {name} ")) {
            return;
        }
        seat.key(KeyCode::Down);
    }
    panic!("no {name}: {}", seat.text());
}

#[test]
fn a_hand_chosen_from_the_list_flies_and_is_no_persons_run() {
    for (size, name) in [(SMALL, "80x24"), (LARGE, "140x40")] {
        let mut seat = Seat::new(&format!("watch-{name}"), size, MONO);
        seat.key(KeyCode::Char('w'));
        seat.key(KeyCode::Down);
        insta::assert_snapshot!(format!("hands_{name}"), seat.text());
        seat.key(KeyCode::Enter);
        let text = seat.until("shown by green");
        assert!(text.contains("ready: space begins"), "{text}");
        seat.key(KeyCode::Up);
        assert!(
            seat.text().contains("ready"),
            "the lever is not the person's"
        );
        seat.key(KeyCode::Char(' '));
        seat.wait(9.0);
        let text = seat.text();
        assert!(text.contains("shown by green"), "{text}");
        seat.key(KeyCode::Char('r'));
        // The next run is by the same hand.
        seat.until("ready: space begins");
        assert!(seat.text().contains("shown by green"));
        assert_eq!(seat.recording().hand, HandName::Green);
        seat.key(KeyCode::Char(' '));
        seat.wait(110.0);
        seat.settle();
        let text = seat.text();
        assert!(
            text.contains("debrief") && text.contains("points"),
            "{text}"
        );
        let recording = seat.recording();
        assert_eq!(recording.hand, HandName::Green);
        assert!(recording.points.is_some());
        assert_eq!(recording.replay().unwrap().digest(), recording.digest);
        seat.key(KeyCode::Char('q'));
        let text = seat.text();
        assert!(!seat.has_points(), "it is nobody's best: {text}");
        seat.app.look_up_best();
        assert!(!seat.has_points(), "nor in the logbook");
    }
}

#[test]
fn after_a_demonstration_the_person_flies() {
    let mut seat = Seat::new("watch-then", SMALL, MONO);
    seat.key(KeyCode::Enter);
    seat.key(KeyCode::Char('w'));
    seat.key(KeyCode::Enter);
    seat.until("shown by steady");
    seat.key(KeyCode::Char(' '));
    seat.wait(6.0);
    seat.key(KeyCode::Char('m'));
    seat.key(KeyCode::Char('q'));
    assert_eq!(
        seat.recording().marks.len(),
        1,
        "a coach marks what is shown"
    );
    seat.key(KeyCode::Enter);
    let text = seat.text();
    assert!(
        !text.contains("shown by") && text.contains("or a move of the lever"),
        "{text}"
    );
}

#[test]
fn a_hand_flies_once_it_has_been_worked_out_and_the_screen_answers_meanwhile() {
    let drill = shipped("quarry-stair");
    let mut seat = Seat::before(vec![drill], "watch-best", SMALL, MONO);
    seat.key(KeyCode::Char('w'));
    for name in ["brief", "level_off_late", "best"] {
        choose(&mut seat, name);
        let held_up = HeldUp::new();
        seat.key(KeyCode::Enter);
        assert!(seat.app.is_moving(), "{name} is being worked out");
        let text = seat.text();
        assert!(
            text.contains(&format!("{name} is being worked out")),
            "{text}"
        );
        seat.key(KeyCode::Char('q'));
        assert!(
            seat.text().contains("enter opens the brief"),
            "not waited for, back where it was chosen"
        );
        drop(held_up);
        seat.key(KeyCode::Char('w'));
    }
    choose(&mut seat, "best");
    seat.key(KeyCode::Enter);
    seat.until("shown by best");
    seat.key(KeyCode::Char('q'));
    seat.key(KeyCode::Char('w'));
    seat.key(KeyCode::Esc);
    assert!(
        seat.text().contains("enter opens the brief"),
        "back to the menu"
    );
}

#[test]
fn the_list_of_hands_holds_every_built_in_one_at_every_size() {
    let drill = shipped("catch-the-sink");
    for (index, shown) in SHOWN.iter().enumerate() {
        assert!(hands::built_in(shown.hand, &drill, 0).is_some());
        assert_eq!(word(shown.hand), shown.name);
        assert!(!SHOWN[..index].iter().any(|other| other.hand == shown.hand));
    }
    for nobody in [HandName::Person, HandName::Script] {
        assert!(hands::built_in(nobody, &drill, 0).is_none());
    }
    let mut seat = Seat::new("watch-sizes", SMALL, MONO);
    seat.key(KeyCode::Char('w'));
    seat.keys(20, KeyCode::Down);
    at_every_size(&mut seat, "▸ level_power_off");
}

#[test]
fn hands_with_nothing_to_show_on_a_drill_are_marked_and_passed_over() {
    let drill = shipped("onto-the-shelf");
    let mut seat = Seat::before(vec![drill], "watch-path", SMALL, MONO);
    seat.key(KeyCode::Char('w'));
    let text = seat.text();
    for hand in ["level_off_late ", "level_off_early"] {
        let line = text.lines().find(|line| line.contains(hand)).unwrap();
        assert!(line.starts_with(" - level"), "{text}");
        assert!(line.contains("needs a step or a slow that counts"));
    }
    choose(&mut seat, "best");
    seat.key(KeyCode::Down);
    let text = seat.text();
    assert!(text.contains("▸ power_too_much"), "{text}");
    seat.keys(20, KeyCode::Down);
    assert!(seat.text().contains("▸ descent_early"));
    seat.key(KeyCode::Enter);
    seat.until("shown by descent_early");
}

#[test]
fn who_flies_and_the_clock_stand_in_the_head_whatever_the_title() {
    let text = library::drill("quarry-stair").unwrap().text;
    let long = "A title as long as a title may be, with a word more than any head has room for";
    let text = text.replace("Down the quarry stair", long);
    let drill = flying::drill(&text).unwrap();
    let mut seat = Seat::before(vec![Arc::new(drill)], "watch-long", SMALL, MONO);
    seat.key(KeyCode::Char('w'));
    choose(&mut seat, "second_move_missing");
    seat.key(KeyCode::Enter);
    let text = seat.until("shown by second_move_missing");
    let head = text.lines().next().unwrap();
    assert!(head.starts_with(" A title as long"), "{head}");
    assert!(head.contains("   shown by second_move_missing"), "{head}");
    assert!(head.ends_with("0:00"), "{head}");
}
