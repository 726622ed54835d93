//! Points by best and par, computed again in a few lines from only the JSON's cost, best and par and the limits in the drill's
//! text; with made-up references so that every rule of the scale has its turn.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::{deck, scripted};
use leveloff::drill::{Drill, Kind, library};
use leveloff::export::json;
use leveloff::hands::{self, Steady};
use leveloff::run::Run;
use leveloff::score::{self, Reference, score_against, working};
use leveloff::units::FT;
use leveloff::why::{self, Pars, Weighed};
use serde_json::Value;

use crate::flying::close;

/// A rule of the scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Rule {
    NoCost,
    NotDown,
    Missed,
    NoBest,
    AsGoodAsBest,
    BeyondTheLimit,
    BestBeyondTheLimit,
    LeastGap,
    Halfway,
    NoPar,
    UpToPar,
    BelowPar,
}
use Rule::*;

/// Points of a captured or finished task, and the rules that gave them.
fn second_opinion(
    kind: &str,
    limit: f64,
    cost: Option<f64>,
    best: Option<f64>,
    par: Option<f64>,
) -> Option<(f64, Vec<Rule>)> {
    let Some(cost) = cost else {
        return Some((0.0, vec![NoCost]));
    };
    let Some(best) = best else {
        // A step's floor takes the aeroplane's 3-degree rate; `second` has it.
        let floor = match kind {
            "rate" => 2.0,
            "step" => return None,
            _ => 0.0,
        };
        let straight = 100.0 * (limit - cost) / (limit - floor);
        return Some((straight.clamp(0.0, 100.0), vec![NoBest]));
    };
    if cost >= limit {
        let rule = if best >= limit {
            BestBeyondTheLimit
        } else {
            BeyondTheLimit
        };
        return Some((0.0, vec![rule]));
    }
    if cost <= best {
        return Some((100.0, vec![AsGoodAsBest]));
    }
    let mut rules = Vec::new();
    let least = match kind {
        "hold" => 2.0,
        "path" => 0.1,
        _ => 1.0,
    };
    let least = if 0.05 * best > least {
        0.05 * best
    } else {
        least
    };
    let halfway = (best + limit) / 2.0;
    let mut stands = par.unwrap_or(halfway);
    if par.is_none() {
        rules.push(NoPar);
    } else if stands < best + least {
        rules.push(LeastGap);
        stands = best + least;
    }
    if stands > halfway {
        rules.push(Halfway);
        stands = halfway;
    }
    Some(if cost <= stands {
        rules.push(UpToPar);
        (100.0 - 25.0 * (cost - best) / (stands - best), rules)
    } else {
        rules.push(BelowPar);
        (75.0 - 75.0 * (cost - stands) / (limit - stands), rules)
    })
}

fn limit(kind: &Kind) -> f64 {
    match kind {
        Kind::Hold(hold) => hold.band_m / FT,
        Kind::Step(step) | Kind::Slow(step) => step.within_s,
        Kind::Rate(rate) => rate.within_s,
        Kind::Path(_) => 1.0,
        Kind::Surprise(_) => panic!("its drawn tasks have limits"),
    }
}

/// Checks a task of a report against the second opinion. Returns its points and counts the rules.
fn check(task: &Value, kind: &Kind, seen: &mut BTreeMap<(String, Rule), u32>) -> f64 {
    let name = task["kind"].as_str().unwrap().to_string();
    let [points, cost, best, par] = ["points", "cost", "best", "par"].map(|key| task[key].as_f64());
    let points = points.unwrap();
    if task["end_s"].is_null() {
        assert_eq!((points, cost), (0.0, None));
    } else if name == "path" && task["outcome"] != "in_zone" {
        // The JSON says whether a go-around was called only if it was not flown.
        let around = task["outcome"] == "went_around" && task["missed"] == false;
        assert!(points == 0.0 || (around && points == 25.0), "{task}");
        *seen.entry((name, NotDown)).or_default() += 1;
    } else if task["missed"] == true {
        assert_eq!(points, 0.0);
        *seen.entry((name, Missed)).or_default() += 1;
    } else if let Some((wanted, rules)) = second_opinion(&name, limit(kind), cost, best, par) {
        close(&format!("{rules:?}: {task}"), points, wanted, 1e-9);
        for rule in rules {
            *seen.entry((name.clone(), rule)).or_default() += 1;
        }
    }
    points
}

fn report(run: &Run, weighed: &Weighed) -> Value {
    serde_json::to_value(json::Report::new(run, weighed, None)).unwrap()
}

