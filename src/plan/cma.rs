//! A search without gradients: the covariance matrix adaptation evolution strategy (N. Hansen, "The CMA Evolution Strategy:
//! A Tutorial", 2016, arXiv:1604.00772; equations and default constants from memory of it), with the Cholesky factor in
//! place of the symmetric root. Trials are the same on every machine: random numbers come from one fixed stream.

use crate::sim::air::noise::Noise;
use crate::sim::math::{exp, ln, sqrt};

/// The lowest place found and its value.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    pub place: Vec<f64>,
    /// The value there.
    pub value: f64,
}

/// How long to look and how wide.
#[derive(Clone, Copy, Debug)]
pub struct Effort {
    pub trials: usize,
    /// Trials in a generation.
    pub population: usize,
    /// Done when the better half of a generation is this close together.
    pub flat: f64,
    /// Share of `spread` to begin with.
    pub sigma: f64,
}

/// Lowers `value` from `start`, with `spread` the width to look over in each direction. `value` also gets the lowest
/// value so far, and returns None to end the search.
pub fn minimise(
    start: &[f64],
    spread: &[f64],
    effort: Effort,
    noise: &mut Noise,
    value: &mut dyn FnMut(&[f64], f64) -> Option<f64>,
) -> Found {
    let mut found = Found {
        place: start.to_vec(),
        value: value(start, f64::INFINITY).unwrap_or(f64::INFINITY),
    };
    let mut cloud = Cloud::new(start.len(), effort);
    let mut place = vec![0.0; start.len()];
    for _ in 0..effort.trials / effort.population {
        let mut trials: Vec<Trial> = (0..effort.population).map(|_| cloud.draw(noise)).collect();
        for trial in &mut trials {
            for (i, x) in place.iter_mut().enumerate() {
                *x = start[i] + spread[i] * (cloud.mean[i] + cloud.sigma * trial.step[i]);
            }
            let Some(value) = value(&place, found.value) else {
                return found;
            };
            trial.value = value;
            if trial.value < found.value {
                found.value = trial.value;
                found.place.copy_from_slice(&place);
            }
        }
        trials.sort_by(|a, b| a.value.total_cmp(&b.value));
        let parents = &trials[..cloud.weights.len()];
        let is_flat = parents[parents.len() - 1].value - parents[0].value < effort.flat;
        if is_flat || !cloud.learn(&trials) {
            break;
        }
    }
    found
}

struct Trial {
    /// Independent unit deviates.
    white: Vec<f64>,
    /// The same with the cloud's shape.
    step: Vec<f64>,
    value: f64,
}

/// Where to look: a normal distribution.
struct Cloud {
    mean: Vec<f64>,
    sigma: f64,
    covariance: Vec<Vec<f64>>,
    /// Lower Cholesky factor of the covariance.
    root: Vec<Vec<f64>>,
    sigma_path: Vec<f64>,
    shape_path: Vec<f64>,
    weights: Vec<f64>,
    effective: f64,
}

impl Cloud {
    fn new(dimensions: usize, effort: Effort) -> Cloud {
        let parents = effort.population / 2;
        let raw: Vec<f64> = (1..=parents)
            .map(|i| ln(parents as f64 + 0.5) - ln(i as f64))
            .collect();
        let sum: f64 = raw.iter().sum();
        let weights: Vec<f64> = raw.iter().map(|w| w / sum).collect();
        let unit: Vec<Vec<f64>> = (0..dimensions)
            .map(|i| {
                (0..dimensions)
                    .map(|j| f64::from(u8::from(i == j)))
                    .collect()
            })
            .collect();
        Cloud {
            mean: vec![0.0; dimensions],
            sigma: effort.sigma,
            covariance: unit.clone(),
            root: unit,
            sigma_path: vec![0.0; dimensions],
            shape_path: vec![0.0; dimensions],
            effective: 1.0 / weights.iter().map(|w| w * w).sum::<f64>(),
            weights,
        }
    }

