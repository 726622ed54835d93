//! Rates and surprises: capture, figures, cost and points of a rate computed a second time from the trace; what a surprise
//! draws, held against the rules for every task over many seeds.
//!
//! No published source: the rules are this program's own.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::flying::{aircraft, close, drill, of_tasks, root};
use leveloff::drill::{Drill, Kind};
use leveloff::hands::{self, Hand, Script, Sight, Steady};
use leveloff::run::Run;
use leveloff::score::{self, Figure, Key, TaskScore};
use leveloff::sim::trim;
use leveloff::units::{DEG, FPM, FT};

fn made(aircraft: &str, altitude_ft: f64, air: &str, tasks: &[String]) -> Arc<Drill> {
    let start = format!("altitude_ft = {altitude_ft}\n[air]\n{air}");
    of_tasks(aircraft, &start, tasks)
}

fn rate(to_fpm: f64, band_fpm: f64, hold_s: f64, within_s: f64) -> String {
    format!(
        "rate = {{ to_fpm = {to_fpm}, band_fpm = {band_fpm}, hold_s = {hold_s}, within_s = {within_s} }}"
    )
}

/// The steady hand, disturbed every ten seconds.
struct Fidget(Steady, u16);

impl Hand for Fidget {
    fn lever(&mut self, sight: &Sight) -> Option<u16> {
        match sight.tick % 640 {
            320 => Some(self.1),
            _ => self.0.lever(sight),
        }
    }
}

/// A rate computed from a trace: the stay (start s, rms, mean, scatter) if captured, farthest past, lever travel % and ticks.
struct Second {
    stay: Option<(f64, f64, f64, f64)>,
    past_fpm: f64,
    travel: f64,
    ticks: usize,
}

/// Goes through the vertical speeds from a tick on, by the definitions alone.
fn second(run: &Run, first: usize, ask: (f64, f64, f64, f64)) -> Second {
    let (to, band, hold_s, within_s) = ask;
    let speeds: Vec<f64> = run
        .trace()
        .states()
        .iter()
        .map(|state| state.vz_mps / FPM)
        .collect();
    let towards = (to - speeds[first]).signum();
    let (mut begun, mut past_fpm, mut stay) = (None, 0.0_f64, None);
    let mut ticks = 0;
    for end in first + 1..speeds.len() {
        ticks += 1;
        past_fpm = past_fpm.max(towards * (speeds[end] - to));
        if (speeds[end] - to).abs() <= band {
            let from = *begun.get_or_insert(end);
            if (end + 1 - from) as f64 / 64.0 >= hold_s {
                let errors: Vec<f64> = speeds[from..=end].iter().map(|v| v - to).collect();
                let n = errors.len() as f64;
                let mean = errors.iter().sum::<f64>() / n;
                let rms = (errors.iter().map(|e| e * e).sum::<f64>() / n).sqrt();
                let scatter = (errors.iter().map(|e| (e - mean).powi(2)).sum::<f64>() / n).sqrt();
                // The stay begins where its first tick begins.
                stay = Some(((from - 1 - first) as f64 / 64.0, rms, mean, scatter));
                break;
            }
        } else {
            begun = None;
            if ticks as f64 / 64.0 > within_s {
                break;
            }
        }
    }
    let levers = |tick| run.trace().lever_at(tick);
    let mut last = if first == 0 {
        run.drill().start_lever()
    } else {
        levers(first - 1)
    };
    let mut travel = 0.0;
    for lever in (first..first + ticks).map(levers) {
        travel += 100.0 * (lever - last).abs();
        last = lever;
    }
    Second {
        stay,
        past_fpm,
        travel,
        ticks,
    }
}

