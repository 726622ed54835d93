//! What a practised person remembers about an aeroplane: a few levers, times and distances, rounded to what can be
//! remembered. All of it scales with the aeroplane; no number here belongs to a single one.

use std::f64::consts::PI;

use leveloff::sim::air::Wind;
use leveloff::sim::aircraft::Aircraft;
use leveloff::sim::dynamics::{State, step};
use leveloff::sim::math::{exp, sin_cos};
use leveloff::sim::stability;
use leveloff::sim::trim::{self, Trim};
use leveloff::units::{DEG, FPM};

/// Levers are remembered to half a per cent, times to half a second.
pub const LEVER_GRAIN: f64 = 0.005;
const TIME_GRAIN_S: f64 = 0.5;

/// How far past the wanted lever a brake goes, and how far short of it the dip after it, both over the lever of the rate
/// that is stopped: half again is bold but usual, and with equal halves only the times need to be remembered.
const SURPLUS: f64 = 0.5;

/// To the nearest multiple.
pub fn rounded(value: f64, grain: f64) -> f64 {
    (value / grain).round() * grain
}

/// An aeroplane as it is remembered.
#[derive(Clone, Debug)]
pub struct Known {
    aircraft: Aircraft,
    /// Vertical speed of 3 degrees, m/s, and the lever from level to it.
    pub three_mps: f64,
    pub three_lever: f64,
    /// Of the slow swing.
    pub radps: f64,
    pub damping: f64,
    /// The part of the damping that comes from pitch: it makes the aeroplane answer at once, before its speed has changed.
    pub prompt: f64,
    /// Answer time of the engine near level power, s.
    pub answer_s: f64,
    /// Time it takes from idle to level power, s.
    pub wakes_s: f64,
    /// The moves that stop a steady rate without a swing.
    pub brake: Brake,
}

/// A change of vertical speed in three moves: past the final lever, short of it, onto it. One move alone would carry past the
/// number and swing back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Brake {
    /// Past and short by this, over the lever of the change.
    pub surplus: f64,
    /// Time past, s.
    pub past_s: f64,
    /// Time short after that, s.
    pub short_s: f64,
    /// Altitude covered until the new vertical speed is reached, in s of the old one.
    pub lead_s: f64,
}

impl Known {
    pub fn new(aircraft: &Aircraft, h_m: f64) -> Known {
        let level = trim::on_speed(aircraft, h_m, 0.0);
        let swing = stability::swing(aircraft, h_m, &level);
        let plain = Aircraft {
            swing_damping: 0.0,
            ..aircraft.clone()
        };
        let slow = stability::swing(&plain, h_m, &level);
        let three = trim::three_degrees(aircraft, h_m);
        Known {
            aircraft: aircraft.clone(),
            three_mps: three.rate_mps,
            three_lever: rounded(three.lever, LEVER_GRAIN),
            radps: swing.frequency_radps(),
            damping: swing.damping,
            prompt: (swing.damping - slow.damping).max(0.0),
            answer_s: aircraft.engine.answer_s(level.engine),
            wakes_s: wakes_s(aircraft, level.engine),
            brake: Brake::found(aircraft, h_m, swing.frequency_radps()),
        }
    }

    /// Level power at an altitude.
    pub fn level(&self, h_m: f64) -> f64 {
        rounded(trim::on_speed(&self.aircraft, h_m, 0.0).lever, LEVER_GRAIN)
    }

    /// The lever for a change of vertical speed, in proportion to that of 3 degrees.
    pub fn lever_for(&self, change_mps: f64) -> f64 {
        change_mps / self.three_mps * self.three_lever
    }

    /// The highest vertical speed chosen by a pilot who knows the rules, m/s: clear of the one that costs as too steep.
    pub fn steepest_mps(&self) -> f64 {
        const CLEAR: f64 = 0.95;
        CLEAR * (1000.0 * FPM).min(1.5 * self.three_mps)
    }

    /// The first overshoot of the vertical speed after a single move of the lever, as a share of the change: that of a damped
    /// swing.
    pub fn swings_over(&self) -> f64 {
        let z = self.damping.min(0.99);
        exp(-PI * z / (1.0 - z * z).sqrt())
    }

