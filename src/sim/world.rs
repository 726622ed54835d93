//! The aeroplane in its air, moved one tick at a time.

use super::air::wake::place_m;
use super::air::{Air, Wind};
use super::aircraft::Aircraft;
use super::deck::AimPoint;
use super::dynamics::{AirData, Rig, State, step_rigged};
use super::slowing::Slowing;
use crate::units::TICK_S;
use serde::{Deserialize, Serialize};

/// What ends a run against the learner's will.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Fault {
    /// Angle of attack beyond the stall.
    Stalled,
    /// Altitude at or below zero.
    Surface,
    /// A state that is not finite: a defect of this program.
    Model,
}

/// An aeroplane, its state, and the air it moves through.
#[derive(Clone, Debug)]
pub struct World {
    aircraft: Aircraft,
    air: Air,
    aim: Option<AimPoint>,
    state: State,
    wind: Wind,
    tick: u64,
    /// How far it has slowed in, in a drill that begins with slowing in.
    slowing: Option<Slowing>,
}

impl World {
    /// A world at tick 0. The first airspeed is taken in the steady part of the wind; gusts act from that tick on.
    pub fn new(aircraft: Aircraft, air: Air, aim: Option<AimPoint>, state: State) -> World {
        let mut world = World {
            wind: air.mean(state.h_m),
            aircraft,
            air,
            aim,
            state,
            tick: 0,
            slowing: None,
        };
        world.sample_wind();
        world
    }

    /// The same world, slowing in from here: every extra is in, and pitch holds the current altitude.
    pub fn slowing_in(self) -> World {
        World {
            slowing: Some(Slowing::new(self.state.h_m)),
            ..self
        }
    }

    /// Lets no new gusts arise from now on; see [`Air::settle`].
    pub fn settle_air(&mut self) {
        self.air.settle();
    }

    /// Flies the next tick with the lever (0..1) and the wind held.
    ///
    /// # Errors
    /// The fault that ends the flight, if any; the state is then the one that shows it.
    pub fn fly(&mut self, lever: f64) -> Result<(), Fault> {
        let rig = self.rig();
        let state = step_rigged(&self.aircraft, &rig, &self.state, lever, &self.wind, TICK_S);
        self.come_to(state, None)
    }

    /// The state at the end of the coming tick, with the lever (0..1) and a wind held.
    pub fn next(&self, lever: f64, wind: &Wind) -> State {
        let mut slowing = self.slowing;
        let speed_mps = || self.state.airspeed_mps(wind);
        let rig = rig(&mut slowing, &self.aircraft, self.tick, speed_mps);
        step_rigged(&self.aircraft, &rig, &self.state, lever, wind, TICK_S)
    }

    /// Moves through the next tick to a given state, and to a given wind there, if any.
    ///
    /// # Errors
    /// The fault that the state shows, if any.
    pub fn follow(&mut self, state: State, wind: Option<Wind>) -> Result<(), Fault> {
        self.rig();
        self.come_to(state, wind)
    }

    /// How the aeroplane is rigged for the coming tick.
    fn rig(&mut self) -> Rig {
        let speed_mps = || self.state.airspeed_mps(&self.wind);
        rig(&mut self.slowing, &self.aircraft, self.tick, speed_mps)
    }

    fn come_to(&mut self, state: State, wind: Option<Wind>) -> Result<(), Fault> {
        self.state = state;
        self.tick += 1;
        self.sample_wind();
        self.wind = wind.unwrap_or(self.wind);
        let alpha_rad = self.air_data().alpha_rad;
        if let Some(slowing) = &mut self.slowing {
            slowing.end(&self.aircraft, self.tick, alpha_rad);
        }
        if !alpha_rad.is_finite() || !self.state.numbers().iter().all(|x| x.is_finite()) {
            return Err(Fault::Model);
        }
        if alpha_rad > self.aircraft.alpha_stall_rad {
            return Err(Fault::Stalled);
        }
        if self.state.h_m <= 0.0 {
            return Err(Fault::Surface);
        }
        Ok(())
    }

