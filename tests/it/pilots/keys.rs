//! `keys`: thinks in lever numbers, looks now and then, and presses keys until the number is reached.
//!
//! The number follows from where the aeroplane will be some seconds ahead if it goes on changing as it does.

use leveloff::sim::air::noise::Noise;

use super::errand::Phase;
use super::known::{Known, rounded};
use super::traits::between;
use super::{Mind, View};

/// Numbers are whole per cents on the way, finer near the number.
const WHOLE: f64 = 0.01;
const FINE: f64 = 0.004;

/// Time ahead, over the time scale of the swing.
const AHEAD: f64 = 1.3;
/// Rate wanted for what will be missing then, over the frequency of the swing.
const GAIN: f64 = 0.6;

#[derive(Debug, Default)]
pub struct Keys {
    look_s: f64,
    phase: Option<Phase>,
    number: Option<f64>,
}

impl Mind for Keys {
    fn lead_s(&self, known: &Known) -> f64 {
        1.45 * known.brake.lead_s
    }

    fn think(&mut self, view: &View, noise: &mut Noise) -> Option<f64> {
        let aim = &view.aim;
        // It waits for the moment to stop with its eyes on the numbers.
        let is_due = self.phase != Some(aim.phase);
        self.phase = Some(aim.phase);
        if view.t_s < self.look_s && !is_due {
            return None;
        }
        // Irregular; now and then it looks elsewhere.
        let away = noise.share() < 0.12;
        let pause_s = if away {
            between(noise, 2.0, 3.2)
        } else {
            between(noise, 0.6, 1.7)
        };
        self.look_s = view.t_s + view.looks * pause_s;
        let number = match aim.phase {
            Phase::Going => rounded(aim.going_lever, WHOLE),
            _ => self.kept(view),
        };
        let held = self.number.unwrap_or(view.lever);
        let least = match aim.phase {
            Phase::Going => WHOLE,
            _ if aim.is_line => FINE,
            _ => 2.0 * FINE,
        };
        if (number - held).abs() < least - 1e-9 && self.number.is_some() {
            return None;
        }
        self.number = Some(number);
        self.number
    }
}

impl Keys {
    fn kept(&self, view: &View) -> f64 {
        let (aim, w) = (&view.aim, view.known.radps);
        let ahead_s = view.ahead * AHEAD / w;
        let coming_m = ahead_s * aim.rel_mps + 0.5 * ahead_s * ahead_s * aim.trend_mps2;
        let off = view.gain * GAIN * w * (aim.missing_m - coming_m);
        rounded(aim.keep_lever + view.known.lever_for(off), FINE)
    }
}
