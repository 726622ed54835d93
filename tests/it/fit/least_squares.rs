//! The least-squares core against certified values, and whole fits against SciPy.

use approx::assert_relative_eq;
use leveloff::fit::least_squares::minimise;
use leveloff::fit::rows::SteadyRow;
use leveloff::fit::{Drive, fit, rounded_alike};
use serde_json::Value;

use super::made_up::{Chance, given};
use crate::flying;

/// A data set of the NIST Statistical Reference Datasets for nonlinear regression (StRD, certified to eleven digits): its model,
/// starts, certified parameters with their standard deviations, certified residual sum of squares, and (y, x).
struct Certified {
    model: fn(&[f64], f64) -> f64,
    starts: [&'static [f64]; 2],
    values: &'static [f64],
    deviations: &'static [f64],
    sum: f64,
    data: &'static [(f64, f64)],
}

/// StRD, Misra1a: lower difficulty.
#[rustfmt::skip]
const MISRA1A: Certified = Certified {
    model: |b, x| b[0] * (1.0 - (-b[1] * x).exp()),
    starts: [&[500.0, 0.0001], &[250.0, 0.0005]],
    values: &[2.3894212918e2, 5.5015643181e-4],
    deviations: &[2.7070075241e0, 7.2668688436e-6],
    sum: 1.2455138894e-1,
    data: &[
        (10.07, 77.6), (14.73, 114.9), (17.94, 141.1), (23.93, 190.8), (29.61, 239.9), (35.18, 289.0), (40.02, 332.8),
        (44.82, 378.4), (50.76, 434.8), (55.05, 477.3), (61.01, 536.8), (66.40, 593.1), (75.47, 689.1), (81.78, 760.0),
    ],
};

/// StRD, Roszman1: average difficulty.
#[rustfmt::skip]
const ROSZMAN1: Certified = Certified {
    model: |b, x| b[0] - b[1] * x - (b[2] / (x - b[3])).atan() / std::f64::consts::PI,
    starts: [&[0.1, -0.00001, 1000.0, -100.0], &[0.2, -0.000005, 1200.0, -150.0]],
    values: &[2.0196866396e-1, -6.1953516256e-6, 1.2044556708e3, -1.8134269537e2],
    deviations: &[1.9172666023e-2, 3.2058931691e-6, 7.4050983057e1, 4.9573513849e1],
    sum: 4.9484847331e-4,
    data: &[
        (0.252429, -4868.68), (0.252141, -4868.09), (0.251809, -4867.41), (0.297989, -3375.19), (0.296257, -3373.14),
        (0.295319, -3372.03), (0.339603, -2473.74), (0.337731, -2472.35), (0.333820, -2469.45), (0.389510, -1894.65),
        (0.386998, -1893.40), (0.438864, -1497.24), (0.434887, -1495.85), (0.427893, -1493.41), (0.471568, -1208.68),
        (0.461699, -1206.18), (0.461144, -1206.04), (0.513532, -997.92), (0.506641, -996.61), (0.505062, -996.31),
        (0.535648, -834.94), (0.533726, -834.66), (0.568064, -710.03), (0.612886, -530.16), (0.624169, -464.17),
    ],
};

/// StRD, MGH09: higher difficulty (Kowalik and Osborne).
#[rustfmt::skip]
const MGH09: Certified = Certified {
    model: |b, x| b[0] * (x * x + x * b[1]) / (x * x + x * b[2] + b[3]),
    starts: [&[25.0, 39.0, 41.5, 39.0], &[0.25, 0.39, 0.415, 0.39]],
    values: &[1.9280693458e-1, 1.9128232873e-1, 1.2305650693e-1, 1.3606233068e-1],
    deviations: &[1.1435312227e-2, 1.9633220911e-1, 8.0842031232e-2, 9.0025542308e-2],
    sum: 3.0750560385e-4,
    data: &[
        (0.1957, 4.0), (0.1947, 2.0), (0.1735, 1.0), (0.16, 0.5), (0.0844, 0.25), (0.0627, 0.167), (0.0456, 0.125),
        (0.0342, 0.1), (0.0323, 0.0833), (0.0235, 0.0714), (0.0246, 0.0625),
    ],
};

#[test]
fn certified_problems_are_solved_from_both_starts() {
    for certified in [MISRA1A, ROSZMAN1, MGH09] {
        for start in certified.starts {
            let left = |b: &[f64]| {
                let data = certified.data.iter();
                data.map(|(y, x)| (certified.model)(b, *x) - y)
                    .collect::<Vec<f64>>()
            };
            let solution = minimise(left, start).unwrap();
            assert_relative_eq!(solution.sum(), certified.sum, max_relative = 1e-9);
            let freedom = (certified.data.len() - start.len()) as f64;
            for (i, value) in certified.values.iter().enumerate() {
                assert_relative_eq!(solution.values[i], *value, max_relative = 1e-6);
                let deviation = (solution.covariance[i][i] * solution.sum() / freedom).sqrt();
                assert_relative_eq!(deviation, certified.deviations[i], max_relative = 1e-6);
            }
        }
    }
}

#[test]
fn what_cannot_be_told_apart_has_no_solution() {
    let left = |b: &[f64]| {
        vec![
            b[0] + b[1] - 1.0,
            2.0 * (b[0] + b[1]) - 3.0,
            1.0 - b[0] - b[1],
        ]
    };
    assert!(minimise(left, &[0.3, 0.2]).is_none());
}

/// No published source: the mean product of two rounding errors, drawn.
#[test]
fn rounding_errors_hang_together_as_the_second_bernoulli_polynomial() {
    let mut chance = Chance(3);
    for steps in [0.0, 0.1, 0.35, 0.5, 0.9, 1.0, 4.8] {
        let count = 40_000;
        let error = |x: f64| x.round() - x;
        let drawn: f64 = (0..count)
            .map(|_| {
                let x = chance.between(0.0, 1.0);
                error(x) * error(x + steps)
            })
            .sum();
        assert!(
            (12.0 * drawn / f64::from(count) - rounded_alike(steps)).abs() < 0.02,
            "{steps}"
        );
    }
}

/// The same rows fitted by SciPy's least_squares with another form of the equations, and weights and intervals written
/// independently.
#[test]
fn fits_agree_with_scipy() {
    let data: Value =
        serde_json::from_str(include_str!("../data/reference/fit_rows.json")).unwrap();
    let fits = data["fits"].as_array().unwrap();
    assert_eq!(fits.len(), 4);
    for theirs in fits {
        let rows = theirs["rows"].as_array().unwrap().iter();
        let rows: Vec<SteadyRow> = rows
            .map(|row| {
                let of = |key: &str| row[key].as_f64().unwrap();
                SteadyRow {
                    lever: of("lever"),
                    vertical_mps: of("vertical_mps"),
                    speed_mps: of("speed_mps"),
                    mass_kg: of("mass_kg"),
                    h_m: of("h_m"),
                    at: 0,
                }
            })
            .collect();
        let name = theirs["aircraft"].as_str().unwrap();
        let ours = fit(&rows, &given(Some(Drive::of(&flying::aircraft(name)))))
            .unwrap()
            .report;
        assert_eq!(ours.nearest, name);
        for (key, figure) in theirs["figures"].as_object().unwrap() {
            let between = ours.told.iter().find(|own| own.key == key).unwrap().between;
            let of = |key: &str| figure[key].as_f64().unwrap();
            assert_relative_eq!(between.value, of("value"), max_relative = 1e-6);
            // The interval is one of ratios: its ends are a factor apart.
            let half_width = between.value * (between.high / between.low).ln() / 2.0;
            assert_relative_eq!(half_width, of("half_width"), max_relative = 1e-4);
        }
    }
}
