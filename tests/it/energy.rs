//! Energy as a judge of the equations and the integrator. No published source: mechanics. The order of the classical
//! Runge-Kutta method is that of any textbook on numerical analysis.

use super::flying::{aircraft, textbook, trimmed};
use leveloff::sim::air::Wind;
use leveloff::sim::aircraft::Aircraft;
use leveloff::sim::dynamics::{State, rates, step};
use leveloff::sim::trim;
use leveloff::units::{G, TICK_S};

/// Kinetic and potential energy per kg, J/kg.
fn energy(s: &State) -> f64 {
    0.5 * (s.vx_mps * s.vx_mps + s.vz_mps * s.vz_mps) + G * s.h_m
}

#[test]
fn nothing_is_lost_without_lift_drag_and_thrust() {
    let mut plane = textbook(1000.0, 0.0, 0.0, 0.0, 0.0, 1.0);
    plane.swing_damping = 0.4;
    let mut state = State {
        vx_mps: 60.0,
        vz_mps: 25.0,
        h_m: 20_000.0,
        ..State::default()
    };
    let before = energy(&state);
    for _ in 0..60 * 64 {
        state = step(&plane, &state, 0.0, &Wind::default(), TICK_S);
    }
    // A thrown stone: 60 s of free fall, exactly.
    assert!((state.vz_mps - (25.0 - 60.0 * G)).abs() < 1e-9);
    assert!((state.x_m - 3600.0).abs() < 1e-9);
    assert!(
        (energy(&state) / before - 1.0).abs() < 1e-9,
        "{}",
        energy(&state) / before - 1.0
    );
}

/// Power of thrust and drag per kg, W/kg, straight from the laws of the forces; lift does no work.
fn power(plane: &Aircraft, s: &State) -> f64 {
    let air = s.air_data(&Wind::default());
    let rho = leveloff::sim::atmosphere::at(s.h_m);
    let q_area = 0.5 * rho.rho_kgm3 * air.speed_mps * air.speed_mps * plane.area_m2;
    let drag_n = q_area * plane.drag_coefficient(plane.lift_coefficient(air.alpha_rad));
    let thrust_n = s.engine * plane.engine.available_n(rho, air.speed_mps);
    (thrust_n * air.alpha_rad.cos() - drag_n) * air.speed_mps / plane.mass_kg
}

#[test]
fn work_of_thrust_and_drag_is_the_energy_gained() {
    for (name, levers) in [
        ("first jet", [0.2, 0.6, 0.35]),
        ("deck jet", [0.25, 0.55, 0.38]),
        ("late jet", [0.3, 0.7, 0.49]),
        ("prop trainer", [0.3, 0.9, 0.58]),
    ] {
        let plane = aircraft(name);
        let level = trim::on_speed(&plane, 900.0, 0.0);
        let mut state = trimmed(&plane, 900.0, &level);
        let before = energy(&state);
        let (mut work, mut moved) = (0.0, 0.0);
        for tick in 0..60 * 64 {
            let lever = levers[tick / (20 * 64)];
            // Simpson's rule over the tick, its middle flown with half a step.
            let middle = step(&plane, &state, lever, &Wind::default(), TICK_S / 2.0);
            let after = step(&plane, &state, lever, &Wind::default(), TICK_S);
            let tick_work = TICK_S / 6.0
                * (power(&plane, &state) + 4.0 * power(&plane, &middle) + power(&plane, &after));
            work += tick_work;
            moved += tick_work.abs();
            state = after;
        }
        let gained = energy(&state) - before;
        assert!(
            moved > 100.0,
            "{name}: the lever must do something, {moved} J/kg"
        );
        assert!(
            (gained - work).abs() < 1e-6 * moved,
            "{name}: {gained} {work} {moved}"
        );
    }
}

