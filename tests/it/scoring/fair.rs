//! Points rank runs as a coach would: cases that were once unfair stay fair.

use std::sync::Arc;

use leveloff::drill::path::Outcome;
use leveloff::drill::{Drill, library};
use leveloff::hands::{self, Hand, Script, Sight, Steady};
use leveloff::run::Run;
use leveloff::run::recording::HandName;
use leveloff::score::{Key, Score};
use leveloff::sim::trim;
use leveloff::units::{FPM, FT, TICKS_PER_S};
use leveloff::why::{self, Pars};

use crate::flying::shipped;
use crate::kept::pars;
use crate::pilots::{Style, pilot};

/// Scores runs of a drill in the same air: pars take a search, so they are computed once.
fn scorer(drill: &Arc<Drill>, seed: u64) -> impl Fn(&Run) -> Score {
    let pars = pars(drill, seed);
    move |run| why::score(run, Some(pars))
}

#[test]
fn a_drift_through_the_band_earns_nothing() {
    let drill = shipped("boat-slip");
    let scored = scorer(&drill, 1);
    let start_m = drill.start.altitude_m;
    for fpm in [90.0, 140.0, 200.0] {
        let lever = trim::at_vertical(&drill.aircraft, start_m, -fpm * FPM).lever;
        let log = vec![(0, 1000.0 * lever)]
            .into_iter()
            .map(|(t, l)| (t, l as u16));
        let run = hands::fly(drill.clone(), 1, &mut Script::new(log.collect()));
        let score = scored(&run);
        let first = score.tasks.iter().find(|task| task.task.scored).unwrap();
        assert_eq!(first.points, Some(0.0), "{fpm} ft/min");
    }
}

/// Going down before the step counts gains nothing: the step itself is flown no better.
#[test]
fn a_head_start_earns_nothing() {
    let drill = shipped("quarry-stair");
    let scored = scorer(&drill, 1);
    let honest = hands::fly(drill.clone(), 1, &mut Steady::new(&drill));
    let hold = honest.legs()[0].end.unwrap();
    for head_s in [2, 4] {
        struct Sneaks {
            steady: Steady,
            from: u64,
            until: u64,
        }
        impl Hand for Sneaks {
            fn lever(&mut self, sight: &Sight) -> Option<u16> {
                match (self.from..self.until).contains(&sight.tick) {
                    true => {
                        self.steady.watch(sight);
                        Some(260)
                    }
                    false => self.steady.lever(sight),
                }
            }
        }
        let mut hand = Sneaks {
            steady: Steady::new(&drill),
            from: hold - head_s * TICKS_PER_S,
            until: hold,
        };
        let sneaked = hands::fly(drill.clone(), 1, &mut hand);
        let first = |run: &Run| scored(run).tasks[1].points.unwrap();
        let (own, theirs) = (first(&sneaked), first(&honest));
        assert!(own <= theirs + 5.0, "{head_s} s: {own} against {theirs}");
    }
}

#[test]
fn a_quiet_hand_in_moving_air_earns_at_least_what_a_busy_one_does() {
    let drill = shipped("wind-over-the-moor");
    let scorers: Vec<_> = (1..=6).map(|seed| (seed, scorer(&drill, seed))).collect();
    let mean = |style: Style| {
        let points = scorers.iter().map(|(seed, scored)| {
            let mut pilot = pilot(style, &drill, *seed, None);
            scored(&hands::fly(drill.clone(), *seed, &mut *pilot)).points
        });
        points.map(Option::unwrap).sum::<f64>() / 6.0
    };
    // The first looks every six seconds, the second follows the needle all the time.
    let (quiet, busy) = (mean(Style::Planner), mean(Style::Needle));
    assert!(quiet >= busy, "{quiet} {busy}");
}

/// Flies like `steady`, but believes the aeroplane to be at another altitude, and may dive or go around.
struct Mistaken {
    steady: Steady,
    by_m: f64,
    dives_from_m: f64,
}

