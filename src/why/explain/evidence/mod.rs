//! Which name the motion of a flight speaks for.
//!
//! A handful of *signs* that a person could see too (when the level-off began, turns of the lever, how long it stood still off
//! the number) are brought to 0..1 and weighed for every name; the names share a probability of one (a softmax of the sums).
//! What the weights are from is told in [`tables`]. A name is given only where it is surely enough the one.

pub mod signs;
pub mod tables;

use super::{Kind, Scene};
use crate::drill;
use crate::sim::math::exp;
use signs::Motion;

/// A sign: what it looks at, its values that count as 0 and as 1, and how far it then speaks for a name.
pub struct Sign(fn(&Motion) -> f64, f64, f64, &'static [(Kind, f64)]);

/// The signs of a kind of task.
pub struct Evidence {
    /// A name is given from this probability on: about 19 of 20 given so are right on hands that were left out.
    pub sure: f64,
    /// What speaks for each name before anything was seen.
    pub base: &'static [(Kind, f64)],
    /// The signs.
    pub signs: &'static [Sign],
}

/// The name the motion about a line speaks for; None where it speaks for none clearly.
pub fn name(scene: &Scene) -> Option<Kind> {
    let evidence = match scene.leg.flown.kind {
        drill::Kind::Step(_) => &tables::STEP,
        drill::Kind::Path(_) => &tables::PATH,
        drill::Kind::Hold(_) | drill::Kind::Rate(_) | drill::Kind::Surprise(_) => &tables::STAY,
    };
    let motion = Motion::of(scene);
    let mut sums = evidence.base.to_vec();
    for Sign(look, none, full, speaks) in evidence.signs {
        let seen = ((look(&motion) - none) / (full - none)).clamp(0.0, 1.0);
        if seen.is_nan() {
            continue;
        }
        for (kind, weight) in *speaks {
            let sum = sums.iter_mut().find(|(of, _)| of == kind);
            sum.expect("a name has its base").1 += weight * seen;
        }
    }
    let (likeliest, most) = sums.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let all: f64 = sums.iter().map(|(_, sum)| exp(sum - most)).sum();
    (likeliest != Kind::Rest && 1.0 / all >= evidence.sure).then_some(likeliest)
}
