//! The lever as it is set: in whole thousandths, and no faster than a person moves it.

use crate::units::TICK_S;

/// A lever that travels towards a wanted setting at a limited rate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Travel {
    /// Thousandths of travel per tick.
    per_tick: f64,
}

impl Travel {
    /// A lever with a rate in fractions of its travel per second.
    pub fn per_s(share: f64) -> Travel {
        Travel {
            per_tick: 1000.0 * share * TICK_S,
        }
    }

    /// The next setting in thousandths on the way from `lever` to `wanted`; None once it is there.
    pub fn next(&self, lever: f64, wanted: f64) -> Option<u16> {
        let next = self.toward(1000.0 * lever, thousandths(wanted));
        (f64::from(next) / 1000.0 != lever).then_some(next)
    }

    /// The same where the lever is given in thousandths: it may stand between two of them until it is moved.
    pub fn toward(&self, lever: f64, wanted: u16) -> u16 {
        let step = (f64::from(wanted) - lever).clamp(-self.per_tick, self.per_tick);
        // Rounded: it is never negative, and planning does this more than anything else.
        (lever + step + 0.5) as u16
    }
}

/// A lever position in thousandths of its travel.
pub fn thousandths(lever: f64) -> u16 {
    (lever.clamp(0.0, 1.0) * 1000.0).round() as u16
}
