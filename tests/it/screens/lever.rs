//! Every device that moves the lever, on the screen that shows it.

use std::cell::{Cell, RefCell};
use std::io;
use std::rc::Rc;

use crossterm::event::{MouseButton, MouseEvent, MouseEventKind};
use leveloff::run::recording::Means;
use leveloff::tui::main_loop;
use leveloff::tui::terminal::{Display, Event, Events, Stamped, TerminalTraits};
use ratatui::Frame;

use super::scripted::Script;
use super::*;
use crate::flying::shipped;
use crate::kept::briefed;

/// In flight on the first drill, some seconds in.
fn flying(name: &str) -> Seat {
    let mut seat = Seat::new(name, SMALL, MONO);
    seat.open("Down the quarry stair");
    seat.key(KeyCode::Enter);
    seat.key(KeyCode::Char(' '));
    seat.wait(6.0);
    seat
}

/// The setting in the row of numbers once the lever is there, %.
fn lever(seat: &mut Seat) -> f64 {
    seat.wait(0.5);
    seat.lever()
}

fn recorded(seat: &mut Seat) -> Recording {
    seat.key(KeyCode::Char('q'));
    seat.settle();
    seat.recording()
}

/// In a terminal that tells repeats from presses.
#[test]
fn a_held_key_is_pressed_once_unless_it_scrolls() {
    let mut seat = flying("repeats");
    let repeated = |code| KeyEvent {
        kind: KeyEventKind::Repeat,
        ..KeyEvent::new(code, KeyModifiers::NONE)
    };
    seat.key(KeyCode::Char('q'));
    seat.settle();
    for _ in 0..5 {
        let wish = seat.app.key(&repeated(KeyCode::Char('q')), seat.now);
        assert_eq!(wish, Wish::Stay);
    }
    assert!(seat.text().contains("debrief"), "{}", seat.text());
    seat.key(KeyCode::Char('q'));
    let before = seat.text();
    seat.app.key(&repeated(KeyCode::Down), seat.now);
    assert_ne!(seat.text(), before, "a list goes on");
}

/// Drawing and flying can both notice one stall; on the ground there is none.
#[test]
fn a_stall_is_counted_once_and_only_in_flight() {
    let mut seat = Seat::new("stalled-once", SMALL, MONO);
    seat.open("Down the quarry stair");
    seat.key(KeyCode::Enter);
    seat.app.note_stall();
    seat.key(KeyCode::Char(' '));
    seat.wait(6.0);
    seat.app.note_stall();
    seat.app.note_stall();
    let stalls = recorded(&mut seat).stalls_s;
    assert_eq!(stalls.len(), 1, "{stalls:?}");
}

#[test]
fn arrows_letters_and_signs_have_all_three_steps() {
    let mut seat = flying("steps");
    seat.key(KeyCode::Char('5'));
    use KeyCode::{Char, Down, Left, PageDown, PageUp, Right, Up};
    for (up, down, step) in [
        (Up, Down, 1.0),
        (Char('k'), Char('j'), 1.0),
        (Char('+'), Char('-'), 1.0),
        (Right, Left, 0.2),
        (Char('l'), Char('h'), 0.2),
        (Char('>'), Char('<'), 0.2),
        (PageUp, PageDown, 5.0),
        (Char('K'), Char('J'), 5.0),
        (Char('*'), Char('/'), 5.0),
    ] {
        seat.key(up);
        assert_eq!(lever(&mut seat), 50.0 + step, "{up:?}");
        seat.wait(1.0);
        seat.key(down);
        assert_eq!(lever(&mut seat), 50.0, "{down:?}");
        seat.wait(1.0);
    }
    for (code, wanted) in [(Up, 55.0), (Down, 50.0)] {
        let key = KeyEvent::new(code, KeyModifiers::SHIFT);
        seat.app.key(&key, seat.now);
        assert_eq!(lever(&mut seat), wanted);
    }
    assert_eq!(recorded(&mut seat).moved_with, [Means::Keys]);
}

