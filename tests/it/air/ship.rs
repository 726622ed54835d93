//! The air behind a ship, MIL-F-8785C (1980) 3.7.4.

use super::{behind_ship, gusts_at, mean, variance_z};
use approx::assert_abs_diff_eq;
use leveloff::sim::air::{Air, AirSpec, Wind, wake};
use leveloff::units::{DEG, FT, KT, TICK_S};
use std::f64::consts::TAU;

#[test]
fn wake_figures_are_the_standards() {
    // MIL-F-8785C 3.7.4, figures digitised from a scan.
    let u2 = [
        (-1781.0, 0.0),
        (-1749.0, 0.046),
        (-1652.0, 0.0645),
        (-1568.0, 0.060),
        (-1351.0, 0.030),
        (-1157.0, 0.0415),
        (-417.0, 0.1485),
        (-239.0, 0.0),
    ];
    let w2 = [
        (-2622.0, 0.0),
        (-2416.0, -0.0765),
        (-2198.0, -0.086),
        (-1953.0, -0.082),
        (-1430.0, -0.039),
        (-1059.0, -0.007),
        (-741.0, 0.016),
        (-226.0, -0.006),
        (428.0, -0.007),
    ];
    let sigma_u4 = [
        (-2537.0, 0.0),
        (-1571.0, 0.031),
        (-1205.0, 0.037),
        (-1022.0, 0.0375),
        (-836.0, 0.036),
        (-646.0, 0.027),
        (-431.0, 0.0),
    ];
    let tau_u4 = [
        (-1604.0, 1.03),
        (-1462.0, 1.18),
        (-1185.0, 1.06),
        (-821.0, 0.50),
        (-591.0, 0.30),
        (0.0, 0.1),
        (300.0, 0.1),
    ];
    let hold = |points: &[(f64, f64)], value: &dyn Fn(f64) -> f64| {
        for &(x_ft, y) in points {
            assert_abs_diff_eq!(value(x_ft * FT), y, epsilon = 1e-12);
        }
        for pair in points.windows(2) {
            let middle_ft = 0.5 * (pair[0].0 + pair[1].0);
            assert_abs_diff_eq!(
                value(middle_ft * FT),
                0.5 * (pair[0].1 + pair[1].1),
                epsilon = 1e-12
            );
        }
        let (first, last) = (points[0], points[points.len() - 1]);
        assert_abs_diff_eq!(value((first.0 - 500.0) * FT), first.1, epsilon = 1e-12);
        assert_abs_diff_eq!(value((last.0 + 500.0) * FT), last.1, epsilon = 1e-12);
    };
    hold(&u2, &|x_m| wake::steady(x_m).u);
    hold(&w2, &|x_m| wake::steady(x_m).w);
    hold(&sigma_u4, &|x_m| wake::random(x_m).u);
    hold(&tau_u4, &|x_m| wake::random_tau_s(x_m).u);
    // w4: 0.035, 3.33 s, over the last half nautical mile; faded out at three quarters of a mile (ours).
    for x_ft in [-3038.0, -1500.0, 0.0] {
        assert_abs_diff_eq!(wake::random(x_ft * FT).w, 0.035, epsilon = 1e-12);
    }
    assert_eq!(wake::random(-1389.1).w, 0.0);
    assert_eq!(wake::random_tau_s(-500.0).w, 3.33);
    // Free air: root mean squares 1.7725 and 1.0605 ft/s.
    assert_abs_diff_eq!(wake::free_air_mps().u / FT, 1.7725, epsilon = 6e-5);
    assert_abs_diff_eq!(wake::free_air_mps().w / FT, 1.0605, epsilon = 6e-5);
}

