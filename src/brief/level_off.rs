//! The level-off, flown beforehand: how early to set level power, and the second move that keeps the aeroplane there.
//!
//! One move to level power stops a steady 3-degree path for a moment only. Speed has been won on the way down (lost on the
//! way up), and the phugoid swings back towards where the aeroplane came from. Power taken off at the stop after a descent,
//! or added after a climb, takes that speed away and the swing with it.

use serde::Serialize;

use super::flight::{Flight, Part, Stop, after};
use super::solve::newton;
use super::{fpm_per_percent, ticks};
use crate::sim::aircraft::Aircraft;
use crate::sim::trim::{self, Trim};
use crate::units::{DEG, FPM, FT};

/// How fast the lever is moved in a level-off, fraction of travel a second.
pub const LEVER_PER_S: f64 = 0.4;
/// How long after the last move of the second move the flight is watched, s.
pub const WATCHED_S: f64 = 20.0;

/// The settled path a level-off begins from, degrees.
const PATH_DEG: f64 = 3.0;
/// Share of the vertical speed that handbooks give as the height to go (FAA-H-8083-15, made for pitch control).
const HANDBOOK_SHARE: f64 = 0.1;
/// A stop that has not come by then is none, s.
const LONGEST_S: f64 = 180.0;
/// Sizes of the second move to choose from, % of lever.
const SIZES_PERCENT: [f64; 9] = [1.0, 2.0, 3.0, 5.0, 8.0, 10.0, 15.0, 20.0, 30.0];
/// A second move that is shorter asks for a smaller one, s.
const SHORTEST_S: f64 = 3.0;
/// Times are multiples of this, s.
const COUNT_S: f64 = 0.5;
/// Time given to the engine and pitch before the state is looked at, in the slowest of their time constants.
const LAGS: f64 = 6.0;

/// One move to level power that stops a climb or descent on an altitude. Flown in still air.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LevelOff {
    /// Altitude aimed at, ft.
    pub altitude_ft: f64,
    /// Level power there, lever 0..1.
    pub level_lever: f64,
    /// Height still to go when the lever is moved, so that the first stop lies on the altitude, ft.
    pub to_go_ft: f64,
    /// Vertical speed at that moment, ft/min, + up.
    pub from_fpm: f64,
    /// When the stop comes, s after the move.
    pub first_stop_s: f64,
    /// How far it then swings back, ft; null where it does not.
    pub swings_back_ft: Option<f64>,
    /// When the swing back ends, s after the move.
    pub swings_back_s: Option<f64>,
    /// What the ten-percent rule of handbooks gives for that vertical speed, ft. It is made for pitch control.
    pub ten_percent_ft: f64,
}

/// The move after the level-off that leaves nothing to swing back. Times count from the level-off move.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SecondMove {
    /// When to make it, s after the level-off move.
    pub after_s: f64,
    /// Lever away from level power, %, + more power.
    pub move_percent: f64,
    /// How long it stays, s; level power is set again after it.
    pub for_s: f64,
    /// Where that leaves the aeroplane, ft above (+) or below the altitude.
    pub stays_ft: f64,
    /// Farthest from there in the 20 s after the last move, ft.
    pub stays_within_ft: f64,
    /// Largest vertical speed in that time, ft/min.
    pub stays_within_fpm: f64,
}

/// A level-off and the flight that is about to make it.
#[derive(Clone, Debug)]
pub struct Planned<'a> {
    /// The level-off.
    pub level_off: LevelOff,
    aircraft: &'a Aircraft,
    begun: Flight<'a>,
}

impl<'a> Planned<'a> {
    /// From a steady 3-degree climb (`direction` > 0) or descent (< 0) to an altitude in m; None where the lever cannot hold the
    /// path or level flight, or where the path never stops.
    pub fn settled(aircraft: &'a Aircraft, altitude_m: f64, direction: f64) -> Option<Planned<'a>> {
        let level_lever = level_lever(aircraft, altitude_m)?;
        let to_go_m = settled_to_go_m(aircraft, altitude_m, direction)?;
        let begun = on_path(
            aircraft,
            altitude_m - direction.signum() * to_go_m,
            direction,
        )?;
        Planned::measured(aircraft, altitude_m, level_lever, begun)
    }

    /// From a steady flight `from` at an altitude in m, the lever put to `go_lever` at once, to another altitude in m; None
    /// where that does not lead there, or the lever cannot hold level flight.
    pub fn step(
        aircraft: &'a Aircraft,
        from_m: f64,
        from: &Trim,
        go_lever: f64,
        altitude_m: f64,
    ) -> Option<Planned<'a>> {
        let level_lever = level_lever(aircraft, altitude_m)?;
        let direction = (altitude_m - from_m).signum();
        let mut flight = Flight::steady(aircraft, from_m, from);
        let mut ways = Vec::new();
        while (altitude_m - flight.state().h_m) * direction > 0.0 {
            if flight.ticks() > ticks(LONGEST_S) {
                return None;
            }
            ways.push(flight.clone());
            flight.tick_towards(go_lever, LEVER_PER_S);
        }
        let past_m = |way: &Flight| {
            let stop = level_off_stop(&mut way.clone(), level_lever)?;
            Some((stop.altitude_m - altitude_m) * direction)
        };
        let begun = first_past(&ways, (altitude_m - from_m).abs(), past_m)?;
        Planned::measured(aircraft, altitude_m, level_lever, begun)
    }

