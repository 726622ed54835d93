//! Briefs of drills: what they say, and the questions that come before. What they promise is flown in `plan`.

use std::collections::BTreeSet;
use std::sync::Arc;

use leveloff::brief::predict::Unit;
use leveloff::brief::recipe_words;
use leveloff::brief::{DrillBrief, Predict};
use leveloff::drill::reader::plain;
use leveloff::drill::{Drill, library};
use leveloff::plan::recipe::{half_percent, percent};
use leveloff::plan::{Move, When};
use leveloff::sim::trim;
use leveloff::units::{FPM, FT, KT};

use super::{assert_near, assert_readable, drill_of, shipped};
use crate::kept::{briefed, card};

fn one_step(name: &str, start: &str, to_ft: f64) -> Arc<Drill> {
    Arc::new(drill_of(&format!(
        "title = \"t\"\nabout = \"a\"\naircraft = \"{name}\"\n[start]\naltitude_ft = 1500\n{start}\n\
         [[task]]\nstep = {{ to_ft = {to_ft}, band_ft = 25, hold_s = 20, within_s = 120 }}\n"
    )))
}

#[test]
fn moves_are_said_as_a_person_says_them() {
    let made = |when, value, lever| Move { when, value, lever };
    let step = [
        made(When::Start, 0.0, 0.265),
        made(When::ToGoFt, 55.0, 0.36),
        made(When::AfterS, 4.0, 0.375),
    ];
    assert_eq!(
        recipe_words::moves(&step),
        "26.5 %; at 55 ft to go 36 %; 4 s later 37.5 %"
    );
    let rate = [
        made(When::Start, 0.0, 0.12),
        made(When::ToGoFpm, 250.0, 0.26),
        made(When::AfterS, 7.5, 0.225),
    ];
    assert_eq!(
        recipe_words::moves(&rate),
        "12 %; at 250 ft/min to go 26 %; 7.5 s later 22.5 %"
    );
    let path = [
        made(When::DistanceNm, 2.9, 0.26),
        made(When::DistanceNm, 0.5, 0.275),
    ];
    let altitude_ft = |nm: f64| Some(55.0 + 380.0 * nm);
    assert_eq!(
        recipe_words::on_path(&path, &altitude_ft),
        "2.9 nm out (1,160 ft) 26 %; 0.5 nm out (250 ft) 27.5 %"
    );
    assert_eq!(recipe_words::moves(&[]), "leave the lever where it is");
}

#[test]
fn a_brief_says_what_is_off_and_what_the_air_does() {
    let drill = drill_of(
        "title = \"t\"\nabout = \"a\"\naircraft = \"late jet\"\n\
         [start]\naltitude_ft = 1000\nlever_off = 0.06\noff_speed_kt = -4\n\
         [air]\nheadwind_kt = 15\ngusts = \"lively\"\n\
         [[task]]\nhold = { altitude_ft = 1000, band_ft = 20, seconds = 30 }\n\
         [[task]]\nstep = { to_ft = 200, band_ft = 20, hold_s = 20, within_s = 150 }\n",
    );
    let drill = Arc::new(drill);
    let brief = DrillBrief::new(&drill);
    assert_near("off", brief.start.off_percent, 6.0, 1e-9);
    assert_near("slow", brief.start.off_speed_kt, -4.0, 1e-9);
    let level = trim::on_speed(&drill.aircraft, 1000.0 * FT, 0.0);
    assert_near(
        "hold",
        brief.tasks[0].level_lever.unwrap(),
        level.lever,
        1e-12,
    );
    assert_eq!(brief.tasks[0].go, None);
    let air = brief.air.unwrap();
    // MIL-F-8785C 3.7.3.2: u(200 ft) is 1.47060 of u(20 ft); 3.7.3.4: sigma_w is a tenth of the wind at 20 ft.
    assert_near("headwind", air.headwind_lowest_kt, 15.0 * 1.47060, 1e-3);
    assert_near("gusts", air.gust_up_rms_fpm, 0.1 * 8.0 * KT / FPM, 1e-9);
    assert_eq!(air.gusts, Some("lively"));
    let text = brief.lines().join("\n");
    for part in [
        "6.0 % of lever too much",
        "4 kt too slow",
        "headwind 27 kt at 1,000 ft, 22 kt at 200 ft",
        "gusts lively",
    ] {
        assert!(text.contains(part), "{part} in\n{text}");
    }
    assert_eq!(DrillBrief::new(&one_step("deck jet", "", 1200.0)).air, None);
}