fn agrees(run: &Run, task: &TaskScore, ask: (f64, f64, f64, f64)) -> bool {
    let first = (task.start_s.unwrap() * 64.0) as usize;
    let wanted = second(run, first, ask);
    assert_eq!(task.end_s.unwrap(), (first + wanted.ticks) as f64 / 64.0);
    assert_eq!(
        task.figure(Key::Captured),
        Some(Figure::Flag(wanted.stay.is_some()))
    );
    close(
        "past",
        task.number(Key::OvershootFpm).unwrap(),
        wanted.past_fpm,
        1e-6,
    );
    close(
        "travel",
        task.number(Key::LeverTravel).unwrap(),
        wanted.travel,
        1e-6,
    );
    let Some((begun_s, rms, mean, scatter)) = wanted.stay else {
        for key in [Key::CaptureS, Key::RmsFpm, Key::BiasFpm, Key::ScatterFpm] {
            assert_eq!(task.figure(key), Some(Figure::Unknown), "{key:?}");
        }
        assert_eq!((task.cost, task.points), (None, Some(0.0)));
        return false;
    };
    close("begun", task.number(Key::CaptureS).unwrap(), begun_s, 0.0);
    close("rms", task.number(Key::RmsFpm).unwrap(), rms, 1e-6);
    close("mean", task.number(Key::BiasFpm).unwrap(), mean, 1e-6);
    close(
        "scatter",
        task.number(Key::ScatterFpm).unwrap(),
        scatter,
        1e-6,
    );
    // u: lever of level flight less that of 3 degrees down, at the altitude of the start.
    let plane = &run.drill().aircraft;
    let h_m = run.trace().states()[first].h_m;
    let lever = |deg: f64| trim::on_speed(plane, h_m, deg * DEG).lever;
    let u = 100.0 * (lever(0.0) - lever(-3.0));
    let cost = begun_s + (wanted.past_fpm + rms) / 100.0 + 0.5 * wanted.travel / u;
    close("cost", task.cost.unwrap().total(), cost, 1e-6);
    let points = (100.0 * (ask.3 - cost) / (ask.3 - 2.0)).clamp(0.0, 100.0);
    close("points", task.points.unwrap(), points, 1e-4);
    true
}

#[test]
fn rates_agree_with_a_second_computation() {
    let asks = [
        (-500.0, 100.0, 8.0, 40.0),
        (300.0, 60.0, 5.0, 30.0),
        (-700.0, 150.0, 12.0, 25.0),
    ];
    let (mut captured, mut missed) = (0, 0);
    for name in ["deck jet", "late jet", "prop trainer", "first jet"] {
        for air in ["", "gusts = 'lively'"] {
            let scale = if name == "prop trainer" { 0.6 } else { 1.0 };
            let asks =
                asks.map(|(to, band, hold_s, within_s)| (scale * to, band, hold_s, within_s));
            let tasks: Vec<String> = asks.iter().map(|&(a, b, c, d)| rate(a, b, c, d)).collect();
            let drill = made(name, 3000.0, air, &tasks);
            for off in [0, 200, 900] {
                let mut hand: Box<dyn Hand> = match off {
                    0 => Box::new(Steady::new(&drill)),
                    _ => Box::new(Fidget(Steady::new(&drill), off)),
                };
                let run = hands::fly(drill.clone(), 7, &mut *hand);
                let score = score::score(&run);
                assert!(score.complete, "{name} {air} {off}");
                for (task, ask) in score.tasks.iter().zip(asks) {
                    match agrees(&run, task, ask) {
                        true => captured += 1,
                        false => missed += 1,
                    }
                }
                let mean = score
                    .tasks
                    .iter()
                    .map(|task| task.points.unwrap())
                    .sum::<f64>()
                    / 3.0;
                close("drill", score.points.unwrap(), mean, 1e-9);
            }
        }
    }
    assert!(captured >= 30 && missed >= 3, "{captured} {missed}");
}

