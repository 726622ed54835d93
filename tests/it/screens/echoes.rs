//! Another run beside one's own: how the two are aligned, and how it looks.

use std::sync::Arc;
use std::time::{Duration, Instant};

use crossterm::event::KeyCode;
use leveloff::drill::{Drill, Skill, Target, library};
use leveloff::hands::steady::Traits;
use leveloff::hands::{self, Brief, Hand, Script, Sight, Steady};
use leveloff::logbook::Logbook;
use leveloff::run::Run;
use leveloff::run::recording::HandName;
use leveloff::tui::echo::Beside;
use leveloff::tui::echo::{Echo, EchoChoice};
use leveloff::tui::job::Wanted;
use leveloff::tui::widgets::measure::Measure;
use ratatui::style::Color;

use crate::flying::{self, shipped};
use crate::folder::Folder;
use crate::kept::lay_pars;

use super::{ASCII, HeldUp, LARGE, LIMIT, MONO, NAMED, SMALL, Seat, at_every_size};

const SURPRISE: &str = r#"
title = "What comes next"
about = "Told one at a time."
aircraft = "first jet"
[start]
altitude_ft = 1500.0
[[task]]
surprise = { count = 3, kinds = ["step", "rate"], low_ft = 1000.0, high_ft = 2000.0, max_fpm = 800.0, band_ft = 60.0, band_fpm = 200.0, hold_s = 5.0, within_s = 60.0 }
"#;

fn steady(drill: &Arc<Drill>, seed: u64) -> Run {
    hands::fly(drill.clone(), seed, &mut Steady::new(drill))
}

/// The same person on a slow day: every step takes longer.
fn slower(drill: &Arc<Drill>) -> Run {
    let traits = Traits {
        haste: 0.7,
        reaction_ticks: (50, 50),
        ..Traits::default()
    };
    hands::fly(drill.clone(), 0, &mut Steady::with(drill, traits))
}

#[test]
fn a_run_is_its_own_echo() {
    for id in ["quarry-stair", "gates-by-heart", "a-rate-and-no-more"] {
        let own = steady(&shipped(id), 0);
        let echo = Echo::of("own", &own);
        for leg in own.legs() {
            let measure = Measure::of(&leg.target);
            // The very last tick of a leg begins the next one.
            for tick in leg.start..leg.end.unwrap() {
                let point = own.trace().at(tick as usize);
                let value = echo.value(measure, &own, tick);
                assert_eq!(
                    value,
                    Some(measure.value(&leg.target, &point.state, tick)),
                    "{id} {tick}"
                );
            }
        }
    }
}

/// The echo shows the future: within the current task, and beyond its end once the next one is announced.
#[test]
fn the_echo_runs_ahead_into_the_task_that_is_announced() {
    let drill = shipped("quarry-stair");
    let whole = steady(&drill, 0);
    let echo = Echo::of("whole", &whole);
    let hold_ends = whole.legs()[0].end.unwrap();
    let ahead = |own: &Run| {
        (own.tick()..own.tick() + 20 * 64)
            .map(|tick| echo.value(Measure::Altitude, own, tick))
            .collect::<Vec<_>>()
    };
    let mut own = Run::new(drill, 0);
    let mut script = Script::new(whole.log().to_vec());
    while own.tick() + 5 * 64 < hold_ends {
        if own.tick() + 9 * 64 == hold_ends {
            let beyond = &ahead(&own)[9 * 64 + 1..];
            assert!(beyond.iter().all(Option::is_none), "not announced yet");
        }
        if let Some(lever) = script.lever(&Sight::of(&own)) {
            own.set_lever(lever);
        }
        own.fly();
    }
    let expected: Vec<_> = (own.tick()..own.tick() + 20 * 64)
        .map(|tick| {
            let state = whole.trace().state(tick as usize);
            Some(Measure::Altitude.value(&whole.leg().target, state, tick))
        })
        .collect();
    assert_eq!(ahead(&own), expected);
}