fn check_report(run: &Run, weighed: &Weighed, seen: &mut BTreeMap<(String, Rule), u32>) {
    let report = report(run, weighed);
    let mut all = Vec::new();
    for (task, asked) in report["tasks"]
        .as_array()
        .unwrap()
        .iter()
        .zip(&run.drill().tasks)
    {
        if !asked.scored {
            assert!(task["points"].is_null() && task["best"].is_null() && task["par"].is_null());
            continue;
        }
        let Kind::Surprise(surprise) = &asked.kind else {
            all.push(check(task, &asked.kind, seen));
            continue;
        };
        let drawn = task["tasks"].as_array().unwrap();
        let kinds = weighed.score.tasks[task["n"].as_u64().unwrap() as usize - 1]
            .drawn
            .iter();
        let sum: f64 = drawn
            .iter()
            .zip(kinds)
            .map(|(task, scored)| check(task, &scored.task.kind, seen))
            .sum();
        let mean = sum / f64::from(surprise.count);
        close(
            "mean of what was drawn",
            task["points"].as_f64().unwrap(),
            mean,
            1e-9,
        );
        all.push(mean);
    }
    let mean = all.iter().sum::<f64>() / all.len() as f64;
    close("mean", report["points"].as_f64().unwrap(), mean, 1e-9);
}

fn steady(drill: &Arc<Drill>, seed: u64) -> Run {
    hands::fly(drill.clone(), seed, &mut Steady::new(drill))
}

/// One run of each kind that has costs, and one that has none.
fn runs() -> Vec<Run> {
    let steps = deck(
        "altitude_ft = 1500",
        &[
            "step = { to_ft = 1650, band_ft = 25, hold_s = 20, within_s = 60 }",
            "hold = { altitude_ft = 1650, band_ft = 40, seconds = 20 }",
            "hold = { altitude_ft = 1650, band_ft = 40, seconds = 20 }\nscored = false",
            "step = { to_ft = 1400, band_ft = 25, hold_s = 20, within_s = 70 }",
            "rate = { to_fpm = -500, band_fpm = 150, hold_s = 8, within_s = 40 }",
        ],
    );
    let shipped = |id: &str| library::drill(id).unwrap().drill().unwrap();
    let short_turf = |u20_mps: f64| {
        let mut drill = shipped("short-turf");
        drill.air.u20_mps = u20_mps;
        Arc::new(drill)
    };
    let in_gusts = (1..60)
        .map(|seed| steady(&short_turf(4.0), seed))
        .find(|run| score::leg_cost(run, 0).is_some_and(|share| share > 0.3));
    vec![
        steady(&steps, 1),
        scripted(&steps, &[]).0,
        in_gusts.expect("a landing with much of the band used"),
        crate::path::saved_after_a_call().0,
        scripted(&short_turf(0.0), &[]).0,
        steady(&Arc::new(shipped("what-the-rock-calls")), 3),
    ]
}

#[test]
fn every_rule_of_the_scale_as_worked_out_again_from_the_json() {
    let mut seen = BTreeMap::new();
    for run in runs() {
        let limits: Vec<f64> = run.legs().iter().map(|leg| limit(&leg.kind)).collect();
        let costs: Vec<Option<f64>> = (0..limits.len())
            .map(|leg| score::leg_cost(&run, leg))
            .collect();
        // Best from 0, past the cost, to beyond the limit; par at various distances above it.
        for best in [
            None,
            Some(0.0),
            Some(0.4),
            Some(0.9),
            Some(1.0),
            Some(1.01),
            Some(9.0),
        ] {
            for par in [
                None,
                Some(0.0),
                Some(0.01),
                Some(0.2),
                Some(0.45),
                Some(0.9),
                Some(3.0),
            ] {
                let references: Vec<Reference> = limits
                    .iter()
                    .zip(&costs)
                    .map(|(&limit, cost)| {
                        let cost = cost.unwrap_or(0.5 * limit);
                        let best = best.map(|share| match share {
                            9.0 => 1.1 * limit.max(cost),
                            share => share * cost,
                        });
                        Reference {
                            best,
                            par: best.and(par).map(|far| best.unwrap() + far * limit),
                            handed_on: None,
                        }
                    })
                    .collect();
                let weighed = Weighed {
                    score: score_against(&run, &references),
                    bills: Vec::new(),
                    first: String::new(),
                    ended_in: None,
                };
                check_report(&run, &weighed, &mut seen);
            }
        }
    }
    // A cost at or beyond the limit.
    let far_off = deck(
        "altitude_ft = 1500",
        &[
            "hold = { altitude_ft = 1520, band_ft = 21, seconds = 20 }",
            "hold = { altitude_ft = 1510, band_ft = 10.1, seconds = 9 }",
        ],
    );
    let (run, _) = scripted(&far_off, &[(0, 1000)]);
    let references = vec![
        Reference {
            best: Some(3.0),
            par: Some(5.0),
            handed_on: None,
        };
        2
    ];
    let weighed = Weighed {
        ended_in: None,
        score: score_against(&run, &references),
        bills: Vec::new(),
        first: String::new(),
    };
    check_report(&run, &weighed, &mut seen);

    for kind in ["hold", "step", "rate", "path"] {
        for rule in [AsGoodAsBest, LeastGap, Halfway, NoPar, UpToPar, BelowPar] {
            let count = seen.get(&(kind.to_string(), rule));
            assert!(count.is_some(), "{kind}, {rule:?} had no turn: {seen:?}");
        }
    }
    for (kind, rule) in [
        ("step", NoCost),
        ("hold", BeyondTheLimit),
        ("hold", BestBeyondTheLimit),
        ("hold", NoBest),
        ("rate", NoBest),
        ("path", NoBest),
        ("path", Missed),
        ("path", NotDown),
    ] {
        assert!(
            seen.contains_key(&(kind.to_string(), rule)),
            "{kind}, {rule:?}: {seen:?}"
        );
    }
}

