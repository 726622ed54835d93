//! The JSON and CSV that other programs rely on, key by key and number by number.

use std::fs;
use std::sync::Arc;

use leveloff::drill::{Kind, library};
use leveloff::export::json::Report;
use leveloff::hands;
use leveloff::run::Run;
use leveloff::run::recording::HandName;
use leveloff::score::{Figure, metrics};
use leveloff::sim::{MODEL_VERSION, trim};
use leveloff::units::{DEG, FPM, FT};
use leveloff::why;
use serde_json::Value;

use super::{Shell, hold_drill, one_line};
use crate::flying::shipped;
use crate::kept::pars;

const RESULT_KEYS: &[&str] = &[
    "schema", "id", "drill", "aircraft", "seed", "model", "complete", "fault", "end_s", "points",
    "digest", "tasks", "findings",
];
const TASK_KEYS: &[&str] = &["n", "kind", "scored", "points", "start_s", "end_s"];
const LAST_KEYS: &[&str] = &["cost", "best", "par", "handed_on", "in_reach", "bill"];

/// The keys of objects at one depth, in their order in indented JSON.
fn keys_at(text: &str, depth: usize) -> Vec<String> {
    let start = format!("{}\"", "  ".repeat(depth));
    text.lines()
        .filter_map(|line| line.strip_prefix(&start))
        .filter_map(|rest| rest.split_once("\":"))
        .map(|(key, _)| key.to_string())
        .collect()
}

fn steady(id: &str, seed: u64) -> Run {
    let drill = shipped(id);
    let mut steady = hands::built_in(HandName::Steady, &drill, seed).unwrap();
    hands::fly(drill.clone(), seed, &mut *steady)
}

#[test]
fn a_result_has_exactly_its_keys_in_their_order() {
    for shipped in library::DRILLS {
        let run = steady(shipped.id, 0);
        let weighed = why::weigh(&run, None);
        let text = serde_json::to_string_pretty(&Report::new(&run, &weighed, None)).unwrap();
        assert_eq!(keys_at(&text, 1), RESULT_KEYS, "{}", shipped.id);
        let tasks = shipped.drill().unwrap().tasks;
        let wanted: Vec<&str> = tasks
            .iter()
            .flat_map(|task| {
                let figures = metrics::of_kind(&task.kind).map(|metric| metric.key);
                let first = TASK_KEYS.iter().copied();
                let drawn = matches!(task.kind, Kind::Surprise(_)).then_some("tasks");
                first
                    .chain(figures)
                    .chain(drawn)
                    .chain(LAST_KEYS.iter().copied())
                    .collect::<Vec<_>>()
            })
            .collect();
        assert_eq!(keys_at(&text, 3), wanted, "{}", shipped.id);
    }
}

#[test]
fn the_program_tells_the_same_keys_and_nothing_else() {
    let shell = Shell::with_pars();
    for id in ["catch-the-sink", "onto-the-shelf"] {
        let text = shell.good(&["simulate", id, "--hand", "steady", "--json"]);
        let run = steady(id, 0);
        let weighed = why::weigh(&run, Some(pars(run.drill(), 0)));
        let wanted = serde_json::to_string_pretty(&Report::new(&run, &weighed, None)).unwrap();
        assert_eq!(text, wanted + "\n", "{id}");
    }
}

#[test]
fn a_result_holds_the_numbers_of_the_run() {
    let shell = Shell::with_pars();
    let found = shell.json(&[
        "simulate",
        "catch-the-sink",
        "--hand",
        "steady",
        "--seed",
        "5",
        "--json",
    ]);
    let run = steady("catch-the-sink", 5);
    let score = why::score(&run, Some(pars(run.drill(), 5)));

    assert_eq!(found["schema"], 1);
    assert_eq!(found["id"], Value::Null);
    assert_eq!(found["drill"], "catch-the-sink");
    assert_eq!(found["aircraft"], "first jet");
    assert_eq!(found["seed"], 5);
    assert_eq!(found["model"], MODEL_VERSION);
    assert_eq!(found["complete"], true);
    assert_eq!(found["fault"], Value::Null);
    assert_eq!(found["end_s"], run.time_s());
    assert_eq!(found["points"].as_f64(), score.points);
    assert_eq!(found["digest"], run.digest());
    let findings = found["findings"].as_array().unwrap();
    assert!(
        findings.iter().all(|line| line["kind"] == "rest"),
        "par has little to be told"
    );

    let (task, wanted) = (&found["tasks"][0], &score.tasks[0]);
    assert_eq!(task["n"], 1);
    assert_eq!(task["kind"], "step");
    assert_eq!(task["scored"], true);
    assert_eq!(task["points"].as_f64(), wanted.points);
    assert_eq!(task["start_s"].as_f64(), wanted.start_s);
    assert_eq!(task["end_s"].as_f64(), wanted.end_s);
    assert_eq!(task["cost"].as_f64(), wanted.cost.map(|cost| cost.total()));
    assert_eq!(task["best"].as_f64(), wanted.reference.best);
    assert_eq!(task["par"].as_f64(), wanted.reference.par);
    assert!(wanted.reference.best.is_some() && wanted.reference.par.is_some());
    for (metric, figure) in metrics::of_kind(&wanted.task.kind).zip(&wanted.figures) {
        let found = &task[metric.key];
        match figure {
            Figure::Number(number) => assert_eq!(found.as_f64(), Some(*number), "{}", metric.key),
            Figure::Flag(flag) => assert_eq!(found.as_bool(), Some(*flag), "{}", metric.key),
            _ => assert!(found.is_null(), "{}", metric.key),
        }
    }
}

