//! A learning curve through values over runs: exponential or power law, whichever leaves less unexplained, and how far it is to
//! be trusted.
//!
//! Which form one person's practice follows is open: exponentials fit single learners better, power laws their average
//! (Heathcote, Brown and Mewhort 2000). So both are tried, and what is told holds for both.

use serde::Serialize;

use crate::sim::math::{exp, ln, pow, sqrt};

/// With fewer values a curve of three numbers says nothing.
pub const LEAST: usize = 8;
/// Rates that are tried of each form.
const TRIED: usize = 60;
/// A rate is not refuted while it leaves at most so many times the variance more than the best one: the 95 % point of F with
/// one degree of freedom is 3.84, and more for few runs.
const F_95: f64 = 3.84;
/// The 97.5 % point of Student's t is about 1.96 + 2.4 / degrees of freedom: within 5 % from five on.
const T_975: (f64, f64) = (1.96, 2.4);

/// How a curve bends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Form {
    /// Each run closes the same share of what is missing.
    Exponential,
    /// Twice the runs close the same share.
    Power,
}

/// A value with its 95 % interval.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Interval {
    pub value: f64,
    /// Its least.
    pub low: f64,
    /// Its most.
    pub high: f64,
}

/// A fitted curve: what stays missing at run n, from 1, is `gap` times the form's share.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Curve {
    /// The form that leaves less.
    pub form: Form,
    /// Its rate: of the exponential a run, of the power law the exponent.
    pub rate: f64,
    /// Where it tends to: only to be read as far as `half_life_runs` is well below the runs there are.
    pub limit: f64,
    /// Its value at run 1 less the limit.
    pub gap: f64,
    /// At the last run.
    pub now: Interval,
    /// From the first run to the last.
    pub change: Interval,
    /// Standard deviation of single runs about it.
    pub scatter: f64,
    /// Runs in which the exponential closes half of what is missing; None for the power law.
    pub half_life_runs: Option<f64>,
    /// How much more variance the other form leaves, as a ratio of at least 1.
    pub other_leaves: f64,
    /// How many runs it is made from.
    pub runs: usize,
}

impl Curve {
    /// The curve through values in the order of the runs. They may be of several drills, `groups` a number for each: drills may differ in
    /// level, and only what changes within each of them counts as learnt. The curve is told at the level of all runs' mean.
    pub fn fit(groups: &[usize], values: &[f64]) -> Option<Curve> {
        let runs = Runs::new(groups, values)?;
        let tried = |form| runs.rates(form).map(move |rate| (form, rate));
        let trials: Vec<Candidate> = tried(Form::Exponential)
            .chain(tried(Form::Power))
            .filter_map(|(form, rate)| runs.trial(form, rate))
            .collect();
        let best_of = |form: Form| {
            let of_form = trials.iter().filter(move |trial| trial.form == form);
            of_form.min_by(|a, b| a.left.total_cmp(&b.left))
        };
        let (exponential, power) = (best_of(Form::Exponential)?, best_of(Form::Power)?);
        let (best, other) = match power.left < exponential.left {
            true => (power, exponential),
            false => (exponential, power),
        };
        let most = best.left * (1.0 + F_95 / runs.freedom);
        let (mut now, mut change) = (best.now.alone(), best.change.alone());
        for trial in trials.iter().filter(|trial| trial.left <= most) {
            now.take_in(&trial.now, runs.t_975());
            change.take_in(&trial.change, runs.t_975());
        }
        Some(Curve {
            form: best.form,
            rate: best.rate,
            limit: best.limit,
            gap: best.gap,
            now,
            change,
            scatter: sqrt(best.left / runs.freedom),
            half_life_runs: match best.form {
                Form::Exponential => Some(ln(2.0) / best.rate),
                Form::Power => None,
            },
            other_leaves: match best.left > 0.0 {
                true => other.left / best.left,
                false => 1.0,
            },
            runs: values.len(),
        })
    }

    /// Its value at a run, counted from 1, or between two.
    pub fn at(&self, run: f64) -> f64 {
        self.limit + self.gap * share(self.form, self.rate, run)
    }

    /// Whether a change can be told from chance.
    pub fn is_told(&self) -> bool {
        self.change.low > 0.0 || self.change.high < 0.0
    }
}

impl Interval {
    fn take_in(&mut self, guess: &Guess, t: f64) {
        self.low = self.low.min(guess.value - t * guess.error);
        self.high = self.high.max(guess.value + t * guess.error);
    }
}

