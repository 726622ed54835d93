//! Paths, rates and surprises on the screen, flown by keys.

use std::sync::Arc;
use std::time::Duration;

use crossterm::event::KeyCode;
use leveloff::drill::Aids;
use leveloff::drill::{Drill, Kind};
use leveloff::run::Run;
use leveloff::tui::action::{Action, Mode, action};
use leveloff::tui::flight::{Flight, Pilot as Who};

use super::{ASCII, LARGE, MONO, SMALL, Seat, VAST};

const PATH: &str = r#"
title = "Down to the barge"
about = "Level onto a path to a deck that moves away."
aircraft = "deck jet"
[start]
altitude_ft = 430.0
distance_nm = 1.3
[deck]
height_ft = 58.0
speed_kt = 12.0
zone_ft = 240.0
[[task]]
path = { slope_deg = 3.5, from_nm = 1.0, band_ft = 50.0, gates_nm = [0.7, 0.3] }
"#;

const RATE: &str = r#"
title = "Six hundred down"
about = "A vertical speed, then level."
aircraft = "deck jet"
[start]
altitude_ft = 1500.0
[[task]]
rate = { to_fpm = -600.0, band_fpm = 150.0, hold_s = 6.0, within_s = 40.0 }
[[task]]
rate = { to_fpm = 0.0, band_fpm = 150.0, hold_s = 6.0, within_s = 40.0 }
"#;

const SURPRISE: &str = r#"
title = "What comes next"
about = "Told one at a time."
aircraft = "deck jet"
[start]
altitude_ft = 1500.0
[[task]]
hold = { altitude_ft = 1500.0, band_ft = 60.0, seconds = 4.0 }
[[task]]
surprise = { count = 3, kinds = ["step", "rate"], low_ft = 1000.0, high_ft = 2000.0, max_fpm = 800.0, band_ft = 60.0, band_fpm = 200.0, hold_s = 5.0, within_s = 60.0 }
"#;

/// Levers by the leg: (seconds since its beginning, per cent). Recorded moves, so that a picture changes only with the screen
/// and the model.
type Moves = &'static [&'static [(f64, f64)]];

const PATH_MOVES: Moves = &[&[(4.4, 25.0), (9.4, 29.0), (20.4, 26.5), (23.2, 26.0)]];

const RATE_MOVES: Moves = &[
    &[
        (0.4, 20.0),
        (2.4, 23.5),
        (3.3, 28.0),
        (4.6, 31.0),
        (5.5, 32.5),
        (8.4, 31.5),
    ],
    &[
        (1.0, 48.0),
        (3.0, 45.0),
        (3.9, 39.5),
        (5.0, 35.0),
        (6.1, 34.0),
        (7.7, 35.5),
        (12.0, 36.5),
    ],
];

const SURPRISE_MOVES: Moves = &[
    &[],
    &[
        (0.6, 60.5),
        (2.5, 57.5),
        (3.4, 49.5),
        (4.4, 44.0),
        (6.6, 45.5),
        (7.7, 47.0),
        (12.6, 45.5),
        (13.6, 44.0),
        (14.6, 43.0),
        (19.5, 42.0),
    ],
    &[
        (1.3, 58.0),
        (3.3, 55.5),
        (4.4, 49.5),
        (5.2, 46.0),
        (6.5, 45.0),
        (7.4, 46.5),
        (8.1, 47.5),
    ],
    &[
        (0.7, 35.5),
        (2.5, 37.5),
        (3.7, 41.5),
        (4.5, 44.0),
        (5.7, 45.0),
        (7.4, 44.0),
    ],
];

fn drill(text: &str) -> Arc<Drill> {
    Arc::new(crate::flying::drill(text).unwrap())
}

/// A seat with a second flight that gets the same keys, so that the state of the first can be read from it.
struct Pilot {
    seat: Seat,
    shadow: Flight,
    moves: Moves,
    pressed_at: Duration,
}

impl Pilot {
    fn new(text: &str, moves: Moves, name: &str, size: (u16, u16), aids: Aids) -> Pilot {
        let drill = drill(text);
        let seat = Seat::before(vec![drill.clone()], name, size, MONO);
        Pilot::seated(seat, drill, moves, aids)
    }

