//! The law behind the moves: every delay and every view is fitted by least squares and weighed by how well it explains them.
//!
//! Beside what is seen, each leg has a level of its own, and all moves one more unknown: a hand makes moves that are worth making
//! and in lumps, and so goes beyond what it wants by about as much each time, up or down.
//!
//! Weights are the marginal likelihood of normal errors of unknown size under flat priors, `S^(-nu/2)` with S the sum of squared
//! residuals and nu the degrees of freedom (linear regression as in textbooks of Bayesian statistics; from memory). An estimate
//! is the weighted mean, its variance the weighted variance between the fits and within them, its interval Student's.
//!
//! Hands are not so regular as that, so three things widen the intervals. Degrees of freedom are cut where residuals are like
//! their neighbours: a drifting hand does not look like many. The variance of coefficients is the usual one or, if larger, the
//! one that lets errors grow with what is seen (White, *Econometrica* 48, 1980; from memory). The weights are made as much flatter as
//! that same variance of the delay is larger than the usual one: a hand whose reaction wavers errs most where most changes.

use super::Estimate;
use super::linear::{Solution, dot, least_squares, squares, squares_left};
use super::sample::Sample;
use super::view::View;
use crate::sim::dynamics::State;
use crate::sim::math::{exp, ln};
use crate::units::TICK_S;

/// Longest reaction that is looked for: 1.25 s.
pub const LONGEST_REACTION_TICKS: usize = 80;
/// Farthest back that any view reaches: 1.5 s.
pub const LONGEST_VIEW_TICKS: usize = 96;
/// Fewer moves than this are not fitted.
pub const FEWEST: usize = 20;
/// Share of the settings' variance, beyond their means and the ways they went, that the law must explain.
pub const EXPLAINED: f64 = 0.5;
/// Variance of a lever kept in thousandths of travel: residuals say nothing finer.
const ROUNDING: f64 = 0.001 * 0.001 / 12.0;
/// Fits of less than this weight beside the best are left out.
const LIGHTEST: f64 = 1e-4;

/// One fit: fractions of travel for what there was to see.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Law {
    /// More lever per altitude missing, 1/m; 0 where none was asked for.
    pub per_m: f64,
    /// Less lever per vertical speed, s/m.
    pub per_mps: f64,
    /// Less lever per change of vertical speed, s^2/m.
    pub per_mps2: f64,
}

/// The fits that explain the moves, weighed.
#[derive(Debug)]
pub struct Laws {
    fits: Vec<Fit>,
    freedom: f64,
}

/// A fit with one delay and one view.
#[derive(Clone, Debug)]
struct Fit {
    delay_ticks: usize,
    view: usize,
    weight: f64,
    squares: f64,
    solution: Solution,
}

/// Student's t with 97.5 % below it, by Cornish and Fisher's expansion about the normal's (two terms): within 1 % from 5
/// degrees of freedom up.
pub(super) fn student_t(freedom: f64) -> f64 {
    1.96 + 2.372 / freedom + 2.822 / (freedom * freedom)
}

/// The ways to look at vertical speed that are tried.
pub(super) fn views() -> Vec<View> {
    let spans = (8..64).step_by(4).chain([64, 80, LONGEST_VIEW_TICKS]);
    let mut views: Vec<View> = spans.map(View::instant).collect();
    views.extend([32, 64, LONGEST_VIEW_TICKS].map(View::averaged));
    views
}

impl Law {
    /// The weight of the change of vertical speed against vertical speed itself, s.
    pub fn lead_s(&self) -> f64 {
        self.per_mps2 / self.per_mps
    }

    fn from(coefficients: &[f64]) -> Law {
        Law {
            per_m: coefficients.get(3).copied().unwrap_or(0.0),
            per_mps: coefficients[0],
            per_mps2: coefficients[1],
        }
    }
}

impl Laws {
    /// Fits the moves; None where they are too few or follow no such law.
    pub(super) fn of(samples: &[Sample], states: &[State], views: &[View]) -> Option<Laws> {
        let altitude_counts = samples.iter().any(|sample| sample.altitude_m.is_some());
        let legs = samples.windows(2).filter(|pair| pair[0].leg != pair[1].leg);
        let unknowns = legs.count() + 1 + 3 + usize::from(altitude_counts);
        if samples.len() < FEWEST.max(2 * unknowns) {
            return None;
        }
        let settings = less_means(
            samples,
            samples.iter().map(|sample| sample.setting).collect(),
        );
        let vertical_mps: Vec<f64> = states.iter().map(|state| state.vz_mps).collect();

        let columns = |view: &View, delay_ticks: usize| {
            let mut columns = seen(samples, states, &vertical_mps, view, delay_ticks);
            columns.truncate(3 + usize::from(altitude_counts));
            columns
        };
        let mut tried: Vec<(usize, usize, f64)> = Vec::new();
        for (view, looks) in views.iter().enumerate() {
            for delay_ticks in 0..=LONGEST_REACTION_TICKS {
                if let Some(squares) = squares_left(&columns(looks, delay_ticks), &settings) {
                    let squares = squares.max(samples.len() as f64 * ROUNDING);
                    tried.push((view, delay_ticks, squares));
                }
            }
        }
        let &(view, delay_ticks, least) = tried.iter().min_by(|a, b| a.2.total_cmp(&b.2))?;
        if least > (1.0 - EXPLAINED) * unexplained(samples, &settings) {
            return None;
        }
        let near = |delay_ticks| columns(&views[view], delay_ticks);
        let best = least_squares(&near(delay_ticks), &settings)?;
        let freedom = samples.len() as f64 * independence(&best.residuals) - unknowns as f64;
        if freedom < 5.0 {
            return None;
        }
        let flatness = best.flatness(
            &near(delay_ticks.saturating_sub(1)),
            &near(delay_ticks),
            &near((delay_ticks + 1).min(LONGEST_REACTION_TICKS)),
        );
        let mut fits = Vec::new();
        for (view, delay_ticks, squares) in tried {
            let weight = exp(-0.5 * freedom / flatness * ln(squares / least));
            if weight > LIGHTEST {
                fits.push(Fit {
                    delay_ticks,
                    view,
                    weight,
                    squares,
                    solution: least_squares(&columns(&views[view], delay_ticks), &settings)?,
                });
            }
        }
        let sum: f64 = fits.iter().map(|fit| fit.weight).sum();
        fits.iter_mut().for_each(|fit| fit.weight /= sum);
        Some(Laws { fits, freedom })
    }

