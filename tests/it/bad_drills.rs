//! Every file of `data/bad/drills` has one thing wrong, and is refused with one message that points at it.
//!
//! The first line of a file is `# expect: LINE:COLUMN: how the message begins`; if the fault lies in the aircraft file that
//! the drill names, that file's name comes first. No published source: the rules are the drill file's own.

use std::fs;
use std::path::{Path, PathBuf};

use leveloff::drill::parse::AircraftText;
use leveloff::drill::reader::{FileError, Source, plain};
use leveloff::drill::{Drill, library, parse};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/it/data/bad/drills")
}

/// A shipped aeroplane, or one of the corpus's own beside the drills.
fn find_aircraft(name: &str) -> Result<AircraftText, String> {
    match name.ends_with(".toml") {
        true => Ok(AircraftText {
            file: name.to_string(),
            text: fs::read_to_string(folder().join(name)).unwrap(),
        }),
        false => library::find_shipped_aircraft(name),
    }
}

fn read(text: &str) -> Result<Drill, FileError> {
    let source = Source {
        file: "bad.toml",
        text,
    };
    parse::parse("bad", source, &find_aircraft)
}

/// Every TOML file of a folder, with the beginning of the message that its first line expects.
pub fn corpus(folder: &Path) -> Vec<(String, String, String)> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path
            .extension()
            .is_some_and(|extension| extension == "toml")
        {
            let text = fs::read_to_string(&path).unwrap();
            let first = text.lines().next().unwrap();
            let expected = first
                .strip_prefix("# expect: ")
                .unwrap_or_else(|| panic!("{} does not say what to expect", path.display()));
            let expected = match expected.starts_with(|c: char| c.is_ascii_digit()) {
                true => format!("bad.toml:{expected}"),
                false => expected.to_string(),
            };
            let name = path.file_name().unwrap().to_str().unwrap().to_string();
            files.push((name, expected, text));
        }
    }
    files.sort();
    files
}

/// What is wrong with a message, if anything: it begins as expected, fits one line, and says what would be right.
pub fn complaint(name: &str, expected: &str, found: Result<(), FileError>) -> Option<String> {
    let Err(error) = found else {
        return Some(format!(
            "{name}: read without a word; expected\n    {expected}"
        ));
    };
    let message = error.to_string();
    if !message.starts_with(expected) {
        return Some(format!("{name}: expected\n    {expected}\n    {message}"));
    }
    if !error.message.contains("; ") && !error.message.contains(": ") {
        return Some(format!(
            "{name}: does not say what would be right\n    {message}"
        ));
    }
    message
        .contains(char::is_control)
        .then(|| format!("{name}: a control character in the message\n    {message:?}"))
}