#[test]
fn tasks_begin_together_and_time_runs_alike_within_them() {
    let drill = shipped("quarry-stair");
    let (own, other) = (slower(&drill), steady(&drill, 0));
    let echo = Echo::of("other", &other);
    let mut apart = 0;
    for (mine, theirs) in own.legs().iter().zip(other.legs()) {
        let measure = Measure::of(&mine.target);
        let (length, theirs_long) = (
            mine.end.unwrap() - mine.start,
            theirs.end.unwrap() - theirs.start,
        );
        for since in (0..length).step_by(16) {
            let value = echo.value(measure, &own, mine.start + since);
            let expected = (since <= theirs_long).then(|| {
                let tick = theirs.start + since;
                measure.value(&mine.target, other.trace().state(tick as usize), tick)
            });
            assert_eq!(
                value, expected,
                "leg of task {}, {since} ticks on",
                mine.task
            );
        }
        apart += mine.start.abs_diff(theirs.start);
    }
    assert!(
        apart > 64,
        "the two runs drift apart, or this shows nothing"
    );
}

#[test]
fn on_a_path_the_echo_is_what_it_was_at_the_same_distance() {
    let still = shipped("gates-by-heart");
    let text = format!("{}\n[air]\nheadwind_kt = 10\n", still.text);
    let windy = flying::drill(&text).unwrap();
    let (own, other) = (steady(&still, 0), steady(&Arc::new(windy), 0));
    let echo = Echo::of("other", &other);
    let leg = own.leg();
    let Target::Path(glide) = leg.target else {
        panic!("a path")
    };
    let distance_m =
        |run: &Run, tick: u64| glide.distance_m(run.trace().state(tick as usize), tick);
    let mut seen = 0;
    for tick in (leg.start..leg.end.unwrap()).step_by(64) {
        let there_m = distance_m(&own, tick);
        let Some(beside) = (0..=other.tick()).find(|tick| distance_m(&other, *tick) <= there_m)
        else {
            continue;
        };
        let measure = Measure::Share;
        let point = other.trace().at(beside as usize);
        let expected = measure.value(&Target::Path(glide), &point.state, beside);
        assert_eq!(
            echo.value(measure, &own, tick),
            Some(expected),
            "{there_m} m"
        );
        seen += u32::from(beside.abs_diff(tick) > 256);
    }
    assert!(
        seen > 60,
        "the two runs are seconds apart all the way: {seen}"
    );
}

#[test]
fn where_something_else_was_asked_for_there_is_no_echo() {
    let drill = Arc::new(flying::drill(SURPRISE).unwrap());
    let own = steady(&drill, 1);
    let second = steady(&drill, 2);
    let (same, other) = (Echo::of("own", &own), Echo::of("other", &second));
    let tick = own.leg().start + 64;
    let measure = Measure::of(&own.leg().target);
    assert!(same.is_asked_alike(&own) && same.value(measure, &own, tick).is_some());
    assert!(!other.is_asked_alike(&own));
    assert_eq!(other.value(measure, &own, tick), None);
}

#[test]
fn the_key_goes_round_and_offers_an_earlier_run_only_where_there_is_one() {
    let round = |earlier: bool| {
        let mut choice = EchoChoice::Off;
        let mut words = Vec::new();
        for _ in 0..5 {
            choice = choice.next(earlier);
            words.push(choice.word());
        }
        words
    };
    assert_eq!(round(false), ["par", "brief", "best", "off", "par"]);
    assert_eq!(round(true), ["par", "brief", "best", "earlier", "off"]);
}

