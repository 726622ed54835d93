//! Where the words come from: every command, option, file key, preference, key of the keyboard, mark, colour role, figure, hand
//! and name of the bill has a row in `data/origins.tsv`, and no row is left over.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use leveloff::score::METRICS;
use leveloff::tui::action::BINDINGS;
use leveloff::tui::shown::SHOWN;
use leveloff::why::LineKind;

use super::cli::Shell;

/// Words for an axis as the lever, present only in a build with that feature.
const AXES: &[&str] = &["axes", "axis", "calibrate", "test"];

type Row = (String, String);

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn source(place: &str) -> String {
    fs::read_to_string(root().join("src").join(place)).unwrap()
}

/// The text between each `before` and the next `after`.
fn between(text: &str, before: &str, after: &str) -> Vec<String> {
    let parts = text.split(before).skip(1);
    parts
        .filter_map(|rest| Some(rest.split_once(after)?.0.to_string()))
        .collect()
}

/// Keys that the readers of drill files ask for, as in `number("altitude_ft"`, also if the call is broken into lines.
fn file_keys() -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    let folders = ["src/drill", "src/drill/parse"].map(|folder| root().join(folder));
    let entries = folders.into_iter().flat_map(|f| fs::read_dir(f).unwrap());
    let files = entries.map(|entry| entry.unwrap().path());
    for file in files.filter(|path| path.is_file()) {
        let text = fs::read_to_string(file).unwrap();
        for ask in [
            "number",
            "optional_number",
            "count",
            "pair",
            "numbers",
            "text",
            "flag",
            "word",
            "words",
            "table",
            "required_table",
            "tables",
        ] {
            for rest in text.split(&format!(".{ask}(")).skip(1) {
                let quoted = rest.trim_start().strip_prefix('"');
                found.extend(quoted.and_then(|rest| Some(rest.split_once('"')?.0.to_string())));
            }
        }
    }
    // The kinds of task are rows of a table.
    found.extend(between(
        &source("drill/parse/tasks.rs"),
        "\n        (\"",
        "\", ",
    ));
    found
}

/// Everything that has a name in the program today.
fn named() -> BTreeSet<Row> {
    let shell = Shell::new();
    let completions = shell.good(&["completions", "fish"]);
    let theme = source("tui/theme.rs");
    let roles = &between(&theme, "pub enum Role {", "\n}")[0];
    let variants = |body: &str| -> Vec<String> {
        let lines = body.lines().map(str::trim);
        let names = lines.filter(|line| !line.starts_with("///") && !line.is_empty());
        names
            .map(|name| name.trim_end_matches(',').to_string())
            .collect()
    };
    // Values of an option are listed there too, each followed by a tab.
    let commands = between(&completions, "-f -a \"", "\"").into_iter();
    let commands = commands.filter(|name| !name.contains('\\'));
    let options = completions.split(" -l ").skip(1);
    let options = options.map(|rest| rest.split([' ', '\n']).next().unwrap().to_string());
    let tables: Vec<(&str, Vec<String>)> = vec![
        ("command", commands.collect()),
        ("option", options.collect()),
        ("file key", file_keys().into_iter().collect()),
        (
            "preference",
            between(&source("cli/preferences.rs"), "        name: \"", "\""),
        ),
        ("mark", between(&theme, "pub const ", ": Mark = ")),
        ("role", variants(roles)),
        (
            "key",
            BINDINGS.iter().map(|row| row.shown.to_string()).collect(),
        ),
        (
            "figure",
            METRICS.iter().map(|row| row.key.to_string()).collect(),
        ),
        (
            "hand",
            SHOWN.iter().map(|row| row.name.to_string()).collect(),
        ),
        (
            "bill",
            LineKind::all().map(|kind| kind.key().to_string()).collect(),
        ),
    ];
    let mut found = BTreeSet::new();
    for (kind, names) in tables {
        assert!(names.len() > 3, "the table of {kind} was not read");
        let names = names.into_iter().filter(|name| !name.is_empty());
        let names = names.filter(|name| !AXES.contains(&name.as_str()));
        found.extend(names.map(|name| (kind.to_string(), name)));
    }
    found
}

/// The rows of the file; each says where a word comes from, and why.
fn told() -> Vec<Row> {
    let path = Path::new("tests/it/data/origins.tsv");
    let text = fs::read_to_string(root().join(path)).unwrap();
    let rows = text.lines().filter(|line| !line.starts_with('#'));
    rows.map(|line| {
        let [kind, name, from, why] = line.split('\t').collect::<Vec<_>>()[..] else {
            panic!("{}: not four columns: {line}", path.display());
        };
        let known = ["trade", "standard", "plain", "ours"].contains(&from);
        assert!(known && !why.is_empty(), "{}: {line}", path.display());
        (kind.to_string(), name.to_string())
    })
    .collect()
}

#[test]
fn every_word_says_where_it_comes_from() {
    let rows = told();
    let (labels, rows): (Vec<Row>, Vec<Row>) =
        rows.into_iter().partition(|(kind, _)| kind == "label");
    let told: BTreeSet<Row> = rows.iter().cloned().collect();
    assert_eq!(told.len(), rows.len(), "no row twice");
    let named = named();
    let missing: Vec<&Row> = named.difference(&told).collect();
    let gone: Vec<&Row> = told.difference(&named).collect();
    assert!(
        missing.is_empty() && gone.is_empty(),
        "tests/it/data/origins.tsv wants a row (kind, name, trade / standard / plain / ours, why) for each of {missing:?}; \
         and these of it are no more: {gone:?}"
    );
    // The words on the screens are in no table; check at least that each is still used there.
    let mut screens = String::new();
    let mut folders = vec![root().join("src/tui")];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            match path.is_dir() {
                true => folders.push(path),
                false => screens += &fs::read_to_string(path).unwrap(),
            }
        }
    }
    assert!(labels.len() > 10);
    for (_, label) in labels {
        assert!(
            screens.contains(&label),
            "`{label}` is on no screen any more"
        );
    }
}
