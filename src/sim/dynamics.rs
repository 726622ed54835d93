//! The equations of motion and the classical Runge-Kutta step that carries them forward.
//!
//! The state is the velocity over the ground; forces follow the velocity through the air, which is the ground velocity
//! less the wind. In still air this is the same motion as in speed and path angle (V, gamma):
//! `V' = (T cos alpha - D)/m - g sin gamma`, `gamma' = (L + T sin alpha)/(m V) - g cos gamma/V`.

use super::air::Wind;
use super::aircraft::Aircraft;
use super::atmosphere;
use super::math::{atan2, sin_cos};
use crate::units::G;

/// Where the aeroplane is and how it moves. Also used for rates of change of the same quantities per second.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct State {
    /// Velocity along, over the ground, m/s.
    pub vx_mps: f64,
    /// Vertical speed, m/s, + up.
    pub vz_mps: f64,
    /// Geopotential altitude, m.
    pub h_m: f64,
    /// Distance over the ground since the start, m.
    pub x_m: f64,
    /// Pitch attitude, rad, + nose up.
    pub theta_rad: f64,
    /// Engine state, fraction of available thrust.
    pub engine: f64,
}

/// How the aeroplane moves relative to the air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AirData {
    /// True airspeed, m/s.
    pub speed_mps: f64,
    /// Flight-path angle through the air mass, rad, + up.
    pub path_rad: f64,
    /// Angle of attack, rad.
    pub alpha_rad: f64,
}

impl State {
    /// This state moved along `rate` for `dt_s`.
    pub fn moved(&self, rate: &State, dt_s: f64) -> State {
        State {
            vx_mps: self.vx_mps + rate.vx_mps * dt_s,
            vz_mps: self.vz_mps + rate.vz_mps * dt_s,
            h_m: self.h_m + rate.h_m * dt_s,
            x_m: self.x_m + rate.x_m * dt_s,
            theta_rad: self.theta_rad + rate.theta_rad * dt_s,
            engine: self.engine + rate.engine * dt_s,
        }
    }

    /// The six numbers, in the order they enter a digest.
    pub fn numbers(&self) -> [f64; 6] {
        [
            self.vx_mps,
            self.vz_mps,
            self.h_m,
            self.x_m,
            self.theta_rad,
            self.engine,
        ]
    }

    /// Velocity through the air, along and up, m/s.
    fn through_air_mps(&self, wind: &Wind) -> (f64, f64) {
        (
            self.vx_mps + wind.against_mps(),
            self.vz_mps - wind.gust_w_mps,
        )
    }

    /// True airspeed, m/s.
    pub fn airspeed_mps(&self, wind: &Wind) -> f64 {
        let (along, up) = self.through_air_mps(wind);
        (along * along + up * up).sqrt()
    }

    /// Speed, path and angle of attack through the air.
    pub fn air_data(&self, wind: &Wind) -> AirData {
        let (along, up) = self.through_air_mps(wind);
        let path_rad = atan2(up, along);
        AirData {
            speed_mps: self.airspeed_mps(wind),
            path_rad,
            alpha_rad: self.theta_rad - path_rad,
        }
    }

    /// The state of an aeroplane that moves through the air at a speed (m/s) and path (rad) in a wind, with pitch
    /// attitude at the on-speed angle of attack.
    pub fn on_speed(
        aircraft: &Aircraft,
        h_m: f64,
        airspeed_mps: f64,
        path_rad: f64,
        engine: f64,
        wind: &Wind,
    ) -> State {
        let (sin_path, cos_path) = sin_cos(path_rad);
        State {
            vx_mps: airspeed_mps * cos_path - wind.against_mps(),
            vz_mps: airspeed_mps * sin_path + wind.gust_w_mps,
            h_m,
            x_m: 0.0,
            theta_rad: path_rad + aircraft.alpha_on_rad,
            engine,
        }
    }
}

/// How an aeroplane is rigged for a tick. By default every extra is out and pitch is left alone at the on-speed angle of attack.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Rig {
    /// Drag coefficient at zero lift of what is not out yet.
    pub drag_in: f64,
    /// Lift coefficient at zero angle of attack of what is not out yet.
    pub lift_in: f64,
    /// The altitude that pitch holds, m; None where pitch is left alone.
    pub holds_m: Option<f64>,
}

/// The law by which pitch holds an altitude: the time constant with which it closes in on the altitude, s, the one with
/// which it bends the path, s, and the steepest path it uses, rad. Our own choice, no source.
const HEIGHT_S: f64 = 6.0;
const BEND_S: f64 = 1.5;
const STEEPEST_RAD: f64 = 0.0175;

/// Rates of change of the state, per second, with the lever (0..1) and the wind held.
pub fn rates(aircraft: &Aircraft, s: &State, lever: f64, wind: &Wind) -> State {
    let settles_at = aircraft.engine.settles_at(lever);
    rates_rigged(aircraft, &Rig::default(), s, settles_at, wind)
}