#[test]
fn par_is_drawn_faintly_beside_ones_own_run() {
    for (size, theme, name) in [
        (SMALL, MONO, "80x24"),
        (LARGE, MONO, "140x40"),
        (SMALL, ASCII, "80x24_ascii"),
    ] {
        let mut seat = Seat::new(&format!("echo-{name}"), size, theme);
        lay_pars(&seat.folder);
        let mut listed: Vec<Drill> = library::DRILLS.iter().map(|d| d.drill().unwrap()).collect();
        listed.sort_by_key(Skill::of);
        let stair = listed.iter().position(|d| d.id == "quarry-stair");
        seat.keys(stair.unwrap(), KeyCode::Down);
        seat.key(KeyCode::Enter);
        seat.key(KeyCode::Enter);
        assert!(!seat.text().contains(" par"), "off until it is asked for");
        seat.key(KeyCode::Char('e'));
        seat.until(if theme.unicode {
            "╌╌ par"
        } else {
            "-- par"
        });
        seat.key(KeyCode::Char(' '));
        seat.wait(14.0);
        seat.keys(8, KeyCode::Down);
        seat.wait(9.0);
        assert!(theme.unicode || seat.text().is_ascii());
        insta::assert_snapshot!(format!("echo_{name}"), seat.text());
    }
}

#[test]
fn an_echo_disturbs_nothing_else_on_the_screen() {
    let mut with = Seat::new("echo-with", SMALL, NAMED);
    let mut without = Seat::new("echo-without", SMALL, NAMED);
    lay_pars(&with.folder);
    for seat in [&mut with, &mut without] {
        seat.on_the_stair(6.0);
        seat.key(KeyCode::Char(' '));
    }
    with.key(KeyCode::Char('e'));
    with.until("╌╌ par");
    let (with, without) = (with.buffer(), without.buffer());
    let mut dashes = 0;
    for (x, y) in (0..SMALL.0).flat_map(|x| (0..SMALL.1).map(move |y| (x, y))) {
        let (cell, before) = (&with[(x, y)], &without[(x, y)]);
        if cell != before {
            assert_eq!(before.symbol(), " ", "only empty cells change: {x}, {y}");
            assert_eq!(cell.fg, Color::Green, "and only to the echo");
            dashes += 1;
        }
    }
    assert!(dashes > 10, "{dashes} cells of echo");
}

#[test]
fn best_is_there_when_it_has_been_worked_out() {
    let mut seat = Seat::new("echo-best", SMALL, MONO);
    seat.open("Down the quarry stair");
    seat.key(KeyCode::Char('e'));
    assert!(seat.text().contains("echo par"), "{}", seat.text());
    seat.key(KeyCode::Char('e'));
    assert!(seat.text().contains("echo brief"));
    seat.key(KeyCode::Char('e'));
    assert!(seat.text().contains("echo best"));
    seat.key(KeyCode::Enter);
    seat.until("╌╌ best");
    assert!(!seat.text().contains("worked out"));
    assert!(!seat.app.is_moving(), "and then nothing is left to do");
}

/// Waits, in real time, until an echo is there or unavailable.
fn wait_for(echo: &mut Beside) {
    let since = Instant::now();
    while echo.is_coming() {
        assert!(since.elapsed() < LIMIT, "{:?}", echo.told());
        echo.advance();
        std::thread::sleep(Duration::from_millis(1));
    }
}

/// Checks that an echo is a run: both are at the same place at every tick.
fn assert_is(echo: &Beside, run: &Run) {
    let trace = echo.echo().expect("an echo");
    for leg in run.legs() {
        let measure = Measure::of(&leg.target);
        for tick in leg.start..leg.end.unwrap() {
            let own = measure.value(&leg.target, run.trace().state(tick as usize), tick);
            let beside = trace.value(measure, run, tick);
            assert_eq!(beside, Some(own), "{} at {tick}", trace.name);
        }
    }
}

#[test]
fn the_echoes_of_the_brief_and_of_par_are_their_hands_runs() {
    let drill = shipped("catch-the-sink");
    let folder = Folder::new();
    let logbook = Logbook::at(folder.join("data"));
    let brief = hands::fly(drill.clone(), 3, &mut Brief::new(&drill));
    let mut echo = Beside::ask(
        EchoChoice::Brief,
        Some(Wanted::Hand(HandName::Brief, drill.clone(), 3)),
    );
    wait_for(&mut echo);
    assert_is(&echo, &brief);

    let pars = logbook.pars(&drill, 3, &mut |_| {});
    let steady = hands::fly(drill.clone(), 3, &mut Script::new(pars.steady));
    assert_ne!(steady.digest(), brief.digest(), "or this shows nothing");
    let mut echo = Beside::ask(EchoChoice::Par, Some(Wanted::Par(logbook, drill, 3)));
    wait_for(&mut echo);
    assert_is(&echo, &steady);
}

