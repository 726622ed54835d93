//! Small root finding.

/// Halvings after which an interval is as small as doubles allow.
const HALVINGS: usize = 100;

/// Where `f` changes its sign between `low` and `high`, by halving; the ends are taken to differ in sign.
pub(super) fn crossing(low: f64, high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (low, high);
    let rises = f(high) > 0.0;
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if middle == low || middle == high {
            break;
        }
        if (f(middle) > 0.0) == rises {
            high = middle;
        } else {
            low = middle;
        }
    }
    0.5 * (low + high)
}

/// Where `f` is least between `low` and `high`, for a function with one valley there, by golden section.
pub(super) fn least(low: f64, high: f64, f: impl Fn(f64) -> f64) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_894_8;
    let (mut low, mut high) = (low, high);
    let (mut left, mut right) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
    let (mut at_left, mut at_right) = (f(left), f(right));
    for _ in 0..60 {
        if at_left < at_right {
            (high, right, at_right) = (right, left, at_left);
            left = high - GOLDEN * (high - low);
            at_left = f(left);
        } else {
            (low, left, at_left) = (left, right, at_right);
            right = low + GOLDEN * (high - low);
            at_right = f(right);
        }
    }
    0.5 * (low + high)
}

/// Newton's method for N smooth equations in N unknowns, slopes by differences of `nudge`. Unknowns are
/// held at or above `floor`. Gives the last guess once no unknown moves by more than `tolerance`, None where one goes beyond
/// `ceiling` or they do not settle.
pub(super) fn newton<const N: usize>(
    guess: [f64; N],
    floor: f64,
    ceiling: f64,
    nudge: f64,
    tolerance: f64,
    f: impl Fn(&[f64; N]) -> [f64; N],
) -> Option<[f64; N]> {
    let mut x = guess;
    for _ in 0..12 {
        let here = f(&x);
        let mut rows = [[0.0; N]; N];
        for column in 0..N {
            let mut nudged = x;
            nudged[column] += nudge;
            let there = f(&nudged);
            for row in 0..N {
                rows[row][column] = (there[row] - here[row]) / nudge;
            }
        }
        let change = linear(rows, here)?;
        let mut farthest = 0.0_f64;
        for i in 0..N {
            let next = (x[i] - change[i]).max(floor);
            farthest = farthest.max((next - x[i]).abs());
            x[i] = next;
        }
        if !x.iter().all(|x| *x <= ceiling) {
            return None;
        }
        if farthest < tolerance {
            return Some(x);
        }
    }
    None
}

/// Solves N linear equations by elimination with row exchanges; None where they do not determine the unknowns.
fn linear<const N: usize>(mut a: [[f64; N]; N], mut b: [f64; N]) -> Option<[f64; N]> {
    for column in 0..N {
        let pivot =
            (column..N).max_by(|&i, &k| a[i][column].abs().total_cmp(&a[k][column].abs()))?;
        a.swap(column, pivot);
        b.swap(column, pivot);
        if a[column][column] == 0.0 {
            return None;
        }
        for row in 0..N {
            if row != column {
                let share = a[row][column] / a[column][column];
                let pivot_row = a[column];
                for (cell, above) in a[row].iter_mut().zip(pivot_row) {
                    *cell -= share * above;
                }
                b[row] -= share * b[column];
            }
        }
    }
    let mut x = [0.0; N];
    for i in 0..N {
        x[i] = b[i] / a[i][i];
    }
    Some(x)
}
