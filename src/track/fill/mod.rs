//! From a track to states at every tick: the model fills in what the track does not give, always from where the track is.

mod landed;
pub mod ways;

use std::sync::Arc;

use super::{Begin, Field, LONGEST_GAP_S, Series, Track};
use crate::drill::Drill;
use crate::run::{Known, Tape};
use crate::sim::air::{Air, Wind};
use crate::sim::dynamics::State;
use crate::sim::math::asin;
use crate::sim::trim;
use crate::units::{DEG, FPM, FT, G, TICK_S, TICKS_PER_S};

/// Time over which an airspeed that the track does not give is drawn to what the vertical motion implies, s.
const DRAWN_S: f64 = 8.0;
/// The winds of the drill's own air and of the track count as the same where they differ by no more than this, m/s.
const SAME_MPS: f64 = 1e-3;
/// A row counts as being at a tick where it is no farther from it than this, s.
const SAME_S: f64 = 1e-6;
/// How far from the stall a filled-in angle of attack is kept, rad.
const CLEAR_RAD: f64 = 0.5 * DEG;

/// The fewest rows that show a course.
const LEAST_ROWS: usize = 8;

/// Vertical speed counts as known where the noise left in it is no more than this, m/s:
/// a quarter of what counts as being under way.
const KNOWN_MPS: f64 = 12.5 * FPM;

/// Rows this exact and this close together show even a moment's hesitation: a foot, a quarter of a second.
const EXACT_M: f64 = FT;
const DENSE_S: f64 = 0.26;

/// A track filled in.
pub struct Filled {
    /// Its states, tick by tick.
    pub tape: Tape,
    /// How exact the states are.
    pub noise: Noise,
}

/// The noise that is left of a track's rows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Noise {
    /// Noise of the rows themselves, m, root mean square.
    pub altitude_m: f64,
    /// Noise left in the vertical speed, m/s.
    pub vertical_mps: f64,
    /// How far the vertical speed given for a moment may be off, m/s; None where it is derived from altitudes.
    moment_mps: Option<f64>,
}

/// A track while it is being filled in.
struct Filling<'a> {
    drill: &'a Arc<Drill>,
    track: &'a Track,
    begin_s: f64,
    ticks: usize,
    lever: Vec<f64>,
}

/// The tape of a track, in the air of a seed. It begins where the drill does, and ends with the track, at a gap that is too
/// long, or where a run of the drill ends at the latest.
pub fn tape(drill: &Arc<Drill>, seed: u64, track: &Track, begin: &Begin) -> Filled {
    let gap = track.altitude().gaps(LONGEST_GAP_S);
    let gap = gap.into_iter().find(|(_, to_s)| *to_s > begin.t_s);
    let apart_s = track.altitude().apart_s();
    // The event that ends a drill may lie after the track's last row, and noise may delay it by another row.
    let end_s = gap.map_or(track.last_s(), |(from_s, _)| from_s) + 2.0 * apart_s - TICK_S;
    let seconds = (end_s - begin.t_s).max(0.0);
    let ticks = (seconds * TICKS_PER_S as f64 + 1e-6) as usize;
    let landed = landed::before(drill, track, begin.t_s);
    let mut filling = Filling {
        drill,
        track: landed.as_ref().unwrap_or(track),
        begin_s: begin.t_s,
        ticks: ticks.min(drill.last_tick() as usize),
        lever: Vec::new(),
    };
    filling.lever = filling.lever();
    filling.tape(seed)
}