#[test]
fn a_task_that_does_not_count_has_no_points_and_no_cost() {
    let shell = Shell::new();
    let drill = hold_drill("first jet", 1500.0, 2.0) + "scored = false\n";
    shell.folder.file("free.toml", drill);
    let found = shell.json(&["simulate", "free.toml", "--hand", "steady", "--json"]);
    assert_eq!(found["drill"], "free");
    assert_eq!(found["points"], Value::Null);
    let task = found["tasks"][0].as_object().unwrap();
    assert_eq!(task["scored"], false);
    for key in ["points", "cost", "best", "par", "handed_on"] {
        assert_eq!(task[key], Value::Null, "{key}");
    }
    assert!(task["rms_ft"].is_number());
}

#[test]
fn a_run_that_meets_the_surface_is_told_and_done() {
    let shell = Shell::new();
    let two = hold_drill("first jet", 200.0, 60.0)
        + "[[task]]\nhold = { altitude_ft = 200, band_ft = 2000, seconds = 10 }\n";
    shell.folder.file("low.toml", two);
    shell.folder.file("idle.csv", "t_s,lever\n0,0\n");
    let found = shell.json(&["simulate", "low.toml", "--lever", "idle.csv", "--json"]);
    assert_eq!(found["fault"], "surface");
    assert_eq!(found["complete"], false);
    assert_eq!(found["points"], 0.0);
    let (begun, never) = (&found["tasks"][0], &found["tasks"][1]);
    assert_eq!(
        (&begun["start_s"], &begun["end_s"]),
        (&0.0.into(), &Value::Null)
    );
    assert_eq!(
        (&never["start_s"], &never["end_s"]),
        (&Value::Null, &Value::Null)
    );
    for task in [begun, never] {
        assert_eq!(task["points"], 0.0);
        for key in [
            "in_band",
            "rms_ft",
            "lever_travel",
            "alpha_error_deg",
            "cost",
        ] {
            assert_eq!(task.get(key), Some(&Value::Null), "{key}");
        }
    }
    let text = shell.good(&["simulate", "low.toml", "--lever", "idle.csv"]);
    assert!(text.contains("met the surface"), "{text}");
}

/// Header and rows of a track.
fn table(text: &str) -> (Vec<&str>, Vec<Vec<f64>>) {
    let mut lines = text.lines();
    let header = lines.next().unwrap().split(',').collect();
    let rows = lines.map(|line| {
        let cells = line.split(',');
        cells
            .map(|cell| {
                let decimals = cell
                    .split_once('.')
                    .map_or(0, |(_, decimals)| decimals.len());
                assert!(decimals >= 7, "{cell}");
                cell.parse().unwrap()
            })
            .collect()
    });
    (header, rows.collect())
}

/// The expected rows of a run's track, from the run itself.
fn wanted_rows(run: &Run, moving_air: bool) -> Vec<Vec<f64>> {
    let trace = run.trace();
    (0..=trace.ticks())
        .step_by(4)
        .map(|tick| {
            let point = trace.at(tick);
            let air = point.state.air_data(&point.wind);
            let last = trace.ticks() - 1;
            let mut row = vec![
                tick as f64 / 64.0,
                trace.lever_at(tick.min(last)),
                point.state.engine,
                air.speed_mps,
                air.path_rad.to_degrees(),
                point.state.h_m,
                point.state.x_m,
                air.alpha_rad.to_degrees(),
            ];
            if moving_air {
                let wind = &point.wind;
                row.extend([wind.headwind_mps, wind.gust_u_mps, wind.gust_w_mps]);
            }
            row
        })
        .collect()
}