#[test]
fn periodic_part_is_the_standards() {
    // Pitch 1 deg, wind over deck 25 kt, C = 1: u3, w3 in ft/s.
    for (x_ft, u3, w3) in [
        (0.0, 1.635, 3.668),
        (-1000.0, 0.972, 2.342),
        (-2000.0, 0.309, 1.016),
    ] {
        let scale = DEG * 25.0 * KT / FT;
        assert_abs_diff_eq!(wake::periodic(x_ft * FT).u * scale, u3, epsilon = 6e-4);
        assert_abs_diff_eq!(wake::periodic(x_ft * FT).w * scale, w3, epsilon = 6e-4);
    }
    assert!(wake::periodic(-2235.0 * FT).u > 0.0 && wake::periodic(-2535.0 * FT).w > 0.0);
    assert_eq!(wake::periodic(-2237.0 * FT).u, 0.0);
    assert_eq!(wake::periodic(-2537.0 * FT).w, 0.0);
    // In the standard's form, for the place at t = 0: closing at V - V_wd from X0.
    let (v, wod, x0, period_s, phase) = (67.0, 12.0, -900.0, 9.0, 0.7);
    for t_s in [0.0, 3.0, 11.5] {
        let x_m = x0 + (v - wod) * t_s;
        let printed =
            (TAU / period_s * (t_s * (1.0 + (v - wod) / (0.85 * wod)) + x0 / (0.85 * wod)) + phase)
                .cos();
        assert_abs_diff_eq!(
            wake::periodic_factor(t_s, x_m, wod, period_s, phase),
            printed,
            epsilon = 1e-9
        );
    }
}

/// The ship's part at a place: the wind there less that of the same seed's free air.
fn ship_part(spec: &AirSpec, seed: u64, ticks: u64, x_ft: f64) -> Vec<(f64, f64)> {
    let with = gusts_at(spec, seed, ticks, 67.0, 60.0, Some(x_ft * FT));
    let free = gusts_at(spec, seed, ticks, 67.0, 60.0, None);
    let less = |(a, b): (&Wind, &Wind)| (a.gust_u_mps - b.gust_u_mps, a.gust_w_mps - b.gust_w_mps);
    with.iter().zip(&free).map(less).collect()
}

#[test]
fn steady_part_has_its_signs() {
    let wod_mps = 25.0 * KT;
    // Nearest the deck u2 is +0.1485: that much less headwind; no random part along there.
    for (u, _) in ship_part(&behind_ship(25.0, 0.0), 3, 64, -417.0) {
        assert_abs_diff_eq!(u, -0.1485 * wod_mps, epsilon = 1e-12);
    }
    // Far out w2 is -0.086: rising air. Sampled over 4096 s with w4 of 0.035 and 3.33 s, error 0.035 sqrt(2 x 3.33/4096).
    let part = ship_part(&behind_ship(25.0, 0.0), 3, 64 * 4096, -2198.0);
    let up = mean(part.iter().map(|p| p.1)) / wod_mps;
    assert_abs_diff_eq!(
        up,
        0.086,
        epsilon = 3.0 * 0.035 * (2.0 * 3.33_f64 / 4096.0).sqrt()
    );
}

#[test]
fn random_part_has_its_intensity_and_memory() {
    let (wod_mps, x_ft) = (25.0 * KT, -1022.0);
    let part = ship_part(&behind_ship(25.0, 0.0), 9, 64 * 4096, x_ft);
    let steady = wake::steady(x_ft * FT);
    let u: Vec<f64> = part.iter().map(|p| -p.0 / wod_mps - steady.u).collect();
    let w: Vec<f64> = part.iter().map(|p| -p.1 / wod_mps - steady.w).collect();
    // tau of u4 at -1022 ft, between 1.06 s at -1185 and 0.50 s at -821.
    let tau_u_s = 1.06 - 0.56 * 163.0 / 364.0;
    for (values, sigma, tau_s) in [(&u, 0.0375, tau_u_s), (&w, 0.035, 3.33)] {
        let z = variance_z(values, sigma, tau_s);
        assert!(z.abs() < 3.0, "{z}");
        // Correlation after about one time constant: e^-lag/tau, within 4 times sqrt(tau/T) or so.
        let lag = (tau_s / TICK_S).round() as usize;
        let product = mean(values.windows(lag + 1).map(|v| v[0] * v[lag])) / (sigma * sigma);
        let expected = (-(lag as f64) * TICK_S / tau_s).exp();
        assert_abs_diff_eq!(product, expected, epsilon = 4.0 * (tau_s / 4096.0).sqrt());
    }
}

