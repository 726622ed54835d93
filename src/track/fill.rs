//! From a track to states at every tick: what it does not tell the model fills in, always from where the track says it is.

use std::sync::Arc;

use super::smooth::{Smooth, Windows};
use super::{Begin, Field, LONGEST_GAP_S, Series, Track};
use crate::drill::Drill;
use crate::run::{Known, Point, Tape};
use crate::sim::air::{Air, Wind};
use crate::sim::dynamics::{State, step};
use crate::sim::math::{asin, cos, sin};
use crate::sim::trim;
use crate::units::{DEG, FPM, FT, G, TICK_S, TICKS_PER_S};

/// For altitudes and distances. Rows rounded to a foot come in stairs of about half a second, and neighbours are rounded alike; a
/// quarter of the shortest swing of aeroplanes like ours is about 5 s.
const PLACES: Windows = Windows {
    shortest_s: 0.5,
    longest_s: 10.0,
    near_s: 0.3,
    at_ends: 2.0,
};
/// Of what is left once the vertical speed is told, or the model has been taken off: that changes slowly.
const LEFT: Windows = Windows {
    longest_s: 40.0,
    ..PLACES
};
/// The same where the vertical speed is told: that is one height, however long it is looked at.
const HEIGHT: Windows = Windows {
    longest_s: 300.0,
    ..PLACES
};
/// Of speeds and angles, which are told as they are. At an end rows that are close do without a longer window; where they are not, it
/// reaches a second beyond them.
const RATES: Windows = Windows {
    shortest_s: 0.0,
    longest_s: 5.0,
    near_s: 0.0,
    at_ends: 1.0,
};
/// An airspeed that is not told is drawn to what the vertical motion says, over so long, s.
const DRAWN_S: f64 = 8.0;
/// Values are worked out so often, ticks, and bent between.
const KNOTS: usize = 4;
/// The wind of the drill's own air and that of the track are the same where they differ by no more, m/s.
const SAME_MPS: f64 = 1e-3;
/// A row stands at a tick where it is no farther from it, s.
const SAME_S: f64 = 1e-6;
/// An angle of attack that is filled in stays so far from the stall, rad.
const CLEAR_RAD: f64 = 0.5 * DEG;

/// Lower than this over the deck is on it, m: a row's noise, or that of its instrument.
const ON_DECK_M: f64 = 0.3;
/// Fewer rows tell no way.
const LEAST_ROWS: usize = 8;

/// Vertical speed is known where the noise left in it is no more than this, m/s: a quarter of what counts as being under way.
const KNOWN_MPS: f64 = 12.5 * FPM;

/// Rows that are as exact and as close show a moment's hesitation as it was: a foot, a quarter of a second.
const EXACT_M: f64 = FT;
const DENSE_S: f64 = 0.26;

/// Of a vertical speed that is told in rows farther apart so many times what they are foretold wrongly may be missing at a moment: where
/// the lever moves it turns faster than on average. What altitude alone tells of moments is far too little: half a foot a second of
/// noise is left.
const DOUBT: f64 = 4.0;

/// A value and its slope a second, at every tick.
type Curve = Vec<(f64, f64)>;

/// A track filled in.
pub struct Filled {
    /// Its states.
    pub tape: Tape,
    /// How exact they are.
    pub noise: Noise,
}

/// What is left of the noise of a track's rows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Noise {
    /// Of the rows themselves, m, root mean square.
    pub altitude_m: f64,
    /// Left in vertical speed, m/s.
    pub vertical_mps: f64,
    /// How far the vertical speed told for a moment may be off, m/s; None where it is made of altitudes.
    moment_mps: Option<f64>,
}

impl Noise {
    /// What a curve leaves.
    fn of(smooth: &Smooth) -> Noise {
        Noise {
            altitude_m: smooth.miss,
            vertical_mps: smooth.slope_noise(),
            moment_mps: None,
        }
    }
}