    /// Flies the level-off of a flight that is about to make it.
    fn measured(
        aircraft: &'a Aircraft,
        altitude_m: f64,
        level_lever: f64,
        begun: Flight<'a>,
    ) -> Option<Planned<'a>> {
        let begun = begun.from_now();
        let mut flight = begun.clone();
        let first = level_off_stop(&mut flight, level_lever)?;
        let back = level_off_stop(&mut flight, level_lever);
        let from_mps = begun.state().vz_mps;
        let level_off = LevelOff {
            altitude_ft: altitude_m / FT,
            level_lever,
            to_go_ft: (altitude_m - begun.state().h_m).abs() / FT,
            from_fpm: from_mps / FPM,
            first_stop_s: first.time_s,
            swings_back_ft: back.map(|back| (back.altitude_m - first.altitude_m).abs() / FT),
            swings_back_s: back.map(|back| back.time_s),
            ten_percent_ft: HANDBOOK_SHARE * from_mps.abs() / FPM,
        };
        Some(Planned {
            level_off,
            aircraft,
            begun,
        })
    }

    /// The move after it; None where there is nothing to swing back or no simple move does it.
    pub fn second_move(&self) -> Option<SecondMove> {
        let altitude_m = self.level_off.altitude_ft * FT;
        let direction = self.level_off.from_fpm.signum();
        let area_percent_s =
            60.0 * self.level_off.swings_back_ft? / fpm_per_percent(self.aircraft, altitude_m);
        let level_percent = 100.0 * self.level_off.level_lever;
        let room_percent = if direction < 0.0 {
            level_percent
        } else {
            100.0 - level_percent
        };
        let mut guess_s = [self.level_off.first_stop_s, 0.0];
        let mut found = None;
        // From large to small, until the move lasts long enough to be counted.
        let sizes = SIZES_PERCENT
            .iter()
            .rev()
            .filter(|size| **size <= room_percent);
        for size_percent in sizes.skip_while(|size| area_percent_s / **size < SHORTEST_S) {
            if guess_s[1] == 0.0 {
                guess_s[1] = area_percent_s / size_percent;
                guess_s[0] = (guess_s[0] - 0.5 * guess_s[1]).max(0.0);
            }
            let move_percent = direction * size_percent;
            let exact_s = newton(guess_s, 0.0, LONGEST_S, 0.02, 0.05, |times_s| {
                self.swing_left(move_percent, times_s)
            });
            let Some(exact_s) = exact_s else { break };
            let rounded_s = exact_s.map(|s| COUNT_S * (s / COUNT_S).round());
            found = Some((move_percent, rounded_s));
            if exact_s[1] >= SHORTEST_S {
                break;
            }
            guess_s = exact_s;
        }
        let (move_percent, times_s) = found?;
        (times_s[1] > 0.0).then(|| self.fly(move_percent, times_s))
    }

    /// Vertical speed and missing speed (m/s) once the engine has settled after both moves: what is left to swing.
    fn swing_left(&self, move_percent: f64, times_s: &[f64; 2]) -> [f64; 2] {
        let there = trim::on_speed(self.aircraft, self.level_off.altitude_ft * FT, 0.0);
        let answer_s = self.aircraft.engine.answer_s(there.engine);
        let part = |percent: f64, seconds: f64| Part {
            lever: self.level_off.level_lever + percent / 100.0,
            seconds,
        };
        let parts = [
            part(0.0, times_s[0]),
            part(move_percent, times_s[1]),
            part(0.0, LAGS * answer_s.max(self.aircraft.pitch_hold_s)),
        ];
        let end = after(self.aircraft, self.begun.state(), &parts);
        let speed_mps = (end.vx_mps * end.vx_mps + end.vz_mps * end.vz_mps).sqrt();
        [end.vz_mps, speed_mps - there.speed_mps]
    }

    /// Flies both moves tick by tick and writes down what they give.
    fn fly(&self, move_percent: f64, times_s: [f64; 2]) -> SecondMove {
        let (begin, end) = (ticks(times_s[0]), ticks(times_s[0] + times_s[1]));
        let level_off = &self.level_off;
        let mut flight = self.begun.clone();
        let (mut lowest_ft, mut highest_ft) = (f64::INFINITY, f64::NEG_INFINITY);
        let mut fastest_fpm = 0.0_f64;
        while flight.ticks() < end + ticks(WATCHED_S) {
            let moved = (begin..end).contains(&flight.ticks());
            let wanted = level_off.level_lever + if moved { move_percent / 100.0 } else { 0.0 };
            flight.tick_towards(wanted, LEVER_PER_S);
            if flight.ticks() > end {
                let off_ft = flight.state().h_m / FT - level_off.altitude_ft;
                (lowest_ft, highest_ft) = (lowest_ft.min(off_ft), highest_ft.max(off_ft));
                fastest_fpm = fastest_fpm.max(flight.state().vz_mps.abs() / FPM);
            }
        }
        SecondMove {
            after_s: times_s[0],
            move_percent,
            for_s: times_s[1],
            stays_ft: 0.5 * (lowest_ft + highest_ft),
            stays_within_ft: 0.5 * (highest_ft - lowest_ft),
            stays_within_fpm: fastest_fpm,
        }
    }
}

