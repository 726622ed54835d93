//! Saved pars: read if everything they depend on is the same, recomputed if anything differs.

use std::fs;
use std::path::PathBuf;
use std::sync::Arc;

use leveloff::drill::parse::{self, AircraftText};
use leveloff::drill::reader::Source;
use leveloff::drill::{Drill, library};
use leveloff::logbook::{Logbook, cache};
use leveloff::why::Pars;
use serde_json::Value;

use crate::flying::shipped;
use crate::folder::Folder;

/// A short drill in an aeroplane, with something replaced in either text.
fn changed(drill: (&str, &str), aircraft: (&str, &str), u20_mps: f64) -> Arc<Drill> {
    const DRILL: &str = "title = 'T'\nabout = 'A'\naircraft = 'own'\n[start]\naltitude_ft = 1500\nlever_off = 0.05\n[[task]]\n\
         hold = { altitude_ft = 1490, band_ft = 30, seconds = 12 }\n";
    let replaced = |text: &str, (from, to): (&str, &str)| {
        assert!(text.contains(from), "{from}");
        text.replacen(from, to, 1)
    };
    let text = replaced(DRILL, drill);
    let source = Source {
        file: "drill.toml",
        text: &text,
    };
    let own = library::aircraft("deck jet").unwrap().text;
    let mut drill = parse::parse("drill", source, &|_| {
        Ok(AircraftText {
            file: "own.toml".to_string(),
            text: replaced(own, aircraft),
        })
    })
    .unwrap();
    drill.air.u20_mps = u20_mps;
    Arc::new(drill)
}

const SAME: (&str, &str) = ("title", "title");
const SAME_PLANE: (&str, &str) = ("name", "name");

fn own() -> Arc<Drill> {
    changed(SAME, SAME_PLANE, 4.0)
}

/// A logbook in a folder, to be asked for pars.
struct Kept {
    folder: Folder,
    logbook: Logbook,
}

impl Kept {
    fn new() -> Kept {
        let folder = Folder::new();
        Kept {
            logbook: Logbook::at(folder.path().to_path_buf()),
            folder,
        }
    }

    fn ask(&self, drill: &Arc<Drill>, seed: u64) -> (Pars, bool) {
        let mut computed = false;
        let pars = self.logbook.pars(drill, seed, &mut |_| computed = true);
        (pars, computed)
    }

    /// Asks for pars, checks them against freshly computed ones, and returns whether they were computed.
    fn ask_right(&self, drill: &Arc<Drill>, seed: u64) -> bool {
        let (pars, computed) = self.ask(drill, seed);
        assert_eq!(pars, Pars::of(drill, seed, &mut |_| {}));
        computed
    }

    fn files(&self) -> Vec<PathBuf> {
        let found = fs::read_dir(self.folder.join("par")).unwrap();
        let mut files: Vec<PathBuf> = found.map(|file| file.unwrap().path()).collect();
        files.sort();
        files
    }

    fn file(&self) -> PathBuf {
        let [file] = &self.files()[..] else {
            panic!("{:?}", self.files());
        };
        file.clone()
    }
}

#[test]
fn pars_are_computed_once() {
    let kept = Kept::new();
    assert!(kept.ask_right(&own(), 7));
    assert!(!kept.ask_right(&own(), 7));
    assert_eq!(kept.file().extension().unwrap(), "json");
    // The title and the sentence for the menu are in the text; the id is not, and changes nothing.
    let renamed = Arc::new(Drill {
        id: "another".to_string(),
        ..(*own()).clone()
    });
    assert!(!kept.ask_right(&renamed, 7));
}

#[test]
fn whatever_changes_is_computed_anew_and_both_are_kept() {
    let kept = Kept::new();
    let others = [
        (changed(("1490", "1480"), SAME_PLANE, 4.0), 7),
        (
            changed(("band_ft = 30", "band_ft = 25"), SAME_PLANE, 4.0),
            7,
        ),
        (
            changed(SAME, ("mass_kg = 15800", "mass_kg = 15300"), 4.0),
            7,
        ),
        (changed(SAME, SAME_PLANE, 4.1), 7),
        (changed(SAME, SAME_PLANE, 0.0), 7),
        (own(), 8),
        (own(), u64::MAX),
    ];
    let (first, _) = kept.ask(&own(), 7);
    for (index, (drill, seed)) in others.iter().enumerate() {
        assert!(kept.ask_right(drill, *seed), "{index}");
        assert_ne!(kept.ask(drill, *seed).0, first, "{index} changes nothing");
        assert_eq!(kept.files().len(), index + 2);
    }
    for (drill, seed) in others.iter().chain(&[(own(), 7)]) {
        assert!(!kept.ask_right(drill, *seed));
    }
}

#[test]
fn steady_air_has_one_par_for_every_seed() {
    let kept = Kept::new();
    let still = changed(SAME, SAME_PLANE, 0.0);
    assert!(kept.ask_right(&still, 7));
    assert!(!kept.ask_right(&still, 8));
    assert_eq!(
        cache::pars_unkept(&still, 9, &mut |_| {}),
        kept.ask(&still, 0).0
    );
    // A surprise is drawn from its seed in any air; `ask_right` checks each against its own.
    let surprise = "surprise = { count = 2, kinds = ['step'], low_ft = 1300, high_ft = 1700, max_fpm = 500, \
                    band_ft = 30, band_fpm = 100, hold_s = 3, within_s = 60 }";
    let hold = "hold = { altitude_ft = 1490, band_ft = 30, seconds = 12 }";
    let called = changed((hold, surprise), SAME_PLANE, 0.0);
    assert!(kept.ask_right(&called, 7));
    assert!(kept.ask_right(&called, 8));
}

