//! Dryden gusts at low altitude, MIL-F-8785C (1980) 3.7.1.2 and 3.7.3.4.

use super::{gusts_at, gusty, variance_z};
use approx::{assert_abs_diff_eq, assert_relative_eq};
use leveloff::sim::air::{Air, dryden};
use leveloff::units::{FT, KT, TICK_S};

#[test]
fn scales_are_the_standards() {
    // MIL-F-8785C 3.7.3.4, low altitude.
    let table = [
        (50.0, 310.79, 1.838_65),
        (100.0, 505.17, 1.715_85),
        (200.0, 725.79, 1.536_71),
        (300.0, 840.24, 1.409_60),
        (500.0, 944.66, 1.236_24),
        (1000.0, 1000.0, 1.0),
    ];
    for (height_ft, l_u_ft, ratio) in table {
        let s = dryden::scales(height_ft * FT, 15.0 * KT);
        assert_abs_diff_eq!(s.l_u_m / FT, l_u_ft, epsilon = 6e-3);
        assert_abs_diff_eq!(s.l_w_m / FT, height_ft, epsilon = 1e-9);
        assert_abs_diff_eq!(s.sigma_u_mps / s.sigma_w_mps, ratio, epsilon = 6e-6);
    }
    // The standard's light, moderate and severe.
    for (u20_kt, sigma_w_fps) in [(15.0, 2.5317), (30.0, 5.0634), (45.0, 7.5951)] {
        let s = dryden::scales(300.0 * FT, u20_kt * KT);
        assert_abs_diff_eq!(s.sigma_w_mps / FT, sigma_w_fps, epsilon = 6e-5);
    }
    assert_eq!(dryden::scales(1.0, 5.0), dryden::scales(10.0 * FT, 5.0));
    assert_eq!(
        dryden::scales(9000.0, 5.0),
        dryden::scales(1000.0 * FT, 5.0)
    );
}

#[test]
fn sampled_variance_is_the_standards() {
    // I = 1/a along, 0.625/b across (a = V/L_u, b = V/L_w), in the relative error sqrt(2 I/T); T = 4096 s a case.
    let speed_mps = 65.0;
    for (seed, height_ft) in [(1, 30.0), (2, 100.0), (3, 300.0), (4, 1000.0)] {
        let height_m = height_ft * FT;
        let s = dryden::scales(height_m, 8.0 * KT);
        let winds = gusts_at(&gusty(8.0), seed, 64 * 4096, speed_mps, height_m, None);
        let u: Vec<f64> = winds.iter().map(|w| w.gust_u_mps).collect();
        let w: Vec<f64> = winds.iter().map(|w| w.gust_w_mps).collect();
        let z_u = variance_z(&u, s.sigma_u_mps, s.l_u_m / speed_mps);
        let z_w = variance_z(&w, s.sigma_w_mps, 0.625 * s.l_w_m / speed_mps);
        assert!(
            z_u.abs() < 3.0 && z_w.abs() < 3.0,
            "{height_ft} ft: {z_u:.2} {z_w:.2}"
        );
    }
}

#[test]
fn first_sample_is_stationary() {
    // Over 20,000 seeds the first gust has the full variance (relative error 1 %), and so does the one a second later.
    let s = dryden::scales(100.0, 8.0 * KT);
    let n = 20_000;
    let (mut first, mut later) = ((0.0, 0.0), (0.0, 0.0));
    for seed in 0..n {
        let winds = gusts_at(&gusty(8.0), seed, 2, 65.0, 100.0, None);
        first = (
            first.0 + winds[0].gust_u_mps.powi(2),
            first.1 + winds[0].gust_w_mps.powi(2),
        );
        later = (
            later.0 + winds[1].gust_u_mps.powi(2),
            later.1 + winds[1].gust_w_mps.powi(2),
        );
    }
    for (u, w) in [first, later] {
        assert_abs_diff_eq!(u / n as f64 / s.sigma_u_mps.powi(2), 1.0, epsilon = 0.03);
        assert_abs_diff_eq!(w / n as f64 / s.sigma_w_mps.powi(2), 1.0, epsilon = 0.03);
    }
}

#[test]
fn intensity_is_that_of_the_height_flown_through() {
    // From 1000 ft to 50 ft in one tick: the gust along grows at once by the ratio of the intensities, but for one tick's noise.
    let jump = |height_ft: f64| {
        let mut air = Air::new(&gusty(8.0), 5);
        for tick in 0..200 {
            air.sample(tick, 0.0, 1000.0 * FT, None);
        }
        air.sample(200, 0.0, height_ft * FT, None)
    };
    let (high, low) = (jump(1000.0), jump(50.0));
    assert_relative_eq!(
        low.gust_u_mps / high.gust_u_mps,
        1.838_65,
        max_relative = 1e-5
    );
    assert_eq!(low.gust_w_mps, high.gust_w_mps);
}

#[test]
fn gusts_of_settled_air_fade_by_their_correlation() {
    // The expectation of a Gaussian gust of spectrum 1/(1 + (L O)^2) a time t later is exp(-V t/L) of it: MIL-F-8785C 3.7.1.2
    // and its correlation, exp(-distance/L).
    let (speed_mps, height_m) = (70.0, 150.0);
    let mut air = Air::new(&gusty(20.0), 3);
    for tick in 0..640 {
        air.sample(tick, speed_mps, height_m, None);
    }
    let mut goes_on = air.clone();
    air.settle();
    let l_u_m = dryden::scales(height_m, 20.0 * KT).l_u_m;
    let last = air.sample(640, speed_mps, height_m, None);
    assert!(last.gust_u_mps.abs() > 0.1 && last.gust_w_mps.abs() > 0.01);
    assert_ne!(goes_on.sample(640, speed_mps, height_m, None), last);
    for tick in 1..=3200_u64 {
        let gust = air.sample(640 + tick, speed_mps, height_m, None);
        let left = (-speed_mps * tick as f64 * TICK_S / l_u_m).exp();
        assert_relative_eq!(gust.gust_u_mps, left * last.gust_u_mps, max_relative = 1e-9);
        if tick == 3200 {
            assert!(gust.gust_w_mps.abs() < 1e-3 * last.gust_w_mps.abs());
        }
    }
}