/// On the smallest screen everything that is to be done stands on one page: 18 rows are left for it there.
#[test]
fn what_to_do_fits_the_smallest_screen() {
    const ROWS: usize = 18;
    for shipped in library::DRILLS {
        let drill = Arc::new(shipped.drill().unwrap());
        let brief = briefed(&drill);
        assert_readable(&brief.lines());
        let lines = brief.recipe_lines();
        assert!(lines.len() <= ROWS, "{}: {} rows", shipped.id, lines.len());
        assert!(lines.iter().all(|line| line.len() <= 76), "{lines:#?}");
        assert_eq!(brief.tasks.len(), drill.tasks.len());
        let json = serde_json::to_value(brief).unwrap();
        assert_eq!(json["schema"], 1);
        for task in &brief.tasks {
            assert!(task.level_lever.is_some());
            if let Some(go) = task.go {
                assert!(go.vertical_speed_fpm * go.change_ft > 0.0);
            }
            assert_eq!(task.recipe.is_none(), task.kind == "surprise");
            for made in task.recipe.iter().flatten() {
                let halves = made.lever * 200.0;
                assert!((halves - halves.round()).abs() < 1e-9, "{made:?}");
                assert!(
                    (0.0..=1.0).contains(&made.lever) && made.value >= 0.0,
                    "{made:?}"
                );
            }
        }
    }
}

#[test]
fn predictions_are_held_against_what_is_flown() {
    let drill = one_step("deck jet", "", 1200.0);
    let brief = DrillBrief::new(&drill);
    let predict = Predict::of(&brief);
    let power = predict.level_power.as_ref().unwrap();
    let level = trim::on_speed(&shipped("deck jet"), 1200.0 * FT, 0.0);
    assert_near(
        "power",
        power.truth,
        100.0 * half_percent(level.lever),
        1e-9,
    );
    let height = predict.level_off.as_ref().unwrap();
    let moves = brief.tasks[0].recipe.as_ref().unwrap();
    let stop = moves.iter().find(|made| made.when == When::ToGoFt).unwrap();
    assert_eq!(height.truth, stop.value);
    assert!(height.ask.contains(&percent(stop.lever)), "{}", height.ask);

    for (question, off, said) in [
        (power, 0.9, "near enough"),
        (power, 3.0, "3.0 % too much"),
        (power, -3.0, "3.0 % too little"),
        (height, 30.0, "30 ft too early"),
        (height, -30.0, "30 ft too late"),
    ] {
        let line = question.compare(question.truth + off);
        assert!(
            line.ends_with(said) || line.contains(&format!("{said}:")),
            "{line}"
        );
        assert_readable(&[line]);
    }
    assert_eq!((height.unit, power.unit), (Unit::Feet, Unit::Percent));

    let hold = drill_of(
        "title = \"t\"\nabout = \"a\"\naircraft = \"deck jet\"\n[start]\naltitude_ft = 900\n\
         [[task]]\nhold = { altitude_ft = 900, band_ft = 20, seconds = 30 }\n",
    );
    assert_eq!(
        Predict::of(&DrillBrief::new(&Arc::new(hold))).level_off,
        None
    );
}

/// Every lever a text tells: the numbers before a per cent sign, but for how far a rule of thumb is off, in brackets; idle is 0.
fn levers(line: &str) -> Vec<String> {
    let line = line.replace("idle", "0 %");
    let words: Vec<&str> = line.split_whitespace().collect();
    let pairs = words
        .windows(2)
        .filter(|pair| pair[1].starts_with('%') && !pair[0].starts_with('('));
    pairs.map(|pair| pair[0].to_string()).collect()
}

