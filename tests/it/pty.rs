//! The real binary in a pseudo-terminal: tests that need a terminal.

mod harness;

use std::thread::ScopedJoinHandle;
use std::time::{Duration, Instant};

use crate::kept::lay_pars;
use crate::pty_harness::{Answers, LIMIT, Pty, Start};

const UP: &str = "\x1b[A";
const DOWN: &str = "\x1b[B";
const ENTER: &str = "\r";

fn start() -> Start {
    Start::on(80, 24)
}

fn flying(start: Start) -> Pty {
    flying_on(start.laid(lay_pars), "quarry-stair")
}

/// In flight on a drill.
pub fn flying_on(start: Start, drill: &str) -> Pty {
    let pty = start.args(&["fly", drill, "--seed", "5"]).spawn();
    pty.wait_text("ready: space begins");
    pty.send(" ");
    pty.wait_text("up, down move the lever");
    pty
}

/// The lever's setting in the row of numbers, %.
pub fn lever(screen: &str) -> Option<f64> {
    let row = screen.lines().find(|line| line.contains("ft/min"))?;
    row.split("lever")
        .nth(1)?
        .split('%')
        .next()?
        .trim_matches([' ', '>'])
        .parse()
        .ok()
}

#[test]
fn menu_fly_debrief_again_quit() {
    let mut pty = start().spawn();
    let menu = pty.wait_text("Catch the sink");
    assert!(
        menu.contains("not an approved training"),
        "the caution stands in the menu"
    );
    pty.send(ENTER);
    pty.wait_text("enter flies");
    pty.send(ENTER);
    let ready = pty.wait_text("ready: space begins");
    let before = lever(&ready).expect("the lever is told");
    pty.send(UP);
    pty.wait_for(
        |text| lever(text).is_some_and(|now| now >= before + 0.9),
        LIMIT,
    );
    // The trace grows to the left of the marker while time passes.
    pty.wait_for(|text| text.contains("0:05"), LIMIT);
    let traced = pty.screen_text();
    let braille = |text: &str| {
        text.chars()
            .filter(|c| ('\u{2801}'..='\u{28ff}').contains(c))
            .count()
    };
    assert!(braille(&traced) > braille(&ready), "{traced}");
    pty.send("q");
    let debrief = pty.wait_text("You left at");
    assert!(debrief.contains("kept as"), "{debrief}");
    pty.send(ENTER);
    pty.wait_text("ready: space begins");
    pty.send("q");
    pty.wait_text("enter opens the brief");
    pty.send("q");
    assert_eq!(pty.exit_code(), 0);
    pty.assert_restored();
    let log = std::fs::read_to_string(pty.data().join("logbook.jsonl")).expect("a logbook");
    assert_eq!(
        log.lines().count(),
        1,
        "one run was flown, the other never began"
    );
}

#[test]
fn a_signal_keeps_the_run_and_restores_the_screen() {
    let ends = [
        ("TERM", 143),
        ("INT", 130),
        ("HUP", 129),
        ("QUIT", 131),
        ("USR1", 138),
        ("ALRM", 142),
        ("XCPU", 152),
        ("XFSZ", 153),
    ];
    let ended_by = |(name, code): (&str, u32)| {
        let mut pty = flying(start());
        pty.wait_text("0:01");
        pty.signal(name);
        assert_eq!(pty.exit_code(), code, "{name}");
        pty.assert_restored();
        let log = std::fs::read_to_string(pty.data().join("logbook.jsonl")).expect("a logbook");
        assert!(log.contains("\"left\":true"), "{name}: {log}");
    };
    // All at once, since they only wait.
    std::thread::scope(|scope| {
        for end in ends {
            scope.spawn(move || ended_by(end));
        }
    });
}

#[test]
fn ctrl_c_in_flight_keeps_the_run() {
    let mut pty = flying(start());
    pty.wait_text("0:01");
    pty.send("\x03");
    assert_eq!(pty.exit_code(), 130);
    pty.assert_restored();
    let log = std::fs::read_to_string(pty.data().join("logbook.jsonl")).expect("a logbook");
    let entry: serde_json::Value = serde_json::from_str(&log).expect("a line");
    let id = entry["id"].as_str().expect("an id");
    pty.wait_text(&format!("the run under way was kept as {id}"));
}

