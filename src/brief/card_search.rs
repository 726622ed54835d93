//! The search for the moves of a power card.
//!
//! The sizes are taken from what a person can set; the times follow by Newton's method from a guess that an undamped, linear
//! swing would make exact, and are then rounded and flown.

use core::f64::consts::PI;

use super::flight::{Flight, Part, after, steady};
use super::power_card::{Correction, LEVER_PER_S, WATCHED_S, WITHIN_FPM, WITHIN_FT};
use super::solve::newton;
use super::stability::damped_period_s;
use super::{fpm_per_percent, ticks};
use crate::run::thousandths;
use crate::sim::aircraft::Aircraft;
use crate::sim::math::exp;
use crate::sim::stability::phugoid;
use crate::sim::trim;
use crate::units::{FPM, FT};

/// First moves to choose from, % of lever.
const MOVES_PERCENT: [f64; 10] = [1.0, 2.0, 3.0, 5.0, 8.0, 10.0, 15.0, 20.0, 25.0, 30.0];
/// A first move lasts at most about this share of the swing's period.
const MOVE_SHARE: f64 = 0.2;
/// A touch is about this long, s.
const TOUCH_S: f64 = 3.0;
/// A touch is worth at most this much in the end, ft/min: larger ones end with a jolt.
const TOUCH_FPM: f64 = 200.0;
/// Times are multiples of this, s.
const COUNT_S: f64 = 0.5;
/// No part lasts longer, s.
const LONGEST_S: f64 = 180.0;
/// The search ends with the first moves whose faults are at most this share of what is allowed.
const GOOD_ENOUGH: f64 = 0.6;
/// Time given to the engine and pitch before the state is looked at, in the slowest of their time constants.
const LAGS: f64 = 6.0;

/// What the search needs to know of an aeroplane.
pub(super) struct Search<'a> {
    aircraft: &'a Aircraft,
    h_m: f64,
    wanted_ft: f64,
    level_lever: f64,
    then_lever: f64,
    /// Vertical speed of 1 % of lever in the end, ft/min.
    fpm_per_percent: f64,
    /// Period of the swing as it is seen, s.
    period_s: f64,
    /// What is left of the swing after half a period.
    left: f64,
}

