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
