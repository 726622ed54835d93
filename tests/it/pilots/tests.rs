//! Whether the pilots are as competent as they are meant to be, and how they fare on the shipped drills.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use leveloff::drill::{Drill, Kind};
use leveloff::hands;
use leveloff::run::Run;
use leveloff::score::{Key, TaskScore};
use leveloff::why::{Pars, score};

use super::{Fault, Style, crew, pilot};
use crate::flying::{all_shipped, shipped};

/// One attempt: every seed is another person in other air.
fn flown(style: Style, drill: &Arc<Drill>, seed: u64, fault: Option<Fault>) -> Run {
    let mut hand = pilot(style, drill, 1000 + seed, fault);
    hands::fly(drill.clone(), seed, &mut *hand)
}

/// The steps and the paths of a run that count: how many, and how many were captured or landed.
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
    // Surprises are left to the table: their legs are long.
    let is_still = |drill: &Arc<Drill>| {
        let gusty = drill.air.u20_mps > 0.0 || drill.air.wake.is_some();
        let drawn = drill
            .tasks
            .iter()
            .any(|task| matches!(task.kind, Kind::Surprise(_)));
        !gusty && !drawn
    };
    let drills: Vec<Arc<Drill>> = all_shipped().filter(is_still).collect();
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
        let drill = shipped(id);
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

/// The results of a style on a kind of task in an aeroplane.
#[derive(Default)]
struct Row {
    legs: u32,
    good: u32,
    points: Vec<f64>,
    over_par: Vec<f64>,
    /// Errors of the stay or the hold, ft or ft/min, and lever travel, % a minute.
    rms: Vec<f64>,
    lever: Vec<f64>,
}

fn median(values: &[f64]) -> f64 {
    let mut values = values.to_vec();
    values.sort_by(f64::total_cmp);
    let at = |index: usize| values.get(index).copied().unwrap_or(f64::NAN);
    0.5 * (at(values.len().saturating_sub(1) / 2) + at(values.len() / 2))
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

/// By style, aeroplane and kind of task.
type Table = BTreeMap<(String, String, &'static str), Row>;

/// The styles that par is set against, and those held out.
const WITHIN: [Style; 3] = [Style::Keys, Style::Planner, Style::Tracker];
const LEFT_OUT: [Style; 3] = [Style::Needle, Style::Pulses, Style::Imaginer];

fn number(name: &str, usual: u64) -> u64 {
    let told = std::env::var(name).ok();
    told.map_or(usual, |text| text.parse().expect("a whole number"))
}

#[test]
#[ignore = "a table to read; over a minute in the release profile"]
fn table_of_pilots() {
    // `FROM` is the first of `SEEDS` seeds: other people in other air. `ONLY` names aeroplanes or drills.
    let only = std::env::var("ONLY").ok();
    let (from, seeds) = (number("FROM", 1), number("SEEDS", 4));
    let mut table = Table::new();
    for drill in all_shipped() {
        let id = drill.id.as_str();
        let is_left = |only: &String| !only.contains(id) && !only.contains(&drill.aircraft.name);
        if only.as_ref().is_some_and(is_left) {
            continue;
        }
        for seed in from..from + seeds {
            let pars = Pars::of(&drill, seed, &mut |_| {});
            for style in crew() {
                let run = flown(style, &drill, seed, None);
                for task in score(&run, Some(&pars)).tasks {
                    let legs = if task.drawn.is_empty() {
                        vec![task]
                    } else {
                        task.drawn
                    };
                    for leg in legs {
                        let key = (
                            format!("{style:?}"),
                            drill.aircraft.name.clone(),
                            leg.task.kind.name(),
                        );
                        table.entry(key).or_default().take(&leg);
                    }
                }
            }
        }
    }
    println!("style     aeroplane     kind  legs  good  points  cost/par    rms  %/min");
    for ((style, aeroplane, kind), row) in &table {
        let share = 100.0 * f64::from(row.good) / f64::from(row.legs);
        let [points, over_par] = [&row.points, &row.over_par].map(|values| median(values));
        let [rms, lever] = [&row.rms, &row.lever].map(|values| median(values));
        println!(
            "{style:9} {aeroplane:13} {kind:5} {:4} {share:4.0}% {points:7.0} {over_par:9.2} {rms:6.1} {lever:6.1}",
            row.legs
        );
    }
    pooled(&table, &WITHIN);
    pooled(&table, &LEFT_OUT);
}

/// Prints the medians of a few styles together, with the number of legs, and the lowest of one style alone.
fn pooled(table: &Table, styles: &[Style]) {
    let names: Vec<String> = styles.iter().map(|style| format!("{style:?}")).collect();
    let rows = table
        .iter()
        .filter(|((style, ..), _)| names.contains(style));
    let rows: Vec<_> = rows.collect();
    let aeroplanes: BTreeSet<&str> = rows.iter().map(|((_, name, _), _)| &**name).collect();
    let kinds: BTreeSet<&str> = rows.iter().map(|((.., kind), _)| *kind).collect();
    let cell = |aeroplane: Option<&str>, kind: Option<&str>| {
        let fits = |asked: Option<&str>, name: &str| asked.is_none_or(|asked| asked == name);
        let of = rows
            .iter()
            .filter(|((_, name, of), _)| fits(aeroplane, name) && fits(kind, of));
        let points: Vec<f64> = of.flat_map(|(_, row)| row.points.iter().copied()).collect();
        match points.len() {
            0 => String::from("-"),
            legs => format!("{:.0} of {legs}", median(&points)),
        }
    };
    let columns: Vec<Option<&str>> = aeroplanes.into_iter().map(Some).chain([None]).collect();
    println!(
        "\n{}: median of the points, of so many legs",
        names.join(", ")
    );
    print!("     ");
    columns
        .iter()
        .for_each(|name| print!(" {:>13}", name.unwrap_or("all")));
    for kind in kinds.into_iter().map(Some).chain([None]) {
        print!("\n{:5}", kind.unwrap_or("all"));
        columns
            .iter()
            .for_each(|name| print!(" {:>13}", cell(*name, kind)));
    }
    let alone = rows.iter().map(|(key, row)| (median(&row.points), key));
    if let Some((points, (style, name, kind))) = alone.min_by(|a, b| a.0.total_cmp(&b.0)) {
        println!("\nlowest of one style: {points:.0}, {style}, {name}, {kind}");
    }
}
