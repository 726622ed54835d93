//! A learning curve fitted to values over runs, and whether it is more than chance.
//!
//! Single learners' practice follows exponentials better than power laws (Heathcote, Brown and Mewhort 2000): each run closes
//! the same share of what is missing. Some learners stand still first and then find out how, so an exponential may bend either
//! way; the slowest of either bend are nearly straight lines. The best fit is chosen by the same runs that it is to explain, so
//! the threshold for reporting a change comes from how well the best of all curves fits where nothing changes.
//!
//! Runs of one day are more alike than others: a good day is not progress. How alike they are is estimated from the runs.

use serde::Serialize;

use super::mean;
use super::summary::LATELY;
use crate::sim::math::{exp, halved, ln, pow, range, sqrt};

/// With fewer values a curve with three parameters says nothing.
pub const LEAST: usize = 8;
/// Number of rates tried for each bend.
const TRIED: usize = 30;
/// Half-lives, in runs: at least `LEAST_HALF_LIFE`; for curves that gather speed also at least `LEAST_GATHERING` of all runs,
/// because the last few runs are not a trend; at most `MOST_HALF_LIFE` times all runs, where a curve is nearly straight.
const LEAST_HALF_LIFE: f64 = 2.0;
const LEAST_GATHERING: f64 = 0.125;
const MOST_HALF_LIFE: f64 = 4.0;
/// Probability of reporting a change where there is none.
const CHANCE: f64 = 0.05;
/// Runs that count as alike are those of one day, or of as many days as together have this many.
const ALIKE: usize = 5;
/// A few stretches hardly show how alike their runs are: the estimate acts as if this many more had shown runs that are not
/// alike at all.
const UNLIKE: f64 = 2.0;

/// Values over runs, oldest first; each list has one number per run.
#[derive(Clone, Debug, PartialEq)]
pub struct Values {
    pub values: Vec<f64>,
    /// The drill's number, from 0. Drills may differ in level: only changes within a drill count as learnt.
    pub drills: Vec<usize>,
    /// The day's number.
    pub days: Vec<usize>,
    /// The smallest and the largest possible value.
    pub scale: (f64, f64),
}

/// A value with its 95 % interval.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Interval {
    pub value: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// A fitted curve: at run n, from 1, its value is `limit` plus `gap` times exp(-`rate` (n - 1)). Where no change can be told
/// from chance it is flat, at the mean. For several drills it lies at the level of all runs' mean.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Curve {
    /// Per run; below 0 where the curve gathers speed.
    pub rate: f64,
    /// The asymptote; meaningful only if `half_life_runs` is well below the number of runs.
    pub limit: f64,
    /// Its value at run 1 less the limit.
    pub gap: f64,
    /// The value at the last run.
    pub now: Interval,
    /// The change from the mean of the first [`Curve::ends`] runs to the mean of as many last ones.
    pub change: Interval,
    /// Standard deviation of single runs around the curve.
    pub scatter: f64,
    /// Runs in which the curve goes half of the way to its limit; None where it is flat or gathers speed.
    pub half_life_runs: Option<f64>,
    /// How many runs it is fitted to.
    pub runs: usize,
}

impl Curve {
    /// Fits a curve to values; None where they are too few.
    pub fn fit(of: &Values) -> Option<Curve> {
        let apart = Runs::new(of)?;
        let (trials, _) = apart.trials();
        let likeness = apart.likeness(best(&trials)?);
        let runs = apart.alike(likeness);
        let (trials, arc) = runs.trials();
        let best = best(&trials)?;
        let most = best.left / (1.0 - explained(runs.freedom, arc));
        let (low, high) = runs.scale;
        let mut change = around(best.gap * best.change);
        let mut now = around(runs.mean + best.gap * best.now);
        for trial in &trials {
            let Some((least, greatest)) = trial.gaps(most) else {
                continue;
            };
            change.take_in(least * trial.change);
            change.take_in(greatest * trial.change);
            let spare =
                (most - trial.least) * (runs.mean_variance + trial.now * trial.now / trial.ff);
            let (at, off) = (runs.mean + trial.free * trial.now, sqrt(spare));
            now.take_in((at - off).max(low));
            now.take_in((at + off).min(high));
        }
        let (mut rate, mut gap, mut fitted) = (best.rate, best.gap, 2);
        if !is_told(&change) {
            (rate, gap, fitted) = (0.0, 0.0, 0);
            (now.value, change.value) = (runs.mean, 0.0);
        }
        let left = runs.residuals(rate, gap).iter().map(|x| x * x).sum::<f64>();
        Some(Curve {
            rate,
            limit: runs.mean - gap * best.share_mean,
            gap,
            now,
            change,
            scatter: sqrt(left / (runs.freedom + 1 - fitted) as f64),
            half_life_runs: (rate > 0.0).then(|| ln(2.0) / rate),
            runs: of.values.len(),
        })
    }

