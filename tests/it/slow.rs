//! Slowing in: values of an independent implementation of the equations, the extras and the task's ends and figures computed a
//! second time from the trace, and the rules of its files. No published source: the task is this program's own.

use std::sync::Arc;

use super::flying::{NAMES, aircraft, close, drill};
use leveloff::drill::{Drill, Kind};
use leveloff::run::{End, Run};
use leveloff::score::metrics::Key;
use leveloff::score::{self, Figure, TaskScore};
use leveloff::sim::trim;
use leveloff::units::{DEG, FT, KT};

const FROM_FT: f64 = 1640.0;

fn slowing(aircraft: &str, off_speed_kt: f64, slow: (f64, f64, f64), more: &str) -> Arc<Drill> {
    let (band_ft, hold_s, within_s) = slow;
    let text = format!(
        "title = 'T'\nabout = 'A'\naircraft = '{aircraft}'\n[start]\naltitude_ft = {FROM_FT}\noff_speed_kt = {off_speed_kt}\n\
         [[task]]\nslow = {{ band_ft = {band_ft}, hold_s = {hold_s}, within_s = {within_s} }}\n{more}"
    );
    Arc::new(drill(&text).unwrap_or_else(|error| panic!("{error}\n{text}")))
}

fn level(drill: &Drill) -> trim::Trim {
    trim::on_speed(&drill.aircraft, FROM_FT * FT, 0.0)
}

/// How many knots the run is above on speed.
fn fast_kt(run: &Run) -> f64 {
    (run.world().air_data().speed_mps - level(run.drill()).speed_mps) / KT
}

/// Idle from 1 s on, then one move to level power plus `off` thousandths, made at `at_kt` above on speed. Flown to the drill's
/// end, or to `until_s`.
fn idle_then_level(drill: &Arc<Drill>, at_kt: f64, off: i32, until_s: u64) -> Run {
    let power = (1000.0 * level(drill).lever).round() as i32 + off;
    let mut run = Run::new(drill.clone(), 0);
    let mut is_set = false;
    while run.end().is_none() && run.tick() < until_s * 64 {
        if run.tick() == 64 {
            run.set_lever(0);
        }
        if run.tick() > 64 && !is_set && fast_kt(&run) <= at_kt {
            run.set_lever(power as u16);
            is_set = true;
        }
        run.fly();
    }
    run
}

fn lowest_ft(run: &Run) -> f64 {
    let states = run.trace().states().iter();
    states.fold(0.0, |low, s| f64::min(low, s.h_m / FT - FROM_FT))
}

/// An aeroplane, its start (kt fast, lever), level power, and for each speed (kt fast) at which that is set: slow after (s)
/// and the lowest altitude (ft), or how fast it still is after 120 s.
type Row = (
    &'static str,
    (f64, f64),
    f64,
    &'static [(f64, Result<(f64, f64), f64>)],
);

/// From the independent implementation, to the digits printed.
const TABLE: [Row; 4] = [
    (
        "first jet",
        (50.0, 0.2290),
        0.360,
        &[
            (0.0, Ok((25.38, -31.6))),
            (2.0, Ok((25.56, -8.0))),
            (4.0, Err(4.2)),
        ],
    ),
    (
        "deck jet",
        (70.0, 0.2311),
        0.379,
        &[
            (0.0, Ok((27.62, -98.1))),
            (4.0, Ok((27.81, -36.7))),
            (6.0, Ok((29.03, -6.0))),
            (8.0, Err(6.3)),
        ],
    ),
    (
        "late jet",
        (75.0, 0.3091),
        0.491,
        &[
            (0.0, Ok((26.75, -176.1))),
            (6.0, Ok((27.05, -71.2))),
            (9.0, Ok((28.27, -17.5))),
            (12.0, Err(6.6)),
        ],
    ),
    (
        "prop trainer",
        (26.0, 0.6375),
        0.588,
        &[
            (0.0, Ok((14.09, -12.0))),
            (1.0, Ok((14.27, -5.7))),
            (3.0, Err(0.6)),
        ],
    ),
];

