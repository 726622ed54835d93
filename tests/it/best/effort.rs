//! The time that best and par of a drill take.

use std::sync::Arc;

use super::{Pair, flying, pairs, shipped};
use leveloff::drill::{Drill, library};
use leveloff::hands::par::Pars;
use leveloff::hands::{self, Steady, best};

/// The most that `best` may take over any drill, s of one core: a second, and half a second more where others share it.
const MOST_S: f64 = 1.5;

/// Processor time of this thread, s, so that a busy machine does not count; 0 if the system does not report it.
fn processor_s() -> f64 {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap_or_default();
    let nanoseconds = told
        .split(' ')
        .next()
        .and_then(|first| first.parse::<f64>().ok());
    nanoseconds.unwrap_or(0.0) / 1e9
}

#[test]
#[ignore = "prints a table of everything that ships; run it in release"]
fn all_drills_in_all_airs() {
    let seeds: u64 = std::env::var("SEEDS").map_or(1, |s| s.parse().unwrap());
    let only = std::env::var("ONLY").ok();
    let airs = std::env::var("AIRS").unwrap_or("still light lively rough".to_string());
    let (mut worse, mut legs, mut slowest) = (0, 0, 0.0_f64);
    for shipped_drill in library::DRILLS {
        if only
            .as_ref()
            .is_some_and(|only| !shipped_drill.id.contains(only.as_str()))
        {
            continue;
        }
        for air in airs.split(' ') {
            for seed in 1..=seeds {
                let drill = shipped(shipped_drill.id, Some(air));
                let begun_s = processor_s();
                let steady = hands::fly(drill.clone(), seed, &mut Steady::new(&drill));
                let steady_s = processor_s() - begun_s;
                let best = best::fly(&steady, &mut |_| {});
                let begun_s = processor_s();
                Pars::of(&drill, seed, &mut |_| {});
                let took_s = processor_s() - begun_s;
                slowest = slowest.max(took_s);
                let mut line = String::new();
                for pair in pairs(&steady, &best) {
                    legs += 1;
                    let show =
                        |cost: Option<f64>| cost.map_or("-".to_string(), |c| format!("{c:.2}"));
                    line += &format!(
                        " {}{} {}/{}",
                        if pair.is_worse() { "WORSE " } else { "" },
                        pair.kind,
                        show(pair.steady),
                        show(pair.best)
                    );
                    worse += usize::from(pair.is_worse());
                }
                println!(
                    "{:24} {air:6} {seed} {steady_s:.3} {took_s:.3} s {:6.1} s:{line}",
                    shipped_drill.id,
                    best.time_s()
                );
            }
        }
    }
    println!("{worse} of {legs} legs worse than steady; slowest {slowest:.2} s");
}

/// Drills that take as much as the format allows, in many ways.
fn longest() -> Vec<(&'static str, String)> {
    let steps = |count: usize, far_ft: f64, rest: &str| -> String {
        let to_ft = |n: usize| 1200.0 + far_ft * ((n + 1) % 2) as f64;
        let task = |n: usize| format!("[[task]]\nstep = {{ to_ft = {}, {rest} }}\n", to_ft(n));
        (0..count).map(task).collect()
    };
    let rates = |count: usize, rest: &str| -> String {
        let to_fpm = |n: usize| if n.is_multiple_of(2) { 400 } else { -400 };
        let task = |n: usize| format!("[[task]]\nrate = {{ to_fpm = {}, {rest} }}\n", to_fpm(n));
        (0..count).map(task).collect()
    };
    let holds = |count: usize, seconds: f64| {
        format!("[[task]]\nhold = {{ altitude_ft = 1200, band_ft = 40, seconds = {seconds} }}\n")
            .repeat(count)
    };
    let surprises = |count: usize, kinds: &str, rest: &str| {
        format!(
            "[[task]]\nsurprise = {{ count = 50, kinds = {kinds}, low_ft = 800, high_ft = 1800, max_fpm = 700, {rest} }}\n"
        )
        .repeat(count)
    };
    let brief = "band_ft = 1, band_fpm = 10, hold_s = 0.1, within_s = 5.8";
    let path = "[[task]]\npath = { slope_deg = 1, from_nm = 10, band_ft = 80, gates_nm = [1] }\n";
    vec![
        ("four hours of holds", holds(4, 3600.0)),
        ("two hours of holds", holds(4, 1800.0)),
        ("an hour of holds", holds(200, 18.0)),
        (
            "170 steps",
            steps(170, 200.0, "band_ft = 25, hold_s = 20, within_s = 60"),
        ),
        (
            "40 steps",
            steps(40, 400.0, "band_ft = 20, hold_s = 60, within_s = 300"),
        ),
        (
            "long steps",
            steps(3, 9000.0, "band_ft = 20, hold_s = 60, within_s = 3600"),
        ),
        (
            "steps not to be captured",
            steps(3, 300.0, "band_ft = 1, hold_s = 900, within_s = 3600"),
        ),
        (
            "short ones neither",
            steps(30, 300.0, "band_ft = 1, hold_s = 100, within_s = 300"),
        ),
        (
            "200 rates",
            rates(200, "band_fpm = 100, hold_s = 10, within_s = 60"),
        ),
        (
            "rates not to be held",
            rates(20, "band_fpm = 10, hold_s = 120, within_s = 500"),
        ),
        ("50 surprises", surprises(4, "['rate']", brief)),
        (
            "of all kinds",
            surprises(4, "['hold', 'step', 'rate']", brief),
        ),
        (
            "some longer",
            surprises(
                1,
                "['step', 'rate']",
                "band_ft = 20, band_fpm = 100, hold_s = 12, within_s = 60",
            ),
        ),
        ("holds and a path", holds(199, 1.0) + path),
        ("a path", path.to_string()),
    ]
}