/// Height to go at which one move to level power from a steady 3-degree climb (`direction` > 0) or descent (< 0) first stops
/// on an altitude in m; None where the lever cannot hold the path or level flight, or where it never stops.
pub fn settled_to_go_m(aircraft: &Aircraft, altitude_m: f64, direction: f64) -> Option<f64> {
    let level_lever = level_lever(aircraft, altitude_m)?;
    let rate_mps = on_path(aircraft, altitude_m, direction)?.state().vz_mps;
    let mut to_go_m = HANDBOOK_SHARE * 60.0 * rate_mps.abs();
    // What the flight needs hardly depends on the height it begins at: two passes are good to a hundredth of a foot.
    for _ in 0..2 {
        let mut flight = on_path(
            aircraft,
            altitude_m - direction.signum() * to_go_m,
            direction,
        )?;
        let stop = level_off_stop(&mut flight, level_lever)?;
        to_go_m += (stop.altitude_m - altitude_m) * direction.signum();
    }
    Some(to_go_m)
}

/// A flight on the steady 3-degree path up or down at a height in m; None where the lever cannot hold it.
fn on_path(aircraft: &Aircraft, h_m: f64, direction: f64) -> Option<Flight<'_>> {
    let path = trim::on_speed(aircraft, h_m, direction.signum() * PATH_DEG * DEG);
    path.is_possible()
        .then(|| Flight::steady(aircraft, h_m, &path))
}

/// The way from which a level-off stops on the altitude: the later the move, the farther past it. `short_m` is how far short
/// the very first way stops. False position, slowed ends halved (the Illinois rule).
fn first_past<'a>(
    ways: &[Flight<'a>],
    short_m: f64,
    past_m: impl Fn(&Flight<'a>) -> Option<f64>,
) -> Option<Flight<'a>> {
    const NEAR_M: f64 = 0.02;
    let (mut low, mut high) = (0, ways.len().checked_sub(1)?);
    let (mut at_low, mut at_high) = (-short_m, past_m(&ways[high])?);
    while high - low > 1 {
        let share = at_low / (at_low - at_high);
        let middle =
            low + ((share * (high - low) as f64).round() as usize).clamp(1, high - low - 1);
        let here = past_m(&ways[middle])?;
        if here.abs() < NEAR_M {
            return Some(ways[middle].clone());
        }
        if here < 0.0 {
            (low, at_low, at_high) = (middle, here, 0.5 * at_high);
        } else {
            (high, at_high, at_low) = (middle, here, 0.5 * at_low);
        }
    }
    Some(ways[high].clone())
}

fn level_lever(aircraft: &Aircraft, altitude_m: f64) -> Option<f64> {
    let level = trim::on_speed(aircraft, altitude_m, 0.0);
    level.is_possible().then_some(level.lever)
}

fn level_off_stop(flight: &mut Flight, level_lever: f64) -> Option<Stop> {
    flight.stop(LONGEST_S, |flight| {
        flight.tick_towards(level_lever, LEVER_PER_S)
    })
}

impl LevelOff {
    /// When to begin and what follows, in words.
    pub fn lines(&self) -> Vec<String> {
        let side = if self.from_fpm < 0.0 {
            "above"
        } else {
            "below"
        };
        let begin = format!(
            "begin the level-off {:.0} ft {side} it, at {:+.0} ft/min: it stops on the number {:.0} s later",
            self.to_go_ft, self.from_fpm, self.first_stop_s
        );
        let back = match (self.swings_back_ft, self.swings_back_s) {
            (Some(back_ft), Some(back_s)) => {
                format!(
                    "left alone it then swings back {back_ft:.0} ft, until {back_s:.0} s after the move"
                )
            }
            _ => "it does not swing back".to_string(),
        };
        let handbook = format!(
            "by the ten-percent rule {:.0} ft (FAA-H-8083-15; made for pitch control)",
            self.ten_percent_ft
        );
        vec![begin, back, handbook]
    }
}

impl SecondMove {
    /// In words.
    pub fn lines(&self) -> Vec<String> {
        let word = if self.move_percent < 0.0 {
            "less"
        } else {
            "more"
        };
        let side = if self.stays_ft < 0.0 {
            "below"
        } else {
            "above"
        };
        vec![format!(
            "second move {:.1} s later: {:.0} % {word} for {:.1} s, then level; it then stays {:.0} ft {side} (+-{:.0})",
            self.after_s,
            self.move_percent.abs(),
            self.for_s,
            self.stays_ft.abs(),
            self.stays_within_ft.ceil()
        )]
    }
}