impl Filling<'_> {
    fn at_s(&self, tick: usize) -> f64 {
        self.begin_s + tick as f64 * TICK_S
    }

    fn series(&self, field: Field) -> Option<&Series> {
        self.track.series(field)
    }

    /// The state at the beginning, as far as the track gives it: attitude as for
    /// flight on speed, the engine settled at the lever.
    fn begun(&self, (h_m, vz_mps): (f64, f64), wind: &Wind) -> State {
        let (drill, aircraft) = (self.drill, &self.drill.aircraft);
        let told_mps = self
            .series(Field::Speed)
            .map(|speed| speed.at(self.begin_s));
        let drills_mps = trim::on_speed(aircraft, h_m, 0.0).speed_mps + drill.start.off_speed_mps;
        let speed_mps = told_mps.unwrap_or(drills_mps).max(1.0);
        let path_rad = asin(((vz_mps - wind.gust_w_mps) / speed_mps).clamp(-0.5, 0.5));
        let settled = aircraft.engine.settles_at(self.lever[0]);
        let state = State::on_speed(aircraft, h_m, speed_mps, path_rad, settled, wind);
        State {
            vz_mps,
            theta_rad: match &drill.start.fast {
                Some(fast) => fast.alpha_rad,
                None => state.theta_rad,
            },
            ..state
        }
    }

    fn tape(&self, seed: u64) -> Filled {
        let (drill, aircraft) = (self.drill, &self.drill.aircraft);
        let own_air = Air::new(&drill.air, seed);
        let is_still = own_air.is_still();
        let speed = self.series(Field::Speed);
        let (attitude, engine) = (self.attitude(), self.series(Field::Engine));
        let (distance, over_ground) = (self.distance(), self.over_ground(is_still));
        let mut calm = drill.calm_air();
        let start_wind = |h_m: f64| self.wind(self.begin_s).unwrap_or_else(|| calm.mean(h_m));
        let begun = |at: (f64, f64)| self.begun(at, &start_wind(at.0));
        let (altitude, noise) = self.altitude(begun);
        let mut state = begun(altitude[0]);
        let told_rad = attitude.as_ref().map(|attitude| attitude[0].0);
        let theta_rad = told_rad.unwrap_or(state.theta_rad);
        let mut own = drill.world_from(own_air, State { theta_rad, ..state });
        let (mut states, mut winds) = (Vec::new(), Vec::new());
        let mut is_own_air = self.wind(self.begin_s).is_some() || is_still;
        for (tick, (h_m, vz_mps)) in altitude.into_iter().enumerate() {
            let t_s = self.at_s(tick);
            let mean = calm.sample(tick as u64, state.vx_mps.abs(), h_m, None);
            let mut wind = self.wind(t_s).unwrap_or(mean);
            // The airspeed that the vertical motion implies: lift is proportional to its square.
            let off_mps = state.airspeed_mps(&wind) * (vz_mps - state.vz_mps) / (2.0 * G * DRAWN_S);
            (state.h_m, state.vz_mps) = (h_m, vz_mps);
            if let Some(distance) = &distance {
                (state.x_m, state.vx_mps) = distance[tick];
            }
            let along_mps = |speed: &Series| {
                let (speed_mps, up_mps) = (speed.at(t_s), vz_mps - wind.gust_w_mps);
                (speed_mps * speed_mps - up_mps * up_mps).max(1.0).sqrt()
            };
            match (&over_ground, speed, &distance) {
                (Some(over_ground), ..) => state.vx_mps = over_ground[tick].0,
                // The difference between airspeed and ground speed is the wind.
                (None, Some(speed), Some(_)) if !is_still => {
                    wind.headwind_mps = along_mps(speed) - state.vx_mps - wind.gust_u_mps;
                    is_own_air = false;
                }
                (None, Some(speed), _) => state.vx_mps = along_mps(speed) - wind.against_mps(),
                (None, None, None) if tick > 0 => state.vx_mps += off_mps,
                _ => {}
            }
            if let Some(engine) = engine {
                state.engine = engine.at(t_s);
            }
            // Where pitch begins to be left alone, attitude has a kink that a curve through rows rounds off: up to there
            // the law that holds the altitude gives attitude better.
            let is_held = tick > 0 && own.slowing().is_some() && own.slow_tick().is_none();
            state.theta_rad = match &attitude {
                _ if is_held => state.theta_rad,
                Some(attitude) => attitude[tick].0,
                None => {
                    let (data, most_rad) =
                        (state.air_data(&wind), aircraft.alpha_stall_rad - CLEAR_RAD);
                    data.path_rad + data.alpha_rad.clamp(-most_rad, most_rad)
                }
            };
            if tick > 0 {
                // A stall or contact with the surface is for the run to report.
                let _ = own.follow(state, None);
            }
            let differ_mps = (own.wind().against_mps() - wind.against_mps()).abs();
            is_own_air &= !self.is_row(t_s) || differ_mps <= SAME_MPS;
            states.push(state);
            winds.push(wind);
            let flown = own.next(self.lever[tick], &wind);
            if flown.numbers().iter().all(|x| x.is_finite()) {
                state = flown;
            }
        }
        let known = self.known(&noise, attitude.is_some());
        let winds = (!is_own_air).then_some(winds);
        let tape = Tape::new(states, winds, &self.lever, known);
        Filled { tape, noise }
    }

    fn known(&self, noise: &Noise, alpha: bool) -> Known {
        let vertical = noise.vertical_mps <= KNOWN_MPS;
        let is_dense = self.track.altitude().apart_s() <= DENSE_S;
        Known {
            lever: self.series(Field::Lever).is_some(),
            speed: self.series(Field::Speed).is_some(),
            alpha,
            vertical,
            moment_mps: match vertical && is_dense && noise.altitude_m <= EXACT_M {
                true => Some(0.0),
                false => noise.moment_mps,
            },
        }
    }

    /// Whether there is a row at a time.
    fn is_row(&self, t_s: f64) -> bool {
        let times = &self.track.altitude().t_s;
        let next = times.partition_point(|own| *own < t_s - SAME_S);
        times
            .get(next)
            .is_some_and(|own| (own - t_s).abs() <= SAME_S)
    }
}
