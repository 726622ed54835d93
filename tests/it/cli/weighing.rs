//! Par, best and the bill as the program reports them, and the files it keeps of them.

use std::fs;

use leveloff::export::json;
use leveloff::hands::{self, Script};
use leveloff::run::Run;
use leveloff::run::recording::HandName;
use leveloff::score::{HandFigures, Key};
use leveloff::why::{self, Line, LineKind, Weighed};
use serde_json::Value;

use super::{Shell, hold_drill};
use crate::flying::shipped;
use crate::kept::pars;

const STEADY: &[&str] = &["simulate", "catch-the-sink", "--hand", "steady"];

fn files(shell: &Shell) -> Vec<String> {
    let found = fs::read_dir(shell.folder.join("data/par"));
    let names = found.map(|files| {
        let names = files.map(|file| file.unwrap().file_name().into_string().unwrap());
        names.collect()
    });
    names.unwrap_or_default()
}

#[test]
fn every_scored_task_has_best_and_par() {
    let shell = Shell::new();
    for drill in [
        "catch-the-sink",
        "a-rate-and-no-more",
        "short-turf",
        "what-the-rock-calls",
    ] {
        let result = shell.json(&[
            "simulate", drill, "--hand", "steady", "--seed", "3", "--json",
        ]);
        let mut count = 0;
        for task in result["tasks"].as_array().unwrap() {
            let drawn = task["tasks"].as_array();
            for task in drawn.map_or(std::slice::from_ref(task), |drawn| &drawn[..]) {
                let [cost, best, par] = ["cost", "best", "par"].map(|key| task[key].as_f64());
                if task["scored"] == false {
                    assert_eq!((cost, best, par), (None, None, None), "{drill}");
                    continue;
                }
                // The hand that flies also sets par, at one of the eight phases used for it.
                assert!(cost.unwrap() < 1.4 * par.unwrap() + 3.0, "{drill}: {task}");
                assert!(best.unwrap() <= par.unwrap(), "{drill}: {task}");
                assert!(task["points"].as_f64().unwrap() >= 55.0, "{drill}: {task}");
                count += 1;
            }
        }
        assert!(count > 0, "{drill}");
    }
}

#[test]
fn an_empty_drill_needs_no_par() {
    let shell = Shell::new();
    shell
        .folder
        .file("empty.toml", hold_drill("deck jet", 1500.0, 180.0));
    shell.folder.file("none.csv", "t_s,lever\n");
    shell.folder.file("moved.csv", "t_s,lever\n1,0.4\n");
    let _ = fs::create_dir(shell.folder.join("data"));
    let fly = |lever| shell.json(&["simulate", "empty.toml", "--lever", lever, "--json"]);

    let result = fly("none.csv");
    let task = &result["tasks"][0];
    assert!(task["rms_ft"].as_f64().unwrap() < 0.01);
    assert_eq!(task["lever_travel"], 0.0);
    assert_eq!(task["points"], result["points"]);
    assert!(task["points"].as_f64().unwrap() > 99.9);
    for key in ["best", "par"] {
        assert_eq!(task.get(key), Some(&Value::Null), "{key}");
    }
    assert_eq!(result["findings"], Value::Array(Vec::new()));
    assert_eq!(files(&shell), [] as [&str; 0], "nothing was computed");

    let result = fly("moved.csv");
    for key in ["best", "par"] {
        assert!(result["tasks"][0][key].is_number(), "{key}");
    }
    assert_eq!(files(&shell).len(), 1);
}

#[test]
fn pars_are_kept_only_where_there_is_a_logbook() {
    let shell = Shell::new();
    let first = shell.good(STEADY);
    assert_eq!(fs::read_dir(shell.folder.path()).unwrap().count(), 0);
    fs::create_dir(shell.folder.join("data")).unwrap();
    assert_eq!(shell.good(STEADY), first);
    assert_eq!(files(&shell).len(), 1);
    assert_eq!(shell.good(STEADY), first, "from the file");
    assert_eq!(files(&shell).len(), 1);
    // Without any folder to keep them in, the result is the same.
    let homeless = shell
        .command(STEADY)
        .env_remove("HOME")
        .env_remove("LEVELOFF_DATA")
        .output()
        .unwrap();
    assert_eq!(String::from_utf8(homeless.stdout).unwrap(), first);
    assert!(homeless.stderr.is_empty());
}

