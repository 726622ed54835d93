//! Which module may use which inside the crate, checked against the sources.
//!
//! Three rings, with no dependency pointing outward: the core is pure, the stores turn values into bytes, and only the shell
//! knows a terminal, a clock, a directory.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use leveloff::drill::library;

/// Each top module and those it may use. The list is complete: the crate has no other modules.
const MAY_USE: &[(&str, &[&str])] = &[
    ("units", &[]),
    ("sim", &["units"]),
    ("drill", &["units", "sim"]),
    ("run", &["units", "sim", "drill"]),
    ("score", &["units", "sim", "drill", "run"]),
    ("plan", &["units", "sim", "drill", "run", "score"]),
    ("hands", &["units", "sim", "drill", "run", "score", "plan"]),
    ("brief", &["units", "sim", "drill", "run", "score", "plan"]),
    ("reach", &["units", "run", "score", "hands"]),
    (
        "why",
        &[
            "units", "sim", "drill", "run", "score", "plan", "hands", "reach",
        ],
    ),
    ("fit", &["units", "sim", "drill", "plan", "brief"]),
    ("track", &["units", "sim", "drill", "run"]),
    ("progress", &["units", "sim", "drill"]),
    ("logbook", CORE),
    (
        "export",
        &[
            "units", "sim", "drill", "run", "score", "plan", "hands", "brief", "why", "progress",
            "logbook",
        ],
    ),
    (
        "tui",
        &[
            "units", "sim", "drill", "run", "score", "plan", "hands", "brief", "reach", "why",
            "progress", "logbook", "export",
        ],
    ),
    (
        "cli",
        &[
            "units", "sim", "drill", "run", "score", "plan", "hands", "brief", "why", "progress",
            "track", "logbook", "export", "tui", "fit",
        ],
    ),
];

/// The pure modules: SI numbers and ticks. No files, no environment, no clock, no order that changes from run to run.
const CORE: &[&str] = &[
    "units", "sim", "drill", "run", "score", "plan", "hands", "brief", "fit", "reach", "why",
    "progress", "track",
];

/// All that the core may use of the standard library: the rest involves a clock, a file, a thread or randomness.
const STD_IN_CORE: &[&str] = &[
    "array",
    "borrow",
    "cell",
    "cmp",
    "collections",
    "convert",
    "f64",
    "fmt",
    "iter",
    "mem",
    "num",
    "ops",
    "slice",
    "str",
    "sync",
    "vec",
];

/// All that it may use of other crates, and where.
const CRATES_IN_CORE: &[(&str, &str)] = &[
    ("jiff", "progress/"),
    ("libm", "sim/math.rs"),
    ("rand", "sim/air/noise.rs"),
    ("serde", ""),
    ("thiserror", ""),
    ("toml", "drill/"),
    ("toml", "fit/"),
    ("unicode_width", "drill/"),
];

/// All that it may use of `rand`: the generator that gives the same numbers everywhere.
const OF_RAND: &[&str] = &["Rng", "SeedableRng", "rngs::Xoshiro256PlusPlus"];

/// Names from the modules allowed above that have no place in the core all the same.
const NOT_IN_CORE: &[&str] = &[
    "HashMap",
    "HashSet",
    "RandomState",
    "Hasher",
    "Mutex",
    "RwLock",
    "Condvar",
    "Atomic",
    "OnceLock",
    "LazyLock",
    "mpsc",
    "now(",
    "println!",
    "print!",
    "eprintln!",
    "eprint!",
    "dbg!",
    "env!",
    "thread_local!",
    "static mut",
    "unsafe",
    "extern",
    "std as",
    "core as",
    "<f64>::",
    "<f32>::",
];

/// Functions of floating-point numbers whose last bits the standard library leaves to the platform.
const UNSPECIFIED: &[&str] = &[
    "acos", "acosh", "asin", "asinh", "atan", "atan2", "atanh", "cbrt", "cos", "cosh", "erf",
    "erfc", "exp", "exp2", "exp_m1", "gamma", "hypot", "ln", "ln_1p", "ln_gamma", "log", "log10",
    "log2", "powf", "powi", "sin", "sin_cos", "sinh", "tan", "tanh",
];

const DENY: &str = "#![deny(clippy::disallowed_methods, clippy::disallowed_types)]";

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// Every file below `folder` with an extension, sorted.
fn files(folder: &Path, extension: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(files(&path, extension));
        } else if path.extension().is_some_and(|e| e == extension) {
            found.push(path);
        }
    }
    found.sort();
    found
}

/// A source file: its place below `src` and its code without comments and literals.
struct File {
    place: String,
    code: String,
}