/// What of the gap is still missing at a run, counted from 1.
fn share(form: Form, rate: f64, run: f64) -> f64 {
    match form {
        Form::Exponential => exp(-rate * (run - 1.0)),
        Form::Power => pow(run, -rate),
    }
}

/// A value and its standard error.
#[derive(Clone, Copy, Debug)]
struct Guess {
    value: f64,
    error: f64,
}

impl Guess {
    fn alone(self) -> Interval {
        let (value, low, high) = (self.value, self.value, self.value);
        Interval { value, low, high }
    }
}

/// The best curve of one form and rate.
struct Candidate {
    form: Form,
    rate: f64,
    limit: f64,
    gap: f64,
    /// Sum of squares it leaves.
    left: f64,
    now: Guess,
    change: Guess,
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

struct Runs<'a> {
    groups: &'a [usize],
    values: &'a [f64],
    /// How many runs each group has.
    counts: Vec<f64>,
    means: Vec<f64>,
    mean: f64,
    /// Logarithms of the runs' numbers.
    logs: Vec<f64>,
    /// Runs less what is fitted.
    freedom: f64,
}

impl Runs<'_> {
    fn new<'a>(groups: &'a [usize], values: &'a [f64]) -> Option<Runs<'a>> {
        let mut counts = vec![0.0; groups.iter().max()? + 1];
        groups.iter().for_each(|group| counts[*group] += 1.0);
        let used = counts.iter().filter(|count| **count > 0.0).count();
        let n = values.len();
        // A gap, a rate, and the level of each group.
        let freedom = n.checked_sub(used + 2)?;
        (n >= LEAST && freedom >= LEAST - 3).then(|| Runs {
            groups,
            values,
            means: means(groups, values, &counts),
            counts,
            mean: values.iter().sum::<f64>() / n as f64,
            logs: (1..=n).map(|run| ln(run as f64)).collect(),
            freedom: freedom as f64,
        })
    }

    fn t_975(&self) -> f64 {
        T_975.0 + T_975.1 / self.freedom
    }

    /// Half-lives from one run to four times all of them, where the curve is all but straight; exponents from nearly a
    /// logarithm to nearly everything learnt in the first run.
    fn rates(&self, form: Form) -> impl Iterator<Item = f64> + use<> {
        let (least, most) = match form {
            Form::Exponential => (ln(2.0) / (4.0 * self.values.len() as f64), ln(2.0)),
            Form::Power => (0.05, 3.0),
        };
        let step = ln(most / least) / (TRIED - 1) as f64;
        (0..TRIED).map(move |n| least * exp(step * n as f64))
    }

    /// Least squares for one rate, each group about its own mean.
    fn trial(&self, form: Form, rate: f64) -> Option<Candidate> {
        let n = self.values.len();
        let shares = self.shares(form, rate);
        let means = means(self.groups, &shares, &self.counts);
        let (mut ff, mut fy, mut yy) = (0.0, 0.0, 0.0);
        for ((group, value), share) in self.groups.iter().zip(self.values).zip(&shares) {
            let (f, y) = (share - means[*group], value - self.means[*group]);
            ff += f * f;
            fy += f * y;
            yy += y * y;
        }
        // The shares of a group that was flown in one stretch late on hardly differ.
        if ff < 1e-12 {
            return None;
        }
        let gap = fy / ff;
        let left = (yy - gap * fy).max(0.0);
        let variance = left / self.freedom;
        let share_mean = shares.iter().sum::<f64>() / n as f64;
        let limit = self.mean - gap * share_mean;
        let (first, last) = (shares[0], shares[n - 1]);
        let off = last - share_mean;
        Some(Candidate {
            form,
            rate,
            limit,
            gap,
            left,
            now: Guess {
                value: limit + gap * last,
                error: sqrt(variance * (1.0 / n as f64 + off * off / ff)),
            },
            change: Guess {
                value: gap * (last - first),
                error: sqrt(variance / ff) * (last - first).abs(),
            },
        })
    }

    fn shares(&self, form: Form, rate: f64) -> Vec<f64> {
        let runs = 1..=self.values.len();
        match form {
            // One factor a run.
            Form::Exponential => {
                let factor = exp(-rate);
                let next = |share: &mut f64, _| {
                    let now = *share;
                    *share *= factor;
                    Some(now)
                };
                runs.scan(1.0, next).collect()
            }
            Form::Power => self.logs.iter().map(|log| exp(-rate * log)).collect(),
        }
    }
}
