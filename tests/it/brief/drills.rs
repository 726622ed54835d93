//! Briefs of drills: their contents, and the questions asked before. Their promises are flown in `plan`.

use std::collections::BTreeSet;
use std::sync::Arc;

use leveloff::brief::power_card::Correction;
use leveloff::brief::predict::{About, Question};
use leveloff::brief::recipe_words;
use leveloff::brief::{DrillBrief, Predict};
use leveloff::drill::reader::plain;
use leveloff::drill::{Drill, library};
use leveloff::hands::{self, Script};
use leveloff::plan::recipe::{half_percent, percent};
use leveloff::plan::{Move, When};
use leveloff::sim::trim;
use leveloff::units::{FPM, FT, KT};

use super::assert_readable;
use crate::flying::{aircraft, all_shipped, close, drill as made_of, shipped};
use crate::kept::{briefed, card};

fn one_step(name: &str, start: &str, to_ft: f64) -> Arc<Drill> {
    Arc::new(made_of(&format!(
        "title = \"t\"\nabout = \"a\"\naircraft = \"{name}\"\n[start]\naltitude_ft = 1500\n{start}\n\
         [[task]]\nstep = {{ to_ft = {to_ft}, band_ft = 25, hold_s = 20, within_s = 120 }}\n"
    )).unwrap())
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
    let drill = made_of(
        "title = \"t\"\nabout = \"a\"\naircraft = \"late jet\"\n\
         [start]\naltitude_ft = 1000\nlever_off = 0.06\noff_speed_kt = -4\n\
         [air]\nheadwind_kt = 15\ngusts = \"lively\"\n\
         [[task]]\nhold = { altitude_ft = 1000, band_ft = 20, seconds = 30 }\n\
         [[task]]\nstep = { to_ft = 200, band_ft = 20, hold_s = 20, within_s = 150 }\n",
    )
    .unwrap();
    let drill = Arc::new(drill);
    let brief = DrillBrief::new(&drill);
    close("off", brief.start.off_percent, 6.0, 1e-9);
    close("slow", brief.start.off_speed_kt, -4.0, 1e-9);
    let level = trim::on_speed(&drill.aircraft, 1000.0 * FT, 0.0);
    close(
        "hold",
        brief.tasks[0].level_lever.unwrap(),
        level.lever,
        1e-12,
    );
    assert_eq!(brief.tasks[0].go, None);
    let air = brief.air.unwrap();
    // MIL-F-8785C 3.7.3.2: u(200 ft) is 1.47060 of u(20 ft); 3.7.3.4: sigma_w is a tenth of the wind at 20 ft.
    close("headwind", air.headwind_lowest_kt, 15.0 * 1.47060, 1e-3);
    close("gusts", air.gust_up_rms_fpm, 0.1 * 8.0 * KT / FPM, 1e-9);
    assert_eq!(air.gusts, Some("lively"));
    let text = brief.lines().join("\n");
    for part in [
        "lever 6.0 % above level power",
        "speed 4 kt slow",
        "headwind 27 kt at 1,000 ft, 22 kt at 200 ft",
        "gusts lively",
    ] {
        assert!(text.contains(part), "{part} in\n{text}");
    }
    assert_eq!(DrillBrief::new(&one_step("deck jet", "", 1200.0)).air, None);
}