    fn seated(mut seat: Seat, drill: Arc<Drill>, moves: Moves, aids: Aids) -> Pilot {
        let presses = [Aids::Full, Aids::Some, Aids::Bare]
            .iter()
            .position(|a| *a == aids);
        for _ in 0..presses.unwrap() {
            seat.key(KeyCode::Char('a'));
        }
        seat.key(KeyCode::Enter);
        seat.key(KeyCode::Enter);
        let mut pilot = Pilot {
            shadow: Flight::new(
                drill.clone(),
                7,
                Who::Person { releases: false },
                aids,
                seat.now,
            ),
            moves,
            pressed_at: Duration::ZERO,
            seat,
        };
        pilot.press(KeyCode::Char(' '));
        pilot
    }

    fn run(&self) -> &Run {
        self.shadow.run()
    }

    fn press(&mut self, code: KeyCode) {
        let key = crossterm::event::KeyEvent::new(code, crossterm::event::KeyModifiers::NONE);
        let done = action(Mode::Fly, &key).expect("a key of a flight");
        assert!(matches!(
            done,
            Action::Nudge(_) | Action::Set(_) | Action::Pause
        ));
        self.shadow.act(done, self.seat.now);
        self.seat.app.key(&key, self.seat.now);
        self.pressed_at = self.seat.now;
    }

    /// Advances by one frame; draws the screen too, since its scale follows the run.
    fn frame(&mut self) {
        self.seat.now += Duration::from_micros(15_625);
        self.shadow.advance(self.seat.now);
        self.seat.app.advance(self.seat.now);
        let Seat { app, terminal, .. } = &mut self.seat;
        if self.shadow.run().tick().is_multiple_of(4) {
            terminal.draw(|frame| app.draw(frame)).unwrap();
        }
    }

    /// Leaves the lever alone until a condition holds.
    fn wait_until(&mut self, is_so: impl Fn(&Run) -> bool) {
        for _ in 0..64 * 200 {
            if is_so(self.run()) {
                return;
            }
            self.frame();
        }
        panic!("it never came to that: {}", self.seat.text());
    }

    /// The wanted lever now; None if it is to stay.
    fn wanted(&self) -> Option<f64> {
        let run = self.run();
        let moves = self.moves.get(run.legs().len() - 1)?;
        let made = moves
            .iter()
            .rev()
            .find(|(at_s, _)| run.leg().time_s() >= *at_s);
        made.map(|(_, percent)| percent / 100.0)
    }

    /// Presses the keys that bring the lever to the wanted setting, until a condition holds.
    fn fly_until(&mut self, is_so: impl Fn(&Run) -> bool) {
        for _ in 0..64 * 200 {
            if is_so(self.run()) {
                return;
            }
            let wanted = self.wanted();
            let off = wanted.map_or(0.0, |wanted| wanted - self.shadow.wanted());
            // Ten keys a second, as a person taps; quicker would count as a held key.
            if self.seat.now - self.pressed_at >= Duration::from_millis(100) {
                match off {
                    off if off > 0.004 => self.press(KeyCode::Up),
                    off if off < -0.004 => self.press(KeyCode::Down),
                    off if off > 0.001 => self.press(KeyCode::Right),
                    off if off < -0.001 => self.press(KeyCode::Left),
                    _ => {}
                }
            }
            self.frame();
        }
        panic!("it never came to that: {}", self.seat.text());
    }

    /// Checks that a page which may need scrolling shows all of some texts, from the present position down.
    fn reads(&mut self, wanted: &[&str]) {
        let mut all = self.seat.text();
        for _ in 0..60 {
            self.seat.key(KeyCode::Down);
            all += &self.seat.text();
        }
        for wanted in wanted {
            assert!(all.contains(wanted), "no {wanted:?} in\n{all}");
        }
    }

    fn shows(&mut self, wanted: &[&str]) {
        let text = self.seat.text();
        for wanted in wanted {
            assert!(text.contains(wanted), "no {wanted:?} in\n{text}");
        }
    }
}

/// Distance to the aim point of the path being flown, nautical miles, and time to it, s.
fn to_go(run: &Run) -> (f64, f64) {
    let Kind::Path(path) = &run.leg().kind else {
        panic!("no path")
    };
    let state = run.world().state();
    let distance_m = path.glide.distance_m(state, run.tick());
    (
        distance_m / 1852.0,
        distance_m / path.glide.closure_mps(state),
    )
}

