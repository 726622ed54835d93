//! The power card's own moves, flown in a run, do what the card promises.

use std::sync::Arc;

use leveloff::brief::PowerCard;
use leveloff::brief::power_card::{CHANGES_FT, Correction, WATCHED_S, WITHIN_FPM, WITHIN_FT};
use leveloff::drill::{Drill, library};
use leveloff::hands::{self, Script};
use leveloff::units::{FPM, FT, TICKS_PER_S};

use super::{assert_readable, drill_of, shipped};

const ALTITUDE_FT: f64 = 1500.0;

fn level_flight(name: &str, mass_kg: f64) -> Drill {
    drill_of(&format!(
        "title = \"t\"\nabout = \"a\"\naircraft = \"{name}\"\nmass_kg = {mass_kg}\n\
         [start]\naltitude_ft = {ALTITUDE_FT}\n\
         [[task]]\nhold = {{ altitude_ft = {ALTITUDE_FT}, band_ft = 500, seconds = 120 }}\n"
    ))
}

/// Flies a correction from some seconds into a hold; largest departures from what is promised after the last move, ft, ft/min.
fn flown(drill: &Arc<Drill>, correction: &Correction, begin_s: u64) -> (f64, f64) {
    let begin = begin_s * TICKS_PER_S;
    let rows: Vec<(u64, u16)> = correction
        .script()
        .iter()
        .map(|(tick, lever)| (tick + begin, *lever))
        .collect();
    let last = rows.last().unwrap().0 as usize;
    let run = hands::fly(drill.clone(), 1, &mut Script::new(rows));
    let watched =
        &run.trace().points()[last + 1..last + 1 + (WATCHED_S * TICKS_PER_S as f64) as usize];
    watched.iter().fold((0.0_f64, 0.0_f64), |(ft, fpm), point| {
        let changed_ft = point.state.h_m / FT - ALTITUDE_FT;
        (
            ft.max((changed_ft - correction.gives_ft).abs()),
            fpm.max((point.state.vz_mps / FPM).abs()),
        )
    })
}

#[test]
fn every_move_of_every_card_lands_where_it_says() {
    for shipped in library::AIRCRAFT {
        let aircraft = shipped.aircraft().unwrap();
        let (light, heavy) = aircraft.mass_range_kg;
        for mass_kg in [light, aircraft.mass_kg, heavy] {
            let aircraft = aircraft.at_mass(mass_kg);
            let card = PowerCard::new(&aircraft, ALTITUDE_FT * FT).unwrap();
            assert_readable(&card.lines());
            assert_eq!(card.corrections.len(), CHANGES_FT.len());
            let drill = Arc::new(level_flight(&aircraft.name, mass_kg));
            for row in &card.corrections {
                let name = format!("{} {mass_kg} kg {} ft", aircraft.name, row.wanted_ft);
                let correction = row.correction.unwrap_or_else(|| panic!("{name}: none"));
                let (off_ft, fpm) = flown(&drill, &correction, 2);
                assert!(off_ft <= WITHIN_FT, "{name}: {off_ft} ft {correction:?}");
                assert!(fpm <= WITHIN_FPM, "{name}: {fpm} ft/min {correction:?}");
                assert!(
                    (correction.gives_ft - row.wanted_ft).abs() <= 3.0,
                    "{name} {correction:?}"
                );
                // A person can do it: whole percent, half seconds.
                assert_eq!(correction.move_percent.fract(), 0.0);
                assert_eq!(correction.touch_percent.fract(), 0.0);
                for s in [correction.move_s, correction.wait_s, correction.touch_s] {
                    assert_eq!((2.0 * s).fract(), 0.0);
                }
            }
        }
    }
}

/// The touch is not decoration: without it the same moves break the promise.
#[test]
fn without_the_touch_the_deck_jet_swings_back() {
    let aircraft = shipped("deck jet");
    let drill = Arc::new(level_flight("deck jet", aircraft.mass_kg));
    let whole = Correction::find(&aircraft, ALTITUDE_FT * FT, 100.0).unwrap();
    let without = Correction {
        touch_percent: 0.0,
        ..whole
    };
    let (off_ft, fpm) = flown(&drill, &without, 2);
    assert!(off_ft > 10.0 && fpm > 50.0, "{off_ft} ft {fpm} ft/min");
}

#[test]
fn a_lever_without_room_has_no_card_line() {
    // At 6000 ft and full mass the prop trainer holds level with 82 % of its lever: too little is left for 100 ft up.
    let heavy = shipped("prop trainer").at_mass(1050.0);
    let card = PowerCard::new(&heavy, 6000.0 * FT).unwrap();
    assert!(card.corrections[2].correction.is_none());
    assert!(card.corrections[0].correction.is_some());
    let json = serde_json::to_value(&card).unwrap();
    assert!(json["corrections"][2]["correction"].is_null());
    assert_readable(&card.lines());
    // Higher still it cannot fly level at all.
    assert!(PowerCard::new(&heavy, 15_000.0 * FT).is_none());
}

#[test]
fn an_aeroplane_that_does_not_swing_needs_no_touch() {
    let mut calm = shipped("first jet");
    calm.swing_damping = 1.2;
    let correction = Correction::find(&calm, ALTITUDE_FT * FT, 20.0).unwrap();
    assert_eq!((correction.touch_percent, correction.touch_s), (0.0, 0.0));
    assert!(correction.stays_within_ft <= WITHIN_FT && correction.stays_within_fpm <= WITHIN_FPM);
}