    /// The altitude that the swing still brings within a time if nothing is done, in s of vertical speed and s^2 of its trend:
    /// the free motion of `v'' + 2 z w v' + w^2 v = 0`, integrated once.
    pub fn drift(&self, after_s: f64) -> (f64, f64) {
        let (w, z) = (self.radps, self.damping.min(0.99));
        let swing = w * (1.0 - z * z).sqrt();
        let left = |v0: f64, a0: f64| {
            let decay = exp(-z * w * after_s);
            let (sine, cosine) = sin_cos(swing * after_s);
            let b = (a0 + z * w * v0) / swing;
            let v = decay * (v0 * cosine + b * sine);
            let a = decay * (-z * w * (v0 * cosine + b * sine) + swing * (b * cosine - v0 * sine));
            (a0 - a + 2.0 * z * w * (v0 - v)) / (w * w)
        };
        (left(1.0, 0.0), left(0.0, 1.0))
    }
}

/// Time an engine takes out of idle, s: the mean of its answer times on the way.
fn wakes_s(aircraft: &Aircraft, to: f64) -> f64 {
    const PARTS: u32 = 20;
    let engine = &aircraft.engine;
    let at = |part: u32| {
        let share = (f64::from(part) + 0.5) / f64::from(PARTS);
        engine.answer_s(engine.idle_fraction + share * (to - engine.idle_fraction))
    };
    (0..PARTS).map(at).sum::<f64>() / f64::from(PARTS)
}

impl Brake {
    /// The times that a person finds by trial: out of a steady 3-degree descent, those that leave the least swing of altitude.
    fn found(aircraft: &Aircraft, h_m: f64, radps: f64) -> Brake {
        // The range searched, over the time scale of the swing; the jets and the propeller all lie inside.
        let past = times(0.65 / radps, 1.0 / radps);
        let short = times(0.9 / radps, 1.8 / radps);
        let tries = past
            .iter()
            .flat_map(|past_s| short.iter().map(move |short_s| (*past_s, *short_s)));
        let trial = Trial::new(aircraft, h_m, 9.0 / radps);
        let (_, past_s, short_s, lead_s) = tries
            .map(|(past_s, short_s)| {
                let (swing_m, lead_s) = trial.flown(past_s, short_s);
                (swing_m, past_s, short_s, lead_s)
            })
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .expect("there are times to try");
        Brake {
            surplus: SURPLUS,
            past_s,
            short_s,
            lead_s: rounded(lead_s, TIME_GRAIN_S).max(TIME_GRAIN_S),
        }
    }
}

/// Every time from one to another that can be remembered, at least the first.
fn times(from_s: f64, to_s: f64) -> Vec<f64> {
    let first = (from_s / TIME_GRAIN_S).round() as u32;
    let last = (to_s / TIME_GRAIN_S).round() as u32;
    (first..=last.max(first))
        .map(|n| f64::from(n) * TIME_GRAIN_S)
        .collect()
}

/// Trial stops of a descent.
struct Trial<'a> {
    aircraft: &'a Aircraft,
    h_m: f64,
    /// Length of a trial, enough to see the swing, s.
    lasts_s: f64,
    level: Trim,
    down: Trim,
}

impl Trial<'_> {
    fn new(aircraft: &Aircraft, h_m: f64, lasts_s: f64) -> Trial<'_> {
        Trial {
            aircraft,
            h_m,
            lasts_s,
            level: trim::on_speed(aircraft, h_m, 0.0),
            down: trim::on_speed(aircraft, h_m, -3.0 * DEG),
        }
    }

    /// Swing of altitude once the descent has stopped, m, and how far it carried on, in s of the descent.
    fn flown(&self, past_s: f64, short_s: f64) -> (f64, f64) {
        /// Coarse, but fine enough for a swing of many seconds.
        const STEP_S: f64 = 0.25;
        /// Share of the descent below which it counts as stopped.
        const STOPPED: f64 = 0.1;
        let (level, down, still) = (&self.level, &self.down, Wind::default());
        let sink_mps = down.vertical_mps();
        let mut state = State::on_speed(
            self.aircraft,
            self.h_m,
            down.speed_mps,
            down.path_rad,
            down.engine,
            &still,
        );
        let (mut low_m, mut high_m) = (f64::MAX, f64::MIN);
        for tick in 0..(self.lasts_s / STEP_S) as u32 {
            let t_s = f64::from(tick) * STEP_S;
            let off = match t_s {
                t_s if t_s < past_s => SURPLUS,
                t_s if t_s < past_s + short_s => -SURPLUS,
                _ => 0.0,
            };
            let lever = level.lever + off * (level.lever - down.lever);
            state = step(self.aircraft, &state, lever, &still, STEP_S);
            if low_m < f64::MAX || state.vz_mps > STOPPED * sink_mps {
                low_m = low_m.min(state.h_m - self.h_m);
                high_m = high_m.max(state.h_m - self.h_m);
            }
        }
        (high_m - low_m, 0.5 * (high_m + low_m) / sink_mps)
    }
}
