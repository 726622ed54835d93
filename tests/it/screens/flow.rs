//! From start to start and from run to run: what the program remembers, asks and lists.

use jiff::civil::date;
use leveloff::drill::lesson;
use leveloff::export::text::word;
use leveloff::progress::{Flown, next};
use leveloff::run::recording::HandName;
use leveloff::tui::action::{Mode, help};
use leveloff::tui::shown::SHOWN;

use super::*;
use crate::flying::{self, all_shipped};

/// One step from the start, then another.
const STEPS: &str = r#"
title = "Two short steps"
about = "One and one more."
aircraft = "first jet"
[start]
altitude_ft = 1000
[[task]]
rate = { to_fpm = -300, band_fpm = 200, hold_s = 0.5, within_s = 30 }
[[task]]
rate = { to_fpm = 600, band_fpm = 100, hold_s = 10, within_s = 60 }
"#;

fn steps() -> Arc<Drill> {
    Arc::new(flying::drill(STEPS).unwrap())
}

/// The same seat after the program has been ended and started again.
fn restarted(seat: &mut Seat, aids: Option<Aids>) {
    seat.app.end();
    let mut settings = settings(seat.folder.clone(), MONO);
    settings.aids = aids;
    seat.app = App::new(
        settings,
        Shelf::new(all_shipped().collect()),
        Opening::Menu,
        seat.now,
    );
}

#[test]
fn a_restart_stands_where_one_was_with_the_aids_one_had() {
    let mut seat = Seat::new("restart", SMALL, MONO);
    seat.choose("Level over the tarn");
    seat.key(KeyCode::Char('a'));
    seat.choose("Down the quarry stair");
    restarted(&mut seat, None);
    let chosen = |seat: &mut Seat| {
        let text = seat.text();
        let line = text.lines().find(|line| line.contains('▸'));
        line.unwrap_or_default().to_string()
    };
    assert!(chosen(&mut seat).contains("Down the quarry stair"));
    assert!(seat.text().contains("aids full"));
    seat.choose("Level over the tarn");
    assert!(seat.text().contains("aids some"), "{}", seat.text());
    restarted(&mut seat, Some(Aids::Bare));
    assert!(seat.text().contains("aids bare"), "asked for: it counts");
    for damage in ["", "{", r#"{"drill":7}"#, r#"{"aids":{"x":"much"}}"#] {
        std::fs::write(seat.folder.join("state.json"), damage).unwrap();
        let drills = vec![steps()];
        seat.app = App::new(
            settings(seat.folder.clone(), MONO),
            Shelf::new(drills),
            Opening::Menu,
            seat.now,
        );
        assert!(chosen(&mut seat).contains("Two short steps"), "{damage}");
    }
}

#[test]
fn to_begin_again_is_asked_once_something_has_been_earned() {
    let mut seat = Seat::before(vec![steps()], "asks", SMALL, MONO);
    seat.keys(2, KeyCode::Enter);
    seat.key(KeyCode::Char('2'));
    seat.wait(1.0);
    seat.key(KeyCode::Char('r'));
    assert!(
        seat.text().contains("ready: space begins"),
        "nothing earned"
    );
    seat.key(KeyCode::Char('2'));
    for _ in 0..30 {
        if seat.text().contains("2 of 2") {
            break;
        }
        seat.wait(1.0);
    }
    assert!(seat.text().contains("2 of 2"), "{}", seat.text());
    seat.wait(5.0);
    for no in [KeyCode::Up, KeyCode::Char(' ')] {
        seat.key(KeyCode::Char('r'));
        let text = seat.text();
        assert!(
            text.contains("begin again? this run will end here"),
            "{text}"
        );
        seat.key(no);
        let text = seat.text();
        assert!(
            text.contains("2 of 2") && !text.contains("again?"),
            "{text}"
        );
    }
    assert!(!seat.text().contains("paused"), "space goes on");
    seat.key(KeyCode::Char('r'));
    seat.key(KeyCode::Char('r'));
    assert!(seat.text().contains("ready: space begins"));
    let kept = seat.logbook().entries().unwrap().entries;
    assert_eq!(kept.len(), 1, "and what was flown is kept");
}

#[test]
fn a_hand_has_one_name_and_the_list_of_runs_has_room_for_it() {
    for shown in SHOWN {
        let word = serde_json::to_value(shown.hand).unwrap();
        assert_eq!(word.as_str(), Some(shown.name), "typed as it is printed");
    }
    let mut seat = Seat::before(vec![steps()], "hands-listed", SMALL, MONO);
    let logbook = seat.logbook();
    let mut run = Run::new(steps(), 3);
    run.fly();
    run.leave();
    for hand in [
        HandName::Script,
        HandName::SecondMoveMissing,
        HandName::Person,
    ] {
        let recording = Recording {
            at: "2026-03-01T09:30:00+00:00".to_string(),
            hand,
            ..Recording::of(&run)
        };
        let score = leveloff::score::score(&run);
        logbook.save(&recording, run.drill(), &score, &[]).unwrap();
    }
    seat.key(KeyCode::Char('l'));
    let text = seat.text();
    for hand in [HandName::Script, HandName::SecondMoveMissing] {
        let whole = format!("{} left", word(hand));
        assert!(text.contains(&whole), "{whole} in {text}");
    }
    assert!(!text.contains("person"), "one's own need no name: {text}");
}

