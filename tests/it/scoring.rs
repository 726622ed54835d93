//! Figures, costs and points: small runs whose figures are known beforehand. In `second`, a second implementation of every
//! definition, compared over many flights. In `par`, points by best and par computed again.
//!
//! No published source: the scoring is our own; its definitions stand in `Metric`'s table.

mod fair;
mod par;
mod second;
mod told;

use std::sync::Arc;

use super::flying::{aircraft, close, drill, of_tasks};
use leveloff::drill::parse::AircraftText;
use leveloff::drill::reader::Source;
use leveloff::drill::{Drill, Kind, Progress, Verdict, library, parse};
use leveloff::hands::{self, Script, Steady};
use leveloff::run::{End, Run};
use leveloff::score::{self, Figure, Key, Score, TaskScore};
use leveloff::sim::dynamics::State;
use leveloff::sim::trim;
use leveloff::sim::world::Fault;
use leveloff::units::{DEG, FPM, FT, TICK_S};

fn figure(task: &TaskScore, key: Key) -> f64 {
    task.number(key)
        .unwrap_or_else(|| panic!("{key:?} is no number in {task:?}"))
}

/// A drill in the deck jet: the start's lines, the tasks' lines.
fn deck(start: &str, tasks: &[&str]) -> Arc<Drill> {
    of_tasks("deck jet", start, tasks)
}

fn scripted(drill: &Arc<Drill>, rows: &[(u64, u16)]) -> (Run, Score) {
    let run = hands::fly(drill.clone(), 1, &mut Script::new(rows.to_vec()));
    let score = score::score(&run);
    (run, score)
}

// Small runs whose figures are known beforehand.

#[test]
fn level_flight_beside_the_number() {
    let drill = deck(
        "altitude_ft = 1500",
        &["hold = { altitude_ft = 1510, band_ft = 25, seconds = 20 }"],
    );
    let (run, score) = scripted(&drill, &[]);
    assert_eq!((run.end(), run.tick()), (Some(End::Complete), 20 * 64));
    let task = &score.tasks[0];
    close("rms", figure(task, Key::RmsFt), 10.0, 1e-6);
    close("bias", figure(task, Key::BiasFt), -10.0, 1e-6);
    close("scatter", figure(task, Key::ScatterFt), 0.0, 1e-6);
    assert_eq!(figure(task, Key::InBand), 1.0);
    assert_eq!(figure(task, Key::LeverTravel), 0.0);
    assert_eq!(figure(task, Key::LeverReversals), 0.0);
    close("alpha", figure(task, Key::AlphaErrorDeg), 0.0, 1e-9);
    close("speed", figure(task, Key::SpeedWanderKt), 0.0, 1e-9);
    close("cost", task.cost.unwrap().total(), 10.0, 1e-6);
    // 100 at 0 ft, 0 at the band of 25 ft.
    close("points", task.points.unwrap(), 60.0, 1e-5);
    assert_eq!((task.start_s, task.end_s), (Some(0.0), Some(20.0)));
    assert_eq!(score.points, task.points);
    assert!(score.complete);
    assert_eq!(task.figure(Key::Captured), None, "a hold captures nothing");
}

#[test]
fn lever_travel_and_reversals_as_counted_by_hand() {
    // From the unrounded start: +-1.5 % gives a direction, and a turn is 1.5 % back from the farthest point.
    let drill = deck(
        "altitude_ft = 1500",
        &["hold = { altitude_ft = 1500, band_ft = 400, seconds = 10 }"],
    );
    let start = drill.start_lever();
    assert!((0.37..0.39).contains(&start));
    let cases: [(&[u16], f64); 7] = [
        (&[], 0.0),
        (&[400, 390, 410, 396], 0.0), // up; back by 1.0, 1.4: no turn
        (&[400, 390, 410, 395], 1.0), // back by 1.5 exactly
        (&[410, 395, 380, 394], 1.0), // down from 410; 1.4 up from 380 is none
        (&[410, 395, 380, 395], 2.0), // 1.5 up from 380
        (&[385, 375, 385, 375, 385], 0.0), // never 1.5 from the first value
        (&[300, 500, 300, 500, 300], 4.0),
    ];
    for (moves, turns) in cases {
        let rows: Vec<(u64, u16)> = moves
            .iter()
            .enumerate()
            .map(|(i, m)| (64 * (1 + i as u64), *m))
            .collect();
        let (_, score) = scripted(&drill, &rows);
        let mut last = start;
        let mut travel = 0.0;
        for &lever in moves {
            travel += 100.0 * (f64::from(lever) / 1000.0 - last).abs();
            last = f64::from(lever) / 1000.0;
        }
        close(
            "travel",
            figure(&score.tasks[0], Key::LeverTravel),
            travel,
            1e-9,
        );
        assert_eq!(
            figure(&score.tasks[0], Key::LeverReversals),
            turns,
            "{moves:?}"
        );
    }
}