/// A track on its way to being filled in.
struct Filling<'a> {
    drill: &'a Arc<Drill>,
    track: &'a Track,
    begin_s: f64,
    ticks: usize,
    lever: Vec<f64>,
}

/// The tape of a track, in the air of a seed. It begins where the drill does, and ends with the track, at a gap that is too long, or
/// where no run of the drill lasts.
pub fn tape(drill: &Arc<Drill>, seed: u64, track: &Track, begin: &Begin) -> Filled {
    let gap = track.altitude().gaps(LONGEST_GAP_S);
    let gap = gap.into_iter().find(|(_, to_s)| *to_s > begin.t_s);
    let apart_s = track.altitude().apart_s();
    // What ends a drill may lie after its last row, and noise may put it off by another.
    let end_s = gap.map_or(track.last_s(), |(from_s, _)| from_s) + 2.0 * apart_s - TICK_S;
    let seconds = (end_s - begin.t_s).max(0.0);
    let ticks = (seconds * TICKS_PER_S as f64 + 1e-6) as usize;
    // What it does on a deck says nothing of how it came there.
    let landed = landed_s(drill, track, begin.t_s).map(|t_s| track.until(t_s));
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

/// The first row on the deck, or as good as, s: it and the next lie as low as the deck, or it does not come nearer any more.
fn landed_s(drill: &Drill, track: &Track, begin_s: f64) -> Option<f64> {
    /// Of the closure before it, what an aeroplane in the air keeps from one row to the next, and one on the deck has lost.
    const KEPT: f64 = 0.9;
    const LOST: f64 = 0.1;
    let aim = drill.aim?;
    let to_aim_m = |t_s: f64| match (track.series(Field::ToAim), track.series(Field::Distance)) {
        (Some(to_aim), _) => to_aim.at(t_s),
        (None, Some(distance)) => {
            let flown_m = distance.at(t_s) - distance.at(begin_s);
            aim.start_m - flown_m + aim.deck.speed_mps * (t_s - begin_s)
        }
        (None, None) => f64::INFINITY,
    };
    let altitude = track.altitude();
    let is_low = |row: usize| {
        let t_s = altitude.t_s[row];
        let deck_m = aim.deck.height_m + aim.deck.heave_at_m(t_s - begin_s);
        altitude.values[row] <= deck_m + ON_DECK_M
    };
    let closure_mps = |row: usize| {
        let (a_s, b_s) = (altitude.t_s[row - 1], altitude.t_s[row]);
        (to_aim_m(a_s) - to_aim_m(b_s)) / (b_s - a_s)
    };
    let rows = altitude.t_s.len();
    let first = altitude.t_s.partition_point(|t_s| *t_s <= begin_s) + LEAST_ROWS;
    let landed = (first..rows).find_map(|row| {
        let is_over = to_aim_m(altitude.t_s[row]).abs() <= aim.deck.zone_m / 2.0;
        let stays_low = || is_low(row) && (row + 1 == rows || is_low(row + 1));
        match closure_mps(row) / closure_mps(row - 1) {
            _ if !is_over => None,
            // The row before it stood on the deck already.
            kept if kept < LOST => Some(row - 1),
            kept if kept < KEPT || stays_low() => Some(row),
            _ => None,
        }
    });
    landed.map(|row| altitude.t_s[row])
}

impl Filling<'_> {
    fn at_s(&self, tick: usize) -> f64 {
        self.begin_s + tick as f64 * TICK_S
    }

    fn series(&self, field: Field) -> Option<&Series> {
        self.track.series(field)
    }

    /// The lever over each tick; the drill's where there is none.
    fn lever(&self) -> Vec<f64> {
        let start = self.drill.start_lever();
        let lever = self.series(Field::Lever);
        (0..=self.ticks)
            .map(|tick| lever.map_or(start, |lever| on_its_way(lever, self.at_s(tick))))
            .collect()
    }

    /// A smooth curve through a series at every tick, and how well its rows foretell each other.
    fn curve<'s>(&self, series: &'s Series, windows: Windows) -> (Curve, Smooth<'s>) {
        let smooth = Smooth::of(series, windows);
        let knot = |n: usize| smooth.at(self.at_s(n * KNOTS));
        let mut knots: Vec<(f64, f64)> = (0..=self.ticks / KNOTS + 1).map(knot).collect();
        knots.push(knots[knots.len() - 1]);
        let apart_s = KNOTS as f64 * TICK_S;
        let curve = (0..=self.ticks).map(|tick| {
            let (a, b) = (knots[tick / KNOTS], knots[tick / KNOTS + 1]);
            bent(a, b, (tick % KNOTS) as f64 / KNOTS as f64, apart_s)
        });
        (curve.collect(), smooth)
    }

    /// A way the aeroplane may have gone, and what the rows of altitude say is missing from it; with `told_mps` its vertical speed
    /// is told, to so much.
    fn along(&self, way: &Curve, told_mps: Option<f64>) -> Option<(Curve, Noise)> {
        let altitude = self.track.altitude();
        let rows = altitude.t_s.iter().zip(&altitude.values);
        let rows = rows.filter_map(|(t_s, value)| {
            let ticks = (t_s - self.begin_s) / TICK_S;
            let (own, slope) = way.get(ticks.floor() as usize).filter(|_| ticks >= 0.0)?;
            Some((*t_s, value - own - slope * ticks.fract() * TICK_S))
        });
        let (t_s, values): (Vec<f64>, Vec<f64>) = rows.unzip();
        let left = Series { t_s, values };
        if left.t_s.len() < LEAST_ROWS {
            return None;
        }
        let windows = if told_mps.is_some() { HEIGHT } else { LEFT };
        let (left, smooth) = self.curve(&left, windows);
        let noise = match told_mps {
            Some(told_mps) => Noise {
                altitude_m: smooth.miss,
                vertical_mps: 0.0,
                moment_mps: Some(DOUBT * told_mps),
            },
            None => Noise::of(&smooth),
        };
        let sum = way.iter().zip(&left).map(|(way, left)| match told_mps {
            Some(_) => (way.0 + left.0, way.1),
            None => (way.0 + left.0, way.1 + left.1),
        });
        Some((sum.collect(), noise))
    }

    /// A series made of others, at the rows that have an airspeed, and by how much its rows are foretold wrongly.
    fn made(&self, value: impl Fn(f64, f64) -> f64) -> Option<(Curve, f64)> {
        let speed = self.series(Field::Speed)?;
        let rows = speed.t_s.iter().zip(&speed.values);
        let (t_s, values) = rows.map(|(t_s, speed)| (*t_s, value(*t_s, *speed))).unzip();
        let series = Series { t_s, values };
        let windows = match series.apart_s() <= DENSE_S {
            true => RATES,
            false => Windows {
                at_ends: 2.0,
                ..RATES
            },
        };
        let (curve, smooth) = self.curve(&series, windows);
        Some((curve, smooth.miss))
    }

    /// The wind that is told at a time, where it is.
    fn wind(&self, t_s: f64) -> Option<Wind> {
        self.series(Field::Headwind)?;
        let at = |field: Field| self.series(field).map_or(0.0, |series| series.at(t_s));
        Some(Wind {
            headwind_mps: at(Field::Headwind),
            gust_u_mps: at(Field::GustAlong),
            gust_w_mps: at(Field::GustUp),
        })
    }

    /// Vertical speed as path and airspeed tell it, and how exactly.
    fn vertical(&self) -> Option<(Curve, f64)> {
        let path = self.series(Field::Path)?;
        self.made(|t_s, speed_mps| {
            speed_mps * sin(path.at(t_s)) + self.wind(t_s).unwrap_or_default().gust_w_mps
        })
    }

    /// Speed over the ground as path, airspeed and wind tell it; in still air that is none.
    fn over_ground(&self, is_still: bool) -> Option<Curve> {
        let path = self.series(Field::Path)?;
        (is_still || self.wind(self.begin_s).is_some()).then_some(())?;
        self.made(|t_s, speed_mps| {
            speed_mps * cos(path.at(t_s)) - self.wind(t_s).unwrap_or_default().against_mps()
        })
        .map(|(curve, _)| curve)
    }

    /// Attitude as angle of attack and path tell it: that goes smoothly in any gust.
    fn attitude(&self) -> Option<Curve> {
        let (alpha, path) = (self.series(Field::Alpha)?, self.series(Field::Path)?);
        let (attitude, _) = self.made(|t_s, _| alpha.at(t_s) + path.at(t_s))?;
        Some(attitude)
    }

    /// Where the aeroplane would have gone by its lever alone, from where it began, in the air without gusts.
    fn by_lever(&self, start: &State) -> Option<Curve> {
        self.series(Field::Lever)?;
        let aircraft = &self.drill.aircraft;
        let mut air = self.drill.calm_air();
        let mut state = *start;
        let mut way = Vec::with_capacity(self.lever.len());
        for (tick, lever) in self.lever.iter().enumerate() {
            way.push((state.h_m, state.vz_mps));
            let wind = air.sample(tick as u64, state.vx_mps.max(1.0), state.h_m, None);
            state = step(aircraft, &state, *lever, &wind, TICK_S);
            let is_sound = state.numbers().iter().all(|x| x.is_finite());
            (is_sound && state.h_m > 0.0).then_some(())?;
        }
        Some(way)
    }

    /// Altitude and vertical speed; `start` makes a state of those.
    fn altitude(&self, start: impl Fn((f64, f64)) -> State) -> (Curve, Noise) {
        let (alone, smooth) = self.curve(self.track.altitude(), PLACES);
        let noise = Noise::of(&smooth);
        let along = match self.vertical() {
            Some((vertical, told_mps)) => {
                let mut h_m = 0.0;
                let way: Curve = vertical
                    .iter()
                    .map(|(vertical_mps, rate)| {
                        let here = (h_m, *vertical_mps);
                        h_m += vertical_mps * TICK_S + 0.5 * rate * TICK_S * TICK_S;
                        here
                    })
                    .collect();
                self.along(&way, Some(told_mps))
            }
            None => self
                .by_lever(&start(alone[0]))
                .and_then(|way| self.along(&way, None)),
        };
        match along {
            Some((along, other)) if other.altitude_m <= smooth.as_good() => (along, other),
            _ => (alone, noise),
        }
    }

    /// Flown over the ground since the drill began.
    fn distance(&self) -> Option<Curve> {
        if let Some(distance) = self.series(Field::Distance) {
            let (mut curve, _) = self.curve(distance, PLACES);
            let from_m = curve[0].0;
            curve.iter_mut().for_each(|(x_m, _)| *x_m -= from_m);
            return Some(curve);
        }
        let (to_aim, aim) = (self.series(Field::ToAim)?, self.drill.aim?);
        let (mut curve, _) = self.curve(to_aim, PLACES);
        for (tick, (x_m, vx_mps)) in curve.iter_mut().enumerate() {
            let away_m = aim.deck.speed_mps * tick as f64 * TICK_S;
            *x_m = aim.start_m + away_m - *x_m;
            *vx_mps = aim.deck.speed_mps - *vx_mps;
        }
        Some(curve)
    }

    /// The state it begins in, as far as it is told: on speed by its attitude, the engine where the lever settles it.
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
        let (altitude, noise) = self.altitude(|at| self.begun(at, &start_wind(at.0)));
        let mut state = self.begun(altitude[0], &start_wind(altitude[0].0));
        let mut own = drill.world_from(
            own_air,
            State {
                h_m: altitude[0].0,
                theta_rad: attitude.as_ref().map_or(state.theta_rad, |told| told[0].0),
                ..state
            },
        );
        let mut points: Vec<Point> = Vec::with_capacity(self.ticks + 1);
        let mut is_own_air = self.wind(self.begin_s).is_some() || is_still;
        for (tick, (h_m, vz_mps)) in altitude.into_iter().enumerate() {
            let t_s = self.at_s(tick);
            let mean = calm.sample(tick as u64, state.vx_mps.abs(), h_m, None);
            let mut wind = self.wind(t_s).unwrap_or(mean);
            // The airspeed that the vertical motion speaks of: lift goes with its square.
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
                // What differs is the wind.
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
            // Where pitch is left alone, attitude has a kink that a curve through rows rounds off: up to there the law that
            // holds it tells it better.
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
                // Where it stalls or meets the surface is for the run to say.
                let _ = own.follow(state, None);
            }
            let differ_mps = (own.wind().against_mps() - wind.against_mps()).abs();
            is_own_air &= !self.is_row(t_s) || differ_mps <= SAME_MPS;
            points.push(Point { state, wind });
            let flown = own.next(self.lever[tick], &wind);
            if flown.numbers().iter().all(|x| x.is_finite()) {
                state = flown;
            }
        }
        let is_exact = noise.vertical_mps <= KNOWN_MPS
            && noise.altitude_m <= EXACT_M
            && self.track.altitude().apart_s() <= DENSE_S;
        let known = Known {
            lever: self.series(Field::Lever).is_some(),
            speed: speed.is_some(),
            alpha: attitude.is_some(),
            vertical: noise.vertical_mps <= KNOWN_MPS,
            moment_mps: if is_exact {
                Some(0.0)
            } else {
                noise.moment_mps
            },
        };
        let tape = Tape::new(points, &self.lever, known, !is_own_air);
        Filled { tape, noise }
    }

    /// Whether a row stands at a time.
    fn is_row(&self, t_s: f64) -> bool {
        let times = &self.track.altitude().t_s;
        let next = times.partition_point(|own| *own < t_s - SAME_S);
        times
            .get(next)
            .is_some_and(|own| (own - t_s).abs() <= SAME_S)
    }
}