#[test]
fn a_rate_that_is_there_at_once_is_timed_to_the_tick() {
    // Level with a target 60 ft/min up and a band of 59.9: just outside, then inside with the first trace of power.
    let drill = made("deck jet", 1500.0, "", &[rate(60.0, 59.9, 3.0, 20.0)]);
    let run = hands::fly(drill.clone(), 1, &mut Script::new(vec![(64, 390)]));
    let task = &score::score(&run).tasks[0];
    let inside = |tick: usize| (run.trace().states()[tick].vz_mps / FPM - 60.0).abs() <= 59.9;
    let first = (1..).find(|tick| inside(*tick)).unwrap();
    assert!(first > 64);
    assert_eq!(task.number(Key::CaptureS), Some((first - 1) as f64 / 64.0));
    assert_eq!(run.tick(), first as u64 - 1 + 192);
}

#[test]
fn a_rate_nobody_flies_ends_uncaptured_after_its_time() {
    let drill = made("deck jet", 1500.0, "", &[rate(-500.0, 100.0, 8.0, 30.0)]);
    let run = hands::fly(drill, 1, &mut Script::default());
    let score = score::score(&run);
    assert_eq!(run.tick(), 30 * 64 + 1);
    assert_eq!((score.points, score.tasks[0].cost), (Some(0.0), None));
}

#[test]
fn a_rate_that_begins_inside_its_band_earns_nothing() {
    // The aeroplane descends at 560 ft/min. First 450 ft/min down is asked for with a band of 109, then 600 with a band of 140:
    // the change is larger than the band, but the aeroplane is already inside it.
    let plane = aircraft("deck jet");
    let path_deg = root(-10.0, 0.0, |deg| {
        trim::on_speed(&plane, 2000.0 * FT, deg * DEG).vertical_mps() + 560.0 * FPM
    });
    let text = format!(
        "title = 'T'\nabout = 'A'\naircraft = 'deck jet'\n[start]\naltitude_ft = 2000\npath_deg = {path_deg}\n[[task]]\n{}\n[[task]]\n{}\n",
        rate(-450.0, 109.0, 2.0, 5.0),
        rate(-600.0, 140.0, 2.0, 20.0)
    );
    let drill = Arc::new(drill(&text).unwrap());
    let run = hands::fly(drill, 1, &mut Script::default());
    let score = score::score(&run);
    let task = &score.tasks[1];
    assert_eq!(task.figure(Key::Captured), Some(Figure::Flag(true)));
    assert_eq!(
        (task.number(Key::CaptureS), task.points),
        (Some(0.0), Some(0.0))
    );
    assert!(task.cost.is_some());
}

// Surprises.

/// The limits of a surprise, in the units of its file.
#[derive(Clone, Copy)]
struct Limits {
    kinds: &'static str,
    count: u32,
    low_ft: f64,
    high_ft: f64,
    max_fpm: f64,
    band_ft: f64,
    within_s: f64,
}

const WIDE: Limits = Limits {
    kinds: "'hold', 'step', 'rate'",
    count: 12,
    low_ft: 1000.0,
    high_ft: 2200.0,
    max_fpm: 800.0,
    band_ft: 40.0,
    within_s: 60.0,
};

/// Just eight bands wide, off the round tens, with hardly time to cross four of them.
const NARROW: Limits = Limits {
    kinds: "'step', 'rate', 'hold'",
    count: 12,
    low_ft: 1203.0,
    high_ft: 1403.0,
    max_fpm: 400.0,
    band_ft: 25.0,
    within_s: 14.2,
};

/// Room for rates that the engine cannot hold.
const STEEP: Limits = Limits {
    kinds: "'rate', 'step'",
    high_ft: 4000.0,
    max_fpm: 2000.0,
    within_s: 120.0,
    ..WIDE
};

/// Rates alone, with less room than most of them take.
const RATES: Limits = Limits {
    kinds: "'rate'",
    max_fpm: 2000.0,
    ..NARROW
};