#[test]
fn a_move_with_the_first_tick_of_a_task_belongs_to_it() {
    let hold = "hold = { altitude_ft = 1500, band_ft = 400, seconds = 2 }";
    let drill = deck("altitude_ft = 1500", &[hold, hold]);
    let start = drill.start_lever();
    let (_, score) = scripted(&drill, &[(128, 500)]);
    assert_eq!(figure(&score.tasks[0], Key::LeverTravel), 0.0);
    close(
        "second",
        figure(&score.tasks[1], Key::LeverTravel),
        100.0 * (0.5 - start),
        1e-9,
    );
    let (_, score) = scripted(&drill, &[(127, 500)]);
    close(
        "first",
        figure(&score.tasks[0], Key::LeverTravel),
        100.0 * (0.5 - start),
        1e-9,
    );
    assert_eq!(figure(&score.tasks[1], Key::LeverTravel), 0.0);
}

#[test]
fn flying_past_the_number_at_a_steady_rate() {
    // A steady climb of 3 degrees through 60 ft above, the lever untouched: past by all that is climbed in the rest of the time.
    let drill = deck(
        "altitude_ft = 1500\npath_deg = 3",
        &["step = { to_ft = 1560, band_ft = 20, hold_s = 15, within_s = 30 }"],
    );
    let (run, score) = scripted(&drill, &[]);
    let task = &score.tasks[0];
    let climb_fps =
        trim::on_speed(&aircraft("deck jet"), 1500.0 * FT, 3.0 * DEG).vertical_mps() / FT;
    assert_eq!(task.figure(Key::Captured), Some(Figure::Flag(false)));
    // Uncaptured with the first tick whose end lies after 30 s.
    assert_eq!(run.tick(), 30 * 64 + 1);
    let reached_ft = run.world().state().h_m / FT;
    close(
        "past, ft",
        figure(task, Key::OvershootFt),
        reached_ft - 1560.0,
        1e-9,
    );
    // Thinner air takes some of the thrust on the way.
    close(
        "reached, ft",
        reached_ft,
        1500.0 + climb_fps * run.time_s(),
        15.0,
    );
    assert_eq!(figure(task, Key::ShortFt), 0.0);
    assert_eq!(figure(task, Key::SteepS), 0.0);
    for key in [Key::CaptureS, Key::RmsFt, Key::BiasFt, Key::ScatterFt] {
        assert_eq!(task.figure(key), Some(Figure::Unknown), "{key:?}");
    }
    assert_eq!(
        (task.cost, task.points, score.points),
        (None, Some(0.0), Some(0.0))
    );
}

#[test]
fn stopping_short_of_the_number() {
    // 1,000 ft/min down at 450 m, level power at once: it first stops 90 ft on (computed elsewhere), 160 ft short of 250 ft.
    // The vertical speed falls below 50 ft/min half a second sooner, a fifth of a foot higher.
    let plane = aircraft("deck jet");
    let path_deg = super::flying::root(-10.0, -1.0, |deg| {
        trim::on_speed(&plane, 450.0, deg * DEG).vertical_mps() + 1000.0 * FPM
    });
    let start_ft = 450.0 / FT;
    let drill = deck(
        &format!("altitude_ft = {start_ft}\npath_deg = {path_deg}"),
        &[&format!(
            "step = {{ to_ft = {}, band_ft = 20, hold_s = 20, within_s = 40 }}",
            start_ft - 250.0
        )],
    );
    let (_, score) = scripted(&drill, &[(0, 378)]);
    close(
        "short, ft",
        figure(&score.tasks[0], Key::ShortFt),
        160.3,
        0.7,
    );
    assert_eq!(figure(&score.tasks[0], Key::OvershootFt), 0.0);
}