    /// Stands on the deck for the next tick, moving with it; the engine goes on answering the lever.
    pub fn rest(&mut self, lever: f64) {
        self.tick += 1;
        let Some(aim) = self.aim else { return };
        let t_s = self.tick as f64 * TICK_S;
        let engine = &self.aircraft.engine;
        let settling =
            (engine.settles_at(lever) - self.state.engine) / engine.answer_s(self.state.engine);
        self.state = State {
            vx_mps: aim.deck.speed_mps,
            vz_mps: aim.deck.heave_rate_mps(t_s),
            h_m: aim.deck.height_m + aim.deck.heave_at_m(t_s),
            x_m: self.state.x_m + aim.deck.speed_mps * TICK_S,
            theta_rad: self.state.theta_rad,
            engine: self.state.engine + settling * TICK_S,
        };
        self.sample_wind();
    }

    fn sample_wind(&mut self) {
        if !self.air.is_still() {
            let speed_mps = self.state.airspeed_mps(&self.wind);
            let wake_x_m = self.aim.map(|aim| place_m(&aim, self.state.x_m, self.tick));
            self.wind = self
                .air
                .sample(self.tick, speed_mps, self.state.h_m, wake_x_m);
        }
    }

    /// How far it has slowed in, in a drill that begins with slowing in.
    pub fn slowing(&self) -> Option<&Slowing> {
        self.slowing.as_ref()
    }

    /// The first tick for which pitch is left alone; None before it, and where nothing slows in.
    pub fn slow_tick(&self) -> Option<u64> {
        self.slowing.as_ref()?.slow_tick()
    }

    /// The aim point, where the drill has one.
    pub fn aim(&self) -> Option<&AimPoint> {
        self.aim.as_ref()
    }

    /// The aeroplane.
    pub fn aircraft(&self) -> &Aircraft {
        &self.aircraft
    }

    /// The state now.
    pub fn state(&self) -> &State {
        &self.state
    }

    pub fn air(&self) -> &Air {
        &self.air
    }

    /// The wind of the coming tick.
    pub fn wind(&self) -> &Wind {
        &self.wind
    }

    /// Ticks flown.
    pub fn tick(&self) -> u64 {
        self.tick
    }

    /// The current motion relative to the air.
    pub fn air_data(&self) -> AirData {
        self.state.air_data(&self.wind)
    }

    /// The next `count` states, `every_ticks` apart, if the lever stays where it is, in the steady part of the wind.
    pub fn forecast(&self, lever: f64, every_ticks: u64, count: usize) -> Vec<State> {
        let mean = self.air.mean(self.state.h_m);
        let (mut state, mut slowing) = (self.state, self.slowing);
        (0..count as u64)
            .map(|index| {
                let tick = self.tick + index * every_ticks;
                let speed_mps = || state.airspeed_mps(&mean);
                let rig = rig(&mut slowing, &self.aircraft, tick, speed_mps);
                let dt_s = every_ticks as f64 * TICK_S;
                state = step_rigged(&self.aircraft, &rig, &state, lever, &mean, dt_s);
                if let Some(slowing) = &mut slowing {
                    let alpha_rad = state.air_data(&mean).alpha_rad;
                    slowing.end(&self.aircraft, tick + every_ticks, alpha_rad);
                }
                state
            })
            .collect()
    }
}

/// How an aeroplane is rigged for a tick that begins at a speed.
fn rig(
    slowing: &mut Option<Slowing>,
    aircraft: &Aircraft,
    tick: u64,
    speed_mps: impl FnOnce() -> f64,
) -> Rig {
    let slowing = slowing.as_mut();
    slowing.map_or_else(Rig::default, |slowing| {
        slowing.begin(aircraft, tick, speed_mps())
    })
}