#[test]
fn a_brief_tells_when_the_wind_shifts_and_what_that_takes() {
    let told = |id: &str| {
        let drill = shipped(id);
        let lines = briefed(&drill).number_lines();
        let from = lines
            .iter()
            .position(|line| line.contains("wind "))
            .unwrap();
        assert!(lines.iter().all(|line| line.len() <= 80), "{lines:#?}");
        (lines[from..from + 4].to_vec(), lines)
    };
    let (dies, all) = told("wind-dies-at-the-mole");
    assert_eq!(
        dies,
        [
            "headwind 29 kt at 1,030 ft, 18 kt at 40 ft, 16 kt at 20 ft",
            "  while steady, it changes the speed over the ground, not level power",
            "  it shifts 1:00 to 1:30: headwind 29 to 18 kt at 1,030 ft, 16 to 10 at 20 ft",
            "  meanwhile level takes about 5 % more lever: it costs airspeed, and so height",
        ]
    );
    let path = all.iter().find(|line| line.contains("once shifted:"));
    let path = path.expect("the path in the wind that is left");
    assert!(
        path.contains("wind 16 kt") && path.contains("closure 91 kt"),
        "{path}"
    );
    let lost = "from 200 ft down to 20 ft, 7.5 kt of the wind is lost, 4.7 once shifted";
    assert!(all.iter().any(|line| line.contains(lost)), "{all:#?}");
    let (grows, _) = told("the-wind-gets-up");
    assert_eq!(
        grows[2..],
        [
            "  it shifts 0:35 to 1:05: headwind 11 to 19 kt at 860 ft, 6 to 11 at 20 ft",
            "  meanwhile level takes about 3 % less lever: it gives airspeed, and so height",
        ]
    );
    // A wind that turns, and one that rises from still air.
    let air = |air: &str| {
        let drill = made_of(&format!(
            "title = \"t\"\nabout = \"a\"\naircraft = \"deck jet\"\n[start]\naltitude_ft = 900\n[air]\n{air}\n\
             [[task]]\nhold = {{ altitude_ft = 900, band_ft = 20, seconds = 30 }}\n"
        ))
        .unwrap();
        DrillBrief::new(&Arc::new(drill)).air
    };
    let lines = air("headwind_kt = 4\nshift_kt = -6\nshift_at_s = 5")
        .unwrap()
        .lines();
    let turns = "  it shifts 0:05 to 0:15: headwind 7 to tailwind 4 kt at 900 ft, 4 to 2 at 20 ft";
    assert_eq!(lines[2], turns);
    let lines = air("shift_kt = -6\nshift_at_s = 5\nshift_over_s = 600")
        .unwrap()
        .lines();
    assert_eq!(
        lines,
        [
            "no steady wind at first",
            "  it shifts 0:05 to 10:05: tailwind 0 to 11 kt at 900 ft, 0 to 6 at 20 ft",
            "  meanwhile level takes under 1 % more lever: it costs airspeed, and so height",
        ]
    );
    assert_eq!(air("shift_kt = 0\nshift_at_s = 5"), None);
}

/// Flown: with level power alone the aeroplane sinks while a headwind dies and climbs while it grows. With the brief's change of
/// lever it stays, and with the opposite change it goes twice as far.
#[test]
fn the_lever_that_a_shift_takes_keeps_the_altitude() {
    for name in ["first jet", "deck jet", "late jet", "prop trainer"] {
        for shift_kt in [-5.0, 5.0] {
            let drill = Arc::new(made_of(&format!(
                "title = \"t\"\nabout = \"a\"\naircraft = \"{name}\"\n[start]\naltitude_ft = 1500\n\
                 [air]\nheadwind_kt = 10\nshift_kt = {shift_kt}\nshift_at_s = 10\nshift_over_s = 40\n\
                 [[task]]\nhold = {{ altitude_ft = 1500, band_ft = 900, seconds = 50 }}\n"
            )).unwrap());
            let shift = DrillBrief::new(&drill).air.unwrap().shift.unwrap();
            close("after", shift.headwind_20_ft_kt, 10.0 + shift_kt, 1e-9);
            // MIL-F-8785C 3.7.3.2 with its roughness of 0.15 ft, by hand.
            let at_start = (1500.0_f64 / 0.15).ln() / (20.0_f64 / 0.15).ln();
            close(
                "there",
                shift.headwind_start_kt,
                (10.0 + shift_kt) * at_start,
                1e-6,
            );
            let level = trim::on_speed(&drill.aircraft, 1500.0 * FT, 0.0).lever;
            let gained_ft = |times: f64| {
                let lever = 1000.0 * (level + times * shift.level_percent / 100.0);
                let rows = vec![
                    (0, (1000.0 * level).round() as u16),
                    (640, lever.round() as u16),
                ];
                let run = hands::fly(drill.clone(), 1, &mut Script::new(rows));
                run.trace().state(run.trace().ticks()).h_m / FT - 1500.0
            };
            let (left, kept, wrong) = (gained_ft(0.0), gained_ft(1.0), gained_ft(-1.0));
            assert!(shift.level_percent * shift_kt < 0.0, "{name}: {shift:?}");
            assert!(left * shift_kt > 0.0 && left.abs() > 40.0, "{name}: {left}");
            assert!(kept.abs() < 0.2 * left.abs(), "{name}: {kept} of {left}");
            close(name, wrong / left, 2.0, 0.3);
        }
    }
}

