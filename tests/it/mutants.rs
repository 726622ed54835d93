//! Thousands of altered shipped files: each reader refuses or accepts them, and every accepted one can be flown.

use std::sync::Arc;

use leveloff::drill::parse::{self, AircraftText};
use leveloff::drill::reader::Source;
use leveloff::drill::{Drill, aircraft_file, library};
use leveloff::hands::{self, Hand, Script, Sight};
use leveloff::logbook::Logbook;
use leveloff::run::Recording;
use leveloff::score::score;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;

use crate::folder::Folder;

/// Replacements for numbers: ends of ranges, powers, and values that are no number.
const NUMBERS: [&str; 14] = [
    "0",
    "-0.0",
    "1",
    "-1",
    "0.1",
    "50",
    "1e3",
    "3600",
    "30000",
    "1e300",
    "-1e-300",
    "nan",
    "inf",
    "9999999999999999999",
];

/// A change: its place (a share of the text's lines), its kind, and the choice of the replacement.
pub type Change = (f64, u8, usize);

pub fn change() -> impl Strategy<Value = Vec<Change>> {
    prop::collection::vec((0.0..1.0, 0u8..5, any::<usize>()), 1..4)
}

pub fn changed(text: &str, changes: &[Change]) -> String {
    let mut text = text.to_string();
    for (share, kind, with) in changes {
        let lines: Vec<&str> = text.lines().collect();
        let at = ((share * lines.len() as f64) as usize).min(lines.len().saturating_sub(1));
        let line = lines.get(at).copied().unwrap_or_default().to_string();
        let new = match kind {
            // One number for another.
            0 | 1 => {
                let is_digit = |c: char| c.is_ascii_digit();
                let start = line.find(is_digit).unwrap_or(line.len());
                let rest = &line[start..];
                let end = rest
                    .find(|c: char| !c.is_ascii_digit() && c != '.')
                    .unwrap_or(rest.len());
                format!(
                    "{}{}{}",
                    &line[..start],
                    NUMBERS[with % NUMBERS.len()],
                    &rest[end..]
                )
            }
            2 => String::new(),
            3 => format!("{line}\n{line}"),
            // One character too many.
            _ => {
                let chars = [
                    '\u{0}',
                    '"',
                    '[',
                    '}',
                    '=',
                    '\u{202e}',
                    '\u{1b}',
                    'e',
                    '-',
                    '\u{10ffff}',
                ];
                let cut = line.floor_char_boundary(with % (line.len() + 1));
                format!(
                    "{}{}{}",
                    &line[..cut],
                    chars[with % chars.len()],
                    &line[cut..]
                )
            }
        };
        let mut lines = lines;
        if at < lines.len() {
            lines[at] = &new;
        }
        text = lines.join("\n");
    }
    text
}

fn drill(text: &str, aircraft: &str) -> Option<Drill> {
    let file = "changed.toml";
    let own = |_: &str| {
        Ok(AircraftText {
            file: "own.toml".to_string(),
            text: aircraft.to_string(),
        })
    };
    parse::parse("changed", Source { file, text }, &own).ok()
}

struct Still;

impl Hand for Still {
    fn lever(&mut self, _: &Sight) -> Option<u16> {
        None
    }
}

#[test]
#[ignore = "thousands of files, CASES=n; run it in release"]
fn changed_files_are_refused_or_flown() {
    let cases: usize = std::env::var("CASES").map_or(3000, |n| n.parse().unwrap());
    let mut runner = TestRunner::deterministic();
    let shipped: Vec<Drill> = library::DRILLS
        .iter()
        .map(|drill| drill.drill().unwrap())
        .collect();
    let folder = Folder::new();
    let logbook = Logbook::at(folder.path().to_path_buf());
    let (mut flown, mut planes, mut scripts, mut recordings) = (0, 0, 0, 0);
    for case in 0..cases {
        let changes = change().new_tree(&mut runner).unwrap().current();
        let base = &shipped[case % shipped.len()];
        let aircraft = changed(&base.aircraft_text, &changes);
        let (text, plane) = match case % 2 {
            0 => (changed(&base.text, &changes), base.aircraft_text.clone()),
            _ => (base.text.clone(), aircraft.clone()),
        };
        let file = "own.toml";
        planes += usize::from(
            aircraft_file::parse(Source {
                file,
                text: &aircraft,
            })
            .is_ok(),
        );
        let script = changed("t_s,lever\n0,0.4\n2.5,0.45\n60,0\n90,1\n", &changes);
        let script = Script::parse(Source {
            file,
            text: &script,
        });
        scripts += usize::from(script.is_ok());
        let Some(drill) = drill(&text, &plane).map(Arc::new) else {
            continue;
        };
        flown += 1;
        let run = match script {
            Ok(mut script) => hands::fly(drill, 7, &mut script),
            Err(_) => hands::fly(drill, 7, &mut Still),
        };
        let finite = |x: f64| assert!(x.is_finite(), "{text}\n{plane}");
        score(&run).points.into_iter().for_each(finite);
        // A recording, unchanged and changed.
        if case % 10 == 0 {
            let whole = serde_json::to_string(&Recording::of(&run)).unwrap();
            assert!(
                serde_json::from_str::<Recording>(&whole)
                    .unwrap()
                    .replay()
                    .is_ok()
            );
            let other = changed(&whole.replace(',', ",\n"), &changes);
            if let Ok(recording) = serde_json::from_str::<Recording>(&other) {
                recordings += 1;
                let _ = recording.replay();
            }
            folder.file(
                "logbook.jsonl",
                changed("{\"schema\":1,\n\"id\":\"x\"}\n\n", &changes),
            );
            let _ = logbook.entries();
        }
    }
    println!(
        "{cases} changes: {flown} drills flown, {planes} aeroplanes, {scripts} scripts, {recordings} recordings accepted"
    );
    assert!(flown > cases / 100, "{flown} of {cases}");
}
