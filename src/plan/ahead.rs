//! The aeroplane as searches compute with it: the equations of `sim::dynamics` in coarse steps, with short series in place of
//! the transcendental functions and no gusts.
//!
//! Good for comparing levers, not for the record: whatever is found with it is flown in the real world afterwards.

use crate::drill::Drill;
use crate::sim::air::wake::{self, LEAST_WIND_OVER_DECK_MPS};
use crate::sim::air::{AirSpec, Shift, Wind, log_profile, wind_over_deck};
use crate::sim::aircraft::{Aircraft, EngineKind, JET_DENSITY_EXPONENT};
use crate::sim::atmosphere;
use crate::sim::deck::AimPoint;
use crate::sim::dynamics::{Parts, Rig, State, rates_by, runge_kutta};
use crate::sim::math::{atan2, sin_cos};
use crate::sim::slowing::Slowing;
use crate::units::{G, TICK_S};

/// The air's density and what it leaves of the thrust, as series about one height.
#[derive(Clone, Copy, Debug)]
struct Density {
    about_m: f64,
    /// Relative change of temperature, 1/m.
    per_m: f64,
    rho_kgm3: f64,
    /// Thrust available with the engine at full power; a propeller's is that at rest.
    thrust_n: f64,
    density_exponent: f64,
    thrust_exponent: f64,
}

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
    /// That of a drill.
    pub fn of(drill: &'a Drill) -> Setting<'a> {
        Setting {
            aircraft: &drill.aircraft,
            air: &drill.air,
            aim: drill.aim,
        }
    }

    /// The steady wind at a height.
    pub fn wind(&self, h_m: f64) -> Wind {
        Wind {
            headwind_mps: log_profile(self.air.headwind_mps, self.air.roughness_m, h_m),
            ..Wind::default()
        }
    }
}

/// The aeroplane in the air of one leg.
#[derive(Clone, Debug)]
pub struct Model<'a> {
    aircraft: &'a Aircraft,
    density: Density,
    headwind_20ft_mps: f64,
    roughness_m: f64,
    /// How the steady wind changes on the way.
    shift: Option<Shift>,
    /// The air behind a ship as far as it is steady.
    ship: Option<Ship>,
    /// The tick at which the leg begins.
    from_tick: usize,
    /// Ticks in a coarse step.
    pub ticks: usize,
    /// Length of a coarse step, s.
    pub step_s: f64,
}

