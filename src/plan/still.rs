//! An aeroplane alone in still air, for flying beforehand what a brief promises.

use crate::sim::air::Wind;
use crate::sim::aircraft::Aircraft;
use crate::sim::dynamics::{State, step};
use crate::sim::trim::Trim;
use crate::units::TICK_S;

/// A flight in still air, tick by tick.
#[derive(Clone, Debug)]
pub struct StillFlight<'a> {
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

impl<'a> StillFlight<'a> {
    /// Begins in a steady flight at an altitude in m, with the lever that holds it.
    pub fn steady(aircraft: &'a Aircraft, altitude_m: f64, trim: &Trim) -> StillFlight<'a> {
        StillFlight {
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

    /// Sets the lever at once, without rounding.
    pub fn set_lever(&mut self, lever: f64) {
        self.lever = lever;
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

    /// Flies on until the vertical speed next changes its sign; None where it does not within `most_s`.
    pub fn stop(&mut self, most_s: f64) -> Option<Stop> {
        let climbs = self.state.vz_mps > 0.0;
        let last = self.ticks + (most_s / TICK_S) as u64;
        while self.ticks < last {
            let before_mps = self.state.vz_mps;
            self.tick();
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
