//! `imaginer`: has a rough idea of how the aeroplane answers, imagines the next seconds for a few settings of the lever and
//! takes the one that looks best; looks about every second.

use leveloff::sim::air::noise::Noise;
use leveloff::units::FT;

use super::errand::Phase;
use super::known::Known;
use super::traits::between;
use super::{Mind, View};

/// Settings tried, relative to the lever believed right, over the lever of 3 degrees.
const TRIED: [f64; 11] = [
    -1.0, -0.7, -0.45, -0.25, -0.1, 0.0, 0.1, 0.25, 0.45, 0.7, 1.0,
];
/// How long each is held in the imagination before it is taken back, over the time scale of the swing.
const HELD: f64 = 0.6;
/// How far ahead the imagination reaches.
const REACHES: f64 = 3.0;
/// Its steps.
const STEP: f64 = 0.15;
/// Time between looks, over the time scale of the swing, and the least, the time that imagining takes, s.
const LOOKS: f64 = 0.25;
const QUICKEST_S: f64 = 0.8;
/// Weights of moving the lever, and of keeping it away from the setting believed right, over that of the coming error. Without
/// the second, every gust would ask a light aeroplane for half of the lever.
const EFFORT: f64 = 0.02;
const STRAIN: f64 = 1.0;
/// The age of a change of vertical speed when it is seen, and that of everything else, s.
const EYES_S: f64 = 0.9;
const REACTION_S: f64 = 0.6;
/// Errors below half a mark of the scale count as none.
const HALF_A_MARK_M: f64 = 2.5 * FT;
/// Time over which coarse readings are averaged, s.
const SETTLES_S: f64 = 0.8;

#[derive(Debug, Default)]
pub struct Imaginer {
    look_s: f64,
    phase: Option<Phase>,
    last: f64,
    /// The felt engine power, relative to the lever believed right, over the lever of 3 degrees; and when it was felt.
    engine: Option<f64>,
    felt_s: f64,
    /// The same at the time of what is being read only now.
    earlier: f64,
    /// The altitude missing, m, averaged over readings.
    missing_m: f64,
}

impl Mind for Imaginer {
    fn lead_s(&self, known: &Known) -> f64 {
        2.1 * known.brake.lead_s
    }

    fn think(&mut self, view: &View, noise: &mut Noise) -> Option<f64> {
        let aim = &view.aim;
        let is_due = self.phase != Some(aim.phase);
        self.phase = Some(aim.phase);
        let lag_s = view.known.answer_s;
        let lever = (view.lever - aim.keep_lever) / view.known.three_lever;
        let engine = self.engine.get_or_insert(lever);
        *engine += ((view.t_s - self.felt_s) / lag_s).min(1.0) * (lever - *engine);
        self.earlier += ((view.t_s - self.felt_s) / EYES_S).min(1.0) * (*engine - self.earlier);
        let new_m = aim.missing_m - self.missing_m;
        self.missing_m += match is_due {
            true => new_m,
            false => ((view.t_s - self.felt_s) / SETTLES_S).min(1.0) * new_m,
        };
        self.felt_s = view.t_s;
        if aim.phase == Phase::Going {
            return Some(aim.going_lever);
        }
        if view.t_s < self.look_s && !is_due {
            return None;
        }
        let usual_s = (LOOKS / view.known.radps).max(QUICKEST_S);
        self.look_s = view.t_s + view.looks * usual_s * between(noise, 0.75, 1.25);
        let tried = TRIED.iter().map(|off| (*off, self.imagined(view, *off)));
        let (off, _) = tried.min_by(|a, b| a.1.total_cmp(&b.1))?;
        self.last = off;
        Some(aim.keep_lever + view.gain * off * view.known.three_lever)
    }
}

impl Imaginer {
    /// How bad the next seconds look with a setting, in units of the swing's time scale and the 3-degree rate.
    fn imagined(&self, view: &View, off: f64) -> f64 {
        let (aim, known) = (&view.aim, view.known);
        let (w, r) = (known.radps, known.three_mps);
        let told_m = self.missing_m - self.missing_m.clamp(-HALF_A_MARK_M, HALF_A_MARK_M);
        let missing_m = told_m - SETTLES_S * aim.rel_mps;
        let (prompt, slow) = (2.0 * known.prompt, 2.0 * (known.damping - known.prompt));
        let (mut missing, mut speed) = (missing_m * w / r, aim.rel_mps / r);
        let mut engine = self.engine.unwrap_or(0.0);
        // The effect of being fast, from the present change of vertical speed.
        let trend = view.ahead * aim.trend_mps2 / (r * w);
        let mut fast = trend - prompt * (self.earlier - speed);
        // Readings are a moment old.
        speed += w * REACTION_S * trend;
        missing -= w * REACTION_S * speed;
        let lag = w * known.answer_s;
        let (mut bad, mut now) = (EFFORT * (off - self.last).abs() + STRAIN * off * off, 0.0);
        while now < REACHES {
            let lever = if now < HELD { off } else { 0.0 };
            engine += (STEP / lag).min(1.0) * (lever - engine);
            fast += STEP * (engine - speed - slow * fast);
            speed += STEP * (fast + prompt * (engine - speed));
            missing -= STEP * speed;
            // On a rate the error is that of the rate.
            let off_by = if aim.is_rate { speed } else { missing };
            bad += STEP * (off_by * off_by + 0.3 * speed * speed);
            now += STEP;
        }
        bad
    }
}