/// The lever at a time. Between two rows it is on its way, for when it left is not told; but where it ran faster before or after,
/// it ran as fast here, and came to rest, or left, on the way.
fn on_its_way(lever: &Series, t_s: f64) -> f64 {
    let even = lever.at(t_s);
    let (times, values) = (&lever.t_s, &lever.values);
    let after = times.partition_point(|own| *own <= t_s);
    if after < 2 || after + 1 >= times.len() {
        return even;
    }
    let rate = |row: usize| (values[row] - values[row - 1]) / (times[row] - times[row - 1]);
    let (before, own, next) = (rate(after - 1), rate(after), rate(after + 1));
    let is_faster = |other: f64| other * own > 0.0 && other.abs() > own.abs();
    let (from, to) = (values[after - 1], values[after]);
    let (low, high) = (from.min(to), from.max(to));
    match (is_faster(before), is_faster(next)) {
        (true, false) => (from + before * (t_s - times[after - 1])).clamp(low, high),
        (false, true) => (to - next * (times[after] - t_s)).clamp(low, high),
        _ => even,
    }
}

/// Between two values with their slopes, a share of the way from one to the other: the cubic that has both.
fn bent(a: (f64, f64), b: (f64, f64), share: f64, apart_s: f64) -> (f64, f64) {
    let (u, v) = (share, 1.0 - share);
    let value = v * v * (1.0 + 2.0 * u) * a.0
        + u * u * (3.0 - 2.0 * u) * b.0
        + apart_s * u * v * (v * a.1 - u * b.1);
    let slope =
        6.0 * u * v * (b.0 - a.0) / apart_s + v * (1.0 - 3.0 * u) * a.1 + u * (3.0 * u - 2.0) * b.1;
    (value, slope)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bend_keeps_values_and_slopes() {
        let cubic = |t: f64| (t * t * t - 2.0 * t, 3.0 * t * t - 2.0);
        let (a, b) = (cubic(1.0), cubic(1.5));
        let (value, slope) = bent(a, b, 0.3, 0.5);
        let right = cubic(1.15);
        assert!((value - right.0).abs() < 1e-12 && (slope - right.1).abs() < 1e-12);
    }
}