    /// The value at a run, counted from 1, or between two runs.
    pub fn at(&self, run: f64) -> f64 {
        self.limit + self.gap * exp(-self.rate * (run - 1.0))
    }

    /// Whether a change can be told from chance.
    pub fn is_told(&self) -> bool {
        is_told(&self.change)
    }

    /// Whether its bend is too slow to be seen.
    pub fn is_straight(&self) -> bool {
        self.rate.abs() * (self.runs as f64) < ln(2.0)
    }

    /// The number of runs at either end over which the change is taken.
    pub fn ends(&self) -> usize {
        ends(self.runs)
    }
}

impl Interval {
    fn take_in(&mut self, x: f64) {
        self.low = self.low.min(x);
        self.high = self.high.max(x);
    }
}

fn around(value: f64) -> Interval {
    let (low, high) = (value, value);
    Interval { value, low, high }
}

fn is_told(change: &Interval) -> bool {
    change.low > 0.0 || change.high < 0.0
}

fn ends(runs: usize) -> usize {
    LATELY.min(runs / 2)
}

/// The share of the values' variance that the best of many forms explains, or exceeds, by chance in at most 5 of 100 cases.
///
/// A form is a direction in the space of the `freedom` + 1 dimensions left to the values; all forms together are a line on its
/// sphere, `arc` long. Where nothing changes, the values' own direction is uniformly distributed. It lies within an angle of
/// the line, or of its opposite, with the probability of the share of the sphere that the tube around the line takes up: a band
/// along the line and a cap (Hotelling 1939), or less (Naiman 1986). The cap is the two-sided tail of Student's t, by the
/// series of Abramowitz and Stegun 26.7.4, which needs an even number of degrees of freedom.
fn explained(freedom: usize, arc: f64) -> f64 {
    let chance = |cosine: f64| {
        let beyond = 1.0 - cosine * cosine;
        let (mut term, mut sum) = (1.0, 0.0);
        for k in 1..=freedom / 2 {
            sum += term;
            term *= beyond * (1.0 - 0.5 / k as f64);
        }
        let band = pow(beyond, 0.5 * (freedom as f64 - 1.0));
        arc / std::f64::consts::PI * band + 1.0 - cosine * sum
    };
    let (_, cosine) = halved(40, (0.0, 1.0), |cosine| chance(cosine) <= CHANCE);
    cosine * cosine
}

/// The best curve for one rate. Its gap is restricted only by the scale.
struct Trial {
    rate: f64,
    gap: f64,
    /// Residual sum of squares.
    left: f64,
    /// The gap without the limits of the scale; `least` is its residual sum of squares.
    free: f64,
    least: f64,
    /// Sum of squares of the shares.
    ff: f64,
    /// The smallest and the largest gap that the scale allows.
    allowed: (f64, f64),
    /// The effect of a gap of 1: `change` from the first runs to the last, and `now` at the last run, from the mean.
    change: f64,
    now: f64,
    share_mean: f64,
}

impl Trial {
    /// The range of gaps whose residual sum of squares is at most `most`.
    fn gaps(&self, most: f64) -> Option<(f64, f64)> {
        let off = sqrt((most - self.least).max(0.0) / self.ff);
        let (low, high) = self.allowed;
        let (low, high) = ((self.free - off).max(low), (self.free + off).min(high));
        (self.left <= most && low <= high).then_some((low, high))
    }
}

fn best(trials: &[Trial]) -> Option<&Trial> {
    trials.iter().min_by(|a, b| a.left.total_cmp(&b.left))
}