fn is_down(run: &Run) -> bool {
    run.leg().approach.touchdown.is_some()
}

macro_rules! snap {
    ($pilot:expr, $what:literal, $name:expr) => {
        insta::assert_snapshot!(format!("{}_{}", $what, $name), $pilot.seat.text())
    };
}

#[test]
fn a_path_from_level_to_the_deck() {
    for (size, name) in [(SMALL, "80x24"), (LARGE, "140x40")] {
        let mut pilot = Pilot::new(PATH, PATH_MOVES, &format!("path-{name}"), size, Aids::Full);
        pilot.fly_until(|run| run.time_s() >= 3.0);
        pilot.shows(&["430 ft", "scored, 430 ft in", "3.5 degree path", "below"]);
        snap!(pilot, "path_before", name);
        pilot.fly_until(|run| to_go(run).0 <= 0.82);
        pilot.shows(&["318 ft in", "s, 0.82 nm to go", "sink ", " path "]);
        snap!(pilot, "path_on_it", name);
        pilot.fly_until(|run| to_go(run).0 <= 0.699);
        pilot.shows(&["169 ft in", "318 ft"]);
        snap!(pilot, "path_at_a_gate", name);
        pilot.fly_until(|run| to_go(run).1 <= 4.0);
        pilot.shows(&["deck 58 ft in 4 s", "4 s, 0."]);
        snap!(pilot, "path_near_the_deck", name);
        pilot.fly_until(is_down);
        pilot.wait_until(|run| run.time_s() - run.leg().approach.touchdown.unwrap().t_s > 0.5);
        pilot.shows(&["the aim point", "full power now"]);
        snap!(pilot, "path_down", name);
        pilot.press(KeyCode::Home);
        pilot.wait_until(|run| run.leg().approach.full_power_tick.is_some());
        for _ in 0..4 {
            pilot.frame();
        }
        pilot.shows(&["the aim point", "full power after"]);
        pilot.wait_until(|run| run.end().is_some());
        pilot.seat.settle();
        snap!(pilot, "path_debrief", name);
        pilot.reads(&[
            "in the zone",
            "aim point at",
            "Down on the deck at",
            "gate  0.70 nm   318 ft   flown   326 ft    +7 ft",
            "gate  0.30 nm   169 ft   flown",
        ]);
    }
}

#[test]
fn near_the_deck_on_the_largest_screen_and_in_ascii() {
    for (size, theme, name) in [(VAST, MONO, "200x60"), (SMALL, ASCII, "80x24_ascii")] {
        let drill = drill(&PATH.replace("zone_ft = 240.0", "zone_ft = 240.0\nheave_ft = 6.0"));
        let seat = Seat::before(vec![drill.clone()], &format!("near-{name}"), size, theme);
        let mut pilot = Pilot::seated(seat, drill, PATH_MOVES, Aids::Full);
        pilot.fly_until(|run| to_go(run).1 <= 4.0);
        pilot.shows(&["deck 58 ft in 4 s", "sink ", " path "]);
        assert!(theme.unicode || pilot.seat.text().is_ascii());
        snap!(pilot, "path_near_the_deck", name);
    }
}

/// In a fast climb, and with the degree spelt out, it still ends in the engine's per cent.
#[test]
fn the_row_of_numbers_is_whole_at_80_columns() {
    for theme in [MONO, ASCII] {
        let mut seat = Seat::before(vec![drill(PATH)], "whole-row", SMALL, theme);
        seat.keys(2, KeyCode::Enter);
        seat.keys(1, KeyCode::Char(' '));
        seat.keys(1, KeyCode::Char('9'));
        let mut was_slow = false;
        for _ in 0..20 {
            seat.wait(0.5);
            let text = seat.text();
            let row = text.lines().find(|line| line.contains("sink ")).unwrap();
            assert!(row.ends_with(" %") && row.contains("engine "), "{row}");
            was_slow |= row.contains("slow ") || row.contains("fast ");
        }
        assert!(was_slow);
    }
}

