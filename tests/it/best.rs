//! The hand `best`: never worse than `steady`, within its limits, the same at every call, and close to what an independent
//! solver of another kind finds (`data/reference/best_steps.json`, made by `best_steps.py` of the same folder; no published
//! source: one problem, solved twice).

mod any;
mod effort;

use std::sync::Arc;

use super::flying;
use approx::assert_abs_diff_eq;
use leveloff::drill::{Drill, Kind, parse};
use leveloff::hands::{self, Script, Steady, best};
use leveloff::run::Run;
use leveloff::score::leg_cost;
use leveloff::sim::trim;
use leveloff::units::{FPM, TICK_S};
use leveloff::why::par::VERSION;

/// A shipped drill, in another air if one is named.
fn shipped(id: &str, air: Option<&str>) -> Arc<Drill> {
    let mut drill = Drill::clone(&flying::shipped(id));
    if let Some(air) = air {
        drill.air.u20_mps = parse::air_word_mps(air).unwrap();
    }
    Arc::new(drill)
}

/// How far a built-in hand may move the lever in a tick.
const LEVER_PER_TICK: f64 = 0.4 * TICK_S;
/// A lever is set in thousandths.
const ROUNDING: f64 = 0.0005;

/// Both hands' runs of a drill.
fn both(drill: &Arc<Drill>, seed: u64) -> (Run, Run) {
    let steady = hands::fly(drill.clone(), seed, &mut Steady::new(drill));
    let best = best::fly(&steady, &mut |_| {});
    (steady, best)
}

/// This version distinguishes kept pars: it must go up whenever `best` flies differently.
#[test]
fn a_change_of_best_raises_the_version_of_pars() {
    let flown = [
        ("quarry-stair", None),
        ("supply-ship", Some("lively")),
        ("errands-round-the-ship", Some("rough")),
    ]
    .map(|(id, air)| both(&shipped(id, air), 1).1.digest());
    let flown: Vec<&str> = flown.iter().map(String::as_str).collect();
    assert_eq!(
        (VERSION, &flown[..]),
        (
            10,
            &["f975d8efb40824e4", "ed50d79107521b71", "f9cf6e7a8b665a24"][..]
        ),
        "raise hands::par::VERSION"
    );
}

/// A leg that both flew: its kind, and its cost by `steady` and by `best`.
struct Pair {
    kind: &'static str,
    steady: Option<f64>,
    best: Option<f64>,
}

impl Pair {
    fn is_worse(&self) -> bool {
        match (self.steady, self.best) {
            (Some(steady), Some(best)) => best > steady + 1e-9,
            (Some(_), None) => true,
            _ => false,
        }
    }
}

/// Each leg that `best` flew, and what it costs `steady` from where it began: in that hand's own run, where it began there.
fn pairs(steady: &Run, best: &Run) -> Vec<Pair> {
    let legs = best.legs().iter().zip(best.each_leg_start()).enumerate();
    let pairs = legs.map(|(index, (leg, start))| {
        let began_there = steady.legs().get(index).is_some_and(|theirs| {
            let state = steady.trace().state(theirs.start as usize);
            theirs.start == leg.start && state == start.world().state()
        });
        let mut theirs = match began_there {
            true => steady.clone(),
            false => start.fork(),
        };
        hands::fly_leg(&mut theirs, &mut Steady::new(best.drill()));
        Pair {
            kind: leg.kind.name(),
            steady: leg_cost(&theirs, index),
            best: leg_cost(best, index),
        }
    });
    pairs.collect()
}

/// Every kind of task, every aeroplane.
const HANDFUL: &[&str] = &[
    "catch-the-sink",
    "quarry-stair",
    "gannet-ledges",
    "the-late-answer",
    "level-over-the-tarn",
    "a-rate-and-no-more",
    "onto-the-shelf",
    "swell-from-the-west",
];

#[test]
fn best_is_never_worse_than_steady_and_keeps_its_limits() {
    let (mut own, mut legs) = (0, 0);
    for id in HANDFUL {
        for air in ["still", "lively"] {
            let drill = shipped(id, Some(air));
            let (steady, best) = both(&drill, 1);
            let pairs = pairs(&steady, &best);
            assert_eq!(pairs.len(), drill.tasks.len());
            for (index, pair) in pairs.iter().enumerate() {
                assert!(
                    !pair.is_worse(),
                    "{id}, {air}, task {}, {}: {:?} after steady's {:?}",
                    index + 1,
                    pair.kind,
                    pair.best,
                    pair.steady
                );
            }
            own += assert_limits(&best, Some(&steady), &format!("{id}, {air}"));
            legs += pairs.len();
        }
    }
    assert!(5 * own > 4 * legs, "{own} of {legs} legs flown its own way");
}