/// No step to fall back on, and no hold after a rate.
const NO_STEPS: Limits = Limits {
    kinds: "'hold', 'rate'",
    ..NARROW
};

const BAND_FPM: f64 = 100.0;
const HOLD_S: f64 = 4.0;

impl Limits {
    fn task(&self) -> String {
        format!(
            "surprise = {{ count = {}, kinds = [{}], low_ft = {}, high_ft = {}, max_fpm = {}, band_ft = {}, band_fpm = {BAND_FPM}, \
             hold_s = {HOLD_S}, within_s = {} }}",
            self.count,
            self.kinds,
            self.low_ft,
            self.high_ft,
            self.max_fpm,
            self.band_ft,
            self.within_s
        )
    }

    fn drill(&self, altitude_ft: f64) -> Arc<Drill> {
        made("deck jet", altitude_ft, "", &[self.task()])
    }
}

/// Checks every rule for drawn tasks, leg by leg. Returns the kinds that were drawn.
fn lawful(run: &Run, limits: &Limits, altitude_ft: f64) -> Vec<&'static str> {
    let plane = &run.drill().aircraft;
    let (mut asked_ft, mut asked_fpm, mut after_rate) = (altitude_ft, 0.0, false);
    let mut kinds = Vec::new();
    for leg in run.legs() {
        let now = &run.trace().states()[leg.start as usize];
        let now_ft = now.h_m / FT;
        let name = leg.kind.name();
        assert!(limits.kinds.contains(name), "{name} was not asked for");
        match &leg.kind {
            Kind::Hold(hold) => {
                assert!(!after_rate, "a hold straight after a rate");
                close("the last target", hold.altitude_m / FT, asked_ft, 1e-9);
                assert_eq!(hold.seconds, HOLD_S);
                close("band", hold.band_m / FT, limits.band_ft, 1e-9);
                asked_fpm = 0.0;
            }
            Kind::Step(step) => {
                let to_ft = step.altitude_m / FT;
                let from_ft = if after_rate { now_ft } else { asked_ft };
                let change_ft = (to_ft - from_ft).abs();
                assert!(change_ft > limits.band_ft, "{to_ft} from {from_ft}");
                if after_rate {
                    assert!(
                        change_ft >= 4.0 * limits.band_ft - 1e-6,
                        "{to_ft} from {from_ft}"
                    );
                }
                let r_fps = trim::three_degrees(plane, from_ft * FT).rate_mps / FT;
                let least_s = change_ft / r_fps + 5.0;
                assert!(
                    step.within_s >= least_s - 1e-9,
                    "{change_ft} ft in {} s",
                    step.within_s
                );
                if (limits.low_ft..=limits.high_ft).contains(&from_ft) {
                    let inside = limits.low_ft - 1e-6..=limits.high_ft + 1e-6;
                    assert!(inside.contains(&to_ft), "{to_ft} from {from_ft}");
                }
                assert_eq!((step.hold_s, step.within_s), (HOLD_S, limits.within_s));
                (asked_ft, asked_fpm) = (to_ft, 0.0);
            }
            Kind::Rate(rate) => {
                let to_fpm = rate.vertical_mps / FPM;
                assert!(
                    to_fpm.abs() <= limits.max_fpm + 1e-6 && to_fpm != 0.0,
                    "{to_fpm}"
                );
                assert!(
                    (to_fpm - asked_fpm).abs() > BAND_FPM + 1e-6,
                    "{to_fpm} after {asked_fpm}"
                );
                let now_fpm = now.vz_mps / FPM;
                assert!(
                    (to_fpm - now_fpm).abs() > BAND_FPM,
                    "{to_fpm} at {now_fpm}: begun inside its band"
                );
                assert!(rate.within_s >= 5.0);
                // Flyable: the lever for this climb or sink, on speed, is between its stops.
                let sin_path = |deg: f64| {
                    let trim = trim::on_speed(plane, now_ft * FT, deg * DEG);
                    trim.vertical_mps() - rate.vertical_mps
                };
                let deg = root(-20.0, 20.0, sin_path);
                let lever = trim::on_speed(plane, now_ft * FT, deg * DEG).lever;
                assert!(
                    (-0.01..=1.01).contains(&lever),
                    "{to_fpm} ft/min takes {lever}"
                );
                asked_fpm = to_fpm;
            }
            other => panic!("{other:?}"),
        }
        after_rate = matches!(leg.kind, Kind::Rate(_));
        kinds.push(leg.kind.name());
    }
    kinds
}

