//! The logbook with several writers, dead writers and damaged files.

mod cache;
mod claims;
mod deaths;
mod notes;
mod seal;

use std::collections::BTreeSet;
use std::fs;
use std::io::ErrorKind;
use std::sync::Arc;

use leveloff::drill::Aids;
use leveloff::drill::{Drill, library};
use leveloff::hands::{self, Steady};
use leveloff::logbook::{Entry, Logbook, LogbookError, files};
use leveloff::run::Recording;
use leveloff::run::recording::HandName;
use leveloff::score::{Key, Score, score};

use crate::flying::shipped;
use crate::folder::Folder;

struct Flown {
    drill: Arc<Drill>,
    recording: Recording,
    score: Score,
}

fn flown() -> Flown {
    let drill = Arc::new(library::DRILLS[0].drill().unwrap());
    let run = hands::fly(drill.clone(), 7, &mut Steady::new(&drill));
    let recording = Recording {
        at: "2026-11-25T22:30:15+01:00".to_string(),
        hand: HandName::Steady,
        aids: Aids::Bare,
        ..Recording::of(&run)
    };
    Flown {
        score: score(&run),
        drill,
        recording,
    }
}

impl Flown {
    fn save(&self, logbook: &Logbook) -> Result<String, LogbookError> {
        let entry = logbook.save(&self.recording, &self.drill, &self.score, &[])?;
        Ok(entry.id)
    }
}

fn lines(folder: &Folder) -> Vec<String> {
    let text = fs::read_to_string(folder.join("logbook.jsonl")).unwrap();
    text.lines().map(str::to_string).collect()
}

#[test]
fn nothing_saved_is_an_empty_logbook_and_leaves_no_trace() {
    let folder = Folder::new();
    let logbook = Logbook::at(folder.join("data"));
    assert_eq!(logbook.entries().unwrap().entries, []);
    assert_eq!(logbook.latest_id().unwrap(), None);
    assert!(!folder.join("data").exists());
}

#[test]
fn reading_makes_no_file_in_a_folder_that_is_there() {
    let folder = Folder::new();
    let logbook = Logbook::at(folder.path().to_path_buf());
    assert_eq!(logbook.entries().unwrap().entries, []);
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
}

#[test]
fn a_saved_run_comes_back_whole() {
    let folder = Folder::new();
    let logbook = Logbook::at(folder.join("deep/down"));
    let flown = flown();
    let entry = logbook
        .save(&flown.recording, &flown.drill, &flown.score, &[])
        .unwrap();

    assert!(entry.id.starts_with("20261125-223015-"), "{}", entry.id);
    assert_eq!(entry.id.len(), "20261125-223015-a1b2".len());
    assert_eq!(entry.points, flown.score.points);
    assert_eq!(entry.end_s, flown.recording.ticks as f64 / 64.0);
    assert_eq!(
        logbook.entries().unwrap().entries,
        std::slice::from_ref(&entry)
    );
    assert_eq!(logbook.latest_id().unwrap(), Some(entry.id.clone()));

    let recording = logbook.recording(&entry.id).unwrap();
    let wanted = Recording {
        id: entry.id.clone(),
        points: flown.score.points,
        seal: recording.seal.clone(),
        ..flown.recording.clone()
    };
    assert_eq!(recording, wanted);
    assert_eq!(score(&recording.replay().unwrap()), flown.score);
}

#[test]
fn eight_writers_leave_eighty_whole_lines() {
    let folder = Folder::new();
    let flown = flown();
    std::thread::scope(|scope| {
        for _ in 0..8 {
            scope.spawn(|| {
                let logbook = Logbook::at(folder.path().to_path_buf());
                for _ in 0..10 {
                    flown.save(&logbook).unwrap();
                }
            });
        }
    });
    let found = Logbook::at(folder.path().to_path_buf()).entries().unwrap();
    assert_eq!((found.entries.len(), found.unreadable), (80, 0));
    assert_eq!(lines(&folder).len(), 80);

    let ids: BTreeSet<String> = found.entries.iter().map(|entry| entry.id.clone()).collect();
    let files: BTreeSet<String> = fs::read_dir(folder.join("runs"))
        .unwrap()
        .map(|file| file.unwrap().file_name().into_string().unwrap())
        .collect();
    let wanted: BTreeSet<String> = ids.iter().map(|id| format!("{id}.json")).collect();
    assert_eq!(ids.len(), 80);
    assert_eq!(files, wanted);
}