/// Checks the lever's rate and least setting, and the vertical speed on steps, on the legs not flown with the lever of `steady`.
/// Returns the number of those legs.
fn assert_limits(best: &Run, steady: Option<&Run>, what: &str) -> usize {
    let mut own = 0;
    for (index, leg) in best.legs().iter().enumerate() {
        let is_steadys = |steady: &Run| leg_cost(best, index) == leg_cost(steady, index);
        if steady.is_some_and(is_steadys) {
            continue;
        }
        own += 1;
        let ticks = leg.start as usize..leg.end.unwrap() as usize;
        let mut last = best.trace().lever_before(ticks.start);
        for (tick, lever) in ticks
            .clone()
            .map(|tick| best.trace().lever_at(tick))
            .enumerate()
        {
            let moved = (lever - last).abs();
            let most = LEVER_PER_TICK + ROUNDING;
            assert!(moved <= most, "{what}: {moved} in tick {tick}");
            // Below 10 % only where `steady` left it there: then it must not go lower.
            let least = last.min(0.1);
            assert!(lever >= least, "{what}: lever {lever} in tick {tick}");
            last = lever;
        }
        let fastest = best.trace().between(ticks.start + 1..ticks.end + 1).iter();
        let fastest_mps = fastest.map(|state| state.vz_mps.abs()).fold(0.0, f64::max);
        assert!(
            leg.kind.name() != "step" || fastest_mps <= 1000.0 * FPM,
            "{what}: {:.0} ft/min on a step",
            fastest_mps / FPM
        );
    }
    own
}