#[test]
fn after_a_run_n_opens_what_the_rule_says_and_not_what_stands_next_in_the_list() {
    let mut seat = Seat::new("after-n", SMALL, MONO);
    let mut drills = library::DRILLS.iter();
    drills.find(|shipped| shipped.id == "quarry-stair").unwrap();
    let in_the_list = drills.next().unwrap().id;
    // Once it has been weighed, and without waiting for that.
    for waits in [true, false] {
        seat.on_the_stair(2.0);
        seat.key(KeyCode::Char('q'));
        if waits {
            seat.settle();
        }
        seat.key(KeyCode::Char('n'));
        let entries = seat.logbook().entries().unwrap();
        let practice = entries.practice();
        let flown: Vec<&Flown> = practice.iter().collect();
        let told = next(&lesson::ladder(), &flown, date(2026, 3, 1), None).unwrap();
        assert_eq!(told.flown_today, if waits { 1 } else { 2 });
        assert_ne!(told.now.drill, in_the_list);
        let brief = seat.until("enter flies");
        let aids = format!("aids {}", told.now.aids.word());
        assert!(brief.contains(&told.now.title), "{brief}");
        assert!(brief.contains(&aids), "{brief}");
        seat.key(KeyCode::Char('q'));
    }
}

/// Checks that the keys named in the last row of a screen do something there.
fn names_live_keys(seat: &mut Seat, place: Mode) {
    let text = seat.text();
    let row = text.lines().last().unwrap().replace("←→", "left");
    let keys: Vec<&str> = help(place)
        .flat_map(|binding| binding.shown.split(", "))
        .collect();
    let parts: Vec<&str> = row.split("  ").map(str::trim).collect();
    let mut named = 0;
    for part in parts {
        let part = part.trim_start_matches("ready: ");
        let is_state = ["playing", "stopped", "the end"].contains(&part) || part.ends_with("1x");
        if part.is_empty() || is_state {
            continue;
        }
        let is_key = |key: &&str| {
            let rest = part.strip_prefix(*key);
            rest.is_some_and(|rest| rest.starts_with([' ', ',', ':']))
        };
        assert!(keys.iter().any(is_key), "{place:?}, {part:?}: {row}");
        named += 1;
    }
    assert!(named >= 3, "{place:?}: {row}");
    assert!(row.ends_with("? help"), "{place:?}: {row}");
}

#[test]
fn the_last_row_of_every_screen_names_live_keys() {
    for (name, size) in [("small", SMALL), ("large", LARGE)] {
        let mut seat = Seat::new(&format!("feet-{name}"), size, MONO);
        names_live_keys(&mut seat, Mode::Menu);
        for (key, place) in [
            ('p', Mode::Aeroplane),
            ('l', Mode::Runs),
            ('s', Mode::SoFar),
            ('w', Mode::Hands),
            ('f', Mode::Guide),
        ] {
            seat.key(KeyCode::Char(key));
            names_live_keys(&mut seat, place);
            seat.key(KeyCode::Esc);
        }
        seat.brief("Down the quarry stair");
        names_live_keys(&mut seat, Mode::Brief);
        // Coming from the brief, it goes back to the brief.
        seat.key(KeyCode::Char('w'));
        names_live_keys(&mut seat, Mode::Hands);
        seat.key(KeyCode::Esc);
        names_live_keys(&mut seat, Mode::Brief);
        seat.key(KeyCode::Enter);
        names_live_keys(&mut seat, Mode::Fly);
        seat.key(KeyCode::Char(' '));
        seat.wait(7.0);
        names_live_keys(&mut seat, Mode::Fly);
        seat.key(KeyCode::Char('q'));
        seat.settle();
        names_live_keys(&mut seat, Mode::Debrief);
        seat.key(KeyCode::Char('p'));
        names_live_keys(&mut seat, Mode::Replay);
    }
}

#[test]
fn a_drill_on_the_shelf_is_known_by_its_text_its_aeroplane_and_its_air() {
    let first = library::DRILLS[0].drill().unwrap();
    let shelf = Shelf::new(vec![Arc::new(first), steps()]);
    let mut same = (*steps()).clone();
    assert_eq!(shelf.place_of(&same), Some(1));
    same.aircraft_text += "# mine";
    assert_eq!(shelf.place_of(&same), None, "another aeroplane");
    let mut windy = (*steps()).clone();
    windy.air.headwind_mps = 5.0;
    assert_eq!(shelf.place_of(&windy), None, "other air");
}