/// A recording of an earlier version, with other points and without newer keys.
#[test]
fn an_old_recording_is_scored_anew_and_not_touched() {
    let shell = Shell::new();
    let args = [STEADY, &["--save", "--json"]].concat();
    let saved = shell.json(&args);
    let id = saved["id"].as_str().unwrap().to_string();
    let file = shell.recording(&id);
    let mut old: Value = serde_json::from_slice(&fs::read(&file).unwrap()).unwrap();
    old["points"] = 12.5.into();
    for key in ["marks", "guesses", "seal"] {
        old.as_object_mut().unwrap().remove(key).unwrap();
    }
    let old = old.to_string();
    fs::write(&file, &old).unwrap();
    let listed = shell.folder.join("data/logbook.jsonl");
    let list = fs::read_to_string(&listed).unwrap();
    let (before, after) = list.split_once("\"points\":").unwrap();
    let rest = after.split_once(',').unwrap().1;
    fs::write(&listed, format!("{before}\"points\":12.5,{rest}")).unwrap();

    let stamp = || fs::metadata(&file).unwrap().modified().unwrap();
    let long_ago = std::time::UNIX_EPOCH + std::time::Duration::from_secs(1_000_000_000);
    fs::File::options()
        .write(true)
        .open(&file)
        .unwrap()
        .set_modified(long_ago)
        .unwrap();
    let result = shell.json(&["debrief", &id, "--json"]);
    shell.good(&["debrief", &id]);
    assert_eq!(result["points"], saved["points"]);
    assert!(result["tasks"][0]["par"].is_number());
    assert_eq!(stamp(), long_ago);
    assert_eq!(fs::read_to_string(&file).unwrap(), old);
    // The list shows the points at the time of the run.
    assert_eq!(shell.json(&["log", "--json"])["entries"][0]["points"], 12.5);
}

#[test]
fn the_debrief_holds_the_cost_and_the_lever_against_par_and_best() {
    let shell = Shell::new();
    // Late by some seconds, so that its figures differ from par's.
    shell
        .folder
        .file("late.csv", "t_s,lever\n12,0.5\n16,0.36\n20,0.42\n");
    let args = [
        "simulate",
        "catch-the-sink",
        "--lever",
        "late.csv",
        "--save",
        "--json",
    ];
    let task = shell.json(&args)["tasks"][0].clone();
    let text = shell.good(&["debrief"]);
    assert!(
        text.lines().all(|line| line.chars().count() <= 78),
        "{text}"
    );
    let told = |key: &str| format!("{:.1} s", task[key].as_f64().unwrap());
    let yours = match task["cost"].is_null() {
        true => "no cost".to_string(),
        false => told("cost"),
    };
    let sentence = format!("par {}, yours {yours}, best {}", told("par"), told("best"));
    assert!(text.contains(&sentence), "{sentence} is not in\n{text}");

    let drill = shipped("catch-the-sink");
    let log = pars(&drill, 0).steady.clone();
    let par = hands::fly(drill, 0, &mut Script::new(log));
    let par = leveloff::score::score(&par);
    let columns = |label: &str| {
        let row = text
            .lines()
            .find(|line| line.trim_start().starts_with(label));
        row.unwrap()
            .split_whitespace()
            .map(str::to_string)
            .collect::<Vec<_>>()
    };
    assert_eq!(columns("yours"), ["yours", "par", "best"]);
    let travel = columns("lever travel");
    let wanted = format!("{:.1}", par.tasks[0].number(Key::LeverTravel).unwrap());
    assert_eq!((travel[5].as_str(), &travel[3]), ("%", &wanted), "{text}");
    let mine = format!("{:.1}", task["lever_travel"].as_f64().unwrap());
    assert_eq!(travel[2], mine);
    assert_eq!(travel.len(), 6);
}

fn weighed() -> (Run, Weighed) {
    let drill = shipped("quarry-stair");
    let mut hand = Script::new(vec![(64 * 20, 250), (64 * 50, 400)]);
    let run = hands::fly(drill.clone(), 1, &mut hand);
    let pars = pars(&drill, 1);
    let weighed = why::weigh(&run, Some(pars));
    (run, weighed)
}