#[test]
fn rates_are_the_equations_in_speed_and_path() {
    // The state is the velocity; the equations are stated in speed and path: V' = (T cos a - D)/m - g sin gamma,
    // gamma' = (L + T sin a)/(m V) - g cos gamma/V. Written out a second time here.
    for (name, path_rad, alpha_rad, speed, engine) in [
        ("first jet", 0.05, 0.10, 60.0, 0.5),
        ("deck jet", -0.08, 0.19, 64.0, 0.2),
        ("late jet", 0.11, 0.14, 80.0, 0.9),
        ("prop trainer", -0.02, 0.05, 38.0, 0.7_f64),
    ] {
        let plane = aircraft(name);
        let (sin, cos) = f64::sin_cos(path_rad);
        let s = State {
            vx_mps: speed * cos,
            vz_mps: speed * sin,
            h_m: 700.0,
            x_m: 0.0,
            theta_rad: path_rad + alpha_rad,
            engine,
        };
        let rate = rates(&plane, &s, 0.3, &Wind::default());
        let rho = leveloff::sim::atmosphere::at(s.h_m);
        let q_area = 0.5 * rho.rho_kgm3 * speed * speed * plane.area_m2;
        let cl = plane.cl0 + plane.cl_per_rad * alpha_rad;
        let (lift, drag) = (q_area * cl, q_area * (plane.cd0 + plane.k * cl * cl));
        let thrust = engine * plane.engine.available_n(rho, speed);
        let m = plane.mass_kg;
        let speed_rate = (thrust * alpha_rad.cos() - drag) / m - G * sin;
        let path_rate = (lift + thrust * alpha_rad.sin()) / (m * speed) - G * cos / speed;
        let close = |ours: f64, theirs: f64| {
            assert!((ours - theirs).abs() < 1e-12, "{name}: {ours} {theirs}")
        };
        close(rate.vx_mps * cos + rate.vz_mps * sin, speed_rate);
        close((rate.vz_mps * cos - rate.vx_mps * sin) / speed, path_rate);
        let wanted = plane.alpha_on_rad + plane.swing_damping * speed_rate / G;
        close(rate.theta_rad, (wanted - alpha_rad) / plane.pitch_hold_s);
        close(rate.h_m, s.vz_mps);
        close(rate.x_m, s.vx_mps);
    }
}

#[test]
fn a_steady_wind_only_carries() {
    // In a wind that does not change, motion through the air is that of still air.
    let plane = aircraft("deck jet");
    let wind = Wind {
        headwind_mps: 9.0,
        gust_u_mps: -2.5,
        gust_w_mps: 1.5,
    };
    let level = trim::on_speed(&plane, 450.0, 0.0);
    let mut still = trimmed(&plane, 450.0, &level);
    // Density follows height, so the vertical wind is left out of the comparison of heights by a column of one density: 1 s.
    let mut windy = State::on_speed(&plane, 450.0, level.speed_mps, 0.0, level.engine, &wind);
    for tick in 1..=64 {
        still = step(&plane, &still, 0.5, &Wind::default(), TICK_S);
        windy = step(&plane, &windy, 0.5, &wind, TICK_S);
        let seconds = tick as f64 * TICK_S;
        let (a, b) = (still.air_data(&Wind::default()), windy.air_data(&wind));
        assert!((a.speed_mps - b.speed_mps).abs() < 1e-3);
        assert!((a.path_rad - b.path_rad).abs() < 1e-5);
        assert!((still.x_m - windy.x_m - 6.5 * seconds).abs() < 1e-3);
        assert!((windy.h_m - still.h_m - 1.5 * seconds).abs() < 1e-3);
    }
}

#[test]
fn the_integrator_is_of_fourth_order() {
    // The engine stays below half of its thrust, where its law is smooth; the lever moves on steps of the coarsest grid.
    for (name, levers) in [
        ("first jet", [0.25, 0.42, 0.3]),
        ("deck jet", [0.28, 0.44, 0.35]),
        ("late jet", [0.38, 0.45, 0.4]),
    ] {
        let plane = aircraft(name);
        let level = trim::on_speed(&plane, 450.0, 0.0);
        let altitude_m = |steps_per_s: usize| {
            let mut state = State {
                engine: level.engine.min(0.45),
                ..trimmed(&plane, 450.0, &level)
            };
            for n in 0..30 * steps_per_s {
                let lever = levers[n / (10 * steps_per_s)];
                state = step(
                    &plane,
                    &state,
                    lever,
                    &Wind::default(),
                    1.0 / steps_per_s as f64,
                );
                assert!(state.engine < 0.5);
            }
            state.h_m
        };
        let exact = altitude_m(512);
        let errors = [4, 8, 16, 32].map(|steps| (altitude_m(steps) - exact).abs());
        for pair in errors.windows(2) {
            let ratio = pair[0] / pair[1];
            assert!((12.0..20.0).contains(&ratio), "{name}: {errors:?} {ratio}");
        }
    }
}