#[test]
fn slowing_in_comes_out_as_computed_independently() {
    for (name, (off_kt, lever), power, rows) in TABLE {
        let drill = slowing(name, off_kt, (500.0, 300.0, 600.0), "");
        close(name, drill.start_lever(), lever, 5.1e-5);
        close(name, level(&drill).lever, power, 5.1e-4);
        for (at_kt, wanted) in rows {
            let run = idle_then_level(&drill, *at_kt, 0, 120);
            let what = format!("{name}, level power at {at_kt} kt");
            assert_eq!(run.end(), None, "{what}");
            let slow_s = run.world().slow_tick().map(|tick| tick as f64 / 64.0);
            match wanted {
                Ok((wanted_s, wanted_ft)) => {
                    close(&what, slow_s.unwrap(), *wanted_s, 0.0051);
                    close(&what, lowest_ft(&run), *wanted_ft, 0.051);
                }
                Err(wanted_kt) => {
                    assert_eq!(slow_s, None, "{what}");
                    close(&what, fast_kt(&run), *wanted_kt, 0.051);
                }
            }
        }
    }
}

#[test]
fn it_begins_in_steady_level_flight_with_every_extra_in() {
    for (name, (off_kt, _), ..) in TABLE {
        let drill = slowing(name, off_kt, (40.0, 20.0, 60.0), "");
        let mut run = Run::new(drill, 0);
        let start = *run.world().state();
        close(name, fast_kt(&run), off_kt, 1e-9);
        for _ in 0..30 * 64 {
            run.fly();
        }
        let state = run.world().state();
        close(name, state.h_m, start.h_m, 1e-6);
        close(name, state.vx_mps, start.vx_mps, 1e-6);
        let slowing = run.world().slowing().unwrap();
        let shares: Vec<f64> = slowing
            .shares(run.world().aircraft(), run.tick())
            .map(|(_, share)| share)
            .collect();
        assert!(!shares.is_empty() && shares.iter().all(|share| *share == 0.0));
    }
}

/// Each extra begins to come out with the first tick that starts slow enough for it, moves in steps of a tick over its time,
/// and never goes back. Pitch is left alone at the end of the first tick on speed with all of them out.
#[test]
fn extras_come_out_by_the_airspeed_at_the_start_of_a_tick() {
    let drill = slowing("deck jet", 70.0, (500.0, 300.0, 600.0), "");
    let mut run = Run::new(drill.clone(), 0);
    let mut begun: Vec<Option<u64>> = vec![None; drill.aircraft.extras.len()];
    let (mut is_slow, mut sped_up) = (false, false);
    while run.tick() < 90 * 64 {
        let tick = run.tick();
        let after_wheels = begun[0].map_or(u64::MAX, |begun| tick - begun);
        run.set_lever(match is_slow {
            true => 379,
            false if after_wheels < 500 => 1000,
            false => 0,
        });
        let speed_mps = run.world().air_data().speed_mps;
        sped_up |= begun[0].is_some() && speed_mps > drill.aircraft.extras[0].out_mps;
        for (extra, begun) in drill.aircraft.extras.iter().zip(&mut begun) {
            if begun.is_none() && speed_mps <= extra.out_mps {
                *begun = Some(tick);
            }
        }
        run.fly();
        let slowing = run.world().slowing().unwrap();
        let shares = slowing.shares(&drill.aircraft, run.tick());
        let mut all_out = true;
        for ((extra, share), begun) in shares.zip(&begun) {
            let wanted = begun.map_or(0.0, |begun| {
                (((tick + 1 - begun) as f64) / 64.0 / extra.out_s).min(1.0)
            });
            assert_eq!(share, wanted, "{} at tick {tick}", extra.name);
            all_out &= share == 1.0;
        }
        is_slow |= all_out && run.world().air_data().alpha_rad >= drill.aircraft.alpha_on_rad;
        assert_eq!(run.world().slow_tick().is_some(), is_slow, "tick {tick}");
    }
    assert!(is_slow && sped_up);
    let [wheels, flaps] = begun[..] else {
        panic!("{begun:?}")
    };
    assert!(wheels.unwrap() < flaps.unwrap());
}