/// With the real references, the points equal those that the debrief's arithmetic gives.
#[test]
fn a_weighed_run_has_the_points_that_its_debrief_works_out() {
    let drill = deck(
        "altitude_ft = 1500",
        &["step = { to_ft = 1650, band_ft = 25, hold_s = 20, within_s = 60 }"],
    );
    let pars = Pars::of(&drill, 1, &mut |_| {});
    let mut seen = BTreeMap::new();
    let mut told = 0;
    for late in [0, 64, 128, 192] {
        // Up with some power, then level, in time or late, then left alone.
        let rows = [(0, 480), (64 * 11 + late, 350), (64 * 14 + late, 382)];
        let (run, _) = scripted(&drill, &rows);
        let weighed = why::weigh(&run, Some(&pars));
        check_report(&run, &weighed, &mut seen);
        let task = &weighed.score.tasks[0];
        for line in working::lines(task) {
            assert!(line.chars().count() <= 74, "{line}");
            // As in `75 x (60.000 - 45.123) / (60.000 - 36.000) = 46.5 points`.
            if let Some((work, points)) = line.split_once(" = ")
                && let Some(points) = points.strip_suffix(" points")
            {
                close(&line, points.parse().unwrap(), calculate(work), 0.06);
                close(
                    &line,
                    points.parse().unwrap(),
                    task.points.unwrap(),
                    0.05 + 1e-9,
                );
                told += 1;
            }
        }
    }
    assert!(told >= 2, "{told} lines of arithmetic");
    assert!(seen.keys().any(|(_, rule)| *rule == BelowPar), "{seen:?}");
}

/// The value of `[a +] b x (c - d) / (e - f)`.
fn calculate(work: &str) -> f64 {
    let numbers: Vec<f64> = work
        .split(|c: char| !c.is_ascii_digit() && c != '.')
        .filter(|part| !part.is_empty())
        .map(|part| part.parse().unwrap())
        .collect();
    let (plus, rest) = numbers.split_at(numbers.len() - 5);
    let [b, c, d, e, f] = rest else {
        panic!("{work}");
    };
    plus.iter().sum::<f64>() + b * (c - d) / (e - f)
}

#[test]
fn a_debt_of_nothing_is_not_told() {
    let drill = deck(
        "altitude_ft = 1500",
        &["hold = { altitude_ft = 1510, band_ft = 25, seconds = 20 }"],
    );
    let (run, _) = scripted(&drill, &[]);
    for (debt, is_told) in [(0.0004, false), (0.3, true)] {
        let reference = Reference {
            best: Some(1.0),
            par: Some(5.0),
            handed_on: Some(debt),
        };
        let score = score_against(&run, &[reference]);
        let lines = working::lines(&score.tasks[0]).join("\n");
        assert_eq!(lines.contains("from the task before"), is_told, "{lines}");
    }
}

/// At the limit a cost earns nothing, even if best itself is as dear or dearer: points fall to it without a jump.
#[test]
fn nothing_is_earned_at_the_limit_even_by_what_is_no_dearer_than_best() {
    let drill = deck(
        "altitude_ft = 1500",
        &["hold = { altitude_ft = 1510, band_ft = 10, seconds = 20 }"],
    );
    let (run, _) = scripted(&drill, &[]);
    for best in [9.0, 10.0, 11.0] {
        let reference = Reference {
            best: Some(best),
            ..Reference::default()
        };
        let score = score_against(&run, &[reference]);
        let task = &score.tasks[0];
        close("cost", task.cost.unwrap().total(), 10.0, 1e-9);
        assert_eq!(task.points, Some(0.0), "best {best}");
        let lines = working::lines(task);
        assert_eq!(lines.last().unwrap(), "at the limit or beyond: 0.0 points");
        let is_offered = lines.iter().any(|line| line.contains("100 points"));
        assert_eq!(is_offered, best < 10.0, "{lines:?}");
    }
}

