//! The loop through hand and aeroplane, and the frequency at which its gain is one.
//!
//! The loop is cut at the lever: what the hand makes of missing altitude, vertical speed and its change is all made of one
//! displayed error and its changes, so this is the altitude loop of the crossover law, `Yp Yc = wc e^(-tau s)/s` with the lead in
//! Yp (McRuer and Krendel, AGARD-AG-188; form read second-hand). With P the altitude per lever of the aeroplane,
//! linearised about level on-speed flight with its engine, and s = j w:
//!
//! `L = (per_m + per_mps s A(s) + per_mps2 s B(s)) H(s) P(s)`,
//!
//! A and B being what the view makes of vertical speed (1 and s for a view of no length), H that the lever is held between moves,
//! of size sin(w T/2)/(w T/2) for a hold of T. The delay turns L but does not change its size.

use super::law::Law;
use super::linear::inverse;
use super::view::View;
use crate::sim::air::Wind;
use crate::sim::aircraft::Aircraft;
use crate::sim::dynamics::{State, rates};
use crate::sim::math::{exp, ln, sin};
use crate::sim::trim;

/// Frequencies looked at, rad/s.
const RANGE_RADPS: (f64, f64) = (0.03, 3.0);
/// How many, evenly spaced by ratio.
const FREQUENCIES: usize = 140;

/// Real and imaginary part.
type Complex = (f64, f64);

fn times(a: Complex, b: Complex) -> Complex {
    (a.0 * b.0 - a.1 * b.1, a.0 * b.1 + a.1 * b.0)
}

fn size(a: Complex) -> f64 {
    (a.0 * a.0 + a.1 * a.1).sqrt()
}

/// What altitude and the views make of a lever that swings at some frequencies.
pub(super) struct Loop {
    points: Vec<Point>,
}

struct Point {
    frequency_radps: f64,
    /// Altitude per lever, m.
    altitude_m: Complex,
    /// Seen vertical speed (m/s) and its change (m/s^2) per lever, by view.
    seen: Vec<[Complex; 2]>,
}

impl Loop {
    /// Of an aeroplane in level on-speed flight at an altitude in m and a lever that is held for so long.
    pub(super) fn new(aircraft: &Aircraft, altitude_m: f64, hold_s: f64, views: &[View]) -> Loop {
        let (a, b) = linearised(aircraft, altitude_m);
        let ratio = ln(RANGE_RADPS.1 / RANGE_RADPS.0) / (FREQUENCIES - 1) as f64;
        let points = (0..FREQUENCIES).filter_map(|n| {
            let frequency_radps = RANGE_RADPS.0 * exp(n as f64 * ratio);
            let half_rad = 0.5 * frequency_radps * hold_s;
            let kept = if half_rad > 0.0 {
                sin(half_rad) / half_rad
            } else {
                1.0
            };
            let altitude_m = times((kept, 0.0), altitude_per_lever(&a, &b, frequency_radps)?);
            let vertical_mps = times((0.0, frequency_radps), altitude_m);
            let seen = views.iter().map(|view| {
                view.answer(frequency_radps)
                    .map(|answer| times(answer, vertical_mps))
            });
            Some(Point {
                frequency_radps,
                altitude_m,
                seen: seen.collect(),
            })
        });
        Loop {
            points: points.collect(),
        }
    }

    /// The highest frequency at which the gain is one, rad/s; None where it is nowhere so within the range, or altitude plays
    /// no part.
    pub(super) fn crossover_radps(&self, law: &Law, view: usize) -> Option<f64> {
        if law.per_m == 0.0 {
            return None;
        }
        let ln_gain = |point: &Point| {
            let [speed, change] = point.seen[view];
            let part = |at: fn(&Complex) -> f64| {
                law.per_m * at(&point.altitude_m)
                    + law.per_mps * at(&speed)
                    + law.per_mps2 * at(&change)
            };
            ln(size((part(|a| a.0), part(|a| a.1))))
        };
        let mut above = self.points.last()?;
        let mut ln_above = ln_gain(above);
        if ln_above >= 0.0 {
            return None;
        }
        for below in self.points.iter().rev().skip(1) {
            let ln_below = ln_gain(below);
            if ln_below >= 0.0 {
                let share = ln_below / (ln_below - ln_above);
                let ratio = ln(above.frequency_radps / below.frequency_radps);
                return Some(below.frequency_radps * exp(share * ratio));
            }
            (above, ln_above) = (below, ln_below);
        }
        None
    }
}

/// Jacobian of the state's rates in (velocity along, vertical speed, altitude, pitch attitude, engine) and in the lever, about
/// level on-speed flight, by central differences.
fn linearised(aircraft: &Aircraft, altitude_m: f64) -> ([[f64; 5]; 5], [f64; 5]) {
    let level = trim::on_speed(aircraft, altitude_m, 0.0);
    let still = Wind::default();
    let about = State::on_speed(
        aircraft,
        altitude_m,
        level.speed_mps,
        0.0,
        level.engine,
        &still,
    );
    let inputs = |s: &State, lever: f64| [s.vx_mps, s.vz_mps, s.h_m, s.theta_rad, s.engine, lever];
    let rate = |v: [f64; 6]| {
        let state = State {
            vx_mps: v[0],
            vz_mps: v[1],
            h_m: v[2],
            x_m: 0.0,
            theta_rad: v[3],
            engine: v[4],
        };
        inputs(&rates(aircraft, &state, v[5], &still), 0.0)
    };
    let nudge = [1e-3, 1e-3, 1.0, 1e-5, 1e-5, 1e-5];
    let (mut a, mut b) = ([[0.0; 5]; 5], [0.0; 5]);
    for (column, by) in nudge.into_iter().enumerate() {
        let moved = |by: f64| {
            let mut v = inputs(&about, level.lever);
            v[column] += by;
            rate(v)
        };
        let (more, less) = (moved(by), moved(-by));
        for row in 0..5 {
            let slope = (more[row] - less[row]) / (2.0 * by);
            match column {
                5 => b[row] = slope,
                _ => a[row][column] = slope,
            }
        }
    }
    (a, b)
}

/// The altitude of `(j w - A) x = B`, in real numbers.
fn altitude_per_lever(a: &[[f64; 5]; 5], b: &[f64; 5], frequency_radps: f64) -> Option<Complex> {
    let mut matrix = vec![vec![0.0; 10]; 10];
    for row in 0..5 {
        for column in 0..5 {
            matrix[row][column] = -a[row][column];
            matrix[row + 5][column + 5] = -a[row][column];
        }
        matrix[row][row + 5] = -frequency_radps;
        matrix[row + 5][row] = frequency_radps;
    }
    let inverse = inverse(&matrix)?;
    const ALTITUDE: usize = 2;
    let part = |row: usize| (0..5).map(|n| inverse[row][n] * b[n]).sum();
    Some((part(ALTITUDE), part(ALTITUDE + 5)))
}