fn assert_close(found: &[Vec<f64>], wanted: &[Vec<f64>]) {
    assert_eq!(found.len(), wanted.len());
    for (found, wanted) in found.iter().zip(wanted) {
        assert_eq!(found.len(), wanted.len());
        for (found, wanted) in found.iter().zip(wanted) {
            assert!((found - wanted).abs() <= 1e-7, "{found} is not {wanted}");
        }
    }
}

const STILL: &str = "t_s,lever,engine,speed_mps,path_deg,altitude_m,distance_m,alpha_deg";

#[test]
fn a_track_tells_the_states_every_four_ticks() {
    let shell = Shell::with_pars();
    shell.good(&[
        "simulate",
        "catch-the-sink",
        "--hand",
        "steady",
        "--track",
        "track.csv",
    ]);
    let text = fs::read_to_string(shell.folder.join("track.csv")).unwrap();
    let (header, rows) = table(&text);
    assert_eq!(header.join(","), STILL);

    let run = steady("catch-the-sink", 0);
    assert_close(&rows, &wanted_rows(&run, false));
    let last_s = rows.last().unwrap()[0];
    assert_eq!(rows[0][0], 0.0);
    assert!(last_s <= run.time_s() && last_s > run.time_s() - 4.0 / 64.0);
}

/// The path of level flight is 0, never -0. A descent keeps its sign.
#[test]
fn a_track_has_no_nothing_with_a_sign() {
    let track = |id: &str| {
        let run = hands::fly(shipped(id), 1, &mut hands::Script::default());
        leveloff::export::csv::track(&run)
    };
    let (level, sinks) = (track("quarry-stair"), track("catch-the-sink"));
    let is_level = |row: &&str| row.split(',').nth(4) == Some("0.000000000");
    assert!(level.lines().filter(is_level).count() > 100);
    for cell in level
        .lines()
        .chain(sinks.lines())
        .flat_map(|row| row.split(','))
    {
        let is_nothing = cell.parse::<f64>() == Ok(0.0);
        assert!(!(is_nothing && cell.starts_with('-')), "{cell}");
    }
    assert!(sinks.lines().nth(1).unwrap().contains(",-3."), "{sinks}");
}

#[test]
fn a_track_has_the_wind_once_there_is_air() {
    let shell = Shell::new();
    let args = [
        "simulate",
        "catch-the-sink",
        "--hand",
        "steady",
        "--seed",
        "9",
        "--air",
        "8",
    ];
    shell.good(&[&args[..], &["--track", "track.csv"]].concat());
    let text = fs::read_to_string(shell.folder.join("track.csv")).unwrap();
    let (header, rows) = table(&text);
    assert_eq!(
        header.join(","),
        format!("{STILL},headwind_mps,gust_u_mps,gust_w_mps")
    );

    let mut drill = library::drill("catch-the-sink").unwrap().drill().unwrap();
    drill.air.u20_mps = 8.0 * 1852.0 / 3600.0;
    let drill = Arc::new(drill);
    let mut steady = hands::built_in(HandName::Steady, &drill, 9).unwrap();
    let run = hands::fly(drill, 9, &mut *steady);
    assert_close(&rows, &wanted_rows(&run, true));
    assert!(rows.iter().any(|row| row[9].abs() > 0.1), "no gusts");

    // A word and its number give the same air.
    let word = [
        "simulate",
        "catch-the-sink",
        "--hand",
        "steady",
        "--seed",
        "9",
        "--air",
        "lively",
        "--json",
    ];
    assert_eq!(shell.json(&word)["digest"], run.digest());
}

/// Behind a ship the free air takes the place of gusts: gusts would be promised but not flown.
#[test]
fn other_gusts_behind_a_ship_are_refused() {
    let shell = Shell::new();
    for first in [
        ["simulate", "behind-the-ship", "--hand", "steady"],
        ["fly", "behind-the-ship", "--seed", "1"],
    ] {
        let args = [&first[..], &["--air", "rough"]].concat();
        let err = shell.bad(2, &args);
        assert!(one_line(&err).contains("leave out --air"), "{err}");
    }
}

/// A run that would never end is cut off, and says so.
#[test]
fn a_run_that_is_cut_off_says_so() {
    let shell = Shell::with_pars();
    // The wind is stronger higher up, until the aim point goes away for good.
    let drill = "title = 'T'\nabout = 'A'\naircraft = 'deck jet'\n\
        start = { altitude_ft = 200, distance_nm = 0.6 }\n[air]\nheadwind_kt = 60\n\
        [deck]\nheight_ft = 0\nspeed_kt = 30\nzone_ft = 400\n[[task]]\n\
        path = { slope_deg = 3, from_nm = 0.5, band_ft = 80, gates_nm = [] }\n";
    shell.folder.file("away.toml", drill);
    shell.folder.file("climb.csv", "t_s,lever\n0,0.9\n");
    let result = shell.json(&["simulate", "away.toml", "--lever", "climb.csv", "--json"]);
    assert_eq!(
        (&result["complete"], &result["fault"]),
        (&false.into(), &Value::Null),
        "{result}"
    );
    assert_eq!(result["out_of_time"], true);
    let text = shell.good(&["simulate", "away.toml", "--lever", "climb.csv"]);
    assert!(
        text.contains("The longest time for this drill was over at "),
        "{text}"
    );
    assert!(!text.contains("You left"), "{text}");
}

