//! The power card's own moves, flown in a run, do what the card promises.

use std::sync::Arc;

use leveloff::brief::PowerCard;
use leveloff::brief::power_card::{CHANGES_FT, Correction, WATCHED_S};
use leveloff::drill::{Drill, library};
use leveloff::hands::{self, Script};
use leveloff::plan::When;
use leveloff::units::{FPM, FT, TICKS_PER_S};

use super::assert_readable;
use crate::flying::{aircraft, drill as made_of, shipped};
use crate::kept::card;

const ALTITUDE_FT: f64 = 1500.0;
/// Largest departures that a correction may end with, ft and ft/min.
const WITHIN: (f64, f64) = (3.5, 110.0);

fn level_flight(name: &str, mass_kg: f64) -> Drill {
    made_of(&format!(
        "title = \"t\"\nabout = \"a\"\naircraft = \"{name}\"\nmass_kg = {mass_kg}\n\
         [start]\naltitude_ft = {ALTITUDE_FT}\n\
         [[task]]\nhold = {{ altitude_ft = {ALTITUDE_FT}, band_ft = 500, seconds = 120 }}\n"
    ))
    .unwrap()
}

/// The moves as a lever script from some seconds into a hold, each made instantly.
fn script(correction: &Correction, begin_s: u64) -> Vec<(u64, u16)> {
    let mut tick = begin_s * TICKS_PER_S;
    let moves = correction.moves.iter().map(|made| {
        assert!(matches!(made.when, When::Start | When::AfterS), "{made:?}");
        tick += (made.value * TICKS_PER_S as f64) as u64;
        (tick, (1000.0 * made.lever).round() as u16)
    });
    moves.collect()
}

/// Flies a correction. Returns the largest departures from its promise after the last move, ft, ft/min.
fn flown(drill: &Arc<Drill>, correction: &Correction, rows: Vec<(u64, u16)>) -> (f64, f64) {
    let last = rows.last().unwrap().0 as usize;
    let run = hands::fly(drill.clone(), 1, &mut Script::new(rows));
    let ticks = (WATCHED_S * TICKS_PER_S as f64) as usize;
    let watched = run.trace().between(last + 1..last + 1 + ticks);
    watched.iter().fold((0.0_f64, 0.0_f64), |(ft, fpm), state| {
        let changed_ft = state.h_m / FT - ALTITUDE_FT;
        (
            ft.max((changed_ft - correction.gives_ft).abs()),
            fpm.max((state.vz_mps / FPM).abs()),
        )
    })
}

#[test]
fn every_move_of_every_card_lands_where_it_says() {
    for shipped in library::AIRCRAFT {
        let aircraft = shipped.aircraft().unwrap();
        let (light, heavy) = aircraft.mass_range_kg;
        for mass_kg in [light, heavy] {
            let aircraft = aircraft.at_mass(mass_kg);
            let card = PowerCard::new(&aircraft, ALTITUDE_FT * FT).unwrap();
            assert_readable(&card.lines());
            assert_eq!(card.corrections.len(), CHANGES_FT.len());
            let drill = Arc::new(level_flight(&aircraft.name, mass_kg));
            for correction in &card.corrections {
                let name = format!("{} {mass_kg} kg {} ft", aircraft.name, correction.wanted_ft);
                // Moved instantly instead of at 0.4/s, and each but the first half a second late.
                let (off_ft, fpm) = flown(&drill, correction, script(correction, 2));
                assert!(
                    off_ft <= WITHIN.0 + 3.0,
                    "{name}: {off_ft} ft {correction:?}"
                );
                assert!(fpm <= WITHIN.1, "{name}: {fpm} ft/min {correction:?}");
                assert!(
                    correction.stays_within_ft <= WITHIN.0,
                    "{name} {correction:?}"
                );
                assert!(
                    correction.stays_within_fpm <= WITHIN.1,
                    "{name} {correction:?}"
                );
                assert!(
                    (correction.gives_ft - correction.wanted_ft).abs() <= 6.0,
                    "{name} {correction:?}"
                );
            }
        }
    }
}

