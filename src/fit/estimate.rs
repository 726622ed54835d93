//! The numbers that fit the rows best, and how certain they are.

use super::least_squares::{Columns, Solution, differences, dot, minimise};
use super::model::{COUNT, Frame, IDLE, Numbers, Reading, SPREAD};
use super::model::{Uncertainty, read, rounded_alike, uncertainty};
use super::rows::SteadyRow;
use crate::sim::aircraft::Aircraft;
use crate::sim::math::{exp, sqrt};
use serde::Serialize;
use std::array::from_fn;
use std::f64::consts::PI;

/// An interval holds this much of what reading leaves open, %.
pub const LEVEL_PERCENT: f64 = 90.0;
/// Standard deviations either way that hold that much. For a normal distribution 1.645 would do; the mean of two readings that
/// are rounded alike is spread evenly over two stretches, of which 1.645 may hold only 87.7 %, and 1.8 at least 93.2 %.
pub const LEVEL_DEVIATIONS: f64 = 1.8;
/// A number that could be taken from the nearest aeroplane counts as determined by the rows where they leave less than this
/// share of its spread. With a higher limit, whether they do would depend on how the rows happened to fall.
const TOLD_BELOW: f64 = 0.35;
/// The weights depend on the slope that is being fitted, and the correlation of reading errors on how
/// certain it is: this many rounds settle both.
const ROUNDS: usize = 4;

type Covariance = [[f64; COUNT]; COUNT];

/// A value with its interval.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Between {
    pub value: f64,
    /// Lower end of the interval.
    pub low: f64,
    /// Upper end of the interval.
    pub high: f64,
}

/// The numbers that fit, which of them the rows determine, and the joint covariance of all, including those
/// that are held, which could have other values.
#[derive(Clone, Debug)]
pub struct Estimate {
    pub numbers: Numbers,
    pub free: Vec<usize>,
    covariance: Covariance,
    /// Sum of squared residuals, in standard deviations of reading.
    pub left: f64,
    /// Degrees of freedom: residuals less numbers fitted.
    pub freedom: usize,
}

/// The rows to fit, and what the fit starts from.
pub struct Problem<'a> {
    pub frame: &'a Frame,
    pub rows: &'a [SteadyRow],
    pub reading: &'a Reading,
    pub start: Numbers,
}