impl<'a> Search<'a> {
    /// None where either altitude has no level flight or the swing never dies out.
    pub(super) fn new(aircraft: &'a Aircraft, h_m: f64, wanted_ft: f64) -> Option<Search<'a>> {
        let level = trim::on_speed(aircraft, h_m, 0.0);
        let then = trim::on_speed(aircraft, h_m + wanted_ft * FT, 0.0);
        let swing = phugoid(aircraft, h_m, &level)?;
        let period_s = damped_period_s(&swing);
        (level.is_possible() && then.is_possible() && swing.damping > 0.0).then(|| Search {
            aircraft,
            h_m,
            wanted_ft,
            level_lever: level.lever,
            then_lever: then.lever,
            fpm_per_percent: fpm_per_percent(aircraft, h_m),
            period_s: period_s.unwrap_or(2.0 * swing.period_s),
            left: period_s.map_or(0.0, |seen_s| {
                exp(-PI * swing.damping * seen_s / swing.period_s)
            }),
        })
    }

    /// The first moves that keep their promise well, or else those that keep it best; None where none do.
    pub(super) fn best(&self) -> Option<Correction> {
        let moves = self.moves_percent();
        let touches = self.touches_percent();
        let mut best: Option<(f64, Correction)> = None;
        for move_percent in moves {
            for touch_percent in &touches {
                let Some((fault, correction)) = self.with(move_percent, *touch_percent) else {
                    continue;
                };
                if best.as_ref().is_none_or(|(least, _)| fault < *least) {
                    best = Some((fault, correction));
                }
                if fault <= GOOD_ENOUGH {
                    return Some(correction);
                }
            }
        }
        best.filter(|(fault, _)| *fault <= 1.0)
            .map(|(_, correction)| correction)
    }

    /// Lever times time that the change takes in all, % s.
    fn area_percent_s(&self) -> f64 {
        60.0 * self.wanted_ft.abs() / self.fpm_per_percent
    }

    /// First moves to try: the smallest that is over soon, then its neighbours; the largest there is room for at most.
    fn moves_percent(&self) -> Vec<f64> {
        let up = self.wanted_ft > 0.0;
        let room_percent = 100.0
            * if up {
                1.0 - self.level_lever
            } else {
                self.level_lever
            };
        let most = MOVES_PERCENT
            .iter()
            .filter(|size| **size <= room_percent)
            .count();
        let first_s = |size: f64| self.area_percent_s() / (1.0 + self.left) / size;
        let best = MOVES_PERCENT[..most]
            .iter()
            .position(|size| first_s(*size) <= MOVE_SHARE * self.period_s)
            .unwrap_or(most.saturating_sub(1));
        let order = [
            Some(best),
            best.checked_add(1),
            best.checked_sub(1),
            best.checked_sub(2),
        ];
        order
            .into_iter()
            .flatten()
            .filter(|index| *index < most)
            .map(|index| MOVES_PERCENT[index])
            .collect()
    }

    /// Touches to try: one that lasts about three seconds, then its neighbours.
    fn touches_percent(&self) -> Vec<f64> {
        let area = self.area_percent_s() * self.left / (1.0 + self.left);
        if area < 0.5 * COUNT_S {
            return vec![0.0];
        }
        let most = (TOUCH_FPM / self.fpm_per_percent).floor().max(1.0);
        let size = (area / TOUCH_S).round().clamp(1.0, most);
        let mut sizes = vec![size, size + 1.0, size - 1.0];
        sizes.retain(|size| (1.0..=most).contains(size));
        sizes
    }

    /// The best rounded times for a size of move and touch, and how far they are from what is asked: 1 is just kept.
    fn with(&self, move_percent: f64, touch_percent: f64) -> Option<(f64, Correction)> {
        let times_s = match touch_percent {
            0.0 => self.without_touch(move_percent),
            _ => self.exact_times_s(move_percent, touch_percent)?,
        };
        let sign = self.wanted_ft.signum();
        let mut best: Option<(f64, Correction)> = None;
        for corner in 0..4 {
            let rounded = |i: usize| {
                let down = (times_s[2 * i] / COUNT_S).floor();
                COUNT_S
                    * if corner >> i & 1 == 0 {
                        down
                    } else {
                        down + 1.0
                    }
            };
            let wait_s = COUNT_S * (times_s[1] / COUNT_S).round();
            let (move_s, touch_s) = (rounded(0), rounded(1));
            if move_s < COUNT_S || (touch_percent == 0.0 && touch_s > 0.0) {
                continue;
            }
            let tried = self.fly(Correction {
                level_lever: self.level_lever,
                move_percent: sign * move_percent,
                move_s,
                wait_s,
                touch_percent: if touch_s > 0.0 {
                    sign * touch_percent
                } else {
                    0.0
                },
                touch_s,
                then_lever: self.then_lever,
                total_s: move_s + wait_s + touch_s,
                gives_ft: 0.0,
                stays_within_ft: 0.0,
                stays_within_fpm: 0.0,
            });
            let fault = ((tried.gives_ft - self.wanted_ft).abs() / WITHIN_FT)
                .max(tried.stays_within_ft / WITHIN_FT)
                .max(tried.stays_within_fpm / WITHIN_FPM);
            if best.as_ref().is_none_or(|(least, _)| fault < *least) {
                best = Some((fault, tried));
            }
        }
        best
    }

    /// Times of move, wait and touch that leave the aeroplane level at the new altitude once the engine has settled, s.
    fn exact_times_s(&self, move_percent: f64, touch_percent: f64) -> Option<[f64; 3]> {
        let area = self.area_percent_s();
        let move_s = area / (1.0 + self.left) / move_percent;
        let touch_s = area * self.left / (1.0 + self.left) / touch_percent;
        let wait_s = (0.5 * (self.period_s - move_s - touch_s)).max(0.2 * self.period_s);
        let start = steady(
            self.aircraft,
            self.h_m,
            &trim::on_speed(self.aircraft, self.h_m, 0.0),
        );
        let there = trim::on_speed(self.aircraft, self.h_m + self.wanted_ft * FT, 0.0);
        let sign = self.wanted_ft.signum() / 100.0;
        let lags_s = LAGS
            * self
                .aircraft
                .engine
                .answer_s(there.engine)
                .max(self.aircraft.pitch_hold_s);
        newton(
            [move_s, wait_s, touch_s],
            0.0,
            LONGEST_S,
            0.02,
            0.05,
            |times_s| {
                let part = |percent: f64, seconds: f64| Part {
                    lever: self.level_lever + sign * percent,
                    seconds,
                };
                let end = after(
                    self.aircraft,
                    &start,
                    &[
                        part(move_percent, times_s[0]),
                        part(0.0, times_s[1]),
                        part(touch_percent, times_s[2]),
                        Part {
                            lever: self.then_lever,
                            seconds: lags_s,
                        },
                    ],
                );
                let speed_mps = (end.vx_mps * end.vx_mps + end.vz_mps * end.vz_mps).sqrt();
                [
                    end.h_m - self.h_m - self.wanted_ft * FT,
                    end.vz_mps,
                    speed_mps - there.speed_mps,
                ]
            },
        )
    }

    /// Times where the swing dies out by itself: the move, and the wait until it has, s.
    fn without_touch(&self, move_percent: f64) -> [f64; 3] {
        [self.area_percent_s() / move_percent, self.period_s, 0.0]
    }

    /// Flies the moves and writes down what they give.
    fn fly(&self, mut correction: Correction) -> Correction {
        let level = trim::on_speed(self.aircraft, self.h_m, 0.0);
        let mut flight = Flight::steady(self.aircraft, self.h_m, &level);
        let last = correction.last_move_tick();
        while flight.ticks() < last
            || thousandths(flight.lever()) != thousandths(correction.then_lever)
        {
            flight.tick_towards(correction.wanted_at(flight.ticks()), LEVER_PER_S);
        }
        let changed_ft = |flight: &Flight| (flight.state().h_m - self.h_m) / FT;
        let (mut lowest_ft, mut highest_ft) = (changed_ft(&flight), changed_ft(&flight));
        let mut fastest_fpm = 0.0_f64;
        let end = flight.ticks() + ticks(WATCHED_S);
        while flight.ticks() < end {
            flight.tick();
            lowest_ft = lowest_ft.min(changed_ft(&flight));
            highest_ft = highest_ft.max(changed_ft(&flight));
            fastest_fpm = fastest_fpm.max(flight.state().vz_mps.abs() / FPM);
        }
        correction.gives_ft = (0.5 * (lowest_ft + highest_ft)).round();
        correction.stays_within_ft =
            (highest_ft - correction.gives_ft).max(correction.gives_ft - lowest_ft);
        correction.stays_within_fpm = fastest_fpm;
        correction
    }
}
