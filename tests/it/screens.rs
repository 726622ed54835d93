//! The screens as a person sees them, driven by keys and time, on an in-memory terminal.

mod briefs;
mod campaign;
mod debrief;
mod echoes;
mod flow;
mod guided;
mod hands;
mod judged;
mod lever;
mod marks;
mod menu;
mod pages;
mod paths;
mod readme;
mod scale;
mod scripted;
mod sizes;
mod sofar;

use std::sync::{Arc, mpsc};
use std::time::{Duration, Instant};

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use leveloff::brief::Predict;

use leveloff::drill::{Aids, Drill, library};
use leveloff::logbook::Logbook;
use leveloff::run::{Recording, Run};
use leveloff::tui::action::{ALL, Action, BINDINGS, action, help};
use leveloff::tui::echo::EchoChoice;
use leveloff::tui::job::Job;
use leveloff::tui::theme::{Background, Depth, Theme};
use leveloff::tui::{App, Opening, Options, Settings, Shelf, Wish};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::buffer::Buffer;
use ratatui::style::Color;

use crate::flying::{all_shipped, shipped};
use crate::pty::lever;

const MONO: Theme = Theme {
    depth: Depth::Mono,
    background: Background::Dark,
    unicode: true,
};
const NAMED: Theme = Theme {
    depth: Depth::Named,
    background: Background::Dark,
    unicode: true,
};
const ASCII: Theme = Theme {
    depth: Depth::Mono,
    background: Background::Dark,
    unicode: false,
};
const SMALL: (u16, u16) = (80, 24);
const LARGE: (u16, u16) = (140, 40);
const VAST: (u16, u16) = (200, 60);
/// Long enough for background work on a loaded machine, short enough to fail within a sitting.
const LIMIT: Duration = Duration::from_secs(120);
const UNDER_WAY: &str = "what to do is being worked out";

/// Blocks the thread for background jobs until dropped: jobs begun in the meantime stay unfinished.
struct HeldUp {
    _held: Job<()>,
    _let_go: mpsc::Sender<()>,
}

impl HeldUp {
    fn new() -> HeldUp {
        let (let_go, wait) = mpsc::channel();
        let held = Job::of(move |_| {
            let _ = wait.recv();
            Ok(())
        });
        HeldUp {
            _held: held,
            _let_go: let_go,
        }
    }
}

/// A person in front of a screen.
struct Seat {
    app: App,
    terminal: Terminal<TestBackend>,
    now: Duration,
    folder: std::path::PathBuf,
}

impl Drop for Seat {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.folder);
    }
}

impl Seat {
    fn new(name: &str, size: (u16, u16), theme: Theme) -> Seat {
        Seat::before(all_shipped().collect(), name, size, theme)
    }

    fn before(drills: Vec<Arc<Drill>>, name: &str, size: (u16, u16), theme: Theme) -> Seat {
        Seat::aided(drills, None, name, size, theme)
    }

    /// With aids given on the command line.
    fn aided(
        drills: Vec<Arc<Drill>>,
        aids: Option<Aids>,
        name: &str,
        size: (u16, u16),
        theme: Theme,
    ) -> Seat {
        Seat::asking(Options::default(), drills, aids, name, size, theme)
    }

    /// With options for the terminal beyond keys and screen.
    fn asking(
        options: Options,
        drills: Vec<Arc<Drill>>,
        aids: Option<Aids>,
        name: &str,
        size: (u16, u16),
        theme: Theme,
    ) -> Seat {
        let folder = std::env::temp_dir().join(format!("leveloff-{}-{name}", std::process::id()));
        let _ = std::fs::remove_dir_all(&folder);
        let settings = Settings {
            aids,
            options,
            ..settings(folder.clone(), theme)
        };
        Seat {
            app: App::new(settings, Shelf::new(drills), Opening::Menu, Duration::ZERO),
            terminal: Terminal::new(TestBackend::new(size.0, size.1)).unwrap(),
            now: Duration::ZERO,
            folder,
        }
    }

