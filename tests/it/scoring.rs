//! Figures, costs and points: small runs whose figures are known beforehand, and a plain second implementation of every
//! definition, compared over many flights.
//!
//! No published source: the scoring is our own; its definitions stand in the design's contracts and in `Metric`'s table.

use std::sync::Arc;

use super::flying::{aircraft, drill};
use leveloff::drill::{Drill, Kind, Progress, Verdict, library};
use leveloff::hands::{self, Hand, Script, Sight, Steady};
use leveloff::run::{End, Run};
use leveloff::score::{self, Figure, Score, TaskScore};
use leveloff::sim::trim;
use leveloff::sim::world::Fault;
use leveloff::units::{DEG, FPM, FT, KT, TICK_S};

fn close(what: &str, ours: f64, wanted: f64, tolerance: f64) {
    assert!(
        (ours - wanted).abs() <= tolerance,
        "{what}: {ours} {wanted}"
    );
}

fn figure(task: &TaskScore, key: &str) -> f64 {
    task.number(key)
        .unwrap_or_else(|| panic!("{key} is no number in {task:?}"))
}

/// A drill in the deck jet: the start's lines, the tasks' lines.
fn deck(start: &str, tasks: &[&str]) -> Arc<Drill> {
    let mut text = format!("title = 'T'\nabout = 'A'\naircraft = 'deck jet'\n[start]\n{start}\n");
    for task in tasks {
        text += &format!("[[task]]\n{task}\n");
    }
    Arc::new(drill(&text).unwrap())
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
    close("rms", figure(task, "rms_ft"), 10.0, 1e-6);
    close("bias", figure(task, "bias_ft"), -10.0, 1e-6);
    close("scatter", figure(task, "scatter_ft"), 0.0, 1e-6);
    assert_eq!(figure(task, "in_band"), 1.0);
    assert_eq!(figure(task, "lever_travel"), 0.0);
    assert_eq!(figure(task, "lever_reversals"), 0.0);
    close("alpha", figure(task, "alpha_error_deg"), 0.0, 1e-9);
    close("speed", figure(task, "speed_wander_kt"), 0.0, 1e-9);
    close("cost", task.cost.unwrap(), 10.0, 1e-6);
    // 100 at 0 ft, 0 at the band of 25 ft.
    close("points", task.points.unwrap(), 60.0, 1e-5);
    assert_eq!((task.start_s, task.end_s), (Some(0.0), Some(20.0)));
    assert_eq!(score.points, task.points);
    assert!(score.complete);
    assert_eq!(task.figure("captured"), None, "a hold captures nothing");
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
            figure(&score.tasks[0], "lever_travel"),
            travel,
            1e-9,
        );
        assert_eq!(
            figure(&score.tasks[0], "lever_reversals"),
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
    assert_eq!(figure(&score.tasks[0], "lever_travel"), 0.0);
    close(
        "second",
        figure(&score.tasks[1], "lever_travel"),
        100.0 * (0.5 - start),
        1e-9,
    );
    let (_, score) = scripted(&drill, &[(127, 500)]);
    close(
        "first",
        figure(&score.tasks[0], "lever_travel"),
        100.0 * (0.5 - start),
        1e-9,
    );
    assert_eq!(figure(&score.tasks[1], "lever_travel"), 0.0);
}

