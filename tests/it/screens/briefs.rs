//! The brief on the screen: what to do first, the numbers behind it, and the aids a drill opens with.

use std::sync::Arc;

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use leveloff::brief::AeroplanePage;
use leveloff::drill::{Aids, Drill, library};
use leveloff::tui::canvas::Canvas;
use leveloff::tui::echo::EchoChoice;
use leveloff::tui::prepared::Sheet;
use leveloff::tui::screens::brief::{self, Briefing};
use leveloff::tui::{App, Opening, Settings, Shelf};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::{ASCII, HeldUp, LARGE, MONO, SMALL, Seat, UNDER_WAY, settings};
use crate::flying::{all_shipped, shipped};
use crate::kept::briefed;

const STAIR: &str = "Down the quarry stair";

/// A program that has to compute its briefs, as it does for a person.
fn unprepared(name: &str) -> Seat {
    let mut seat = Seat::new(name, SMALL, MONO);
    let settings = Settings {
        sheet: Sheet::of,
        ..settings(seat.folder.clone(), MONO)
    };
    let shelf = Shelf::new(all_shipped().collect());
    seat.app = App::new(settings, shelf, Opening::Menu, seat.now);
    seat
}

#[test]
fn the_brief_opens_at_once_and_what_to_do_follows() {
    let mut seat = unprepared("brief-opens");
    let enter = KeyEvent::new(KeyCode::Enter, KeyModifiers::NONE);
    let held_up = HeldUp::new();
    seat.app.key(&enter, seat.now);
    assert!(seat.app.is_moving());
    let text = seat.text();
    assert!(text.contains(UNDER_WAY), "{text}");
    assert!(text.contains("A descent is already running"), "{text}");
    drop(held_up);
    let text = seat.until_so("what to do", |text| !text.contains(UNDER_WAY));
    let told = briefed(&shipped("catch-the-sink")).recipe_lines();
    assert!(text.contains(&told[0]), "{told:?} in {text}");
    assert!(!seat.app.is_moving(), "and then nothing is left to do");
    // The result is kept: opened again, there is nothing to wait for.
    seat.key(KeyCode::Esc);
    seat.app.key(&enter, seat.now);
    assert_eq!(seat.text(), text);
}

#[test]
fn where_the_call_comes_whatever_is_flown_the_brief_says_what_going_around_is_worth() {
    let mut seat = Seat::new("brief-called", SMALL, MONO);
    let text = seat.brief("No room left");
    assert!(
        text.contains("going around as called is worth 25 points"),
        "{text}"
    );
    seat.key(KeyCode::Esc);
    let text = seat.brief("Half a mile, low");
    assert!(text.contains("par is 75 points"), "{text}");
}

#[test]
fn what_is_asked_is_a_picture_below_what_to_do() {
    for size in [SMALL, LARGE] {
        let mut seat = Seat::new("brief-picture", size, MONO);
        let text = seat.brief(STAIR);
        assert!(text.contains("what is asked: altitude"), "{text}");
        assert!(text.contains("890 │"), "{text}");
    }
    let mut seat = Seat::new("brief-numbers", SMALL, MONO);
    seat.brief(STAIR);
    seat.key(KeyCode::Char('m'));
    let text = seat.text();
    assert!(!text.contains("what is asked"), "numbers fill it: {text}");
}

/// A flight can begin before the brief is complete.
#[test]
fn a_flight_does_not_wait_for_what_to_do() {
    let mut seat = unprepared("brief-passed");
    let enter = KeyEvent::new(KeyCode::Enter, KeyModifiers::NONE);
    seat.app.key(&enter, seat.now);
    assert!(seat.text().contains(UNDER_WAY));
    seat.app.key(&enter, seat.now);
    assert!(seat.text().contains("ready: space begins"));
}

