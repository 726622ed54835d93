//! Text in and out: tables in any common form, similar names, control characters made visible.

use leveloff::drill::air_words::in_words;
use leveloff::drill::columns::{FIELDS, FieldSpec};
use leveloff::drill::printable::{columns, cut, escaped, is_plain, padded, printable};
use leveloff::drill::spelling::{distance, hint};
use leveloff::drill::table::{Cell, Row, lines};
use leveloff::export::judged::Judged;
use leveloff::sim::air::{AirSpec, Shift};
use leveloff::units::KT;

#[test]
fn a_table_is_read_as_anybody_writes_it() {
    let text = "\u{feff}\"t\";alt\r\n# a note\r\n\r\n0,5; 1.200,5\r\n1;\"12,5\"\n2;x";
    let read: Vec<Row> = lines(text).collect();
    let words = |line: usize| read[line].cells.iter().map(|cell| cell.text);
    assert!(words(0).eq(["t", "alt"]));
    let numbers = |line: usize| read[line].cells.iter().map(Cell::number);
    assert!(numbers(1).eq([Some(0.5), None]));
    assert!(numbers(2).eq([Some(1.0), Some(12.5)]));
    assert!(numbers(3).eq([Some(2.0), None]));
    assert_eq!(&text[read[1].cells[1].at..][..5], "1.200");
    assert_eq!(&text[read[3].at..], "2;x");
}

/// Spreadsheets leave a tab where the last cell of a row is empty.
#[test]
fn a_row_may_end_in_an_empty_cell() {
    let text = "\u{feff}t\taltitude\tlever\r\n0\t1500\t\r\n1\t\t\n2\t1498\t0.4 \n\t\t\n";
    let rows: Vec<Vec<&str>> = lines(text)
        .map(|row| row.cells.iter().map(|cell| cell.text).collect())
        .collect();
    let wanted = [
        ["t", "altitude", "lever"],
        ["0", "1500", ""],
        ["1", "", ""],
        ["2", "1498", "0.4"],
    ];
    assert_eq!(rows, wanted, "a row of empty cells alone is blank");
    for row in lines(text) {
        for cell in row.cells {
            assert!(text[cell.at..].starts_with(cell.text), "{cell:?}");
        }
    }
}

#[test]
fn no_two_fields_share_a_name_and_each_is_its_own() {
    let names = |spec: &'static FieldSpec| [&[spec.name], spec.also].concat();
    let mut all: Vec<&str> = FIELDS.iter().flat_map(names).collect();
    assert!(
        FIELDS
            .iter()
            .all(|spec| spec.field.spec().name == spec.name)
    );
    let count = all.len();
    all.sort_unstable();
    all.dedup();
    assert_eq!(all.len(), count);
}

#[test]
fn nothing_invisible_gets_through() {
    let sly = "a\u{1b}]0;x\u{7}\u{9b}\u{7f}\u{202e}b\u{200b}\u{feff}\u{e0041}\u{2028}\n";
    let shown = printable(sly);
    assert!(shown.chars().all(is_plain), "{shown}");
    assert!(shown.starts_with("a\\u{1b}]0;x\\u{7}\\u{9b}\\u{7f}\\u{202e}b\\u{200b}"));
    assert_eq!(escaped("a\nb\r", |c| c == '\n'), "a\nb\\r");
    for plain in ["Öl, ëñ", "着陸", "e\u{301}", "a b"] {
        assert_eq!(printable(plain), plain);
    }
    assert_eq!(printable(&"é".repeat(130)).chars().count(), 120);
}

#[test]
fn columns_are_counted_not_characters() {
    assert_eq!(
        (columns("ab"), columns("着陸"), columns("e\u{301}")),
        (2, 4, 1)
    );
    assert_eq!(
        (cut("着陸x", 3), cut("abc", 3), cut("e\u{301}b", 1)),
        ("着", "abc", "e\u{301}")
    );
    assert_eq!(
        (padded("着", 4), padded("abcde", 4)),
        ("着  ".to_string(), "abcde".to_string())
    );
}

#[test]
fn distance_counts_single_letters() {
    assert_eq!(distance("sink", "sink"), 0);
    assert_eq!(distance("", "sink"), 4);
    assert_eq!(distance("catch-the-sink", "catch-a-sink"), 3);
    assert_eq!(distance("kitten", "sitting"), 3);
}

#[test]
fn only_what_is_near_is_hinted_at() {
    let known = ["aids", "pilot"];
    assert_eq!(hint("piolt", &known), "; the nearest is `pilot`");
    assert_eq!(hint("altitude", &known), "");
}

/// Where a track has its own vertical speed, none is taken from the altitude, and nothing is "known to within 0 ft/min".
#[test]
fn the_noise_of_an_altitude_says_of_the_vertical_speed_only_what_is_taken_from_it() {
    let told = |vertical_noise_fpm: f64| {
        let judged = Judged {
            file: "t.csv".to_string(),
            rows: 100,
            rows_per_s: 2.0,
            noise_ft: 5.2,
            vertical_noise_fpm,
            begin_s: 0.0,
            found: "as you say".to_string(),
            gaps: Vec::new(),
            missing: Vec::new(),
            model: Vec::new(),
            by_altitude: Vec::new(),
        };
        judged.told()[1].clone()
    };
    assert_eq!(told(0.0), "The altitude has 5.2 ft of noise.");
    assert_eq!(
        told(31.0),
        "The altitude has 5.2 ft of noise; smoothed, vertical speed is known to within 31 ft/min."
    );
}

#[test]
fn a_change_of_the_wind_is_told_with_its_way_and_size() {
    let told = |by_kt: f64| {
        let shift = Shift {
            by_mps: by_kt * KT,
            at_s: 10.0,
            over_s: 5.0,
        };
        in_words(&AirSpec {
            shift: Some(shift),
            ..AirSpec::default()
        })
    };
    assert_eq!(told(1.0), "wind up 1 kt in flight");
    assert_eq!(told(-1.0), "wind down 1 kt in flight");
    assert_eq!(told(12.5), "wind up 12.5 kt in flight");
}