#[test]
fn flying_past_the_number_at_a_steady_rate() {
    // A steady climb of 3 degrees through 60 ft above, nobody at the lever: past by all that is left of the time.
    let drill = deck(
        "altitude_ft = 1500\npath_deg = 3",
        &["step = { to_ft = 1560, band_ft = 20, hold_s = 15, within_s = 30 }"],
    );
    let (run, score) = scripted(&drill, &[]);
    let task = &score.tasks[0];
    let climb_fps =
        trim::on_speed(&aircraft("deck jet"), 1500.0 * FT, 3.0 * DEG).vertical_mps() / FT;
    assert_eq!(task.figure("captured"), Some(Figure::Flag(false)));
    // Uncaptured with the first tick whose end lies after 30 s.
    assert_eq!(run.tick(), 30 * 64 + 1);
    let reached_ft = run.world().state().h_m / FT;
    close(
        "past, ft",
        figure(task, "overshoot_ft"),
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
    assert_eq!(figure(task, "short_ft"), 0.0);
    assert_eq!(figure(task, "steep_s"), 0.0);
    for key in ["capture_s", "rms_ft", "bias_ft", "scatter_ft"] {
        assert_eq!(task.figure(key), Some(Figure::Unknown), "{key}");
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
    close("short, ft", figure(&score.tasks[0], "short_ft"), 160.3, 0.7);
    assert_eq!(figure(&score.tasks[0], "overshoot_ft"), 0.0);
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
                figure(&score.tasks[0], "steep_s"),
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
    assert_eq!(task.figure("captured"), Some(Figure::Flag(true)));
    let r_fps = 66.87 * (3.0 * DEG).sin() / FT;
    let u_percent = 37.782 - 27.598;
    let cost = figure(task, "capture_s")
        + (figure(task, "overshoot_ft") + figure(task, "rms_ft")) / r_fps
        + 0.5 * figure(task, "lever_travel") / u_percent
        + 2.0 * figure(task, "steep_s");
    close("cost", task.cost.unwrap(), cost, 0.002);
    let floor = 300.0 / r_fps;
    close(
        "points",
        task.points.unwrap(),
        100.0 * (75.0 - cost) / (75.0 - floor),
        0.01,
    );
    close(
        "the stay is the end",
        figure(task, "capture_s") + 20.0,
        run.time_s(),
        1e-12,
    );
}

#[test]
fn points_are_straight_between_floor_and_limit() {
    let scale = score::Scale {
        floor: 20.0,
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
    assert_eq!(step.figure("captured"), Some(Figure::Flag(true)));
    assert_eq!(figure(step, "capture_s"), 0.0);
    assert_eq!((step.points, score.points), (Some(0.0), Some(0.0)));
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
    let points = run.trace().points();
    assert!(
        points[points.len() - 2].state.h_m > 0.0,
        "ends with the first tick at or below zero"
    );
    assert_eq!((score.complete, score.points), (false, Some(0.0)));
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
    let verdict = |task: usize, ticks: u64, stay_ticks: u64| {
        drill.tasks[task]
            .kind
            .verdict(&Progress { ticks, stay_ticks })
    };
    let over = |captured| Verdict::Over { captured };
    // 0.3 s are 19.2 ticks: over with the first tick whose end is at or after.
    assert_eq!(verdict(0, 19, 0), Verdict::Running);
    assert_eq!(verdict(0, 20, 0), over(None));
    // A stay of N ticks lasts N/64 s.
    assert_eq!(verdict(1, 500, 19), Verdict::Running);
    assert_eq!(verdict(1, 500, 20), over(Some(true)));
    // Outside at the end of tick 1280, which ends at 20 s sharp: not yet after it.
    assert_eq!(verdict(1, 1280, 0), Verdict::Running);
    assert_eq!(verdict(1, 1281, 0), over(Some(false)));
    // A stay that is running then may be completed.
    assert_eq!(verdict(1, 1290, 10), Verdict::Running);
    assert_eq!(verdict(1, 1300, 20), over(Some(true)));
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
    assert_eq!(task.figure("captured"), Some(Figure::Flag(true)));
    assert!(run.time_s() < 18.95);
    let late = deck(
        "altitude_ft = 1500\npath_deg = 3",
        &["step = { to_ft = 1660, band_ft = 20, hold_s = 6, within_s = 18.95 }"],
    );
    let (run, score) = scripted(&late, &[(9 * 64, 360)]);
    let task = &score.tasks[0];
    assert_eq!(
        task.figure("captured"),
        Some(Figure::Flag(true)),
        "{task:?}"
    );
    assert!(run.time_s() > 18.95, "{}", run.time_s());
    close(
        "capture",
        figure(task, "capture_s"),
        run.time_s() - 6.0,
        1e-12,
    );
}

#[test]
fn a_lever_left_alone_earns_at_most_ten_on_what_ships() {
    for shipped in library::DRILLS {
        let drill = Arc::new(shipped.drill().unwrap());
        let (_, score) = scripted(&drill, &[]);
        assert!(
            score.points.is_none_or(|points| points <= 10.0),
            "{}: {:?}",
            shipped.id,
            score.points
        );
    }
}

// The second implementation. Feet and seconds throughout, from the definitions alone.

/// What a task asks, as the drill's text says it.
#[derive(Clone, Copy)]
enum Ask {
    Hold {
        at: f64,
        band: f64,
        seconds: f64,
    },
    Step {
        to: f64,
        band: f64,
        hold_s: f64,
        within_s: f64,
    },
}

impl Ask {
    fn toml(&self) -> String {
        match self {
            Ask::Hold { at, band, seconds } => {
                format!("hold = {{ altitude_ft = {at}, band_ft = {band}, seconds = {seconds} }}")
            }
            Ask::Step {
                to,
                band,
                hold_s,
                within_s,
            } => {
                format!(
                    "step = {{ to_ft = {to}, band_ft = {band}, hold_s = {hold_s}, within_s = {within_s} }}"
                )
            }
        }
    }

    fn number_and_band(&self) -> (f64, f64) {
        match *self {
            Ask::Hold { at, band, .. } => (at, band),
            Ask::Step { to, band, .. } => (to, band),
        }
    }
}

/// A task as found in a trace: first tick, tick after the last, ticks of the captured stay.
struct Flown {
    first: usize,
    last: usize,
    stay: Option<usize>,
}

/// Cuts a flight into tasks by its altitudes at ticks (ft); the last entry may be missing where the flight ends first.
fn cut(asks: &[Ask], altitude_ft: &[f64]) -> Vec<Flown> {
    let mut tasks = Vec::new();
    let mut first = 0;
    'tasks: for ask in asks {
        let (number, band) = ask.number_and_band();
        let mut stay = 0;
        let begun = first;
        for tick in begun..altitude_ft.len() - 1 {
            let inside = (altitude_ft[tick + 1] - number).abs() <= band;
            stay = if inside { stay + 1 } else { 0 };
            let seconds = (tick + 1 - begun) as f64 / 64.0;
            let stay_s = stay as f64 / 64.0;
            let over = match *ask {
                Ask::Hold { seconds: asked, .. } => (seconds >= asked).then_some(None),
                Ask::Step {
                    hold_s, within_s, ..
                } => {
                    if stay > 0 && stay_s >= hold_s {
                        Some(Some(stay))
                    } else {
                        (!inside && seconds > within_s).then_some(None)
                    }
                }
            };
            if let Some(stay) = over {
                tasks.push(Flown {
                    first: begun,
                    last: tick + 1,
                    stay,
                });
                first = tick + 1;
                continue 'tasks;
            }
        }
        break;
    }
    tasks
}

/// Mean square root, mean, standard deviation.
fn statistics(values: &[f64]) -> (f64, f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let rms = (values.iter().map(|v| v * v).sum::<f64>() / n).sqrt();
    let scatter = (values.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / n).sqrt();
    (rms, mean, scatter)
}

fn turns(levers: &[f64]) -> f64 {
    // In thousandths, with a hair of slack for the unrounded first value and binary fractions.
    const TURN: f64 = 15.0 - 1e-6;
    let mut turns = 0.0;
    let mut rising = None;
    let (mut lowest, mut highest) = (levers[0], levers[0]);
    for &lever in levers {
        match rising {
            None => {
                if (lever - levers[0]).abs() >= TURN {
                    rising = Some(lever > levers[0]);
                    (lowest, highest) = (lever, lever);
                }
            }
            Some(true) if lever <= highest - TURN => {
                (rising, lowest, turns) = (Some(false), lever, turns + 1.0)
            }
            Some(false) if lever >= lowest + TURN => {
                (rising, highest, turns) = (Some(true), lever, turns + 1.0)
            }
            Some(_) => (lowest, highest) = (lowest.min(lever), highest.max(lever)),
        }
    }
    turns
}

/// Key and value of every figure, cost, and points if the task is scored; None where there is none.
type Expected = (Vec<(&'static str, Option<f64>)>, Option<f64>, f64);

fn second_opinion(run: &Run, ask: &Ask, flown: &Flown) -> Expected {
    let plane = &run.drill().aircraft;
    let points = run.trace().points();
    let (number, band) = ask.number_and_band();
    let ends = flown.first + 1..flown.last + 1;
    let altitude = |tick: usize| points[tick].state.h_m / FT;
    let vertical_fpm = |tick: usize| points[tick].state.vz_mps / FPM;
    let start_m = points[flown.first].state.h_m;

    let level = trim::on_speed(plane, start_m, 0.0);
    let r = level.speed_mps * (3.0 * DEG).sin() / FT;
    let u = 100.0 * (level.lever - trim::on_speed(plane, start_m, -3.0 * DEG).lever);

    let before = match flown.first {
        0 => run.drill().start_lever(),
        first => run.trace().levers()[first - 1],
    };
    let mut levers = vec![1000.0 * before];
    levers.extend(
        run.trace().levers()[flown.first..flown.last]
            .iter()
            .map(|l| 1000.0 * l),
    );
    let travel: f64 = levers.windows(2).map(|w| (w[1] - w[0]).abs() / 10.0).sum();

    let (mut alpha, mut speed) = (Vec::new(), Vec::new());
    for tick in ends.clone() {
        let (s, wind) = (&points[tick].state, &points[tick].wind);
        let along = s.vx_mps + wind.headwind_mps + wind.gust_u_mps;
        let up = s.vz_mps - wind.gust_w_mps;
        alpha.push((s.theta_rad - up.atan2(along) - plane.alpha_on_rad) / DEG);
        speed.push((along.hypot(up) - trim::on_speed(plane, s.h_m, 0.0).speed_mps) / KT);
    }
    let all = |key: &'static str, value: f64| (key, Some(value));
    let common = [
        all("lever_travel", travel),
        all("lever_reversals", turns(&levers)),
        all("alpha_error_deg", statistics(&alpha).0),
        all("speed_wander_kt", statistics(&speed).0),
    ];
    match *ask {
        Ask::Hold { .. } => {
            let errors: Vec<f64> = ends.clone().map(|tick| altitude(tick) - number).collect();
            let (rms, bias, scatter) = statistics(&errors);
            let inside =
                errors.iter().filter(|e| e.abs() <= band).count() as f64 / errors.len() as f64;
            let mut figures = vec![
                all("in_band", inside),
                all("rms_ft", rms),
                all("bias_ft", bias),
                all("scatter_ft", scatter),
            ];
            figures.extend(common);
            (figures, Some(rms), (100.0 * (1.0 - rms / band)).max(0.0))
        }
        Ask::Step { within_s, .. } => {
            let from = start_m / FT;
            let way = if number >= from { 1.0 } else { -1.0 };
            let overshoot = ends
                .clone()
                .map(|tick| way * (altitude(tick) - number))
                .fold(0.0, f64::max);
            let limit = 1000.0_f64.min(1.5 * r * 60.0);
            let steep = ends
                .clone()
                .filter(|tick| vertical_fpm(*tick).abs() > limit)
                .count() as f64
                / 64.0;
            let reached = ends
                .clone()
                .find(|tick| way * (altitude(*tick) - number) >= 0.0)
                .unwrap_or(flown.last + 1);
            let moving = |tick: &usize| way * vertical_fpm(*tick) >= 50.0;
            let short = (flown.first + 1..reached)
                .skip_while(|tick| !moving(tick))
                .find(|tick| !moving(tick))
                .map_or(0.0, |tick| way * (number - altitude(tick)));
            let stay: Option<Vec<f64>> = flown.stay.map(|n| {
                (flown.last + 1 - n..=flown.last)
                    .map(|tick| altitude(tick) - number)
                    .collect()
            });
            let capture = flown
                .stay
                .map(|n| (flown.last - flown.first - n) as f64 / 64.0);
            let stay = stay.map(|errors| statistics(&errors));
            let cost = stay.zip(capture).map(|((rms, ..), capture)| {
                capture + (overshoot + rms) / r + 0.5 * travel / u + 2.0 * steep
            });
            let floor = (number - from).abs() / r;
            let begins_inside = (from - number).abs() <= band;
            let points = match cost {
                Some(cost) if !begins_inside => {
                    (100.0 * (within_s - cost) / (within_s - floor)).clamp(0.0, 100.0)
                }
                _ => 0.0,
            };
            let mut figures = vec![
                ("capture_s", capture),
                all("overshoot_ft", overshoot),
                all("short_ft", short),
                ("rms_ft", stay.map(|s| s.0)),
                ("bias_ft", stay.map(|s| s.1)),
                ("scatter_ft", stay.map(|s| s.2)),
                all("steep_s", steep),
            ];
            figures.extend(common);
            (figures, cost, points)
        }
    }
}

/// Moves the lever at odd times, roughly towards what is wanted: gets there sometimes.
struct Nibbler {
    random: u64,
    level: f64,
    eagerness: f64,
    next: u64,
}

impl Nibbler {
    fn new(drill: &Drill, seed: u64) -> Nibbler {
        let level = trim::on_speed(&drill.aircraft, drill.start.altitude_m, 0.0).lever;
        let mut nibbler = Nibbler {
            random: seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1,
            level,
            eagerness: 0.0,
            next: 0,
        };
        nibbler.eagerness = 0.1 + nibbler.fraction();
        nibbler
    }

    /// 0..1 by xorshift.
    fn fraction(&mut self) -> f64 {
        self.random ^= self.random << 13;
        self.random ^= self.random >> 7;
        self.random ^= self.random << 17;
        (self.random >> 11) as f64 / (1_u64 << 53) as f64
    }
}

impl Hand for Nibbler {
    fn lever(&mut self, sight: &Sight) -> Option<u16> {
        if sight.tick < self.next {
            return None;
        }
        self.next = sight.tick + 1 + (200.0 * self.fraction() * self.fraction()) as u64;
        let missing_ft = -self.error_ft(sight);
        let wanted_fpm = (6.0 * missing_ft).clamp(-800.0, 800.0);
        let now_fpm = sight.vertical_mps / FPM;
        let noise = 0.08 * (self.fraction() - 0.5);
        let lever = self.level + self.eagerness * (wanted_fpm - 0.6 * now_fpm) / 6000.0 + noise;
        Some((lever.clamp(0.0, 1.0) * 1000.0) as u16)
    }
}

impl Nibbler {
    fn error_ft(&self, sight: &Sight) -> f64 {
        let state = leveloff::sim::dynamics::State {
            h_m: sight.altitude_m,
            vz_mps: sight.vertical_mps,
            ..Default::default()
        };
        sight.target.error(&state) / FT
    }
}

/// Aeroplane, lines of the start, lines of the air, tasks with whether they are scored.
type Case = (&'static str, &'static str, &'static str, Vec<(Ask, bool)>);

fn cases() -> Vec<Case> {
    let hold = |at, band, seconds| Ask::Hold { at, band, seconds };
    let step = |to, band, hold_s, within_s| Ask::Step {
        to,
        band,
        hold_s,
        within_s,
    };
    vec![
        (
            "deck jet",
            "altitude_ft = 1500\nlever_off = -0.1",
            "",
            vec![
                (hold(1500.0, 25.0, 8.0), true),
                (step(1350.0, 40.0, 6.0, 30.0), true),
                (step(1500.0, 25.0, 4.0, 35.5), true),
            ],
        ),
        (
            "late jet",
            "altitude_ft = 2400.5\noff_speed_kt = 8",
            "headwind_kt = 12\ngusts = 'lively'",
            vec![
                (step(2700.0, 60.0, 3.3, 50.0), true),
                (hold(2680.0, 60.0, 7.01), false),
                (step(2550.0, 30.0, 10.0, 40.0), true),
            ],
        ),
        (
            "prop trainer",
            "altitude_ft = 900\npath_deg = -2",
            "gusts = 'light'",
            vec![
                (step(820.0, 20.0, 5.0, 40.0), true),
                (step(860.0, 12.0, 8.0, 30.0), false),
                (hold(860.0, 12.0, 5.0), true),
            ],
        ),
        (
            "first jet",
            "altitude_ft = 180\npath_deg = -3",
            "headwind_kt = -10\ngusts = 'rough'",
            vec![
                (step(120.0, 50.0, 9.0, 30.0), true),
                (hold(120.0, 40.0, 6.0), true),
                (step(60.0, 25.0, 12.0, 40.0), true),
            ],
        ),
    ]
}

#[test]
fn a_second_implementation_agrees_on_every_figure() {
    let (mut captured, mut missed, mut unfinished, mut inside, mut short, mut steep, mut partial) =
        (0, 0, 0, 0, 0, 0, 0);
    for (name, start, air, tasks) in cases() {
        let mut text = format!(
            "title = 'T'\nabout = 'A'\naircraft = '{name}'\n[start]\n{start}\n[air]\n{air}\n"
        );
        for (ask, scored) in &tasks {
            text += &format!("[[task]]\n{}\nscored = {scored}\n", ask.toml());
        }
        let drill = Arc::new(drill(&text).unwrap());
        let asks: Vec<Ask> = tasks.iter().map(|(ask, _)| *ask).collect();
        for seed in 0..50 {
            let mut hand: Box<dyn Hand> = match seed % 10 {
                0 => Box::new(Steady::new(&drill)),
                _ => Box::new(Nibbler::new(&drill, seed)),
            };
            let mut run = Run::new(drill.clone(), seed);
            let leaves = if seed % 7 == 3 {
                64 * (5 + seed)
            } else {
                u64::MAX
            };
            while run.end().is_none() {
                if run.tick() == leaves {
                    run.leave();
                }
                if let Some(lever) = hand.lever(&Sight::of(&run)) {
                    run.set_lever(lever);
                }
                run.fly();
            }
            let score = score::score(&run);

            let mut altitude_ft: Vec<f64> = run
                .trace()
                .points()
                .iter()
                .map(|p| p.state.h_m / FT)
                .collect();
            if run.fault().is_some() {
                altitude_ft.pop();
            }
            let flown = cut(&asks, &altitude_ft);
            assert_eq!(score.tasks.len(), asks.len());
            assert_eq!(score.complete, flown.len() == asks.len());
            let mut sum = (0.0, 0.0);
            for (index, (task, (ask, scored))) in score.tasks.iter().zip(&tasks).enumerate() {
                let what = format!("{name}, seed {seed}, task {}", index + 1);
                let Some(flown) = flown.get(index) else {
                    unfinished += 1;
                    assert!(task.figures.iter().all(|f| *f == Figure::Unknown), "{what}");
                    assert_eq!(
                        (task.end_s, task.cost, task.points),
                        (None, None, scored.then_some(0.0)),
                        "{what}"
                    );
                    sum.1 += f64::from(u8::from(*scored));
                    continue;
                };
                assert_eq!(task.start_s, Some(flown.first as f64 / 64.0), "{what}");
                assert_eq!(task.end_s, Some(flown.last as f64 / 64.0), "{what}");
                let (figures, cost, points) = second_opinion(&run, ask, flown);
                for (key, expected) in &figures {
                    agree(&format!("{what}, {key}"), task.number(key), *expected);
                }
                let flags = usize::from(matches!(ask, Ask::Step { .. }));
                assert_eq!(
                    figures.len() + flags,
                    task.figures.len(),
                    "{what}: a figure without a second opinion"
                );
                if flags == 1 {
                    let stayed = flown.stay.is_some();
                    assert_eq!(
                        task.figure("captured"),
                        Some(Figure::Flag(stayed)),
                        "{what}"
                    );
                    captured += usize::from(stayed);
                    missed += usize::from(!stayed);
                    inside += usize::from(cost.is_some() && points == 0.0);
                    short += usize::from(task.number("short_ft") > Some(0.0));
                    steep += usize::from(task.number("steep_s") > Some(0.0));
                }
                partial += usize::from(points > 0.0 && points < 100.0);
                agree(&format!("{what}, cost"), task.cost, cost);
                agree(
                    &format!("{what}, points"),
                    task.points,
                    scored.then_some(points),
                );
                if *scored {
                    sum = (sum.0 + points, sum.1 + 1.0);
                }
            }
            agree(
                &format!("{name}, seed {seed}, points"),
                score.points,
                Some(sum.0 / sum.1),
            );
        }
    }
    // Every branch of the definitions was there to be compared.
    let seen = [captured, missed, unfinished, inside, short, steep, partial];
    assert!(seen.iter().all(|count| *count >= 5), "{seen:?}");
}

fn agree(what: &str, ours: Option<f64>, theirs: Option<f64>) {
    match (ours, theirs) {
        (None, None) => {}
        (Some(a), Some(b)) if (a - b).abs() <= 1e-9 * (1.0 + b.abs()) => {}
        _ => panic!("{what}: {ours:?}, the second implementation {theirs:?}"),
    }
}

#[test]
fn kinds_have_the_names_of_their_keys() {
    let drill = deck(
        "altitude_ft = 1500",
        &[
            "hold = { altitude_ft = 1500, band_ft = 25, seconds = 10 }",
            "step = { to_ft = 1600, band_ft = 25, hold_s = 20, within_s = 60 }",
        ],
    );
    let names: Vec<&str> = drill.tasks.iter().map(|task| task.kind.name()).collect();
    assert_eq!(names, ["hold", "step"]);
    let Kind::Step(step) = drill.tasks[1].kind else {
        panic!("a step");
    };
    assert_eq!((step.hold_s, step.within_s), (20.0, 60.0));
    close("to", step.altitude_m, 1600.0 * FT, 1e-12);
    close("run's end", drill.longest_s(), 10.0 + 60.0 + 20.0, 1e-12);
    assert_eq!(TICK_S, 1.0 / 64.0);
}