impl File {
    fn read(path: &Path) -> File {
        let place = path.strip_prefix(root().join("src")).unwrap();
        File {
            place: place.to_str().unwrap().replace('\\', "/"),
            code: bare(&fs::read_to_string(path).unwrap()),
        }
    }

    /// The top module it belongs to; None for the crate's own root files.
    fn module(&self) -> Option<&str> {
        match self.place.split_once('/') {
            Some((folder, _)) => Some(folder),
            None => self
                .place
                .strip_suffix(".rs")
                .filter(|stem| !["lib", "main"].contains(stem)),
        }
    }

    /// How many modules deep it stands: 1 for `units.rs` and `sim/mod.rs`.
    fn depth(&self) -> usize {
        let steps = self.place.split('/').count();
        if self.place.ends_with("/mod.rs") {
            steps - 1
        } else {
            steps
        }
    }
}

fn sources() -> Vec<File> {
    files(&root().join("src"), "rs")
        .iter()
        .map(|path| File::read(path))
        .collect()
}

/// Rust source with comments, strings and characters blanked out, so that words in them do not count.
fn bare(source: &str) -> String {
    let mut code = String::new();
    let mut rest = source;
    while let Some(c) = rest.chars().next() {
        let skipped = if rest.starts_with("//") {
            rest.find('\n').unwrap_or(rest.len())
        } else if rest.starts_with("/*") {
            rest.find("*/").map_or(rest.len(), |end| end + 2)
        } else if let Some(raw) = rest.strip_prefix("r#\"") {
            raw.find("\"#").map_or(rest.len(), |end| end + 5)
        } else if c == '"' {
            string_length(rest)
        } else if c == '\'' {
            character_length(rest)
        } else {
            0
        };
        if skipped > 0 {
            code.push(' ');
            rest = &rest[skipped..];
        } else {
            code.push(c);
            rest = &rest[c.len_utf8()..];
        }
    }
    code
}

fn string_length(rest: &str) -> usize {
    let mut escaped = false;
    for (at, c) in rest.char_indices().skip(1) {
        match c {
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '"' => return at + 1,
            _ => {}
        }
    }
    rest.len()
}

/// Length of a character literal; 0 for a lifetime.
fn character_length(rest: &str) -> usize {
    let mut chars = rest.char_indices().skip(1);
    match (chars.next(), chars.next()) {
        (Some((_, '\\')), Some(_)) => rest[3..].find('\'').map_or(0, |end| end + 4),
        (Some(_), Some((at, '\''))) => at + 1,
        _ => 0,
    }
}

fn word_at_start(code: &str) -> &str {
    let end = code
        .find(|c: char| !c.is_alphanumeric() && c != '_')
        .unwrap_or(code.len());
    &code[..end]
}

/// Top modules named through `crate::`, in paths and in `use crate::{a, b::c}` alike; `$crate::` of a macro counts as well.
fn used(code: &str) -> BTreeSet<String> {
    named(code, "crate")
}

/// The same of any crate.
fn named(code: &str, of: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for (at, start) in code.match_indices(&format!("{of}::")) {
        if code[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_') {
            continue;
        }
        let rest = code[at + start.len()..].trim_start();
        if let Some(group) = rest.strip_prefix('{') {
            let mut depth = 0;
            let mut first = true;
            for (at, c) in group.char_indices() {
                match c {
                    '{' => depth += 1,
                    '}' if depth == 0 => break,
                    '}' => depth -= 1,
                    ',' if depth == 0 => first = true,
                    c if first && !c.is_whitespace() => {
                        found.insert(word_at_start(&group[at..]).to_string());
                        first = false;
                    }
                    _ => {}
                }
            }
        } else {
            found.insert(word_at_start(rest).to_string());
        }
    }
    found
}

/// The longest chain of `super::` outside inline modules of the file, and inside them less their depth.
fn climbs(code: &str) -> usize {
    let mut inline: Vec<usize> = Vec::new();
    let mut braces = 0;
    let mut highest = 0;
    let mut at = 0;
    while at < code.len() {
        let rest = &code[at..];
        let fresh = !code[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_');
        if fresh && rest.starts_with("mod ") {
            let name = word_at_start(rest[4..].trim_start());
            let after = rest[4..].trim_start()[name.len()..].trim_start();
            if after.starts_with('{') {
                inline.push(braces);
            }
        }
        if fresh && rest.starts_with("super::") {
            let mut chain = 0;
            while code[at..].starts_with("super::") {
                chain += 1;
                at += "super::".len();
            }
            highest = highest.max(usize::saturating_sub(chain, inline.len()));
            continue;
        }
        match rest.chars().next() {
            Some('{') => braces += 1,
            Some('}') => {
                braces -= 1;
                if inline.last() == Some(&braces) {
                    inline.pop();
                }
            }
            _ => {}
        }
        at += rest.chars().next().map_or(1, char::len_utf8);
    }
    highest
}

fn may_use(module: &str) -> Option<&'static [&'static str]> {
    MAY_USE
        .iter()
        .find(|(name, _)| *name == module)
        .map(|(_, may)| *may)
}

