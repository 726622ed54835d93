//! Hands and echoes by name on the command line.

use super::Shell;

#[test]
fn every_built_in_hand_flies_without_a_screen_and_is_kept_under_its_name() {
    let hands = [
        "steady",
        "green",
        "best",
        "level_off_late",
        "level_off_early",
        "power_too_much",
        "power_too_little",
        "second_move_missing",
        "pumping",
        "level_power_off",
        "descent_late",
        "descent_early",
    ];
    let shell = Shell::with_pars();
    for hand in hands {
        let drill = match hand.starts_with("descent") {
            true => "onto-the-shelf",
            false => "catch-the-sink",
        };
        let args = ["simulate", drill, "--hand", hand, "--save", "--json"];
        let flown = shell.json(&args);
        let id = flown["id"].as_str().unwrap();
        let again = shell.json(&["debrief", id, "--json"]);
        assert_eq!(again["digest"], flown["digest"], "{hand}");
        let text = shell.good(&["debrief", id, "--text"]);
        assert!(text.contains(hand), "{text}");
    }
    let help = shell.good(&["fly", "--help"]);
    for hand in hands {
        assert!(help.contains(&format!("{hand}:")), "{hand} in {help}");
    }
}

#[test]
fn a_hand_that_is_none_is_a_wrong_question() {
    let shell = Shell::new();
    for command in ["fly", "simulate"] {
        for nobody in ["nobody", "person", "script", "level-off-late", ""] {
            let err = shell.bad(2, &[command, "quarry-stair", "--hand", nobody]);
            let empty = nobody.is_empty() && err.contains("a value is required");
            assert!(empty || err.contains("possible values: steady"), "{err}");
        }
    }
    let err = shell.bad(2, &["fly", "quarry-stair", "--hand", "green", "--predict"]);
    assert!(err.contains("cannot be used with"), "{err}");
}

#[test]
fn a_fault_a_drill_has_no_room_for_is_refused_with_those_it_can_show() {
    let shell = Shell::new();
    let refused = [
        (
            "level-over-the-tarn",
            "power_too_much",
            "needs a step, a rate or a path",
        ),
        (
            "onto-the-shelf",
            "level_off_late",
            "needs a step or a slow that counts",
        ),
        (
            "a-rate-and-no-more",
            "level_off_early",
            "needs a step or a slow that counts",
        ),
        ("quarry-stair", "descent_late", "needs a path that counts"),
    ];
    for command in ["fly", "simulate"] {
        for (drill, hand, needs) in refused {
            let err = shell.bad(2, &[command, drill, "--hand", hand]);
            assert!(err.contains(&format!("`{hand}` {needs}")), "{err}");
            assert!(err.contains("it can show "), "{err}");
            assert!(err.contains("pumping, level_power_off"), "{err}");
            assert_eq!(err.trim_end().lines().count(), 1, "{err}");
        }
    }
}

#[test]
fn an_echo_is_par_the_brief_best_or_a_run_of_the_same_drill() {
    let shell = Shell::with_pars();
    let echo = |wanted: &str| shell.bad(2, &["fly", "quarry-stair", "--echo", wanted]);
    // These are valid, but there is no terminal here.
    for wanted in ["par", "brief", "best"] {
        assert!(echo(wanted).contains("flying needs a terminal"));
    }
    let err = echo("../somewhere");
    assert!(
        err.contains("--echo takes par, brief, best or the id of a run"),
        "{err}"
    );
    let err = echo("20260301-093000-1b6c");
    assert!(err.contains("20260301-093000-1b6c"), "{err}");

    let save = |drill| shell.save(drill, &["--hand", "steady"]);
    assert!(echo(&save("quarry-stair")).contains("flying needs a terminal"));
    let err = echo(&save("catch-the-sink"));
    assert!(
        err.contains("is of the drill `catch-the-sink`, not of `quarry-stair`"),
        "{err}"
    );

    let id = save("quarry-stair");
    let file = shell.recording(&id);
    let kept = std::fs::read_to_string(&file).unwrap();
    let changed = kept
        .replace("\"model\":", "\"model\":9")
        .replace("\"seal\":", "\"seal_then\":");
    assert_ne!(kept, changed);
    std::fs::write(&file, changed).unwrap();
    let err = echo(&id);
    assert!(
        err.contains("cannot be flown again: flown with model 9"),
        "{err}"
    );
}
