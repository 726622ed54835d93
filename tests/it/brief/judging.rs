//! The messages of `judge` about faulty aeroplanes.

use crate::flying::{SLUGGISH, aircraft, edited};
use leveloff::brief::{Judgement, Severity, judge};
use leveloff::drill::aircraft_file;
use leveloff::drill::library;
use leveloff::drill::reader::Source;
use leveloff::sim::aircraft::Aircraft;
use leveloff::units::DEG;

/// The late jet's file with some of its lines changed.
fn file(changes: &[(&str, &str)]) -> String {
    // Without the extras, whose drag may exceed the rest.
    let text = edited("late jet", changes);
    text.split("[[extra]]").next().unwrap().to_string()
}

fn read(changes: &[(&str, &str)]) -> Aircraft {
    let text = file(changes);
    aircraft_file::parse(Source {
        file: "test.toml",
        text: &text,
    })
    .unwrap()
}

/// The one sentence that contains a word.
fn sentence<'a>(judgements: &'a [Judgement], word: &str) -> &'a Judgement {
    let found: Vec<&Judgement> = judgements
        .iter()
        .filter(|judgement| judgement.sentence.contains(word))
        .collect();
    assert_eq!(found.len(), 1, "{word}: {judgements:?}");
    found[0]
}

#[test]
fn what_ships_is_in_order() {
    for shipped in library::AIRCRAFT {
        assert_eq!(
            judge(&shipped.aircraft().unwrap()),
            vec![],
            "{}",
            shipped.id
        );
    }
}

#[test]
fn no_level_flight() {
    let mut weak = aircraft("deck jet");
    if let leveloff::sim::aircraft::EngineKind::Jet { max_thrust_n } = &mut weak.engine.kind {
        *max_thrust_n = 20_000.0;
    }
    let judged = judge(&weak);
    assert_eq!(judged.len(), 1);
    assert_eq!(judged[0].severity, Severity::Error);
    // T/W 0.2176 at 13,600 kg is 29.0 kN, 1.451 of the full thrust; idle gives 0.05 of it: (1.451 - 0.05)/0.95.
    assert!(
        judged[0]
            .sentence
            .contains("cannot fly level on speed at 0 ft and 13600 kg")
    );
    assert!(
        judged[0].sentence.contains("147 % of lever"),
        "{}",
        judged[0].sentence
    );
    // The file is refused with the same sentence.
    let text = file(&[("max_thrust_n", "20000.0")]);
    let refused = aircraft_file::parse(Source {
        file: "test.toml",
        text: &text,
    });
    assert!(
        refused
            .unwrap_err()
            .message
            .contains("cannot fly level on speed")
    );
}

#[test]
fn on_speed_beyond_the_stall() {
    let mut aircraft = aircraft("deck jet");
    aircraft.alpha_stall_rad = 8.0 * DEG;
    let judged = judge(&aircraft);
    assert_eq!(judged.len(), 1);
    assert_eq!(judged[0].severity, Severity::Error);
    assert!(
        judged[0].sentence.contains("8.9 degrees") && judged[0].sentence.contains("8.0 degrees")
    );
}

#[test]
fn little_power_to_climb() {
    // T/W of level flight is 0.2411; heavy, that is 50.8 kN, so 53 kN leave about 0.6 degrees.
    let judged = judge(&read(&[("max_thrust_n", "53000.0")]));
    let none = sentence(&judged, "no power to climb");
    assert_eq!(none.severity, Severity::Remark);
    assert!(none.sentence.contains("+0.6 degrees"), "{}", none.sentence);
    let judged = judge(&read(&[("max_thrust_n", "58000.0")]));
    assert_eq!(sentence(&judged, "climbs").severity, Severity::Remark);
    // Full power that climbs steeper than the range looked at is power enough.
    let judged = judge(&read(&[("max_thrust_n", "400000.0")]));
    let climb = judged.iter().find(|it| it.sentence.contains("climb"));
    assert!(climb.is_none(), "{climb:?}");
}

#[test]
fn little_descent_on_idle() {
    let judged = judge(&read(&[("idle_fraction", "0.42")]));
    let remark = sentence(&judged, "at idle");
    assert_eq!(remark.severity, Severity::Remark);
    assert!(remark.sentence.contains("16800 kg"), "{}", remark.sentence);
}

#[test]
fn a_growing_swing() {
    let judged = judge(&read(&SLUGGISH));
    let grows = sentence(&judged, "grows");
    assert_eq!(grows.severity, Severity::Error);
    assert!(
        grows.sentence.contains("damping -0.1"),
        "{}",
        grows.sentence
    );
    assert!(grows.sentence.contains("MIL-F-8785C"));

    // With slightly quicker pitch it grows slowly enough to be flown.
    let mut better = SLUGGISH;
    better[8] = ("pitch_hold_s", "2.2");
    let judged = judge(&read(&better));
    let grows = sentence(&judged, "grows");
    assert_eq!(grows.severity, Severity::Remark, "{}", grows.sentence);
    better[8] = ("pitch_hold_s", "0.5");
    assert!(
        !judge(&read(&better))
            .iter()
            .any(|judgement| judgement.sentence.contains("grows"))
    );
}

#[test]
fn running_away_without_a_swing() {
    // No file can ask for pitch that follows speed the wrong way.
    let mut aircraft = aircraft("late jet");
    aircraft.swing_damping = -1.0;
    let judged = judge(&aircraft);
    let away = sentence(&judged, "runs away");
    assert_eq!(away.severity, Severity::Error);
    assert!(away.sentence.contains("doubles in 1."), "{}", away.sentence);
}

#[test]
fn a_slope_beyond_level_3_and_a_front_side() {
    let steep = [
        ("drag_per_lift_squared", "0.5"),
        ("drag_at_zero_lift", "0.02"),
        ("lift_at_zero_alpha", "1.4"),
        ("max_thrust_n", "300000.0"),
    ];
    let judged = judge(&read(&steep));
    let slope = sentence(&judged, "3.2.1.3");
    assert_eq!(slope.severity, Severity::Remark);

    let judged = judge(&read(&[
        ("on_speed_alpha_deg", "1.0"),
        ("drag_per_lift_squared", "0.05"),
    ]));
    assert_eq!(sentence(&judged, "front side").severity, Severity::Remark);
}

#[test]
fn an_engine_later_than_certified() {
    let judged = judge(&read(&[("slow_s", "6.0")]));
    let late = sentence(&judged, "14 CFR 33.73");
    assert_eq!(late.severity, Severity::Remark);
}