#[test]
fn a_terminal_that_draws_no_screens_is_named() {
    let mut pty = start().env("TERM", "dumb").spawn();
    pty.wait_text("TERM is `dumb`");
    assert_eq!(pty.exit_code(), 2);
}

#[test]
fn a_panic_restores_the_screen_and_keeps_the_run() {
    let mut pty = flying(start().env("RUST_BACKTRACE", "0"));
    pty.wait_text("0:01");
    pty.send("\x10");
    pty.wait_text("asked to break down");
    assert_eq!(pty.exit_code(), 101);
    pty.assert_restored();
    let log = std::fs::read_to_string(pty.data().join("logbook.jsonl")).expect("a logbook");
    assert!(log.contains("\"left\":true"), "{log}");
}

#[test]
fn a_run_that_the_logbook_cannot_take_is_told_and_kept_elsewhere() {
    let spare = crate::folder::Folder::new();
    let place = spare.path().to_str().expect("a plain path");
    let start = start().env("LEVELOFF_DATA", "/dev/null/nowhere");
    let mut pty = flying(start.env("TMPDIR", place));
    pty.wait_text("0:01");
    pty.send("\x03");
    assert_eq!(pty.exit_code(), 130);
    pty.assert_restored();
    let told = pty.wait_text("could not be kept").replace('\n', "");
    assert!(told.contains("/dev/null/nowhere"), "{told}");
    let kept = std::fs::read_dir(spare.path()).expect("a folder").next();
    let kept = kept
        .expect("a logbook of its own")
        .expect("a folder")
        .path();
    assert!(
        told.contains(kept.to_str().expect("a plain path")),
        "{told}"
    );
    let log = std::fs::read_to_string(kept.join("logbook.jsonl")).expect("a logbook");
    assert!(log.contains("\"left\":true"), "{log}");
}

#[cfg(target_os = "linux")]
#[test]
fn a_signal_is_obeyed_while_the_terminal_takes_no_output() {
    let mut pty = flying(start());
    pty.wait_text("0:01");
    pty.hold_output(true);
    // The help comes and goes, a full screen each time: far more than a terminal takes unread.
    for _ in 0..100 {
        pty.send("?");
        std::thread::sleep(Duration::from_millis(12));
    }
    pty.signal("TERM");
    pty.wait_dead();
    pty.hold_output(false);
    assert_eq!(pty.exit_code(), 143);
    let log = std::fs::read_to_string(pty.data().join("logbook.jsonl")).expect("a logbook");
    assert!(log.contains("\"left\":true"), "{log}");
}

#[cfg(target_os = "linux")]
#[test]
fn any_number_of_echoes_is_one_thread_and_ctrl_c_is_heard() {
    let mut pty = flying(start());
    for _ in 0..40 {
        pty.send("eeeeeeeeee");
        let threads = std::fs::read_dir(format!("/proc/{}/task", pty.pid())).expect("it runs");
        let threads = threads.count();
        assert!(threads <= 6, "{threads} threads");
        std::thread::sleep(Duration::from_millis(5));
    }
    let since = Instant::now();
    pty.send("\x03");
    assert_eq!(pty.exit_code(), 130);
    assert!(
        since.elapsed() < Duration::from_secs(4),
        "{:?}",
        since.elapsed()
    );
}

#[cfg(target_os = "linux")]
#[test]
fn a_window_that_calls_itself_endless_is_drawn_in_part() {
    let mut pty = flying(start());
    for (columns, rows) in [(1000, 1000), (65535, 65535), (65535, 1), (1, 65535)] {
        let before = pty.bytes_seen();
        pty.resize_unseen(columns, rows);
        let since = Instant::now();
        while pty.bytes_seen() == before && since.elapsed() < LIMIT {
            std::thread::sleep(Duration::from_millis(5));
        }
    }
    pty.resize(80, 24);
    pty.wait_for(
        |text| text.contains("ft/min") && text.contains("paused"),
        LIMIT,
    );
    let kib = crate::pty_harness::peak_kib(pty.pid()).expect("it runs");
    assert!(kib < 64 << 10, "{kib} KiB");
    pty.send("\x03");
    assert_eq!(pty.exit_code(), 130);
}

