//! Made-up learners climb the ladder: by the advice of `next`, rung by rung, and at random.
//!
//! They learn as the rules assume, so this shows that the rules do what they are for, and nothing about people. Six traits cost
//! points, and each drill shows some of them. A run improves the one that cost most in it (or the one to be practised), more if
//! success was near, less if the same drill was flown just before; a night takes a little back.

use jiff::civil::date;
use leveloff::drill::lesson::{self, Lesson, Rung};
use leveloff::drill::{Aids, Skill};
use leveloff::progress::next::Reason;
use leveloff::progress::{Flown, next, standings};
use leveloff::sim::air::noise::{Noise, Stream};
use leveloff::sim::math::exp;

use super::flown;
use crate::flying::shipped;

const TRAITS: [&str; 6] = [
    "level_off_late",
    "power_too_much",
    "second_move_missing",
    "pumping",
    "descent_late",
    "lever_high",
];
/// Runs after which a learner gives up.
const MOST: usize = 1500;

/// How much of each trait a skill shows.
fn shows(skill: Skill) -> [f64; 6] {
    match skill {
        Skill::Stop => [0.6, 0.0, 0.3, 0.1, 0.0, 0.0],
        Skill::GoAndStop => [0.4, 0.3, 0.2, 0.1, 0.0, 0.0],
        Skill::Rates => [0.1, 0.5, 0.2, 0.2, 0.0, 0.0],
        Skill::Holds => [0.0, 0.1, 0.1, 0.4, 0.0, 0.4],
        Skill::Slowing => [0.3, 0.1, 0.2, 0.1, 0.0, 0.3],
        Skill::Paths => [0.0, 0.1, 0.2, 0.2, 0.3, 0.2],
        Skill::Ships => [0.0, 0.2, 0.1, 0.2, 0.3, 0.2],
        Skill::Surprises => [0.3, 0.3, 0.2, 0.2, 0.0, 0.0],
    }
}

#[derive(Clone, Copy, PartialEq)]
enum Way {
    Told,
    Fixed,
    Random,
}

struct Learner {
    costs: [f64; 6],
    noise: Noise,
}

impl Learner {
    fn new(seed: u64) -> Learner {
        let mut noise = Noise::new(seed, Stream::Learner);
        Learner {
            costs: std::array::from_fn(|_| 20.0 + 40.0 * noise.share()),
            noise,
        }
    }

    /// Flies a rung, `share` of the way up the ladder, and learns.
    fn fly(
        &mut self,
        rung: &Rung,
        share: f64,
        aids: Aids,
        day: usize,
        practised: Option<&str>,
        again: bool,
    ) -> Flown {
        let shows = shows(skill(&rung.drill));
        let lost: Vec<f64> = shows
            .iter()
            .zip(&self.costs)
            .map(|(w, cost)| w * cost)
            .collect();
        let place = |aids: Aids| Aids::ALL.iter().position(|other| *other == aids).unwrap() as f64;
        let help = 3.0 * (place(rung.aids) - place(aids));
        // A usual beginner loses 40 points: 15 above the mark on the first rung, 25 below it on the last.
        let expected = rung.mark + 15.0 - 40.0 * share + 40.0 - lost.iter().sum::<f64>() + help;
        let points = (expected + 6.0 * self.noise.normal()).clamp(0.0, 100.0);
        let success = 1.0 / (1.0 + exp((rung.mark - expected) / 8.0));
        let near = (4.0 * success * (1.0 - success)).max(0.15);
        let fresh = if again { 0.75 } else { 1.0 };
        let worst = (0..6).max_by(|a, b| lost[*a].total_cmp(&lost[*b])).unwrap();
        let asked = practised.and_then(|name| TRAITS.iter().position(|other| *other == name));
        let mended = asked.filter(|n| shows[*n] > 0.0).unwrap_or(worst);
        self.costs[mended] *= 1.0 - 0.1 * shows[mended] * near * fresh;
        let bill: Vec<(&str, f64)> = TRAITS
            .into_iter()
            .zip(lost)
            .filter(|line| line.1 > 0.0)
            .collect();
        let mut run = flown(&rung.drill, 1, points, &bill);
        run.at = format!("{}T18:00:00+01:00", day_of(day));
        run.aids = aids;
        run
    }