#[test]
fn a_hundred_seeds_draw_only_what_can_be_flown() {
    for (limits, altitude_ft) in [
        (WIDE, 1500.0),
        (NARROW, 1303.0),
        (NARROW, 1205.0),
        (WIDE, 3000.0),
        (STEEP, 2500.0),
        (RATES, 1303.0),
        (NO_STEPS, 1303.0),
    ] {
        let drill = limits.drill(altitude_ft);
        let mut first = BTreeSet::new();
        let mut seen: BTreeSet<&str> = BTreeSet::new();
        for seed in 0..100 {
            // Flown well, and not at all: the draw depends on where the aeroplane is.
            let mut hands: [Box<dyn Hand>; 2] = [
                Box::new(Steady::new(&drill)),
                Box::new(Script::new(vec![(0, 420)])),
            ];
            let hand = &mut hands[usize::from(seed % 4 == 3)];
            let run = hands::fly(drill.clone(), seed, &mut **hand);
            let kinds = lawful(&run, &limits, altitude_ft);
            assert_eq!(kinds.len(), limits.count as usize);
            seen.extend(&kinds);
            first.insert(kinds[..4].to_vec());
        }
        let kinds = limits.kinds.split(',').count();
        assert_eq!(seen.len(), kinds, "{seen:?}");
        // More than a quarter of the possible beginnings of four tasks.
        assert!(first.len() > kinds.pow(4) / 4, "{} beginnings", first.len());
    }
}

#[test]
fn the_same_seed_draws_the_same_and_another_something_else() {
    let drill = WIDE.drill(1500.0);
    let kinds = |seed: u64| -> Vec<Kind> {
        let run = hands::fly(drill.clone(), seed, &mut Steady::new(&drill));
        run.legs().iter().map(|leg| leg.kind.clone()).collect()
    };
    assert_eq!(kinds(3), kinds(3));
    assert_ne!(kinds(3), kinds(4));
}

#[test]
fn only_the_kinds_that_are_named_are_drawn() {
    for (kinds, alone) in [("'hold'", "hold"), ("'step'", "step")] {
        let limits = Limits { kinds, ..WIDE };
        let drill = limits.drill(1500.0);
        let run = hands::fly(drill.clone(), 1, &mut Steady::new(&drill));
        assert!(
            lawful(&run, &limits, 1500.0)
                .iter()
                .all(|kind| *kind == alone)
        );
    }
    // Rates alone: where no rate stays inside the limits, a step comes between.
    let limits = Limits {
        kinds: "'rate'",
        ..WIDE
    };
    let drill = limits.drill(1500.0);
    let run = hands::fly(drill.clone(), 1, &mut Steady::new(&drill));
    let kinds = lawful(&run, &limits, 1500.0);
    assert!(kinds.contains(&"rate") && !kinds.contains(&"hold"));
}

/// Steps of four bands either way: eight bands are just enough.
#[test]
fn the_narrowest_limits_of_a_surprise_are_accepted() {
    let read = |high_ft: u32| {
        drill(&format!(
            "title = 'T'\nabout = 'A'\naircraft = 'deck-jet'\n[start]\naltitude_ft = 1100\n[[task]]\n\
             surprise = {{ count = 3, kinds = ['step'], low_ft = 1000, high_ft = {high_ft}, max_fpm = 500, band_ft = 25, \
             band_fpm = 100, hold_s = 5, within_s = 60 }}\n"
        ))
    };
    assert!(read(1200).is_ok());
    let err = read(1199).unwrap_err().to_string();
    assert!(err.contains("need 200 ft between them"), "{err}");
}