/// What is in when it begins fast is told, and no lever is called wrong that flies level like that.
#[test]
fn slowing_in_the_brief_tells_what_comes_out() {
    let drill = Arc::new(
        library::drill("off-the-fast-road")
            .unwrap()
            .drill()
            .unwrap(),
    );
    let lines = briefed(&drill).start.lines();
    assert_eq!(
        lines[1..],
        [
            "  off: 50 kt too fast",
            "  wheels in, on the way out from 150 kt",
            "  flaps in, on the way out from 135 kt",
        ]
    );
    let level = library::drill("level-over-the-tarn").unwrap();
    let level = Arc::new(level.drill().unwrap());
    assert!(briefed(&level).start.extras.is_empty());
}

/// What is to be set is told in half per cents, by recipe, numbers, card and guess alike, and is what the JSON has; level
/// power at one altitude is one number.
#[test]
fn the_same_lever_is_the_same_number_wherever_it_is_told() {
    // A card takes a search: every sixth, of each aeroplane some.
    const CARDS: usize = 6;
    let mut carded = BTreeSet::new();
    for (n, shipped) in library::DRILLS.iter().enumerate() {
        let drill = Arc::new(shipped.drill().unwrap());
        let brief = briefed(&drill);
        let card = || card(&drill.aircraft, drill.start.altitude_m).unwrap();
        let card = n.is_multiple_of(CARDS).then(card);
        carded.extend(card.iter().map(|card| card.name.clone()));
        let meant = |moves: &[Move]| -> Vec<String> {
            let mut before = None;
            let moves = moves.iter();
            let moves = moves.filter(|made| before.replace(made.lever) != Some(made.lever));
            moves
                .map(|made| plain((1000.0 * made.lever).round() / 10.0))
                .collect()
        };
        for task in &brief.tasks {
            let told = levers(&task.recipe_lines().join(" "));
            let moves = task.recipe.as_deref().unwrap_or_default();
            assert_eq!(told, meant(moves), "{}, task {}", shipped.id, task.n);
        }
        let rows = card.iter().flat_map(|card| {
            let lines = card.lines().into_iter().skip(1);
            card.corrections.iter().zip(lines)
        });
        for (row, line) in rows {
            assert_eq!(levers(&line), meant(&row.moves), "{}: {line}", shipped.id);
            // What it promises is what was flown once nothing swings any more.
            let off_ft = (row.gives_ft - row.wanted_ft).abs();
            assert!(
                off_ft <= 6.0 && row.stays_within_ft <= 6.0,
                "{}: {line}",
                shipped.id
            );
        }
        // Level power where it starts.
        let start = brief.start.lines()[0].clone();
        let level = [levers(&start).pop().unwrap()];
        if let Some(card) = &card {
            assert_eq!(levers(&card.lines()[0]), level, "{}", shipped.id);
        }
        let at_start = brief.tasks.iter().filter(|task| {
            let altitude_ft = task.altitude_ft.unwrap_or(f64::NAN);
            (altitude_ft - brief.start.altitude_ft).abs() < 0.5
        });
        for task in at_start {
            let told = levers(task.lines()[0].split("level power").nth(1).unwrap());
            assert_eq!(told, level, "{}: {:?}", shipped.id, task.lines());
        }
        // And where the first task is.
        let first = brief.tasks[0].lines()[0].clone();
        if let (Some(asked), Some((_, told))) = (
            Predict::of(brief).level_power,
            first.split_once("level power"),
        ) {
            assert!(levers(told).contains(&plain(asked.truth)), "{first}");
        }
        for line in brief
            .number_lines()
            .iter()
            .filter(|line| !line.contains("off: "))
        {
            for lever in levers(line) {
                let halves = 2.0 * lever.parse::<f64>().unwrap();
                assert_eq!(halves, halves.round(), "{}: {line}", shipped.id);
            }
        }
    }
    assert_eq!(carded.len(), library::AIRCRAFT.len(), "{carded:?}");
}
