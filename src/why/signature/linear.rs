//! A few unknowns, a few equations; least squares with the variance of what comes out.

/// Least squares: one coefficient a column.
#[derive(Clone, Debug)]
pub(super) struct Solution {
    pub coefficients: Vec<f64>,
    /// Covariance of the coefficients for errors of variance one.
    pub usual: Vec<Vec<f64>>,
    /// Covariance of the coefficients for errors of any size each.
    pub uneven: Vec<Vec<f64>>,
    pub residuals: Vec<f64>,
}

/// The inverse of a square matrix, by elimination with the largest pivot; None where it has none to working accuracy.
pub(super) fn inverse(matrix: &[Vec<f64>]) -> Option<Vec<Vec<f64>>> {
    let size = matrix.len();
    let mut left = matrix.to_vec();
    let mut right: Vec<Vec<f64>> = (0..size)
        .map(|row| (0..size).map(|column| f64::from(row == column)).collect())
        .collect();
    let scale: Vec<f64> = (0..size).map(|n| left[n][n].abs()).collect();
    for column in 0..size {
        let pivot = (column..size).max_by(|a, b| {
            let size = |row: &usize| left[*row][column].abs();
            size(a).total_cmp(&size(b))
        })?;
        left.swap(column, pivot);
        right.swap(column, pivot);
        let head = left[column][column];
        if head.abs() <= 1e-10 * scale[column] || head == 0.0 {
            return None;
        }
        for n in 0..size {
            left[column][n] /= head;
            right[column][n] /= head;
        }
        let (pivot_left, pivot_right) = (left[column].clone(), right[column].clone());
        for row in (0..size).filter(|row| *row != column) {
            let factor = left[row][column];
            for n in 0..size {
                left[row][n] -= factor * pivot_left[n];
                right[row][n] -= factor * pivot_right[n];
            }
        }
    }
    Some(right)
}

/// Sum of the products of two lists.
pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Sums of products of columns with each other.
fn products(columns: &[Vec<f64>], others: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let row = |column: &Vec<f64>| others.iter().map(|other| dot(column, other)).collect();
    columns.iter().map(row).collect()
}

/// The sum of squares that the columns leave of the settings.
pub(super) fn squares_left(columns: &[Vec<f64>], settings: &[f64]) -> Option<f64> {
    let usual = inverse(&products(columns, columns))?;
    let along: Vec<f64> = columns.iter().map(|column| dot(column, settings)).collect();
    let explained = usual
        .iter()
        .zip(&along)
        .map(|(row, by)| by * dot(row, &along));
    Some(squares(settings) - explained.sum::<f64>())
}

/// The coefficients with which the columns tell the settings best; None where the columns do not tell them apart.
pub(super) fn least_squares(columns: &[Vec<f64>], settings: &[f64]) -> Option<Solution> {
    let usual = inverse(&products(columns, columns))?;
    let along: Vec<f64> = columns.iter().map(|column| dot(column, settings)).collect();
    let coefficients: Vec<f64> = usual.iter().map(|row| dot(row, &along)).collect();
    let residuals = settings.iter().enumerate().map(|(n, setting)| {
        let told = columns.iter().zip(&coefficients);
        setting - told.map(|(column, by)| column[n] * by).sum::<f64>()
    });
    let residuals: Vec<f64> = residuals.collect();
    let weighed = |column: &Vec<f64>| -> Vec<f64> {
        let both = column.iter().zip(&residuals);
        both.map(|(value, error)| error * error * value).collect()
    };
    let weighed: Vec<Vec<f64>> = columns.iter().map(weighed).collect();
    let errors = products(columns, &weighed);
    let uneven = product(&product(&usual, &errors), &usual);
    Some(Solution {
        coefficients,
        usual,
        uneven,
        residuals,
    })
}

/// A matrix times a symmetric one.
fn product(a: &[Vec<f64>], symmetric: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let row = |row: &Vec<f64>| symmetric.iter().map(|column| dot(row, column)).collect();
    a.iter().map(row).collect()
}

impl Solution {
    /// How much larger the variance of the delay is when errors may grow with what is seen than it usually is, at least 1; from
    /// what was there to see a tick later, at the delay, and a tick earlier.
    pub(super) fn flatness(
        &self,
        later: &[Vec<f64>],
        at: &[Vec<f64>],
        earlier: &[Vec<f64>],
    ) -> f64 {
        let Solution {
            coefficients,
            usual,
            residuals,
            ..
        } = self;
        let told = |columns: &[Vec<f64>], n: usize| -> f64 {
            let told = columns.iter().zip(coefficients);
            told.map(|(column, by)| column[n] * by).sum()
        };
        let by_delay = (0..residuals.len()).map(|n| told(earlier, n) - told(later, n));
        let mut by_delay: Vec<f64> = by_delay.collect();
        // Only what no coefficient could make up for tells of the delay.
        let along: Vec<f64> = at.iter().map(|column| dot(column, &by_delay)).collect();
        for (column, row) in at.iter().zip(usual) {
            let by = dot(row, &along);
            for (value, part) in by_delay.iter_mut().zip(column) {
                *value -= by * part;
            }
        }
        let of_both = residuals.iter().zip(&by_delay);
        let uneven: f64 = of_both.map(|(a, b)| a * a * b * b).sum();
        let usual = squares(residuals) * squares(&by_delay) / residuals.len() as f64;
        if usual > 0.0 {
            f64::max(uneven / usual, 1.0)
        } else {
            1.0
        }
    }
}

/// Sum of squares.
pub(super) fn squares(values: &[f64]) -> f64 {
    values.iter().map(|value| value * value).sum()
}
