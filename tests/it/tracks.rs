//! Tracks from any logger, judged like runs: those of our own flights come back as they were flown.

use std::fmt::Write;
use std::sync::Arc;

use leveloff::drill::printable::is_plain;
use leveloff::drill::reader::Source;
use leveloff::drill::{Drill, Kind};
use leveloff::export::csv;
use leveloff::hands;
use leveloff::run::recording::HandName;
use leveloff::run::{Known, Run, Tape};
use leveloff::score::{self, Figure, Key, Score, TaskScore, metrics, score_against};
use leveloff::sim::air::noise::{Noise, Stream};
use leveloff::sim::dynamics::State;
use leveloff::track::fill::ways::bent;
use leveloff::track::smooth::{Smooth, Windows};
use leveloff::track::{Begin, Mapping, Series, Track, agree, fill, story};
use leveloff::units::{FPM, FT, KT, TICK_S, TICKS_PER_S};
use leveloff::why::Pars;
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::TestRunner;

use crate::flying::{all_shipped, drill, of_tasks, shipped};
use crate::kept::pars;
use crate::mutants::{change, changed};

fn flown(drill: &Arc<Drill>, hand: HandName) -> Run {
    let mut hand = hands::built_in(hand, drill, 0).unwrap();
    hands::fly(drill.clone(), 0, &mut *hand)
}

fn read(text: &str, asked: &[&str]) -> Track {
    let asked: Vec<Mapping> = asked
        .iter()
        .map(|asked| Mapping::parse(asked).unwrap())
        .collect();
    let file = "track.csv";
    Track::read(Source { file, text }, &asked).unwrap()
}

/// A track as a run of a drill, from a given moment or from the beginning that is found.
fn along(drill: &Arc<Drill>, track: &Track, start_s: Option<f64>) -> Run {
    let begin = match start_s {
        Some(start_s) => Begin::said(start_s),
        None => Begin::find(drill, track).unwrap(),
    };
    let filled = fill::tape(drill, 0, track, &begin);
    Run::along(drill.clone(), 0, Arc::new(filled.tape))
}

/// Every task that was asked, those of a surprise one by one.
fn tasks(score: &Score) -> Vec<TaskScore> {
    let tasks = score.tasks.iter();
    tasks
        .flat_map(|task| match task.drawn.is_empty() {
            true => vec![task.clone()],
            false => task.drawn.clone(),
        })
        .collect()
}

/// How far figures may be off, by the last word of their key.
struct Allowed {
    feet: f64,
    seconds: f64,
    fpm: f64,
    fps: f64,
    percent: f64,
    turns: f64,
    inside: f64,
    degrees: f64,
    knots: f64,
    along_ft: f64,
}

impl Allowed {
    fn of(&self, key: &str) -> f64 {
        match key {
            "touchdown_ft" => self.along_ft,
            "lever_travel" => self.percent,
            "lever_reversals" => self.turns,
            "in_band" => self.inside,
            _ => match key.rsplit_once('_').map(|(_, unit)| unit) {
                Some("ft") => self.feet,
                Some("s") => self.seconds,
                Some("fpm") => self.fpm,
                Some("fps") => self.fps,
                Some("deg") => self.degrees,
                Some("kt") => self.knots,
                _ => panic!("{key}"),
            },
        }
    }
}

/// Whether the difference is a moment's hesitation, which rows farther apart than a quarter of a second can hide: unknown is
/// better than wrong.
fn is_hidden(key: &str, other: &Figure, allowed: &Allowed) -> bool {
    key == "short_ft" && *other == Figure::Unknown && allowed.seconds > 0.25
}

/// The figures that differ by more than is allowed, one per line.
fn differences(own: &Score, other: &Score, allowed: &Allowed, skip: &[&str]) -> String {
    let mut told = String::new();
    for (n, (a, b)) in tasks(own).iter().zip(&tasks(other)).enumerate() {
        for (index, metric) in metrics::of_kind(&a.task.kind).enumerate() {
            let key = metric.key;
            if skip.contains(&key) {
                continue;
            }
            let (x, y) = (&a.figures[index], &b.figures[index]);
            let same = match (x, y) {
                (Figure::Number(x), Figure::Number(y)) => (x - y).abs() <= allowed.of(key),
                (Figure::Gates(x), Figure::Gates(y)) => x.iter().zip(y).all(|(x, y)| {
                    let (x, y) = (x.deviation_ft, y.deviation_ft);
                    x.zip(y)
                        .map_or(x == y, |(x, y)| (x - y).abs() <= allowed.feet)
                }),
                (x, y) => x == y,
            };
            if !same && !is_hidden(key, y, allowed) {
                writeln!(told, "task {} {key}: {x:?} {y:?}", n + 1).unwrap();
            }
        }
        let ends = a.end_s.zip(b.end_s);
        if ends.is_none_or(|(x, y)| (x - y).abs() > allowed.seconds) {
            writeln!(told, "task {} ends: {:?} {:?}", n + 1, a.end_s, b.end_s).unwrap();
        }
    }
    told
}