/// Keys and units of the contract.
const KINDS: [(LineKind, &str, &str); 15] = [
    (LineKind::LevelOffLate, "level_off_late", "s"),
    (LineKind::LevelOffEarly, "level_off_early", "s"),
    (LineKind::PowerTooMuch, "power_too_much", "ratio"),
    (LineKind::PowerTooLittle, "power_too_little", "ratio"),
    (LineKind::SecondMoveMissing, "second_move_missing", "%"),
    (LineKind::Pumping, "pumping", "reversals"),
    (LineKind::LevelPowerOff, "level_power_off", "%"),
    (LineKind::EngineLetDown, "engine_let_down", "s"),
    (LineKind::DescentLate, "descent_late", "s"),
    (LineKind::DescentEarly, "descent_early", "s"),
    (LineKind::NotCorrected, "not_corrected", "ft"),
    (LineKind::LeverHigh, "lever_high", "%"),
    (LineKind::LeverLow, "lever_low", "%"),
    (LineKind::TooSteep, "too_steep", "s"),
    (LineKind::BeganLate, "began_late", "s"),
];

#[test]
fn kinds_have_the_keys_and_units_of_the_contract() {
    for (kind, key, unit) in KINDS {
        assert_eq!((kind.key(), kind.unit()), (key, unit));
    }
    let mut keys: Vec<&str> = LineKind::all().map(LineKind::key).collect();
    keys.sort_unstable();
    keys.dedup();
    assert_eq!(keys.len(), LineKind::all().count());
}

/// What no line tells is one more row, the rest, so that the rows of a bill come to what was lost.
#[test]
fn the_costs_of_a_bill_come_to_what_was_lost_with_the_rest() {
    let mut rests = 0;
    for id in ["quarry-stair", "stair-in-the-breeze", "cliff-top"] {
        let drill = shipped(id);
        for hand in [HandName::Green, HandName::LevelPowerOff] {
            let mut hand = hands::built_in(hand, &drill, 1).unwrap();
            let run = hands::fly(drill.clone(), 1, &mut *hand);
            let weighed = why::weigh(&run, Some(pars(&drill, 1)));
            for bill in &weighed.bills {
                let cost: f64 = bill.lines.iter().map(|line| line.cost).sum();
                let ends = [bill.reach.first(), bill.reach.last()];
                let [first, last] = ends.map(|reach| reach.unwrap().cost);
                assert!((cost - (last - first)).abs() < 1e-6, "{id}: {bill:?}");
                let is_rest = |line: &&Line| line.kind == LineKind::Rest;
                rests += bill.lines.iter().filter(is_rest).count();
            }
        }
    }
    assert!(rests > 0);
}

#[test]
fn the_bill_has_the_keys_of_the_contract_and_adds_up() {
    let (run, weighed) = weighed();
    assert!(weighed.told().len() > 2);
    let report = serde_json::to_string_pretty(&json::Report::new(&run, &weighed, None)).unwrap();
    let report: Value = serde_json::from_str(&report).unwrap();
    let mut all: Vec<f64> = Vec::new();
    for task in report["tasks"].as_array().unwrap() {
        if task["scored"] == false {
            assert!(task["bill"].is_null() && task["in_reach"].is_null());
            continue;
        }
        let mut left = task["in_reach"].as_f64().unwrap();
        for line in task["bill"].as_array().unwrap() {
            let keys: Vec<&str> = line
                .as_object()
                .unwrap()
                .keys()
                .map(String::as_str)
                .collect();
            let mut wanted = [
                "from_s", "to_s", "kind", "amount", "unit", "cost", "points", "terms", "until_s",
            ];
            wanted.sort_unstable();
            assert_eq!(keys, wanted);
            let is_rest = line["kind"] == "rest";
            assert!(line["terms"].is_object(), "all of its costs are times");
            assert_eq!(line["until_s"].is_null(), is_rest);
            if !is_rest {
                let [from_s, to_s, until_s] =
                    ["from_s", "to_s", "until_s"].map(|key| line[key].as_f64().unwrap());
                assert!(from_s <= until_s && until_s < to_s);
                let terms = ["capture_s", "error_s", "lever_s", "steep_s"];
                let terms: f64 = terms
                    .iter()
                    .map(|key| line["terms"][key].as_f64().unwrap())
                    .sum();
                assert!(
                    (terms - line["cost"].as_f64().unwrap()).abs() < 1e-6,
                    "{line}"
                );
            }
            left -= line["points"].as_f64().unwrap();
            all.push(line["points"].as_f64().unwrap());
        }
        assert!(
            (left - task["points"].as_f64().unwrap()).abs() < 0.01,
            "{task}"
        );
    }
    let findings = report["findings"].as_array().unwrap();
    let gains: Vec<f64> = findings
        .iter()
        .map(|f| f["gain_points"].as_f64().unwrap())
        .collect();
    assert!(gains.is_sorted_by(|a, b| a >= b));
    all.sort_by(|a, b| b.total_cmp(a));
    assert_eq!(gains, all, "every line of every bill");
    let keys: Vec<&str> = findings[0]
        .as_object()
        .unwrap()
        .keys()
        .map(String::as_str)
        .collect();
    let mut wanted = [
        "task",
        "kind",
        "amount",
        "unit",
        "gain_s",
        "gain_points",
        "from_s",
        "to_s",
    ];
    wanted.sort_unstable();
    assert_eq!(keys, wanted);
}

