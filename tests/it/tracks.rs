//! Tracks logged by anything, judged like runs: those of our own flights come back as they were flown.

use std::fmt::Write;
use std::sync::Arc;

use leveloff::drill::reader::Source;
use leveloff::drill::{Drill, library};
use leveloff::export::csv;
use leveloff::hands;
use leveloff::run::Run;
use leveloff::run::recording::HandName;
use leveloff::score::{Figure, Score, TaskScore, metrics, score_against};
use leveloff::track::{Asked, Begin, Track, agree, fill};
use leveloff::why::Pars;

fn shipped(id: &str) -> Arc<Drill> {
    Arc::new(library::drill(id).unwrap().drill().unwrap())
}

fn flown(drill: &Arc<Drill>, hand: HandName) -> Run {
    let mut hand = hands::built_in(hand, drill, 0).unwrap();
    hands::fly(drill.clone(), 0, &mut *hand)
}

fn read(text: &str, asked: &[&str]) -> Track {
    let asked: Vec<Asked> = asked
        .iter()
        .map(|asked| Asked::parse(asked).unwrap())
        .collect();
    let file = "track.csv";
    Track::read(Source { file, text }, &asked).unwrap()
}

/// A track as a run of a drill, from a moment or from where it is found to begin.
fn along(drill: &Arc<Drill>, track: &Track, start_s: Option<f64>) -> Run {
    let begin = match start_s {
        Some(start_s) => Begin::said(start_s),
        None => Begin::find(drill, track).unwrap(),
    };
    let tape = fill::tape(drill, 0, track, &begin);
    Run::along(drill.clone(), 0, Arc::new(tape))
}

/// Every task as it was asked, those of a surprise one by one.
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
            "in_band" => 0.01,
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

/// What differs by more than is allowed.
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
            if !same {
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

/// A sixteenth of a second, a fifth of a foot.
const EXACT: Allowed = Allowed {
    feet: 0.2,
    seconds: 1.0 / 16.0,
    fpm: 1.0,
    fps: 0.25,
    percent: 1.5,
    turns: 1.0,
    degrees: 0.05,
    knots: 0.2,
    along_ft: 1.0,
};

/// A run of a hand comes back from its own track, with points by a reference of each leg.
fn comes_back(drill: &Arc<Drill>, hand: HandName, pars: Option<&Pars>) {
    let run = flown(drill, hand);
    let again = along(drill, &read(&csv::track(&run), &[]), None);
    let references = |run: &Run| pars.map_or_else(Vec::new, |pars| pars.references(run));
    let score = |run: &Run| score_against(run, &references(run));
    let (own, other) = (score(&run), score(&again));
    let told = differences(&own, &other, &EXACT, &[]);
    assert!(told.is_empty(), "{} {hand:?}:\n{told}", drill.id);
    for (a, b) in tasks(&own).iter().zip(&tasks(&other)) {
        let points = a.points.zip(b.points);
        let same = points.map_or(a.points == b.points, |(a, b)| (a - b).abs() <= 1.0);
        assert!(same, "{} {hand:?}: {:?} {:?}", drill.id, a.points, b.points);
    }
    for apart in agree::apart(&again) {
        assert!(apart.is_little(), "{} {hand:?}: {apart:?}", drill.id);
    }
}

#[test]
fn our_own_tracks_come_back_as_they_were_flown() {
    for drill in library::DRILLS.iter().map(|drill| shipped(drill.id)) {
        for hand in [HandName::Steady, HandName::Green] {
            comes_back(&drill, hand, None);
        }
    }
}

#[test]
fn and_are_worth_the_same_against_par() {
    for id in ["quarry-stair", "errands-round-the-ship", "behind-the-ship"] {
        let drill = shipped(id);
        let pars = Pars::of(&drill, 0, &mut |_| {});
        comes_back(&drill, HandName::Green, Some(&pars));
    }
}

#[test]
#[ignore = "par and best of every drill; run it in release"]
fn and_so_does_every_drill() {
    for drill in library::DRILLS.iter().map(|drill| shipped(drill.id)) {
        let pars = Pars::of(&drill, 0, &mut |_| {});
        for hand in [HandName::Steady, HandName::Green, HandName::Best] {
            comes_back(&drill, hand, Some(&pars));
        }
    }
}
