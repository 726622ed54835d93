//! Small root finding.

use crate::sim::math::halved;

/// Halvings after which an interval is as small as doubles allow.
const HALVINGS: usize = 100;

/// Where `f` changes its sign between `low` and `high`, by halving; the ends are assumed to differ in sign.
pub(super) fn crossing(low: f64, high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let rises = f(high) > 0.0;
    let (low, high) = halved(HALVINGS, (low, high), |x| (f(x) > 0.0) == rises);
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