    fn key(&mut self, code: KeyCode) -> Wish {
        let wish = self
            .app
            .key(&KeyEvent::new(code, KeyModifiers::NONE), self.now);
        self.wait(0.05);
        wish
    }

    fn keys(&mut self, times: usize, code: KeyCode) {
        (0..times).for_each(|_| assert_eq!(self.key(code), Wish::Stay));
    }

    fn wait(&mut self, seconds: f64) {
        let until = self.now + Duration::from_secs_f64(seconds);
        while self.now < until {
            self.now += Duration::from_millis(16);
            self.app.advance(self.now);
            self.terminal.draw(|frame| self.app.draw(frame)).unwrap();
        }
    }

    /// Draws frames without advancing the time until a text appears that another thread is working on.
    fn until(&mut self, wanted: &str) -> String {
        self.until_so(wanted, |text| text.contains(wanted))
    }

    fn until_so(&mut self, what: &str, is_so: impl Fn(&str) -> bool) -> String {
        let since = Instant::now();
        while since.elapsed() < LIMIT {
            self.app.advance(self.now);
            let text = self.text();
            if is_so(&text) {
                return text;
            }
            std::thread::sleep(Duration::from_millis(2));
        }
        panic!("{what:?} never came: {}", self.text());
    }

    /// Lets time pass until a text appears, a hundred seconds at most.
    fn until_flown(&mut self, wanted: &str) -> String {
        for _ in 0..1000 {
            self.wait(0.1);
            let text = self.text();
            if text.contains(wanted) {
                return text;
            }
        }
        panic!("{wanted:?} never came: {}", self.text());
    }

    /// Waits, in real time, until a finished run has been weighed.
    fn settle(&mut self) {
        let since = Instant::now();
        while since.elapsed() < LIMIT {
            self.wait(0.02);
            if !self.text().contains("is being weighed") {
                return;
            }
            std::thread::sleep(Duration::from_millis(10));
        }
        panic!("it is never weighed: {}", self.text());
    }

    fn buffer(&mut self) -> Buffer {
        self.terminal.draw(|frame| self.app.draw(frame)).unwrap();
        self.terminal.backend().buffer().clone()
    }

    fn text(&mut self) -> String {
        let buffer = self.buffer();
        let row = |y: u16| {
            let cells = (0..buffer.area.width).map(|x| buffer[(x, y)].symbol());
            cells.collect::<String>().trim_end().to_string()
        };
        (0..buffer.area.height)
            .map(row)
            .collect::<Vec<_>>()
            .join("\n")
    }

    fn logbook(&self) -> Logbook {
        Logbook::at(self.folder.clone())
    }

    /// The latest run in the logbook.
    fn recording(&self) -> Recording {
        let id = self.logbook().latest_id().unwrap().expect("a run");
        self.logbook().recording(&id).unwrap()
    }

    /// The setting in the row of numbers, %.
    fn lever(&mut self) -> f64 {
        lever(&self.text()).expect("the lever is told")
    }

    /// The clock at the end of the head, s.
    fn clock_s(&mut self) -> f64 {
        let text = self.text();
        let head = text.lines().next().unwrap();
        let clock = head.split_whitespace().last().unwrap();
        let (minutes, seconds) = clock.split_once(':').expect("a clock");
        60.0 * minutes.parse::<f64>().unwrap() + seconds.parse::<f64>().unwrap()
    }

    fn write(&mut self, text: &str) {
        text.chars()
            .for_each(|c| assert_eq!(self.key(KeyCode::Char(c)), Wish::Stay));
    }

    /// Whether the chosen row of the menu shows any points.
    fn has_points(&mut self) -> bool {
        let text = self.text();
        let row = text.lines().find(|line| line.contains('▸'));
        let row: String = row.expect("a chosen row").chars().take(80).collect();
        row.chars().any(|c| c.is_ascii_digit())
    }

