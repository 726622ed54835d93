//! How a number spreads over many runs.

use serde::Serialize;

/// Mean, standard deviation and quartiles.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Spread {
    /// How many numbers there are.
    pub n: usize,
    pub mean: f64,
    /// Their standard deviation, of a sample (n - 1); None for one.
    pub sd: Option<f64>,
    /// The smallest.
    pub low: f64,
    /// Lower quartile.
    pub lower: f64,
    /// Median.
    pub median: f64,
    /// Upper quartile.
    pub upper: f64,
    /// The largest.
    pub high: f64,
}

impl Spread {
    /// The spread of some numbers; None without any.
    pub fn of(values: impl IntoIterator<Item = f64>) -> Option<Spread> {
        let mut values: Vec<f64> = values.into_iter().collect();
        values.sort_by(f64::total_cmp);
        let (low, high) = (*values.first()?, *values.last()?);
        let n = values.len();
        let mean = values.iter().sum::<f64>() / n as f64;
        let squares: f64 = values.iter().map(|x| (x - mean) * (x - mean)).sum();
        // Quartiles by linear interpolation between the sorted values (Hyndman and Fan 1996, definition 7; from memory).
        let quantile = |share: f64| {
            let place = share * (n - 1) as f64;
            let below = place.floor() as usize;
            let above = values[(below + 1).min(n - 1)];
            values[below] + (place - below as f64) * (above - values[below])
        };
        Some(Spread {
            n,
            mean,
            sd: (n > 1).then(|| (squares / (n - 1) as f64).sqrt()),
            low,
            lower: quantile(0.25),
            median: quantile(0.5),
            upper: quantile(0.75),
            high,
        })
    }
}