#[test]
fn what_to_do_stands_on_the_smallest_screen_without_scrolling() {
    // Four tasks, two lines for most of them; a path; tasks announced in flight.
    for (id, themes) in [
        ("flint-edges", &[MONO, ASCII][..]),
        ("supply-ship", &[ASCII]),
        ("what-the-rock-calls", &[MONO]),
    ] {
        let drill = shipped(id);
        let told = briefed(&drill).recipe_lines();
        for theme in themes.iter().copied() {
            let mut seat = Seat::before(vec![drill.clone()], &format!("do-{id}"), SMALL, theme);
            seat.key(KeyCode::Enter);
            let text = seat.until_so("what to do", |text| !text.contains(UNDER_WAY));
            for line in &told {
                assert!(text.contains(line), "{line:?} in {text}");
            }
            assert!(told.len() >= drill.tasks.len(), "{told:?}");
            assert!(!text.contains("down: more"), "{text}");
            assert!(!text.contains("power card"), "{text}");
            assert!(theme.unicode || text.is_ascii(), "{text}");
        }
    }
}

#[test]
fn a_task_that_does_not_count_says_so() {
    let mut seat = Seat::new("brief-unscored", SMALL, MONO);
    let text = seat.brief(STAIR);
    let unscored = |line: &&str| line.contains("(unscored)");
    let lines: Vec<&str> = text.lines().filter(unscored).collect();
    assert_eq!(lines.len(), 1, "{text}");
    assert!(lines[0].contains("1  hold 1,660 ft"), "{text}");
}

#[test]
fn m_shows_more_numbers_and_fewer() {
    let mut seat = Seat::new("brief-more", SMALL, MONO);
    let first = seat.brief(STAIR);
    assert!(first.contains("m more numbers"), "{first}");
    for number in ["start at", "level power", "power card"] {
        assert!(!first.contains(number), "{number} in {first}");
    }
    seat.key(KeyCode::Char('m'));
    let more = seat.text();
    assert!(more.contains("m fewer numbers"), "{more}");
    assert!(more.contains("start at 1,660 ft"), "{more}");
    assert!(more.contains("down: more"), "{more}");
    let above = first
        .lines()
        .take_while(|line| !line.contains("% is where"));
    for line in above {
        assert!(more.contains(line), "what to do stays: {line} in {more}");
    }
    insta::assert_snapshot!("brief_more_80x24", more);
    seat.keys(30, KeyCode::PageDown);
    let end = seat.text();
    assert!(!end.contains("down: more"), "{end}");
    assert!(end.contains("Each row was flown"), "{end}");
    insta::assert_snapshot!("brief_card_80x24", end);
    seat.key(KeyCode::Up);
    assert!(seat.text().contains("down: more"));
    seat.keys(30, KeyCode::PageUp);
    assert_eq!(seat.text(), more);
    seat.keys(30, KeyCode::PageDown);
    seat.key(KeyCode::Char('m'));
    assert_eq!(seat.text(), first, "and they are gone again");
    // Opened again, a brief begins with what to do.
    seat.key(KeyCode::Char('m'));
    seat.key(KeyCode::Esc);
    seat.key(KeyCode::Enter);
    assert_eq!(seat.text(), first);
}

/// The shift of the wind is among the numbers: on a line each on the smallest screen, beside what to do on a large one.
#[test]
fn a_shift_of_the_wind_is_among_the_numbers() {
    for size in [SMALL, LARGE] {
        let drill = shipped("the-wind-gets-up");
        let mut seat = Seat::before(vec![drill.clone()], "brief-shift", size, MONO);
        seat.key(KeyCode::Enter);
        seat.until_so("what to do", |text| !text.contains(UNDER_WAY));
        if size == SMALL {
            seat.key(KeyCode::Char('m'));
        }
        let text = seat.text();
        let told = briefed(&drill).air.unwrap().lines();
        assert!(told[2].contains("it shifts 0:35 to 1:05"), "{told:?}");
        for line in &told {
            match size == SMALL {
                true => assert!(text.contains(line.as_str()), "{line} in {text}"),
                // In a column there, broken between words.
                false => {
                    let first = line.trim().split_at(30).0;
                    assert!(text.contains(first), "{first} in {text}");
                }
            }
        }
    }
}