    /// Down the menu to a drill by its title, and into its brief.
    fn open(&mut self, title: &str) {
        self.choose(title);
        self.key(KeyCode::Enter);
    }

    /// The same, then waits until the brief says what to do.
    fn brief(&mut self, title: &str) -> String {
        self.open(title);
        self.until_so("what to do", |text| !text.contains(UNDER_WAY))
    }

    /// Down the menu to a drill by its title.
    fn choose(&mut self, title: &str) {
        self.key(KeyCode::Home);
        for _ in 0..library::DRILLS.len() {
            if self
                .text()
                .lines()
                .any(|line| line.contains('▸') && line.contains(title))
            {
                break;
            }
            self.key(KeyCode::Down);
        }
    }

    /// The quarry stair, some way into its first step: power off, then level power.
    fn on_the_stair(&mut self, seconds: f64) {
        self.open("Down the quarry stair");
        self.key(KeyCode::Enter);
        self.key(KeyCode::Char(' '));
        self.wait(12.5);
        (0..12).for_each(|_| assert_eq!(self.key(KeyCode::Down), Wish::Stay));
        self.wait(seconds);
    }
}

/// The program's settings, with its runs kept in a folder.
fn settings(folder: std::path::PathBuf, theme: Theme) -> Settings {
    Settings {
        logbook: Logbook::at(folder),
        aids: None,
        echo: EchoChoice::Off,
        seed: Some(7),
        air: None,
        pilot: None,
        theme,
        options: Options::default(),
        draw_seed: || 7,
        sheet: crate::kept::sheet,
        tells_in_reach: false,
        now: || "2026-03-01T09:30:00+00:00".to_string(),
    }
}

fn is_coloured(buffer: &Buffer) -> bool {
    let plain = [Color::Reset];
    buffer
        .content
        .iter()
        .any(|cell| !plain.contains(&cell.fg) || !plain.contains(&cell.bg))
}

#[test]
fn every_screen_at_both_sizes() {
    for (size, name) in [(SMALL, "80x24"), (LARGE, "140x40")] {
        let mut seat = Seat::new(&format!("every-{name}"), size, MONO);
        insta::assert_snapshot!(format!("menu_{name}"), seat.text());
        seat.choose("Down the quarry stair");
        seat.key(KeyCode::Char('p'));
        insta::assert_snapshot!(format!("aeroplane_{name}"), seat.text());
        seat.key(KeyCode::Esc);
        seat.key(KeyCode::Char('g'));
        seat.until("What power holds");
        seat.write("40.5");
        seat.key(KeyCode::Enter);
        seat.write("70");
        insta::assert_snapshot!(format!("predict_{name}"), seat.text());
        seat.key(KeyCode::Esc);
        insta::assert_snapshot!(format!("brief_{name}"), seat.brief("Down the quarry stair"));
        seat.key(KeyCode::Enter);
        insta::assert_snapshot!(format!("ready_{name}"), seat.text());
        seat.key(KeyCode::Char('?'));
        insta::assert_snapshot!(format!("help_{name}"), seat.text());
        seat.key(KeyCode::Char('?'));
        seat.key(KeyCode::Char(' '));
        seat.wait(12.5);
        (0..12).for_each(|_| assert_eq!(seat.key(KeyCode::Down), Wish::Stay));
        seat.wait(20.0);
        insta::assert_snapshot!(format!("fly_{name}"), seat.text());
        assert!(
            !is_coloured(&seat.buffer()),
            "{name}: no colour without colour"
        );
        (0..12).for_each(|_| assert_eq!(seat.key(KeyCode::Up), Wish::Stay));
        seat.wait(8.0);
        insta::assert_snapshot!(format!("stay_{name}"), seat.text());
        seat.key(KeyCode::Char('q'));
        insta::assert_snapshot!(format!("debrief_{name}"), seat.text());
    }
}

