//! The power card: how much lever for how long moves the altitude by a little and leaves the aeroplane level there.
//!
//! A correction has three parts, as on an approach (CNATRA P-1211, the idea): move the power, take it off again, set the
//! power that holds. A move alone leaves the phugoid swinging, and a second one the opposite way cannot stop it within a
//! swing (so for a linear swing, and a search on the model found none). What does is a touch of the same way half a swing
//! after the first move, when the altitude has come to a stop of itself and is about to swing back: two pulses half a period
//! apart, the second smaller by what the swing has lost meanwhile, leave nothing to swing. So: move, level power, touch, and
//! the power that holds the new altitude.
//!
//! Times are found by Newton's method, rounded to what a person can count, flown tick by tick, and only what that flight
//! gives is promised.

use serde::Serialize;

use super::card_search::Search;
use super::{SCHEMA, number, ticks};
use crate::hands::Travel;
use crate::sim::aircraft::Aircraft;
use crate::sim::trim;
use crate::units::{FT, TICK_S, TICKS_PER_S};

/// The changes on a card, ft.
pub const CHANGES_FT: [f64; 6] = [20.0, 50.0, 100.0, -20.0, -50.0, -100.0];
/// A person's lever, fraction of travel a second.
pub const LEVER_PER_S: f64 = 0.8;
/// How near the promised altitude a correction must stay, ft.
pub const WITHIN_FT: f64 = 3.0;
/// How small its vertical speed must stay, ft/min.
pub const WITHIN_FPM: f64 = 20.0;
/// How long after its last move it must stay so, s.
pub const WATCHED_S: f64 = 20.0;

/// Corrections of an aeroplane at one mass and altitude.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PowerCard {
    /// Version of this layout.
    pub schema: u32,
    /// The aeroplane's name.
    pub name: String,
    /// Altitude it starts from, ft.
    pub altitude_ft: f64,
    /// Mass, kg.
    pub mass_kg: f64,
    /// Power that holds that altitude, lever 0..1.
    pub level_lever: f64,
    /// One for each of [`CHANGES_FT`], in that order.
    pub corrections: Vec<CardRow>,
}

/// One line of a card.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct CardRow {
    /// The change asked for, ft, + up.
    pub wanted_ft: f64,
    /// The moves; null where no simple ones keep the promise.
    pub correction: Option<Correction>,
}

/// Moves of the lever from level flight to level flight at another altitude.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Correction {
    /// Power that holds the old altitude, lever 0..1.
    pub level_lever: f64,
    /// First move, % of lever from there, + more power.
    pub move_percent: f64,
    /// How long it stays, s.
    pub move_s: f64,
    /// How long level power stays then, s.
    pub wait_s: f64,
    /// The touch, % of lever from level power, + more power; 0 where none is needed.
    pub touch_percent: f64,
    /// How long it stays, s.
    pub touch_s: f64,
    /// Power that holds the new altitude, lever 0..1.
    pub then_lever: f64,
    /// From the first move to the last, s.
    pub total_s: f64,
    /// The change of altitude it gives, ft, + up.
    pub gives_ft: f64,
    /// Farthest from that in the 20 s after the last move, ft.
    pub stays_within_ft: f64,
    /// Largest vertical speed in that time, ft/min.
    pub stays_within_fpm: f64,
}

impl PowerCard {
    /// The card of an aeroplane at its mass and a height in m; None where it cannot fly level there.
    pub fn new(aircraft: &Aircraft, h_m: f64) -> Option<PowerCard> {
        let level = trim::on_speed(aircraft, h_m, 0.0);
        level.is_possible().then(|| PowerCard {
            schema: SCHEMA,
            name: aircraft.name.clone(),
            altitude_ft: h_m / FT,
            mass_kg: aircraft.mass_kg,
            level_lever: level.lever,
            corrections: CHANGES_FT
                .iter()
                .map(|wanted_ft| CardRow {
                    wanted_ft: *wanted_ft,
                    correction: Correction::find(aircraft, h_m, *wanted_ft),
                })
                .collect(),
        })
    }

    /// The card as text.
    pub fn lines(&self) -> Vec<String> {
        let mut lines = vec![
            format!(
                "{} at {:.0} ft, {:.0} kg, level power {:.1} %, still air",
                self.name,
                self.altitude_ft,
                self.mass_kg,
                100.0 * self.level_lever
            ),
            "move; back to level power; a touch as it comes to a stop of itself; then the power that holds".to_string(),
            "   want   move    for   level for   touch    for   then set     gives   in   holds within".to_string(),
        ];
        lines.extend(self.corrections.iter().map(CardRow::line));
        lines
    }
}

impl CardRow {
    fn line(&self) -> String {
        let Some(c) = &self.correction else {
            return format!(
                "{:+4.0} ft   no simple moves of this lever do it",
                self.wanted_ft
            );
        };
        let touch = match c.touch_percent {
            0.0 => format!("{:>7} {:>6}", "none", "-"),
            percent => format!("{percent:+5.0} % {:>4} s", number(Some(c.touch_s), 1)),
        };
        format!(
            "{:+4.0} ft {:+4.0} % {:4.1} s {:9.1} s {touch} {:8.1} % {:+6.0} ft {:3.0} s {:4.1} ft, {:2.0} ft/min",
            self.wanted_ft,
            c.move_percent,
            c.move_s,
            c.wait_s,
            100.0 * c.then_lever,
            c.gives_ft,
            c.total_s,
            c.stays_within_ft,
            c.stays_within_fpm
        )
    }
}

impl Correction {
    /// Simple moves that change the altitude by about `wanted_ft` from level flight at a height in m and keep their promise;
    /// None where there are none.
    pub fn find(aircraft: &Aircraft, h_m: f64, wanted_ft: f64) -> Option<Correction> {
        Search::new(aircraft, h_m, wanted_ft)?.best()
    }

    /// The lever as a person moves it: (tick it takes effect with, thousandths), from the first move at tick 0 on.
    pub fn script(&self) -> Vec<(u64, u16)> {
        let mut rows = Vec::new();
        let mut last = None;
        let mut lever = self.level_lever;
        let end = self.last_move_tick() + 2 * TICKS_PER_S;
        for tick in 0..end {
            let travel = Travel {
                per_tick: LEVER_PER_S * TICK_S,
            };
            if let Some(next) = travel.next(lever, self.wanted_at(tick)) {
                lever = f64::from(next) / 1000.0;
                if last != Some(next) {
                    rows.push((tick, next));
                    last = Some(next);
                }
            }
        }
        rows
    }

    pub(super) fn last_move_tick(&self) -> u64 {
        ticks(self.move_s + self.wait_s + self.touch_s)
    }

    /// Where the lever is to be at a tick.
    pub(super) fn wanted_at(&self, tick: u64) -> f64 {
        let (moved, waited) = (ticks(self.move_s), ticks(self.move_s + self.wait_s));
        if tick < moved {
            self.level_lever + self.move_percent / 100.0
        } else if tick < waited {
            self.level_lever
        } else if tick < self.last_move_tick() {
            self.level_lever + self.touch_percent / 100.0
        } else {
            self.then_lever
        }
    }
}
