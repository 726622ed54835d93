//! Ways to look at vertical speed: how much of each past tick goes into what is taken for the speed and for its change.

use crate::sim::math::sin_cos;
use crate::units::TICK_S;

/// One way to look: pairs of so many ticks ago and how much that weighs.
#[derive(Clone, Debug)]
pub(super) struct View {
    speed: Vec<(usize, f64)>,
    change: Vec<(usize, f64)>,
}

impl View {
    /// The speed of the instant, and how it differs from that `span` ticks before.
    pub(super) fn instant(span: usize) -> View {
        let per_s = 1.0 / (span as f64 * TICK_S);
        View {
            speed: vec![(0, 1.0)],
            change: vec![(0, per_s), (span, -per_s)],
        }
    }

    /// The mean over the last `span` ticks, and the slope of the straight line that fits them best.
    pub(super) fn averaged(span: usize) -> View {
        let share = 1.0 / (span + 1) as f64;
        let off_s = |ago: usize| (0.5 * span as f64 - ago as f64) * TICK_S;
        let square: f64 = (0..=span).map(|ago| off_s(ago) * off_s(ago)).sum();
        View {
            speed: (0..=span).map(|ago| (ago, share)).collect(),
            change: (0..=span).map(|ago| (ago, off_s(ago) / square)).collect(),
        }
    }

    /// Speed and change as seen at the last of some values a tick apart.
    pub(super) fn at(&self, values: &[f64]) -> (f64, f64) {
        let last = values.len() - 1;
        let seen = |weights: &[(usize, f64)]| -> f64 {
            let parts = weights
                .iter()
                .map(|(ago, weight)| weight * values[last - ago]);
            parts.sum()
        };
        (seen(&self.speed), seen(&self.change))
    }

    /// What it makes of a swing of amplitude one at a frequency in rad/s: (real, imaginary) of speed and of change.
    pub(super) fn answer(&self, frequency_radps: f64) -> [(f64, f64); 2] {
        [&self.speed, &self.change].map(|weights| {
            let mut sum = (0.0, 0.0);
            for (ago, weight) in weights {
                let (sin, cos) = sin_cos(frequency_radps * *ago as f64 * TICK_S);
                sum = (sum.0 + weight * cos, sum.1 - weight * sin);
            }
            sum
        })
    }
}