impl<'a> Model<'a> {
    /// For a leg that begins at a tick, in air without gusts.
    pub fn calm(setting: &Setting<'a>, about_m: f64, from_tick: usize, ticks: usize) -> Model<'a> {
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
            density: Density::new(setting.aircraft, about_m),
            headwind_20ft_mps: setting.air.headwind_mps,
            roughness_m: setting.air.roughness_m,
            shift: setting.air.shift,
            ship,
            from_tick,
            ticks,
            step_s: ticks as f64 * TICK_S,
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
        let shifted_mps = self.shift.map_or(0.0, |shift| shift.at(tick as u64));
        let headwind_mps = match self.headwind_20ft_mps + shifted_mps {
            0.0 => 0.0,
            at_20ft_mps => log_profile(at_20ft_mps, self.roughness_m, s.h_m),
        };
        Wind {
            headwind_mps,
            gust_u_mps,
            gust_w_mps,
        }
    }

    /// The state a coarse step on, the lever at its mean over the step: classical Runge-Kutta.
    pub fn fly(&self, step: usize, s: &State, lever: f64) -> State {
        self.fly_slowing(step, s, lever, &mut None)
    }

    /// The same while it slows in.
    pub fn fly_slowing(
        &self,
        step: usize,
        s: &State,
        lever: f64,
        slowing: &mut Option<Slowing>,
    ) -> State {
        let (wind, tick) = (self.wind(step, s), self.from_tick + step * self.ticks);
        let settles_at = self.aircraft.engine.settles_at(lever);
        let rig = slowing.as_mut().map_or_else(Rig::default, |slowing| {
            slowing.begin(self.aircraft, tick as u64, s.airspeed_mps(&wind))
        });
        let flown = runge_kutta(s, self.step_s, |s| {
            rates_by(self, self.aircraft, &rig, s, settles_at, &wind)
        });
        if let Some(slowing) = slowing {
            let alpha_rad = flown.air_data(&wind).alpha_rad;
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

impl Parts for Model<'_> {
    fn angle(&self, up: f64, along: f64) -> f64 {
        small_atan(up, along)
    }

    fn sine_cosine(&self, angle_rad: f64) -> (f64, f64) {
        small_sin_cos(angle_rad)
    }

    fn air(&self, h_m: f64, speed_mps: f64) -> (f64, f64) {
        self.density.at(&self.aircraft.engine.kind, h_m, speed_mps)
    }
}

impl Density {
    fn new(aircraft: &Aircraft, about_m: f64) -> Density {
        let air = atmosphere::at(about_m);
        let density_exponent = G / (atmosphere::R_AIR * atmosphere::LAPSE_K_PER_M) - 1.0;
        let (thrust_n, thrust_exponent) = match aircraft.engine.kind {
            EngineKind::Jet { .. } => (
                aircraft.engine.available_n(air, 0.0),
                JET_DENSITY_EXPONENT * density_exponent,
            ),
            EngineKind::Propeller { .. } => {
                (aircraft.engine.available_n(air, 0.0), density_exponent)
            }
        };
        Density {
            about_m,
            per_m: -atmosphere::LAPSE_K_PER_M / atmosphere::temperature_k(about_m),
            rho_kgm3: air.rho_kgm3,
            thrust_n,
            density_exponent,
            thrust_exponent,
        }
    }

    /// Density, kg/m3, and the thrust available, N.
    fn at(&self, kind: &EngineKind, h_m: f64, airspeed_mps: f64) -> (f64, f64) {
        let change = (h_m - self.about_m) * self.per_m;
        let rho_kgm3 = self.rho_kgm3 * near_one(change, self.density_exponent);
        let at_rest_n = self.thrust_n * near_one(change, self.thrust_exponent);
        let available_n = match *kind {
            EngineKind::Jet { .. } => at_rest_n,
            EngineKind::Propeller {
                static_thrust_n,
                useful_power_w,
            } => {
                let slip = airspeed_mps * static_thrust_n / useful_power_w;
                at_rest_n / (1.0 + slip * slip).sqrt()
            }
        };
        (rho_kgm3, available_n)
    }
}

/// A polynomial, the constant first.
fn polynomial<const N: usize>(x: f64, factors: [f64; N]) -> f64 {
    let highest_first = factors.iter().rev();
    highest_first.fold(0.0, |sum, factor| sum * x + factor)
}

/// (1 + x)^n to the third order.
fn near_one(x: f64, n: f64) -> f64 {
    1.0 + n * x * (1.0 + (n - 1.0) * x * (1.0 / 2.0) * (1.0 + (n - 2.0) * x * (1.0 / 3.0)))
}

/// Sine and cosine of an angle in rad, to 1e-9 within half a radian by Taylor's series.
fn small_sin_cos(x: f64) -> (f64, f64) {
    if x.abs() > 0.5 {
        return sin_cos(x);
    }
    let q = x * x;
    const SINE: [f64; 5] = [1.0, -1.0 / 6.0, 1.0 / 120.0, -1.0 / 5040.0, 1.0 / 362_880.0];
    const COSINE: [f64; 5] = [1.0, -1.0 / 2.0, 1.0 / 24.0, -1.0 / 720.0, 1.0 / 40_320.0];
    (x * polynomial(q, SINE), polynomial(q, COSINE))
}

/// The angle of (along, up), rad, to 1e-8 for slopes up to a fifth by its series.
fn small_atan(up: f64, along: f64) -> f64 {
    let t = up / along;
    if t.abs() > 0.2 || along <= 0.0 {
        return atan2(up, along);
    }
    const SERIES: [f64; 5] = [1.0, -1.0 / 3.0, 1.0 / 5.0, -1.0 / 7.0, 1.0 / 9.0];
    t * polynomial(t * t, SERIES)
}
