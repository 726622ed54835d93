//! The program against an independent implementation of the same equations (SciPy, DOP853 at 1e-12); the data and the scripts
//! that made it are in `data/reference`, with a README.
//!
//! No published source: one model, written twice. The atmosphere of the same folder is in `atmosphere`.

use super::flying::{aircraft, follow, path_for_lever, root, stops, trimmed};
use approx::assert_relative_eq;
use leveloff::sim::air::Wind;
use leveloff::sim::aircraft::Aircraft;
use leveloff::sim::dynamics::{State, step};
use leveloff::sim::{stability, trim};
use leveloff::units::{DEG, FPM, FT, G, TICK_S};
use serde_json::Value;

fn json(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

fn number(row: &Value, key: &str) -> f64 {
    row[key]
        .as_f64()
        .unwrap_or_else(|| panic!("no number {key} in {row}"))
}

fn rows<'a>(data: &'a Value, key: &str) -> &'a Vec<Value> {
    let rows = data[key].as_array().unwrap();
    assert!(!rows.is_empty());
    rows
}

fn aeroplane(row: &Value) -> Aircraft {
    aircraft(row["aircraft"].as_str().unwrap())
}

#[test]
fn trims_and_stability_agree() {
    let data = json(include_str!("data/reference/values.json"));
    let rows = rows(&data, "rows");
    assert_eq!(
        rows.len(),
        36,
        "four aeroplanes, three masses, three heights"
    );
    for row in rows {
        let plane = aeroplane(row).at_mass(number(row, "mass_kg"));
        let h_m = number(row, "altitude_m");
        let at = |path_deg: f64| trim::on_speed(&plane, h_m, path_deg * DEG);
        let (level, down, up) = (at(0.0), at(-3.0), at(3.0));
        let closed_forms = [
            (level.speed_mps, "level_speed_mps"),
            (
                level.thrust_n / (plane.mass_kg * G),
                "level_thrust_to_weight",
            ),
            (level.lever, "level_lever"),
            (down.lever, "lever_at_minus_3"),
            (up.lever, "lever_at_plus_3"),
            (down.speed_mps, "speed_at_minus_3_mps"),
        ];
        for (ours, key) in closed_forms {
            assert_relative_eq!(ours, number(row, key), max_relative = 1e-12);
        }
        // Both sides difference numerically here, with different steps.
        let swing = stability::phugoid(&plane, h_m, &level).unwrap();
        assert_relative_eq!(
            swing.period_s,
            number(row, "phugoid_period_s"),
            max_relative = 1e-6
        );
        assert_relative_eq!(
            swing.damping,
            number(row, "phugoid_damping"),
            max_relative = 1e-6
        );
        assert_relative_eq!(
            stability::path_per_speed_deg_per_kt(&plane, h_m),
            number(row, "dgamma_dv_deg_per_kt"),
            max_relative = 1e-6
        );
    }
}

#[test]
fn lever_effects_agree() {
    let data = json(include_str!("data/reference/values.json"));
    let rows = rows(&data, "lever_effects");
    assert_eq!(rows.len(), 4);
    for row in rows {
        let plane = aeroplane(row);
        let h_m = number(row, "altitude_m");
        let level = trim::on_speed(&plane, h_m, 0.0);
        let vertical_fpm = |lever: f64| {
            let path = path_for_lever(&plane, h_m, lever);
            trim::on_speed(&plane, h_m, path).vertical_mps() / FPM
        };
        let gain = vertical_fpm(level.lever + 0.005) - vertical_fpm(level.lever - 0.005);
        assert_relative_eq!(
            gain,
            number(row, "fpm_per_percent_lever"),
            max_relative = 1e-9
        );

        // The highest value at a tick, which is short of the true peak by at most half a tick's curvature, 1e-6 of it.
        let lever = level.lever + 0.05;
        let flight = follow(&plane, trimmed(&plane, h_m, &level), lever, 60.0);
        let paths = flight.iter().map(|s| s.air_data(&Wind::default()).path_rad);
        let peak = paths.fold(f64::NEG_INFINITY, f64::max) / path_for_lever(&plane, h_m, lever);
        assert_relative_eq!(
            peak,
            number(row, "path_peak_over_steady"),
            max_relative = 2e-6
        );

        let from_mps = number(row, "from_fpm") * FPM;
        let descent = root(-0.3, -0.01, |path| {
            trim::on_speed(&plane, h_m, path).vertical_mps() - from_mps
        });
        let start = trimmed(&plane, h_m, &trim::on_speed(&plane, h_m, descent));
        let flight = follow(&plane, start, level.lever, 60.0);
        let stops = stops(&flight);
        let below_ft = |h_m: f64| (number(row, "altitude_m") - h_m) / FT;
        // The instants are read between ticks by a line: 1e-4 s, 1e-4 ft.
        let flown = [
            (stops[0].0, "first_stop_s"),
            (below_ft(stops[0].1), "first_stop_ft"),
            (stops[1].0, "swings_back_s"),
            (below_ft(stops[1].1), "swings_back_to_ft"),
            (below_ft(flight.last().unwrap().h_m), "at_60_s_ft"),
        ];
        for (ours, key) in flown {
            let theirs = number(row, key);
            assert!(
                (ours - theirs).abs() < 1e-4,
                "{}: {key} {ours} {theirs}",
                plane.name
            );
        }
    }
}