#[test]
fn a_seed_matters_where_anything_is_drawn_from_it() {
    let in_gusts = |u20_mps| cache::seed_matters(&changed(SAME, SAME_PLANE, u20_mps));
    assert!(!in_gusts(0.0));
    assert!(in_gusts(0.5));
    let drawn = |id| cache::seed_matters(&shipped(id));
    assert!(!drawn("boat-slip"));
    assert!(drawn("what-the-rock-calls"));
}

#[test]
fn a_file_of_another_version_is_ignored_and_written_anew() {
    let kept = Kept::new();
    kept.ask(&own(), 7);
    let file = kept.file();
    let good = fs::read(&file).unwrap();
    for (key, other) in [
        ("program", Value::from("0.0.9")),
        ("model", 999.into()),
        ("hands", 999.into()),
        ("steady", "0123456789abcdef".into()),
        ("seed", 8.into()),
        ("u20_mps", 4.5.into()),
        ("drill_text", "".into()),
        ("aircraft_text", "".into()),
    ] {
        let mut text: Value = serde_json::from_slice(&good).unwrap();
        let place = &mut text["basis"][key];
        assert!(!place.is_null() && *place != other, "{key}");
        *place = other;
        fs::write(&file, text.to_string()).unwrap();
        assert!(kept.ask_right(&own(), 7), "{key}");
        assert_eq!(fs::read(&file).unwrap(), good, "{key}");
        assert!(!kept.ask_right(&own(), 7), "{key}");
    }
}

#[test]
fn a_damaged_file_is_ignored_and_written_anew() {
    let kept = Kept::new();
    kept.ask(&own(), 7);
    let file = kept.file();
    let good = fs::read_to_string(&file).unwrap();
    let one_digit = {
        let at = good.find("\"par\":").unwrap() + "\"par\":".len();
        let digit = if &good[at..=at] == "9" { "8" } else { "9" };
        format!("{}{digit}{}", &good[..at], &good[at + 1..])
    };
    let one_move = good.replacen("\"best\":[[", "\"best\":[[0,1],[", 1);
    let cases = [
        String::new(),
        "nonsense".to_string(),
        "{}".to_string(),
        "null".to_string(),
        good[..good.len() / 2].to_string(),
        format!("{good}}}"),
        one_digit,
        one_move,
    ];
    for text in cases {
        assert_ne!(text, good);
        fs::write(&file, &text).unwrap();
        assert!(kept.ask_right(&own(), 7), "{text}");
        assert_eq!(fs::read_to_string(&file).unwrap(), good);
    }
    // A folder in its place stays, and does no harm.
    fs::remove_file(&file).unwrap();
    fs::create_dir(&file).unwrap();
    assert!(kept.ask_right(&own(), 7));
    assert_eq!(kept.files(), [file]);
}

#[test]
fn files_that_changed_places_are_told_apart() {
    let kept = Kept::new();
    kept.ask(&own(), 7);
    kept.ask(&own(), 8);
    let files = kept.files();
    let [one, other] = &files[..] else {
        panic!("{files:?}");
    };
    let (first, second) = (fs::read(one).unwrap(), fs::read(other).unwrap());
    fs::write(one, &second).unwrap();
    fs::write(other, &first).unwrap();
    assert!(kept.ask_right(&own(), 7));
    assert!(kept.ask_right(&own(), 8));
    assert_eq!(
        (fs::read(one).unwrap(), fs::read(other).unwrap()),
        (first, second)
    );
}

#[test]
fn nothing_is_made_where_there_is_no_logbook() {
    let folder = Folder::new();
    let logbook = Logbook::at(folder.join("deep/data"));
    for _ in 0..2 {
        let mut computed = false;
        logbook.pars(&own(), 7, &mut |_| computed = true);
        assert!(computed);
    }
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
}

#[test]
fn a_folder_that_cannot_be_written_costs_nothing_but_time() {
    let kept = Kept::new();
    kept.folder.file("par", "in the way");
    assert!(kept.ask_right(&own(), 7));
    assert!(kept.ask_right(&own(), 7));
    assert_eq!(fs::read_dir(kept.folder.path()).unwrap().count(), 1);

    let file = kept.folder.file("a-file", "");
    let mut computed = false;
    Logbook::at(file).pars(&own(), 7, &mut |_| computed = true);
    assert!(computed);
}

#[test]
fn many_at_once_leave_whole_files() {
    let kept = Kept::new();
    std::thread::scope(|scope| {
        for thread in 0..4 {
            let kept = &kept;
            scope.spawn(move || {
                for round in 0..6 {
                    kept.ask_right(&own(), (thread + round) % 3);
                }
            });
        }
    });
    assert_eq!(kept.files().len(), 3);
    for seed in 0..3 {
        assert!(!kept.ask_right(&own(), seed));
    }
}