#[test]
fn too_steep_is_counted_in_ticks() {
    // 5 degrees down are 1,180 ft/min in the deck jet at 3,000 ft, above 1,000, and 530 in the prop trainer, above 1.5 r = 480;
    // 4 degrees are below both.
    for (name, to_ft, within_s) in [("deck jet", 2400.0, 60.0), ("prop trainer", 2850.0, 40.0)] {
        for (path_deg, steep) in [(-5.0, true), (-4.0, false)] {
            let text = format!(
                "title = 'T'\nabout = 'A'\naircraft = '{name}'\n[start]\naltitude_ft = 3000\npath_deg = {path_deg}\n[[task]]\n\
                 step = {{ to_ft = {to_ft}, band_ft = 10, hold_s = 20, within_s = {within_s} }}"
            );
            let (run, score) = scripted(&Arc::new(drill(&text).unwrap()), &[]);
            let expected = if steep { run.time_s() } else { 0.0 };
            assert_eq!(
                figure(&score.tasks[0], Key::SteepS),
                expected,
                "{name}, {path_deg}"
            );
        }
    }
}

#[test]
fn cost_of_a_step_with_the_printed_trims() {
    // r and u from the table of the deck jet at 450 m: 66.87 m/s level, levers 0.378 and 0.276 (see `physics`).
    let start_ft = 450.0 / FT;
    let drill = deck(
        &format!("altitude_ft = {start_ft}"),
        &[&format!(
            "step = {{ to_ft = {}, band_ft = 25, hold_s = 20, within_s = 75 }}",
            start_ft - 300.0
        )],
    );
    let run = hands::fly(drill.clone(), 1, &mut Steady::new(&drill));
    let score = score::score(&run);
    let task = &score.tasks[0];
    assert_eq!(task.figure(Key::Captured), Some(Figure::Flag(true)));
    let r_fps = 66.87 * (3.0 * DEG).sin() / FT;
    let u_percent = 37.782 - 27.598;
    let cost = figure(task, Key::CaptureS)
        + (figure(task, Key::OvershootFt) + figure(task, Key::RmsFt)) / r_fps
        + 0.5 * figure(task, Key::LeverTravel) / u_percent
        + 2.0 * figure(task, Key::SteepS);
    close("cost", task.cost.unwrap().total(), cost, 0.002);
    let floor = 300.0 / r_fps;
    close(
        "points",
        task.points.unwrap(),
        100.0 * (75.0 - cost) / (75.0 - floor),
        0.01,
    );
    close(
        "the stay is the end",
        figure(task, Key::CaptureS) + 20.0,
        run.time_s(),
        1e-12,
    );
}

#[test]
fn points_are_straight_between_floor_and_limit() {
    let scale = score::Scale {
        floor: 20.0,
        par: None,
        limit: 60.0,
    };
    for (cost, points) in [
        (0.0, 100.0),
        (20.0, 100.0),
        (30.0, 75.0),
        (40.0, 50.0),
        (60.0, 0.0),
        (90.0, 0.0),
    ] {
        close("points", scale.points(cost), points, 1e-12);
    }
}

#[test]
fn a_step_that_begins_inside_its_band_earns_nothing() {
    // The climb carries it into the step's band during the hold before.
    let drill = deck(
        "altitude_ft = 1500\npath_deg = 3",
        &[
            "hold = { altitude_ft = 1500, band_ft = 500, seconds = 10 }\nscored = false",
            "step = { to_ft = 1650, band_ft = 140, hold_s = 1, within_s = 30 }",
        ],
    );
    let (_, score) = scripted(&drill, &[]);
    assert_eq!(score.tasks[0].points, None);
    let step = &score.tasks[1];
    assert_eq!(step.figure(Key::Captured), Some(Figure::Flag(true)));
    assert_eq!(figure(step, Key::CaptureS), 0.0);
    assert_eq!((step.points, score.points), (Some(0.0), Some(0.0)));
}

