//! Files left by writers that died, and their repair by the next reader.

use std::fs;
use std::path::PathBuf;

use leveloff::logbook::Logbook;

use super::{flown, lines};
use crate::folder::Folder;

fn kept() -> (Folder, Logbook, String) {
    let folder = Folder::new();
    let logbook = Logbook::at(folder.path().to_path_buf());
    let id = flown().save(&logbook).unwrap();
    (folder, logbook, id)
}

fn ids(logbook: &Logbook) -> Vec<String> {
    let found = logbook.entries().unwrap();
    found.entries.into_iter().map(|entry| entry.id).collect()
}

fn names(folder: &Folder) -> Vec<String> {
    let files = fs::read_dir(folder.join("runs")).unwrap();
    let mut names: Vec<String> = files
        .map(|file| file.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

/// The lines without the figures, which only the weighing of a run gives.
fn untold(folder: &Folder) -> Vec<String> {
    let lines = lines(folder).into_iter();
    lines
        .map(|line| {
            let mut line: serde_json::Value = serde_json::from_str(&line).unwrap();
            line.as_object_mut().unwrap().remove("figures");
            line.to_string()
        })
        .collect()
}

#[test]
fn a_recording_whose_writer_died_before_its_line_gets_the_same_line() {
    let (folder, logbook, first) = kept();
    let mut broken_off = flown();
    broken_off.recording.left = true;
    broken_off.score.complete = false;
    let second = broken_off.save(&logbook).unwrap();
    let both = untold(&folder);
    fs::write(folder.join("logbook.jsonl"), format!("{}\n", both[0])).unwrap();
    assert_eq!(ids(&logbook), [first.clone(), second.clone()]);
    assert_eq!(untold(&folder), both);

    // First all lines lost, then the last of them only half written.
    fs::remove_file(folder.join("logbook.jsonl")).unwrap();
    let found = ids(&logbook);
    assert_eq!((found.len(), lines(&folder).len()), (2, 2));
    let half = &both[1][..both[1].len() / 2];
    fs::write(folder.join("logbook.jsonl"), format!("{}\n{half}", both[0])).unwrap();
    assert_eq!(ids(&logbook), [first, second]);
}

#[test]
fn files_that_were_never_finished_go() {
    let (folder, logbook, id) = kept();
    folder.file("runs/20261125-223015-0000.json", "");
    folder.file("runs/20261125-223015-0001.json.part", "{\"schema\":1");
    folder.file("runs/20261125-223015-0002.7-0.part", "");
    assert_eq!(ids(&logbook), std::slice::from_ref(&id));
    assert_eq!(names(&folder), [format!("{id}.json")]);

    let drill = super::flown().drill;
    folder.file("par", "");
    fs::remove_file(folder.join("par")).unwrap();
    fs::create_dir(folder.join("par")).unwrap();
    folder.file("par/4711-0.part", "{");
    logbook.pars(&drill, 1, &mut |_| {});
    let left = fs::read_dir(folder.join("par")).unwrap().count();
    assert_eq!(left, 1, "the pars alone");
}

#[test]
fn what_somebody_is_writing_now_stays() {
    let (folder, logbook, _) = kept();
    let path: PathBuf = folder.file("runs/20261125-223015-0001.9-9.part", "{");
    let writer = fs::File::open(&path).unwrap();
    writer.lock().unwrap();
    logbook.entries().unwrap();
    assert!(path.exists());
    writer.unlock().unwrap();
    logbook.entries().unwrap();
    assert!(!path.exists());
}

#[test]
fn what_is_no_recording_is_left_for_a_person_to_look_at() {
    let (folder, logbook, id) = kept();
    let text = fs::read_to_string(folder.join(&format!("runs/{id}.json"))).unwrap();
    // Another run's id, half a recording, and something else entirely.
    folder.file("runs/copy.json", &text);
    folder.file("runs/half.json", &text[..text.len() / 2]);
    folder.file("runs/list.json", "[1, 2]");
    assert_eq!(ids(&logbook), [id]);
    assert_eq!(names(&folder).len(), 4);
}

#[cfg(unix)]
#[test]
fn a_folder_that_cannot_be_written_is_read_all_the_same() {
    use std::os::unix::fs::PermissionsExt;
    let (folder, logbook, id) = kept();
    folder.file("runs/20261125-223015-0000.json", "");
    let lock = |mode| {
        for name in ["logbook.jsonl", "runs"] {
            let mode = fs::Permissions::from_mode(mode);
            fs::set_permissions(folder.join(name), mode).unwrap();
        }
    };
    lock(0o555);
    let found = ids(&logbook);
    lock(0o755);
    assert_eq!(found, [id]);
}
