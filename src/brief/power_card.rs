//! The power card: which moves change the altitude by a little and leave the aeroplane level there.
//!
//! A correction has three parts, as on an approach (CNATRA P-1211, the idea): move the power, take it off again as the path
//! comes back, set the power that holds. The moves are the planner's, rounded to half per cents and to what a person can
//! count, and flown tick by tick: the card promises what that flight gives.

use serde::Serialize;

use super::{SCHEMA, percent, recipe_words};
use crate::drill::{Drill, Target};
use crate::plan::recipe::{half_percent, told};
use crate::plan::still::StillFlight;
use crate::plan::{self, Follower, Recipe, Seen};
use crate::sim::aircraft::Aircraft;
use crate::sim::trim;
use crate::units::{FPM, FT, TICK_S, TICKS_PER_S};

/// The changes on a card, ft.
pub const CHANGES_FT: [f64; 6] = [20.0, 50.0, 100.0, -20.0, -50.0, -100.0];
/// How long the flight is watched after the last move, s.
pub const WATCHED_S: f64 = 20.0;
/// Width of a printed card, columns, and the columns before the moves in each of its rows.
const PRINTED: usize = 80;
const HEAD: usize = 10;
/// The longest that a correction may take, s.
const LONGEST_S: f64 = 120.0;

/// Corrections of an aeroplane at one mass and altitude.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PowerCard {
    /// Version of this layout.
    pub schema: u32,
    /// The aeroplane's name.
    pub name: String,
    /// Altitude it starts from, ft.
    pub altitude_ft: f64,
    pub mass_kg: f64,
    /// Power that holds that altitude, lever 0..1.
    pub level_lever: f64,
    /// One for each of [`CHANGES_FT`], in that order.
    pub corrections: Vec<Correction>,
}

/// One line of a card.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Correction {
    /// The change asked for, ft, + up.
    pub wanted_ft: f64,
    /// The moves, from level flight.
    pub moves: Recipe,
    /// Time from the first move to the last, s.
    pub total_s: f64,
    /// The change of altitude they give on average in the 20 s after the last move, ft, + up.
    pub gives_ft: f64,
    /// The farthest the altitude goes from that in those 20 s, ft.
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
                .map(|wanted_ft| Correction::find(aircraft, h_m, *wanted_ft))
                .collect(),
        })
    }

    /// The card of a drill; None where its aeroplane cannot fly level there.
    pub fn of(drill: &Drill) -> Option<PowerCard> {
        PowerCard::new(&drill.aircraft, PowerCard::altitude_m(drill))
    }

    /// The altitude of a drill's card: that of its first task, or of the start where the first task has none.
    pub fn altitude_m(drill: &Drill) -> f64 {
        match drill.tasks.first().and_then(|task| task.kind.target()) {
            Some(Target::Altitude { altitude_m, .. }) => altitude_m,
            _ => drill.start.altitude_m,
        }
    }

    /// The card as text.
    pub fn lines(&self) -> Vec<String> {
        let mut lines = vec![format!(
            "{} at {:.0} ft, {:.0} kg, level power {}, still air",
            self.name,
            self.altitude_ft,
            self.mass_kg,
            percent(Some(self.level_lever))
        )];
        let rows = self.corrections.iter();
        lines.extend(rows.flat_map(|row| row.lines(PRINTED)));
        lines
    }
}

impl Correction {
    /// Plans a change of `wanted_ft` from level flight at a height in m, and flies it.
    fn find(aircraft: &Aircraft, h_m: f64, wanted_ft: f64) -> Correction {
        let level = trim::on_speed(aircraft, h_m, 0.0);
        // The planner ends on exactly the lever that holds; a person cannot set it finer than half a per cent.
        let planned = plan::of_correction(aircraft, h_m, wanted_ft * FT).into_iter();
        let settable = planned.map(|made| plan::Move {
            lever: half_percent(made.lever),
            ..made
        });
        let settable: Recipe = settable.collect();
        let mut flight = StillFlight::steady(aircraft, h_m, &level);
        // Moves that leave the lever where it is are flown too: the watch begins where the planner is done.
        let total_s = fly(&mut flight, &settable);
        let changed_ft = |flight: &StillFlight| (flight.state().h_m - h_m) / FT;
        let (mut lowest_ft, mut highest_ft) = (f64::INFINITY, f64::NEG_INFINITY);
        let mut fastest_fpm = 0.0_f64;
        for _ in 0..(WATCHED_S * TICKS_PER_S as f64) as u64 {
            flight.tick();
            lowest_ft = lowest_ft.min(changed_ft(&flight));
            highest_ft = highest_ft.max(changed_ft(&flight));
            fastest_fpm = fastest_fpm.max(flight.state().vz_mps.abs() / FPM);
        }
        Correction {
            wanted_ft,
            moves: told(settable),
            total_s,
            gives_ft: 0.5 * (lowest_ft + highest_ft),
            stays_within_ft: 0.5 * (highest_ft - lowest_ft),
            stays_within_fpm: fastest_fpm,
        }
    }

    /// The row as text.
    pub fn line(&self) -> String {
        let moves = recipe_words::moves(&self.moves);
        format!(
            "{:+5.0} ft  {moves}: {:+.0} ft (+-{:.0} ft) in {:.0} s",
            self.wanted_ft,
            self.gives_ft,
            self.stays_within_ft.ceil(),
            self.total_s,
        )
    }

    /// The same in `width` columns, broken after a move where it is too long for one line.
    pub fn lines(&self, width: usize) -> Vec<String> {
        let mut lines = Vec::new();
        let mut line = String::new();
        for part in self.line().split_inclusive([';', ':']) {
            if !line.is_empty() && line.len() + part.len() > width {
                lines.push(std::mem::replace(&mut line, " ".repeat(HEAD)));
                line += part.trim_start();
            } else {
                line += part;
            }
        }
        lines.push(line);
        lines
    }
}

/// Flies moves that wait for times alone until the last of them has been made; returns how long that took, s.
fn fly(flight: &mut StillFlight, moves: &[plan::Move]) -> f64 {
    let mut follower = Follower::default();
    while flight.ticks() as f64 * TICK_S < LONGEST_S {
        let seen = Seen {
            ticks: flight.ticks(),
            to_go: f64::INFINITY,
        };
        match follower.lever(moves, &seen, flight.lever()) {
            Some(lever) => flight.set_lever(f64::from(lever) / 1000.0),
            None if follower.is_done(moves) => break,
            None => {}
        }
        flight.tick();
    }
    flight.ticks() as f64 * TICK_S
}
