//! Every file of `data/bad/aircraft` has one thing wrong, and is refused with one message that points at it. The first line
//! says where and what. No published source: the rules are the aircraft file's own.

use std::path::Path;

use leveloff::drill::aircraft_file;
use leveloff::drill::reader::Source;

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
