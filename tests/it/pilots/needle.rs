//! `needle`: chooses one of a few vertical speeds by the distance from the number, and moves the lever by small separate moves
//! until the needle goes there, allowing for the pending effect of the last moves.

use leveloff::sim::air::noise::Noise;
use leveloff::sim::math::exp;

use super::errand::Phase;
use super::known::Known;
use super::traits::between;
use super::{Mind, View};

/// Wanted vertical speed over that of 3 degrees, by the distance from the number over the way of 3 degrees in one time scale of
/// the swing: nothing, 200, 500 ft/min or 3 degrees in a jet.
const STEPS: [(f64, f64); 3] = [(0.18, 0.0), (0.9, 0.28), (2.0, 0.62)];
/// The moves: the coming error of the needle, over the vertical speed of 3 degrees, and their size over its lever.
const MOVES: [(f64, f64); 3] = [(0.1, 0.0), (0.3, 0.12), (0.7, 0.3)];
const LARGEST: f64 = 0.6;
/// How far ahead the needle's motion is foreseen, over the time scale of the swing.
const AHEAD: f64 = 0.9;
/// Share of the way back to the lever believed right, at each look.
const BACK: f64 = 0.15;

#[derive(Debug, Default)]
pub struct Needle {
    look_s: f64,
    phase: Option<Phase>,
    held: Option<f64>,
    /// The effect of the last moves that does not show yet, fraction of travel.
    pending: f64,
    last_s: f64,
}

/// The value of the first step that covers a size, or the one beyond.
fn stepped(steps: &[(f64, f64)], size: f64, beyond: f64) -> f64 {
    let within = steps.iter().find(|(most, _)| size.abs() <= *most);
    within.map_or(beyond, |(_, value)| *value).copysign(size)
}

impl Mind for Needle {
    fn lead_s(&self, known: &Known) -> f64 {
        2.5 * known.brake.lead_s
    }

    fn line_lead_s(&self, known: &Known) -> f64 {
        1.2 * known.brake.lead_s
    }

    fn think(&mut self, view: &View, noise: &mut Noise) -> Option<f64> {
        let (aim, known) = (&view.aim, view.known);
        let is_due = self.phase != Some(aim.phase);
        self.phase = Some(aim.phase);
        if view.t_s < self.look_s && !is_due {
            return None;
        }
        self.look_s = view.t_s + view.looks * between(noise, 0.7, 1.3);
        let (w, three_mps) = (known.radps, known.three_mps);
        let faded = exp(-(view.t_s - self.last_s) / (known.answer_s + 0.5 / w));
        self.last_s = view.t_s;
        self.pending *= faded;
        let way = aim.missing_m * w / three_mps;
        let wanted_mps = match aim.phase {
            Phase::Going => aim.going_mps - aim.keep_mps,
            _ => three_mps * stepped(&STEPS, way, 1.0),
        };
        let believed = aim.keep_lever + known.lever_for(wanted_mps);
        let held = self.held.unwrap_or(view.lever);
        let lever = if is_due {
            // A person starts from the remembered number for the rate.
            believed
        } else {
            let ahead_s = view.ahead * AHEAD / w;
            let expected_mps = view.ahead * self.pending / known.three_lever * three_mps;
            let coming_mps = aim.rel_mps + ahead_s * aim.trend_mps2 + expected_mps;
            let off = (wanted_mps - coming_mps) / three_mps;
            let step = view.gain * stepped(&MOVES, off, LARGEST) * known.three_lever;
            held + step + BACK * (believed - held)
        };
        self.pending += lever - held;
        self.held = Some(lever);
        Some(lever)
    }
}
