//! Notes: kept beside a recording, by several writers, with any damage to their file.

use std::fs;

use leveloff::logbook::{About, Logbook, LogbookError, Note, Notes};
use leveloff::run::Recording;

use super::flown;
use crate::folder::Folder;

fn note(about: About, text: &str) -> Note {
    let at = "2026-11-26T10:11:12+01:00".to_string();
    Note::new(at, Some("Coach".to_string()), about, text.to_string())
}

/// A logbook with a run that has marks.
fn logbook() -> (Folder, Logbook, String) {
    let folder = Folder::new();
    let logbook = Logbook::at(folder.path().to_path_buf());
    let mut flown = flown();
    flown.recording = Recording {
        marks: vec![64, 640],
        ..flown.recording
    };
    let id = flown.save(&logbook).unwrap();
    (folder, logbook, id)
}

#[test]
fn notes_come_back_in_order_and_the_recording_stays_as_it_was() {
    let (folder, logbook, id) = logbook();
    let file = folder.join(&format!("runs/{id}.json"));
    let before = (
        fs::read(&file).unwrap(),
        fs::metadata(&file).unwrap().modified().unwrap(),
    );
    let summary = fs::read(folder.join("logbook.jsonl")).unwrap();
    assert_eq!(logbook.notes(&id).unwrap(), Notes::default());

    let written = [
        note(About::Run, "Good start."),
        note(About::Task(1), "Watch the \"lever\", not the number: é, ö."),
        note(About::Mark(2), "What did you see here?"),
        Note {
            by: None,
            ..note(About::Run, "Unsigned.")
        },
    ];
    for note in &written {
        logbook.add_note(&id, note).unwrap();
    }
    let found = logbook.notes(&id).unwrap();
    assert_eq!((&found.notes[..], found.unreadable), (&written[..], 0));
    let after = (
        fs::read(&file).unwrap(),
        fs::metadata(&file).unwrap().modified().unwrap(),
    );
    assert_eq!(before, after);
    assert_eq!(summary, fs::read(folder.join("logbook.jsonl")).unwrap());
    assert_eq!(logbook.entries().unwrap().entries.len(), 1);
}

#[test]
fn what_is_not_there_and_what_is_not_fit_is_refused_and_leaves_nothing() {
    let (folder, logbook, id) = logbook();
    let long = "x".repeat(1001);
    let cases = [
        (note(About::Task(0), "a"), "no task 0"),
        (note(About::Task(2), "a"), "no task 2; its only task is 1"),
        (note(About::Mark(0), "a"), "no mark 0"),
        (note(About::Mark(3), "a"), "no mark 3; its marks are 1 to 2"),
        (note(About::Run, ""), "needs a text"),
        (note(About::Run, " \u{a0} "), "needs a text"),
        (note(About::Run, "two\nlines"), "control character"),
        (note(About::Run, "\u{1b}[31mred"), "control character"),
        (note(About::Run, "\u{9b}31m"), "control character"),
        (note(About::Run, &long), "1001 characters"),
        (
            Note {
                by: Some("a\tb".to_string()),
                ..note(About::Run, "a")
            },
            "writer",
        ),
        (
            Note {
                by: Some(String::new()),
                ..note(About::Run, "a")
            },
            "writer",
        ),
        (
            Note {
                by: Some("n".repeat(81)),
                ..note(About::Run, "a")
            },
            "at most 80",
        ),
    ];
    for (note, wanted) in cases {
        let error = logbook.add_note(&id, &note).unwrap_err();
        assert!(matches!(error, LogbookError::BadNote { .. }), "{error}");
        let message = error.to_string();
        assert!(message.contains(wanted), "{message}");
        assert!(!message.contains(char::is_control), "{message}");
    }
    let good = note(About::Run, "a");
    for other in ["20261125-223015-ffff", "../logbook", ""] {
        let error = logbook.add_note(other, &good).unwrap_err();
        let is_known = matches!(
            error,
            LogbookError::NoRun { .. } | LogbookError::BadId { .. }
        );
        assert!(is_known, "{error}");
    }
    assert!(logbook.notes("../logbook").is_err());
    let files = fs::read_dir(folder.join("runs")).unwrap().count();
    assert_eq!(files, 1, "only the recording");
}

#[test]
fn the_longest_note_is_kept_whole() {
    let (_folder, logbook, id) = logbook();
    let longest = "x".repeat(1000);
    logbook.add_note(&id, &note(About::Run, &longest)).unwrap();
    assert_eq!(logbook.notes(&id).unwrap().notes[0].text, longest);
}

#[test]
fn a_run_without_marks_has_none_to_note() {
    let folder = Folder::new();
    let logbook = Logbook::at(folder.path().to_path_buf());
    let id = flown().save(&logbook).unwrap();
    let error = logbook.add_note(&id, &note(About::Mark(1), "a"));
    assert!(error.unwrap_err().to_string().contains("has no marks"));
}

#[test]
fn eight_writers_leave_every_note_whole() {
    let (folder, logbook, id) = logbook();
    std::thread::scope(|scope| {
        for writer in 0..8 {
            let (logbook, id) = (&logbook, &id);
            scope.spawn(move || {
                for count in 0..20 {
                    let text = format!("{writer} says {count}");
                    logbook.add_note(id, &note(About::Run, &text)).unwrap();
                }
            });
        }
    });
    let found = logbook.notes(&id).unwrap();
    assert_eq!((found.notes.len(), found.unreadable), (160, 0));
    for writer in 0..8 {
        let start = format!("{writer} says ");
        let own = found
            .notes
            .iter()
            .filter(|note| note.text.starts_with(&start));
        let counts: Vec<String> = own
            .map(|note| note.text[start.len()..].to_string())
            .collect();
        let wanted: Vec<String> = (0..20).map(|count| count.to_string()).collect();
        assert_eq!(counts, wanted);
    }

    // A line half written by a dead writer is closed and counted, and no other line is lost.
    let file = folder.join(&format!("runs/{id}.notes.jsonl"));
    let mut bytes = fs::read(&file).unwrap();
    bytes.extend_from_slice(br#"{"schema":1,"at":"2026"#);
    fs::write(&file, bytes).unwrap();
    logbook.add_note(&id, &note(About::Run, "after")).unwrap();
    let found = logbook.notes(&id).unwrap();
    assert_eq!((found.notes.len(), found.unreadable), (161, 1));
    assert_eq!(found.notes[160].text, "after");
}