/// Once pitch no longer holds the altitude, the aeroplane leaves it by much more.
#[test]
fn pitch_holds_the_altitude_until_it_is_slow_and_is_left_alone_after() {
    let drill = slowing("deck jet", 70.0, (500.0, 300.0, 600.0), "");
    let run = idle_then_level(&drill, 4.0, 0, 60);
    let slow = run.world().slow_tick().unwrap() as usize;
    let states = run.trace().states();
    let off_ft = |state: &leveloff::sim::dynamics::State| (state.h_m / FT - FROM_FT).abs();
    let before = states[..slow].iter().map(off_ft).fold(0.0, f64::max);
    let after = states[slow..].iter().map(off_ft).fold(0.0, f64::max);
    assert!(before < 5.0 && after > 30.0, "{before} ft, {after} ft");
    // From there on it is the aeroplane of every other drill.
    let state = states[slow];
    let next = leveloff::sim::dynamics::step(
        &drill.aircraft,
        &state,
        run.trace().lever_at(slow),
        &Default::default(),
        1.0 / 64.0,
    );
    assert_eq!(states[slow + 1], next);
}

/// The result of a slow, computed from the altitudes and the tick at which pitch was left alone.
struct Second {
    captured: Option<(f64, f64)>,
    ticks: usize,
}

fn second(run: &Run, band_ft: f64, hold_s: f64, within_s: f64) -> Second {
    let off: Vec<f64> = run
        .trace()
        .states()
        .iter()
        .map(|state| state.h_m / FT - FROM_FT)
        .collect();
    let asked = (hold_s * 64.0).ceil() as usize;
    let level_ft = f64::max(band_ft / 2.0, 100.0 / 60.0 * hold_s / 2.0);
    let slow = run.world().slow_tick().map_or(usize::MAX, |t| t as usize);
    let mut stay = 0;
    for end in 1..off.len() {
        stay = match end > slow && off[end].abs() <= band_ft {
            true => stay + 1,
            false => 0,
        };
        if stay >= asked && (off[end] - off[end - asked / 2]).abs() <= level_ft {
            let counted = &off[end + 1 - asked..=end];
            let squares: f64 = counted.iter().map(|off| off * off).sum();
            return Second {
                captured: Some(((end - asked) as f64 / 64.0, (squares / asked as f64).sqrt())),
                ticks: end,
            };
        }
        let t_s = end as f64 / 64.0;
        if t_s > within_s && stay == 0 || t_s > within_s + 2.0 * hold_s {
            return Second {
                captured: None,
                ticks: end,
            };
        }
    }
    panic!("no end");
}

fn number(task: &TaskScore, key: Key) -> f64 {
    task.number(key)
        .unwrap_or_else(|| panic!("{key:?}: {:?}", task.figure(key)))
}

#[test]
fn ends_figures_cost_and_points_are_those_of_the_definitions() {
    let (mut captured, mut missed, mut never) = (0, 0, 0);
    for (name, (off_kt, _), _, rows) in TABLE {
        for (at_kt, _) in rows {
            for (off, band_ft, hold_s, within_s) in [
                (0, 40.0, 20.0, 60.0),
                (4, 25.0, 10.3, 90.0),
                (-15, 120.0, 15.0, 45.0),
            ] {
                let slow = (band_ft, hold_s, within_s);
                let run = idle_then_level(&slowing(name, off_kt, slow, ""), *at_kt, off, 600);
                assert_eq!(run.end(), Some(End::Complete));
                let wanted = second(&run, band_ft, hold_s, within_s);
                let score = score::score(&run);
                let task = &score.tasks[0];
                assert_eq!(run.tick() as usize, wanted.ticks);
                let states = run.trace().states();
                let off_ft = || states[1..].iter().map(|state| state.h_m / FT - FROM_FT);
                let (below, above) = (
                    off_ft().fold(0.0, |most, off| f64::max(most, -off)),
                    off_ft().fold(0.0, f64::max),
                );
                close("below", number(task, Key::BelowFt), below, 1e-9);
                close("above", number(task, Key::AboveFt), above, 1e-9);
                let is_captured = task.figure(Key::Captured) == Some(Figure::Flag(true));
                assert_eq!(is_captured, wanted.captured.is_some());
                let slow_s = run.world().slow_tick().map(|tick| tick as f64 / 64.0);
                assert_eq!(task.number(Key::SlowS), slow_s);
                never += usize::from(slow_s.is_none());
                let Some((capture_s, rms_ft)) = wanted.captured else {
                    missed += 1;
                    assert_eq!((task.cost, task.points), (None, Some(0.0)));
                    assert_eq!(task.figure(Key::RmsFt), Some(Figure::Unknown));
                    continue;
                };
                captured += 1;
                close("capture", number(task, Key::CaptureS), capture_s, 1e-9);
                assert!(capture_s >= slow_s.unwrap());
                close("rms", number(task, Key::RmsFt), rms_ft, 1e-6);
                let (level, down) = (
                    level(run.drill()),
                    trim::on_speed(&run.drill().aircraft, FROM_FT * FT, -3.0 * DEG),
                );
                let rate_fps = level.speed_mps * (3.0_f64).to_radians().sin() / FT;
                let cost = capture_s
                    + (below + above + rms_ft) / rate_fps
                    + 0.5 * number(task, Key::LeverTravel) / (100.0 * (level.lever - down.lever));
                close("cost", task.cost.unwrap().total(), cost, 1e-6);
                let straight = 100.0 * (within_s - cost) / (within_s - within_s / 2.0);
                close(
                    "points",
                    task.points.unwrap(),
                    straight.clamp(0.0, 100.0),
                    1e-6,
                );
            }
        }
    }
    assert!(
        captured >= 8 && missed >= 8 && never >= 4,
        "{captured} {missed} {never}"
    );
}