#[test]
fn periodic_part_swings_with_the_ship_and_drifts_aft() {
    // Over the deck, forward of -239 ft, the ship adds only u3 along. Period 8 s = 512 ticks: project on sine and cosine.
    let spec = behind_ship(25.0, 1.0);
    let swing = |x_ft: f64| {
        let part = ship_part(&spec, 21, 512, x_ft);
        let (mut c, mut s) = (0.0, 0.0);
        for (tick, (u, _)) in part.iter().enumerate() {
            let (sin, cos) = (TAU * tick as f64 / 512.0).sin_cos();
            c += -u * cos / 256.0;
            s += u * sin / 256.0;
        }
        for (tick, (u, _)) in part.iter().enumerate() {
            let angle = TAU * tick as f64 / 512.0;
            assert_abs_diff_eq!(*u, -(c * angle.cos() - s * angle.sin()), epsilon = 1e-9);
        }
        (c.hypot(s) / FT, s.atan2(c))
    };
    let (amplitude, phase) = swing(0.0);
    assert_abs_diff_eq!(amplitude, 1.635, epsilon = 6e-4);
    let (_, aft) = swing(-200.0);
    let lag = TAU / 8.0 * 200.0 * FT / (0.85 * 25.0 * KT);
    let difference = (phase - aft - lag).rem_euclid(TAU);
    assert!(difference.min(TAU - difference) < 1e-9, "{difference}");
}

#[test]
fn no_wake_below_five_knots() {
    let at = |spec: &AirSpec, x_m| gusts_at(spec, 8, 200, 67.0, 60.0, x_m);
    let here = Some(-1000.0 * FT);
    let slow = behind_ship(4.9, 2.0);
    assert_eq!(at(&slow, here), at(&slow, None));
    let enough = behind_ship(5.1, 2.0);
    assert_ne!(at(&enough, here), at(&enough, None));
    // A tailwind may take it away, and the free air stays.
    let mut followed = behind_ship(15.0, 2.0);
    followed.headwind_mps = -12.0 * KT;
    assert_eq!(at(&followed, here), at(&followed, None));
    assert!(at(&followed, None).iter().any(|w| w.gust_w_mps != 0.0));
    // Far astern there is none.
    assert_eq!(at(&enough, Some(-1500.0)), at(&enough, None));
}

#[test]
fn ships_air_takes_the_place_of_gusts() {
    let calm = behind_ship(20.0, 1.0);
    let gusty = AirSpec {
        u20_mps: 15.0 * KT,
        ..calm.clone()
    };
    let at = |spec: &AirSpec| gusts_at(spec, 8, 100, 67.0, 60.0, Some(-300.0));
    assert_eq!(at(&calm), at(&gusty));
}

#[test]
fn behind_a_ship_the_gusts_of_settled_air_fade_and_its_steady_part_stays() {
    let x_m = -1200.0 * FT;
    let mut air = Air::new(&behind_ship(25.0, 0.0), 3);
    for tick in 0..640 {
        air.sample(tick, 67.0, 60.0, Some(x_m));
    }
    air.settle();
    // The longest memory is that of w4, 3.33 s: e^-18 is left of it after a minute.
    let last = (640..640 + 64 * 60).map(|tick| air.sample(tick, 67.0, 60.0, Some(x_m)));
    let last = last.last().unwrap();
    let steady = wake::steady(x_m);
    assert!(steady.u > 0.01 && steady.w < -0.01, "{steady:?}");
    assert_abs_diff_eq!(last.gust_u_mps, -25.0 * KT * steady.u, epsilon = 1e-6);
    assert_abs_diff_eq!(last.gust_w_mps, -25.0 * KT * steady.w, epsilon = 1e-6);
}