/// A sixteenth of a second, a fifth of a foot; a turn of 1.5 % of the lever may lie between two rows, and a run had two at most.
const EXACT: Allowed = Allowed {
    feet: 0.2,
    seconds: 1.0 / 16.0,
    fpm: 0.2,
    fps: 0.2,
    percent: 3.0,
    turns: 1.0,
    inside: 0.01,
    degrees: 0.05,
    knots: 0.2,
    along_ft: 0.2,
};

/// What a run of a hand loses when it is read back from its own track, including points against each leg's reference.
fn missed(drill: &Arc<Drill>, hand: HandName, pars: Option<&Pars>) -> String {
    let run = flown(drill, hand);
    let again = along(drill, &read(&csv::track(&run), &[]), None);
    let references = |run: &Run| pars.map_or_else(Vec::new, |pars| pars.references(run));
    let score = |run: &Run| score_against(run, &references(run));
    let (own, other) = (score(&run), score(&again));
    let mut told = differences(&own, &other, &EXACT, &[]);
    for (a, b) in tasks(&own).iter().zip(&tasks(&other)) {
        let points = a.points.zip(b.points);
        let same = points.map_or(a.points == b.points, |(a, b)| (a - b).abs() <= 1.0);
        if !same {
            writeln!(told, "points: {:?} {:?}", a.points, b.points).unwrap();
        }
    }
    for apart in agree::apart(&again) {
        if !apart.is_little() {
            writeln!(told, "{apart:?}").unwrap();
        }
    }
    match told.is_empty() {
        true => told,
        false => format!("{} {hand:?}:\n{told}", drill.id),
    }
}

#[test]
fn our_own_tracks_come_back_as_they_were_flown() {
    for drill in all_shipped() {
        for hand in [HandName::Steady, HandName::Green] {
            let told = missed(&drill, hand, None);
            assert!(told.is_empty(), "{told}");
        }
    }
}

#[test]
fn and_are_worth_the_same_against_par() {
    for id in ["quarry-stair", "errands-round-the-ship", "behind-the-ship"] {
        let drill = shipped(id);
        let told = missed(&drill, HandName::Green, Some(pars(&drill, 0)));
        assert!(told.is_empty(), "{told}");
    }
}

#[test]
#[ignore = "par and best of every drill; run it in release"]
fn and_so_does_every_run_of_every_drill() {
    let mut told = Vec::new();
    for drill in all_shipped() {
        let pars = Pars::of(&drill, 0, &mut |_| {});
        for hand in [HandName::Steady, HandName::Green, HandName::Best] {
            told.push(missed(&drill, hand, Some(&pars)));
        }
    }
    let runs = told.len();
    told.retain(|told| !told.is_empty());
    println!("{} of {runs} runs: {told:#?}", told.len());
    assert!(told.is_empty(), "{told:?}");
}

/// A track thinned to two rows a second and to some columns, with noise of `noise_ft` on its altitude.
fn thinned(text: &str, noise_ft: f64, columns: &[&str], seed: u64) -> String {
    let mut noise = Noise::new(seed, Stream::GustU);
    let mut lines = text.lines();
    let header: Vec<&str> = lines.next().unwrap().split(',').collect();
    let kept: Vec<usize> = (0..header.len())
        .filter(|at| columns.is_empty() || columns.contains(&header[*at]))
        .collect();
    let names: Vec<&str> = kept.iter().map(|at| header[*at]).collect();
    let mut out = names.join(",") + "\n";
    for line in lines.step_by(8) {
        let cells: Vec<&str> = line.split(',').collect();
        let row: Vec<String> = kept
            .iter()
            .map(|at| match header[*at] {
                "altitude_m" => {
                    let altitude_m: f64 = cells[*at].parse().unwrap();
                    format!("{:.3}", altitude_m + noise.normal() * noise_ft * FT)
                }
                _ => cells[*at].to_string(),
            })
            .collect();
        out += &(row.join(",") + "\n");
    }
    out
}