#[test]
fn a_writer_waits_for_another() {
    let folder = Folder::new();
    let flown = flown();
    let logbook = Logbook::at(folder.path().to_path_buf());
    let other = fs::File::create(folder.join("logbook.jsonl")).unwrap();
    other.lock().unwrap();
    std::thread::scope(|scope| {
        let writer = scope.spawn(|| flown.save(&logbook));
        while !folder.join("runs").exists() {
            std::thread::yield_now();
        }
        std::thread::sleep(std::time::Duration::from_millis(50));
        assert_eq!(lines(&folder).len(), 0);
        other.unlock().unwrap();
        writer.join().unwrap().unwrap();
    });
    assert_eq!(lines(&folder).len(), 1);
}

#[test]
fn a_line_that_a_dead_writer_left_half_costs_only_itself() {
    let folder = Folder::new();
    let logbook = Logbook::at(folder.path().to_path_buf());
    let flown = flown();
    let first = flown.save(&logbook).unwrap();
    let mut text = fs::read(folder.join("logbook.jsonl")).unwrap();
    text.extend_from_slice(br#"{"schema":1,"id":"2026"#);
    folder.file("logbook.jsonl", &text);

    let second = flown.save(&logbook).unwrap();
    let found = logbook.entries().unwrap();
    let ids: Vec<&str> = found
        .entries
        .iter()
        .map(|entry| entry.id.as_str())
        .collect();
    assert_eq!(ids, [first.as_str(), second.as_str()]);
    assert_eq!(found.unreadable, 1);
    assert_eq!(lines(&folder).len(), 3);
}

#[test]
fn lines_it_cannot_read_are_counted_and_skipped() {
    let folder = Folder::new();
    let logbook = Logbook::at(folder.path().to_path_buf());
    flown().save(&logbook).unwrap();
    let good = lines(&folder).remove(0);
    let later = good.replacen("\"schema\":1", "\"schema\":2", 1);
    assert_ne!(good, later);
    let mut text = format!("nonsense\n\n  \n{later}\n{{}}\n{good}\n").into_bytes();
    text.extend_from_slice(b"\xff\xfe\n");
    folder.file("logbook.jsonl", text);

    let found = logbook.entries().unwrap();
    assert_eq!((found.entries.len(), found.unreadable), (1, 4));
}

#[test]
fn an_id_never_leads_out_of_the_folder() {
    let folder = Folder::new();
    folder.file("secret.json", "{}");
    let logbook = Logbook::at(folder.join("data"));
    let long = "a".repeat(65);
    for id in [
        "",
        ".",
        "..",
        "../../secret",
        "a/b",
        "a\\b",
        "x.json",
        "a\0b",
        "é",
        "a b",
        &long,
    ] {
        let error = logbook.recording(id).unwrap_err();
        assert!(matches!(error, LogbookError::BadId { .. }), "{id}: {error}");
        assert!(!error.to_string().contains('\0'));
    }
    let error = logbook.recording("20261125-223015-a1b2").unwrap_err();
    assert!(matches!(error, LogbookError::NoRun { .. }), "{error}");
}

#[test]
fn a_damaged_recording_is_told_from_a_missing_one() {
    let folder = Folder::new();
    let logbook = Logbook::at(folder.path().to_path_buf());
    let id = flown().save(&logbook).unwrap();
    let file = folder.join(&format!("runs/{id}.json"));
    let text = fs::read_to_string(&file).unwrap();

    fs::write(&file, &text[..text.len() / 2]).unwrap();
    let error = logbook.recording(&id).unwrap_err();
    assert!(matches!(error, LogbookError::Damaged { .. }), "{error}");

    fs::write(&file, text.replacen("\"schema\":1", "\"schema\":9", 1)).unwrap();
    let error = logbook.recording(&id).unwrap_err();
    assert!(error.to_string().contains("layout 9"), "{error}");
}

#[test]
fn a_run_without_a_time_is_refused() {
    let folder = Folder::new();
    let logbook = Logbook::at(folder.path().to_path_buf());
    let mut flown = flown();
    for at in [
        "",
        "yesterday",
        "2026-11-25 22:30:15",
        "2026-11-25T22:30",
        "２０２６-11-25T22:30:15",
    ] {
        flown.recording.at = at.to_string();
        let error = flown.save(&logbook).unwrap_err();
        assert!(
            matches!(error, LogbookError::BadTime { .. }),
            "{at}: {error}"
        );
    }
    assert!(!folder.join("logbook.jsonl").exists());
}

#[test]
fn a_folder_that_cannot_be_made_says_what_to_try() {
    let folder = Folder::new();
    let file = folder.file("in-the-way", "");
    let error = flown()
        .save(&Logbook::at(file.join("data")))
        .unwrap_err()
        .to_string();
    assert!(error.contains("in-the-way"), "{error}");
    assert!(error.contains("--data"), "{error}");
}

#[test]
fn a_line_tells_the_means_over_the_tasks_that_have_a_figure() {
    let drill = shipped("quarry-stair");
    let run = hands::fly(drill.clone(), 7, &mut Steady::new(&drill));
    let score = score(&run);
    let entry = Entry::weighed(&Recording::of(&run), &drill, &score, &[]);
    let counting = score.tasks.iter().filter(|task| task.task.scored);
    let rms: Vec<f64> = counting
        .filter_map(|task| task.number(Key::RmsFt))
        .collect();
    assert!(rms.len() > 1, "{rms:?}");
    let mean = rms.iter().sum::<f64>() / rms.len() as f64;
    let told = entry.figures.iter().find(|(key, _)| key == "rms_ft");
    let (_, told) = told.unwrap();
    assert!((told - mean).abs() <= 0.005 + 1e-9, "{told} {mean}");
}

#[test]
fn a_file_is_read_up_to_its_bound_and_no_further() {
    let folder = Folder::new();
    let file = folder.file("four", "1234");
    assert_eq!(files::read(&file, 4).unwrap(), b"1234");
    let error = files::read(&file, 3).unwrap_err();
    assert_eq!(error.kind(), ErrorKind::FileTooLarge);
}

#[test]
fn what_is_no_file_is_refused_before_it_is_opened() {
    let folder = Folder::new();
    let kind = |error: std::io::Result<Vec<u8>>| error.unwrap_err().kind();
    assert_eq!(kind(files::read(folder.path(), 9)), ErrorKind::IsADirectory);
    assert_eq!(
        kind(files::read(&folder.join("nowhere"), 9)),
        ErrorKind::NotFound
    );
    // It would read as empty, but is not a regular file.
    #[cfg(unix)]
    assert_eq!(
        kind(files::read(std::path::Path::new("/dev/null"), 9)),
        ErrorKind::InvalidInput
    );
}

/// A recording that comes from another folder gets the last line, whenever it was flown.
#[test]
fn the_latest_run_is_the_one_flown_last_wherever_its_line_stands() {
    let folder = Folder::new();
    let logbook = Logbook::at(folder.path().to_path_buf());
    let mut flown = flown();
    // Compared as text, the first of these two times would be the later one.
    flown.recording.at = "2026-11-25T23:30:00+03:00".to_string();
    let earlier = flown.save(&logbook).unwrap();
    flown.recording.at = "2026-11-25T22:30:15+01:00".to_string();
    let latest = flown.save(&logbook).unwrap();
    flown.recording.at = "2026-11-24T08:00:00+01:00".to_string();
    let first = flown.save(&logbook).unwrap();
    assert!(lines(&folder)[2].contains(&first), "it stands last");
    assert_eq!(logbook.latest_id().unwrap(), Some(latest.clone()));
    let entries = logbook.entries().unwrap().entries;
    let ids: Vec<String> = entries.into_iter().map(|entry| entry.id).collect();
    assert_eq!(ids, [first, earlier, latest]);
}