#[test]
fn the_largest_error_of_a_hold_is_over_all_of_it() {
    // The step before it was not flown: 100 ft below all the time, never inside.
    let step = "step = { to_ft = 1600, band_ft = 25, hold_s = 1, within_s = 60 }";
    let hold = "hold = { altitude_ft = 1600, band_ft = 25, seconds = 2 }";
    let (_, score) = scripted(&deck("altitude_ft = 1500", &[step, hold]), &[]);
    let [step, hold] = [0, 1].map(|task| score.tasks[task].largest_error_ft);
    assert_eq!(step, None);
    close("largest", hold.unwrap(), 100.0, 1e-6);
}

#[test]
fn nothing_scored_is_no_points() {
    let hold = "hold = { altitude_ft = 1500, band_ft = 25, seconds = 2 }";
    let unscored = format!("{hold}\nscored = false");
    let (_, score) = scripted(&deck("altitude_ft = 1500", &[&unscored]), &[]);
    assert_eq!(score.points, None);
    // The mean is over the scored ones only: 100 and 60.
    let off = "hold = { altitude_ft = 1510, band_ft = 25, seconds = 2 }";
    let (_, score) = scripted(&deck("altitude_ft = 1500", &[hold, off, &unscored]), &[]);
    close("mean", score.points.unwrap(), 80.0, 1e-5);
}

#[test]
fn what_was_not_finished_is_unknown_and_earns_nothing() {
    let hold = "hold = { altitude_ft = 1500, band_ft = 25, seconds = 10 }";
    let drill = deck("altitude_ft = 1500", &[hold, hold, hold]);
    let mut run = Run::new(drill, 1);
    for _ in 0..15 * 64 {
        run.fly();
    }
    run.leave();
    run.fly();
    assert_eq!((run.end(), run.tick()), (Some(End::Left), 15 * 64));
    let score = score::score(&run);
    assert!(!score.complete);
    close("mean", score.points.unwrap(), 100.0 / 3.0, 1e-6);
    let [first, second, third] = &score.tasks[..] else {
        panic!("three tasks");
    };
    assert_eq!(first.end_s, Some(10.0));
    assert_eq!(
        (second.start_s, second.end_s, second.points),
        (Some(10.0), None, Some(0.0))
    );
    assert_eq!(
        (third.start_s, third.end_s, third.points),
        (None, None, Some(0.0))
    );
    for task in [second, third] {
        assert_eq!(task.cost, None);
        assert!(task.figures.iter().all(|f| *f == Figure::Unknown));
    }
}

#[test]
fn faults_end_a_run() {
    // Idle from 100 ft: the surface.
    let drill = deck(
        "altitude_ft = 100",
        &["hold = { altitude_ft = 100, band_ft = 90, seconds = 100 }"],
    );
    let (run, score) = scripted(&drill, &[(0, 0)]);
    assert_eq!(run.fault(), Some(Fault::Surface));
    assert!(run.world().state().h_m <= 0.0);
    let states = run.trace().states();
    assert!(
        states[states.len() - 2].h_m > 0.0,
        "ends with the first tick at or below zero"
    );
    assert_eq!((score.complete, score.points), (false, Some(0.0)));
}

#[test]
fn a_state_with_something_that_is_no_number_is_the_models_fault() {
    let hold = "hold = { altitude_ft = 1500, band_ft = 90, seconds = 100 }";
    let drill = deck("altitude_ft = 1500", &[hold]);
    let told = |change: &dyn Fn(&mut State)| {
        let mut world = drill.world(1);
        let mut state = *world.state();
        change(&mut state);
        world.follow(state, None)
    };
    assert_eq!(told(&|_| {}), Ok(()));
    let none = [f64::NAN, f64::INFINITY];
    for x in none {
        assert_eq!(told(&|state| state.theta_rad = x), Err(Fault::Model));
        assert_eq!(told(&|state| state.engine = x), Err(Fault::Model));
        assert_eq!(told(&|state| state.x_m = x), Err(Fault::Model));
    }
}