/// The same for an aeroplane rigged as given, with the engine state that the lever settles at. Inlined into the step that
/// calls it four times, as is the atmosphere: passing states to calls took a fifth of a tick.
#[inline(always)]
pub fn rates_rigged(
    aircraft: &Aircraft,
    rig: &Rig,
    s: &State,
    settles_at: f64,
    wind: &Wind,
) -> State {
    let along = s.vx_mps + wind.against_mps();
    let up = s.vz_mps - wind.gust_w_mps;
    let speed_squared = along * along + up * up;
    let speed = speed_squared.sqrt();
    let per_speed = 1.0 / speed;
    let (sin_path, cos_path) = (up * per_speed, along * per_speed);
    let path = atan2(up, along);
    let alpha = s.theta_rad - path;
    let (sin_theta, cos_theta) = sin_cos(s.theta_rad);

    // Forces over mass. Terms that do not depend on the angle of attack are combined first: a processor
    // works them out while it waits for the angle.
    let air = atmosphere::at(s.h_m);
    let per_kg = 1.0 / aircraft.mass_kg;
    let per_coefficient = 0.5 * aircraft.area_m2 * per_kg * (air.rho_kgm3 * speed_squared);
    let (per_sin, per_cos) = (per_coefficient * sin_path, per_coefficient * cos_path);
    let thrust = per_kg * s.engine * aircraft.engine.available_n(air, speed);
    let cl = aircraft.lift_coefficient(alpha) - rig.lift_in;
    let cd = aircraft.drag_coefficient(cl) - rig.drag_in;

    let cos_alpha = cos_theta * cos_path + sin_theta * sin_path;
    let speed_rate = thrust * cos_alpha - G * sin_path - per_coefficient * cd;
    let wanted_alpha = match rig.holds_m {
        None => aircraft.alpha_on_rad + aircraft.swing_damping / G * speed_rate,
        Some(holds_m) => {
            let wanted_path = (holds_m - s.h_m) / (HEIGHT_S * speed);
            let bend = wanted_path.clamp(-STEEPEST_RAD, STEEPEST_RAD) - path;
            let sin_alpha = sin_theta * cos_path - cos_theta * sin_path;
            let wanted_lift = G * cos_path + speed * bend / BEND_S - thrust * sin_alpha;
            let wanted_cl = wanted_lift / per_coefficient;
            (wanted_cl - (aircraft.cl0 - rig.lift_in)) / aircraft.cl_per_rad
        }
    };
    State {
        vx_mps: thrust * cos_theta - per_sin * cl - per_cos * cd,
        vz_mps: thrust * sin_theta - G + per_cos * cl - per_sin * cd,
        h_m: s.vz_mps,
        x_m: s.vx_mps,
        theta_rad: (wanted_alpha - alpha) * (1.0 / aircraft.pitch_hold_s),
        engine: (settles_at - s.engine) / aircraft.engine.answer_s(s.engine),
    }
}

/// A motion that decays like `exp(-a t)` also decays in steps as long as `a dt` is below this, and grows beyond it. The
/// step multiplies it by `1 + z + z^2/2 + z^3/6 + z^4/24`, z = -a dt (the method applied to `y' = -a y`), which is 1 where
/// `z^3 + 4 z^2 + 12 z + 24 = 0`: the end of the method's real stability interval.
pub const STEP_REACH: f64 = 2.785_293_563_405_282;

/// One classical fourth-order Runge-Kutta step of `dt_s`, lever and wind held.
pub fn step(aircraft: &Aircraft, s: &State, lever: f64, wind: &Wind, dt_s: f64) -> State {
    step_by(aircraft, &Rig::default(), s, lever, wind, dt_s)
}

/// The same for an aeroplane rigged as given.
pub fn step_rigged(
    aircraft: &Aircraft,
    rig: &Rig,
    s: &State,
    lever: f64,
    wind: &Wind,
    dt_s: f64,
) -> State {
    // In `step` the default rig is a constant, so nothing has to wait for the rig's deductions.
    match *rig == Rig::default() {
        true => step(aircraft, s, lever, wind, dt_s),
        false => step_by(aircraft, rig, s, lever, wind, dt_s),
    }
}

#[inline(always)]
fn step_by(aircraft: &Aircraft, rig: &Rig, s: &State, lever: f64, wind: &Wind, dt_s: f64) -> State {
    let settles_at = aircraft.engine.settles_at(lever);
    let rates = |s: &State| rates_rigged(aircraft, rig, s, settles_at, wind);
    let k1 = rates(s);
    let k2 = rates(&s.moved(&k1, dt_s / 2.0));
    let k3 = rates(&s.moved(&k2, dt_s / 2.0));
    let k4 = rates(&s.moved(&k3, dt_s));
    s.moved(&k1, dt_s / 6.0)
        .moved(&k2, dt_s / 3.0)
        .moved(&k3, dt_s / 3.0)
        .moved(&k4, dt_s / 6.0)
}

impl Wind {
    /// Everything that blows against the flight, m/s.
    pub fn against_mps(&self) -> f64 {
        self.headwind_mps + self.gust_u_mps
    }
}