#[test]
fn the_reader_of_sources_sees_what_matters() {
    let code = bare(
        "use crate::sim::{a, b};\nuse crate::{units::FT, run::{Run, Leg}, score};\n// crate::tui\n/* crate::cli */\n\
         let a = \"crate::export\"; let b = '\"'; fn c<'a>() { crate::logbook::d() }\nlet e = r#\"crate::hands\"#;",
    );
    let expected = ["logbook", "run", "score", "sim", "units"].map(String::from);
    assert_eq!(used(&code), BTreeSet::from(expected));

    assert_eq!(climbs("use super::a;"), 1);
    assert_eq!(climbs("use super::super::a;"), 2);
    assert_eq!(climbs("mod tests { use super::super::a; }"), 1);
    assert_eq!(
        climbs("mod tests { fn f() { {} } } mod other; use super::super::a;"),
        2
    );
    assert!(!bare("let s = \"std::fs\"; // HashMap").contains("std::fs"));
    assert!(bare("let t = Instant::now();").contains("Instant"));
}

#[test]
fn modules_use_only_what_is_further_in() {
    let mut seen = BTreeSet::new();
    for file in sources() {
        let Some(module) = file.module() else {
            continue;
        };
        let may = may_use(module)
            .unwrap_or_else(|| panic!("{}: {module} has no place in the table", file.place));
        seen.insert(module.to_string());
        for other in used(&file.code) {
            assert!(
                other == module || may.contains(&other.as_str()),
                "{}: {module} uses {other}; it may use {may:?}",
                file.place
            );
        }
        assert!(
            climbs(&file.code) < file.depth(),
            "{}: `super::` leaves {module}; write `crate::`",
            file.place
        );
        assert!(
            !file.code.contains("leveloff::"),
            "{}: write `crate::`",
            file.place
        );
    }
    for module in ["units", "sim", "drill", "run", "score", "hands"] {
        assert!(seen.contains(module), "no source of {module} was read");
    }
}

#[test]
fn main_knows_only_the_command_line() {
    let main = bare(&fs::read_to_string(root().join("src/main.rs")).unwrap());
    for (at, name) in main.match_indices("leveloff::") {
        assert_eq!(word_at_start(&main[at + name.len()..]), "cli");
    }
    assert!(!main.contains("crate::") && !main.contains("mod "));
}

/// The first forbidden name that a file of the core uses.
fn impurity(place: &str, code: &str, crates: &BTreeSet<String>) -> Option<String> {
    let whole = |at: usize, word: &str| {
        let is_part = |c: char| c.is_alphanumeric() || c == '_';
        !code[..at].ends_with(is_part) && !code[at + word.len()..].starts_with(is_part)
    };
    let word = NOT_IN_CORE.iter().find(|word| code.contains(**word));
    let of_std = ["std", "core", "alloc"].iter().flat_map(|of| {
        let mut named = named(code, of);
        named.retain(|module| !STD_IN_CORE.contains(&module.as_str()));
        named
            .into_iter()
            .map(move |module| format!("{of}::{module}"))
    });
    let of_crates = crates.iter().filter(|name| {
        let mut rows = CRATES_IN_CORE.iter();
        let is_let_in = rows.any(|(known, home)| known == name && place.starts_with(home));
        let is_named = code.match_indices(name.as_str()).any(|(at, _)| {
            let rest = &code[at + name.len()..];
            whole(at, name) && (rest.starts_with("::") || code[..at].ends_with("use "))
        });
        is_named && !is_let_in
    });
    let of_rand = code.match_indices("rand::").flat_map(|(at, start)| {
        let path = &code[at + start.len()..];
        let path = &path[..path.find(';').unwrap_or(path.len())];
        let paths = path
            .trim_start_matches('{')
            .trim_end_matches('}')
            .split(',');
        paths
            .map(|path| path.trim().to_string())
            .filter(|path| !OF_RAND.contains(&path.as_str()))
    });
    let platform = UNSPECIFIED.iter().find(|name| {
        code.match_indices(**name).any(|(at, _)| {
            let (before, after) = (&code[..at], &code[at + name.len()..]);
            // A run's `log()` is no logarithm: the logarithm takes its base as an argument.
            let is_call = before.ends_with('.')
                && after.starts_with('(')
                && !(**name == "log" && after.starts_with("()"));
            let is_path = before.ends_with("f64::") || before.ends_with("f32::");
            whole(at, name) && (is_call || is_path)
        })
    });
    let word = word.or(platform).map(|word| word.to_string());
    word.or(of_std.into_iter().next())
        .or(of_crates.into_iter().next().cloned())
        .or(of_rand.into_iter().next())
}

