//! Sampled spectra against the standard's, MIL-F-8785C (1980) 3.7.1.2 and 3.7.4.

use super::{behind_ship, gusts_at, gusty, variance_z};
use leveloff::sim::air::{Wind, dryden, wake};
use leveloff::units::{FT, KT, TICK_S};
use std::f64::consts::{PI, TAU};

/// One-sided Dryden spectra of MIL-F-8785C 3.7.1.2, per rad/m: along and vertical, `o` in rad/m.
fn dryden_spectra(s: &dryden::Scales, o: f64) -> (f64, f64) {
    let (lu, lw) = ((s.l_u_m * o).powi(2), (s.l_w_m * o).powi(2));
    (
        s.sigma_u_mps.powi(2) * (2.0 * s.l_u_m / PI) / (1.0 + lu),
        s.sigma_w_mps.powi(2) * (s.l_w_m / PI) * (1.0 + 3.0 * lw) / (1.0 + lw).powi(2),
    )
}

/// One-sided free-air spectra of MIL-F-8785C 3.7.4, per rad/m; the standard's are (ft/s)^2 per rad/ft.
fn free_air_spectra(o: f64) -> (f64, f64) {
    let shape = FT.powi(3) / (1.0 + (100.0 * FT * o).powi(2));
    (200.0 * shape, 71.6 * shape)
}

/// In-place radix-2 transform of complex numbers (re, im), forward, not scaled.
fn transform(x: &mut [(f64, f64)]) {
    let n = x.len();
    let bits = n.trailing_zeros();
    for i in 0..n {
        let j = i.reverse_bits() >> (usize::BITS - bits);
        if i < j {
            x.swap(i, j);
        }
    }
    let roots: Vec<(f64, f64)> = (0..n / 2)
        .map(|k| (-TAU * k as f64 / n as f64).sin_cos())
        .map(|(s, c)| (c, s))
        .collect();
    let mut half = 1;
    while half < n {
        let stride = n / (2 * half);
        for block in x.chunks_exact_mut(2 * half) {
            let (a, b) = block.split_at_mut(half);
            for (k, (a, b)) in a.iter_mut().zip(b).enumerate() {
                let (c, s) = roots[k * stride];
                let t = (b.0 * c - b.1 * s, b.0 * s + b.1 * c);
                (*b, *a) = ((a.0 - t.0, a.1 - t.1), (a.0 + t.0, a.1 + t.1));
            }
        }
        half *= 2;
    }
}

/// Checks sampled spectra against `spectra` (one-sided, per rad/m) in 24 bands from 0.02 to 5 Hz.
///
/// A band's mean of n periodogram ordinates over the expected ones has the relative error 1/sqrt(n). The expected spectrum of
/// samples at 64 Hz is folded about 32 Hz, since the discretisation is exact in time.
fn hold_spectra(winds: &[Wind], speed_mps: f64, spectra: impl Fn(f64) -> (f64, f64)) {
    let n = winds.len();
    let length_s = n as f64 * TICK_S;
    let mut x: Vec<(f64, f64)> = winds.iter().map(|w| (w.gust_u_mps, w.gust_w_mps)).collect();
    transform(&mut x);
    // Both components in one transform: symmetry separates the real and imaginary parts. One-sided, per Hz.
    let scale = 2.0 * TICK_S / n as f64;
    let measured = |k: usize| {
        let (a, b) = (x[k], x[n - k]);
        let square = |re: f64, im: f64| scale * 0.25 * (re * re + im * im);
        (square(a.0 + b.0, a.1 - b.1), square(a.1 + b.1, b.0 - a.0))
    };
    let per_hz = |hz: f64| {
        let (u, w) = spectra(TAU * hz.abs() / speed_mps);
        (u * TAU / speed_mps, w * TAU / speed_mps)
    };
    let (bands, low_hz, high_hz) = (24, 0.02_f64, 5.0_f64);
    let edge_hz = |i: usize| low_hz * (high_hz / low_hz).powf(i as f64 / bands as f64);
    let mut squares = (0.0, 0.0);
    for band in 0..bands {
        let first = (edge_hz(band) * length_s).ceil() as usize;
        let end = (edge_hz(band + 1) * length_s).ceil() as usize;
        let centre_hz = (edge_hz(band) * edge_hz(band + 1)).sqrt();
        let fold = |part: fn((f64, f64)) -> f64| {
            let folded: f64 = (-200..=200)
                .map(|k| part(per_hz(centre_hz + 64.0 * f64::from(k))))
                .sum();
            folded / part(per_hz(centre_hz))
        };
        let fold = (fold(|p| p.0), fold(|p| p.1));
        let count = (end - first) as f64;
        let (mut u, mut w) = (0.0, 0.0);
        for k in first..end {
            let (found, expected) = (measured(k), per_hz(k as f64 / length_s));
            u += found.0 / (expected.0 * fold.0) / count;
            w += found.1 / (expected.1 * fold.1) / count;
        }
        let z = ((u - 1.0) * count.sqrt(), (w - 1.0) * count.sqrt());
        assert!(
            z.0.abs() < 4.0 && z.1.abs() < 4.0,
            "{centre_hz:.3} Hz: {u:.3} ({:.1}) {w:.3} ({:.1})",
            z.0,
            z.1
        );
        squares = (squares.0 + z.0 * z.0 / 24.0, squares.1 + z.1 * z.1 / 24.0);
    }
    // Mean square of 24 unit deviates: 1 with error 0.29.
    assert!(
        (0.2..2.0).contains(&squares.0) && (0.2..2.0).contains(&squares.1),
        "{squares:?}"
    );
}

#[test]
fn sampled_spectra_are_the_standards() {
    let (speed_mps, height_m) = (65.0, 200.0 * FT);
    let winds = gusts_at(&gusty(8.0), 11, 1 << 19, speed_mps, height_m, None);
    let s = dryden::scales(height_m, 8.0 * KT);
    hold_spectra(&winds, speed_mps, |o| dryden_spectra(&s, o));
}

#[test]
fn sampled_free_air_behind_a_ship_is_the_standards() {
    let speed_mps = 67.0;
    let winds = gusts_at(&behind_ship(25.0, 1.0), 12, 1 << 18, speed_mps, 60.0, None);
    hold_spectra(&winds, speed_mps, free_air_spectra);
    let free = wake::free_air_mps();
    let integral_s = 100.0 * FT / speed_mps;
    let u: Vec<f64> = winds.iter().map(|w| w.gust_u_mps).collect();
    let w: Vec<f64> = winds.iter().map(|w| w.gust_w_mps).collect();
    assert!(variance_z(&u, free.u, integral_s).abs() < 3.0);
    assert!(variance_z(&w, free.w, integral_s).abs() < 3.0);
}