#[test]
fn what_comes_after_it_goes_on_from_the_altitude_of_the_start() {
    let more = "[[task]]\nhold = { altitude_ft = 1650, band_ft = 20, seconds = 5 }\n\
                [[task]]\nstep = { to_ft = 1500, band_ft = 25, hold_s = 5, within_s = 60 }\n";
    let drill = slowing("first jet", 50.0, (40.0, 5.0, 60.0), more);
    assert!(matches!(drill.tasks[0].kind, Kind::Slow(_)));
    let run = idle_then_level(&drill, 2.0, 0, 200);
    assert_eq!(run.legs()[0].captured, Some(true));
    assert_eq!(run.legs()[1].start, run.legs()[0].end.unwrap());
    assert!(run.legs().len() == 3);
}

#[test]
fn the_shipped_aeroplanes_have_the_extras_of_the_table() {
    let told = |name: &str| -> Vec<String> {
        let extras = aircraft(name).extras;
        extras
            .iter()
            .map(|e| {
                format!(
                    "{} {} {} {:.0} {}",
                    e.name,
                    e.drag,
                    e.lift,
                    e.out_mps / KT,
                    e.out_s
                )
            })
            .collect()
    };
    let wanted = [
        vec!["wheels 0.016 0 150 5", "flaps 0.022 0.2 135 7"],
        vec!["wheels 0.022 0 185 5", "flaps 0.036 0.28 165 8"],
        vec!["wheels 0.024 0 200 6", "flaps 0.04 0.25 180 9"],
        vec!["flaps 0.018 0.22 80 6"],
    ];
    for (name, wanted) in NAMES.into_iter().zip(wanted) {
        assert_eq!(told(name), wanted, "{name}");
    }
}

/// Ranges include their ends, and an aeroplane without extras can slow in too.
#[test]
fn ends_of_ranges_of_extras_are_inside() {
    let plain = "name = 'A'\nabout = 'A'\nmass_kg = 6100\nmass_range_kg = [5400, 6700]\n[wing]\narea_m2 = 27.5\n\
                 lift_at_zero_alpha = 0.55\nlift_per_rad = 4.6\ndrag_at_zero_lift = 0.272\ndrag_per_lift_squared = 0.085\n\
                 on_speed_alpha_deg = 7.5\nstall_alpha_deg = 14\npitch_hold_s = 0.5\nswing_damping = 0.5\n[engine]\n\
                 kind = 'jet'\nmax_thrust_n = 45000\nidle_fraction = 0.05\nslow_s = 0.9\nquick_s = 0.5\n";
    let read = |extras: &str| {
        let text = format!("{plain}{extras}");
        leveloff::drill::aircraft_file::parse(leveloff::drill::reader::Source {
            file: "a.toml",
            text: &text,
        })
        .unwrap_or_else(|error| panic!("{error}"))
        .extras
        .len()
    };
    let extra = |name: &str, numbers: [f64; 4]| {
        let [drag, lift, out_kt, out_s] = numbers;
        format!(
            "[[extra]]\nname = '{name}'\ndrag = {drag}\nlift = {lift}\nout_kt = {out_kt}\nout_s = {out_s}\n"
        )
    };
    assert_eq!(read(""), 0);
    assert_eq!(read(&extra("a", [0.2, 0.0, 30.0, 0.5])), 1);
    let four = ["a", "b", "c", "d"].map(|name| extra(name, [0.0, 0.13, 400.0, 30.0]));
    assert_eq!(read(&four.concat()), 4);
}
