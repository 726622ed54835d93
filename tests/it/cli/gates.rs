//! The card of a path without a drill. "CALC" is plain trigonometry with a nautical mile of 1852 m.

use leveloff::export::CAUTION;
use leveloff::sim::trim;
use leveloff::units::{DEG, FPM, FT};
use serde_json::Value;

use super::Shell;
use crate::flying::aircraft;

fn close(what: &str, ours: &Value, wanted: f64, tolerance: f64) {
    let ours = ours.as_f64().unwrap_or_else(|| panic!("{what} is {ours}"));
    assert!(
        (ours - wanted).abs() <= tolerance,
        "{what}: {ours}, wanted {wanted}"
    );
}

/// Splits arguments as typed.
fn words(line: &str) -> Vec<&str> {
    line.split(' ').collect()
}

const SHIP: &[&str] = &[
    "gates",
    "--slope",
    "3.5",
    "--deck-ft",
    "60",
    "--speed-kt",
    "130",
    "--wind-kt",
    "10",
    "--deck-kt",
    "15",
];

#[test]
fn the_card_has_the_numbers_of_the_path() {
    let shell = Shell::new();
    let card = shell.json(&[SHIP, &["--json"]].concat());
    // CALC: to a 60 ft deck at 3.5 degrees; 105 kt of closure.
    let gates = card["gates"].as_array().unwrap();
    let wanted = [(3.0, 1175.0), (2.0, 803.0), (1.0, 432.0), (0.5, 246.0)];
    assert_eq!(gates.len(), wanted.len());
    for (gate, (nm, ft)) in gates.iter().zip(wanted) {
        assert_eq!(gate["distance_nm"], nm);
        close("altitude", &gate["altitude_ft"], ft, 0.5);
        close("to go", &gate["to_go_s"], nm / 105.0 * 3600.0, 1e-6);
        close("400 ft a mile", &gate["rule_ft"], 400.0 * nm, 1e-9);
    }
    let now = &card["now"];
    close("closure", &now["closure_kt"], 105.0, 1e-9);
    close("water", &now["water_deg"], 3.06, 0.005);
    close("air", &now["air_deg"], 2.83, 0.005);
    close("sink", &now["sink_fpm"], 60.0 * 10.84, 0.3);
    close("along the deck", &card["along_ft"], 16.35, 0.005);
    assert_eq!(now["lever"], Value::Null);
    // In other winds: closure falls by the wind, sink with it.
    for (wind, kt) in card["winds"]
        .as_array()
        .unwrap()
        .iter()
        .zip([0.0, 10.0, 20.0, 30.0])
    {
        close("wind", &wind["wind_kt"], kt, 1e-9);
        close("closure", &wind["closure_kt"], 115.0 - kt, 1e-9);
        let sink_fpm = (115.0 - kt) * 1852.0 / 60.0 / 0.3048 * (3.5_f64).to_radians().tan();
        close("sink", &wind["sink_fpm"], sink_fpm, 1e-6);
    }
}

#[test]
fn rules_of_thumb_stand_beside_what_is_exact() {
    let shell = Shell::new();
    // FAA-H-8083-3C and CNATRA P-821: five times the ground speed; CALC: 530.7 ft/min at 100 kt, 689.9 at 130 kt, 5.8 % low.
    for (kt, exact_fpm) in [("100", 530.7), ("130", 689.9)] {
        let card = shell.json(&[
            "gates",
            "--slope",
            "3",
            "--deck-ft",
            "0",
            "--speed-kt",
            kt,
            "--json",
        ]);
        let rules = card["rules"].as_array().unwrap();
        let five: f64 = 5.0 * kt.parse::<f64>().unwrap();
        for rule in &rules[..2] {
            close("exact", &rule["exact"], exact_fpm, 0.05);
            close("rule", &rule["rule"], five, 1e-9);
            close("error", &rule["error_percent"], -5.8, 0.05);
        }
        // CALC: a mile at 3 degrees, one in sixty, and 400 ft.
        close("mile", &rules[2]["exact"], 318.4, 0.05);
        close("sixty", &rules[2]["rule"], 6076.12 * 3.0 / 60.0, 0.01);
        close(
            "400 ft",
            &rules[3]["error_percent"],
            100.0 * (400.0 / 318.44 - 1.0),
            0.02,
        );
    }
    // CALC: tan 1 degree is 1.0473 sixtieths.
    let card = shell.json(&words("gates --slope 1 --deck-ft 0 --speed-kt 100 --json"));
    let sixty = &card["rules"][2];
    let ratio = sixty["exact"].as_f64().unwrap() / sixty["rule"].as_f64().unwrap();
    assert!((ratio - 1.0473).abs() < 5e-5, "{ratio}");
    // MIL-F-8785C 3.7.3.2, CALC: 15 kt at 20 ft is 7.06 kt more at 200 ft.
    let windy = [
        "gates",
        "--slope",
        "4",
        "--deck-ft",
        "60",
        "--speed-kt",
        "130",
        "--wind-kt",
        "15",
        "--json",
    ];
    close(
        "wind lost",
        &shell.json(&windy)["wind_lost_kt"],
        7.06,
        0.005,
    );
}