struct Runs<'a> {
    of: &'a Values,
    /// How many runs each drill has.
    drills: Vec<f64>,
    /// The stretch of like runs in which each run lies; `sizes` has the number of runs in each.
    stretches: Vec<usize>,
    sizes: Vec<f64>,
    /// The share of its mean that each stretch loses.
    shared: Vec<f64>,
    scale: (f64, f64),
    mean: f64,
    /// Variance of the mean, in units of a run's variance.
    mean_variance: f64,
    /// Degrees of freedom: runs less the drills' levels and a gap.
    freedom: usize,
}

impl Runs<'_> {
    /// Treats the runs as independent; None where they are too few.
    fn new(of: &Values) -> Option<Runs<'_>> {
        let drills = counts(&of.drills);
        let used = drills.iter().filter(|count| **count > 0.0).count();
        let n = of.values.len();
        let freedom = n.checked_sub(used + 1)?;
        let stretches = stretches(&of.days);
        let sizes = counts(&stretches);
        let (low, high) = range(of.values.iter().copied().chain([of.scale.0, of.scale.1]));
        (n >= LEAST && freedom >= LEAST - 2).then(|| Runs {
            of,
            drills,
            stretches,
            shared: vec![0.0; sizes.len()],
            sizes,
            scale: (low, high),
            mean: mean(of.values.iter().copied()).unwrap_or(0.0),
            mean_variance: 1.0 / n as f64,
            freedom,
        })
    }

    /// The same where the runs of a stretch are alike, `likeness` being the shared variance in units of a run's own. Each
    /// stretch then loses a share of its mean, and what is left varies as independent runs do (Fuller and Battese 1973).
    fn alike(self, likeness: f64) -> Self {
        let root = |size: &f64| 1.0 / sqrt(1.0 + size * likeness);
        let knows = self.sizes.iter().map(|size| size * root(size) * root(size));
        Runs {
            mean_variance: 1.0 / knows.sum::<f64>(),
            shared: self.sizes.iter().map(|size| 1.0 - root(size)).collect(),
            ..self
        }
    }

    /// How alike the runs of a stretch are, from the residuals of a curve: an analysis of variance between and within
    /// stretches.
    fn likeness(&self, curve: &Trial) -> f64 {
        let left = self.residuals(curve.rate, curve.gap);
        let means = means(&self.stretches, &left, &self.sizes);
        let squares = means
            .iter()
            .zip(&self.sizes)
            .map(|(mean, size)| size * mean * mean);
        let between = squares.sum::<f64>();
        let within = left.iter().map(|x| x * x).sum::<f64>() - between;
        let (runs, stretches) = (left.len() as f64, self.sizes.len() as f64);
        // The curve takes a level, a gap and a rate from the stretches; drills take their levels from the runs.
        let free_between = (stretches - 3.0).max(1.0);
        let free_within = self.freedom as f64 + 2.0 - stretches;
        if stretches < 3.0 || free_within < 1.0 || within <= 0.0 {
            return 0.0;
        }
        let variance = within / free_within;
        let between = (between + UNLIKE * variance) / (free_between + UNLIKE);
        ((between / variance - 1.0) * stretches / runs).max(0.0)
    }

    /// The residuals of a curve, each drill around its own mean.
    fn residuals(&self, rate: f64, gap: f64) -> Vec<f64> {
        let shares = self.shares(rate);
        let values = self.of.values.iter().zip(shares);
        let mut left: Vec<f64> = values.map(|(value, share)| value - gap * share).collect();
        self.level(&mut left);
        left
    }

    /// Brings the drills to one level.
    fn level(&self, x: &mut [f64]) {
        let means = means(&self.of.drills, x, &self.drills);
        take_off(x, &self.of.drills, &means);
    }

    /// The part of some numbers, one per run, that remains within drills and beyond what stretches share.
    fn own(&self, mut x: Vec<f64>) -> Vec<f64> {
        self.level(&mut x);
        let mut shared = means(&self.stretches, &x, &self.sizes);
        shared
            .iter_mut()
            .zip(&self.shared)
            .for_each(|(mean, share)| *mean *= share);
        take_off(&mut x, &self.stretches, &shared);
        x
    }

    /// A curve for each rate, and the length of the line that their directions form.
    fn trials(&self) -> (Vec<Trial>, f64) {
        let values = self.own(self.of.values.clone());
        let (mut trials, mut arc) = (Vec::new(), 0.0);
        let mut last: Option<(Vec<f64>, f64)> = None;
        for rate in self.rates() {
            let shares = self.shares(rate);
            let own = self.own(shares.clone());
            let ff = dot(&own, &own);
            // The shares of a drill that was flown in one stretch late on hardly differ.
            if ff < 1e-12 {
                continue;
            }
            if let Some((other, other_ff)) = &last {
                let cosine = (dot(other, &own) / sqrt(other_ff * ff)).abs();
                arc += sqrt((2.0 - 2.0 * cosine).max(0.0));
            }
            trials.push(self.trial(rate, &shares, &own, &values, ff));
            last = Some((own, ff));
        }
        (trials, arc)
    }

    /// The rates from the fastest that gathers speed, through the slowest of both bends, to the fastest that slows down.
    fn rates(&self) -> impl Iterator<Item = f64> + use<> {
        let runs = self.of.values.len() as f64;
        let bend = |fastest: f64| {
            let step = ln(MOST_HALF_LIFE * runs / fastest) / (TRIED - 1) as f64;
            (0..TRIED).map(move |n| ln(2.0) / (fastest * exp(step * n as f64)))
        };
        let gathering = bend(LEAST_HALF_LIFE.max(LEAST_GATHERING * runs)).map(|rate| -rate);
        gathering.chain(bend(LEAST_HALF_LIFE).rev())
    }

    /// The share still missing at each run, 1 at the first: a constant factor per run.
    fn shares(&self, rate: f64) -> Vec<f64> {
        let factor = exp(-rate);
        let next = |share: &f64| Some(share * factor);
        let shares = std::iter::successors(Some(1.0), next);
        shares.take(self.of.values.len()).collect()
    }

    /// Least squares for one rate.
    fn trial(&self, rate: f64, shares: &[f64], own: &[f64], values: &[f64], ff: f64) -> Trial {
        let n = shares.len();
        let mean_of = |some: &[f64]| some.iter().sum::<f64>() / some.len() as f64;
        let (share_mean, ends) = (mean_of(shares), ends(n));
        // The curve stays within the scale at its beginning and its end.
        let mut allowed = (f64::NEG_INFINITY, f64::INFINITY);
        for share in [shares[0], shares[n - 1]] {
            let end = |limit: f64| (limit - self.mean) / (share - share_mean);
            let (a, b) = (end(self.scale.0), end(self.scale.1));
            allowed = (allowed.0.max(a.min(b)), allowed.1.min(a.max(b)));
        }
        let free = dot(own, values) / ff;
        let least = (dot(values, values) - free * free * ff).max(0.0);
        let gap = free.max(allowed.0).min(allowed.1);
        Trial {
            rate,
            gap,
            left: least + (gap - free) * (gap - free) * ff,
            free,
            least,
            ff,
            allowed,
            change: mean_of(&shares[n - ends..]) - mean_of(&shares[..ends]),
            now: shares[n - 1] - share_mean,
            share_mean,
        }
    }
}