/// On the smallest screen all instructions fit one page, which has 18 rows for them.
#[test]
fn what_to_do_fits_the_smallest_screen() {
    const ROWS: usize = 18;
    for drill in all_shipped() {
        let brief = briefed(&drill);
        assert_readable(&brief.lines());
        let lines = brief.recipe_lines();
        assert!(lines.len() <= ROWS, "{}: {} rows", drill.id, lines.len());
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
    let [power, height] = &predict.questions[..] else {
        panic!("{:?}", predict.questions);
    };
    assert_eq!(
        (power.about, height.about),
        (About::LevelPower, About::LevelOff)
    );
    let level = trim::on_speed(&aircraft("deck jet"), 1200.0 * FT, 0.0);
    close(
        "power",
        power.truth,
        100.0 * half_percent(level.lever),
        1e-9,
    );
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

    let hold = made_of(
        "title = \"t\"\nabout = \"a\"\naircraft = \"deck jet\"\n[start]\naltitude_ft = 900\n\
         [[task]]\nhold = { altitude_ft = 900, band_ft = 20, seconds = 30 }\n",
    )
    .unwrap();
    let asked = Predict::of(&DrillBrief::new(&Arc::new(hold))).questions;
    let about: Vec<About> = asked.iter().map(|question| question.about).collect();
    assert_eq!(about, [About::LevelPower]);
}

#[test]
fn a_path_asks_for_its_power_and_a_gate_and_a_rate_for_its_power() {
    let questions = |id: &str| Predict::of(briefed(&shipped(id))).questions;
    let asks = |questions: &[Question]| -> Vec<String> {
        let asks = questions.iter().map(|question| question.ask.clone());
        asks.collect()
    };

    let path = questions("onto-the-shelf");
    assert_eq!(
        asks(&path),
        [
            "What power rides the 3 degree path, in % of lever?",
            "How high is the path 1.7 nm out, in ft?"
        ]
    );
    // The power as from the polar; the gate by trigonometry: deck height and 1.7 nm of 6,076.1 ft at 3 degrees.
    let trimmed = trim::on_speed(&aircraft("first jet"), 500.0 * FT, (-3.0_f64).to_radians());
    close("power", path[0].truth, 100.0 * trimmed.lever, 0.5);
    let altitude_ft = 40.0 + 1.7 * 6076.115 * 3.0_f64.to_radians().tan();
    close("gate", path[1].truth, altitude_ft, 0.1);
    for (question, off, said) in [
        (
            &path[0],
            2.0,
            "you said 24.0 %, it takes 22.0 %: 2.0 % too much",
        ),
        (
            &path[1],
            99.0,
            "you said 680 ft, it is 581 ft: 99 ft too high",
        ),
        (
            &path[1],
            -60.0,
            "you said 521 ft, it is 581 ft: 60 ft too low",
        ),
        (
            &path[1],
            -29.0,
            "you said 552 ft, it is 581 ft: near enough",
        ),
    ] {
        assert_eq!(question.compare(question.truth + off), said);
    }
    let shifting = questions("wind-dies-at-the-mole");
    assert!(
        shifting[0].ask.contains("until the wind shifts"),
        "{}",
        shifting[0].ask
    );

    let rate = questions("a-rate-and-no-more");
    assert_eq!(
        asks(&rate),
        ["What power holds 600 ft/min down, in % of lever?"]
    );
    assert_eq!(rate[0].truth, 22.0);
}

/// Every lever in a text: the numbers before a per cent sign, except the errors of rules of thumb in brackets; idle is 0.
fn levers(line: &str) -> Vec<String> {
    let line = line.replace("idle", "0 %");
    let words: Vec<&str> = line.split_whitespace().collect();
    let pairs = words
        .windows(2)
        .filter(|pair| pair[1].starts_with('%') && !pair[0].starts_with('('));
    pairs.map(|pair| pair[0].to_string()).collect()
}

/// With a fast start the brief lists the extras that are in, and does not call a lever wrong that flies level that way.
#[test]
fn slowing_in_the_brief_tells_what_comes_out() {
    let drill = shipped("off-the-fast-road");
    let lines = briefed(&drill).start.lines();
    assert_eq!(
        lines[1..],
        [
            "  speed 50 kt fast",
            "  wheels in, extending below 150 kt",
            "  flaps in, extending below 135 kt",
        ]
    );
    let level = shipped("level-over-the-tarn");
    assert!(briefed(&level).start.extras.is_empty());
}

/// Levers to set are given in half per cents, the same in recipe, numbers, card, guess and JSON; level power at one altitude is
/// one number.
#[test]
fn the_same_lever_is_the_same_number_wherever_it_is_told() {
    // A card takes a search, so only every sixth drill has one, some for each aeroplane.
    const CARDS: usize = 6;
    let mut carded = BTreeSet::new();
    let (mut starts, mut asks) = (0, 0);
    for (n, drill) in all_shipped().enumerate() {
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
            assert_eq!(told, meant(moves), "{}, task {}", drill.id, task.n);
        }
        let rows = card.iter().flat_map(|card| {
            let told = |row| (row, Correction::line(row));
            card.corrections.iter().map(told)
        });
        for (row, line) in rows {
            assert_eq!(levers(&line), meant(&row.moves), "{}: {line}", drill.id);
            // Its promise is kept in flight once nothing swings any more.
            let off_ft = (row.gives_ft - row.wanted_ft).abs();
            assert!(
                off_ft <= 6.0 && row.stays_within_ft <= 6.0,
                "{}: {line}",
                drill.id
            );
        }
        // Level power at the start.
        let start = brief.start.lines()[0].clone();
        let level = [levers(&start).pop().unwrap()];
        if let Some(card) = &card {
            assert_eq!(levers(&card.lines()[0]), level, "{}", drill.id);
        }
        let at_start = brief.tasks.iter().filter(|task| {
            let altitude_ft = task.altitude_ft.unwrap_or(f64::NAN);
            (altitude_ft - brief.start.altitude_ft).abs() < 0.5
        });
        for task in at_start {
            let told = levers(task.lines()[0].split("level power").nth(1).unwrap());
            assert_eq!(told, level, "{}: {:?}", drill.id, task.lines());
            starts += 1;
        }
        // And at the altitude of the first task.
        let first = brief.tasks[0].lines()[0].clone();
        let questions = Predict::of(brief).questions;
        let asked = questions
            .first()
            .filter(|asked| asked.about == About::LevelPower);
        if let (Some(asked), Some((_, told))) = (asked, first.split_once("level power")) {
            assert!(levers(told).contains(&plain(asked.truth)), "{first}");
            asks += 1;
        }
        for line in brief
            .number_lines()
            .iter()
            .filter(|line| !line.starts_with("  lever "))
        {
            for lever in levers(line) {
                let halves = 2.0 * lever.parse::<f64>().unwrap();
                assert_eq!(halves, halves.round(), "{}: {line}", drill.id);
            }
        }
    }
    assert_eq!(carded.len(), library::AIRCRAFT.len(), "{carded:?}");
    assert!(starts >= 20 && asks >= 20, "{starts} {asks}");
}

