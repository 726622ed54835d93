//! How much is tried, counted in coarse steps so that it is the same on every machine.

use crate::run::Run;

/// What a tick in the real world counts, in coarse steps: it is exact, and remembered.
pub(super) const TICK: usize = 3;
/// What a drill may take with both hands: steps of 0.15 to 0.3 microseconds. Retries and the last flights can add to it.
pub const A_DRILL: usize = 2_800_000;

/// What one leg may take.
#[derive(Clone, Copy, Debug)]
pub(super) struct Purse {
    left: usize,
    spent: usize,
}

impl Purse {
    /// With so much in it.
    pub fn new(left: usize) -> Purse {
        Purse { left, spent: 0 }
    }

    /// For one leg of a drill of so many, for itself.
    pub fn alone(legs: usize) -> Purse {
        Purse::new(A_DRILL / 2 / legs)
    }

    /// What is left.
    pub fn left(&self) -> usize {
        self.left
    }

    /// What was taken out, more than was in it included.
    pub fn spent(&self) -> usize {
        self.spent
    }

    /// Takes something out, whether it is there or not.
    pub fn spend(&mut self, steps: usize) {
        self.left = self.left.saturating_sub(steps);
        self.spent += steps;
    }
}

/// What a drill may take, shared out to its legs by how long `steady` took over them.
#[derive(Clone, Debug)]
pub(super) struct Shares {
    left: usize,
    spent: usize,
    /// Ticks of a leg on average.
    mean: f64,
    /// Of each leg, in ticks.
    weights: Vec<f64>,
    /// Of each leg and those after it.
    to_come: Vec<f64>,
}

impl Shares {
    /// For a drill of so many legs that `steady` has flown.
    pub fn new(steady: &Run, legs: usize) -> Shares {
        let ticks = |index: usize| {
            let leg = steady.legs().get(index)?;
            Some(leg.end.unwrap_or(steady.tick()) - leg.start)
        };
        let mean = steady.tick() as f64 / legs as f64;
        let weights = (0..legs).map(|leg| mean + ticks(leg).unwrap_or(0) as f64);
        let weights: Vec<f64> = weights.collect();
        let mut sum = 0.0;
        let mut to_come: Vec<f64> = weights
            .iter()
            .rev()
            .map(|weight| {
                sum += weight;
                sum
            })
            .collect();
        to_come.reverse();
        let spent = TICK * steady.tick() as usize;
        Shares {
            left: A_DRILL.saturating_sub(spent),
            spent,
            mean,
            weights,
            to_come,
        }
    }

    /// What a leg may take where `from` is the first of those still to be flown: its share, or one of so many parts of it.
    pub fn of(&self, leg: usize, from: usize, parts: usize) -> Purse {
        /// Kept back for flying legs another way, in flights of a leg; at most a quarter of what is left.
        const KEPT: f64 = 50.0;
        let kept = (KEPT * TICK as f64 * self.mean).min(0.25 * self.left as f64);
        let share = self.weights[leg] / self.to_come[from.min(leg)];
        Purse::new((share * (self.left as f64 - kept)) as usize / parts)
    }

    /// Whether there is enough for flying the legs from one on, as long as `steady` took, and looking about a little.
    pub fn are_enough(&self, leg: usize) -> bool {
        self.times(leg) > 1.3
    }

    /// How often the legs from one on could be flown.
    fn times(&self, leg: usize) -> f64 {
        let ticks = self.to_come[leg] - self.mean * (self.weights.len() - leg) as f64;
        self.left as f64 / (TICK as f64 * ticks.max(1.0))
    }

    /// What was spent, by `steady` too.
    pub fn spent(&self) -> usize {
        self.spent
    }

    /// Takes out what was spent.
    pub fn spend(&mut self, steps: usize) {
        self.spent += steps;
        self.left = self.left.saturating_sub(steps);
    }
}
