//! Finds the name that the motion of a flight supports.
//!
//! A handful of *signs* that a person could see too (when the level-off began, turns of the lever, how long it stood still off
//! the number) are scaled to 0..1 and weighted for every name; a softmax of the sums turns them into probabilities. [`tables`]
//! says where the weights come from. A name is given only if its probability is high enough.

pub mod signs;
pub mod tables;

use super::{Inquiry, LineKind};
use crate::drill;
use crate::sim::math::{exp, ln};
use signs::Motion;

/// A sign: its function, the values that count as 0 and as 1, and its weights for the names.
pub struct Sign(
    pub fn(&Motion) -> f64,
    pub f64,
    pub f64,
    pub &'static [(LineKind, f64)],
);

/// The signs of a kind of task.
pub struct Evidence {
    /// A name is given from this probability on: 19 of 20 such names are right on drills that nothing was fitted on.
    pub sure: f64,
    /// The bias of each name before anything is seen; [`LineKind::Rest`] stands for nothing wrong.
    pub base: &'static [(LineKind, f64)],
    pub signs: &'static [Sign],
}

/// Names and their probabilities, the likeliest first.
pub type Likely = Vec<(LineKind, f64)>;

/// Weight of another leg's evidence relative to the line's own: a fault made once is made again.
const HABIT: f64 = 0.5;
/// No name is ruled out: this is added to every probability.
const LEAST: f64 = 0.03;

/// The names that the motion around a line suggests.
pub fn looks(scene: &Inquiry) -> Likely {
    let evidence = Evidence::of(&scene.leg.flown.kind);
    evidence.likely(&evidence.seen(&Motion::of(scene)))
}

/// The name that the motion supports in view of the other legs; None where it supports none clearly.
pub fn name(scene: &Inquiry, others: &[Likely]) -> Option<LineKind> {
    let (likeliest, probability) = beside(&looks(scene), others)[0];
    (probability >= Evidence::of(&scene.leg.flown.kind).sure).then_some(likeliest)
}

/// Combines a line's probabilities with those of other legs. A name that another leg's kind of task does not have adds nothing.
pub fn beside(likely: &Likely, others: &[Likely]) -> Likely {
    let says = |other: &Likely, kind: LineKind| {
        let (_, probability) = other.iter().find(|(of, _)| *of == kind)?;
        Some(ln(
            (probability + LEAST) / (1.0 / other.len() as f64 + LEAST)
        ))
    };
    let sum = |(kind, probability): &(LineKind, f64)| {
        let said: f64 = others.iter().filter_map(|other| says(other, *kind)).sum();
        (*kind, ln(probability + LEAST) + HABIT * said)
    };
    shared(likely.iter().map(sum).collect())
}

/// Turns sums into probabilities (softmax).
fn shared(mut sums: Likely) -> Likely {
    sums.sort_by(|a, b| b.1.total_cmp(&a.1));
    let most = sums[0].1;
    let all: f64 = sums.iter().map(|(_, sum)| exp(sum - most)).sum();
    let shares = sums
        .into_iter()
        .map(|(kind, sum)| (kind, exp(sum - most) / all));
    shares.collect()
}

impl Evidence {
    /// The evidence for a kind of task.
    pub fn of(kind: &drill::Kind) -> &'static Evidence {
        match kind {
            drill::Kind::Step(_) => &tables::STEP,
            drill::Kind::Path(_) => &tables::PATH,
            _ => &tables::STAY,
        }
    }

    /// How far each of its signs is seen, 0..1.
    pub fn seen(&self, motion: &Motion) -> Vec<f64> {
        let seen = |Sign(look, none, full, _): &Sign| {
            let share = (look(motion) - none) / (full - none);
            // NaN counts as 0.
            share.clamp(0.0, 1.0).max(0.0)
        };
        self.signs.iter().map(seen).collect()
    }

    /// Every name and its probability, the likeliest first.
    pub fn likely(&self, seen: &[f64]) -> Likely {
        let sums = self.base.iter().map(|(kind, base)| {
            let spoken = self.signs.iter().zip(seen).flat_map(|(sign, seen)| {
                let of_kind = sign.3.iter().filter(|(of, _)| of == kind);
                of_kind.map(move |(_, weight)| weight * seen)
            });
            (*kind, base + spoken.sum::<f64>())
        });
        shared(sums.collect())
    }
}
