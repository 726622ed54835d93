//! The aeroplane's page and a drill's brief, as the program prints them.

use leveloff::brief::{AeroplanePage, PowerCard};
use leveloff::drill::library;
use leveloff::export::CAUTION;
use leveloff::units::FT;
use serde_json::Value;

use super::{Shell, hold_drill, one_line};
use crate::flying::shipped;
use crate::kept::{self, briefed, card};

/// The lines of a text from the first that begins with `start`.
fn from<'a>(text: &'a str, start: &str) -> Vec<&'a str> {
    text.lines()
        .skip_while(|line| !line.starts_with(start))
        .collect()
}

#[test]
fn an_aeroplanes_page_has_its_lines_its_drag_curve_and_its_card() {
    let shell = Shell::new();
    // A card takes a search, so only one jet's and one propeller's.
    for shipped in ["first jet", "prop trainer"].map(library::aircraft) {
        let shipped = shipped.unwrap();
        let aircraft = shipped.aircraft().unwrap();
        let text = shell.good(&["aircraft", shipped.id, "--altitude-ft", "1500"]);
        let page = AeroplanePage::new(&aircraft, 1500.0 * FT);
        let card = card(&aircraft, 1500.0 * FT).unwrap();
        assert!(text.starts_with(&page.lines().join("\n")), "{text}");
        assert!(
            text.contains(&page.drag_curve.picture(72, 16).join("\n")),
            "{text}"
        );
        assert_eq!(from(&text, "power card:")[1..], card.lines());
        assert!(text.is_ascii());
    }
}

#[test]
fn an_aeroplanes_json_is_its_page_and_its_card() {
    let shell = Shell::new();
    let aircraft = library::aircraft("late jet").unwrap().aircraft().unwrap();
    let mut found = shell.json(&["aircraft", "late jet", "--altitude-ft", "3000", "--json"]);
    let card = found.as_object_mut().unwrap().remove("power_card").unwrap();
    let wanted = kept::card(&aircraft, 3000.0 * FT).unwrap();
    assert_eq!(card, serde_json::to_value(wanted).unwrap());
    assert_eq!(found["altitude_ft"], 3000.0);
    let mut page = AeroplanePage::new(&aircraft, 3000.0 * FT);
    page.altitude_ft = 3000.0;
    assert_eq!(found, serde_json::to_value(page).unwrap());
}

/// A plan knows no gusts, and says so where there are any.
#[test]
fn moves_in_gusts_are_said_to_leave_them_out() {
    let shell = Shell::new();
    let hold = |air: &str| {
        format!(
            "title = 'T'\nabout = 'A'\naircraft = 'deck jet'\n[start]\naltitude_ft = 800\ndistance_nm = 3\n[air]\n{air}\n\
             [deck]\nheight_ft = 50\nspeed_kt = 10\nzone_ft = 500\n\
             [[task]]\nhold = {{ altitude_ft = 800, band_ft = 30, seconds = 10 }}\n"
        )
    };
    for (air, told) in [
        ("gusts = 'lively'", "the moves are for the air without them"),
        (
            "wake = true",
            "the moves are for its steady part; its gusts need answers of your own",
        ),
    ] {
        shell.folder.file("gusty.toml", hold(air));
        let text = shell.good(&["brief", "gusty.toml"]);
        assert!(text.contains(told), "{text}");
    }
    shell.folder.file("still.toml", hold(""));
    let text = shell.good(&["brief", "still.toml"]);
    assert!(!text.contains("the moves are for"), "{text}");
}

#[test]
fn an_aeroplane_too_high_to_fly_level_has_no_card_and_says_why() {
    let shell = Shell::new();
    let args = ["aircraft", "prop trainer", "--altitude-ft", "30000"];
    let text = shell.good(&args);
    let card = from(&text, "power card:");
    assert_eq!(card.len(), 2, "{text}");
    assert!(
        card[1].starts_with("none: prop trainer cannot fly level on speed at 30,000 ft"),
        "{text}"
    );
    assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
    let page = shell.json(&[&args[..], &["--json"]].concat());
    assert_eq!(page.get("power_card"), Some(&Value::Null));
    assert_eq!(page["altitude_ft"], 30_000.0);
}

/// One drill of each kind of task: the module `brief` covers every drill. A path and a surprise also as JSON, which takes
/// another search.
#[test]
fn the_brief_of_a_drill_is_told_with_its_card_and_its_caution() {
    let shell = Shell::new();
    for id in [
        "cliff-top",
        "a-rate-and-no-more",
        "level-over-the-tarn",
        "onto-the-shelf",
        "the-late-answer",
        "what-the-rock-calls",
    ] {
        let drill = shipped(id);
        let brief = briefed(&drill);
        let altitude_m = PowerCard::altitude_m(&drill);
        let card = card(&drill.aircraft, altitude_m).unwrap();
        if let Some(asked_ft) = brief.tasks[0].altitude_ft {
            assert_eq!(
                altitude_m,
                asked_ft * FT,
                "the card is that of the first task"
            );
        }

        let text = shell.good(&["brief", id]);
        let wanted = [
            brief.lines().join("\n"),
            String::new(),
            "power card:".to_string(),
            card.lines().join("\n"),
            String::new(),
            CAUTION.to_string(),
            String::new(),
        ];
        assert_eq!(text, wanted.join("\n"), "{id}");
        assert!(text.starts_with(&drill.title), "{text}");
        assert!(text.contains("level power"), "{text}");

        if !["onto-the-shelf", "what-the-rock-calls"].contains(&id) {
            continue;
        }
        let mut found = shell.json(&["brief", id, "--json"]);
        let found_card = found.as_object_mut().unwrap().remove("power_card").unwrap();
        assert_eq!(found_card, serde_json::to_value(card).unwrap());
        assert_eq!(found, serde_json::to_value(brief).unwrap());
        assert_eq!(found["drill"], id);
        assert_eq!(found["tasks"].as_array().unwrap().len(), drill.tasks.len());
    }
}

#[test]
fn a_brief_takes_a_file_and_tells_what_is_wrong_with_it() {
    let shell = Shell::new();
    let good = hold_drill("deck jet", 1500.0, 10.0);
    shell.folder.file("own.toml", &good);
    let text = shell.good(&["brief", "own.toml"]);
    assert!(text.starts_with("Hold: deck jet, 15,800 kg\n"), "{text}");
    assert!(text.contains("\ndeck jet at 1500 ft, 15800 kg, level power "));
    assert_eq!(shell.json(&["brief", "own.toml", "--json"])["drill"], "own");

    shell
        .folder
        .file("bad.toml", good.replace("seconds = 10", "seconds = 0"));
    for args in [&["brief", "bad.toml"][..], &["brief", "bad.toml", "--json"]] {
        let err = shell.bad(2, args);
        let line = one_line(&err);
        assert!(
            line.starts_with("bad.toml:7:56: `seconds` is 0; "),
            "{line}"
        );
    }
    let err = shell.bad(2, &["brief", "catch-the-snk"]);
    assert!(one_line(&err).contains("nearest is `catch-the-sink`"));
    assert!(!shell.folder.join("data").exists(), "a brief saves nothing");
}
