//! The pilot's name: given by an argument, the environment or the file of preferences, kept with the run.

use std::fs;

use serde_json::Value;

use super::Shell;
use crate::kept::lay_pars;
use crate::pty_harness::Start;

#[test]
fn a_pilot_is_kept_with_the_run_and_told_in_its_debrief() {
    let shell = Shell::with_pars();
    let (drill, green) = ("catch-the-sink", ["--hand", "green"]);
    let named = shell.save(drill, &[&green[..], &["--pilot", "Kim Öde"]].concat());
    let nameless = shell.save(drill, &green);
    let recording = |id: &str| -> Value {
        serde_json::from_slice(&fs::read(shell.recording(id)).unwrap()).unwrap()
    };
    assert_eq!(recording(&named)["pilot"], "Kim Öde");
    assert_eq!(recording(&nameless).get("pilot"), None);
    let log = shell.json(&["log", "--json"]);
    assert_eq!(log["entries"][0]["pilot"], "Kim Öde");
    assert_eq!(log["entries"][1].get("pilot"), None);
    let text = shell.good(&["debrief", &named]);
    assert!(
        text.contains(&format!("run {named} by Kim Öde, aids")),
        "{text}"
    );

    for name in ["", "  ", "a\nb", "\u{1b}[31mred", &"x".repeat(41)] {
        let save = ["simulate", drill, "--save", "--pilot", name];
        let err = shell.bad(2, &[&save[..], &green].concat());
        assert!(err.contains("plain characters") || name.is_empty(), "{err}");
    }
}

#[test]
fn a_preferred_pilot_flies_as_a_person_and_never_as_a_hand() {
    let flown_by = |hand: Option<&str>, wanted: &str| {
        let mut args = vec!["fly", "quarry-stair", "--seed", "5"];
        args.extend(hand.iter().flat_map(|hand| ["--hand", *hand]));
        let start = Start::on(80, 24).args(&args);
        let start = start.env("LEVELOFF_PILOT", "Kim");
        let mut pty = start.laid(lay_pars).spawn();
        pty.wait_text("ready: space begins");
        pty.send(" ");
        pty.wait_text("0:06");
        pty.send("q");
        pty.wait_text("You left at");
        pty.send("q");
        pty.wait_text("enter opens the brief");
        pty.send("q");
        assert_eq!(pty.exit_code(), 0);
        let log = fs::read_to_string(pty.data().join("logbook.jsonl")).unwrap();
        assert!(log.contains(wanted), "{log}");
        assert_eq!(log.contains("Kim"), hand.is_none(), "{log}");
    };
    // Both at once, since they only wait.
    std::thread::scope(|scope| {
        scope.spawn(|| flown_by(None, "\"pilot\":\"Kim\""));
        scope.spawn(|| flown_by(Some("green"), "\"hand\":\"green\""));
    });
}
