//! The lever as it is set: in whole thousandths, and no faster than a person moves it.

use crate::units::TICK_S;

/// A lever that travels towards a wanted setting at a limited rate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Travel {
    /// Fraction of travel per tick.
    per_tick: f64,
}

impl Travel {
    /// A lever with a rate in fractions of its travel per second.
    pub fn per_s(share: f64) -> Travel {
        Travel {
            per_tick: share * TICK_S,
        }
    }

    /// The next setting in thousandths on the way from `lever` to `wanted`; None once it is there.
    pub fn next(&self, lever: f64, wanted: f64) -> Option<u16> {
        let wanted = f64::from(thousandths(wanted)) / 1000.0;
        let step = (wanted - lever).clamp(-self.per_tick, self.per_tick);
        let next = thousandths(lever + step);
        (f64::from(next) / 1000.0 != lever).then_some(next)
    }
}

/// A lever position in thousandths of its travel.
pub fn thousandths(lever: f64) -> u16 {
    (lever.clamp(0.0, 1.0) * 1000.0).round() as u16
}
