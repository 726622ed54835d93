//! The debrief of a track: missing data are reported as missing, and no key is offered that needs them.

use std::sync::Arc;
use std::time::Duration;

use crossterm::event::KeyCode;
use leveloff::drill::reader::Source;
use leveloff::export::csv;
use leveloff::export::told::Debriefed;
use leveloff::hands::{self, Script};
use leveloff::run::Run;
use leveloff::track::{Begin, Track, fill};
use leveloff::tui::Wish;
use leveloff::tui::app::{App, Opening};
use leveloff::tui::screens::debrief::Debrief;
use leveloff::tui::shelf::Shelf;
use leveloff::units::FT;
use leveloff::why::weigh;

use super::{LARGE, MONO, SMALL, Seat, settings};

const STAIR: &str = r#"
title = "Two ledges"
about = "Down, and down again."
aircraft = "deck jet"
[start]
altitude_ft = 1500.0
[[task]]
step = { to_ft = 1300.0, band_ft = 25.0, hold_s = 6.0, within_s = 60.0 }
[[task]]
step = { to_ft = 1150.0, band_ft = 25.0, hold_s = 6.0, within_s = 60.0 }
"#;

/// Recorded moves, (tick, thousandths).
const FLOWN: &[(u64, u16)] = &[
    (40, 200),
    (600, 295),
    (1000, 400),
    (1400, 380),
    (1620, 145),
    (2010, 305),
    (2200, 390),
    (2800, 380),
];

const SAID: [&str; 3] = [
    "read from log.csv: 110 rows, 2 a second; the drill begins at 0 s on its clock: with its first row",
    "Not in the track, so no figures come from it: lever. Points and the bill need the lever.",
    "No rows from 12 to 15 s of the track: the flight between is guessed.",
];

/// A run judged from altitude alone, or from all data.
fn judged(has_all: bool) -> Debrief {
    let drill = Arc::new(crate::flying::drill(STAIR).unwrap());
    let flown = hands::fly(drill.clone(), 3, &mut Script::new(FLOWN.to_vec()));
    let all = csv::track(&flown);
    let mut alone = "t_s,altitude_ft\n".to_string();
    for row in all.lines().skip(1).step_by(8) {
        let cells: Vec<&str> = row.split(',').collect();
        let altitude_m: f64 = cells[5].parse().unwrap();
        alone += &format!("{},{:.1}\n", cells[0], altitude_m / FT);
    }
    let source = Source {
        file: "log.csv",
        text: if has_all { &all } else { &alone },
    };
    let track = Track::read(source, &[]).unwrap();
    let filled = fill::tape(&drill, 0, &track, &Begin::said(0.0));
    let run = Run::along(drill, 0, Arc::new(filled.tape));
    let said = SAID.map(String::from).to_vec();
    let weighed = weigh(&run, None).billed(&run, |_| has_all);
    Debrief::new(Debriefed::of_file(run, weighed, None, said), None)
}

/// A seat in front of that debrief.
fn seat(has_all: bool, name: &str, size: (u16, u16)) -> Seat {
    let mut seat = Seat::new(name, size, MONO);
    let drills = vec![Arc::new(crate::flying::drill(STAIR).unwrap())];
    seat.app = App::new(
        settings(seat.folder.clone(), MONO),
        Shelf::new(drills),
        Opening::Debrief(Box::new(judged(has_all))),
        Duration::ZERO,
    );
    seat.app.resized(size.0, size.1, Duration::ZERO);
    seat
}

#[test]
fn a_track_without_a_lever_has_a_debrief_without_one() {
    for (size, name) in [(SMALL, "80x24"), (LARGE, "140x40")] {
        let mut seat = seat(false, &format!("judged-{name}"), size);
        let text = seat.text();
        assert!(text.contains("Not in the track"), "{text}");
        assert!(!text.contains("p play"), "{text}");
        insta::assert_snapshot!(format!("judged_{name}"), text);
        // A run without a known lever cannot be replayed.
        seat.key(KeyCode::Char('p'));
        assert_eq!(seat.text(), text);
        assert!(!text.contains("the hand"), "{text}");
        seat.keys(2, KeyCode::PageDown);
        let below = seat.text();
        assert!(format!("{text}{below}").contains("No rows from"), "{below}");
        assert!(!below.contains("the hand"), "{below}");
        assert_eq!(seat.key(KeyCode::Char('q')), Wish::Exit(0));
    }
}

#[test]
fn one_with_a_lever_can_be_played_and_the_drill_flown() {
    let mut seat = seat(true, "judged-all", LARGE);
    let text = seat.text();
    assert!(text.contains("p play"), "{text}");
    assert!(text.contains("lever"), "{text}");
    seat.key(KeyCode::Char('p'));
    seat.wait(1.0);
    assert!(seat.text().contains("played again"), "{}", seat.text());
    seat.key(KeyCode::Char('q'));
    assert!(seat.text().contains("debrief"), "{}", seat.text());
    seat.key(KeyCode::Enter);
    assert!(
        seat.text().contains("ready: space begins"),
        "{}",
        seat.text()
    );
}