#[test]
fn a_stall_ends_a_run() {
    // Full power at once takes the first jet from 7.5 to about 10 degrees: none of 14, but beyond a stall at 9.
    let text = "title = 'T'\nabout = 'A'\naircraft = 'brittle jet'\n[start]\naltitude_ft = 500\n[[task]]\n\
                hold = { altitude_ft = 500, band_ft = 90, seconds = 100 }";
    let brittle = |_: &str| {
        let shipped = library::aircraft("first jet").unwrap().text;
        let text = shipped.replace("stall_alpha_deg = 14.0", "stall_alpha_deg = 9.0");
        assert_ne!(text, shipped);
        Ok(AircraftText {
            file: "brittle.toml".to_string(),
            text,
        })
    };
    let source = Source {
        file: "drill.toml",
        text,
    };
    let drill = Arc::new(parse::parse("drill", source, &brittle).unwrap());
    let (run, score) = scripted(&drill, &[(0, 1000)]);
    assert_eq!(run.fault(), Some(Fault::Stalled), "{:?}", run.end());
    let trace = run.trace();
    let alpha_deg = |tick| trace.state(tick).air_data(&trace.wind(tick)).alpha_rad / DEG;
    assert!(alpha_deg(trace.ticks()) > 9.0);
    assert!((0..trace.ticks()).all(|tick| alpha_deg(tick) <= 9.0));
    assert_eq!((score.complete, score.points), (false, Some(0.0)));
}

#[test]
fn full_power_at_once_stalls_nothing_that_ships() {
    for name in super::flying::NAMES {
        let (lightest, heaviest) = aircraft(name).mass_range_kg;
        for (mass_kg, path_deg) in [(lightest, 0), (lightest, -3), (heaviest, 0), (heaviest, -3)] {
            let text = format!(
                "title = 'T'\nabout = 'A'\naircraft = '{name}'\nmass_kg = {mass_kg}\n[start]\naltitude_ft = 300\npath_deg = {path_deg}\n\
                 [[task]]\nhold = {{ altitude_ft = 300, band_ft = 90, seconds = 40 }}"
            );
            let (run, _) = scripted(&Arc::new(drill(&text).unwrap()), &[(0, 1000)]);
            assert_eq!(
                run.end(),
                Some(End::Complete),
                "{name}, {mass_kg} kg, {path_deg} degrees"
            );
        }
    }
}

// How tasks end.