#[test]
fn an_aeroplane_begins_with_its_keys_in_their_order() {
    let shell = Shell::new();
    let text = shell.good(&["aircraft", "deck jet", "--altitude-ft", "1500", "--json"]);
    let wanted = [
        "schema",
        "name",
        "altitude_ft",
        "mass_kg",
        "trim",
        "phugoid",
        "dgamma_dv_deg_per_kt",
    ];
    let keys = keys_at(&text, 1);
    assert_eq!(keys[..wanted.len()], wanted);
    // Further keys come after them.
    let further = [
        "about",
        "speeds",
        "fpm_per_percent",
        "drag_curve",
        "path_stability",
        "long_period",
        "engine",
        "carry_on",
        "power_card",
    ];
    assert_eq!(keys[wanted.len()..], further);
    let contract = text.split("  \"about\":").next().unwrap();
    assert_eq!(keys_at(contract, 2), ["period_s", "damping"]);
    let row = ["path_deg", "speed_mps", "lever", "vertical_speed_fpm"];
    assert_eq!(keys_at(contract, 3), row.repeat(13));

    let sheet: Value = serde_json::from_str(&text).unwrap();
    let aircraft = library::aircraft("deck jet").unwrap().aircraft().unwrap();
    assert_eq!(sheet["name"], "deck jet");
    assert_eq!(sheet["altitude_ft"], 1500.0);
    assert_eq!(sheet["mass_kg"], aircraft.mass_kg);
    for (row, path_deg) in sheet["trim"].as_array().unwrap().iter().zip(-6..) {
        let trim = trim::on_speed(&aircraft, 1500.0 * FT, f64::from(path_deg) * DEG);
        assert_eq!(row["path_deg"], path_deg);
        assert_eq!(row["speed_mps"], trim.speed_mps);
        assert_eq!(row["lever"], trim.lever);
        assert_eq!(row["vertical_speed_fpm"], trim.vertical_mps() / FPM);
    }
}

#[test]
fn a_lever_beyond_its_travel_is_null() {
    let shell = Shell::new();
    let sheet = shell.json(&[
        "aircraft",
        "prop-trainer",
        "--altitude-ft",
        "30000",
        "--json",
    ]);
    let rows = sheet["trim"].as_array().unwrap();
    assert_eq!(rows.len(), 13);
    assert_eq!(rows[12]["lever"], Value::Null);
    assert!(rows[12]["speed_mps"].is_number());
    let text = shell.good(&["aircraft", "prop-trainer", "--altitude-ft", "30000"]);
    let steepest = text.lines().find(|line| line.trim().starts_with("+6 "));
    let power = steepest.unwrap().split_whitespace().nth(1);
    assert_eq!(power, Some("-"), "{text}");
}

#[test]
fn the_lists_name_what_ships() {
    let shell = Shell::new();
    let drills = shell.json(&["drills", "--json"]);
    let ids: Vec<&str> = drills["drills"]
        .as_array()
        .unwrap()
        .iter()
        .map(|row| row["id"].as_str().unwrap())
        .collect();
    let wanted: Vec<&str> = library::DRILLS.iter().map(|shipped| shipped.id).collect();
    assert_eq!(ids, wanted);
    let text = shell.good(&["drills"]);
    assert!(wanted.iter().all(|id| text.contains(id)));

    let aircraft = shell.json(&["aircraft", "--json"]);
    assert_eq!(
        aircraft["aircraft"].as_array().unwrap().len(),
        library::AIRCRAFT.len()
    );
    let text = shell.good(&["aircraft"]);
    assert!(
        library::aircraft_names()
            .iter()
            .all(|name| text.contains(name))
    );
}

#[test]
fn the_altitude_of_an_aeroplane_is_a_thousand_feet_unless_said() {
    let shell = Shell::new();
    let unsaid = shell.good(&["aircraft", "late-jet", "--json"]);
    assert_eq!(
        unsaid,
        shell.good(&["aircraft", "late jet", "--altitude-ft", "1000", "--json"])
    );
    assert!(
        shell
            .good(&["aircraft", "late jet"])
            .starts_with("late jet at 1000 ft, 19200 kg\n")
    );
}
