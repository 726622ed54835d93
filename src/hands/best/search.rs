//! The schedule of lowest cost for a step, a rate or slowing in.

use super::moves::{Held, LEAST, Mover, Moves};
use crate::plan::ahead::Model;
use crate::plan::asked::Asked;
use crate::plan::cma::{Effort, Found, minimise};
use crate::plan::{Known, When};
use crate::sim::air::noise::{Noise, Stream};
use crate::sim::aircraft::Aircraft;

/// The layout of a schedule's numbers: levers relative to the one that holds the target, in levers of 3
/// degrees towards the going side; times in shares of the phugoid's period; the height to go in seconds at the
/// 3-degree rate, airspeed to go in seconds of idle.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shape {
    known: Known,
    /// Number of levers held after the level-off of a step, or in all of a rate.
    settings: usize,
}

/// Number of levers held on the way to the level-off of a step.
const GOING: usize = 2;

impl Shape {
    /// The layout for a task of an aeroplane.
    pub fn new(aircraft: &Aircraft, asked: &Asked) -> Shape {
        Shape {
            known: Known::of(aircraft, asked),
            settings: if asked.cue == When::ToGoFt { 2 } else { 3 },
        }
    }

    /// The moves that numbers stand for.
    pub fn moves(&self, asked: &Asked, numbers: &[f64]) -> Moves {
        let lever = |x: f64| asked.level + asked.way * asked.three.lever * x;
        let settings = |numbers: &[f64]| -> Vec<Held> {
            let pairs = numbers.chunks(2);
            pairs
                .map(|pair| {
                    let share = pair.get(1).copied().unwrap_or(0.0);
                    Held::new(lever(pair[0]), share * self.known.period_s)
                })
                .collect()
        };
        let going = 2 * GOING - 1;
        match asked.cue {
            When::FastKt => Moves {
                first: vec![Held::from(0, lever(numbers[0]), 0.0)],
                to_go_m: asked.idles_mps2 * numbers[1],
                then: settings(&numbers[2..]),
            },
            When::ToGoFt => Moves {
                first: settings(&numbers[..going]),
                to_go_m: asked.three.rate_mps * numbers[going],
                then: settings(&numbers[going + 1..]),
            },
            _ => Moves {
                first: settings(numbers),
                to_go_m: f64::NEG_INFINITY,
                then: Vec::new(),
            },
        }
    }

    /// Numbers to begin with, near what the search ends at for most aeroplanes: for a long way and for a short one.
    fn starts(&self, asked: &Asked) -> Vec<Vec<f64>> {
        let held = asked.way * (asked.lever - asked.level) / asked.three.lever;
        let tail = |stop: f64, stay: f64| {
            let mut numbers = vec![stop];
            for _ in 1..self.settings {
                numbers.extend([0.18, stay]);
            }
            numbers
        };
        let way_s = asked.change() / asked.three.rate_mps;
        let Known {
            period_s, answer_s, ..
        } = self.known;
        match asked.cue {
            When::FastKt => {
                let idle = -asked.level / asked.three.lever;
                let soon = vec![idle, answer_s + 0.5, 0.5, 0.1, -0.1, 0.15, 0.0];
                let late = vec![idle, 2.0 * answer_s + 1.0, 0.8, 0.1, -0.2, 0.15, 0.0];
                return vec![soon, late];
            }
            When::ToGoFt => {}
            _ => {
                // Where all that is tried is beyond the lever's end, nothing differs and nothing is found.
                let room = match asked.way > 0.0 {
                    true => 1.0 - asked.level,
                    false => asked.level - f64::from(LEAST) / 1000.0,
                };
                let within = |x: f64| x.min(room / asked.three.lever);
                let soft = tail(within(0.8 * way_s), within(0.0));
                let hard = tail(within(1.5 * way_s), within(-0.1 * way_s));
                return vec![soft, hard];
            }
        }
        let way = way_s / period_s;
        let to_go = self.known.to_go_s();
        let going = |first: f64| if held > 0.5 { held } else { first };
        let with = |first: [f64; 4], tail: Vec<f64>| [&first[..], &tail[..]].concat();
        let steepest = asked.steepest();
        let (quick, cruise) = (going(0.76 * steepest), 0.96 * steepest);
        let far = 0.5_f64.min(0.8 * way);
        let long = with([quick, far, cruise, to_go], tail(0.1, 0.25));
        let to_go_short = to_go.max(12.0 - 14.0 * way);
        let short = with([going(1.8), 0.14, 1.03, to_go_short], tail(-0.1, 0.3));
        // Here the trigger does not stop the aeroplane but sets the last of three
        // going levers; some time later one move stops it.
        let long_early = with([quick, far, cruise, 2.8 * to_go], tail(cruise, 0.22));
        let first = [going(1.55), 0.14, 0.65 * steepest, 2.6 * to_go];
        let short_early = with(first, tail(0.8 * steepest, 0.25));
        match way {
            way if way < 0.55 => vec![short],
            way if way < 0.75 => vec![short, short_early],
            way if way < 1.1 => vec![short_early, long],
            _ => vec![long, long_early],
        }
    }