#[test]
fn colour_follows_roles_and_nothing_else() {
    for (size, name) in [(SMALL, "80x24"), (LARGE, "140x40")] {
        let mut seat = Seat::new(&format!("colour-{name}"), size, NAMED);
        let mut mono = Seat::new(&format!("mono-{name}"), size, MONO);
        for seat in [&mut seat, &mut mono] {
            seat.on_the_stair(20.0);
        }
        assert_eq!(
            seat.text(),
            mono.text(),
            "the same symbols with and without colour"
        );
        assert!(is_coloured(&seat.buffer()));
        insta::assert_debug_snapshot!(format!("fly_{name}_colour"), seat.buffer());
    }
}

/// The dots of a colour above the rail, as places in the grid of braille dots.
fn dots_of(buffer: &Buffer, colour: Color) -> std::collections::BTreeSet<(i32, i32)> {
    let mut dots = std::collections::BTreeSet::new();
    for y in 2..buffer.area.height - 5 {
        for x in 0..buffer.area.width {
            let cell = &buffer[(x, y)];
            let bits = (cell.symbol().chars().next().unwrap_or(' ') as u32).wrapping_sub(0x2800);
            if cell.fg != colour || bits > 0xff {
                continue;
            }
            // The order of the bits: Unicode 16, chapter 21.1.
            for (bit, (across, down)) in [
                (0, 0),
                (0, 1),
                (0, 2),
                (1, 0),
                (1, 1),
                (1, 2),
                (0, 3),
                (1, 3),
            ]
            .into_iter()
            .enumerate()
            {
                if bits >> bit & 1 == 1 {
                    dots.insert((2 * i32::from(x) + across, 4 * i32::from(y) + down));
                }
            }
        }
    }
    dots
}

#[test]
fn without_colour_band_trace_forecast_and_echo_differ_by_their_marks() {
    let mut seat = Seat::new("marks-apart", SMALL, NAMED);
    seat.brief("Down the quarry stair");
    seat.key(KeyCode::Char('e'));
    seat.key(KeyCode::Enter);
    seat.until("╌╌ par");
    seat.key(KeyCode::Char(' '));
    seat.wait(12.5);
    (0..12).for_each(|_| assert_eq!(seat.key(KeyCode::Down), Wish::Stay));
    seat.wait(10.0);
    let buffer = seat.buffer();
    // The longest row of dots side by side.
    let longest = |dots: &std::collections::BTreeSet<(i32, i32)>| {
        let run = |(x, y): &(i32, i32)| (0..).take_while(|n| dots.contains(&(x + n, *y))).count();
        dots.iter().map(run).max().unwrap_or(0)
    };
    let [band, trace, forecast, echo] = [
        Color::LightCyan,
        Color::Reset,
        Color::LightMagenta,
        Color::Green,
    ]
    .map(|colour| dots_of(&buffer, colour));
    assert!(
        band.len() > 50 && longest(&band) == 1,
        "a row of single dots"
    );
    assert!(longest(&trace) > 3, "a line");
    assert!((2..=3).contains(&longest(&echo)), "dashes");
    assert!(forecast.len() > 10 && longest(&forecast) == 1);
    for (x, y) in &forecast {
        let is_pair = forecast.contains(&(*x, y - 1)) || forecast.contains(&(*x, y + 1));
        // One of the two may share its cell with something brighter.
        let is_covered = !forecast.contains(&(*x, y - 1)) && (y % 4 == 0 || y % 4 == 3);
        assert!(is_pair || is_covered, "two high: {x}, {y}");
    }
}

#[test]
fn ascii_marks_where_the_locale_has_nothing_else() {
    let mut seat = Seat::new("ascii", SMALL, ASCII);
    seat.key(KeyCode::Char('p'));
    insta::assert_snapshot!("aeroplane_80x24_ascii", seat.text());
    assert!(seat.text().is_ascii());
    seat.key(KeyCode::Char('q'));
    seat.key(KeyCode::Enter);
    seat.key(KeyCode::Enter);
    seat.key(KeyCode::Char(' '));
    seat.wait(9.0);
    let text = seat.text();
    assert!(text.is_ascii(), "{text}");
    assert!(
        text.contains('@') || text.contains('#'),
        "the lever is on the rail: {text}"
    );
    insta::assert_snapshot!("fly_80x24_ascii", text);
}