    /// From what is seen to the move it causes, s, to a tick: the views that are tried are not any closer.
    pub(super) fn reaction_s(&self) -> Estimate {
        self.weighed(|fit| Some((fit.delay_ticks as f64 * TICK_S, TICK_S * TICK_S / 3.0)))
            .expect("every fit has a delay")
    }

    /// What a law and its view (index into the views) amount to, with its variance taken from the law's; None where any of
    /// the laws that count has no such value.
    pub(super) fn mean(&self, value: impl Fn(&Law, usize) -> Option<f64>) -> Option<Estimate> {
        self.weighed(|fit| {
            let coefficients = &fit.solution.coefficients;
            let at = value(&Law::from(coefficients), fit.view)?;
            let error_variance = fit.squares / self.freedom;
            let usual = &fit.solution.usual;
            let mut slopes = vec![0.0; coefficients.len()];
            for (n, slope) in slopes.iter_mut().enumerate() {
                let nudge = 0.1 * (error_variance * usual[n][n]).sqrt();
                let moved = |by: f64| {
                    let mut coefficients = coefficients.clone();
                    coefficients[n] += by;
                    value(&Law::from(&coefficients), fit.view)
                };
                *slope = (moved(nudge)? - moved(-nudge)?) / (2.0 * nudge);
            }
            let along = |covariance: &[Vec<f64>]| -> f64 {
                let rows = covariance.iter().zip(&slopes);
                rows.map(|(row, slope)| slope * dot(row, &slopes)).sum()
            };
            let variance = f64::max(
                error_variance * along(usual),
                along(&fit.solution.uneven) * fit.solution.residuals.len() as f64 / self.freedom,
            );
            Some((at, variance))
        })
    }

    fn weighed(&self, value: impl Fn(&Fit) -> Option<(f64, f64)>) -> Option<Estimate> {
        let mut values = Vec::with_capacity(self.fits.len());
        for fit in &self.fits {
            let (at, variance) = value(fit)?;
            values.push((fit.weight, at, variance));
        }
        let mean: f64 = values.iter().map(|(weight, at, _)| weight * at).sum();
        let variance = values.iter().map(|(weight, at, variance)| {
            let off = at - mean;
            weight * (off * off + variance)
        });
        let half = student_t(self.freedom) * variance.sum::<f64>().sqrt();
        Some(Estimate::around(mean, half))
    }
}

/// What there was to see before each move, less its mean in the leg, signed as the law is: vertical speed, its change, which
/// way the move went, altitude missing.
fn seen(
    samples: &[Sample],
    states: &[State],
    vertical_mps: &[f64],
    view: &View,
    delay_ticks: usize,
) -> Vec<Vec<f64>> {
    let mut columns = vec![Vec::new(); 4];
    for sample in samples {
        let tick = sample.start - delay_ticks;
        let (speed, change) = view.at(&vertical_mps[..=tick]);
        let missing_m = sample
            .altitude_m
            .map_or(0.0, |wanted| wanted - states[tick].h_m);
        for (column, value) in columns
            .iter_mut()
            .zip([-speed, -change, sample.way, missing_m])
        {
            column.push(value);
        }
    }
    let columns = columns.into_iter();
    columns.map(|column| less_means(samples, column)).collect()
}

/// Values less their mean in each leg.
fn less_means(samples: &[Sample], mut values: Vec<f64>) -> Vec<f64> {
    let mut from = 0;
    for leg in samples.chunk_by(|a, b| a.leg == b.leg) {
        let values = &mut values[from..from + leg.len()];
        let mean = values.iter().sum::<f64>() / leg.len() as f64;
        values.iter_mut().for_each(|value| *value -= mean);
        from += leg.len();
    }
    values
}

/// Sum of squares that the ways of the moves alone leave of the settings.
fn unexplained(samples: &[Sample], settings: &[f64]) -> f64 {
    let ways = less_means(samples, samples.iter().map(|sample| sample.way).collect());
    let along: f64 = ways
        .iter()
        .zip(settings)
        .map(|(way, setting)| way * setting)
        .sum();
    squares(settings) - along * along / squares(&ways).max(f64::MIN_POSITIVE)
}

/// Share of residuals that tell something of their own, from how alike neighbours are: (1 - r)/(1 + r), r their correlation.
fn independence(residuals: &[f64]) -> f64 {
    let products: f64 = residuals.windows(2).map(|pair| pair[0] * pair[1]).sum();
    let alike = (products / squares(residuals).max(f64::MIN_POSITIVE)).clamp(0.0, 0.9);
    (1.0 - alike) / (1.0 + alike)
}