    fn spread(&self, asked: &Asked) -> Vec<f64> {
        let mut spread = match asked.cue {
            When::ToGoFt => vec![0.25, 0.08, 0.25, 1.5],
            When::FastKt => vec![1.0, 0.7],
            _ => Vec::new(),
        };
        for i in 0..2 * self.settings - 1 {
            spread.push(if i % 2 == 0 { 0.3 } else { 0.05 });
        }
        spread
    }
}

/// Trials in a generation.
const POPULATION: usize = 12;
/// The shares of the trials for refining what the first search finds, the best first: so many of its results are refined.
pub(super) const REFINED: [f64; 2] = [0.7, 0.3];

/// The schedules of lowest cost, the lowest first, and the steps that were flown for them: at most half of `steps` with the
/// coarse model, from every start, and half with the fine one, on what that finds.
pub(super) fn search(
    shape: &Shape,
    asked: &Asked,
    (coarse, fine): (&Model, &Model),
    steps: usize,
) -> (Vec<Found>, usize) {
    let mut noise = Noise::new(0, Stream::Search);
    let spread = shape.spread(asked);
    let mut flown = 0;
    let mut look = |start: &[f64], model: &Model, share: f64, sigma: f64| {
        let most = (share * (steps / 2) as f64) as usize;
        let effort = Effort {
            trials: most / asked.steps(model.ticks),
            population: POPULATION,
            flat: 0.03 * sigma * sigma,
            sigma,
        };
        let until = flown + most;
        minimise(
            start,
            &spread,
            effort,
            &mut noise,
            &mut |numbers, lowest| {
                if flown > until {
                    return None;
                }
                let hopeless = 1.2 * lowest + 10.0 * sigma;
                let moves = shape.moves(asked, numbers);
                let mut mover = Mover::new(&moves, asked.lever);
                let priced = asked.price(model, &mut mover, hopeless);
                flown += priced.steps;
                Some(priced.cost)
            },
        )
    };
    let starts = shape.starts(asked);
    let share = 1.0 / starts.len() as f64;
    let found = starts.iter().map(|start| look(start, coarse, share, 0.4));
    let mut found: Vec<Found> = found.collect();
    found.sort_by(|a, b| a.value.total_cmp(&b.value));
    let shares = match found.len() {
        1 => &[1.0][..],
        _ => &REFINED[..],
    };
    let rough = found.iter().zip(shares);
    let mut found: Vec<Found> = rough
        .map(|(found, share)| look(&found.place, fine, *share, 0.15))
        .collect();
    found.sort_by(|a, b| a.value.total_cmp(&b.value));
    (found, flown)
}
