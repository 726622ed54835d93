//! Whether the pilots are the competent people they are meant to be, and what they make of the shipped drills.

use std::collections::BTreeMap;
use std::sync::Arc;

use leveloff::drill::{Drill, Kind, library};
use leveloff::hands;
use leveloff::run::Run;
use leveloff::score::{Key, TaskScore};
use leveloff::why::{Pars, weigh};

use super::{Fault, Style, crew, pilot};

fn shipped() -> impl Iterator<Item = Arc<Drill>> {
    library::DRILLS
        .iter()
        .map(|drill| Arc::new(drill.drill().unwrap()))
}

/// One attempt: the pilot is another person with every seed, and so is the air.
fn flown(style: Style, drill: &Arc<Drill>, seed: u64, fault: Option<Fault>) -> Run {
    let mut hand = pilot(style, drill, 1000 + seed, fault);
    hands::fly(drill.clone(), seed, &mut *hand)
}

/// Steps and paths of a run that count: how many, and how many were captured or landed.
fn tally(run: &Run) -> [(u32, u32); 2] {
    let mut tally = [(0, 0); 2];
    for leg in run
        .legs()
        .iter()
        .filter(|leg| run.drill().tasks[leg.task].scored)
    {
        let (place, is_good) = match leg.kind {
            Kind::Step(_) => (0, leg.captured == Some(true)),
            Kind::Path(_) => (1, leg.approach.touchdown.is_some()),
            _ => continue,
        };
        tally[place].0 += 1;
        tally[place].1 += u32::from(is_good);
    }
    tally
}

#[test]
fn clean_pilots_capture_most_steps_and_land_most_paths_in_still_air() {
    // A drawn list of tasks is left to the table: its legs are long.
    let is_still = |drill: &Arc<Drill>| {
        let gusty = drill.air.u20_mps > 0.0 || drill.air.wake.is_some();
        let drawn = drill
            .tasks
            .iter()
            .any(|task| matches!(task.kind, Kind::Surprise(_)));
        !gusty && !drawn
    };
    let drills: Vec<Arc<Drill>> = shipped().filter(is_still).collect();
    for style in crew() {
        let mut sums = [(0, 0); 2];
        for drill in &drills {
            for (sum, one) in sums.iter_mut().zip(tally(&flown(style, drill, 1, None))) {
                *sum = (sum.0 + one.0, sum.1 + one.1);
            }
        }
        let [steps, paths] = sums;
        assert!(steps.0 >= 20 && paths.0 >= 7, "{steps:?} {paths:?}");
        assert!(
            f64::from(steps.1) >= 0.95 * f64::from(steps.0),
            "{style:?}: steps {steps:?}"
        );
        assert!(
            f64::from(paths.1) >= 0.85 * f64::from(paths.0),
            "{style:?}: paths {paths:?}"
        );
    }
}

#[test]
fn a_pilot_is_the_same_every_time_and_each_fault_that_has_room_makes_another_flight() {
    for id in ["catch-the-sink", "short-turf"] {
        let drill = Arc::new(library::drill(id).unwrap().drill().unwrap());
        let kind = &drill.tasks[0].kind;
        let faults = Fault::plain(drill.aircraft.name == "prop trainer");
        for style in crew() {
            let clean = flown(style, &drill, 2, None);
            assert_eq!(clean.log(), flown(style, &drill, 2, None).log());
            for fault in faults.iter().filter(|fault| fault.has_room(kind, true)) {
                let run = flown(style, &drill, 2, Some(*fault));
                assert_ne!(clean.log(), run.log(), "{style:?} {fault:?}");
            }
        }
    }
}

/// What a style made of a kind of task in an aeroplane.
#[derive(Default)]
struct Row {
    legs: u32,
    good: u32,
    points: Vec<f64>,
    over_par: Vec<f64>,
    /// Of the stay or the hold, ft or ft/min; and % of lever a minute.
    rms: Vec<f64>,
    lever: Vec<f64>,
}

fn median(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(f64::NAN)
}

impl Row {
    fn take(&mut self, task: &TaskScore) {
        let Some(points) = task.points.filter(|_| task.end_s.is_some()) else {
            return;
        };
        self.legs += 1;
        self.points.push(points);
        let rms = [Key::RmsFt, Key::RmsFpm].map(|key| task.number(key));
        self.rms.extend(rms.iter().flatten());
        let times = task.start_s.zip(task.end_s);
        if let (Some(travel), Some((start_s, end_s))) = (task.number(Key::LeverTravel), times) {
            self.lever.push(60.0 * travel / (end_s - start_s));
        }
        // A cost stands for a capture or a landing, and every hold has one.
        let Some(cost) = task.cost else { return };
        self.good += 1;
        if let Some(par) = task.reference.par {
            let own = cost.total() - task.reference.handed_on.unwrap_or(0.0);
            self.over_par.push(own / par);
        }
    }
}

#[test]
#[ignore = "a table to read; under a minute in the release profile"]
fn table_of_pilots() {
    // `FROM` is the first of four seeds: other people in other air. `ONLY` names the aeroplane.
    let only = std::env::var("ONLY").ok();
    let from = std::env::var("FROM")
        .ok()
        .and_then(|text| text.parse().ok());
    let from: u64 = from.unwrap_or(1);
    let mut rows: BTreeMap<(String, String, &str), Row> = BTreeMap::new();
    for drill in shipped() {
        if only
            .as_ref()
            .is_some_and(|only| *only != drill.aircraft.name)
        {
            continue;
        }
        for seed in from..from + 4 {
            let pars = Pars::of(&drill, seed, &mut |_| {});
            for style in crew() {
                let run = flown(style, &drill, seed, None);
                for task in weigh(&run, Some(&pars)).score.tasks {
                    let legs = if task.drawn.is_empty() {
                        vec![task]
                    } else {
                        task.drawn
                    };
                    for leg in legs {
                        let kind = leg.task.kind.name();
                        let key = (format!("{style:?}"), drill.aircraft.name.clone(), kind);
                        rows.entry(key).or_default().take(&leg);
                    }
                }
            }
        }
    }
    println!("style     aeroplane     kind  legs  good  points  cost/par    rms  %/min");
    for ((style, aeroplane, kind), row) in rows {
        let share = 100.0 * f64::from(row.good) / f64::from(row.legs);
        let [points, over_par] = [row.points, row.over_par].map(|mut values| median(&mut values));
        let [rms, lever] = [row.rms, row.lever].map(|mut values| median(&mut values));
        println!(
            "{style:9} {aeroplane:13} {kind:5} {:4} {share:4.0}% {points:7.0} {over_par:9.2} {rms:6.1} {lever:6.1}",
            row.legs
        );
    }
}