#[test]
fn the_text_says_the_same_and_ends_in_the_caution() {
    let shell = Shell::new();
    let text = shell.good(SHIP);
    assert!(text.ends_with(&format!("\n\n{CAUTION}\n")), "{text}");
    for part in [
        "3.5 degree path to a deck at 60 ft moving away at 15 kt, wind 10 kt",
        "closure 105 kt, sink 650 ft/min or 10.84 ft/s",
        "3.06 degrees over the water, 2.83 through the air",
        "16.35 ft along the deck",
        " 3.00 nm   1,175 ft   103 s   1,200 ft (+25)",
        " 0.50 nm     246 ft    17 s     200 ft (-46)",
        "5 x closing speed",
        "(-5.8 %)",
        "one in sixty",
        "400 ft",
        "4.7 kt of the wind is lost",
    ] {
        assert!(text.contains(part), "no {part:?} in\n{text}");
    }
    assert!(text.lines().all(|line| line.len() <= 100), "{text}");
    let strip = shell.good(&words("gates --slope 3 --deck-ft 0 --speed-kt 70"));
    assert!(
        strip.contains("to a fixed strip at 0 ft, wind 0 kt"),
        "{strip}"
    );
}

#[test]
fn an_aeroplane_brings_its_speed_and_power() {
    let shell = Shell::new();
    let args = [
        "gates",
        "--slope",
        "3.5",
        "--deck-ft",
        "60",
        "--aircraft",
        "deck jet",
        "--json",
    ];
    let card = shell.json(&args);
    // Half way down from 3 nm; in still air the path through the air is the slope.
    let plane = aircraft("deck jet");
    let h_m = 60.0 * FT + 1.5 * 1852.0 * (3.5_f64).to_radians().tan();
    let trim = trim::on_speed(&plane, h_m, -3.5 * DEG);
    let now = &card["now"];
    close("air", &now["air_deg"], 3.5, 1e-6);
    close("sink", &now["sink_fpm"], -trim.vertical_mps() / FPM, 1e-3);
    close("power", &now["lever"], trim.lever, 1e-6);
    // More wind: less closure and sink, more power.
    let winds = card["winds"].as_array().unwrap();
    for pair in winds.windows(2) {
        let less = |key: &str| pair[1][key].as_f64().unwrap() < pair[0][key].as_f64().unwrap();
        assert!(
            less("closure_kt") && less("sink_fpm") && !less("lever"),
            "{pair:?}"
        );
    }
    let text = shell.good(&args[..7]);
    let power = format!("power {}", leveloff::plan::recipe::set(trim.lever));
    assert!(text.contains(&power), "{text}");
}

#[test]
fn what_is_out_of_range_is_refused() {
    let shell = Shell::new();
    let good = [
        ("--slope", "3.5"),
        ("--deck-ft", "60"),
        ("--speed-kt", "130"),
        ("--from-nm", "3"),
        ("--wind-kt", "0"),
        ("--deck-kt", "0"),
    ];
    let run = |change: (&str, &str)| {
        let mut args = vec!["gates".to_string()];
        for (key, value) in good {
            args.push(format!(
                "{key}={}",
                if key == change.0 { change.1 } else { value }
            ));
        }
        let args: Vec<&str> = args.iter().map(String::as_str).collect();
        shell.run(&args)
    };
    let ends = [
        ("--slope", "1", "8", "0.99", "8.01"),
        ("--deck-ft", "0", "300", "-1", "301"),
        ("--from-nm", "0.1", "15", "0.09", "15.1"),
        ("--wind-kt", "-40", "60", "-41", "61"),
        ("--deck-kt", "0", "40", "-1", "41"),
        ("--speed-kt", "20", "400", "19", "401"),
    ];
    for (key, low, high, under, over) in ends {
        for value in [low, high] {
            assert_eq!(run((key, value)).code, Some(0), "{key} {value}");
        }
        for value in [under, over, "NaN", "inf", "", "three"] {
            let outcome = run((key, value));
            assert_eq!(
                (outcome.code, outcome.out.as_str()),
                (Some(2), ""),
                "{key} {value}"
            );
            assert!(outcome.err.contains(key), "{key} {value}: {}", outcome.err);
        }
    }
}

#[test]
fn what_is_missing_or_impossible_is_refused() {
    let shell = Shell::new();
    let cases = [
        ("gates", "--slope"),
        ("gates --slope 3 --deck-ft 0", "--speed-kt"),
        (
            "gates --slope 3 --deck-ft 0 --speed-kt 90 --aircraft deck-jet",
            "--aircraft",
        ),
        (
            "gates --slope 3 --deck-ft 0 --aircraft deck-jett",
            "nearest is `deck",
        ),
        (
            "gates --slope 3 --deck-ft 0 --speed-kt 50 --wind-kt 30 --deck-kt 20",
            "comes no nearer: closure is 0 kt; give more speed",
        ),
    ];
    for (args, part) in cases {
        let err = shell.bad(2, &words(args));
        assert!(err.contains(part), "{args:?}: {err}");
    }
    // A tailwind may be given without an equals sign.
    shell.good(&words(
        "gates --slope 3 --deck-ft 0 --speed-kt 90 --wind-kt -10",
    ));
}

#[test]
fn gates_are_whole_miles_and_the_last_half() {
    let shell = Shell::new();
    let gates = |from_nm: &str| {
        let card = shell.json(&[SHIP, &["--from-nm", from_nm, "--json"]].concat());
        let gates = card["gates"].as_array().unwrap().iter();
        gates
            .map(|gate| gate["distance_nm"].as_f64().unwrap())
            .collect::<Vec<_>>()
    };
    assert_eq!(gates("2.4"), [2.4, 2.0, 1.0, 0.5]);
    assert_eq!(gates("0.5"), [0.5]);
    assert_eq!(gates("0.1"), [0.1]);
    assert_eq!(gates("15").len(), 16);
}
