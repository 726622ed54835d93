//! `imaginer`: has a rough picture of how the aeroplane answers, imagines the next seconds for a few settings of the lever
//! and takes the one that looks best; looks about every second.

use leveloff::sim::air::noise::Noise;
use leveloff::units::FT;

use super::errand::Phase;
use super::known::Known;
use super::traits::between;
use super::{Mind, View};

/// Settings tried, over the lever of 3 degrees away from what is believed right.
const TRIED: [f64; 11] = [
    -1.0, -0.7, -0.45, -0.25, -0.1, 0.0, 0.1, 0.25, 0.45, 0.7, 1.0,
];
/// Each is held so long in the mind, then taken back; over the time scale of the swing.
const HELD: f64 = 0.6;
/// How far the picture reaches.
const REACHES: f64 = 3.0;
/// Its steps.
const STEP: f64 = 0.15;
/// Looks come this often, over the time scale of the swing, and no oftener than a picture takes, s.
const LOOKS: f64 = 0.25;
const QUICKEST_S: f64 = 0.8;
/// Weight of moving the lever, and of having it away from what is believed right, over that of what will be missing: as much
/// of the one as of the other, or every gust would ask a light aeroplane for half of the lever.
const EFFORT: f64 = 0.02;
const STRAIN: f64 = 1.0;
/// How old a change of vertical speed is when it has been seen, and how old everything else, s.
const EYES_S: f64 = 0.9;
const REACTION_S: f64 = 0.6;
/// What is less than half a mark of the scale is nothing.
const HALF_A_MARK_M: f64 = 2.5 * FT;
/// Coarse readings are put together over so long, s.
const SETTLES_S: f64 = 0.8;

#[derive(Debug, Default)]
pub struct Imaginer {
    look_s: f64,
    phase: Option<Phase>,
    last: f64,
    /// What the engine is felt to give, over the lever of 3 degrees away from what is believed right; and when.
    engine: Option<f64>,
    felt_s: f64,
    /// The same as it was when that happened which is only read now.
    earlier: f64,
    /// What is missing, m, as it settles in the mind.
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
    /// How bad the next seconds look with a setting: in units of the swing's time scale and the 3-degree rate.
    fn imagined(&self, view: &View, off: f64) -> f64 {
        let (aim, known) = (&view.aim, view.known);
        let (w, r) = (known.radps, known.three_mps);
        let told_m = self.missing_m - self.missing_m.clamp(-HALF_A_MARK_M, HALF_A_MARK_M);
        let missing_m = told_m - SETTLES_S * aim.rel_mps;
        let (prompt, slow) = (2.0 * known.prompt, 2.0 * (known.damping - known.prompt));
        let (mut missing, mut speed) = (missing_m * w / r, aim.rel_mps / r);
        let mut engine = self.engine.unwrap_or(0.0);
        // What is gained by going fast, from how the vertical speed changes now.
        let trend = view.ahead * aim.trend_mps2 / (r * w);
        let mut fast = trend - prompt * (self.earlier - speed);
        // What is read is a moment old.
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
            // On a rate it is the rate that is missing.
            let off_by = if aim.is_rate { speed } else { missing };
            bad += STEP * (off_by * off_by + 0.3 * speed * speed);
            now += STEP;
        }
        bad
    }
}
