//! Ways to find a quantity at every tick from the columns that determine it: a smooth curve through its own rows, a value
//! computed from other columns, and the model, drawn back to the rows.

use super::{DENSE_S, Filling, LEAST_ROWS, Noise};
use crate::sim::air::Wind;
use crate::sim::dynamics::{State, step};
use crate::sim::math::{cos, sin};
use crate::track::smooth::{Smooth, Windows};
use crate::track::{Field, Series};
use crate::units::TICK_S;

/// Windows for altitudes and distances. Rows rounded to a foot come in stairs of about half a second, and neighbouring rows
/// are rounded alike; a quarter of the shortest swing of aeroplanes like ours is about 5 s.
const PLACES: Windows = Windows {
    shortest_s: 0.5,
    longest_s: 10.0,
    near_s: 0.3,
    at_ends: 2.0,
};
/// Windows for what is left after the model's course has been subtracted: it changes slowly.
const LEFT: Windows = Windows {
    longest_s: 40.0,
    ..PLACES
};
/// The same where the vertical speed is given: what is left is a single height, however long the window.
const HEIGHT: Windows = Windows {
    longest_s: 300.0,
    ..PLACES
};
/// Windows for speeds and angles, which are given directly. At an end, rows that are close together need no longer window;
/// where they are not, [`Filling::made`] doubles it.
const RATES: Windows = Windows {
    shortest_s: 0.0,
    longest_s: 5.0,
    near_s: 0.0,
    at_ends: 1.0,
};
/// Ticks from one computed value to the next; between them values are interpolated.
const KNOTS: usize = 4;
/// For a vertical speed given in rows that are farther apart, the error at a single moment may be this many times the
/// prediction error of the rows: where the lever moves, it turns faster than on average. Altitude alone says far too little
/// about single moments: half a foot a second of noise is left.
const DOUBT: f64 = 4.0;

/// The course of a quantity: its value and its slope per second, at every tick.
type Way = Vec<(f64, f64)>;

impl Noise {
    /// The noise that a smooth curve leaves.
    fn of(smooth: &Smooth) -> Noise {
        Noise {
            altitude_m: smooth.miss,
            vertical_mps: smooth.slope_noise(),
            moment_mps: None,
        }
    }
}

impl Filling<'_> {
    /// The lever over each tick; the drill's start lever where the track has none.
    pub(super) fn lever(&self) -> Vec<f64> {
        let start = self.drill.start_lever();
        let lever = self.series(Field::Lever);
        (0..=self.ticks)
            .map(|tick| lever.map_or(start, |lever| on_its_way(lever, self.at_s(tick))))
            .collect()
    }

    /// A smooth curve through a series at every tick, and the fit behind it, which says how well the rows predict each other.
    pub(super) fn curve<'s>(&self, series: &'s Series, windows: Windows) -> (Way, Smooth<'s>) {
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

    /// A course that the aeroplane may have flown, corrected by what the rows of altitude say is missing from it. With
    /// `told_mps` its vertical speed is taken as given, with that error.
    pub(super) fn along(&self, way: &Way, told_mps: Option<f64>) -> Option<(Way, Noise)> {
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

    /// A series computed from others, at the rows that have an airspeed, and the prediction error of its rows.
    pub(super) fn made(&self, value: impl Fn(f64, f64) -> f64) -> Option<(Way, f64)> {
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

    /// The wind that the track gives at a time, if it has one.
    pub(super) fn wind(&self, t_s: f64) -> Option<Wind> {
        self.series(Field::Headwind)?;
        let at = |field: Field| self.series(field).map_or(0.0, |series| series.at(t_s));
        Some(Wind {
            headwind_mps: at(Field::Headwind),
            gust_u_mps: at(Field::GustAlong),
            gust_w_mps: at(Field::GustUp),
        })
    }

    /// Vertical speed from path and airspeed, and how exact it is.
    pub(super) fn vertical(&self) -> Option<(Way, f64)> {
        let path = self.series(Field::Path)?;
        self.made(|t_s, speed_mps| {
            speed_mps * sin(path.at(t_s)) + self.wind(t_s).unwrap_or_default().gust_w_mps
        })
    }

    /// Speed over the ground from path, airspeed and wind; in still air there is none to subtract.
    pub(super) fn over_ground(&self, is_still: bool) -> Option<Way> {
        let path = self.series(Field::Path)?;
        (is_still || self.wind(self.begin_s).is_some()).then_some(())?;
        self.made(|t_s, speed_mps| {
            speed_mps * cos(path.at(t_s)) - self.wind(t_s).unwrap_or_default().against_mps()
        })
        .map(|(curve, _)| curve)
    }

    /// Attitude from angle of attack and path: it stays smooth in any gust.
    pub(super) fn attitude(&self) -> Option<Way> {
        let (alpha, path) = (self.series(Field::Alpha)?, self.series(Field::Path)?);
        let (attitude, _) = self.made(|t_s, _| alpha.at(t_s) + path.at(t_s))?;
        Some(attitude)
    }

    /// Where its lever alone would have taken the aeroplane from its start, in air without gusts.
    pub(super) fn by_lever(&self, start: &State) -> Option<Way> {
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

    /// Altitude and vertical speed; `start` turns the two into a state.
    pub(super) fn altitude(&self, start: impl Fn((f64, f64)) -> State) -> (Way, Noise) {
        let (alone, smooth) = self.curve(self.track.altitude(), PLACES);
        let noise = Noise::of(&smooth);
        let along = match self.vertical() {
            Some((vertical, told_mps)) => {
                let mut h_m = 0.0;
                let way: Way = vertical
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

    /// Distance flown over the ground since the drill began.
    pub(super) fn distance(&self) -> Option<Way> {
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
}

/// The lever at a time. Between two rows it is taken to move evenly, since the rows do not say when it left. But where it
/// moved faster before or after, it is taken to have moved as fast here, and to have stopped, or started, between the rows.
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

/// Value and slope a share of the way between two values with their slopes: on the cubic that has both.
pub fn bent(a: (f64, f64), b: (f64, f64), share: f64, apart_s: f64) -> (f64, f64) {
    let (u, v) = (share, 1.0 - share);
    let value = v * v * (1.0 + 2.0 * u) * a.0
        + u * u * (3.0 - 2.0 * u) * b.0
        + apart_s * u * v * (v * a.1 - u * b.1);
    let slope =
        6.0 * u * v * (b.0 - a.0) / apart_s + v * (1.0 - 3.0 * u) * a.1 + u * (3.0 * u - 2.0) * b.1;
    (value, slope)
}
