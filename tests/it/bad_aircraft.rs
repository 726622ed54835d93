//! Every file of `data/bad/aircraft` has one thing wrong, and is refused with one message that points at it. The first line
//! says where and what. No published source: the rules are the aircraft file's own.

use std::path::Path;
use std::sync::Arc;

use leveloff::drill::parse::{self, AircraftText};
use leveloff::drill::reader::Source;
use leveloff::drill::{Drill, aircraft_file};
use leveloff::hands::{self, Script};
use leveloff::run::Run;
use leveloff::units::DEG;

use crate::bad_drills::{complaint, corpus};

#[test]
fn every_bad_aircraft_is_refused_where_it_is_wrong() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/it/data/bad/aircraft");
    let files = corpus(&folder);
    assert!(files.len() >= 40, "{} files", files.len());
    let complaints: Vec<String> = files
        .iter()
        .filter_map(|(name, expected, text)| {
            let source = Source {
                file: "bad.toml",
                text,
            };
            complaint(name, expected, aircraft_file::parse(source).map(drop))
        })
        .collect();
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

#[test]
fn as_little_lift_as_may_be_is_enough() {
    let text = "name = \"dart\"\nabout = \"Hardly any wing.\"\nmass_kg = 300\nmass_range_kg = [250, 350]\n\
        [wing]\narea_m2 = 12\nlift_at_zero_alpha = 0.05\nlift_per_rad = 4.5\ndrag_at_zero_lift = 0.01\n\
        drag_per_lift_squared = 0.05\non_speed_alpha_deg = 0\nstall_alpha_deg = 10\npitch_hold_s = 0.5\nswing_damping = 0.3\n\
        [engine]\nkind = \"jet\"\nmax_thrust_n = 2000\nidle_fraction = 0.05\nslow_s = 1\nquick_s = 0.5\n";
    let read = |text: &str| {
        aircraft_file::parse(Source {
            file: "dart.toml",
            text,
        })
    };
    assert_eq!(read(text).map(|dart| dart.cl0).unwrap(), 0.05);
    let less = read(&text.replace("0.05\nlift_per", "0.0499\nlift_per"));
    assert!(less.unwrap_err().message.contains("at least 0.05"));
}

/// An aeroplane whose pitch answers as quickly as a file may say, with so much damping of its swing.
fn quick(swing_damping: f64) -> String {
    format!(
        "name = \"quick\"\nabout = \"Pitch like a whip.\"\nmass_kg = 15800\nmass_range_kg = [15800, 15800]\n[wing]\n\
         area_m2 = 43\nlift_at_zero_alpha = 0.66\nlift_per_rad = 5.2\ndrag_at_zero_lift = 0.105\n\
         drag_per_lift_squared = 0.17\non_speed_alpha_deg = 8.9\nstall_alpha_deg = 14\npitch_hold_s = 0.02\n\
         swing_damping = {swing_damping}\n[engine]\nkind = \"jet\"\nmax_thrust_n = 150000\nidle_fraction = 0.05\n\
         slow_s = 2.2\nquick_s = 0.8\n"
    )
}

fn is_let_pass(swing_damping: f64) -> bool {
    let text = quick(swing_damping);
    let source = Source {
        file: "quick.toml",
        text: &text,
    };
    aircraft_file::parse(source).is_ok()
}

/// Five seconds at full power, begun 40 kt above on speed.
fn at_full_power(swing_damping: f64, parsed: f64) -> Run {
    let find = |_: &str| {
        Ok(AircraftText {
            file: "quick.toml".to_string(),
            text: quick(parsed),
        })
    };
    let text = "title = 'T'\nabout = 'A'\naircraft = 'quick.toml'\nstart = { altitude_ft = 1000, off_speed_kt = 40 }\n\
        [[task]]\nhold = { altitude_ft = 1000, band_ft = 5000, seconds = 5 }\n";
    let source = Source {
        file: "drill.toml",
        text,
    };
    let mut drill: Drill = parse::parse("drill", source, &find).unwrap();
    drill.aircraft.swing_damping = swing_damping;
    hands::fly(Arc::new(drill), 1, &mut Script::new(vec![(0, 1000)]))
}

/// Holds the rule against the flight itself: the integration step can follow an aeroplane that the rule accepts, and fails
/// beyond it.
#[test]
fn pitch_may_be_as_quick_as_the_step_can_follow() {
    let (mut passes, mut fails) = (0.0, 2.0);
    assert!(is_let_pass(passes) && !is_let_pass(fails));
    while fails - passes > 1e-3 {
        let middle = 0.5 * (passes + fails);
        match is_let_pass(middle) {
            true => passes = middle,
            false => fails = middle,
        }
    }
    let flown = at_full_power(passes, passes);
    assert_eq!(flown.fault(), None);
    // The angle of attack reaches the held value without hunting: after half a second its second difference stays below a tenth
    // of a degree.
    let alpha = |tick: u64| {
        let point = flown.trace().at(tick as usize);
        point.state.air_data(&point.wind).alpha_rad
    };
    for tick in 32..320 {
        let bend = alpha(tick + 1) - 2.0 * alpha(tick) + alpha(tick - 1);
        assert!(bend.abs() < 0.1 * DEG, "{tick}: {bend}");
    }
    // The run ends in a fault: a thousand feet are lost in five seconds, unless it stalls or breaks down first.
    assert_ne!(at_full_power(2.0 * passes, passes).fault(), None);
}
