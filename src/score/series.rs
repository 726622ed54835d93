//! Functions of a series of values.

/// The median; None without values.
pub fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let middle = values.len() / 2;
    match values.len() {
        0 => None,
        count if count % 2 == 1 => Some(values[middle]),
        _ => Some(0.5 * (values[middle - 1] + values[middle])),
    }
}

/// A moving average: the mean of the values at most `places` away.
pub fn evened(values: &[f64], places: usize) -> Vec<f64> {
    let mut sums = vec![0.0];
    for value in values {
        sums.push(sums[sums.len() - 1] + value);
    }
    let mean = |i: usize| {
        let (from, to) = (i.saturating_sub(places), (i + places + 1).min(values.len()));
        (sums[to] - sums[from]) / (to - from) as f64
    };
    (0..values.len()).map(mean).collect()
}

/// The indices of the turns of at least a given size.
pub fn turns(values: &[f64], size: f64) -> Vec<usize> {
    let mut found = Vec::new();
    let (mut farthest, mut at, mut way) = (values.first().copied().unwrap_or(0.0), 0, 0.0);
    for (i, &value) in values.iter().enumerate() {
        let by = value - farthest;
        if by * way > 0.0 {
            (farthest, at) = (value, i);
        } else if by.abs() >= size {
            if way != 0.0 {
                found.push(at);
            }
            (way, farthest, at) = (by.signum(), value, i);
        }
    }
    found
}