#[test]
fn every_size_draws_or_asks_for_room() {
    let mut seat = Seat::new("sizes", SMALL, MONO);
    seat.choose("Down the quarry stair");
    at_every_size(&mut seat, "enter opens the brief");
    seat.key(KeyCode::Char('p'));
    at_every_size(&mut seat, "minimum drag");
    seat.key(KeyCode::Char('q'));
    seat.key(KeyCode::Char('g'));
    seat.until("What power holds");
    at_every_size(&mut seat, "What power holds");
    seat.key(KeyCode::Char('q'));
    seat.key(KeyCode::Enter);
    at_every_size(&mut seat, "enter flies");
    seat.until_so("what to do", |text| !text.contains(UNDER_WAY));
    seat.key(KeyCode::Char('m'));
    seat.key(KeyCode::PageDown);
    for told in ["enter flies", "q menu   ? help", "echo off   aids full"] {
        at_every_size(&mut seat, told);
    }
    seat.key(KeyCode::Char('q'));
    seat.on_the_stair(6.0);
    at_every_size(&mut seat, "ft/min");
    seat.key(KeyCode::Char('q'));
    at_every_size(&mut seat, "You left at");
}

/// Draws at sizes from nothing to large: with enough room the screen shows `wanted`, otherwise it asks for room.
fn at_every_size(seat: &mut Seat, wanted: &str) {
    for columns in (0..=150).step_by(7).chain([SMALL.0]) {
        for rows in (0..=50).step_by(3).chain([SMALL.1]) {
            let mut terminal = Terminal::new(TestBackend::new(columns, rows)).unwrap();
            terminal.draw(|frame| seat.app.draw(frame)).unwrap();
            let text: String = terminal
                .backend()
                .buffer()
                .content
                .iter()
                .map(|c| c.symbol())
                .collect();
            let fits = columns >= SMALL.0 && rows >= SMALL.1;
            if fits {
                assert!(text.contains(wanted), "{columns} x {rows}: {text}");
            } else if columns >= 24 && rows >= 3 {
                assert!(text.contains("needs 80 x 24"), "{columns} x {rows}: {text}");
            }
        }
    }
}

#[test]
fn too_small_a_screen_pauses_the_flight() {
    let mut seat = Seat::new("small", SMALL, MONO);
    seat.on_the_stair(2.0);
    seat.app.resized(60, 20, seat.now);
    let before_s = seat.clock_s();
    seat.app.resized(80, 24, seat.now);
    seat.wait(3.0);
    let after = seat.text();
    assert!(after.contains("paused: space goes on"), "{after}");
    assert_eq!(seat.clock_s(), before_s, "no time was flown");
    seat.key(KeyCode::Char(' '));
    seat.wait(2.0);
    assert!(seat.clock_s() > before_s, "and now it is");
}

#[test]
fn the_lever_moves_on_screen_with_the_key() {
    let mut seat = Seat::new("lever", SMALL, MONO);
    seat.key(KeyCode::Enter);
    seat.key(KeyCode::Enter);
    let before = seat.lever();
    seat.key(KeyCode::Up);
    seat.wait(0.3);
    let tapped = seat.lever();
    assert!(
        (tapped - before - 1.0).abs() < 0.11,
        "{before} to {tapped}: a tap is 1 %"
    );
    seat.key(KeyCode::Char('6'));
    seat.wait(1.5);
    assert_eq!(seat.lever(), 60.0);
    seat.key(KeyCode::Home);
    seat.wait(1.5);
    assert_eq!(seat.lever(), 100.0);
}

