//! Briefs: their promises, flown and checked against outside values.

mod aeroplane;
mod drills;
mod judging;
mod picture;
mod power_card;

use leveloff::drill::reader::Source;
use leveloff::drill::{Drill, library, parse};
use leveloff::sim::aircraft::Aircraft;

fn shipped(name: &str) -> Aircraft {
    library::aircraft(name).unwrap().aircraft().unwrap()
}

fn drill_of(text: &str) -> Drill {
    let source = Source {
        file: "test.toml",
        text,
    };
    parse::parse("test", source, &library::find_shipped_aircraft).unwrap()
}

/// A list in a committed reference file.
fn reference(list: &str) -> Vec<serde_json::Value> {
    let text = include_str!("data/reference/values.json");
    let file: serde_json::Value = serde_json::from_str(text).unwrap();
    file[list].as_array().unwrap().clone()
}

fn assert_near(what: &str, ours: f64, wanted: f64, within: f64) {
    assert!(
        (ours - wanted).abs() <= within,
        "{what}: {ours}, wanted {wanted} within {within}"
    );
}

/// Text that fits the smallest screen and shows no broken number.
fn assert_readable(lines: &[String]) {
    assert_fits(lines, 80);
}

fn assert_fits(lines: &[String], columns: usize) {
    assert!(!lines.is_empty());
    for line in lines {
        let width = line.chars().count();
        assert!(width <= columns, "{width} wide: {line}");
        for broken in ["NaN", "inf", " -0 ", "-0.0 "] {
            assert!(!line.contains(broken), "{line}");
        }
    }
}