#[test]
fn a_closed_terminal_ends_the_program() {
    let mut pty = flying(start());
    pty.close();
    let code = pty.exit_code();
    assert_eq!(code, 129);
}

#[test]
fn to_the_background_and_back() {
    let mut pty = flying(start().under_shell());
    pty.wait_text("0:01");
    pty.send("\x1a");
    pty.wait_stopped();
    pty.signal("CONT");
    let back = pty.wait_text("paused: space goes on");
    assert!(
        back.contains("Down the quarry stair"),
        "the whole screen is drawn anew: {back}"
    );
    pty.send("q");
    pty.wait_text("You left at");
    pty.send("qq");
    assert_eq!(pty.exit_code(), 0);
    pty.assert_restored();
}

#[test]
fn any_size_at_any_moment() {
    let pty = flying(start());
    for (columns, rows) in [(50, 10), (200, 60), (80, 24), (20, 3), (140, 40)] {
        pty.resize(columns, rows);
        match columns >= 80 {
            true => pty.wait_for(
                |text| text.contains("ft/min") && text.contains("level"),
                LIMIT,
            ),
            false => pty.wait_text("needs 80 x 24"),
        };
    }
    pty.wait_text("paused: space goes on");
}

#[test]
fn a_held_key_runs_until_it_is_let_go() {
    let pty = flying(start().answers(Answers::Kitty));
    pty.wait_keys_pushed();
    let before = lever(&pty.screen_text()).expect("the lever is told");
    pty.send("\x1b[1;1:1B");
    pty.wait_for(
        |text| lever(text).is_some_and(|now| now < before - 8.0),
        LIMIT,
    );
    pty.send("\x1b[1;1:3B");
    // The same reading for a while: the lever stands still.
    let mut last = (f64::NAN, Instant::now());
    pty.wait_for(
        |text| {
            let now = lever(text).unwrap_or(f64::NAN);
            if now != last.0 {
                last = (now, Instant::now());
            }
            last.1.elapsed() > Duration::from_millis(300)
        },
        LIMIT,
    );
}

/// How long a key is held below, and the delay before a terminal repeats it.
const HELD: Duration = Duration::from_millis(1300);
const PAUSE: Duration = Duration::from_millis(400);

/// How far a held key moves the lever from 10 %: in a terminal that reports its release, or that repeats it at a rate.
fn held(rate_hz: Option<f64>) -> f64 {
    let answers = match rate_hz {
        Some(_) => Answers::Plain,
        None => Answers::Kitty,
    };
    let pty = flying(start().answers(answers));
    pty.send("1");
    pty.wait_for(|text| lever(text) == Some(10.0), LIMIT);
    // The lever itself must arrive as well.
    std::thread::sleep(Duration::from_millis(600));
    let begun = Instant::now();
    let at = |after: Duration| std::thread::sleep(after.saturating_sub(begun.elapsed()));
    match rate_hz {
        None => {
            pty.wait_keys_pushed();
            pty.send("\x1b[1;1:1A");
            at(HELD);
            pty.send("\x1b[1;1:3A");
        }
        Some(rate_hz) => {
            pty.send(UP);
            let mut next = PAUSE;
            while next < HELD {
                at(next);
                pty.send(UP);
                next += Duration::from_secs_f64(1.0 / rate_hz);
            }
        }
    }
    std::thread::sleep(Duration::from_millis(300));
    lever(&pty.screen_text()).expect("the lever is told") - 10.0
}

#[test]
fn a_hold_is_worth_the_same_in_every_terminal() {
    // A busy machine may deliver a key late, but not every time.
    let tries = 4;
    let mut told = Vec::new();
    let all_alike = (0..tries).any(|_| {
        let (wanted, rates) = std::thread::scope(|scope| {
            let beside = |rate_hz| scope.spawn(move || held(rate_hz));
            let wanted = beside(None);
            let rates = [8.0, 12.0, 20.0, 30.0].map(|rate_hz| beside(Some(rate_hz)));
            let told = |hold: ScopedJoinHandle<f64>| hold.join().expect("it was held");
            (told(wanted), rates.map(told))
        });
        told.push((wanted, rates));
        rates.iter().all(|moved| (moved / wanted - 1.0).abs() < 0.1)
    });
    println!("held {HELD:?}, by release and at 8, 12, 20, 30 Hz: {told:?}");
    assert!(all_alike, "by release, and at 8, 12, 20, 30 Hz: {told:?}");
}