#[test]
fn an_unfinished_run_has_no_bill_and_a_hold_no_seconds() {
    let shell = Shell::new();
    shell.folder.file("idle.csv", "t_s,lever\n1,0\n");
    let crashed = shell.json(&[
        "simulate",
        "level-over-the-tarn",
        "--lever",
        "idle.csv",
        "--json",
    ]);
    assert_eq!(crashed["fault"], "surface");
    assert!(crashed["tasks"][0]["bill"].is_null() && crashed["tasks"][0]["in_reach"].is_null());
    assert_eq!(crashed["findings"], Value::Array(Vec::new()));
    shell
        .folder
        .file("high.csv", "t_s,lever\n20,0.45\n40,0.3\n");
    let hold = shell.json(&[
        "simulate",
        "level-over-the-tarn",
        "--lever",
        "high.csv",
        "--json",
    ]);
    let first = &hold["findings"][0];
    assert!(
        first["gain_s"].is_null() && first["gain_points"].as_f64().unwrap() > 5.0,
        "{first}"
    );
    assert!(hold["tasks"][0]["bill"][0]["terms"].is_null());
}

#[test]
fn the_bill_of_a_surprise_is_that_of_what_it_drew() {
    let shell = Shell::new();
    let result = shell.json(&[
        "simulate",
        "what-the-rock-calls",
        "--hand",
        "green",
        "--json",
    ]);
    let task = &result["tasks"][0];
    let drawn = task["tasks"].as_array().unwrap();
    let sum = |tasks: &[Value], key: &str| {
        tasks
            .iter()
            .map(|task| task[key].as_f64().unwrap())
            .sum::<f64>()
    };
    let count = drawn.len() as f64;
    let lost = |task: &Value| sum(task["bill"].as_array().unwrap(), "points");
    assert!((task["in_reach"].as_f64().unwrap() - sum(drawn, "in_reach") / count).abs() < 1e-9);
    assert!((lost(task) - drawn.iter().map(lost).sum::<f64>() / count).abs() < 1e-9);
    for task in drawn.iter().chain([task]) {
        let left = task["in_reach"].as_f64().unwrap() - lost(task);
        assert!(
            (left - task["points"].as_f64().unwrap()).abs() < 1e-6,
            "{task}"
        );
    }
    // The findings are the same lines on the same scale.
    let findings = result["findings"].as_array().unwrap();
    assert!((sum(findings, "gain_points") - lost(task)).abs() < 1e-9);
}

/// Every line, including the rest, has terms and seconds wherever cost is time.
#[test]
fn every_line_has_terms_and_seconds_wherever_cost_is_time() {
    let shell = Shell::new();
    let (mut rests, mut others) = (0, 0);
    for id in [
        "quarry-stair",
        "a-rate-and-no-more",
        "storm-watch",
        "what-the-rock-calls",
    ] {
        let result = shell.json(&["simulate", id, "--hand", "green", "--json"]);
        let flown = result["tasks"].as_array().unwrap().iter();
        let flown = flown.flat_map(|task| match task["tasks"].as_array() {
            Some(drawn) => drawn.iter().collect::<Vec<_>>(),
            None => vec![task],
        });
        for task in flown {
            let in_time = !["hold", "path"].contains(&task["kind"].as_str().unwrap());
            for line in task["bill"].as_array().into_iter().flatten() {
                let terms = line["terms"].as_object();
                assert_eq!(terms.is_some(), in_time, "{id}: {line}");
                others += u32::from(!in_time);
                let Some(terms) = terms else { continue };
                rests += u32::from(line["kind"] == "rest");
                // The rest may lose points without a cost: the terms then sum to less than 0.
                let sum: f64 = terms.values().map(|term| term.as_f64().unwrap()).sum();
                let cost = line["cost"].as_f64().unwrap();
                assert!((sum.max(0.0) - cost).abs() < 1e-6, "{id}: {line}");
            }
        }
        for line in result["findings"].as_array().unwrap() {
            let task = &result["tasks"][line["task"].as_u64().unwrap() as usize - 1];
            let kind = task["kind"].as_str().unwrap();
            if ["step", "rate"].contains(&kind) {
                assert!(line["gain_s"].is_number(), "{id}: {line}");
            }
        }
    }
    assert!(
        rests >= 3 && others >= 3,
        "{rests} rests, {others} not in time"
    );
}

