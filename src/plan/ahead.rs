//! The aeroplane as the searches model it: the equations of `sim::dynamics` in coarse steps, without gusts.
//!
//! Good for comparing levers, not for the record: whatever is found with it is flown in the real world afterwards.

use crate::drill::Drill;
use crate::sim::air::wake::{self, LEAST_WIND_OVER_DECK_MPS};
use crate::sim::air::{AirSpec, Wind, wind_over_deck};
use crate::sim::aircraft::Aircraft;
use crate::sim::deck::AimPoint;
use crate::sim::dynamics::{Rig, State, rates_rigged, step_rigged};
use crate::sim::slowing::Slowing;
use crate::units::TICK_S;

/// What a plan may know: the aeroplane, and the air apart from its gusts.
#[derive(Clone, Copy, Debug)]
pub struct Setting<'a> {
    /// The aeroplane.
    pub aircraft: &'a Aircraft,
    /// The air; its gusts are left out.
    pub air: &'a AirSpec,
    /// The aim point, where there is one.
    pub aim: Option<AimPoint>,
}

impl<'a> Setting<'a> {
    pub fn of(drill: &'a Drill) -> Setting<'a> {
        Setting {
            aircraft: &drill.aircraft,
            air: &drill.air,
            aim: drill.aim,
        }
    }
}

/// The aeroplane in the air of one leg.
#[derive(Clone, Debug)]
pub struct Model<'a> {
    aircraft: &'a Aircraft,
    air: &'a AirSpec,
    /// The ship ahead, for the steady part of the air behind it.
    ship: Option<Ship>,
    /// The tick at which the leg begins.
    from_tick: usize,
    /// Whether steps are taken by the midpoint rule: half the work of Runge-Kutta's.
    is_rough: bool,
    /// Ticks in a coarse step.
    pub ticks: usize,
    /// Length of a coarse step, s.
    pub step_s: f64,
}

impl<'a> Model<'a> {
    /// A model for a leg that begins at a tick, in air without gusts.
    pub fn calm(setting: &Setting<'a>, from_tick: usize, ticks: usize) -> Model<'a> {
        let ship = setting
            .air
            .wake
            .as_ref()
            .zip(setting.aim)
            .map(|(_, aim)| Ship {
                aim,
                wind_over_deck_mps: wind_over_deck(setting.air),
            });
        Model {
            aircraft: setting.aircraft,
            air: setting.air,
            ship,
            from_tick,
            is_rough: false,
            ticks,
            step_s: ticks as f64 * TICK_S,
        }
    }

    /// The same in half the time, by the midpoint rule: within a foot or so of the Runge-Kutta steps over 40 s.
    pub fn roughly(self) -> Model<'a> {
        Model {
            is_rough: true,
            ..self
        }
    }

    /// The longest coarse step that the aeroplane's quickest motions allow, ticks, at most `most`.
    pub fn ticks_for(aircraft: &Aircraft, most: usize) -> usize {
        let engine = &aircraft.engine;
        let quickest_s = aircraft.pitch_hold_s.min(engine.quick_s).min(engine.slow_s);
        let mut ticks = most;
        while ticks > 1 && ticks as f64 * TICK_S > quickest_s {
            ticks /= 2;
        }
        ticks
    }

    /// The wind over a coarse step that begins in a state.
    pub fn wind(&self, step: usize, s: &State) -> Wind {
        let tick = self.from_tick + step * self.ticks;
        let ship = self.ship.as_ref();
        let (gust_u_mps, gust_w_mps) = ship.map_or((0.0, 0.0), |ship| ship.steady(s.x_m, tick));
        Wind {
            gust_u_mps,
            gust_w_mps,
            ..self.air.mean_at(tick as u64, s.h_m)
        }
    }

    /// The state one coarse step later, with the lever at its mean over the step.
    pub fn fly(&self, step: usize, s: &State, lever: f64) -> State {
        self.fly_slowing(step, s, lever, &self.wind(step, s), &mut None)
    }

    /// The same in the wind over the step, while slowing in.
    pub fn fly_slowing(
        &self,
        step: usize,
        s: &State,
        lever: f64,
        wind: &Wind,
        slowing: &mut Option<Slowing>,
    ) -> State {
        let tick = self.from_tick + step * self.ticks;
        let rig = slowing.as_mut().map_or_else(Rig::default, |slowing| {
            slowing.begin(self.aircraft, tick as u64, s.airspeed_mps(wind))
        });
        let flown = match self.is_rough {
            true => {
                let settles_at = self.aircraft.engine.settles_at(lever);
                let rates = |s: &State| rates_rigged(self.aircraft, &rig, s, settles_at, wind);
                let middle = s.moved(&rates(s), self.step_s / 2.0);
                s.moved(&rates(&middle), self.step_s)
            }
            false => step_rigged(self.aircraft, &rig, s, lever, wind, self.step_s),
        };
        if let Some(slowing) = slowing {
            let alpha_rad = flown.air_data(wind).alpha_rad;
            slowing.end(self.aircraft, (tick + self.ticks) as u64, alpha_rad);
        }
        flown
    }
}

/// A ship ahead.
#[derive(Clone, Copy, Debug)]
struct Ship {
    aim: AimPoint,
    wind_over_deck_mps: f64,
}

impl Ship {
    /// The steady part of its wake at a place and tick: against the flight, and up.
    fn steady(&self, x_m: f64, tick: usize) -> (f64, f64) {
        if self.wind_over_deck_mps < LEAST_WIND_OVER_DECK_MPS {
            return (0.0, 0.0);
        }
        let part = wake::steady(wake::place_m(&self.aim, x_m, tick as u64));
        (
            -self.wind_over_deck_mps * part.u,
            -self.wind_over_deck_mps * part.w,
        )
    }
}