/// From outside its limits a surprise goes towards them, as far as there is time for.
#[test]
fn a_step_from_far_outside_the_limits_goes_towards_them() {
    let limits = Limits {
        kinds: "'step'",
        ..WIDE
    };
    let run = Run::new(limits.drill(8000.0), 1);
    let Kind::Step(step) = &run.leg().kind else {
        panic!("{:?}", run.leg().kind)
    };
    // At 3 degrees in what is left of a minute.
    let by_ft = step.altitude_m / FT - 8000.0;
    assert!((-900.0..-300.0).contains(&by_ft), "{by_ft}");
}

#[test]
fn what_comes_next_is_not_told() {
    let drill = made(
        "deck jet",
        1500.0,
        "",
        &[
            "hold = { altitude_ft = 1500, band_ft = 40, seconds = 1 }".to_string(),
            WIDE.task(),
        ],
    );
    let mut run = Run::new(drill.clone(), 1);
    assert_eq!(run.next_kind(), None, "before the surprise");
    while run.task_index() == 0 {
        run.fly();
    }
    assert_eq!(run.next_kind(), None, "in it");
}

#[test]
fn a_surprise_is_worth_its_mean_and_counts_once() {
    let hold = "hold = { altitude_ft = 1500, band_ft = 40, seconds = 5 }".to_string();
    let drill = made("deck jet", 1500.0, "", &[hold, WIDE.task()]);
    let mut rates = 0;
    for seed in 0..5 {
        let run = hands::fly(drill.clone(), seed, &mut Steady::new(&drill));
        let score = score::score(&run);
        let [first, surprise] = &score.tasks[..] else {
            panic!("{score:?}")
        };
        assert_eq!(surprise.drawn.len(), 12);
        let mean = surprise
            .drawn
            .iter()
            .map(|task| task.points.unwrap())
            .sum::<f64>()
            / 12.0;
        assert!(mean > 0.0);
        close("mean", surprise.points.unwrap(), mean, 1e-9);
        close(
            "once",
            score.points.unwrap(),
            (first.points.unwrap() + mean) / 2.0,
            1e-9,
        );
        assert_eq!(surprise.end_s, Some(run.time_s()));
        for pair in surprise.drawn.windows(2) {
            assert_eq!(pair[0].end_s, pair[1].start_s);
        }
        for task in &surprise.drawn {
            if let Kind::Rate(asked) = &task.task.kind {
                let to_fpm = asked.vertical_mps / FPM;
                let ask = (to_fpm, BAND_FPM, asked.hold_s, asked.within_s);
                if task.points.unwrap() > 0.0 {
                    rates += u32::from(agrees(&run, task, ask));
                }
            }
        }
    }
    assert!(rates >= 5, "{rates}");
}

#[test]
fn what_a_surprise_leaves_undrawn_counts_nothing() {
    let drill = WIDE.drill(1500.0);
    let mut run = Run::new(drill.clone(), 2);
    let mut hand = Steady::new(&drill);
    while run.legs().len() < 4 {
        if let Some(lever) = hand.lever(&Sight::of(&run)) {
            run.set_lever(lever);
        }
        run.fly();
    }
    run.leave();
    let score = score::score(&run);
    let task = &score.tasks[0];
    let sum: f64 = task
        .drawn
        .iter()
        .take(3)
        .map(|task| task.points.unwrap())
        .sum();
    assert!(sum > 0.0 && !score.complete);
    assert_eq!((task.end_s, task.drawn[3].points), (None, Some(0.0)));
    close("over all twelve", task.points.unwrap(), sum / 12.0, 1e-9);
}