#[test]
fn a_setting_is_typed_and_shown_while_it_is() {
    let mut seat = flying("typed");
    seat.write("=37.5");
    let text = seat.text();
    assert!(text.contains("lever to 37.5_ %"), "{text}");
    assert!(text.contains("esc cancels"), "whole at 80 columns: {text}");
    let before = lever(&mut seat);
    assert_ne!(before, 37.5, "not before enter");
    seat.key(KeyCode::Enter);
    assert_eq!(lever(&mut seat), 37.5);

    // Escape drops the input and does nothing else.
    seat.write("=62");
    seat.key(KeyCode::Esc);
    assert!(seat.text().contains("up, down move the lever"));
    assert_eq!(lever(&mut seat), 37.5);
    // An invalid setting is refused, with the full reason.
    seat.write("=1234567");
    seat.key(KeyCode::Enter);
    let whole = "lever to 1234567_ %   100 is the most: backspace, or esc cancels   ";
    assert!(seat.text().contains(whole), "{}", seat.text());
}

/// A key hit beside a digit must not move the lever or leave the run.
#[test]
fn a_slip_while_typing_is_refused_and_nothing_else() {
    let mut seat = flying("slip");
    let before = lever(&mut seat);
    seat.write("=4x");
    let text = seat.text();
    assert!(
        text.contains("lever to 4_ %   digits and a point"),
        "{text}"
    );
    assert!(!text.contains("q leave"), "it would be typed: {text}");
    for key in [
        KeyCode::Up,
        KeyCode::End,
        KeyCode::Char('r'),
        KeyCode::Char(' '),
    ] {
        seat.key(key);
    }
    seat.write("0");
    assert!(seat.text().contains("lever to 40_ %   enter sets it"));
    assert_eq!(lever(&mut seat), before);
    seat.write("q");
    seat.key(KeyCode::Esc);
    let text = seat.text();
    assert!(
        text.contains("up, down move the lever"),
        "flying on: {text}"
    );
    seat.write("=4x0");
    seat.key(KeyCode::Enter);
    assert_eq!(lever(&mut seat), 40.0);
}

#[test]
fn a_release_while_typing_still_lets_go() {
    let mut seat = flying("typed-held");
    seat.app.told(TerminalTraits {
        releases: true,
        ..TerminalTraits::default()
    });
    seat.key(KeyCode::Up);
    seat.write("=4");
    let mut release = KeyEvent::new(KeyCode::Up, KeyModifiers::NONE);
    release.kind = KeyEventKind::Release;
    seat.app.key(&release, seat.now);
    assert!(seat.text().contains("lever to 4_ %"), "typed on");
    let stands = lever(&mut seat);
    seat.wait(1.0);
    assert_eq!(lever(&mut seat), stands, "and the key is let go");
}

#[test]
fn a_key_whose_shift_is_let_go_first_is_let_go_too() {
    let mut seat = flying("shift-first");
    seat.app.told(TerminalTraits {
        releases: true,
        ..TerminalTraits::default()
    });
    for (down, up) in [('+', '='), ('*', '8'), ('K', 'k')] {
        seat.key(KeyCode::Char('4'));
        seat.key(KeyCode::Char(down));
        let mut release = KeyEvent::new(KeyCode::Char(up), KeyModifiers::NONE);
        release.kind = KeyEventKind::Release;
        seat.app.key(&release, seat.now);
        let stands = lever(&mut seat);
        seat.wait(1.0);
        assert_eq!(lever(&mut seat), stands, "{down} comes up as {up}");
    }
}