/// The allowed factor over the intended effort: flights already begun, and legs begun again where `steady` began them.
const OVER: f64 = 2.5;

/// Each of them in still and in rough air, the path also behind a ship that runs away from it.
fn longest_drills() -> impl Iterator<Item = (String, Arc<Drill>)> {
    let tasks = longest().into_iter();
    tasks.flat_map(|(what, tasks)| {
        let is_path = tasks.contains("path");
        let airs = ["gusts = 'still'", "gusts = 'rough'", "wake = true"];
        let airs = airs.into_iter().filter(move |air| is_path || !air.contains("wake"));
        airs.flat_map(move |air| {
            let tasks = tasks.clone();
            ["deck jet", "prop trainer"].into_iter().map(move |aircraft| {
                let (start, deck) = match is_path {
                    true => ("distance_nm = 20\n", "[deck]\nheight_ft = 55\nspeed_kt = 15\nzone_ft = 420\npitch_deg = 1\n"),
                    false => ("", ""),
                };
                let text = format!(
                    "title = 'T'\nabout = 'A'\naircraft = '{aircraft}'\n[start]\naltitude_ft = 1200\nlever_off = 0.05\n{start}\
                     [air]\nheadwind_kt = 15\n{air}\n{deck}{tasks}"
                );
                let drill = flying::drill(&text).unwrap_or_else(|error| panic!("{what}: {error}"));
                (format!("{what}, {aircraft}, {air}"), Arc::new(drill))
            })
        })
    })
}

#[test]
#[ignore = "the longest drills, ONLY=some; run it in release"]
fn the_longest_drills_take_a_second_at_most() {
    let only = std::env::var("ONLY").unwrap_or_default();
    let mut slowest = (0.0, String::new());
    for (what, drill) in longest_drills().filter(|(what, _)| what.contains(&only)) {
        let begun_s = processor_s();
        let steady = hands::fly(drill.clone(), 1, &mut Steady::new(&drill));
        let steady_s = processor_s() - begun_s;
        let (best, steps) = best::fly_counted(&steady, &mut |_| {});
        let flown_s = processor_s() - begun_s;
        let begun_s = processor_s();
        Pars::of(&drill, 1, &mut |_| {});
        let took_s = processor_s() - begun_s;
        let pairs = pairs(&steady, &best);
        let sum = |of: fn(&Pair) -> Option<f64>| pairs.iter().filter_map(of).sum::<f64>();
        println!(
            "{what}: steady {steady_s:.2} s, best {flown_s:.2} s, pars {took_s:.2} s, {steps} steps, {:.3} us each; {} legs, {:.1} after {:.1}",
            1e6 * flown_s / steps as f64,
            pairs.len(),
            sum(|pair| pair.best),
            sum(|pair| pair.steady),
        );
        assert!(pairs.iter().all(|pair| !pair.is_worse()), "{what}");
        assert!(
            steps as f64 <= OVER * best::A_DRILL as f64,
            "{what}: {steps}"
        );
        if flown_s > slowest.0 {
            slowest = (flown_s, what);
        }
    }
    println!("slowest {:.2} s: {}", slowest.0, slowest.1);
    assert!(slowest.0 <= MOST_S, "{slowest:?}");
}

#[test]
fn what_is_tried_is_counted_and_bound() {
    for what in ["rates not to be held", "40 steps"] {
        let (_, drill) = longest_drills()
            .find(|(name, _)| name.starts_with(what))
            .unwrap();
        let steady = hands::fly(drill.clone(), 1, &mut Steady::new(&drill));
        let (best, steps) = best::fly_counted(&steady, &mut |_| {});
        assert!(steps as u64 >= steady.tick() + best.tick());
        assert!(
            steps as f64 <= OVER * best::A_DRILL as f64,
            "{what}: {steps}"
        );
    }
}
