//! `tracker`: follows all the time, as people do in tracking tasks. The loop around the vertical speed is closed so that hand
//! and aeroplane together look like one integrator around the crossover; the altitude loop around that is slower. Adds an
//! unsteady hand (remnant) and lapses of attention.

use leveloff::sim::air::noise::Noise;
use leveloff::sim::math::exp;

use super::errand::Phase;
use super::known::Known;
use super::traits::between;
use super::{Mind, View};

/// Crossover of the inner loop times the delays around it: what people leave as margin.
const CROSSOVER: f64 = 0.55;
/// Hand, eyes and nerves together, s; the engine's answer comes on top.
const DELAY_S: f64 = 1.0;
/// The outer loop over the inner.
const OUTER: f64 = 0.65;
/// How quickly the lever of the way is given back, relative to the inner loop.
const GIVEN_BACK: f64 = 0.7;
/// Time in which the sum of errors fades, s: memory of a lever that seemed right.
const FADES_S: f64 = 25.0;
/// Unsteadiness, over the lever of 3 degrees, and how long a twitch lasts, s.
const REMNANT: f64 = 0.03;
const TWITCH_S: f64 = 1.0;
/// Mean time between lapses, s.
const LAPSE_EVERY_S: f64 = 25.0;
/// Least share of the usual lead: with less it could not follow at all.
const NEEDED: f64 = 0.7;
/// No hand is quicker, s.
const NERVES_S: f64 = 0.25;
/// Time between calls, s.
const DT_S: f64 = 1.0 / 16.0;

#[derive(Debug, Default)]
pub struct Tracker {
    /// Sum of the missing vertical speed, m.
    sum_m: f64,
    twitch: f64,
    lapse_until_s: f64,
    smooth: f64,
    set: f64,
}

/// Crossover of the inner loop, rad/s.
fn inner(known: &Known) -> f64 {
    CROSSOVER / (known.answer_s + DELAY_S)
}

impl Mind for Tracker {
    fn lead_s(&self, known: &Known) -> f64 {
        1.2 / (OUTER * inner(known))
    }

    fn line_lead_s(&self, known: &Known) -> f64 {
        1.5 * known.brake.lead_s
    }

    fn think(&mut self, view: &View, noise: &mut Noise) -> Option<f64> {
        let (aim, known) = (&view.aim, view.known);
        self.twitch += DT_S / TWITCH_S * (5.0 * noise.normal() - self.twitch);
        let lapse = noise.share();
        let lasts_s = between(noise, 1.0, 3.0);
        if view.t_s < self.lapse_until_s {
            return None;
        }
        if lapse < DT_S / LAPSE_EVERY_S {
            self.lapse_until_s = view.t_s + lasts_s;
        }
        let (w, z) = (known.radps, known.damping);
        let inner = inner(known);
        let most_mps = 1.1 * known.three_mps;
        // On the way its remembered lever is set and trimmed; near the target only the errors move the lever.
        let outer = OUTER * inner;
        let (wanted_mps, wanted_trend, set) = match aim.phase {
            Phase::Going => {
                let way_mps = aim.going_mps - aim.keep_mps;
                (way_mps, 0.0, known.lever_for(way_mps))
            }
            Phase::Stopping if aim.is_rate => {
                // The needle is led over gradually, not thrown.
                let left_mps = -aim.turn_mps * exp(-aim.since_s * w);
                (left_mps, -w * left_mps, 0.0)
            }
            _ if aim.missing_m.abs() * outer > most_mps => {
                (most_mps.copysign(aim.missing_m), 0.0, 0.0)
            }
            _ => (outer * aim.missing_m, -outer * aim.rel_mps, 0.0),
        };
        let off_mps = wanted_mps - aim.rel_mps;
        self.sum_m += DT_S * (off_mps - self.sum_m / FADES_S);
        let off_trend = view.ahead.max(NEEDED) * (wanted_trend - aim.trend_mps2);
        let off =
            view.gain * inner / (w * w) * (w * w * self.sum_m + 2.0 * z * w * off_mps + off_trend);
        let hand = REMNANT * view.remnant * known.three_lever * self.twitch;
        // The immediate answer of the aeroplane must not be asked for twice: the hand lags by as much as the aeroplane leads.
        let lag_s = (2.0 * known.prompt / w).max(NERVES_S);
        // An arm passes on no tremble that is quicker than itself.
        self.smooth += DT_S / lag_s * (known.lever_for(off) + hand - self.smooth);
        // The lever of the way is given back gradually.
        self.set = match aim.phase {
            Phase::Going => set,
            _ => self.set * (1.0 - DT_S * GIVEN_BACK * inner),
        };
        Some(aim.keep_lever + self.set + self.smooth)
    }
}
