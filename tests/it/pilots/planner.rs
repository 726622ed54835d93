//! `planner`: executes remembered numbers without looking (the power on the way, the moment to stop, past level, short of it,
//! level), then looks every six seconds or so and makes one measured correction: an amount of lever for a time, then back.

use leveloff::sim::air::noise::Noise;
use leveloff::units::FPM;

use super::errand::Phase;
use super::known::{Known, rounded};
use super::traits::between;
use super::{Mind, View};

/// Time between looks, over the time scale of the swing, and its limits, s.
const LOOKS: f64 = 1.0;
const SELDOM_S: (f64, f64) = (4.0, 6.0);
/// How far ahead it judges, and how long a correction lasts, over the time scale of the swing.
const AHEAD: f64 = 1.5;
const LASTS: f64 = 0.7;
/// Share of the coming error that a correction is made for.
const SHARE: f64 = 0.7;
/// Share of the band that is near enough.
const CONTENT: f64 = 0.15;
/// Vertical speeds too small to matter, m/s.
const STILL_MPS: f64 = 20.0 * FPM;
/// The largest correction, over the lever of 3 degrees.
const LARGEST: f64 = 0.8;
/// Sizes come in half per cents.
const GRAIN: f64 = 0.005;
/// Time from the decision to the lever arriving, s: practised people move that much earlier.
const REACTION_S: f64 = 0.8;

#[derive(Debug, Default)]
pub struct Planner {
    look_s: f64,
    correction: Option<(f64, f64)>,
    going: f64,
    phase: Option<Phase>,
}

impl Mind for Planner {
    fn lead_s(&self, known: &Known) -> f64 {
        known.brake.lead_s + REACTION_S
    }

    fn line_lead_s(&self, known: &Known) -> f64 {
        self.lead_s(known)
    }

    fn think(&mut self, view: &View, noise: &mut Noise) -> Option<f64> {
        let (aim, known) = (&view.aim, view.known);
        if self.phase != Some(aim.phase) {
            self.phase = Some(aim.phase);
            self.correction = None;
            self.look_s = view.t_s;
        }
        match aim.phase {
            Phase::Going => {
                // The power on the way, checked as seldom as the rest.
                if view.t_s >= self.look_s {
                    self.look_s = view.t_s + seldom_s(view, noise);
                    self.going = aim.going_lever;
                }
                Some(self.going)
            }
            Phase::Stopping => {
                let brake = &known.brake;
                let surplus = match aim.since_s {
                    since_s if since_s < brake.past_s => brake.surplus,
                    _ => -brake.surplus,
                };
                // A rate without a swing yet is turned only by the amount missing.
                let off = known.lever_for(surplus * aim.turn_mps);
                Some(rounded(aim.keep_lever + off, GRAIN))
            }
            Phase::Keeping => self.correct(view, noise),
        }
    }
}

/// Time until the next look, s.
fn seldom_s(view: &View, noise: &mut Noise) -> f64 {
    let usual_s = (LOOKS / view.known.radps).clamp(SELDOM_S.0, SELDOM_S.1);
    view.looks * usual_s * between(noise, 0.85, 1.15)
}

impl Planner {
    fn correct(&mut self, view: &View, noise: &mut Noise) -> Option<f64> {
        let (aim, known) = (&view.aim, view.known);
        if let Some((until_s, lever)) = self.correction {
            if view.t_s < until_s {
                return Some(lever);
            }
            self.correction = None;
        }
        if view.t_s >= self.look_s {
            self.look_s = view.t_s + seldom_s(view, noise);
            let (by_speed, by_trend) = known.drift(AHEAD / known.radps);
            let coming_m = view.ahead * (by_speed * aim.rel_mps + by_trend * aim.trend_mps2);
            let missing_m = aim.missing_m - coming_m;
            let lasts_s = rounded(LASTS / known.radps, 0.5);
            // Not worth a move.
            let content_m = if aim.is_rate { 0.0 } else { CONTENT * aim.band };
            let least_m = content_m.max(0.5 * STILL_MPS / known.radps);
            if missing_m.abs() > least_m {
                let most = LARGEST * known.three_lever;
                let off = view.gain * SHARE * known.lever_for(missing_m / lasts_s);
                let lever = rounded(aim.keep_lever + off.clamp(-most, most), GRAIN);
                self.correction = Some((view.t_s + lasts_s, lever));
                return Some(lever);
            }
        }
        Some(rounded(aim.keep_lever, GRAIN))
    }
}
