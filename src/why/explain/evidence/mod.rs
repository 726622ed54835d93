//! Which name the motion of a flight speaks for.
//!
//! A handful of *signs* that a person could see too (when the level-off began, turns of the lever, how long it stood still off
//! the number) are brought to 0..1 and weighed for every name; the names share a probability of one (a softmax of the sums).
//! What the weights are from is told in [`tables`]. A name is given only where it is surely enough the one.

pub mod signs;
pub mod tables;

use super::{Inquiry, LineKind};
use crate::drill;
use crate::sim::math::exp;
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
    /// The signs.
    pub signs: &'static [Sign],
}

/// The name the motion about a line speaks for; None where it speaks for none clearly.
pub fn name(scene: &Inquiry) -> Option<LineKind> {
    let evidence = Evidence::of(&scene.leg.flown.kind);
    let (likeliest, probability) = evidence.likely(&evidence.seen(&Motion::of(scene)))[0];
    (is_given(likeliest) && probability >= evidence.sure).then_some(likeliest)
}

/// Whether an outcome is told by its name. A wrong level power looks like too much else: a rule tells it, where it is plain.
pub fn is_given(kind: LineKind) -> bool {
    !matches!(kind, LineKind::Rest | LineKind::LevelPowerOff)
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
            if share.is_nan() {
                0.0
            } else {
                share.clamp(0.0, 1.0)
            }
        };
        self.signs.iter().map(seen).collect()
    }

    /// Every name and its probability, the likeliest first.
    pub fn likely(&self, seen: &[f64]) -> Vec<(LineKind, f64)> {
        let sums = self.base.iter().map(|(kind, base)| {
            let spoken = self.signs.iter().zip(seen).flat_map(|(sign, seen)| {
                let of_kind = sign.3.iter().filter(|(of, _)| of == kind);
                of_kind.map(move |(_, weight)| weight * seen)
            });
            (*kind, base + spoken.sum::<f64>())
        });
        let mut likely: Vec<(LineKind, f64)> = sums.collect();
        likely.sort_by(|a, b| b.1.total_cmp(&a.1));
        let most = likely[0].1;
        let all: f64 = likely.iter().map(|(_, sum)| exp(sum - most)).sum();
        let shares = likely
            .iter()
            .map(|(kind, sum)| (*kind, exp(sum - most) / all));
        shares.collect()
    }
}