#[test]
fn a_held_key_runs_on_while_another_key_is_tapped() {
    let mut seat = flying("held-and-tapped");
    seat.app.told(TerminalTraits {
        releases: true,
        ..TerminalTraits::default()
    });
    seat.key(KeyCode::Char('2'));
    seat.wait(1.0);
    seat.key(KeyCode::Up);
    seat.wait(0.5);
    seat.key(KeyCode::Char('m'));
    let mut release = KeyEvent::new(KeyCode::Char('m'), KeyModifiers::NONE);
    release.kind = KeyEventKind::Release;
    seat.app.key(&release, seat.now);
    let tapped = lever(&mut seat);
    seat.wait(1.0);
    assert!(lever(&mut seat) > tapped + 3.0, "still held");
    release.code = KeyCode::Up;
    seat.app.key(&release, seat.now);
    seat.wait(0.5);
    let stands = lever(&mut seat);
    seat.wait(1.0);
    assert_eq!(lever(&mut seat), stands, "and then let go");
}

#[test]
fn a_key_takes_the_lever_to_the_mark_where_there_is_one() {
    for (presses, has_mark) in [(0, true), (1, true), (2, false)] {
        let mut seat = Seat::new(&format!("to-mark-{presses}"), SMALL, MONO);
        seat.choose("Down the quarry stair");
        seat.keys(presses, KeyCode::Char('a'));
        seat.key(KeyCode::Enter);
        seat.key(KeyCode::Enter);
        seat.key(KeyCode::Char(' '));
        seat.write("6");
        seat.wait(1.0);
        seat.write("v");
        let set = lever(&mut seat);
        // Level power of the deck jet at 1,660 ft, as the brief has it.
        let at_mark = (set - 37.9).abs() < 0.5;
        assert_eq!(at_mark, has_mark, "{set}");
        assert!(has_mark || set == 60.0, "{set}");
    }
}

fn mouse(seat: &mut Seat, kind: MouseEventKind, column: u16, row: u16) {
    let modifiers = KeyModifiers::NONE;
    let event = MouseEvent {
        kind,
        column,
        row,
        modifiers,
    };
    seat.app.mouse(&event, seat.now);
    seat.wait(0.05);
}

#[test]
fn wheel_and_drag_move_the_lever() {
    use MouseEventKind::{Down, Drag, ScrollDown, ScrollUp, Up};
    let left = MouseButton::Left;
    let mut seat = flying("mouse");
    seat.key(KeyCode::Char('4'));
    (0..3).for_each(|_| mouse(&mut seat, ScrollUp, 10, 10));
    assert_eq!(lever(&mut seat), 43.0);
    mouse(&mut seat, ScrollDown, 10, 10);
    assert_eq!(lever(&mut seat), 42.0);

    // Along the rail, from any point where it is grabbed.
    let rail = (0..24).find(|y| seat.text().lines().nth(*y).unwrap().contains('┴'));
    let rail = rail.unwrap() as u16;
    mouse(&mut seat, Down(left), 60, rail);
    assert_eq!(lever(&mut seat), 42.0, "to take hold of it moves nothing");
    mouse(&mut seat, Drag(left), 50, rail - 3);
    assert_eq!(lever(&mut seat), 32.0);
    mouse(&mut seat, Drag(left), 60, rail);
    assert_eq!(lever(&mut seat), 42.0);
    mouse(&mut seat, Drag(left), 65, rail);
    mouse(&mut seat, Up(left), 65, rail);
    mouse(&mut seat, Drag(left), 20, rail);
    assert_eq!(lever(&mut seat), 47.0, "let go");
    // Not from outside the rail.
    mouse(&mut seat, Down(left), 60, 5);
    mouse(&mut seat, Drag(left), 20, 5);
    assert_eq!(lever(&mut seat), 47.0);
    let recording = recorded(&mut seat);
    assert_eq!(recording.moved_with, [Means::Keys, Means::Mouse]);
    let mut told = seat.text();
    for _ in 0..40 {
        seat.key(KeyCode::Down);
        told += &seat.text();
    }
    assert!(told.contains("moved with keys and mouse"), "{told}");
    recording.replay().expect("flown again to the same states");
}