/// Numbers the stretches of like runs: those of a day, or of as many days as have enough.
fn stretches(days: &[usize]) -> Vec<usize> {
    let (mut stretch, mut runs, mut before) = (0, 0, days.first());
    let number = days.iter().map(|day| {
        if before != Some(day) && runs >= ALIKE {
            (stretch, runs) = (stretch + 1, 0);
        }
        (before, runs) = (Some(day), runs + 1);
        stretch
    });
    number.collect()
}

fn counts(groups: &[usize]) -> Vec<f64> {
    let most = groups.iter().max().map_or(0, |most| most + 1);
    let mut counts = vec![0.0; most];
    groups.iter().for_each(|group| counts[*group] += 1.0);
    counts
}

/// The mean of each group's values.
fn means(groups: &[usize], values: &[f64], counts: &[f64]) -> Vec<f64> {
    let mut means = vec![0.0; counts.len()];
    for (group, value) in groups.iter().zip(values) {
        means[*group] += value;
    }
    for (sum, count) in means.iter_mut().zip(counts) {
        *sum /= f64::max(*count, 1.0);
    }
    means
}

fn take_off(values: &mut [f64], groups: &[usize], of_groups: &[f64]) {
    for (value, group) in values.iter_mut().zip(groups) {
        *value -= of_groups[*group];
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}
