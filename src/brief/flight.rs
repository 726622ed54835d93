//! An aeroplane alone in still air, for flying beforehand what a brief promises.

use crate::hands::Travel;
use crate::sim::air::Wind;
use crate::sim::aircraft::Aircraft;
use crate::sim::dynamics::{State, step};
use crate::sim::math::asin;
use crate::sim::trim::{self, Trim};
use crate::units::TICK_S;

/// A flight in still air, tick by tick.
#[derive(Clone, Debug)]
pub struct Flight<'a> {
    aircraft: &'a Aircraft,
    state: State,
    lever: f64,
    ticks: u64,
}

/// An instant at which the aeroplane neither climbs nor sinks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stop {
    /// Time since the flight began, s.
    pub time_s: f64,
    /// Altitude, m.
    pub altitude_m: f64,
}

/// A steady flight as a state, at an altitude in m.
pub fn steady(aircraft: &Aircraft, altitude_m: f64, trim: &Trim) -> State {
    State::on_speed(
        aircraft,
        altitude_m,
        trim.speed_mps,
        trim.path_rad,
        trim.engine,
        &Wind::default(),
    )
}

impl<'a> Flight<'a> {
    /// Begins in a steady flight at an altitude in m, with the lever that holds it.
    pub fn steady(aircraft: &'a Aircraft, altitude_m: f64, trim: &Trim) -> Flight<'a> {
        Flight {
            aircraft,
            state: steady(aircraft, altitude_m, trim),
            lever: trim.lever,
            ticks: 0,
        }
    }

    /// The state now.
    pub fn state(&self) -> &State {
        &self.state
    }

    /// The lever in force, 0..1.
    pub fn lever(&self) -> f64 {
        self.lever
    }

    /// Puts the lever at once, not rounded.
    pub fn set_lever(&mut self, lever: f64) {
        self.lever = lever;
    }

    /// The same flight with its clock at zero.
    pub fn from_now(self) -> Flight<'a> {
        Flight { ticks: 0, ..self }
    }

    /// Ticks flown.
    pub fn ticks(&self) -> u64 {
        self.ticks
    }

    /// Flies one tick with the lever where it is.
    pub fn tick(&mut self) {
        self.state = step(
            self.aircraft,
            &self.state,
            self.lever,
            &Wind::default(),
            TICK_S,
        );
        self.ticks += 1;
    }

    /// Flies one tick with the lever under way to `wanted` at a rate, in thousandths as a run moves it.
    pub fn tick_towards(&mut self, wanted: f64, lever_per_s: f64) {
        let travel = Travel {
            per_tick: lever_per_s * TICK_S,
        };
        if let Some(thousandths) = travel.next(self.lever, wanted) {
            self.lever = f64::from(thousandths) / 1000.0;
        }
        self.tick();
    }

    /// Flies on with `tick` until the vertical speed next changes its sign; None where it does not within `most_s`.
    pub fn stop(&mut self, most_s: f64, tick: impl Fn(&mut Flight<'a>)) -> Option<Stop> {
        let climbs = self.state.vz_mps > 0.0;
        let last = self.ticks + (most_s / TICK_S) as u64;
        while self.ticks < last {
            let before_mps = self.state.vz_mps;
            tick(self);
            let after_mps = self.state.vz_mps;
            if (after_mps > 0.0) != climbs {
                let back_s = TICK_S * after_mps / (after_mps - before_mps);
                return Some(Stop {
                    time_s: self.ticks as f64 * TICK_S - back_s,
                    altitude_m: self.state.h_m - 0.5 * back_s * after_mps,
                });
            }
        }
        None
    }
}

/// A lever setting held for a time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// The lever, 0..1.
    pub lever: f64,
    /// How long, s, not negative.
    pub seconds: f64,
}

/// The state after some parts, the lever put at once and the engine following. For searching: steps are as long as the
/// aeroplane's quickest time allows, and the last one of each part is cut to fit, so that the result is smooth in the times.
pub fn after(aircraft: &Aircraft, start: &State, parts: &[Part]) -> State {
    let quickest_s = aircraft
        .pitch_hold_s
        .min(aircraft.engine.quick_s)
        .min(aircraft.engine.slow_s);
    let step_s = if quickest_s >= 0.3 {
        8.0 * TICK_S
    } else {
        TICK_S
    };
    let mut state = *start;
    for part in parts {
        let steps = (part.seconds / step_s) as u64;
        let rest_s = part.seconds - steps as f64 * step_s;
        for _ in 0..steps {
            state = step(aircraft, &state, part.lever, &Wind::default(), step_s);
        }
        state = step(aircraft, &state, part.lever, &Wind::default(), rest_s);
    }
    state
}

/// The steady on-speed flight with a vertical speed in m/s at a height in m; None where no moderate path has it or the lever
/// cannot hold it.
pub fn trim_for_vertical(aircraft: &Aircraft, h_m: f64, vertical_mps: f64) -> Option<Trim> {
    let mut path_rad = 0.0;
    for _ in 0..100 {
        let trim = trim::on_speed(aircraft, h_m, path_rad);
        let sine = vertical_mps / trim.speed_mps;
        // Steeper than 30 degrees is no path to fly on speed, and the iteration would not settle.
        if !(-0.5..=0.5).contains(&sine) {
            return None;
        }
        let next_rad = asin(sine);
        if (next_rad - path_rad).abs() < 1e-13 {
            return trim.is_possible().then_some(trim);
        }
        path_rad = next_rad;
    }
    None
}