/// The engine answers late and the wind takes the aeroplane off the path: where the lever moves at its fastest for long, a few
/// rounds of the search over the path gain little.
#[test]
fn best_is_no_dearer_than_the_brief_where_the_wind_changes_on_the_way() {
    // Aeroplane; altitude, distance; headwind, its change, start and duration of the change; slope, beginning, band.
    type Path = (&'static str, [f64; 2], [f64; 4], [f64; 3]);
    let paths: [Path; 3] = [
        (
            "late jet",
            [1480.0, 3.6],
            [24.0, -14.0, 60.0, 15.0],
            [4.3, 2.9, 120.0],
        ),
        (
            "first jet",
            [760.0, 2.6],
            [24.0, -14.0, 40.0, 20.0],
            [3.8, 1.7, 100.0],
        ),
        (
            "late jet",
            [643.0, 2.1],
            [16.0, 14.0, 30.0, 20.0],
            [3.6, 1.6, 100.0],
        ),
    ];
    for (aircraft, [altitude_ft, distance_nm], wind, [slope_deg, from_nm, band_ft]) in paths {
        let [headwind_kt, shift_kt, shift_at_s, shift_over_s] = wind;
        let text = format!(
            "title = \"The wind changes\"\nabout = \"On the way.\"\naircraft = \"{aircraft}\"\n\
             [start]\naltitude_ft = {altitude_ft}\ndistance_nm = {distance_nm}\n\
             [air]\nheadwind_kt = {headwind_kt}\nshift_kt = {shift_kt}\nshift_at_s = {shift_at_s}\n\
             shift_over_s = {shift_over_s}\n\
             [deck]\nheight_ft = 40\nzone_ft = 600\n\
             [[task]]\npath = {{ slope_deg = {slope_deg}, from_nm = {from_nm}, band_ft = {band_ft}, gates_nm = [0.5] }}\n"
        );
        let drill = Arc::new(flying::drill(&text).unwrap());
        let (_, best) = both(&drill, 0);
        let brief = hands::fly(drill.clone(), 0, &mut hands::Brief::new(&drill));
        let [best, brief] = [&best, &brief].map(|run| leg_cost(run, 0).unwrap());
        assert!(best < brief, "{aircraft}: best {best}, brief {brief}");
    }
}

#[test]
fn best_is_the_same_at_every_call_and_its_log_flies_the_same_again() {
    for (id, air) in [("post-for-the-hut", "rough"), ("onto-the-shelf", "lively")] {
        let drill = shipped(id, Some(air));
        let (steady, once) = both(&drill, 7);
        let mut told = Vec::new();
        let again = best::fly(&steady, &mut |share| told.push(share));
        assert_eq!(once.log(), again.log());
        assert_eq!(once.digest(), again.digest());
        assert!(told.is_sorted() && told.first() == Some(&0.0) && told.last() == Some(&1.0));

        let replayed = hands::fly(drill, 7, &mut Script::new(once.log().to_vec()));
        assert_eq!(replayed.digest(), once.digest());
        for leg in 0..once.legs().len() {
            assert_eq!(leg_cost(&replayed, leg), leg_cost(&once, leg));
        }
    }
}

#[test]
fn one_leg_from_a_fork_is_flown_as_well() {
    let drill = shipped("quarry-stair", Some("lively"));
    let learner = hands::fly(drill.clone(), 3, &mut Steady::new(&drill));
    let start = &learner.each_leg_start().nth(2).unwrap();
    let mut steady = start.fork();
    hands::fly_leg(&mut steady, &mut Steady::new(&drill));
    let best = best::fly_leg(start, &steady);
    let (steady, best) = (leg_cost(&steady, 2).unwrap(), leg_cost(&best, 2).unwrap());
    assert!(best < steady, "{best} against {steady}");
}

/// The five tasks of the solver, each with its row.
fn solved() -> Vec<(Arc<Drill>, serde_json::Value)> {
    let text = include_str!("data/reference/best_steps.json");
    let data: serde_json::Value = serde_json::from_str(text).unwrap();
    let rows = data["rows"].as_array().unwrap();
    assert_eq!(rows.len(), 5);
    let with_drill = |row: &serde_json::Value| {
        let text = format!(
            "title = 'T'\nabout = 'A'\naircraft = {}\n[start]\naltitude_ft = {}\n[[task]]\n\
             step = {{ to_ft = {}, band_ft = {}, hold_s = {}, within_s = {} }}",
            row["aircraft"],
            row["start_ft"],
            row["to_ft"],
            row["band_ft"],
            row["hold_s"],
            row["within_s"],
        );
        (Arc::new(flying::drill(&text).unwrap()), row.clone())
    };
    rows.iter().map(with_drill).collect()
}

#[test]
fn best_is_within_two_percent_of_an_independent_solver() {
    for (drill, row) in solved() {
        let (_, best) = both(&drill, 1);
        assert_limits(&best, None, &row["name"].to_string());
        let (ours_s, theirs_s) = (leg_cost(&best, 0).unwrap(), row["cost_s"].as_f64().unwrap());
        println!("{}: {ours_s:.2} s, solver {theirs_s:.2} s", row["name"]);
        assert!(
            ours_s <= 1.02 * theirs_s,
            "{}: {ours_s} s, the solver found {theirs_s} s",
            row["name"]
        );
    }
}

/// The cost of a step from level flight, computed tick by tick from its definition, with levers that are not rounded.
fn cost_with_exact_levers(drill: &Drill, settings: &[(f64, f64)]) -> f64 {
    let Kind::Step(step) = &drill.tasks[0].kind else {
        panic!("a step");
    };
    let three = trim::three_degrees(&drill.aircraft, drill.start.altitude_m);
    let steepest_mps = (1000.0 * FPM).min(1.5 * three.rate_mps);
    let way = (step.altitude_m - drill.start.altitude_m).signum();
    let mut world = drill.world(1);
    let mut lever = drill.start_lever();
    let (mut travel, mut past_m, mut steep_s) = (0.0, 0.0_f64, 0.0);
    let mut stay: Vec<f64> = Vec::new();
    for tick in 0.. {
        let now_s = tick as f64 * TICK_S;
        let setting = settings.iter().rfind(|(from_s, _)| *from_s <= now_s + 1e-9);
        let missing = setting.unwrap().1 - lever;
        let moved = missing.clamp(-LEVER_PER_TICK, LEVER_PER_TICK);
        lever += moved;
        travel += moved.abs();
        world.fly(lever).unwrap();
        let state = world.state();
        let error_m = state.h_m - step.altitude_m;
        past_m = past_m.max(way * error_m);
        if state.vz_mps.abs() > steepest_mps {
            steep_s += TICK_S;
        }
        match error_m.abs() <= step.band_m {
            true => stay.push(error_m * error_m),
            false => stay.clear(),
        }
        assert!(now_s < step.within_s, "not captured");
        if stay.len() as f64 * TICK_S >= step.hold_s {
            let capture_s = now_s + TICK_S - stay.len() as f64 * TICK_S;
            let rms_m = (stay.iter().sum::<f64>() / stay.len() as f64).sqrt();
            let error_s = (past_m + rms_m) / three.rate_mps;
            return capture_s + error_s + 0.5 * travel / three.lever + 2.0 * steep_s;
        }
    }
    unreachable!()
}

#[test]
fn the_solvers_schedules_cost_the_same_here() {
    for (drill, row) in solved() {
        let settings = row["settings"].as_array().unwrap().iter();
        let number = |setting: &serde_json::Value, key: &str| setting[key].as_f64().unwrap();
        let settings = settings.map(|s| (number(s, "from_s"), number(s, "lever")));
        let settings: Vec<(f64, f64)> = settings.collect();
        let here_s = cost_with_exact_levers(&drill, &settings);
        // A tick more or less too steep is 0.03 s.
        let theirs_s = row["cost_s"].as_f64().unwrap();
        assert_abs_diff_eq!(here_s, theirs_s, epsilon = 0.04);
    }
}
