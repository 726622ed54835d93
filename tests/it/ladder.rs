//! The ladder: how beginners fare on its drills.

use std::sync::Arc;

use leveloff::drill::lesson::Rung;
use leveloff::drill::reader::Source;
use leveloff::drill::{Aids, Drill, Skill, lesson, library};
use leveloff::hands::{self, Hand};
use leveloff::run::recording::HandName;
use leveloff::score::score_against;

use crate::flying::shipped;
use crate::kept::pars;
use crate::pilots::{Fault, Style, pilot};

/// Four beginners: the program's own, and three that share no code with it, each with a typical fault.
fn beginners(drill: &Arc<Drill>, seed: u64) -> Vec<Box<dyn Hand>> {
    let with = |style, fault| pilot(style, drill, seed, Some(fault));
    vec![
        hands::built_in(HandName::Green, drill, seed).expect("it is built in"),
        with(Style::Keys, Fault::NoAnticipation),
        with(Style::Needle, Fault::Overcontrol),
        with(Style::Pulses, Fault::NoAnticipation),
    ]
}

/// The points of each of them on a drill, on average over seeds.
fn points(drill: &Arc<Drill>, seeds: u64) -> Vec<f64> {
    let mut sums = vec![0.0; 4];
    for seed in 1..=seeds {
        let pars = pars(drill, seed);
        for (sum, mut hand) in sums.iter_mut().zip(beginners(drill, seed)) {
            let run = hands::fly(drill.clone(), seed, &mut *hand);
            let score = score_against(&run, &pars.references(&run));
            *sum += score.points.unwrap_or(0.0) / seeds as f64;
        }
    }
    sums
}

/// Their mean points on a rung less its mark.
fn beyond(rung: &Rung, seeds: u64) -> f64 {
    let drill = library::drill(&rung.drill).expect("it ships").drill();
    let each = points(&Arc::new(drill.expect("it reads")), seeds);
    let mean = each.iter().sum::<f64>() / each.len() as f64;
    let told: Vec<String> = each.iter().map(|p| format!("{p:5.1}")).collect();
    println!(
        "{:24} {mean:5.1} of {:3}: {:+6.1}   {}",
        rung.drill,
        rung.mark,
        mean - rung.mark,
        told.join(" ")
    );
    mean - rung.mark
}

#[test]
fn the_ladder_reads_and_takes_help_away_and_never_gives_it_back() {
    let ladder =
        lesson::parse(lesson::LADDER, &lesson::no_file).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(lesson::ladder().rungs.len(), ladder.rungs.len());
    assert!(ladder.rungs.len() >= 20);
    assert_eq!(ladder.rungs[0].drill, library::DRILLS[0].id);
    let place = |aids| Aids::ALL.iter().position(|other| *other == aids);
    let rungs = &ladder.rungs;
    assert!(rungs.is_sorted_by_key(|rung| place(rung.aids)));
    assert_eq!(rungs.first().map(|rung| rung.aids), Some(Aids::Full));
    assert_eq!(rungs.last().map(|rung| rung.aids), Some(Aids::Bare));
    let all = [
        Skill::Stop,
        Skill::GoAndStop,
        Skill::Rates,
        Skill::Holds,
        Skill::Slowing,
        Skill::Paths,
        Skill::Ships,
        Skill::Surprises,
    ];
    let skills: Vec<Skill> = all
        .into_iter()
        .filter(|skill| {
            let mut rungs = ladder.rungs.iter();
            rungs.any(|rung| {
                let drill = shipped(&rung.drill);
                Skill::of(&drill) == *skill
            })
        })
        .collect();
    assert_eq!(skills, all, "every skill has its rung");
}

#[test]
fn a_lesson_that_cannot_be_flown_is_refused_with_its_place() {
    let refused = |rung: &str| {
        let text = format!("title = \"a\"\nabout = \"b\"\n[[rung]]\n{rung}\n");
        let source = Source {
            file: "l.toml",
            text: &text,
        };
        lesson::parse(source, &lesson::no_file)
            .unwrap_err()
            .to_string()
    };
    let good = "drill = \"boat-slip\"\nwhy = \"c\"\nmark = 50";
    let twice = refused(&format!("{good}\n[[rung]]\n{good}"));
    assert!(
        twice.starts_with("l.toml:8:9: the same drill twice"),
        "{twice}"
    );
    let nowhere = refused(&good.replace("boat-slip", "boat-slap"));
    assert!(nowhere.starts_with("l.toml:4:9: no drill"), "{nowhere}");
    let high = refused(&good.replace("50", "101"));
    assert!(high.starts_with("l.toml:6:8: "), "{high}");
    let broken = refused(&format!("{good}\ntimes = 2.7"));
    assert!(broken.starts_with("l.toml:7:9: "), "{broken}");
    assert!(broken.contains("it takes a whole number"), "{broken}");
    let wordy = refused(&good.replace("\"c\"", &format!("\"{}\"", "c".repeat(101))));
    assert!(wordy.starts_with("l.toml:5:7: "), "{wordy}");
}

/// Some rungs far apart: each is harder for beginners than the one before.
#[test]
fn far_rungs_are_harder_for_beginners() {
    let rungs = lesson::ladder().rungs;
    let some = [0, 5, 16, rungs.len() - 1];
    let beyond: Vec<f64> = some.iter().map(|n| beyond(&rungs[*n], 2)).collect();
    assert!(
        beyond.windows(2).all(|pair| pair[1] < pair[0]),
        "{beyond:?}"
    );
}

#[test]
#[ignore = "every rung, eight seeds: for an optimised build"]
fn every_rung_is_harder_for_beginners_than_the_last_but_one() {
    let rungs = lesson::ladder().rungs;
    let beyond: Vec<f64> = rungs.iter().map(|rung| beyond(rung, 8)).collect();
    for (n, three) in beyond.windows(3).enumerate() {
        let (here, before) = (&rungs[n + 2].drill, &rungs[n].drill);
        assert!(three[2] < three[0], "{here} is no harder than {before}");
    }
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