/// A terminal of 80 columns would break a longer row in the middle of a word.
#[test]
fn a_printed_card_fits_eighty_columns_and_loses_no_move() {
    let low = shipped("no-room-left");
    let card = PowerCard::new(&low.aircraft, low.start.altitude_m).unwrap();
    let rows = card.corrections.iter();
    let longest = rows.clone().map(|row| row.line().len()).max();
    assert!(longest > Some(80), "one of them is too long: {longest:?}");
    let lines = card.lines();
    for line in &lines {
        assert!(line.len() <= 80, "{} wide: {line}", line.len());
    }
    // Joined again they are the rows that were flown.
    let told = lines[1..].join(" ");
    let words = |text: &str| {
        text.split_whitespace()
            .map(str::to_string)
            .collect::<Vec<_>>()
    };
    let whole = rows.map(Correction::line).collect::<Vec<_>>().join(" ");
    assert_eq!(words(&told), words(&whole));
    assert!(
        lines[1..]
            .iter()
            .all(|line| line.contains('%') || line.contains("ft ("))
    );
}

#[test]
fn a_correction_has_three_parts_and_the_third_is_always_needed() {
    // CNATRA P-1211 (read; the idea): move the power, take it off again as the path comes back, set the power that holds.
    for shipped in library::AIRCRAFT {
        let aircraft = shipped.aircraft().unwrap();
        let card = card(&aircraft, ALTITUDE_FT * FT).unwrap();
        let drill = Arc::new(level_flight(&aircraft.name, aircraft.mass_kg));
        let level = 1000.0 * card.level_lever;
        for correction in &card.corrections {
            let name = format!("{} {} ft", aircraft.name, correction.wanted_ft);
            let rows = script(correction, 2);
            assert!(rows.len() >= 3, "{name}: {rows:?}");
            let towards = |lever: u16| correction.wanted_ft.signum() * (f64::from(lever) - level);
            let [moved, taken_off] = [rows[0], rows[1]].map(|row| towards(row.1));
            let holds = towards(rows[rows.len() - 1].1);
            assert!(moved > 20.0, "{name}: {rows:?}");
            assert!(taken_off < 0.5 * moved, "{name}: {rows:?}");
            assert!(holds.abs() <= 7.5, "{name}: {rows:?}");
            // The move and its taking off alone, with nothing set after them, stray farther than the whole.
            let (whole, cut) = (rows.clone(), rows[..2].to_vec());
            let end = whole[whole.len() - 1].0;
            let left = [cut, vec![(end, rows[1].1)]].concat();
            let (whole_ft, _) = flown(&drill, correction, whole);
            let (left_ft, _) = flown(&drill, correction, left);
            // For a small correction the rest comes near the whole; for a large one far from it.
            let times = if correction.wanted_ft.abs() < 100.0 {
                1.0
            } else {
                3.0
            };
            assert!(left_ft > times * whole_ft, "{name}: {left_ft} {whole_ft}");
        }
    }
}

/// The touch is necessary: without it the same moves break the promise.
#[test]
fn without_the_touch_the_deck_jet_swings_back() {
    let aircraft = aircraft("deck jet");
    let drill = Arc::new(level_flight("deck jet", aircraft.mass_kg));
    let card = PowerCard::new(&aircraft, ALTITUDE_FT * FT).unwrap();
    let whole = &card.corrections[2];
    assert_eq!((whole.wanted_ft, whole.moves.len()), (100.0, 4));
    let mut rows = script(whole, 2);
    rows[2].1 = rows[1].1;
    let (off_ft, fpm) = flown(&drill, whole, rows);
    assert!(off_ft > 10.0 && fpm > 50.0, "{off_ft} ft {fpm} ft/min");
}

#[test]
fn an_aeroplane_that_cannot_fly_level_has_no_card() {
    let heavy = aircraft("prop trainer").at_mass(1050.0);
    assert!(PowerCard::new(&heavy, 15_000.0 * FT).is_none());
}
