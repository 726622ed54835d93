//! Made-up aeroplanes: everything reported on an accepted one is a number.

use leveloff::brief::{AeroplanePage, PowerCard, Severity, judge};
use leveloff::drill::aircraft_file;
use leveloff::drill::reader::Source;
use leveloff::sim::aircraft::Aircraft;
use leveloff::units::FT;
use proptest::prelude::*;
use proptest::strategy::ValueTree;

/// An aeroplane anywhere in the ranges of its file, with an engine in proportion to its weight.
fn text() -> impl Strategy<Value = String> {
    let wing = (
        1.0..2000.0,
        -1.0..3.0,
        0.5..8.0,
        0.005f64.ln()..0.0,
        0.005f64.ln()..0.0,
        -5.0..25.0,
        1.0..15.0,
    );
    let rest = (
        50f64.ln()..1e6f64.ln(),
        0.2f64.ln()..2.5f64.ln(),
        0.0..0.45,
        0.3..1.0,
        1.0..1.5,
    );
    (wing, rest, any::<bool>()).prop_map(|(wing, rest, is_jet)| {
        let (area, cl0, slope, cd0, k, on_speed, margin): (f64, f64, f64, f64, f64, f64, f64) =
            wing;
        let (mass, thrust, idle, light, heavy): (f64, f64, f64, f64, f64) = rest;
        let mass = f64::exp(mass);
        let newtons = (f64::exp(thrust) * mass * 9.81).clamp(10.0, 1e7);
        let engine = match is_jet {
            true => format!("kind = 'jet'\nmax_thrust_n = {newtons}"),
            false => format!(
                "kind = 'propeller'\nstatic_thrust_n = {newtons}\nmax_power_w = {}\nefficiency = 0.8",
                (40.0 * newtons).clamp(100.0, 1e8)
            ),
        };
        format!(
            "name = 'made up'\nabout = 'A.'\nmass_kg = {mass}\nmass_range_kg = [{}, {}]\n[wing]\narea_m2 = {area}\n\
             lift_at_zero_alpha = {cl0}\nlift_per_rad = {slope}\ndrag_at_zero_lift = {}\ndrag_per_lift_squared = {}\n\
             on_speed_alpha_deg = {on_speed}\nstall_alpha_deg = {}\npitch_hold_s = 0.5\nswing_damping = 0.3\n\
             [engine]\n{engine}\nidle_fraction = {idle}\nslow_s = 2.0\nquick_s = 0.8\n",
            (light * mass).max(50.0),
            (heavy * mass).min(1e6),
            cd0.exp(),
            k.exp(),
            (on_speed + margin).clamp(0.0, 40.0)
        )
    })
}

fn accepted(text: &str) -> Option<Aircraft> {
    let file = "made-up.toml";
    let aircraft = aircraft_file::parse(Source { file, text }).ok()?;
    let is_wrong = judge(&aircraft)
        .iter()
        .any(|found| found.severity == Severity::Error);
    (!is_wrong).then_some(aircraft)
}

/// Everything reported on an aeroplane at an altitude, as values and as lines.
fn told(aircraft: &Aircraft, altitude_ft: f64, has_card: bool) -> String {
    let page = AeroplanePage::new(aircraft, altitude_ft * FT);
    let card = has_card.then(|| PowerCard::new(aircraft, altitude_ft * FT));
    let card = card.flatten();
    let lines = [page.lines(), page.drag_curve.picture(72, 16)]
        .concat()
        .join("\n");
    let card_lines = card.as_ref().map(|card| card.lines().join("\n"));
    format!("{page:?}\n{lines}\n{card:?}\n{card_lines:?}")
}

fn assert_finite(text: &str, aircraft: &Aircraft, has_card: bool) {
    for altitude_ft in [0.0, 1000.0, 30_000.0] {
        let told = told(aircraft, altitude_ft, has_card && altitude_ft == 1000.0);
        let wrong = told
            .split(|c: char| !c.is_alphanumeric())
            .find(|word| ["nan", "inf", "infinity"].contains(&word.to_lowercase().as_str()));
        assert_eq!(wrong, None, "at {altitude_ft} ft:\n{text}\n{told}");
    }
}

#[test]
fn every_number_told_of_an_accepted_aeroplane_is_one() {
    let count = std::env::var("CASES").map_or(250, |n| n.parse().unwrap());
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let mut found = 0;
    for _ in 0..count {
        let text = text().new_tree(&mut runner).unwrap().current();
        if let Some(aircraft) = accepted(&text) {
            found += 1;
            // A card takes a search, so only every fifth aeroplane has one, at one altitude.
            assert_finite(&text, &aircraft, found % 5 == 1);
        }
    }
    assert!(found > count / 50, "{found} of {count} accepted");
}