/// A practice begins at whatever a run had there: what no instrument shows is not told as something off.
#[test]
fn what_is_off_by_less_than_shows_is_not_told() {
    let lines = |more: &str| {
        let drill = one_step("late jet", more, 1300.0);
        DrillBrief::new(&drill).start.lines()
    };
    let hardly = lines("path_deg = -0.04\noff_speed_kt = 0.3");
    assert_eq!(hardly.len(), 1, "{hardly:?}");
    let shows = lines("path_deg = -0.06\noff_speed_kt = 0.6").join("\n");
    assert!(shows.contains("already under way: -0.1 degrees"), "{shows}");
    assert!(shows.contains("speed 1 kt fast"), "{shows}");
    let lever = lines("path_deg = 0.01\nlever_off = 0.05").join("\n");
    assert!(lever.contains("above level power"), "{lever}");
}

/// The slope goes through radians and back, which leaves dust behind its digits.
#[test]
fn a_path_is_told_with_the_slope_of_its_file() {
    for slope in ["3.75", "3.65"] {
        let text = library::drill("a-mile-out").unwrap().text;
        let start = text.find("slope_deg = ").unwrap() + "slope_deg = ".len();
        let end = start + text[start..].find(',').unwrap();
        let text = [&text[..start], slope, &text[end..]].concat();
        let brief = DrillBrief::new(&Arc::new(made_of(&text).unwrap()));
        assert_eq!(brief.tasks[0].asked(), format!("{slope} degree path"));
        let told = brief.lines().join("\n");
        assert!(told.contains(&format!("{slope} degree path")), "{told}");
        let predict = Predict::of(&brief);
        let asks = predict.questions.iter().map(|question| &question.ask);
        let asks = Vec::from_iter(asks.filter(|ask| ask.contains("degree")));
        let told = format!("What power rides the {slope} degree path, in % of lever?");
        assert_eq!(asks, [&told]);
    }
}