/// Three feet and a second; the lever between two rows is unknown, and a foot of altitude is twenty along a path.
const THINNED: Allowed = Allowed {
    feet: 3.0,
    seconds: 1.0,
    fpm: 20.0,
    fps: 1.0,
    percent: 20.0,
    turns: 2.0,
    inside: 0.05,
    degrees: 0.2,
    knots: 1.0,
    along_ft: 100.0,
};

/// The figures that differ too much in a run of `steady`, thinned and noisy. If columns are named, the beginning is given.
fn lost(
    drill: &Arc<Drill>,
    columns: &[&str],
    skip: &[&str],
    allowed: &Allowed,
    seed: u64,
) -> String {
    let run = flown(drill, HandName::Steady);
    let text = thinned(&csv::track(&run), 5.0, columns, seed);
    let start_s = (!columns.is_empty()).then_some(0.0);
    let again = along(drill, &read(&text, &[]), start_s);
    let score = |run: &Run| score_against(run, &[]);
    let told = differences(&score(&run), &score(&again), allowed, skip);
    match told.is_empty() {
        true => told,
        false => format!("{} {columns:?} seed {seed}:\n{told}", drill.id),
    }
}

/// Figures that are not expected without the columns they need.
const NO_SPEED: &[&str] = &["alpha_error_deg", "speed_wander_kt"];
const NO_LEVER: &[&str] = &[
    "alpha_error_deg",
    "speed_wander_kt",
    "steep_s",
    "sink_fps",
    "lever_travel",
    "lever_reversals",
    "missed",
];

#[test]
fn two_rows_a_second_with_five_feet_of_noise_tell_as_much() {
    let mut told = String::new();
    for drill in all_shipped() {
        told += &lost(&drill, &[], &[], &THINNED, 1);
    }
    assert!(told.is_empty(), "{told}");
}

/// Path and airspeed still give the vertical speed: most steps report how far short they stopped, none wrongly.
#[test]
fn sparse_rows_tell_of_a_moment_where_the_vertical_speed_is_told() {
    let (mut known, mut hidden, mut wrong) = (0, 0, String::new());
    for drill in all_shipped() {
        for hand in [HandName::Steady, HandName::Green] {
            let run = flown(&drill, hand);
            let text = thinned(&csv::track(&run), 5.0, &[], 1);
            let again = along(&drill, &read(&text, &[]), None);
            let score = |run: &Run| tasks(&score_against(run, &[]));
            for (own, other) in score(&run).iter().zip(&score(&again)) {
                match (own.figure(Key::ShortFt), other.figure(Key::ShortFt)) {
                    (Some(Figure::Number(x)), Some(Figure::Number(y))) => {
                        known += 1;
                        if (x - y).abs() > THINNED.feet {
                            writeln!(wrong, "{} {hand:?}: {x} {y}", drill.id).unwrap();
                        }
                    }
                    (Some(_), Some(Figure::Unknown)) => hidden += 1,
                    _ => {}
                }
            }
        }
    }
    println!("{known} told, {hidden} not");
    assert!(wrong.is_empty(), "{wrong}");
    assert!(known > 4 * hidden, "{known} told, {hidden} not");
}

#[test]
fn and_so_they_do_with_less_in_the_rows() {
    let mut told = String::new();
    for id in [
        "quarry-stair",
        "catch-the-sink",
        "the-late-answer",
        "a-mile-out",
    ] {
        let drill = shipped(id);
        let columns = ["t_s", "altitude_m", "distance_m", "lever"];
        told += &lost(&drill, &columns, NO_SPEED, &THINNED, 1);
        told += &lost(&drill, &columns[..3], NO_LEVER, &THINNED, 1);
    }
    assert!(told.is_empty(), "{told}");
}