/// A lever that is never moved hands on more to each task, and captures nothing: the seconds that a line lost are its points on
/// the scale of the task.
#[test]
fn what_was_never_captured_costs_seconds_and_gains_none() {
    let shell = Shell::new();
    shell.folder.file("none.csv", "t_s,lever\n");
    let args = ["simulate", "gannet-ledges", "--lever", "none.csv", "--json"];
    let result = shell.json(&args);
    let number = |value: &Value| value.as_f64().unwrap();
    let (mut below_par, mut cliffs) = (0, 0);
    for task in result["tasks"].as_array().unwrap() {
        let lines = task["bill"].as_array().into_iter().flatten();
        let mut in_reach = task["in_reach"].as_f64().unwrap_or(0.0);
        for line in lines {
            let (cost, points) = (number(&line["cost"]), number(&line["points"]));
            let terms = line["terms"].as_object().unwrap();
            let sum: f64 = terms.values().map(number).sum();
            assert!(cost > 0.0 && (sum - cost).abs() < 1e-6, "{line}");
            // Below par the scale is one straight line, 75 points from par to the limit; par is at least a second, and at least
            // a twentieth, above best.
            let (best, par) = (number(&task["best"]), number(&task["par"]));
            let limit = match task["n"].as_u64() {
                Some(2) => 65.0,
                Some(3) => 75.0,
                _ => 60.0,
            };
            if in_reach <= 75.0 {
                let par = par
                    .max(best + f64::max(0.05 * best, 1.0))
                    .min(0.5 * (best + limit));
                let wanted = points * (limit - par) / 75.0;
                assert!(
                    (cost - wanted).abs() < 1e-6,
                    "{cost}, wanted {wanted}: {line}"
                );
                below_par += 1;
            }
            in_reach -= points;
            cliffs += u32::from(in_reach < 0.01 && number(&task["handed_on"]) > 10.0);
        }
    }
    assert!(below_par >= 3 && cliffs >= 2, "{below_par} {cliffs}");
    for line in result["findings"].as_array().unwrap() {
        assert!(number(&line["gain_s"]) > 0.0, "{line}");
    }
}

#[test]
fn the_debrief_shows_the_hand_beside_that_of_par() {
    let shell = Shell::new();
    let args = ["simulate", "storm-watch", "--hand", "green", "--save"];
    shell.good(&args);
    let text = shell.good(&["debrief"]);
    let logbook = leveloff::logbook::Logbook::at(shell.folder.join("data"));
    let id = logbook.latest_id().unwrap().unwrap();
    let run = logbook.recording(&id).unwrap().replay().unwrap();
    let par = pars(run.drill(), run.seed()).steady.clone();
    let par = hands::fly(run.drill().clone(), run.seed(), &mut Script::new(par));
    let rows = HandFigures::of(&run).beside(Some(&HandFigures::of(&par)));
    for (label, yours, par) in rows {
        let row = format!("\n  {label:<18}{yours:>10}{par:>10}\n");
        assert!(text.contains(&row), "{row} is not in\n{text}");
    }
    assert!(
        text.lines().all(|line| line.chars().count() <= 78),
        "{text}"
    );

    // An untouched lever has figures too.
    shell.folder.file("none.csv", "t_s,lever\n");
    shell.good(&["simulate", "storm-watch", "--lever", "none.csv", "--save"]);
    let untouched = shell.good(&["debrief"]);
    assert!(
        untouched.contains("\n  lever at rest          100 %"),
        "{untouched}"
    );
}
