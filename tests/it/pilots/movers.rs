//! The moves from the present lever to a wanted one: an arm that slides it, or fingers on keys.

use leveloff::run::thousandths;
use leveloff::sim::air::noise::Noise;
use leveloff::units::TICK_S;

use super::traits::between;

/// No hand moves a lever faster, fraction of travel a second.
pub const FASTEST_PER_S: f64 = 0.8;

/// Moves the lever for one tick towards the wanted one.
pub fn slide(lever: f64, wanted: f64, per_s: f64) -> f64 {
    let most = per_s * TICK_S;
    lever + (wanted - lever).clamp(-most, most)
}

/// The lever in thousandths, if that differs from the present one.
pub fn settable(lever: f64, now: f64) -> Option<u16> {
    let next = thousandths(lever);
    (next != thousandths(now)).then_some(next)
}

/// The change per press.
const COARSE: f64 = 0.05;
const TAP: f64 = 0.01;
const FINE: f64 = 0.002;
/// Time between the repeats of a held key, s.
const REPEAT_S: f64 = 1.0 / 30.0;

/// Fingers on keys that move the lever by presses only: 5 %, 1 % or 0.2 % each, with a held key repeating.
#[derive(Debug)]
pub struct Fingers {
    /// Delay before a held key repeats, s: the setting of the machine.
    delay_s: f64,
    /// Time between taps, s.
    tap_s: f64,
    /// Time until the next press can come, s.
    wait_s: f64,
    /// The key that is held: its signed change per press, and the remainder at which to let go.
    held: Option<(f64, f64)>,
    /// The number reached by the presses; the lever follows it.
    number: Option<f64>,
}

impl Fingers {
    pub fn new(noise: &mut Noise) -> Fingers {
        Fingers {
            delay_s: between(noise, 0.25, 0.6),
            tap_s: between(noise, 0.15, 0.24),
            wait_s: 0.0,
            held: None,
            number: None,
        }
    }

    /// Approximate time for a long way, s.
    pub fn takes_s(&self, way: f64) -> f64 {
        way / COARSE * self.tap_s
    }

    /// The next lever on the way to a wanted one.
    pub fn press(&mut self, lever: f64, wanted: f64, noise: &mut Noise) -> f64 {
        let mut number = self.number.unwrap_or(lever);
        self.wait_s -= TICK_S;
        if self.wait_s <= 0.0 {
            number = (number + self.next(wanted - number, noise)).clamp(0.0, 1.0);
        }
        self.number = Some(number);
        slide(lever, number, FASTEST_PER_S)
    }

    /// The press to make now for a missing change.
    fn next(&mut self, missing: f64, noise: &mut Noise) -> f64 {
        /// From this change on the key is held instead of tapped.
        const HELD_FROM: f64 = 0.035;
        if let Some((press, goal)) = self.held {
            // Lets go when the number comes up, now and then a press too late.
            if missing * press.signum() > goal {
                self.wait_s = REPEAT_S;
                return press;
            }
            self.held = None;
            self.wait_s = self.tap_s;
            return 0.0;
        }
        let size = missing.abs();
        let (press, wait_s) = if size > 1.2 * COARSE {
            (COARSE, self.tap_s)
        } else if size > HELD_FROM {
            self.held = Some((TAP.copysign(missing), between(noise, -0.005, 0.015)));
            (TAP, self.delay_s)
        } else if size > 0.6 * TAP {
            (TAP, self.tap_s)
        } else if size > 0.6 * FINE {
            (FINE, self.tap_s)
        } else {
            return 0.0;
        };
        self.wait_s = wait_s * between(noise, 0.9, 1.2);
        press.copysign(missing)
    }
}