/// A log begins before its drill does: slowing in is found where the speed begins to fall, also if the speed is read to a knot.
#[test]
fn slowing_in_is_found_where_the_speed_begins_to_fall() {
    let slow = |drill: &Arc<Drill>| matches!(drill.tasks[0].kind, Kind::Slow(_));
    let drills = all_shipped();
    for drill in drills.filter(slow) {
        for (hand, read_to_mps, off_s) in [
            (HandName::Steady, 1e-9, 0.6),
            (HandName::Green, 1e-9, 0.6),
            (HandName::Steady, KT, 1.0),
            (HandName::Green, KT, 1.0),
        ] {
            let columns = ["t_s", "speed_mps", "altitude_m"];
            let text = thinned(&csv::track(&flown(&drill, hand)), 5.0, &columns, 1);
            let mut lines = text.lines();
            let header = lines.next().unwrap();
            let rows = lines.map(|line| {
                let cells: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap()).collect();
                let speed_mps = (cells[1] / read_to_mps).round() * read_to_mps;
                (cells[0], format!("{speed_mps},{}", cells[2]))
            });
            let rows: Vec<(f64, String)> = rows.collect();
            let before = (-60..0).map(|n| (0.5 * f64::from(n), rows[0].1.clone()));
            let rows = before.chain(rows.iter().cloned());
            let rows: Vec<String> = rows.map(|(t_s, row)| format!("{t_s},{row}")).collect();
            let track = read(&format!("{header}\n{}", rows.join("\n")), &[]);
            let begin = Begin::find(&drill, &track).unwrap();
            let id = &drill.id;
            assert!(begin.t_s.abs() <= off_s, "{id} {hand:?}: {begin:?}");
            assert!(begin.how.contains("speed begins to fall"), "{begin:?}");
        }
    }
}

/// A rate is taken up from the vertical speed with which the drill begins, which need not be none: ten seconds on that path
/// before the drill are not part of it.
#[test]
fn a_rate_is_found_where_the_vertical_speed_leaves_that_of_the_start() {
    for (path_deg, to_fpm) in [(-3.0, 0.0), (-3.0, -250.0), (3.0, 0.0)] {
        let rate =
            format!("rate = {{ to_fpm = {to_fpm}, band_fpm = 80, hold_s = 8, within_s = 40 }}");
        let start = format!("altitude_ft = 3000\npath_deg = {path_deg}");
        let drill = of_tasks("deck-jet", &start, &[&rate]);
        let columns = ["t_s", "altitude_m"];
        let text = thinned(
            &csv::track(&flown(&drill, HandName::Steady)),
            5.0,
            &columns,
            1,
        );
        let mut rows = text.lines().map(str::to_string);
        let header = rows.next().unwrap();
        let rows = Vec::from_iter(rows);
        let start = drill.start_trim();
        let first_m = drill.start.altitude_m;
        let before = (-20..0).map(|n| {
            let t_s = 0.5 * f64::from(n);
            format!("{t_s},{}", first_m + t_s * start.vertical_mps())
        });
        let rows = before.chain(rows).collect::<Vec<_>>().join("\n");
        let begin = Begin::find(&drill, &read(&format!("{header}\n{rows}"), &[])).unwrap();
        // The hand answers after a second, and a tenth of the way is left unseen.
        assert!(
            (0.0..=3.0).contains(&begin.t_s),
            "{path_deg} to {to_fpm}: {begin:?}"
        );
    }
}

#[test]
fn metres_taken_for_feet_are_no_beginning() {
    for id in ["a-mile-out", "quarry-stair", "what-the-rock-calls"] {
        let drill = shipped(id);
        let text = csv::track(&flown(&drill, HandName::Steady));
        let text = thinned(&text, 0.0, &["t_s", "altitude_m", "distance_m"], 1);
        assert!(Begin::find(&drill, &read(&text, &[])).is_some(), "{id}");
        let wrong = read(&text, &["altitude=altitude_m:ft"]);
        assert_eq!(Begin::find(&drill, &wrong), None, "{id}");
    }
}