/// All crates that the program may use.
fn crates() -> BTreeSet<String> {
    let manifest = fs::read_to_string(root().join("Cargo.toml")).unwrap();
    let manifest: toml::Table = manifest.parse().unwrap();
    let names = manifest["dependencies"].as_table().unwrap().keys();
    names.map(|name| name.replace('-', "_")).collect()
}

#[test]
fn the_core_is_pure() {
    let crates = crates();
    let mut read = 0;
    for file in sources() {
        let Some(module) = file.module().filter(|module| CORE.contains(module)) else {
            continue;
        };
        let found = impurity(&file.place, &file.code, &crates);
        assert_eq!(found, None, "{} in {module}", file.place);
        read += 1;
    }
    assert!(read > 50, "{read} files read");
}

#[test]
fn what_is_not_pure_is_seen() {
    let crates = crates();
    let seen = |place: &str, code: &str| impurity(place, code, &crates).is_some();
    for name in UNSPECIFIED {
        assert!(
            seen("sim/trim.rs", &format!("let y = x.{name}(z);")),
            "{name}"
        );
        assert!(
            seen("sim/trim.rs", &format!("xs.map(f64::{name})")),
            "{name}"
        );
    }
    for code in [
        "use std::{fmt, time::Instant};",
        "use std::{fmt, fs};",
        "let t = std::time::Duration::ZERO;",
        "use core::hash::Hash;",
        "use std::env;",
        "use std::collections::{BTreeMap, HashMap};",
        "use std::sync::Mutex;",
        "use rand::rngs::SysRng;",
        "use rand::{Rng, SysRng};",
        "let x: f64 = rand::random();",
        "use libm;",
        "libm::sin(x)",
        "use crossterm::event;",
        "etcetera::home_dir()",
        "Zoned::now()",
        "println!()",
        "dbg!(x)",
        "option_env!()",
        "let y = <f64>::sin(x);",
        "use std as s;",
    ] {
        assert!(seen("sim/air/noise.rs", code), "{code}");
    }
    assert!(seen("sim/trim.rs", "use rand::Rng;"));
    for code in [
        "let z = sin(x) + sqrt(y); run.log().len(); a.explain(b); x.sqrt().mul_add(a, b)",
        "use std::{fmt, collections::BTreeMap}; use serde::Serialize; let pi = std::f64::consts::PI;",
        "use rand::rngs::Xoshiro256PlusPlus; use rand::{Rng, SeedableRng};",
    ] {
        assert_eq!(impurity("sim/air/noise.rs", code, &crates), None, "{code}");
    }
}

#[test]
fn every_module_of_the_core_denies_what_is_not_pure() {
    let mut read = 0;
    for module in CORE {
        let path = root().join("src").join(module).join("mod.rs");
        if let Ok(text) = fs::read_to_string(&path) {
            assert!(text.contains(DENY), "src/{module}/mod.rs lacks {DENY}");
            read += 1;
        }
    }
    assert!(read >= 5);
    // `units.rs` holds constants only.
    assert!(!bare(&fs::read_to_string(root().join("src/units.rs")).unwrap()).contains("fn "));
}

#[test]
fn unsafe_is_forbidden() {
    let manifest = fs::read_to_string(root().join("Cargo.toml")).unwrap();
    assert!(manifest.contains("unsafe_code = \"forbid\""));
}

/// File stems of a folder's own TOML files.
fn stems(folder: &str) -> BTreeSet<String> {
    let folder = root().join(folder);
    let own = files(&folder, "toml")
        .into_iter()
        .filter(|path| path.parent() == Some(&folder));
    own.map(|path| path.file_stem().unwrap().to_str().unwrap().to_string())
        .collect()
}

#[test]
fn everything_in_the_drills_folder_ships() {
    let ids = |shipped: &[library::Shipped]| -> BTreeSet<String> {
        shipped.iter().map(|s| s.id.to_string()).collect()
    };
    assert_eq!(stems("drills"), ids(library::DRILLS));
    assert_eq!(stems("drills/aircraft"), ids(library::AIRCRAFT));
    assert_eq!(
        library::DRILLS.len(),
        ids(library::DRILLS).len(),
        "no drill twice"
    );
}
