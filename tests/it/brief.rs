//! Briefs: their promises, flown and checked against outside values.

mod aeroplane;
mod drills;
mod judging;
mod picture;
mod power_card;

/// A list in a committed reference file.
fn reference(list: &str) -> Vec<serde_json::Value> {
    let text = include_str!("data/reference/values.json");
    let file: serde_json::Value = serde_json::from_str(text).unwrap();
    file[list].as_array().unwrap().clone()
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