#[test]
fn the_deck_rises_and_falls_below_the_scope() {
    let heaves = PATH.replace(
        "zone_ft = 240.0",
        "zone_ft = 240.0\nheave_ft = 6.0\nheave_period_s = 10.0",
    );
    for (size, name) in [(SMALL, "80x24"), (LARGE, "140x40")] {
        let mut pilot = Pilot::new(
            &heaves,
            PATH_MOVES,
            &format!("swell-{name}"),
            size,
            Aids::Full,
        );
        for (at_s, deck) in [(12.5, "+6 ft │"), (15.0, " +0 ft │"), (17.5, "-6 ft │")] {
            pilot.fly_until(|run| run.time_s() >= at_s - 0.01);
            pilot.shows(&["deck │", deck]);
        }
        snap!(pilot, "path_swell", name);
        // The forecast is an aid: with it there are dots to the right of now.
        let ahead = |pilot: &mut Pilot| {
            let text = pilot.seat.text();
            let row = text.lines().find(|row| row.contains("deck │")).unwrap();
            let from = 8 + (usize::from(size.0) - 8) * 2 / 3 + 2;
            let ahead: String = row.chars().skip(from).take(20).collect();
            ahead
                .chars()
                .any(|c| ('\u{2801}'..='\u{28ff}').contains(&c))
        };
        assert!(ahead(&mut pilot));
        let mut bare = Pilot::new(
            &heaves,
            PATH_MOVES,
            &format!("swell-some-{name}"),
            size,
            Aids::Some,
        );
        bare.fly_until(|run| run.time_s() >= 7.0);
        bare.shows(&["deck │"]);
        assert!(!ahead(&mut bare));
    }
}

#[test]
fn a_call_for_a_go_around_is_said_once_in_words() {
    for (size, name) in [(SMALL, "80x24"), (LARGE, "140x40")] {
        let mut pilot = Pilot::new(PATH, PATH_MOVES, &format!("call-{name}"), size, Aids::Full);
        pilot.fly_until(|run| to_go(run).0 <= 0.5);
        assert!(!pilot.seat.text().contains("go around"));
        pilot.press(KeyCode::Char('1'));
        pilot.wait_until(|run| run.leg().approach.called.is_some());
        pilot.frame();
        pilot.frame();
        pilot.frame();
        pilot.frame();
        assert_eq!(pilot.seat.text().matches("go around").count(), 1);
        pilot.shows(&[": go around", "full power (home) within "]);
        snap!(pilot, "path_call", name);
        pilot.press(KeyCode::Home);
        pilot.wait_until(|run| run.lever() >= 0.98);
        for _ in 0..4 {
            pilot.frame();
        }
        pilot.shows(&[": go around", "full power is set: leave it there"]);
        pilot.wait_until(|run| run.end().is_some());
        pilot.seat.settle();
        pilot.shows(&["debrief"]);
        snap!(pilot, "path_call_debrief", name);
        pilot.reads(&["Gone around as called"]);
    }
}

/// The time left in the words of a call, s; None without any.
fn time_left(screen: &str) -> Option<f64> {
    let call = screen
        .lines()
        .find(|line| line.contains("full power (home) "));
    let (_, after) = call.expect("a call").split_once("full power (home) ")?;
    let Some(after) = after.strip_prefix("within ") else {
        assert!(after.starts_with("at once"), "{screen}");
        return None;
    };
    let (seconds, _) = after.split_once(" s").expect("a count of seconds");
    Some(seconds.parse().expect("a number"))
}

/// If only going around at once would have been better, the axis of the lever has room for it.
#[test]
fn full_power_at_once_is_in_the_picture_of_what_was_better() {
    let drill = include_str!("../../../drills/no-room-left.toml");
    let mut pilot = Pilot::new(drill, &[], "around-better", SMALL, Aids::Full);
    pilot.fly_until(|run| run.end().is_some());
    pilot.seat.settle();
    let text = pilot.seat.text();
    assert!(text.contains("better from"), "{text}");
    let lines: Vec<&str> = text.lines().collect();
    let lever = lines.iter().position(|line| line.starts_with(" lever "));
    let top = lines[lever.expect("a picture of the lever") - 1];
    assert!(top.starts_with(" 100 % "), "{text}");
}