#[test]
fn aids_show_what_they_promise() {
    for (presses, aids, forecast, level) in [
        (0, "full", true, true),
        (1, "some", false, true),
        (2, "bare", false, false),
    ] {
        let mut seat = Seat::new(&format!("aids-{aids}"), SMALL, MONO);
        (0..presses).for_each(|_| assert_eq!(seat.key(KeyCode::Char('a')), Wish::Stay));
        seat.key(KeyCode::Enter);
        seat.key(KeyCode::Enter);
        let text = seat.text();
        assert!(text.contains(&format!("aids {aids}")), "{text}");
        assert_eq!(text.contains("▾ level"), level, "{aids}: {text}");
        // The current descent continues below the marker, right of now: only the forecast draws there.
        let rows: Vec<Vec<char>> = text.lines().map(|line| line.chars().collect()).collect();
        let ahead = (5..12).any(|y| {
            let cells = rows[y].iter().skip(62).take(14);
            cells
                .copied()
                .any(|c| ('\u{2801}'..='\u{28ff}').contains(&c))
        });
        assert_eq!(ahead, forecast, "{aids}: {text}");
    }
}

#[test]
fn a_run_that_is_left_is_kept_before_its_debrief() {
    let mut seat = Seat::new("kept", SMALL, MONO);
    seat.on_the_stair(3.0);
    seat.key(KeyCode::Char('q'));
    let text = seat.text();
    let entries = seat.logbook().entries().unwrap().entries;
    assert_eq!(entries.len(), 1);
    assert!(entries[0].left && !entries[0].complete);
    assert!(text.contains("You left at"), "{text}");
    seat.key(KeyCode::Enter);
    assert!(seat.text().contains("ready: space begins"), "and again");
}

#[test]
fn a_folder_that_cannot_be_written_is_told_and_the_debrief_still_shows() {
    let mut seat = Seat::new("unwritable", SMALL, MONO);
    // A file where the folder should be, so that even the superuser cannot write there.
    std::fs::write(&seat.folder, "in the way").unwrap();
    seat.on_the_stair(3.0);
    seat.key(KeyCode::Char('q'));
    let text = seat.text();
    std::fs::remove_file(&seat.folder).unwrap();
    assert!(text.contains("not kept:"), "{text}");
    assert!(text.contains("You left at"), "{text}");
}

#[test]
fn one_table_makes_keys_and_help() {
    for place in ALL.iter().copied() {
        assert!(help(place).count() >= 4);
        let mut seen = Vec::new();
        for binding in BINDINGS
            .iter()
            .filter(|binding| binding.places.contains(&place))
        {
            for code in binding.keys {
                let modifiers = match binding.shift {
                    true => KeyModifiers::SHIFT,
                    false => KeyModifiers::NONE,
                };
                let key = KeyEvent::new(*code, modifiers);
                assert!(!seen.contains(&key), "{key:?} twice in {place:?}");
                seen.push(key);
                let found = action(place, &key).expect("a key of the table does something");
                let digit = matches!(found, Action::Set(_) | Action::Write('0'..='9'));
                assert!(digit || found == binding.action);
            }
        }
    }
}

#[test]
fn releases_never_act_twice() {
    let mut seat = Seat::new("releases", SMALL, MONO);
    let mut key = KeyEvent::new(KeyCode::Enter, KeyModifiers::NONE);
    key.kind = KeyEventKind::Release;
    seat.app.key(&key, seat.now);
    assert!(
        seat.text().contains("enter opens the brief"),
        "still the menu"
    );
}