    fn draw(&self, noise: &mut Noise) -> Trial {
        let white: Vec<f64> = self.mean.iter().map(|_| noise.normal()).collect();
        let step = self
            .root
            .iter()
            .enumerate()
            .map(|(i, row)| (0..=i).map(|j| row[j] * white[j]).sum())
            .collect();
        Trial {
            white,
            step,
            value: f64::INFINITY,
        }
    }

    /// Moves and reshapes the cloud after the trials of a generation, the lowest first; false once it has shrunk to nothing.
    fn learn(&mut self, trials: &[Trial]) -> bool {
        let n = self.mean.len() as f64;
        let mu = self.effective;
        let mean_of = |of: fn(&Trial) -> &Vec<f64>, i: usize| -> f64 {
            let weighted = self.weights.iter().zip(trials);
            weighted.map(|(w, trial)| w * of(trial)[i]).sum()
        };
        let dimensions = 0..self.mean.len();
        let white: Vec<f64> = dimensions
            .clone()
            .map(|i| mean_of(|t| &t.white, i))
            .collect();
        let step: Vec<f64> = dimensions
            .clone()
            .map(|i| mean_of(|t| &t.step, i))
            .collect();

        let c_sigma = (mu + 2.0) / (n + mu + 5.0);
        let damping = 1.0 + 2.0 * (sqrt((mu - 1.0) / (n + 1.0)) - 1.0).max(0.0) + c_sigma;
        let c_path = (4.0 + mu / n) / (n + 4.0 + 2.0 * mu / n);
        let c_one = 2.0 / ((n + 1.3) * (n + 1.3) + mu);
        let c_mu = (2.0 * (mu - 2.0 + 1.0 / mu) / ((n + 2.0) * (n + 2.0) + mu)).min(1.0 - c_one);
        let usual = sqrt(n) * (1.0 - 1.0 / (4.0 * n) + 1.0 / (21.0 * n * n));

        let keep = sqrt(c_sigma * (2.0 - c_sigma) * mu);
        for i in dimensions.clone() {
            self.mean[i] += self.sigma * step[i];
            self.sigma_path[i] = (1.0 - c_sigma) * self.sigma_path[i] + keep * white[i];
        }
        let length = sqrt(self.sigma_path.iter().map(|x| x * x).sum());
        let runs_away = length > (1.4 + 2.0 / (n + 1.0)) * usual;
        let keep = match runs_away {
            true => 0.0,
            false => sqrt(c_path * (2.0 - c_path) * mu),
        };
        for i in dimensions.clone() {
            self.shape_path[i] = (1.0 - c_path) * self.shape_path[i] + keep * step[i];
        }
        for i in dimensions.clone() {
            for j in 0..=i {
                let along = self.shape_path[i] * self.shape_path[j];
                let among: f64 = self
                    .weights
                    .iter()
                    .zip(trials)
                    .map(|(w, trial)| w * trial.step[i] * trial.step[j])
                    .sum();
                let c = &mut self.covariance[i][j];
                *c = (1.0 - c_one - c_mu) * *c + c_one * along + c_mu * among;
            }
        }
        self.sigma *= exp((c_sigma / damping * (length / usual - 1.0)).min(0.6));
        self.sigma > 1e-4 && self.factor()
    }

    /// Cholesky's factor of the covariance; false where it is not positive definite any more.
    fn factor(&mut self) -> bool {
        for i in 0..self.mean.len() {
            for j in 0..=i {
                let inner: f64 = (0..j).map(|k| self.root[i][k] * self.root[j][k]).sum();
                let rest = self.covariance[i][j] - inner;
                if i == j && rest <= 0.0 {
                    return false;
                }
                self.root[i][j] = match i == j {
                    true => sqrt(rest),
                    false => rest / self.root[j][j],
                };
            }
        }
        true
    }
}