#[test]
fn an_axis_is_brought_to_the_lever_first() {
    let mut seat = Seat::new("axis", SMALL, MONO);
    seat.open("Down the quarry stair");
    seat.key(KeyCode::Enter);
    let start = lever(&mut seat);
    let at = |seat: &mut Seat, axis: f64| seat.app.axis(Some(axis), seat.now);
    at(&mut seat, 0.1);
    let text = seat.text();
    assert!(text.contains("axis at 10 %: bring it to"), "{text}");
    assert_eq!(lever(&mut seat), start);
    at(&mut seat, start / 100.0);
    seat.key(KeyCode::Char(' '));
    at(&mut seat, 0.5);
    assert_eq!(lever(&mut seat), 50.0);
    seat.wait(6.0);
    // An axis that is gone stops time.
    seat.app.axis(None, seat.now);
    assert!(seat.text().contains("paused: space goes on"));
    assert_eq!(recorded(&mut seat).moved_with, [Means::Axis]);
}

#[test]
fn a_recording_from_before_means_were_noted_can_still_be_read() {
    let drill = Arc::new(library::DRILLS[0].drill().unwrap());
    let recording = Recording::of(&Run::new(drill, 7));
    let json = serde_json::to_value(&recording).unwrap();
    assert!(json.get("moved_with").is_none(), "nothing to say");
    let read: Recording = serde_json::from_value(json).unwrap();
    assert_eq!(read, recording);
}

/// A seat watching a hand chosen from the list.
fn watching(name: &str, options: Options) -> Seat {
    let drill = shipped("quarry-stair");
    let mut seat = Seat::asking(options, vec![drill], None, name, SMALL, MONO);
    seat.key(KeyCode::Char('w'));
    seat.keys(2, KeyCode::Down);
    seat.key(KeyCode::Enter);
    seat.until("shown by brief");
    seat.key(KeyCode::Char(' '));
    seat
}

#[test]
fn a_hand_is_watched_at_once_to_sixteen_times_the_speed() {
    let mut seat = watching("watch-speed", Options::default());
    for (key, speed) in [
        (None, 1.0),
        (Some(KeyCode::Up), 2.0),
        (Some(KeyCode::Up), 4.0),
        (Some(KeyCode::Down), 2.0),
        (Some(KeyCode::Up), 4.0),
        (Some(KeyCode::Up), 16.0),
    ] {
        if let Some(key) = key {
            seat.key(key);
        }
        let (before, from) = (seat.clock_s(), seat.now);
        seat.wait(4.0);
        let passed_s = (seat.now - from).as_secs_f64();
        let flown_s = seat.clock_s() - before;
        assert!(
            (flown_s - speed * passed_s).abs() <= 1.0,
            "{speed}: {flown_s}"
        );
    }
}

#[test]
fn the_moves_of_a_hand_are_told_as_it_makes_them() {
    let mut seat = watching("watch-moves", Options::default());
    let brief = briefed(&shipped("quarry-stair"));
    let recipe = serde_json::to_value(brief).unwrap()["tasks"][1]["recipe"].clone();
    let moves = recipe.as_array().unwrap();
    let lever = |n: usize| 100.0 * moves[n]["lever"].as_f64().unwrap();
    let to_go = moves[1]["value"].as_f64().unwrap();
    let first = seat.until_flown(&format!("lever to {:.1} %", lever(0)));
    assert!(first.contains("ft to go"), "{first}");
    let second = seat.until_flown(&format!("lever to {:.1} %", lever(1)));
    let told = second.lines().last().unwrap().split(", ").nth(1).unwrap();
    let at: f64 = told.split(' ').next().unwrap().parse().unwrap();
    assert!((at - to_go).abs() <= 2.0, "{told}, not at {to_go}");
}