/// A debt of the task before takes off one whole scale at most; a head start is added in full.
#[test]
fn a_debt_takes_off_one_whole_scale_at_most() {
    // A steady climb out of the band: beyond the limit, 25 ft.
    let drill = deck(
        "altitude_ft = 1500\npath_deg = 1",
        &["hold = { altitude_ft = 1500, band_ft = 25, seconds = 15 }"],
    );
    let (run, _) = scripted(&drill, &[]);
    for (handed_on, counts_off, told) in [
        (10.0, 10.0, "- 10 ft, a debt from the task before: "),
        (25.0, 25.0, "- 25 ft, a debt from the task before: "),
        (
            395.0,
            25.0,
            "- 25 ft of a debt from the task before, 395 ft: ",
        ),
        (
            -395.0,
            -395.0,
            "+ 395 ft, a head start from the task before: ",
        ),
    ] {
        let reference = Reference {
            best: Some(1.0),
            par: Some(5.0),
            handed_on: Some(handed_on),
        };
        let score = score_against(&run, &[reference]);
        let task = &score.tasks[0];
        let cost = task.cost.unwrap().total();
        assert!((30.0..40.0).contains(&cost), "{cost}");
        let counts: f64 = cost - counts_off;
        let points = 75.0 * (25.0 - counts).clamp(0.0, 20.0) / 20.0;
        close("points", task.points.unwrap(), points, 1e-9);
        let lines = working::lines(task);
        let ends = format!("{counts:.3} ft counts");
        let is_told = |line: &String| line.starts_with(told) && line.ends_with(&ends);
        assert!(lines.iter().any(is_told), "{told}{ends}: {lines:?}");
    }
}

/// The position of par, and the reason given for it.
#[test]
fn the_working_says_why_par_stands_where_it_does() {
    let drill = deck(
        "altitude_ft = 1500",
        &["hold = { altitude_ft = 1510, band_ft = 25, seconds = 20 }"],
    );
    let (run, _) = scripted(&drill, &[]);
    // The cost is 10 ft, the limit 25.
    let told = |best: Option<f64>, par: Option<f64>| {
        let score = score_against(
            &run,
            &[Reference {
                best,
                par,
                handed_on: None,
            }],
        );
        working::lines(&score.tasks[0])
    };
    let cost = [
        "   10.000 ft rms error",
        "+   0.000 ft 0.1 x 11.485 x lever a minute / 10.190; 0.00 % in all",
        "=  10.000 ft cost",
    ];
    assert_eq!(
        told(None, None),
        [
            cost[0],
            cost[1],
            cost[2],
            "100 points at 0 ft, 0 at 25 ft, linear between",
            "100 x (25 - 10) / (25 - 0) = 60.0 points"
        ]
    );
    assert_eq!(
        told(Some(1.0), Some(5.0)),
        [
            cost[0],
            cost[1],
            cost[2],
            "100 points at best, 1 ft; 75 at par, 5 ft; 0 at 25 ft",
            "75 x (25 - 10) / (25 - 5) = 56.2 points"
        ]
    );
    let reasons = [
        (
            Some(9.0),
            Some(9.25),
            "par 9.25 ft, put at its least distance from best, 11 ft",
            "75 + 25 x (11 - 10) / (11 - 9) = 87.5 points",
        ),
        (
            Some(1.0),
            Some(24.0),
            "par 24 ft, put halfway from best to the limit, 13 ft",
            "75 + 25 x (13 - 10) / (13 - 1) = 81.2 points",
        ),
        (
            Some(1.0),
            None,
            "steady has no cost here: par halfway from best to the limit, 13 ft",
            "75 + 25 x (13 - 10) / (13 - 1) = 81.2 points",
        ),
    ];
    for (best, par, reason, points) in reasons {
        let lines = told(best, par);
        assert_eq!((lines.len(), lines[3].as_str()), (6, reason));
        assert_eq!(lines[5], points);
    }
    // With both the least distance and halfway, halfway wins.
    let close_by = told(Some(9.0), Some(23.0));
    assert!(close_by[3].contains("halfway"), "{close_by:?}");
    let last = |best: f64| told(Some(best), Some(best)).pop().unwrap();
    assert_eq!(last(10.5), "as good as best, or better: 100.0 points");
    // A cost below the limit is better than a best that is not.
    let lines = told(Some(25.5), None);
    assert_eq!(
        lines[3..],
        [
            "best, 25.5 ft, does not come below the limit, 25 ft: 0 points there and beyond",
            "as good as best, or better: 100.0 points"
        ]
    );
    let score = score_against(
        &run,
        &[Reference {
            best: Some(8.0),
            ..Reference::default()
        }],
    );
    let beside = working::beside(&score.tasks[0]);
    assert_eq!(beside.unwrap(), "par no cost, yours 10.0 ft, best 8.0 ft");
}