#[test]
fn every_bad_drill_is_refused_where_it_is_wrong() {
    let files = corpus(&folder());
    assert!(files.len() >= 50, "{} files", files.len());
    let complaints: Vec<String> = files
        .iter()
        .filter_map(|(name, expected, text)| complaint(name, expected, read(text).map(drop)))
        .collect();
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

/// Limits are met to the foot, although files are read in metres.
#[test]
fn a_hold_just_one_band_away_is_read_and_a_step_of_just_one_band_is_not() {
    let drill = |from_ft: u32, task: String| {
        read(&format!(
            "title = 'T'\nabout = 'A'\naircraft = 'deck jet'\n[start]\naltitude_ft = {from_ft}\n[[task]]\n{task}\n"
        ))
    };
    for from_ft in (600..2400).step_by(25) {
        let to_ft = from_ft - 25;
        let hold = format!("hold = {{ altitude_ft = {to_ft}, band_ft = 25, seconds = 10 }}");
        assert!(drill(from_ft, hold).is_ok(), "{from_ft}");
        let step = format!("step = {{ to_ft = {to_ft}, band_ft = 25, hold_s = 5, within_s = 60 }}");
        assert!(drill(from_ft, step).is_err(), "{from_ft}");
    }
}

#[test]
fn the_base_of_the_corpus_is_good() {
    let base = "title = \"Base\"\nabout = \"One thing is wrong.\"\naircraft = \"deck jet\"\n\n[start]\naltitude_ft = 1500\n\n[[task]]\n\
                step = { to_ft = 1300, band_ft = 25, hold_s = 20, within_s = 70 }\n";
    let drill = read(base).unwrap();
    assert_eq!((drill.tasks.len(), drill.is_scored()), (1, true));
}

#[test]
fn ends_of_ranges_are_inside() {
    let with = |head: &str, start: &str, air: &str, tasks: &str| {
        let text = format!(
            "title = 'T'\nabout = 'A'\naircraft = 'deck jet'\n{head}\n[start]\n{start}\n[air]\n{air}\n{tasks}"
        );
        read(&text)
            .map(drop)
            .map_err(|error| format!("{error}\n{text}"))
    };
    let hold = "[[task]]\nhold = { altitude_ft = 1500, band_ft = 25, seconds = 3600 }\n";
    let mut results = Vec::new();
    for head in ["mass_kg = 13600", "mass_kg = 17800.0"] {
        results.push(with(head, "altitude_ft = 1500", "", hold));
    }
    for air in [
        "headwind_kt = -40",
        "headwind_kt = 60",
        "roughness_ft = 0.0001",
        "roughness_ft = 10",
        "gusts = 'still'",
        "gusts = { u20_kt = 0 }",
        "gusts = { u20_kt = 60.0 }",
    ] {
        results.push(with("", "altitude_ft = 1500", air, hold));
    }
    for start in [
        "off_speed_kt = 40",
        "off_speed_kt = -15",
        "lever_off = -0.5",
        "lever_off = 0.5",
        "path_deg = -4",
    ] {
        results.push(with("", &format!("altitude_ft = 1500\n{start}"), "", hold));
    }
    // Four hours sharp; 200 tasks; the lowest and the highest, the shortest, the narrowest and the widest.
    results.push(with("", "altitude_ft = 1500", "", &hold.repeat(4)));
    let short = "[[task]]\nhold = { altitude_ft = 50, band_ft = 1, seconds = 0.1 }\n";
    results.push(with("", "altitude_ft = 50", "", &short.repeat(200)));
    results.push(with(
        "",
        "altitude_ft = 30000",
        "",
        "[[task]]\nhold = { altitude_ft = 30_000, band_ft = 5000, seconds = 1 }\n",
    ));
    results.push(with(
        "",
        "altitude_ft = 1500",
        "",
        "[[task]]\nstep = { to_ft = 1474.9, band_ft = 25, hold_s = 0.1, within_s = 8 }\n",
    ));
    for result in results {
        result.unwrap();
    }
    let many = with("", "altitude_ft = 50", "", &short.repeat(201)).unwrap_err();
    assert!(many.starts_with("bad.toml:"), "{many}");
    assert!(
        many.contains("there are 201 [[task]] tables; give 1 to 200"),
        "{many}"
    );
    // Titles and texts of full length.
    let title = format!(
        "title = '{}'\nabout = '{}'\naircraft = 'deck jet'\n[start]\naltitude_ft = 1500\n{hold}",
        "é".repeat(80),
        "b".repeat(200)
    );
    read(&title).unwrap();
}

#[test]
fn numbers_beyond_their_ranges_are_refused_with_the_range() {
    let shift = "shift_kt = 5\n";
    let deck = "height_ft = 60\nzone_ft = 240\n";
    let keys = [
        ("start", "", "path_deg", -10.0, 10.0),
        ("start", "", "off_speed_kt", -25.0, 40.0),
        ("start", "", "lever_off", -0.5, 0.5),
        ("start", "", "lever", 0.0, 1.0),
        ("start", "", "engine", 0.0, 1.0),
        ("air", "", "headwind_kt", -40.0, 60.0),
        ("air", "", "roughness_ft", 0.0001, 10.0),
        ("air", "shift_at_s = 5\n", "shift_kt", -40.0, 40.0),
        ("air", shift, "shift_at_s", 0.0, 3600.0),
        (
            "air",
            "shift_kt = 5\nshift_at_s = 5\n",
            "shift_over_s",
            1.0,
            600.0,
        ),
        ("deck", "zone_ft = 240\n", "height_ft", 0.0, 300.0),
        ("deck", "height_ft = 60\n", "zone_ft", 50.0, 3000.0),
        ("deck", deck, "speed_kt", 0.0, 40.0),
        ("deck", deck, "heave_ft", 0.0, 20.0),
        ("deck", deck, "heave_period_s", 4.0, 30.0),
        ("deck", deck, "heave_from_s", 0.0, 30.0),
        ("deck", deck, "pitch_deg", 0.0, 5.0),
    ];
    for (section, more, key, low, high) in keys {
        for beyond in [low - 0.25, high + 0.25] {
            let put = |of: &str| match of == section {
                true => format!("{more}{key} = {beyond}\n"),
                false => String::new(),
            };
            let deck = match section {
                "deck" => format!("[deck]\n{}", put("deck")),
                _ => String::new(),
            };
            let text = format!(
                "title = 'T'\nabout = 'A'\naircraft = 'deck jet'\n[start]\naltitude_ft = 1500\n{}[air]\n{}{deck}\
                 [[task]]\nhold = {{ altitude_ft = 1500, band_ft = 25, seconds = 30 }}\n",
                put("start"),
                put("air")
            );
            let told = read(&text).unwrap_err().to_string();
            let [beyond, low, high] = [beyond, low, high].map(plain);
            let wanted = format!("`{key}` is {beyond}; it takes a number from {low} to {high}");
            assert!(told.contains(&wanted), "{told}: {wanted}");
        }
    }
}

#[test]
fn the_steepest_paths_that_a_refusal_tells_can_be_flown_and_no_steeper_ones() {
    let begun = |path_deg: f64| {
        let text = format!(
            "title = 'T'\nabout = 'A'\naircraft = 'prop trainer'\n[start]\naltitude_ft = 1500\npath_deg = {path_deg}\n\
             [[task]]\nhold = {{ altitude_ft = 1500, band_ft = 500, seconds = 1 }}\n"
        );
        read(&text).map(drop).map_err(|error| error.to_string())
    };
    let told = begun(-9.9).unwrap_err();
    let (_, range) = told.split_once("can fly ").unwrap();
    let (range, _) = range.split_once(" degrees").unwrap();
    let (low, high) = range.split_once(" to ").unwrap();
    let [low, high]: [f64; 2] = [low, high].map(|end| end.parse().unwrap());
    for (inside, beyond) in [(low, low - 0.1), (high, high + 0.1)] {
        assert_eq!(begun(inside), Ok(()));
        let told = begun(beyond).unwrap_err();
        assert!(told.contains(&format!("can fly {range} degrees")), "{told}");
    }
}