    fn sleeps(&mut self) {
        self.costs
            .iter_mut()
            .for_each(|cost| *cost += 0.005 * (40.0 - *cost));
    }
}

fn day_of(n: usize) -> jiff::civil::Date {
    let days = jiff::Span::new().days(n as i64);
    date(2026, 1, 1).checked_add(days).unwrap()
}

fn skill(drill: &str) -> Skill {
    use std::collections::BTreeMap;
    use std::sync::OnceLock;
    static KNOWN: OnceLock<BTreeMap<String, Skill>> = OnceLock::new();
    let known = KNOWN.get_or_init(|| {
        let rungs = lesson::ladder().rungs.into_iter();
        rungs
            .map(|rung| {
                let drill = shipped(&rung.drill);
                (rung.drill, Skill::of(&drill))
            })
            .collect()
    });
    known[drill]
}

/// Runs to the top of the ladder, three a day.
fn climbs(ladder: &Lesson, seed: u64, way: Way) -> usize {
    let mut learner = Learner::new(seed);
    let mut chance = Noise::new(seed + 1_000_000, Stream::Learner);
    let mut runs: Vec<Flown> = Vec::new();
    while runs.len() < MOST {
        let day = runs.len() / 3;
        if runs.len().is_multiple_of(3) {
            learner.sleeps();
        }
        let so_far: Vec<&Flown> = runs.iter().collect();
        let open: Vec<usize> = standings(ladder, &so_far)
            .iter()
            .enumerate()
            .filter(|(_, standing)| !standing.is_passed)
            .map(|(index, _)| index)
            .collect();
        let Some(first) = open.first() else {
            return runs.len();
        };
        let plain = |index: usize| (index, ladder.rungs[index].aids, None);
        let (index, aids, practised) = match way {
            Way::Fixed => plain(*first),
            Way::Random => plain(open[(chance.share() * open.len() as f64) as usize]),
            Way::Told => {
                let now = next(ladder, &so_far, day_of(day), None).unwrap().now;
                let named = match now.reason {
                    Reason::Weakness { name, .. } => Some(name),
                    _ => None,
                };
                (now.rung - 1, now.aids, named)
            }
        };
        let rung = &ladder.rungs[index];
        let again = runs.last().is_some_and(|run| run.drill == rung.drill);
        let share = index as f64 / (ladder.rungs.len() - 1) as f64;
        runs.push(learner.fly(rung, share, aids, day, practised.as_deref(), again));
    }
    MOST
}

/// Mean runs over learners by each way (advised, fixed, random), and the shares of learners who were quicker by advice than by
/// each of the others.
fn compare(learners: u64) -> ([f64; 3], [f64; 2]) {
    let ladder = lesson::ladder();
    let (mut means, mut quicker) = ([0.0; 3], [0.0; 2]);
    for seed in 0..learners {
        let runs = [Way::Told, Way::Fixed, Way::Random].map(|way| climbs(&ladder, seed, way));
        for (mean, runs) in means.iter_mut().zip(runs) {
            *mean += runs as f64 / learners as f64;
        }
        for (share, other) in quicker.iter_mut().zip(&runs[1..]) {
            *share += f64::from(u8::from(runs[0] < *other)) / learners as f64;
        }
    }
    (means, quicker)
}

#[test]
fn learners_who_fly_what_they_are_told_climb_in_fewer_runs() {
    let ([told, fixed, random], _) = compare(6);
    assert!(told < fixed && told < random, "{told} {fixed} {random}");
}

#[test]
#[ignore = "two hundred learners: for an optimised build"]
fn two_hundred_learners_climb_in_fewer_runs() {
    let ([told, fixed, random], quicker) = compare(200);
    println!(
        "runs to the top, mean of 200: told {told:.1}, fixed order {fixed:.1}, by chance {random:.1}"
    );
    println!(
        "quicker as told than fixed {:.0} %, than by chance {:.0} %",
        100.0 * quicker[0],
        100.0 * quicker[1]
    );
    assert!(told < fixed && told < random);
}