/// A call holds to the end, but its reason is no longer shown once it is untrue.
#[test]
fn what_a_call_was_for_is_told_as_long_as_it_is_so() {
    let drill = include_str!("../../../drills/no-room-left.toml");
    let mut pilot = Pilot::new(drill, &[], "called-once", SMALL, Aids::Full);
    pilot.wait_until(|run| run.leg().approach.called.is_some());
    assert!(pilot.seat.text().contains("too low: go around"));
    pilot.press(KeyCode::Char('6'));
    pilot.wait_until(|run| !run.leg().approach.is_still_called_for());
    let text = pilot.seat.text();
    assert!(text.contains("go around, as called"), "{text}");
    assert!(!text.contains("too low"), "{text}");
}

#[test]
fn the_time_left_for_a_go_around_is_counted_down_to_none() {
    // Too little power for a while is called too low; no power at all is called sinking first.
    for (from_nm, key, why) in [
        (0.7, KeyCode::Char('2'), "too low"),
        (0.5, KeyCode::End, "sinking too fast"),
    ] {
        let mut pilot = Pilot::new(
            PATH,
            PATH_MOVES,
            &format!("count-{from_nm}"),
            SMALL,
            Aids::Full,
        );
        pilot.fly_until(|run| to_go(run).0 <= from_nm);
        pilot.press(key);
        pilot.wait_until(|run| run.leg().approach.called.is_some());
        let mut counts = Vec::new();
        while !is_down(pilot.run()) && pilot.run().end().is_none() {
            let text = pilot.seat.text();
            assert!(text.contains(why), "{text}");
            counts.push(time_left(&text));
            // The time shown is true: the run itself says how long full power can wait.
            let truth = pilot
                .run()
                .go_around_left_s(5.0)
                .filter(|left_s| *left_s > 0.0);
            assert_eq!(counts.last().unwrap().is_some(), truth.is_some(), "{text}");
            if let (Some(told), Some(truth)) = (counts.last().unwrap(), truth) {
                assert!((told - truth).abs() <= 0.051, "{truth} in {text}");
            }
            pilot.frame();
        }
        let left = |count: &Option<f64>| count.unwrap_or(0.0);
        assert!(left(&counts[0]) > 1.0, "the call comes in time: {counts:?}");
        assert!(left(&counts[0]) <= 5.0, "{counts:?}");
        let falls = |pair: &[Option<f64>]| left(&pair[1]) <= left(&pair[0]);
        assert!(counts.windows(2).all(falls), "{counts:?}");
        assert!(counts.last().unwrap().is_none(), "at once: {counts:?}");
        let mut steps: Vec<f64> = counts.iter().map(left).collect();
        steps.dedup();
        assert!(steps.len() >= 5, "it is a count: {steps:?}");
    }
}

#[test]
fn without_aids_a_path_tells_its_gates_and_draws_no_band() {
    let mut shown = [Aids::Full, Aids::Bare].map(|aids| {
        let mut pilot = Pilot::new(PATH, PATH_MOVES, &format!("bare-{aids:?}"), SMALL, aids);
        pilot.fly_until(|run| to_go(run).0 <= 0.82);
        pilot
    });
    let [full, bare] = &mut shown;
    full.shows(&["100 %", "path │", "inside,", "318 ft"]);
    bare.shows(&["aids bare", "318 ft in"]);
    let text = bare.seat.text();
    for banned in ["100 %", "path │", "inside", "level"] {
        assert!(!text.contains(banned), "{banned} in\n{text}");
    }
    // The band's edges make rows of dots all along the picture; without it there are posts and the trace.
    let dots = |text: &str| {
        text.chars()
            .filter(|c| ('\u{2801}'..='\u{28ff}').contains(c))
            .count()
    };
    assert!(dots(&text) * 2 < dots(&full.seat.text()), "{text}");
    snap!(bare, "path_bare", "80x24");
}

