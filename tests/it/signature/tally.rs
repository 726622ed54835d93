//! Estimates beside the truth.

use leveloff::why::signature::Estimate;

/// How one quantity was estimated over many runs.
pub struct Tally {
    name: &'static str,
    runs: usize,
    covered: usize,
    off: Vec<f64>,
    half: Vec<f64>,
}

impl Tally {
    pub fn new(name: &'static str) -> Tally {
        Tally {
            name,
            runs: 0,
            covered: 0,
            off: Vec::new(),
            half: Vec::new(),
        }
    }

    /// An estimate beside the truth, errors in units of `scale`.
    pub fn add(&mut self, estimate: Option<Estimate>, truth: f64, scale: f64) {
        self.runs += 1;
        if let Some(estimate) = estimate {
            self.covered += usize::from((estimate.low..=estimate.high).contains(&truth));
            self.off.push((estimate.value - truth) / scale);
            self.half.push(estimate.half() / scale);
        }
    }

    pub fn join(&mut self, other: &Tally) {
        self.runs += other.runs;
        self.covered += other.covered;
        self.off.extend(&other.off);
        self.half.extend(&other.half);
    }

    pub fn runs(&self) -> usize {
        self.runs
    }

    pub fn known(&self) -> usize {
        self.off.len()
    }

    /// Share of the given intervals that hold the truth; 1 where none is given.
    pub fn coverage(&self) -> f64 {
        match self.known() {
            0 => 1.0,
            known => self.covered as f64 / known as f64,
        }
    }

    /// The largest error.
    pub fn farthest(&self) -> f64 {
        self.off.iter().fold(0.0, |most, off| off.abs().max(most))
    }

    pub fn line(&self) -> String {
        let Tally { name, runs, .. } = self;
        let known = self.known();
        if known == 0 {
            return format!("{name:11} known in   0 of {runs:4}");
        }
        let mean = self.off.iter().sum::<f64>() / known as f64;
        let middle = |values: Vec<f64>| {
            let mut values = values;
            values.sort_by(f64::total_cmp);
            values[values.len() / 2]
        };
        format!(
            "{name:11} known in {known:4} of {runs:4}, error: mean {mean:+.3} median {:.3} largest {:.3}, half interval {:.3}, truth \
             inside {:3.0} %",
            middle(self.off.iter().map(|off| off.abs()).collect()),
            self.farthest(),
            middle(self.half.clone()),
            100.0 * self.coverage(),
        )
    }
}
