//! What a planted hand's signature is in truth, found by experiment: the hand is shown made-up sights and the aeroplane is given
//! made-up levers. Nothing of the estimator, and none of the hand's formulas, is used.

use std::f64::consts::TAU;
use std::sync::Arc;

use leveloff::drill::{Drill, Target};
use leveloff::hands::steady::Traits;
use leveloff::hands::{Hand, Sight, Steady};
use leveloff::sim::dynamics::step;
use leveloff::sim::trim;
use leveloff::units::TICK_S;

use crate::flying::trimmed;

/// Amplitude and phase as (cosine, sine) part of the swing at a frequency in values a tick apart.
fn swing(values: &[f64], frequency_radps: f64) -> (f64, f64) {
    let mut sum = (0.0, 0.0);
    for (n, value) in values.iter().enumerate() {
        let (sin, cos) = (frequency_radps * n as f64 * TICK_S).sin_cos();
        sum = (sum.0 + value * cos, sum.1 - value * sin);
    }
    sum
}

fn size(a: (f64, f64)) -> f64 {
    a.0.hypot(a.1)
}

/// The hand without dead band and with the finest steps there are: its law as it is meant.
fn fine(traits: &Traits) -> Traits {
    Traits {
        dead_band: 0.0,
        resolution: 0.001,
        ..*traits
    }
}

fn sight(tick: u64, altitude_m: f64, vertical_mps: f64, lever: f64, target: Target) -> Sight {
    Sight {
        tick,
        altitude_m,
        vertical_mps,
        lever,
        target,
        approach: None,
        is_down: false,
        is_called: false,
    }
}

/// Where the lever comes to rest when the hand sees vertical speed run up to `vertical_mps` at `change_mps2` and stay there.
fn answer(drill: &Drill, traits: &Traits, vertical_mps: f64, change_mps2: f64) -> f64 {
    let target = drill.tasks[0].kind.target().unwrap();
    let altitude_m = drill.start.altitude_m;
    let at_once = Traits {
        lever_per_s: 64.0,
        ..fine(traits)
    };
    let mut hand = Steady::with(drill, at_once);
    let mut lever = drill.start_lever();
    let look = 4 * traits.look_ticks;
    for tick in 0..=look + traits.reaction_ticks {
        let before_s = look.saturating_sub(tick) as f64 * TICK_S;
        let seen_mps = vertical_mps - change_mps2 * before_s;
        let sight = sight(tick, altitude_m, seen_mps, lever, target);
        if let Some(thousandths) = hand.lever(&sight) {
            lever = f64::from(thousandths) / 1000.0;
        }
    }
    lever
}

/// Weight of the change of vertical speed over that of vertical speed, s.
pub fn lead_s(drill: &Drill, traits: &Traits) -> f64 {
    let rate_mps = trim::three_degrees(&drill.aircraft, drill.start.altitude_m).rate_mps;
    let (mut by_speed, mut by_change) = (0.0, 0.0);
    // Many sizes, so that the rounding of the lever cancels out.
    for n in 20..60 {
        let size = rate_mps * f64::from(n) / 60.0;
        by_speed += (answer(drill, traits, size, 0.0) - answer(drill, traits, -size, 0.0)) / size;
        let size = size / 4.0;
        by_change += (answer(drill, traits, 0.0, size) - answer(drill, traits, 0.0, -size)) / size;
    }
    by_change / by_speed
}

/// Vertical speed of the aeroplane after a short pulse of the lever: its transform is the answer at any frequency.
pub struct Plane {
    lever: Vec<f64>,
    vertical_mps: Vec<f64>,
}

impl Plane {
    pub fn new(drill: &Drill) -> Plane {
        let aircraft = &drill.aircraft;
        let level = trim::on_speed(aircraft, drill.start.altitude_m, 0.0);
        let mut state = trimmed(aircraft, drill.start.altitude_m, &level);
        let (mut lever, mut vertical_mps) = (Vec::new(), Vec::new());
        for tick in 0..600 * 64 {
            let pulse = if tick < 64 { 0.02 } else { 0.0 };
            lever.push(pulse);
            vertical_mps.push(state.vz_mps);
            state = step(
                aircraft,
                &state,
                level.lever + pulse,
                &Default::default(),
                TICK_S,
            );
        }
        Plane {
            lever,
            vertical_mps,
        }
    }

    fn vertical_per_lever(&self, frequency_radps: f64) -> f64 {
        size(swing(&self.vertical_mps, frequency_radps)) / size(swing(&self.lever, frequency_radps))
    }
}

/// Lever per vertical speed when the hand sees the aeroplane swing up and down about the altitude at a frequency.
fn lever_per_vertical(drill: &Drill, traits: &Traits, frequency_radps: f64) -> f64 {
    const SWINGS: usize = 12;
    let target = drill.tasks[0].kind.target().unwrap();
    let speed_mps = 0.4 * trim::three_degrees(&drill.aircraft, drill.start.altitude_m).rate_mps;
    let swing_ticks = TAU / frequency_radps / TICK_S;
    let count = (SWINGS as f64 * swing_ticks).round() as usize;
    let skipped = (2.0 * swing_ticks) as usize;
    let mut hand = Steady::with(drill, fine(traits));
    let mut lever = drill.start_lever();
    let (mut levers, mut speeds) = (Vec::new(), Vec::new());
    for tick in 0..count + skipped {
        let (sin, cos) = (frequency_radps * tick as f64 * TICK_S).sin_cos();
        let (altitude_m, vertical_mps) = (
            drill.start.altitude_m + speed_mps / frequency_radps * sin,
            speed_mps * cos,
        );
        let sight = sight(tick as u64, altitude_m, vertical_mps, lever, target);
        if let Some(thousandths) = hand.lever(&sight) {
            lever = f64::from(thousandths) / 1000.0;
        }
        if tick >= skipped {
            levers.push(lever);
            speeds.push(vertical_mps);
        }
    }
    let mean = levers.iter().sum::<f64>() / levers.len() as f64;
    levers.iter_mut().for_each(|lever| *lever -= mean);
    size(swing(&levers, frequency_radps)) / size(swing(&speeds, frequency_radps))
}

/// The highest frequency at which the loop cut at the lever has a gain of one, rad/s.
pub fn crossover_radps(drill: &Arc<Drill>, traits: &Traits, plane: &Plane) -> f64 {
    let gain = |w: f64| lever_per_vertical(drill, traits, w) * plane.vertical_per_lever(w);
    let mut high = 2.5;
    assert!(gain(high) < 1.0);
    while gain(high / 1.1) < 1.0 {
        high /= 1.1;
    }
    let (mut low, mut high) = (high / 1.1, high);
    for _ in 0..7 {
        let middle = 0.5 * (low + high);
        match gain(middle) < 1.0 {
            true => high = middle,
            false => low = middle,
        }
    }
    0.5 * (low + high)
}