#[test]
fn the_brief_can_be_flown_against() {
    let mut seat = Seat::new("echo-brief", SMALL, MONO);
    seat.on_the_stair(2.0);
    seat.key(KeyCode::Char(' '));
    seat.key(KeyCode::Char('e'));
    seat.until("╌╌ par");
    seat.key(KeyCode::Char('e'));
    let text = seat.text();
    assert!(!text.contains("╌╌ par"), "{text}");
    seat.until("╌╌ brief");
}

#[test]
fn what_is_on_its_way_says_so_until_it_is_there() {
    let folder = Folder::new();
    let logbook = Logbook::at(folder.join("data"));
    let wanted = Wanted::Best(logbook, shipped("catch-the-sink"), 3);
    let held_up = HeldUp::new();
    let mut echo = Beside::ask(EchoChoice::Best, Some(wanted));
    assert!(echo.is_coming() && echo.echo().is_none());
    assert_eq!(echo.told().unwrap(), "best is being worked out");
    drop(held_up);
    wait_for(&mut echo);
    assert_eq!(echo.told(), None);
    assert_eq!(echo.echo().unwrap().name, "best");

    let none = Beside::ask(EchoChoice::Earlier, None);
    assert_eq!(none.told().unwrap(), "no echo: there is no earlier run");
}

#[test]
fn an_earlier_run_can_be_flown_against_once_there_is_one() {
    let text = "title = \"Short\"\nabout = \"A hold.\"\naircraft = \"first jet\"\n[start]\naltitude_ft = 1000\n\
                [[task]]\nhold = { altitude_ft = 1000, band_ft = 40, seconds = 8 }\n";
    let drill = flying::drill(text).unwrap();
    let mut seat = Seat::before(vec![Arc::new(drill)], "earlier", SMALL, MONO);
    seat.key(KeyCode::Enter);
    seat.keys(4, KeyCode::Char('e'));
    assert!(seat.text().contains("echo off"), "there is no run yet");
    seat.key(KeyCode::Enter);
    seat.key(KeyCode::Up);
    seat.wait(3.0);
    seat.key(KeyCode::Char('q'));
    seat.key(KeyCode::Esc);
    seat.key(KeyCode::Enter);
    seat.keys(4, KeyCode::Char('e'));
    assert!(seat.text().contains("echo off"), "a run broken off is none");
    seat.key(KeyCode::Enter);
    seat.key(KeyCode::Up);
    seat.wait(9.0);
    assert!(seat.text().contains("debrief"), "{}", seat.text());
    seat.key(KeyCode::Esc);
    seat.key(KeyCode::Enter);
    seat.keys(4, KeyCode::Char('e'));
    assert!(seat.text().contains("echo earlier"));
    seat.key(KeyCode::Enter);
    seat.until("╌╌ earlier");

    // If its recording is gone the flight says so and goes on.
    let logbook = seat.logbook();
    for entry in logbook.entries().unwrap().entries {
        let file = seat.folder.join("runs").join(format!("{}.json", entry.id));
        std::fs::remove_file(file).unwrap();
    }
    seat.key(KeyCode::Char('r'));
    seat.until("no echo: ");
    seat.key(KeyCode::Char(' '));
    seat.wait(1.0);
    assert!(seat.text().contains("0:01"), "{}", seat.text());
}

#[test]
fn every_size_has_room_for_an_echo_or_asks_for_room() {
    let mut seat = Seat::new("echo-sizes", SMALL, MONO);
    lay_pars(&seat.folder);
    seat.on_the_stair(6.0);
    seat.key(KeyCode::Char('e'));
    seat.until("╌╌ par");
    at_every_size(&mut seat, "╌╌ par");
}