impl Problem<'_> {
    /// The best numbers; None where the rows are too much alike to determine an aeroplane.
    pub fn estimate(&self) -> Option<Estimate> {
        let mut free = self.frame.tried();
        let (first, all) = self.fit(&free, self.start)?;
        let is_told = |place: usize, number: usize| {
            SPREAD[number].is_infinite()
                || sqrt(all.covariance[place][place]) < TOLD_BELOW * SPREAD[number]
        };
        let told = (0..free.len()).filter(|place| is_told(*place, free[*place]));
        free = told.map(|place| free[place]).collect();
        let mut start = self.start;
        // Idle thrust cannot be negative.
        if free.contains(&IDLE) && first[IDLE] < 0.0 {
            free.retain(|number| *number != IDLE);
            start[IDLE] = 0.0;
        }
        let task = Problem { start, ..*self };
        let (numbers, solution) = task.fit(&free, start)?;
        Some(task.judged(numbers, free, &solution))
    }

    /// The best numbers with some of them free and the others held.
    pub fn fit(&self, free: &[usize], start: Numbers) -> Option<(Numbers, Solution)> {
        let mut numbers = start;
        let mut last = None;
        for _ in 0..ROUNDS {
            let unsure = self.uncertainties(&numbers);
            let solution = self.fit_weighed(free, numbers, &unsure)?;
            numbers = with(numbers, free, &solution.values);
            last = Some(solution);
        }
        Some((numbers, last?))
    }

    /// The same in one round, from given numbers and with the weights of given uncertainties.
    pub fn fit_weighed(
        &self,
        free: &[usize],
        start: Numbers,
        unsure: &[Uncertainty],
    ) -> Option<Solution> {
        let values: Vec<f64> = free.iter().map(|number| start[*number]).collect();
        let left = |values: &[f64]| self.left(&with(start, free, values), free, unsure);
        minimise(left, &values)
    }

    /// How far reading can move each row of the aeroplane with these numbers.
    pub fn uncertainties(&self, numbers: &Numbers) -> Vec<Uncertainty> {
        let aircraft = self.frame.aircraft(numbers);
        let rows = self.rows.iter();
        rows.map(|row| uncertainty(&aircraft, row, self.reading))
            .collect()
    }

    /// The residuals, in standard deviations: levers and speeds less those read, and the free numbers that could be
    /// taken from the nearest aeroplane less its own.
    fn left(&self, numbers: &Numbers, free: &[usize], unsure: &[Uncertainty]) -> Vec<f64> {
        let aircraft = self.frame.aircraft(numbers);
        let (mut levers, mut speeds) = (Vec::new(), Vec::new());
        for (row, unsure) in self.rows.iter().zip(unsure) {
            let (lever, speed_mps) = read(&aircraft, row);
            levers.push((lever - row.lever) / unsure.lever_deviation);
            speeds.push((speed_mps - row.speed_mps) / unsure.speed_deviation);
        }
        let taken = free.iter().filter(|number| SPREAD[**number].is_finite());
        let taken = taken.map(|number| (numbers[*number] - self.start[*number]) / SPREAD[*number]);
        levers.into_iter().chain(speeds).chain(taken).collect()
    }

    /// The estimate with its uncertainty. The covariance is linearised. Readings are rounded, and speeds err
    /// together as far as the distance between them is known. Held numbers add the effect that another value
    /// within their spread would have had on the fit.
    fn judged(&self, numbers: Numbers, free: Vec<usize>, solution: &Solution) -> Estimate {
        let unsure = self.uncertainties(&numbers);
        let mut held = self.frame.tried();
        held.retain(|number| !free.contains(number));
        let of_rows = |values: &[f64]| self.left(&with(numbers, &held, values), &free, &unsure);
        let at: Vec<f64> = held.iter().map(|number| numbers[*number]).collect();
        let by_held = differences(of_rows, &at);
        let residuals = solution.residuals.len();
        // The effect of an error of each residual on each number.
        let mut gain = vec![vec![0.0; residuals]; COUNT];
        for (number, line) in free.iter().zip(&solution.covariance) {
            for (r, by) in gain[*number].iter_mut().enumerate() {
                let column: Vec<f64> = solution.jacobian.iter().map(|c| c[r]).collect();
                *by = dot(line, &column);
            }
        }
        // The effect of another value of each held number on each number.
        let moved = held.iter().zip(&by_held).map(|(number, column)| {
            let mut moved = [0.0; COUNT];
            for (by, gain) in moved.iter_mut().zip(&gain) {
                *by = -dot(gain, column) * SPREAD[*number];
            }
            moved[*number] = SPREAD[*number];
            moved
        });
        let moved: Vec<Numbers> = moved.collect();
        let left = solution.sum();
        let freedom = residuals - free.len();
        // Readings that are worse than rounding show in the residuals (the ratio of Birge 1932).
        let worse = (left / freedom.max(1) as f64).max(1.0);
        let whole = |alike: &dyn Fn(usize, usize) -> f64| {
            let together: Columns = gain.iter().map(|by| self.together(by, alike)).collect();
            from_fn(|a| {
                from_fn(|b| {
                    let held: f64 = moved.iter().map(|by| by[a] * by[b]).sum();
                    worse * dot(&gain[a], &together[b]) + held
                })
            })
        };
        let steps = |values: &[f64]| {
            let aircraft = self.frame.aircraft(&with(numbers, &ALL, values));
            let speeds = self.rows.iter().map(|row| read(&aircraft, row).1);
            speeds.map(|mps| mps / self.reading.speed_mps).collect()
        };
        let (slopes, steps) = (differences(steps, &numbers), steps(&numbers));
        let mut covariance: Covariance = whole(&|i, j| f64::from(i == j));
        for _ in 0..ROUNDS {
            covariance = whole(&|i, j| {
                // Uncertainty in a distance reduces its first harmonic, the largest, by this factor.
                let by: Vec<f64> = slopes.iter().map(|column| column[i] - column[j]).collect();
                exp(-2.0 * PI * PI * variance(&covariance, &by))
                    * rounded_alike(steps[i] - steps[j])
            });
        }
        Estimate {
            numbers,
            free,
            covariance,
            left,
            freedom,
        }
    }

    /// The covariance of the readings, in their standard deviations, times a column.
    fn together(&self, by: &[f64], alike: &dyn Fn(usize, usize) -> f64) -> Vec<f64> {
        let count = self.rows.len();
        let mut sums = by.to_vec();
        for i in 0..count {
            sums[count + i] = (0..count).map(|j| alike(i, j) * by[count + j]).sum();
        }
        sums
    }
}

/// The variance of a quantity whose derivatives by the numbers are `by`.
fn variance(covariance: &Covariance, by: &[f64]) -> f64 {
    let along: Vec<f64> = covariance.iter().map(|row| dot(row, by)).collect();
    dot(&along, by).max(0.0)
}

/// The numbers with some of them changed.
pub fn with(mut numbers: Numbers, places: &[usize], values: &[f64]) -> Numbers {
    for (place, value) in places.iter().zip(values) {
        numbers[*place] = *value;
    }
    numbers
}

impl Estimate {
    /// Whether the rows determine a number.
    pub fn tells(&self, number: usize) -> bool {
        self.free.contains(&number)
    }

    /// The standard deviation of a number.
    pub fn deviation(&self, number: usize) -> f64 {
        sqrt(self.covariance[number][number])
    }

    /// A figure of the aeroplane with its interval. All figures are positive by nature: where the deviation
    /// is small, the interval is symmetric in ratios.
    pub fn between(&self, frame: &Frame, figure: impl Fn(&Aircraft) -> f64) -> Between {
        let of = |values: &[f64]| vec![figure(&frame.aircraft(&with(self.numbers, &ALL, values)))];
        let value = of(&self.numbers)[0];
        let slopes: Vec<f64> = differences(of, &self.numbers)
            .into_iter()
            .map(|column| column[0])
            .collect();
        let far = LEVEL_DEVIATIONS * sqrt(variance(&self.covariance, &slopes));
        match value > 2.0 * far {
            true => Between {
                value,
                low: value * exp(-far / value),
                high: value * exp(far / value),
            },
            false => Between {
                value,
                low: (value - far).max(0.0),
                high: value + far,
            },
        }
    }
}

const ALL: [usize; COUNT] = [0, 1, 2, 3, 4, 5];