#[test]
fn the_colours_are_those_of_the_background() {
    let marker = |start: Start, wanted: (u8, u8, u8)| {
        let pty = flying(start.env("COLORTERM", "truecolor"));
        let colours = |screen: &vt100::Screen| -> Vec<vt100::Color> {
            let cells = (0..24).flat_map(|y| (0..80).filter_map(move |x| screen.cell(y, x)));
            let marks = cells.filter(|cell| ["●", "◉"].contains(&cell.contents()));
            marks.map(vt100::Cell::fgcolor).collect()
        };
        let (red, green, blue) = wanted;
        let is_so = |_: &str| pty.screen(colours) == [vt100::Color::Rgb(red, green, blue)];
        let since = Instant::now();
        while !is_so("") {
            assert!(since.elapsed() < LIMIT, "{:?}", pty.screen(colours));
            std::thread::sleep(Duration::from_millis(5));
        }
    };
    marker(start(), (175, 95, 95));
    marker(start().answers(Answers::White), (175, 95, 0));
    let dark = start().answers(Answers::White).args(&["--theme", "dark"]);
    marker(dark, (255, 135, 0));
}

#[test]
fn frames_are_sent_as_one_where_the_terminal_can_and_never_around_a_clear() {
    let count = |log: &[u8], what: &[u8]| log.windows(what.len()).filter(|w| *w == what).count();
    let (begin, end, clear) = (b"\x1b[?2026h", b"\x1b[?2026l", b"\x1b[2J");
    let pty = flying(start().answers(Answers::White));
    pty.wait_text("0:01");
    pty.resize(100, 30);
    pty.wait_text("0:02");
    let log = pty.log();
    let begun = count(&log, begin);
    assert!(begun > 10 && begun - count(&log, end) <= 1, "{begun}");
    assert!(count(&log, clear) >= 1, "a new size is a new screen");
    let mut held = false;
    for at in 0..log.len() {
        held = (held || log[at..].starts_with(begin)) && !log[at..].starts_with(end);
        assert!(!(held && log[at..].starts_with(clear)), "a clear at {at}");
    }
    for other in [
        start().answers(Answers::Kitty),
        start()
            .answers(Answers::White)
            .env("TMUX", "/tmp/tmux-0/default,1,0"),
    ] {
        let pty = flying(other);
        pty.wait_text("0:01");
        assert_eq!(count(&pty.log(), begin), 0);
    }
}

#[test]
fn the_mouse_is_taken_only_when_asked_for() {
    let reports = |pty: &Pty| pty.screen(|screen| screen.mouse_protocol_mode());
    let pty = flying(start());
    assert_eq!(reports(&pty), vt100::MouseProtocolMode::None);

    let mut pty = flying(start().args(&["--mouse"]));
    assert_ne!(reports(&pty), vt100::MouseProtocolMode::None);
    pty.send("4");
    pty.wait_for(|text| lever(text) == Some(40.0), LIMIT);
    pty.send("\x1b[<64;20;10M\x1b[<64;20;10M");
    pty.wait_for(|text| lever(text) == Some(42.0), LIMIT);
    // Take hold of the rail, drag it nine columns to the left, let go.
    let rail = pty
        .screen_text()
        .lines()
        .position(|line| line.contains('┴'));
    let row = rail.expect("a rail") + 1;
    pty.send(format!(
        "\x1b[<0;60;{row}M\x1b[<32;51;{row}M\x1b[<0;51;{row}m"
    ));
    pty.wait_for(|text| lever(text) == Some(33.0), LIMIT);
    pty.send("\x03");
    assert_eq!(pty.exit_code(), 130);
    pty.assert_restored();
}