#[test]
fn guesses_made_before_flying_stand_beside_the_truth_and_are_kept() {
    let mut seat = Seat::new("guesses", SMALL, MONO);
    seat.choose("Down the quarry stair");
    let held_up = HeldUp::new();
    seat.key(KeyCode::Char('g'));
    let text = seat.text();
    assert!(text.contains("being worked out"), "{text}");
    assert!(seat.app.is_moving());
    // Keys typed before there is a question answer none.
    seat.write("7");
    seat.key(KeyCode::Enter);
    drop(held_up);
    let text = seat.until("What power holds 1,660 ft");
    assert!(!text.contains("7_"), "{text}");
    assert!(!seat.app.is_moving(), "and then nothing is left to do");
    assert!(
        !text.contains("Going down"),
        "one question at a time: {text}"
    );
    seat.write(".");
    seat.key(KeyCode::Enter);
    assert!(seat.text().contains("Type a number from 0 to 100."));
    seat.key(KeyCode::Backspace);
    seat.write("40.9");
    seat.key(KeyCode::Backspace);
    seat.write("5");
    seat.key(KeyCode::Enter);
    assert!(seat.text().contains("your guess: 40.5 %"));
    seat.write("70");
    seat.key(KeyCode::Enter);
    assert!(seat.text().contains("ready: space begins"));
    // Restarted before the truth was shown: the guesses stay.
    seat.key(KeyCode::Char('r'));
    seat.key(KeyCode::Char(' '));
    seat.wait(6.0);
    seat.key(KeyCode::Char('q'));

    let predict = Predict::of(crate::kept::briefed(&shipped("quarry-stair")));
    let text = seat.text();
    insta::assert_snapshot!("debrief_guessed_80x24", text);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for (question, guess) in predict.questions.iter().zip([40.5, 70.0]) {
        let line = question.compare(guess);
        assert!(text.contains(&line), "{line} in {text}");
    }
    let logbook = seat.logbook();
    let first = seat.recording();
    assert_eq!(first.guesses, [Some(40.5), Some(70.0)]);

    // The same from the list of runs, where the plan has to be made again: the screen does not wait for it.
    seat.key(KeyCode::Esc);
    seat.key(KeyCode::Char('l'));
    let held_up = HeldUp::new();
    seat.key(KeyCode::Enter);
    let text = seat.text();
    assert!(text.contains("guesses are being checked"), "{text}");
    assert!(seat.app.is_moving());
    drop(held_up);
    let text = seat.until("Level power: you said");
    assert!(!text.contains("guesses are being checked"), "{text}");
    assert!(!seat.app.is_moving(), "and then nothing is left to do");

    // Flown again after the truth was shown: the guesses are gone.
    seat.key(KeyCode::Char('r'));
    seat.key(KeyCode::Char(' '));
    seat.wait(6.0);
    seat.key(KeyCode::Char('q'));
    assert!(!seat.text().contains("you said"));
    let entries = logbook.entries().unwrap().entries;
    let ids: Vec<String> = entries.into_iter().map(|entry| entry.id).collect();
    assert_eq!(ids.len(), 2);
    let second = ids.iter().find(|id| **id != first.id).unwrap();
    assert!(logbook.recording(second).unwrap().guesses.is_empty());
}

#[test]
fn an_empty_line_passes_a_question_over() {
    let mut seat = Seat::new("passed", SMALL, MONO);
    seat.open("Down the quarry stair");
    seat.key(KeyCode::Char('g'));
    seat.until("What power holds");
    seat.key(KeyCode::Enter);
    assert!(seat.text().contains("skipped"));
    seat.write("56");
    seat.key(KeyCode::Enter);
    seat.key(KeyCode::Char(' '));
    seat.wait(6.0);
    seat.key(KeyCode::Char('q'));
    let text = seat.text();
    assert!(text.contains("Level-off: you said 56 ft"), "{text}");
    assert!(!text.contains("Level power: you said"), "{text}");
    assert_eq!(seat.recording().guesses, [None, Some(56.0)]);
}

#[test]
fn a_recording_from_before_guesses_can_still_be_read() {
    let drill = Arc::new(library::DRILLS[0].drill().unwrap());
    let recording = Recording::of(&Run::new(drill, 7));
    let mut json = serde_json::to_value(&recording).unwrap();
    assert!(json.as_object_mut().unwrap().remove("guesses").is_some());
    let read: Recording = serde_json::from_value(json).unwrap();
    assert_eq!(read, recording);
}
