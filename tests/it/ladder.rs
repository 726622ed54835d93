//! The ladder: what beginners make of its drills.

use std::sync::Arc;

use leveloff::drill::{Drill, library};
use leveloff::hands::{self, Hand};
use leveloff::run::recording::HandName;
use leveloff::score::score_against;
use leveloff::why::Pars;

use crate::pilots::{Fault, Style, pilot};

/// Four beginners: the program's own, and three that share no code with it, each with the fault it would have.
fn beginners(drill: &Arc<Drill>, seed: u64) -> Vec<Box<dyn Hand>> {
    let with = |style, fault| pilot(style, drill, seed, Some(fault));
    vec![
        hands::built_in(HandName::Green, drill, seed).expect("it is built in"),
        with(Style::Keys, Fault::NoAnticipation),
        with(Style::Needle, Fault::Overcontrol),
        with(Style::Pulses, Fault::NoAnticipation),
    ]
}

/// What each of them makes of a drill, points on average over seeds.
fn points(drill: &Arc<Drill>, seeds: u64) -> Vec<f64> {
    let mut sums = vec![0.0; 4];
    for seed in 1..=seeds {
        let pars = Pars::of(drill, seed, &mut |_| {});
        for (sum, mut hand) in sums.iter_mut().zip(beginners(drill, seed)) {
            let run = hands::fly(drill.clone(), seed, &mut *hand);
            let score = score_against(&run, &pars.references(&run));
            *sum += score.points.unwrap_or(0.0) / seeds as f64;
        }
    }
    sums
}

#[test]
#[ignore = "a table to read, for an optimised build"]
fn print_what_beginners_make_of_every_drill() {
    let only = std::env::var("ONLY").unwrap_or_default();
    for shipped in library::DRILLS.iter().filter(|s| s.id.contains(&only)) {
        let drill = Arc::new(shipped.drill().expect("it reads"));
        let each = points(&drill, 8);
        let mean = each.iter().sum::<f64>() / each.len() as f64;
        let each: Vec<String> = each.iter().map(|p| format!("{p:5.1}")).collect();
        println!("{:24} {mean:5.1}   {}", shipped.id, each.join(" "));
    }
}
