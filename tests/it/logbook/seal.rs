//! A recording shows any change to it.

use std::fs;

use leveloff::logbook::{Logbook, LogbookError};
use serde_json::Value;

use super::flown;
use crate::folder::Folder;

/// A value next to this one of the same type.
fn altered(value: &Value) -> Value {
    match value {
        Value::Null => 1.into(),
        Value::Bool(is) => (!is).into(),
        Value::Number(n) if n.is_u64() => (n.as_u64().unwrap() + 1).into(),
        Value::Number(n) => (n.as_f64().unwrap() + 0.5).into(),
        Value::String(text) => text.replacen(['a', 'e', '1'], "x", 1).into(),
        Value::Array(list) if list.is_empty() => vec![Value::from(1)].into(),
        Value::Array(list) => list[1..].to_vec().into(),
        Value::Object(_) => Value::Null,
    }
}

#[test]
fn no_field_changes_unnoticed() {
    let folder = Folder::new();
    let logbook = Logbook::at(folder.path().to_path_buf());
    let id = flown().save(&logbook).unwrap();
    let file = folder.join(&format!("runs/{id}.json"));
    let text = fs::read_to_string(&file).unwrap();
    let whole: Value = serde_json::from_str(&text).unwrap();
    let fields = whole.as_object().unwrap();
    assert!(fields.len() > 15);
    for (key, value) in fields {
        let (was, is) = (value.to_string(), altered(value).to_string());
        let from = format!("\"{key}\":{was}");
        assert!(text.contains(&from), "{key}");
        fs::write(&file, text.replacen(&from, &format!("\"{key}\":{is}"), 1)).unwrap();
        let told = logbook.recording(&id).unwrap_err();
        assert!(
            matches!(told, LogbookError::Damaged { .. }),
            "{key}: {told}"
        );
    }
    // Numbers inside the drill, by a digit.
    for (from, to) in [
        ("altitude_ft = 1", "altitude_ft = 2"),
        ("band_ft = ", "band_ft = 1"),
    ] {
        assert!(text.contains(from), "{from}");
        fs::write(&file, text.replacen(from, to, 1)).unwrap();
        let told = logbook.recording(&id).unwrap_err().to_string();
        assert!(told.contains("has been changed"), "{told}");
    }
    fs::write(&file, &text).unwrap();
    assert!(logbook.recording(&id).is_ok());
}

#[test]
fn a_recording_without_a_seal_is_an_old_one_and_read() {
    let folder = Folder::new();
    let logbook = Logbook::at(folder.path().to_path_buf());
    let id = flown().save(&logbook).unwrap();
    let file = folder.join(&format!("runs/{id}.json"));
    let text = fs::read_to_string(&file).unwrap();
    let (body, _) = text.rsplit_once(",\"seal\"").unwrap();
    fs::write(&file, format!("{body}}}")).unwrap();
    let old = logbook.recording(&id).unwrap();
    assert_eq!(old.seal, None);
    old.replay().unwrap();
}

#[test]
fn a_recording_under_another_name_is_not_that_run() {
    let folder = Folder::new();
    let logbook = Logbook::at(folder.path().to_path_buf());
    let id = flown().save(&logbook).unwrap();
    let (own, other) = (format!("runs/{id}.json"), "runs/20270101-000000-0000.json");
    fs::rename(folder.join(&own), folder.join(other)).unwrap();
    let told = logbook
        .recording("20270101-000000-0000")
        .unwrap_err()
        .to_string();
    assert!(told.contains(&format!("run `{id}`")), "{told}");
}