impl Hand for Mistaken {
    fn lever(&mut self, sight: &Sight) -> Option<u16> {
        if sight.is_called {
            return Some(1000);
        }
        let own = self.steady.lever(&Sight {
            altitude_m: sight.altitude_m - self.by_m,
            ..*sight
        });
        let is_near = sight.approach.is_some_and(|(m, _)| m < self.dives_from_m);
        if is_near && !sight.is_down {
            Some(0)
        } else {
            own
        }
    }
}

fn mistaken(drill: &Arc<Drill>, by_ft: f64, dives_from_m: f64) -> Run {
    let mut hand = Mistaken {
        steady: Steady::new(drill),
        by_m: by_ft * FT,
        dives_from_m,
    };
    hands::fly(drill.clone(), 1, &mut hand)
}

#[test]
fn a_dive_for_the_deck_earns_less_than_a_landing_a_little_high() {
    let drill = shipped("onto-the-shelf");
    let scored = scorer(&drill, 1);
    let honest = scored(&mistaken(&drill, 6.0, 0.0)).points.unwrap();
    let mut dived = 0;
    for from_m in [300.0, 350.0, 400.0, 450.0, 500.0] {
        for high_ft in [0.0, 10.0, 20.0, 30.0] {
            let score = scored(&mistaken(&drill, high_ft, from_m));
            let task = &score.tasks[0];
            let is_down = task.outcome() == Some(Outcome::InZone);
            if is_down && task.number(Key::SinkFps).unwrap() >= 15.0 {
                dived += 1;
                let dive = score.points.unwrap();
                assert!(
                    dive < honest,
                    "{from_m} m, {high_ft} ft: {dive} against {honest}"
                );
            }
        }
    }
    assert!(dived >= 2, "{dived}");
}

#[test]
fn low_on_purpose_and_around_when_called_earns_the_quarter_of_it() {
    let drill = shipped("onto-the-shelf");
    let score = scorer(&drill, 1)(&mistaken(&drill, -70.0, 0.0));
    assert_eq!(score.tasks[0].outcome(), Some(Outcome::WentAround));
    assert_eq!(score.points, Some(25.0));
}

/// Mean points over seeds of `steady` and `green`.
fn hands_of(drill: &Arc<Drill>, seeds: u64) -> [f64; 2] {
    let mut sums = [0.0; 2];
    for seed in 0..seeds {
        let pars = pars(drill, seed);
        for (sum, name) in sums.iter_mut().zip([HandName::Steady, HandName::Green]) {
            let mut hand = hands::built_in(name, drill, seed).unwrap();
            let run = hands::fly(drill.clone(), seed, &mut *hand);
            *sum += weigh_points(&run, pars);
        }
    }
    sums.map(|sum| sum / seeds as f64)
}

fn weigh_points(run: &Run, pars: &Pars) -> f64 {
    let references = pars.references(run);
    leveloff::score::score_against(run, &references)
        .points
        .unwrap()
}

#[test]
fn a_beginner_is_no_better_than_a_skilled_hand() {
    for id in [
        "fast-past-the-mast",
        "catch-the-sink",
        "ship-in-the-breeze",
        "storm-watch",
    ] {
        let [steady, green] = hands_of(&shipped(id), 2);
        assert!(green <= steady + 3.0, "{id}: {green} {steady}");
        assert!(steady >= 70.0, "{id}: {steady}");
    }
}

#[test]
#[ignore = "every drill with eight seeds takes minutes"]
fn on_no_drill_is_a_beginner_better_than_a_skilled_hand() {
    let mut unfair = Vec::new();
    for shipped in library::DRILLS {
        let [steady, green] = hands_of(&Arc::new(shipped.drill().unwrap()), 8);
        println!("{:24} steady {steady:5.1} green {green:5.1}", shipped.id);
        // Where going around is the only answer, it earns 25 and no more.
        let most = if shipped.id == "no-room-left" {
            25.0
        } else {
            70.0
        };
        if green > steady + 3.0 || steady < most {
            unfair.push((shipped.id, steady, green));
        }
    }
    assert!(unfair.is_empty(), "{unfair:?}");
}