/// The lever of each tick: the start value, then the schedule's.
fn levers(run: &Value, ticks: usize) -> Vec<f64> {
    let schedule = run["schedule"].as_array().unwrap();
    let mut levers = vec![number(run, "start_lever"); ticks];
    for row in schedule {
        let from = row["tick"].as_u64().unwrap() as usize;
        levers[from..].fill(number(row, "lever_thousandths") / 1000.0);
    }
    levers
}

/// Flies a run and calls `check` at every sample.
fn fly(
    plane: &Aircraft,
    start: State,
    run: &Value,
    wind: impl Fn(usize) -> Wind,
    check: impl Fn(&Value, &State),
) {
    let samples = run["samples"].as_array().unwrap();
    let tick_of = |sample: &Value| (number(sample, "t_s") / TICK_S).round() as usize;
    let last = tick_of(samples.last().unwrap());
    let levers = levers(run, last);
    let (mut state, mut tick) = (start, 0);
    for sample in samples {
        while tick < tick_of(sample) {
            state = step(plane, &state, levers[tick], &wind(tick), TICK_S);
            tick += 1;
        }
        check(sample, &state);
    }
    assert_eq!(tick, last);
}

#[test]
fn still_air_flights_agree_to_a_millimetre() {
    let data = json(include_str!("data/reference/trajectories.json"));
    let runs = rows(&data, "runs");
    assert_eq!(runs.len(), 4);
    for run in runs {
        let plane = aeroplane(run);
        let h_m = number(run, "start_altitude_m");
        let level = trim::on_speed(&plane, h_m, 0.0);
        assert_relative_eq!(
            level.lever,
            number(run, "start_lever"),
            max_relative = 1e-12
        );
        assert_eq!(
            number(run["samples"].as_array().unwrap().last().unwrap(), "t_s"),
            90.0
        );
        fly(
            &plane,
            trimmed(&plane, h_m, &level),
            run,
            |_| Wind::default(),
            |sample, state| {
                let air = state.air_data(&Wind::default());
                let pairs = [
                    (state.h_m, "altitude_m"),
                    (state.x_m, "distance_m"),
                    (air.speed_mps, "speed_mps"),
                    (100.0 * air.path_rad, "path_rad"),
                    (100.0 * state.theta_rad, "pitch_rad"),
                    (100.0 * state.engine, "engine"),
                ];
                // 1 mm, 1 mm/s, and 1e-5 rad or of available thrust.
                for (ours, key) in pairs {
                    let scale = if key == "path_rad" || key == "pitch_rad" || key == "engine" {
                        100.0
                    } else {
                        1.0
                    };
                    let theirs = scale * number(sample, key);
                    assert!(
                        (ours - theirs).abs() < 1e-3,
                        "{}: {key} {ours} {theirs}",
                        plane.name
                    );
                }
            },
        );
    }
}

#[test]
fn gusty_flights_agree_to_a_millimetre() {
    let winds: Vec<Wind> = include_str!("data/reference/gust_wind.csv")
        .lines()
        .skip(1)
        .map(|line| {
            let cells: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
            Wind {
                headwind_mps: cells[1],
                gust_u_mps: cells[2],
                gust_w_mps: cells[3],
            }
        })
        .collect();
    assert_eq!(winds.len(), 3840);
    let data = json(include_str!("data/reference/gust_trajectories.json"));
    let runs = rows(&data, "runs");
    assert_eq!(runs.len(), 2);
    for run in runs {
        let plane = aeroplane(run);
        let start = &run["start"];
        let h_m = number(start, "altitude_m");
        let level = trim::on_speed(&plane, h_m, 0.0);
        let state = State::on_speed(&plane, h_m, level.speed_mps, 0.0, level.engine, &winds[0]);
        fly(
            &plane,
            state,
            run,
            |tick| winds[tick],
            |sample, state| {
                let pairs = [
                    (state.h_m, "altitude_m"),
                    (state.x_m, "distance_m"),
                    (state.vx_mps, "vx_mps"),
                    (state.vz_mps, "vz_mps"),
                ];
                for (ours, key) in pairs {
                    let theirs = number(sample, key);
                    assert!(
                        (ours - theirs).abs() < 1e-3,
                        "{}: {key} {ours} {theirs}",
                        plane.name
                    );
                }
                // A sample belongs to the wind of the tick that ends there.
                let tick = (number(sample, "t_s") / TICK_S).round() as usize;
                let air = state.air_data(&winds[tick.saturating_sub(1)]);
                assert!((air.speed_mps - number(sample, "airspeed_mps")).abs() < 1e-3);
                assert!((air.path_rad - number(sample, "air_path_rad")).abs() < 1e-5);
            },
        );
    }
}