#[test]
fn rates_have_vertical_speed_up_the_side() {
    for (size, name) in [(SMALL, "80x24"), (LARGE, "140x40")] {
        let mut pilot = Pilot::new(RATE, RATE_MOVES, &format!("rate-{name}"), size, Aids::Full);
        pilot.fly_until(|run| run.leg().task == 0 && run.leg().stay_s() > 3.0);
        pilot.shows(&["go to -600 ft/min", "inside, ", "stay 3.0/6 s", "-600 │"]);
        snap!(pilot, "rate", name);
        pilot.fly_until(|run| run.end().is_some());
        pilot.seat.settle();
        snap!(pilot, "rate_debrief", name);
        pilot.reads(&["2 of 2 captured"]);
    }
}

#[test]
fn a_surprise_is_told_only_when_it_begins() {
    for (size, name) in [(SMALL, "80x24"), (LARGE, "140x40")] {
        let mut pilot = Pilot::new(
            SURPRISE,
            SURPRISE_MOVES,
            &format!("surprise-{name}"),
            size,
            Aids::Full,
        );
        pilot.fly_until(|run| run.time_s() > 3.5);
        let drawn = {
            let mut run = pilot.run().clone();
            while run.legs().len() < 2 {
                run.fly();
            }
            leveloff::tui::screens::words::task_name(&run.leg().kind)
        };
        let number = drawn.split(' ').nth(1).unwrap().to_string();
        assert!(
            !pilot.seat.text().contains(&number),
            "{number} is not told yet"
        );
        snap!(pilot, "surprise_before", name);
        pilot.fly_until(|run| run.legs().len() == 2 && run.leg().progress.ticks > 64);
        pilot.shows(&["1 of 3  ", &number]);
        snap!(pilot, "surprise", name);
        pilot.fly_until(|run| run.end().is_some());
        pilot.seat.settle();
        let asked = drawn.rsplit_once(' ').unwrap().0;
        snap!(pilot, "surprise_debrief", name);
        let column = match size == LARGE {
            true => format!("2.1 {asked}"),
            false => "2.1  ".to_string(),
        };
        pilot.reads(&["the surprise: 3 tasks drawn", &column]);
    }
}

/// A path that comes into sight late: until then nothing shows the deviation; then everything does, with a message. The score is
/// the same. While watching a hand the path is visible all the way.
#[test]
fn a_path_comes_into_sight_where_the_drill_says() {
    let late = PATH.replace(
        "gates_nm = [0.7, 0.3]",
        "gates_nm = [0.7, 0.3], show_nm = 0.5",
    );
    let hidden = [
        "100 %", "path │", "inside,", "outside,", "path   7", "318 ft, ", "in reach",
    ];
    for (size, name) in [(SMALL, "80x24"), (LARGE, "140x40")] {
        let mut pilot = Pilot::new(&late, PATH_MOVES, &format!("late-{name}"), size, Aids::Full);
        pilot.fly_until(|run| to_go(run).0 <= 0.6);
        pilot.shows(&[
            "path out of sight until 0.5 nm",
            "318 ft",
            "nm to go",
            "sink ",
        ]);
        let text = pilot.seat.text();
        for told in hidden {
            assert!(!text.contains(told), "{told} in\n{text}");
        }
        snap!(pilot, "path_out_of_sight", name);
        pilot.fly_until(|run| to_go(run).0 <= 0.495);
        pilot.shows(&[
            "the path is in sight",
            "ft above it",
            "100 %",
            "path │",
            "path   7",
        ]);
        snap!(pilot, "path_in_sight", name);
        pilot.fly_until(|run| run.end().is_some());
        let mut seen = Pilot::new(PATH, PATH_MOVES, &format!("seen-{name}"), size, Aids::Full);
        seen.fly_until(|run| run.end().is_some());
        let score = |pilot: &Pilot| {
            let task = leveloff::score::score(pilot.run()).tasks.remove(0);
            (task.points, task.cost, task.figures)
        };
        assert_eq!(pilot.run().digest(), seen.run().digest());
        assert_eq!(score(&pilot), score(&seen));
    }
    let mut seat = Seat::before(vec![drill(&late)], "late-watched", SMALL, MONO);
    seat.key(KeyCode::Enter);
    assert!(seat.text().contains("path"), "{}", seat.text());
    seat.key(KeyCode::Char('w'));
    seat.key(KeyCode::Enter);
    seat.until("space begins");
    seat.key(KeyCode::Char(' '));
    assert!(seat.text().contains("100 %"), "{}", seat.text());
}
