//! A smooth curve through rows that may be noisy, rounded and irregular: local parabolas (Savitzky and Golay,
//! 1964, for irregular rows as Cleveland, 1979, weighs them; from memory), over a window that is chosen by
//! how well the rows predict each other with it.

use super::read::Series;
use crate::sim::math::range;

/// Each window tried is this many times as long as the one before.
const LONGER: f64 = 1.5;
/// The fewest rows in a window.
const LEAST_ROWS: usize = 5;
/// About the most rows in a window.
const MOST_ROWS: usize = 400;
/// The most rows that are predicted to judge a window.
const FORETOLD: usize = 500;

/// The windows to choose from.
#[derive(Clone, Copy, Debug)]
pub struct Windows {
    /// The shortest, s each way; longer where rows are farther apart.
    pub shortest_s: f64,
    pub longest_s: f64,
    /// A row is predicted without the rows this near to it, s.
    pub near_s: f64,
    /// How many times as long a window is at an end of the rows, where it reaches one way only. Twice as long has as many
    /// rows, which noise calls for; values without noise depart from a parabola sooner.
    pub at_ends: f64,
}

/// A smooth curve through a series, with the reach of its windows.
#[derive(Clone, Copy, Debug)]
pub struct Smooth<'a> {
    series: &'a Series,
    apart_s: f64,
    window_s: f64,
    at_ends: f64,
    /// Root mean square error with which rows are predicted from the others.
    pub miss: f64,
}

impl Smooth<'_> {
    /// The curve through a series of at least `LEAST_ROWS` rows. Of the windows that predict the rows as well as the best
    /// does, as far as so few rows can show, it takes the longest.
    pub fn of(series: &Series, windows: Windows) -> Smooth<'_> {
        let apart_s = series.apart_s();
        let shortest_s = windows.shortest_s.max(2.6 * apart_s);
        let longest_s = windows.longest_s.max(shortest_s);
        let longer = std::iter::successors(Some(shortest_s), |window_s| Some(window_s * LONGER));
        let tried: Vec<Smooth> = longer
            .take_while(|window_s| *window_s <= longest_s)
            .map(|window_s| Smooth::foretelling(series, apart_s, window_s, &windows))
            .collect();
        let (miss, _) = range(tried.iter().map(|smooth| smooth.miss));
        let most = Smooth { miss, ..tried[0] }.as_good();
        let chosen = tried.iter().rev().find(|smooth| smooth.miss <= most);
        *chosen.unwrap_or(&tried[0])
    }

    /// The miss up to which another window counts as equally good, as far as so few rows can show.
    pub fn as_good(&self) -> f64 {
        let told = self.series.t_s.len().min(FORETOLD) as f64;
        self.miss * (1.0 + 1.0 / told.sqrt())
    }

    /// The noise of the rows that is left in the slope, per second: that of a straight line through as many rows.
    pub fn slope_noise(&self) -> f64 {
        let rows = (2.0 * self.window_s / self.apart_s).max(1.0);
        self.miss * (3.0 / rows).sqrt() / self.window_s
    }

    fn foretelling<'s>(
        series: &'s Series,
        apart_s: f64,
        window_s: f64,
        windows: &Windows,
    ) -> Smooth<'s> {
        let smooth = Smooth {
            series,
            apart_s,
            window_s,
            at_ends: windows.at_ends,
            miss: 0.0,
        };
        let rows = series.t_s.len();
        let (mut count, mut sum) = (0.0, 0.0);
        for row in (0..rows).step_by(rows.div_ceil(FORETOLD)) {
            let (value, _) = smooth.without(series.t_s[row], windows.near_s);
            let miss = value - series.values[row];
            (count, sum) = (count + 1.0, sum + miss * miss);
        }
        Smooth {
            miss: (sum / f64::max(count, 1.0)).sqrt(),
            ..smooth
        }
    }

    /// Value and slope per second at a time; more than one row beyond the ends the curve goes on straight.
    pub fn at(&self, t_s: f64) -> (f64, f64) {
        let (times, apart_s) = (&self.series.t_s, self.apart_s);
        let inside_s = t_s.clamp(times[0] - apart_s, times[times.len() - 1] + apart_s);
        let (value, slope) = self.without(inside_s, -1.0);
        (value + slope * (t_s - inside_s), slope)
    }

    /// Value and slope at a time, without the rows within `near_s` of it.
    fn without(&self, t_s: f64, near_s: f64) -> (f64, f64) {
        let times = &self.series.t_s;
        let (first_s, last_s) = (times[0], times[times.len() - 1]);
        let inside_s = (t_s - first_s).min(last_s - t_s);
        let one_way = (1.0 - inside_s / self.window_s).max(0.0);
        let mut window_s = self.window_s * (1.0 + (self.at_ends - 1.0) * one_way);
        loop {
            let from = times.partition_point(|own| *own <= t_s - window_s);
            let to = times.partition_point(|own| *own < t_s + window_s);
            let rows = (from..to).filter(|row| (times[*row] - t_s).abs() > near_s);
            // Of very many rows a sample says as much.
            let apart = ((to - from) / MOST_ROWS).max(1);
            let rows = rows.filter(|row| row % apart == 0);
            let is_all = to - from == times.len();
            if is_all || rows.clone().count() >= LEAST_ROWS {
                let rows = rows.map(|row| (times[row] - t_s, self.series.values[row]));
                return parabola(rows, window_s);
            }
            window_s *= LONGER;
        }
    }
}

/// Value and slope at 0 of the weighted least-squares parabola through points; those at the window's ends have no weight.
fn parabola(points: impl Iterator<Item = (f64, f64)>, window_s: f64) -> (f64, f64) {
    // Sums of weight times u^n, and of weight times u^n times the value, with u in windows.
    let (mut s, mut b) = ([0.0; 5], [0.0; 3]);
    for (t_s, value) in points {
        let u = t_s / window_s;
        let near = (1.0 - u.abs() * u * u).max(0.0);
        let mut power = near * near * near;
        for (n, sum) in s.iter_mut().enumerate() {
            *sum += power;
            if n < 3 {
                b[n] += power * value;
            }
            power *= u;
        }
    }
    if s[0] <= 0.0 {
        return (0.0, 0.0);
    }
    // Cramer's rule; a line where the points do not determine a parabola, and their mean where they do not determine a line.
    let minor = |a: f64, b: f64, c: f64, d: f64| a * d - b * c;
    let det = s[0] * minor(s[2], s[3], s[3], s[4]) - s[1] * minor(s[1], s[3], s[2], s[4])
        + s[2] * minor(s[1], s[2], s[2], s[3]);
    if det.abs() > 1e-9 * s[0] * s[0] * s[0] {
        let value = b[0] * minor(s[2], s[3], s[3], s[4]) - s[1] * minor(b[1], s[3], b[2], s[4])
            + s[2] * minor(b[1], s[2], b[2], s[3]);
        let slope = s[0] * minor(b[1], s[3], b[2], s[4]) - b[0] * minor(s[1], s[3], s[2], s[4])
            + s[2] * minor(s[1], b[1], s[2], b[2]);
        return (value / det, slope / det / window_s);
    }
    let det = minor(s[0], s[1], s[1], s[2]);
    match det.abs() > 1e-9 * s[0] * s[0] {
        true => (
            minor(b[0], s[1], b[1], s[2]) / det,
            minor(s[0], b[0], s[1], b[1]) / det / window_s,
        ),
        false => (b[0] / s[0], 0.0),
    }
}
