//! Which name the motion of a flight speaks for.
//!
//! A handful of *signs* that a person could see too (when the level-off began, turns of the lever, how long it stood still off
//! the number) are brought to 0..1 and weighed for every name; the names share a probability of one (a softmax of the sums).
//! What the weights are from is told in [`tables`]. A name is given only where it is surely enough the one.

pub mod signs;
pub mod tables;

use super::{Inquiry, LineKind};
use crate::drill;
use crate::sim::math::{exp, ln};
use signs::Motion;

/// A sign: what it looks at, its values that count as 0 and as 1, and how far it then speaks for a name.
pub struct Sign(
    pub fn(&Motion) -> f64,
    pub f64,
    pub f64,
    pub &'static [(LineKind, f64)],
);

/// The signs of a kind of task.
pub struct Evidence {
    /// A name is given from this probability on: 19 of 20 given so are right on drills that nothing was fitted on.
    pub sure: f64,
    /// What speaks for each name before anything was seen; [`LineKind::Rest`] is for nothing wrong.
    pub base: &'static [(LineKind, f64)],
    pub signs: &'static [Sign],
}

/// Names and their probabilities, the likeliest first.
pub type Likely = Vec<(LineKind, f64)>;

/// What another leg of the run looks like counts so much of what the line itself does: who does it once does it again.
const HABIT: f64 = 0.5;
/// Nothing is ruled out: a name has this probability at least.
const LEAST: f64 = 0.03;

/// What the motion about a line looks like.
pub fn looks(scene: &Inquiry) -> Likely {
    let evidence = Evidence::of(&scene.leg.flown.kind);
    evidence.likely(&evidence.seen(&Motion::of(scene)))
}

/// The name it speaks for beside what the other legs look like; None where it speaks for none clearly.
pub fn name(scene: &Inquiry, others: &[Likely]) -> Option<LineKind> {
    let (likeliest, probability) = beside(&looks(scene), others)[0];
    (probability >= Evidence::of(&scene.leg.flown.kind).sure).then_some(likeliest)
}

/// What a line looks like where others look so. What is no name of their kind of task says nothing.
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

/// Sums to probabilities.
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
    /// That of a kind of task.
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
            // What is not a number counts as 0.
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