#[test]
fn tasks_end_as_agreed() {
    let drill = deck(
        "altitude_ft = 1500",
        &[
            "hold = { altitude_ft = 1500, band_ft = 25, seconds = 0.3 }",
            "step = { to_ft = 1600, band_ft = 25, hold_s = 0.3, within_s = 20 }",
        ],
    );
    // A task after `ticks` ticks, the last `stay_ticks` of them inside, level or climbing through the band.
    let flown = |task: usize, ticks: u64, stay_ticks: u64, climb_m: f64| {
        let kind = &drill.tasks[task].kind;
        let mut progress = Progress::default();
        for tick in 0..ticks {
            let inside = tick + stay_ticks >= ticks;
            progress.take(inside, climb_m * tick as f64, kind.looks_back());
        }
        assert_eq!((progress.ticks, progress.stay_ticks), (ticks, stay_ticks));
        kind.verdict(&progress)
    };
    let verdict = |task: usize, ticks: u64, stay_ticks: u64| flown(task, ticks, stay_ticks, 0.0);
    let over = |captured| Verdict::Over { captured };
    // 0.3 s are 19.2 ticks: over with the first tick that ends then or later.
    assert_eq!(verdict(0, 19, 0), Verdict::Running);
    assert_eq!(verdict(0, 20, 0), over(None));
    // A stay of N ticks lasts N/64 s.
    assert_eq!(verdict(1, 500, 19), Verdict::Running);
    assert_eq!(verdict(1, 500, 20), over(Some(true)));
    // Outside at the end of tick 1280, which ends at 20 s sharp: not yet after it.
    assert_eq!(verdict(1, 1280, 0), Verdict::Running);
    assert_eq!(verdict(1, 1281, 0), over(Some(false)));
    // A stay in progress then may be completed.
    assert_eq!(verdict(1, 1290, 10), Verdict::Running);
    assert_eq!(verdict(1, 1300, 20), over(Some(true)));
    // Level is half of the band in half of the stay, here 12.5 ft in 10 ticks: more is no capture, however long it stays.
    let (level_m, steep_m) = (12.4 / 10.0 * FT, 12.6 / 10.0 * FT);
    assert_eq!(flown(1, 500, 20, level_m), over(Some(true)));
    assert_eq!(flown(1, 500, 20, steep_m), Verdict::Running);
    assert_eq!(flown(1, 500, 60, steep_m), Verdict::Running);
    // And over with the first tick that ends later than two stays after the limit: 20.6 s are 1318.4 ticks.
    assert_eq!(flown(1, 1318, 200, steep_m), Verdict::Running);
    assert_eq!(flown(1, 1319, 200, steep_m), over(Some(false)));
}

#[test]
fn a_stay_may_be_completed_after_the_time() {
    // A climb of 3 degrees, eased on the way: inside 160 +- 20 ft from about 13 to 20 s. Allowed 18.95 s.
    let drill = deck(
        "altitude_ft = 1500\npath_deg = 3",
        &["step = { to_ft = 1660, band_ft = 20, hold_s = 3, within_s = 18.95 }"],
    );
    let (run, score) = scripted(&drill, &[(9 * 64, 360)]);
    let task = &score.tasks[0];
    assert_eq!(task.figure(Key::Captured), Some(Figure::Flag(true)));
    assert!(run.time_s() < 18.95);
    let late = deck(
        "altitude_ft = 1500\npath_deg = 3",
        &["step = { to_ft = 1660, band_ft = 20, hold_s = 6, within_s = 18.95 }"],
    );
    let (run, score) = scripted(&late, &[(9 * 64, 360)]);
    let task = &score.tasks[0];
    assert_eq!(
        task.figure(Key::Captured),
        Some(Figure::Flag(true)),
        "{task:?}"
    );
    assert!(run.time_s() > 18.95, "{}", run.time_s());
    close(
        "capture",
        figure(task, Key::CaptureS),
        run.time_s() - 6.0,
        1e-12,
    );
}

#[test]
fn kinds_have_the_names_of_their_keys() {
    let drill = deck(
        "altitude_ft = 1500",
        &[
            "hold = { altitude_ft = 1500, band_ft = 25, seconds = 10 }",
            "step = { to_ft = 1600, band_ft = 25, hold_s = 20, within_s = 60 }",
            "rate = { to_fpm = -500, band_fpm = 100, hold_s = 5, within_s = 30 }",
            "surprise = { count = 2, kinds = ['step'], low_ft = 1300, high_ft = 1700, max_fpm = 500, band_ft = 30, \
             band_fpm = 100, hold_s = 3, within_s = 60 }",
        ],
    );
    let names: Vec<&str> = drill.tasks.iter().map(|task| task.kind.name()).collect();
    assert_eq!(names, ["hold", "step", "rate", "surprise"]);
    let Kind::Step(step) = drill.tasks[1].kind else {
        panic!("a step");
    };
    assert_eq!((step.hold_s, step.within_s), (20.0, 60.0));
    close("to", step.altitude_m, 1600.0 * FT, 1e-12);
    let longest_s = 10.0 + (60.0 + 20.0) + (30.0 + 5.0) + 2.0 * (60.0 + 3.0);
    close("run's end", drill.longest_s(), longest_s, 1e-12);
    assert_eq!(TICK_S, 1.0 / 64.0);
}
