//! Nonlinear least squares: the method of Levenberg (1944) and Marquardt (1963), the damping moved as in Madsen, Nielsen and
//! Tingleff, *Methods for Non-Linear Least Squares Problems* (2nd ed., 2004, algorithm 3.16), each step by orthogonal
//! factors rather than by normal equations (Bjorck 1967), so that badly conditioned problems keep their digits.

use crate::sim::math::sqrt;

/// Columns of a matrix.
pub type Columns = Vec<Vec<f64>>;

/// The most steps that are tried.
const MOST_STEPS: usize = 2000;
/// A step this small relative to the parameters changes nothing that is reported.
const STILL: f64 = 1e-13;
/// First damping, a share of the largest curvature.
const FIRST_DAMPING: f64 = 1e-3;
/// Cube root of the smallest relative difference of doubles: where a central difference errs least.
const STEP: f64 = 6e-6;
/// A parameter nearer to 0 than this is moved as if it were this large.
const LEAST: f64 = 1e-3;

/// Where the sum of squares is least.
#[derive(Clone, Debug)]
pub struct Solution {
    /// The parameters.
    pub values: Vec<f64>,
    /// The residuals there.
    pub residuals: Vec<f64>,
    /// How each residual changes with each parameter.
    pub jacobian: Columns,
    /// (J'J)^-1, symmetric; times the variance of a residual it is the covariance of the parameters.
    pub covariance: Columns,
}

impl Solution {
    /// The sum of squares that is left.
    pub fn sum(&self) -> f64 {
        dot(&self.residuals, &self.residuals)
    }
}

/// The least sum of squares of `residuals` from `start` on; None where the parameters cannot be distinguished.
pub fn minimise(residuals: impl Fn(&[f64]) -> Vec<f64>, start: &[f64]) -> Option<Solution> {
    let mut values = start.to_vec();
    let mut left = residuals(&values);
    let mut sum = dot(&left, &left);
    let (mut damping, mut growth) = (FIRST_DAMPING, 2.0);
    let mut jacobian = differences(&residuals, &values);
    // Parameters are weighed by their columns, the largest seen, so that their units do not matter (More 1978).
    let mut scale: Vec<f64> = jacobian.iter().map(|c| sqrt(dot(c, c))).collect();
    for _ in 0..MOST_STEPS {
        let step = damped(&jacobian, &left, &scale, damping)?;
        let moved: Vec<f64> = values.iter().zip(&step).map(|(x, dx)| x + dx).collect();
        let left_there = residuals(&moved);
        let sum_there = dot(&left_there, &left_there);
        let slope: f64 = jacobian
            .iter()
            .zip(&step)
            .map(|(c, dx)| dx * dot(c, &left))
            .sum();
        let damped: f64 = step
            .iter()
            .zip(&scale)
            .map(|(dx, s)| damping * (dx * s) * (dx * s))
            .sum();
        let gain = (sum - sum_there) / (damped - slope);
        let is_still = step
            .iter()
            .zip(&values)
            .all(|(dx, x)| dx.abs() <= STILL * (x.abs() + STILL));
        if sum_there < sum {
            (values, left, sum) = (moved, left_there, sum_there);
            jacobian = differences(&residuals, &values);
            for (s, c) in scale.iter_mut().zip(&jacobian) {
                *s = s.max(sqrt(dot(c, c)));
            }
            let bend = 2.0 * gain - 1.0;
            damping *= (1.0 - bend * bend * bend).max(1.0 / 3.0);
            growth = 2.0;
        } else {
            damping *= growth;
            growth *= 2.0;
        }
        if is_still || !damping.is_finite() {
            break;
        }
    }
    let (_, factor) = solve(&jacobian, &left)?;
    Some(Solution {
        covariance: inverse_square(&factor),
        values,
        residuals: left,
        jacobian,
    })
}

/// The step of the linearised problem, held back by the damping.
fn damped(jacobian: &[Vec<f64>], left: &[f64], scale: &[f64], damping: f64) -> Option<Vec<f64>> {
    let count = jacobian.len();
    let longer = |column: &[f64], own: usize| {
        let tail = (0..count).map(|j| {
            if j == own {
                sqrt(damping) * scale[j]
            } else {
                0.0
            }
        });
        column.iter().copied().chain(tail).collect::<Vec<f64>>()
    };
    let columns: Columns = jacobian
        .iter()
        .enumerate()
        .map(|(j, c)| longer(c, j))
        .collect();
    let negated: Vec<f64> = left.iter().map(|r| -r).collect();
    Some(solve(&columns, &longer(&negated, count))?.0)
}

/// Central differences.
pub fn differences(f: impl Fn(&[f64]) -> Vec<f64>, at: &[f64]) -> Columns {
    let column = |j: usize| {
        let h = STEP * at[j].abs().max(LEAST);
        let moved = |by: f64| {
            let mut there = at.to_vec();
            there[j] += by;
            f(&there)
        };
        let (up, down) = (moved(h), moved(-h));
        up.iter()
            .zip(&down)
            .map(|(u, d)| (u - d) / (2.0 * h))
            .collect()
    };
    (0..at.len()).map(column).collect()
}

/// The x for which `columns` times x comes nearest to `b`, and the triangular factor of the columns, by the modified
/// Gram-Schmidt method on both together (Bjorck 1967). None where a column depends on those before it.
fn solve(columns: &[Vec<f64>], b: &[f64]) -> Option<(Vec<f64>, Columns)> {
    /// Only rounding is left of a column that depends on others: less than this share of it.
    const NOTHING: f64 = 1e-12;
    let count = columns.len();
    let mut left: Columns = columns.iter().cloned().chain([b.to_vec()]).collect();
    // factor[k][j] for j <= k: row j of column k.
    let mut factor = vec![vec![0.0; count]; count + 1];
    for j in 0..count {
        let size = sqrt(dot(&left[j], &left[j]));
        let stands_alone = size > NOTHING * sqrt(dot(&columns[j], &columns[j]));
        if !stands_alone {
            return None;
        }
        let unit: Vec<f64> = left[j].iter().map(|x| x / size).collect();
        factor[j][j] = size;
        for k in j + 1..=count {
            let along = dot(&unit, &left[k]);
            factor[k][j] = along;
            left[k]
                .iter_mut()
                .zip(&unit)
                .for_each(|(x, u)| *x -= along * u);
        }
    }
    let mut x = factor.pop()?;
    for j in (0..count).rev() {
        let beyond: f64 = (j + 1..count).map(|k| factor[k][j] * x[k]).sum();
        x[j] = (x[j] - beyond) / factor[j][j];
    }
    Some((x, factor))
}

/// (R'R)^-1 of a triangular factor.
fn inverse_square(factor: &[Vec<f64>]) -> Columns {
    let count = factor.len();
    let mut inverse = vec![vec![0.0; count]; count];
    for (k, column) in inverse.iter_mut().enumerate() {
        for j in (0..=k).rev() {
            let beyond: f64 = (j + 1..=k).map(|i| factor[i][j] * column[i]).sum();
            let own = if j == k { 1.0 } else { 0.0 };
            column[j] = (own - beyond) / factor[j][j];
        }
    }
    let entry = |i: usize, j: usize| (0..count).map(|k| inverse[k][i] * inverse[k][j]).sum();
    (0..count)
        .map(|i| (0..count).map(|j| entry(i, j)).collect())
        .collect()
}

/// Sum of products.
pub fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}