/// On a large screen both stand side by side; on one that is only wide both can be read to the end.
#[test]
fn on_a_large_screen_the_numbers_stand_beside_what_to_do() {
    let drill = shipped("supply-ship");
    let told = briefed(&drill).recipe_lines();
    let mut seat = Seat::before(vec![drill.clone()], "brief-large", LARGE, MONO);
    seat.key(KeyCode::Enter);
    let all = seat.until_so("what to do", |text| !text.contains(UNDER_WAY));
    assert!(!all.contains("m more") && !all.contains("m fewer"), "{all}");
    assert!(!all.contains("down: more"), "{all}");
    for wanted in ["start at 1,180 ft", "Each row was flown", "one in sixty"] {
        assert!(all.contains(wanted), "no {wanted:?} in {all}");
    }
    assert!(told.iter().all(|line| all.contains(line)), "{all}");

    let mut seat = Seat::before(vec![drill], "brief-wide", (LARGE.0, SMALL.1), MONO);
    seat.key(KeyCode::Enter);
    let top = seat.until_so("what to do", |text| !text.contains(UNDER_WAY));
    assert!(top.contains("start at 1,180 ft"), "{top}");
    assert!(top.contains("down: more"), "{top}");
    assert!(told.iter().all(|line| top.contains(line)), "{top}");
    seat.keys(30, KeyCode::PageDown);
    let end = seat.text();
    assert!(end.contains("one in sixty"), "{end}");
    assert!(!end.contains("down: more"), "{end}");
    seat.key(KeyCode::Up);
    assert_ne!(seat.text(), end, "one line up is seen at once");
    seat.keys(30, KeyCode::PageUp);
    assert_eq!(seat.text(), top);
}

/// A row of the card is broken between moves only.
#[test]
fn the_card_is_broken_between_moves() {
    for size in [SMALL, LARGE] {
        let mut seat = Seat::new("brief-card", size, MONO);
        seat.brief(STAIR);
        if size == SMALL {
            seat.key(KeyCode::Char('m'));
            seat.keys(30, KeyCode::PageDown);
        }
        let text = seat.text();
        let rows = text
            .lines()
            .skip_while(|line| !line.contains("power card: from level at"))
            .skip(1)
            .take_while(|line| !line.contains("Each row was flown"));
        let mut ends = 0;
        for row in rows {
            // The large screen has the numbers on its right.
            let card: String = row.chars().take(80).collect();
            let end = card.trim_end();
            let whole = end.ends_with("%;") || end.ends_with("%:") || end.ends_with(" s");
            assert!(whole, "{row:?} in {text}");
            ends += u32::from(end.ends_with(" s"));
        }
        assert_eq!(ends, 6, "{text}");
    }
}

/// With any title and air the smallest screen shows the aids, the echo and the keys.
#[test]
fn head_and_foot_of_every_brief_are_whole() {
    let long = "A title as long as a title may be, with a word more than any head has room for";
    let text = library::drill("quarry-stair").unwrap().text;
    let text = text.replace(STAIR, long);
    let mut drills = vec![crate::flying::drill(&text).unwrap()];
    drills.extend(library::DRILLS.iter().map(|drill| drill.drill().unwrap()));
    for drill in &drills {
        for more in [false, true] {
            let briefing = Briefing {
                drill,
                best: None,
                aids: Aids::Some,
                echo: EchoChoice::Earlier,
                sheet: None,
                more,
            };
            let area = Rect::new(0, 0, SMALL.0, SMALL.1);
            let mut buffer = Buffer::empty(area);
            let theme = MONO;
            let canvas = &mut Canvas {
                buffer: &mut buffer,
                theme,
            };
            brief::draw(&briefing, &mut 0, area, canvas);
            let row =
                |y: u16| -> String { (0..SMALL.0).map(|x| buffer[(x, y)].symbol()).collect() };
            let (head, foot) = (row(0), row(SMALL.1 - 1));
            let title: String = drill.title.chars().take(40).collect();
            assert!(head.starts_with(&format!(" {title}")), "{head}");
            assert!(head.ends_with("  echo earlier   aids some "), "{head}");
            assert!(foot.starts_with(" enter flies"), "{foot}");
            let numbers = if more {
                "m fewer numbers"
            } else {
                "m more numbers"
            };
            assert!(foot.contains(numbers), "{foot}");
            assert!(foot.ends_with("  q menu   ? help "), "{foot}");
        }
    }
}