#[test]
fn a_tap_without_releases_is_one_percent() {
    let pty = flying(start());
    let before = lever(&pty.screen_text()).expect("the lever is told");
    pty.send(DOWN);
    let after = pty.wait_for(
        |text| lever(text).is_some_and(|now| now <= before - 0.9),
        LIMIT,
    );
    assert!(
        lever(&after).is_some_and(|now| now >= before - 1.2),
        "{after}"
    );
}

#[test]
fn a_key_is_on_screen_soon() {
    // The aim is 2 ms at the median and 20 ms at the 99th percentile; this leaves room for a loaded machine.
    let pty = flying(start());
    let mut waits: Vec<Duration> = Vec::new();
    for turn in 0..100 {
        let before = lever(&pty.screen_text()).expect("the lever is told");
        // Digits of different tens: always another setting, never a held key.
        let digit = char::from(b'3' + turn % 2);
        let sent = Instant::now();
        pty.send(digit.to_string());
        pty.wait_for(|text| lever(text).is_some_and(|now| now != before), LIMIT);
        waits.push(sent.elapsed());
        std::thread::sleep(Duration::from_millis(5 + u64::from(turn % 7)));
    }
    waits.sort();
    println!(
        "key to screen: median {:?}, 99th of a hundred {:?}",
        waits[50], waits[98]
    );
    assert!(waits[50] < Duration::from_millis(50), "{waits:?}");
}

const APPROACH: &str = r#"
title = "Last half mile"
about = "On the path already."
aircraft = "deck jet"
[start]
altitude_ft = 206.6
path_deg = -3.17
distance_nm = 0.4
[deck]
height_ft = 58.0
speed_kt = 12.0
zone_ft = 500.0
[[task]]
path = { slope_deg = 3.5, from_nm = 0.38, band_ft = 40.0, gates_nm = [0.25] }
"#;

#[test]
fn one_approach_to_the_deck_by_keys() {
    let file = std::env::temp_dir().join(format!("leveloff-approach-{}.toml", std::process::id()));
    std::fs::write(&file, APPROACH).expect("a drill file");
    let name = file.to_str().expect("a plain path").to_owned();
    let mut pty = start().args(&["fly", &name, "--seed", "5"]).spawn();
    pty.wait_text("ready: space begins");
    std::fs::remove_file(&file).expect("it was there");
    pty.send(" ");
    pty.wait_text("151 ft in");
    // A little less power and back, as a correction.
    pty.send(DOWN);
    pty.wait_text("deck 58 ft in 7 s");
    pty.send(UP);
    let down = pty.wait_text("full power now (home)");
    assert!(down.contains("on deck"), "{down}");
    pty.send("\x1b[H");
    pty.wait_text("full power after");
    // A screen may be read half drawn, so wait for each text.
    for told in [": in the zone", "path │", "next: ", "kept as", "down: more"] {
        pty.wait_text(told);
    }
    pty.send("\x1b[6~\x1b[6~");
    for told in ["Down on the deck at", "full power after"] {
        pty.wait_text(told);
    }
    pty.send("qq");
    assert_eq!(pty.exit_code(), 0);
    pty.assert_restored();
    let log = std::fs::read_to_string(pty.data().join("logbook.jsonl")).expect("a logbook");
    assert!(log.contains("\"complete\":true"), "{log}");
}

#[test]
fn a_hand_flies_in_the_terminal_with_an_echo_beside_it() {
    let args = [
        "fly",
        "quarry-stair",
        "--seed",
        "5",
        "--hand",
        "green",
        "--echo",
        "best",
    ];
    let mut pty = start().args(&args).spawn();
    let ready = pty.wait_text("╌╌ best");
    assert!(ready.contains("shown by green"), "{ready}");
    assert!(ready.contains("ready: space begins"), "{ready}");
    pty.send(" ");
    pty.wait_text("0:02");
    pty.send("m");
    pty.wait_text("marked at 0:0");
    pty.wait_text("0:05");
    pty.send("q");
    pty.wait_text("You left at");
    pty.send("q");
    pty.wait_text("enter opens the brief");
    pty.send("q");
    assert_eq!(pty.exit_code(), 0);
    pty.assert_restored();
    let log = std::fs::read_to_string(pty.data().join("logbook.jsonl")).expect("a logbook");
    assert!(log.contains("\"hand\":\"green\""), "{log}");
}
