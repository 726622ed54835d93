//! `pulses`: an on-off hand. The lever rests at the setting believed right and leaves it for short pulses of two sizes; each
//! moves the altitude by about its area. After a pulse it waits to see the effect.

use leveloff::sim::air::noise::Noise;
use leveloff::units::FT;

use super::errand::Phase;
use super::known::{Known, rounded};
use super::traits::between;
use super::{Mind, View};

/// A pulse: lever over that of 3 degrees, and time over the time scale of the swing, for the pulse and for the wait after it.
#[derive(Clone, Copy, Debug)]
struct Pulse {
    size: f64,
    lasts: f64,
    waits: f64,
}

const SMALL: Pulse = Pulse {
    size: 0.3,
    lasts: 0.4,
    waits: 0.35,
};
const BIG: Pulse = Pulse {
    size: 0.7,
    lasts: 0.6,
    waits: 0.4,
};
/// How far ahead it judges, over the time scale of the swing.
const AHEAD: f64 = 1.3;
/// A pulse is given if the coming error is at least this share of its effect.
const WORTH: f64 = 0.9;
/// Share of the band that is near enough.
const CONTENT: f64 = 0.2;
/// An error below a mark of the scale is not worth a move: it may be a misreading.
const MARK_M: f64 = 5.0 * FT;
/// Time from a look to the next that confirms it, s.
const SECOND_LOOK_S: f64 = 0.5;
/// The lever is set to half a per cent.
const GRAIN: f64 = 0.005;

#[derive(Debug, Default)]
pub struct Pulses {
    /// The end of the pulse, s, and its lever.
    pulse: (f64, f64),
    look_s: f64,
    /// The error at the last look, m; 0 if it asked for nothing.
    missed: f64,
    phase: Option<Phase>,
}

impl Mind for Pulses {
    fn lead_s(&self, known: &Known) -> f64 {
        1.15 * known.brake.lead_s
    }

    fn think(&mut self, view: &View, noise: &mut Noise) -> Option<f64> {
        let (aim, known) = (&view.aim, view.known);
        let is_new = self.phase != Some(aim.phase);
        self.phase = Some(aim.phase);
        if aim.phase == Phase::Going {
            return Some(aim.going_lever);
        }
        if is_new && aim.phase == Phase::Stopping {
            // The pulse that stops the way.
            let brake = &known.brake;
            self.pulse = (
                view.t_s + brake.past_s,
                known.lever_for(brake.surplus * aim.turn_mps),
            );
            self.look_s = self.pulse.0 + 0.2 / known.radps;
        }
        if view.t_s >= self.look_s {
            self.look(view, noise);
        }
        let off = if view.t_s < self.pulse.0 {
            self.pulse.1
        } else {
            0.0
        };
        Some(rounded(aim.keep_lever + off, GRAIN))
    }
}

impl Pulses {
    fn look(&mut self, view: &View, noise: &mut Noise) {
        let (aim, known) = (&view.aim, view.known);
        let scale_s = 1.0 / known.radps;
        let (by_speed, by_trend) = known.drift(AHEAD * scale_s);
        let coming_m = view.ahead * (by_speed * aim.rel_mps + by_trend * aim.trend_mps2);
        let missing_m = aim.missing_m - coming_m;
        let effect_m = |pulse: &Pulse| known.three_mps * pulse.size * pulse.lasts * scale_s;
        let least_m = match aim.is_rate {
            true => 0.0,
            false if aim.is_line => CONTENT * aim.band,
            false => (CONTENT * aim.band).max(MARK_M),
        };
        let Some(pulse) = [BIG, SMALL]
            .into_iter()
            .find(|pulse| missing_m.abs() > least_m.max(WORTH * effect_m(pulse)))
        else {
            self.look_s = view.t_s + SECOND_LOOK_S;
            self.missed = 0.0;
            return;
        };
        // A gust is gone by the second look; an error still there then gets its pulse. Down a line there is no time for that.
        let is_new = self.missed * missing_m <= 0.0;
        self.missed = missing_m;
        if is_new && aim.phase == Phase::Keeping && !aim.is_line {
            self.look_s = view.t_s + SECOND_LOOK_S;
            return;
        }
        self.missed = 0.0;
        let lasts_s = pulse.lasts * scale_s * between(noise, 0.9, 1.1);
        let off = view.gain * pulse.size * known.three_lever;
        self.pulse = (view.t_s + lasts_s, off.copysign(missing_m));
        self.look_s = self.pulse.0 + view.looks * pulse.waits * scale_s;
    }
}