/// Altered tracks are refused with one plain line that names the place, or judged soundly. `CASES=n` sets their number.
#[test]
fn changed_tracks_are_refused_or_judged() {
    let cases: usize = std::env::var("CASES").map_or(300, |n| n.parse().unwrap());
    let mut runner = TestRunner::deterministic();
    let bases: Vec<(Arc<Drill>, String)> = [
        "quarry-stair",
        "a-mile-out",
        "supply-ship",
        "a-rate-and-no-more",
    ]
    .iter()
    .map(|id| {
        let drill = shipped(id);
        let run = flown(&drill, HandName::Green);
        let text = thinned(&csv::track(&run), 0.0, &[], 1);
        (drill, text)
    })
    .collect();
    let (mut refused, mut judged) = (0, 0);
    for case in 0..cases {
        let (drill, text) = &bases[case % bases.len()];
        let changes = change().new_tree(&mut runner).unwrap().current();
        let text = changed(text, &changes);
        let source = Source {
            file: "changed.csv",
            text: &text,
        };
        let track = match Track::read(source, &[]) {
            Ok(track) if track.lacks(drill).is_none() => track,
            Ok(_) => continue,
            Err(error) => {
                let said = error.to_string();
                assert!(said.starts_with("changed.csv:"), "{said}");
                assert!(said.chars().all(is_plain), "{said}");
                assert!(said.contains(';'), "what would be right? {said}");
                refused += 1;
                continue;
            }
        };
        let Some(begin) = Begin::find(drill, &track) else {
            continue;
        };
        let filled = fill::tape(drill, 0, &track, &begin);
        let run = Run::along(drill.clone(), 0, Arc::new(filled.tape));
        let score = score_against(&run, &[]);
        for task in tasks(&score) {
            for figure in &task.figures {
                if let Figure::Number(number) = figure {
                    assert!(number.is_finite(), "{changes:?}: {figure:?}");
                }
            }
            assert!(
                task.points
                    .is_none_or(|points| (0.0..=100.0).contains(&points))
            );
        }
        for leg in 0..run.legs().len() {
            let told = story::tell(&run, leg).unwrap_or_default();
            assert!(!told.contains("NaN"), "{told}");
        }
        judged += 1;
    }
    println!("{cases} changed tracks: {refused} refused, {judged} judged");
    assert!(
        refused > cases / 20 && judged > cases / 20,
        "{refused} {judged}"
    );
}

const WINDOWS: Windows = Windows {
    shortest_s: 0.5,
    longest_s: 8.0,
    near_s: 0.3,
    at_ends: 2.0,
};

fn series(values: impl Fn(f64) -> f64, apart_s: f64) -> Series {
    let t_s: Vec<f64> = (0..200).map(|row| f64::from(row) * apart_s).collect();
    Series {
        values: t_s.iter().map(|t_s| values(*t_s)).collect(),
        t_s,
    }
}

#[test]
fn a_parabola_comes_back_whole_anywhere() {
    let own = |t_s: f64| 300.0 + 4.0 * t_s - 0.03 * t_s * t_s;
    let rows = series(own, 0.5);
    let smooth = Smooth::of(&rows, WINDOWS);
    for t_s in [0.0, 0.1, 33.3, 99.5, 99.9] {
        let (value, slope) = smooth.at(t_s);
        assert!((value - own(t_s)).abs() < 1e-6, "{t_s}: {value}");
        assert!((slope - (4.0 - 0.06 * t_s)).abs() < 1e-6, "{t_s}: {slope}");
    }
}

#[test]
fn rounding_is_smoothed_and_turns_are_kept() {
    let own = |t_s: f64| 300.0 + 30.0 * leveloff::sim::math::sin(0.25 * t_s);
    let rounded = series(|t_s| own(t_s).round(), 0.1);
    let smooth = Smooth::of(&rounded, WINDOWS);
    // Straight lines through the rounded values are off by 0.22 rms, and their slopes jump by 10.
    let (mut squares, mut slope_off) = (0.0, 0.0_f64);
    for n in 0..400 {
        let t_s = 19.9 * f64::from(n) / 400.0;
        let (value, slope) = smooth.at(t_s);
        squares += (value - own(t_s)) * (value - own(t_s));
        let right = 7.5 * leveloff::sim::math::cos(0.25 * t_s);
        slope_off = slope_off.max((slope - right).abs());
    }
    let rms = leveloff::sim::math::sqrt(squares / 400.0);
    assert!(rms < 0.07 && slope_off < 0.9, "{rms} {slope_off}");
}

#[test]
fn the_bend_keeps_values_and_slopes() {
    let cubic = |t: f64| (t * t * t - 2.0 * t, 3.0 * t * t - 2.0);
    let (a, b) = (cubic(1.0), cubic(1.5));
    let (value, slope) = bent(a, b, 0.3, 0.5);
    let right = cubic(1.15);
    assert!((value - right.0).abs() < 1e-12 && (slope - right.1).abs() < 1e-12);
}

#[test]
fn a_column_that_is_asked_for_is_found_by_its_name_wherever_it_stands() {
    let rows = (0..10).map(|t| format!("{t},{},{}\n", 1500 + t, 1400 + t));
    let text = format!("t,baro,radar\n{}", rows.collect::<String>());
    let first_ft = |asked: &[&str]| read(&text, asked).altitude().values[0] / FT;
    assert_eq!(first_ft(&["altitude=baro:ft"]).round(), 1500.0);
    assert_eq!(first_ft(&["altitude=radar:ft"]).round(), 1400.0);
}