const PLAIN: &str = r#"
title = "With everything"
about = "A hold."
aircraft = "first jet"
[start]
altitude_ft = 1000.0
[[task]]
hold = { altitude_ft = 1000.0, band_ft = 40.0, seconds = 8.0 }
"#;

fn aided() -> Vec<Arc<Drill>> {
    let bare = PLAIN
        .replace("With everything", "Without anything")
        .replace("\n[start]", "\naids = \"bare\"\n[start]");
    let drill = |text: &str| Arc::new(crate::flying::drill(text).unwrap());
    vec![drill(PLAIN), drill(&bare)]
}

fn aids(seat: &mut Seat) -> String {
    let text = seat.text();
    let head = text.lines().next().unwrap();
    let told = head.split("aids ").nth(1).expect("the head tells the aids");
    told.split_whitespace().next().unwrap().to_string()
}

#[test]
fn a_drill_opens_with_its_own_aids_and_the_key_changes_them_for_it_alone() {
    let mut seat = Seat::before(aided(), "aids-own", SMALL, MONO);
    assert_eq!(aids(&mut seat), "full", "where a drill says nothing");
    seat.key(KeyCode::Down);
    assert_eq!(aids(&mut seat), "bare");
    seat.key(KeyCode::Char('a'));
    seat.key(KeyCode::Char('a'));
    assert_eq!(aids(&mut seat), "some");
    seat.key(KeyCode::Up);
    assert_eq!(aids(&mut seat), "full", "the other drill has its own");
    seat.key(KeyCode::Char('a'));
    seat.key(KeyCode::Char('a'));
    assert_eq!(aids(&mut seat), "bare");
    seat.key(KeyCode::Down);
    assert_eq!(aids(&mut seat), "some", "and the first change stays");
    seat.key(KeyCode::Enter);
    assert_eq!(aids(&mut seat), "some", "in the brief too");
    seat.key(KeyCode::Char('a'));
    assert_eq!(aids(&mut seat), "bare");
    seat.key(KeyCode::Enter);
    assert_eq!(aids(&mut seat), "bare", "and in flight");
    assert!(!seat.text().contains("▾ level"), "{}", seat.text());
    seat.key(KeyCode::Char(' '));
    seat.wait(6.0);
    seat.key(KeyCode::Char('q'));
    assert_eq!(seat.recording().aids, Aids::Bare);
}

#[test]
fn aids_of_the_command_line_go_before_those_of_a_drill() {
    let mut seat = Seat::aided(aided(), Some(Aids::Some), "aids-asked", SMALL, MONO);
    assert_eq!(aids(&mut seat), "some");
    seat.key(KeyCode::Down);
    assert_eq!(aids(&mut seat), "some");
    seat.key(KeyCode::Char('a'));
    assert_eq!(aids(&mut seat), "bare");
    seat.key(KeyCode::Up);
    assert_eq!(aids(&mut seat), "some");
}

/// The window of the aeroplane's page is the smallest of a text: paging through it skips no line.
#[test]
fn paging_down_skips_no_line() {
    let drill = shipped("quarry-stair");
    let page = AeroplanePage::new(&drill.aircraft, drill.start.altitude_m);
    let mut seat = Seat::before(vec![drill], "paging", SMALL, MONO);
    seat.key(KeyCode::Char('p'));
    let mut seen = seat.text();
    for _ in 0..20 {
        seat.key(KeyCode::PageDown);
        seen += &seat.text();
    }
    for line in page.lines().iter().skip(1) {
        let start: String = line.trim().chars().take(40).collect();
        assert!(seen.contains(start.trim_end()), "{line:?} in\n{seen}");
    }
}