#[test]
fn only_what_works_there_is_in_the_help_of_a_watched_flight() {
    let mut seat = watching("watch-help", Options::default());
    seat.key(KeyCode::Char('?'));
    let text = seat.text();
    assert!(text.contains("faster: 1, 2, 4, 16 times"), "{text}");
    assert!(
        !text.contains("lever 1 %") && !text.contains("type a setting"),
        "{text}"
    );
    seat.key(KeyCode::Char('?'));
    seat.key(KeyCode::Char(' '));
    let before = lever(&mut seat);
    seat.write("5=+");
    assert_eq!(lever(&mut seat), before, "its lever is its own");
}

#[test]
fn the_bell_rings_at_a_capture_and_only_when_asked() {
    for bell in [true, false] {
        let options = Options {
            bell,
            ..Options::default()
        };
        let mut seat = watching(&format!("bell-{bell}"), options);
        let mut rung = 0;
        for _ in 0..600 {
            if seat.text().contains(" 4 of 4") {
                break;
            }
            seat.wait(0.5);
            rung += u32::from(seat.app.take_bell());
        }
        assert!(seat.text().contains(" 4 of 4"), "{}", seat.text());
        assert_eq!(rung, if bell { 2 } else { 0 }, "two steps captured");
    }
}

/// The loop's clock, and the times at which it drew.
#[derive(Clone)]
struct Clock {
    now: Rc<Cell<Instant>>,
    drawn: Rc<RefCell<Vec<Instant>>>,
}

struct Watched(Script, Clock);

impl Events for Watched {
    fn now(&self) -> Instant {
        self.0.now()
    }

    fn next(&mut self, until: Instant) -> Option<Stamped> {
        let next = self.0.next(until);
        self.1.now.set(self.0.now());
        next
    }
}

struct Drawing(Terminal<TestBackend>, Clock);

impl Display for Drawing {
    fn draw(&mut self, render: impl FnOnce(&mut Frame<'_>)) -> io::Result<Duration> {
        self.1.drawn.borrow_mut().push(self.1.now.get());
        Display::draw(&mut self.0, render)
    }
}

#[test]
fn a_key_is_drawn_within_two_milliseconds_whenever_it_comes() {
    let us = Duration::from_micros;
    let key = |c: char| Event::Key(KeyEvent::new(KeyCode::Char(c), KeyModifiers::NONE));
    // Keys at every part of a frame, and of the time after a frame caused by a key.
    let keys: Vec<Duration> = (0..200_u64)
        .map(|n| us(100_000 + n * 37_000 + n * 7_919 % 31_000))
        .flat_map(|at| [at, at + us(700)])
        .collect();
    let digits = keys.iter().enumerate().map(|(n, at)| {
        let digit = if n % 2 == 0 { '3' } else { '4' };
        (*at, key(digit))
    });
    let script = Script::new(digits);
    let start = script.now();
    let clock = Clock {
        now: Rc::new(Cell::new(start)),
        drawn: Rc::default(),
    };
    let drills = vec![Arc::new(library::DRILLS[0].drill().unwrap())];
    let folder = std::env::temp_dir().join(format!("leveloff-{}-soon", std::process::id()));
    let mut screen = Drawing(
        Terminal::new(TestBackend::new(SMALL.0, SMALL.1)).unwrap(),
        clock.clone(),
    );
    let mut events = Watched(script, clock.clone());
    let settings = settings(folder.clone(), MONO);
    main_loop(
        &mut screen,
        &mut events,
        settings,
        Shelf::new(drills),
        Opening::Fly(0),
    );
    let _ = std::fs::remove_dir_all(folder);
    let drawn = clock.drawn.borrow();
    // The last key ends the program before it is drawn.
    for at in &keys[..keys.len() - 1] {
        let at = start + *at;
        let shown = drawn.iter().find(|shown| **shown >= at).unwrap();
        assert!(*shown - at <= Duration::from_millis(2), "{:?}", *shown - at);
    }
    let frames = drawn.len() as u64;
    let seconds = (*keys.last().unwrap()).as_secs_f64();
    let most = 32.0 * seconds + 2.0 * keys.len() as f64;
    assert!(frames as f64 <= most, "{frames} frames in {seconds} s");
}