#[test]
fn what_a_hold_is_worth_is_not_known_without_its_lever() {
    let drill = shipped("empty-crates");
    assert!(matches!(drill.tasks[0].kind, Kind::Hold(_)) && drill.tasks[0].scored);
    let text = csv::track(&flown(&drill, HandName::Steady));
    let points = |columns: &[&str]| {
        let track = read(&thinned(&text, 0.0, columns, 1), &[]);
        score_against(&along(&drill, &track, Some(0.0)), &[]).tasks[0].points
    };
    assert_eq!(points(&["t_s", "altitude_m"]), None);
    assert!(points(&["t_s", "altitude_m", "lever"]).is_some_and(|points| points > 0.0));
}

/// A climb that stops short of its number, slowing quickly to the 50 ft/min that count as under way and by 1 ft/min a second
/// from there. The point where it stopped is known as long as the uncertainty of the vertical speed makes three feet at most.
#[test]
fn stopping_short_is_known_where_what_may_be_off_makes_no_difference() {
    let text = "title = 'T'\nabout = 'A'\naircraft = 'deck jet'\n[start]\naltitude_ft = 1000\n\
         [[task]]\nstep = { to_ft = 1400, band_ft = 25, hold_s = 10, within_s = 60 }\n";
    let drill = Arc::new(drill(text).unwrap());
    let climb_fpm = |t_s: f64| match t_s {
        t_s if t_s < 20.0 => 300.0,
        t_s if t_s < 22.0 => 300.0 - 125.0 * (t_s - 20.0),
        t_s => (72.0 - t_s).max(0.0),
    };
    let begun = *Run::new(drill.clone(), 0).world().state();
    let mut states = vec![begun];
    for tick in 1..80 * TICKS_PER_S {
        let last = states[states.len() - 1];
        let vz_mps = climb_fpm(tick as f64 * TICK_S) * FPM;
        states.push(State {
            vz_mps,
            h_m: last.h_m + vz_mps * TICK_S,
            ..last
        });
    }
    let short_ft = |unsure_fpm: f64| {
        let known = Known {
            moment_mps: Some(unsure_fpm * FPM),
            ..Known::ALL
        };
        let levers = vec![drill.start_lever(); states.len()];
        let tape = Tape::new(states.clone(), None, &levers, known);
        let run = Run::along(drill.clone(), 0, Arc::new(tape));
        score_against(&run, &[]).tasks[0].number(Key::ShortFt)
    };
    let exactly_ft = short_ft(0.0).unwrap();
    assert!((exactly_ft - 294.0).abs() < 1.0, "{exactly_ft}");
    // Off by 2 ft/min is two seconds sooner or later, 1.6 ft. Off by 10 is half a foot sooner and 7.5 ft later.
    assert_eq!(short_ft(2.0), Some(exactly_ft));
    assert_eq!(short_ft(10.0), None);
}

/// Whether a rate was kept shows only in the vertical speed: where that is too noisy, the rate is neither flown nor missed.
#[test]
fn a_rate_without_its_vertical_speed_is_not_known_and_no_miss() {
    let text = "title = 'T'\nabout = 'A'\naircraft = 'deck jet'\n[start]\naltitude_ft = 2500\n\
         [[task]]\nrate = { to_fpm = -600, band_fpm = 150, hold_s = 8, within_s = 40 }\n";
    let drill = Arc::new(drill(text).unwrap());
    let run = flown(&drill, HandName::Steady);
    let judged = |vertical: bool| {
        let trace = run.trace();
        let ticks = 0..=trace.ticks();
        let states = ticks.clone().map(|tick| *trace.state(tick));
        let levers = ticks.map(|tick| trace.lever_at(tick.min(trace.ticks() - 1)));
        let known = Known {
            vertical,
            moment_mps: vertical.then_some(0.0),
            ..Known::ALL
        };
        let tape = Tape::new(states.collect(), None, &levers.collect::<Vec<_>>(), known);
        let again = Run::along(drill.clone(), 0, Arc::new(tape));
        let score = score_against(&again, &[]);
        (score::story::tell(&again, &score), score.tasks[0].cost)
    };
    let (told, cost) = judged(true);
    assert!(told[0].contains("; 1 of 1 captured"), "{told:?}");
    assert!(cost.is_some());
    let (told, cost) = judged(false);
    assert!(!told[0].contains("captured"), "{told:?}");
    assert!(
        told[1].contains("the rate of -600 ft/min: the vertical speed is not known."),
        "{told:?}"
    );
    assert!(cost.is_none(), "{cost:?}");
}
