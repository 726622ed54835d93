//! The search for a recipe: a draft lists the cues and about where they lie, and the numbers are found by flying.
//!
//! First the numbers vary freely (CMA-ES on coarse steps), then they are put on the grid a person can set and moved from
//! grid point to grid point as long as that helps, each trial flown as it is meant and again with every move a little off.

use std::cell::Cell;
use std::collections::BTreeSet;

use super::ahead::Model;
use super::asked::Asked;
use super::cma::{Effort, minimise};
use super::price::{Levers, MISSED};
use super::recipe::{self, Follower, Move, Seen, When, half_percent};
use crate::sim::air::noise::{Noise, Stream};

/// A move that is half a second or five feet off must not spoil a recipe: how far each cue is put off, in its unit.
const OFF_S: f64 = 0.5;
const OFF_FT: f64 = 5.0;
const OFF_FPM: f64 = 20.0;
/// Weight of the flights with a move off against the one as meant, and how much more than that one a flight that captures
/// nothing counts, s. In slowing in, power a little too early never ends the task: it counts for more.
const ROBUST: (f64, f64) = (0.5, 30.0);
const ROBUST_SLOW: (f64, f64) = (0.8, 300.0);
/// How many times the best cost found a recipe that tolerates this may cost. Where it costs more, the band is too narrow to
/// tolerate anything, and slowing in is judged like all else.
const NO_ROOM: f64 = 1.3;
/// Trials in a generation of the free search.
const POPULATION: usize = 10;
/// Trials for each free number, and the share of its spread over which they are scattered. A task that is soon over has
/// many drafts: each gets a few trials, and only the best [`KEPT`] of them are pursued.
const ALL: (usize, f64) = (160, 0.5);
const LOOKED: (usize, f64) = (40, 0.5);
const SOUGHT: (usize, f64) = (110, 0.25);
const KEPT: usize = 4;
/// Ticks in the coarse steps of the free search, and on the grid.
const COARSE: usize = 32;
const FINE: usize = 16;
/// How many of the places that the free search finds are put on the grid: this many, or a third of the drafts if that is more.
const REFINED: usize = 2;
/// More of them are put there until one is worth less than this many times the value that the free search found.
const SPOILT: f64 = 1.6;
/// Passes over the grid at most.
const PASSES: usize = 12;
/// A pass after which the worth is still above this share of what it was is stuck; this many pairs of numbers are tried then.
const STUCK: f64 = 0.99;
const PAIRS: usize = 60;
/// Share of the cost that each additional move has to save.
const MOVE: f64 = 0.02;
/// The most coarse steps that planning one task may take. A step takes about 0.17 microseconds, so this is three seconds. No path
/// that ships takes 4 million; two of 400 made-up ones, seven minutes long, take more than 16 million.
pub const A_TASK: usize = 18_000_000;
/// How many of them the free search may take. Drafts share these in proportion to how many numbers they have.
const FREE_STEPS: usize = 13_000_000;

/// The least lever of recipes: at idle the engine answers late. Slowing in and paths near idle are exempt.
pub(super) const LEAST: f64 = 0.05;

/// A number to be found.
#[derive(Clone, Copy, Debug)]
pub(super) struct Free {
    /// Where to begin.
    pub guess: f64,
    /// How far to look around at first.
    pub spread: f64,
    /// The limits it has to stay within.
    pub range: (f64, f64),
}

/// A move whose cue value and lever are to be found.
#[derive(Clone, Copy, Debug)]
pub(super) struct Slot {
    when: When,
    /// None for a start.
    value: Option<Free>,
    lever: Free,
}

/// The slots of a recipe.
pub(super) type Draft = Vec<Slot>;

/// What a search found.
#[derive(Clone, Debug)]
pub(super) struct Found {
    pub moves: Vec<Move>,
    /// What it costs as meant.
    cost: f64,
    /// What it is judged by: its cost as meant, and on average with a move off.
    worth: f64,
}

/// A follower that sets the lever while a recipe is priced.
struct Trial<'a> {
    moves: &'a [Move],
    follower: Follower,
    /// The lever, thousandths.
    lever: f64,
}

impl Levers for Trial<'_> {
    fn next(&mut self, seen: &Seen) -> f64 {
        if let Some(next) = self.follower.toward(self.moves, seen, self.lever) {
            self.lever = f64::from(next);
        }
        self.lever
    }

    fn rests(&mut self, seen: &Seen, later: &Seen) -> bool {
        self.follower.rests(self.moves, seen, later, self.lever)
    }
}

/// Levers are given in half per cents.
const LEVER_GRID: f64 = 0.005;

/// The grid a cue's value lies on.
fn grid(when: When) -> f64 {
    match when {
        When::Start | When::ToGoFt | When::FastKt => 1.0,
        When::ToGoFpm => 10.0,
        When::DistanceNm => 0.01,
        When::AfterS => 0.5,
    }
}

/// One search: the task, and the aeroplane in the air that may be known beforehand.
pub(super) struct Search<'a> {
    asked: &'a Asked,
    model: &'a dyn Fn(usize) -> Model<'a>,
    closure_mps: f64,
    /// See [`ROBUST`].
    robust: (f64, f64),
    /// Coarse steps taken so far.
    spent: Cell<usize>,
}

impl<'a> Search<'a> {
    pub fn new(asked: &'a Asked, model: &'a dyn Fn(usize) -> Model<'a>, closure_mps: f64) -> Self {
        let robust = match asked.cue {
            When::FastKt => ROBUST_SLOW,
            _ => ROBUST,
        };
        Search {
            asked,
            model,
            closure_mps,
            robust,
            spent: Cell::new(0),
        }
    }

    /// Coarse steps taken so far: at most [`A_TASK`] and a flight.
    pub fn spent(&self) -> usize {
        self.spent.get()
    }

    fn is_spent(&self) -> bool {
        self.spent() >= A_TASK
    }

    /// The best recipe that drafts lead to; None where there is none.
    pub fn best(&mut self, drafts: &[Draft]) -> Option<Found> {
        let coarse = (self.model)(COARSE);
        let fine = (self.model)(FINE);
        let mut noise = Noise::new(0, Stream::Search);
        let is_quick = self.asked.is_soon_over();
        let trials = if is_quick { LOOKED } else { ALL };
        let looks = 1 + usize::from(is_quick);
        let all: usize = drafts.iter().map(|draft| numbers(draft).count()).sum();
        let most = FREE_STEPS / (looks * all).max(1);
        let mut starts: Vec<(f64, &Draft, Vec<f64>)> = drafts
            .iter()
            .map(|draft| {
                let guess = numbers(draft).map(|free| free.guess).collect();
                let (value, place) = self.run_free(draft, guess, trials, most, &coarse, &mut noise);
                (value, draft, place)
            })
            .collect();
        starts.sort_by(|a, b| a.0.total_cmp(&b.0));
        if is_quick {
            starts.truncate(KEPT);
            for (value, draft, place) in &mut starts {
                (*value, *place) =
                    self.run_free(draft, place.clone(), SOUGHT, most, &coarse, &mut noise);
            }
            starts.sort_by(|a, b| a.0.total_cmp(&b.0));
        }
        let lowest = starts.first()?.0;
        let found = self.refined(&starts, &fine, &mut noise)?;
        if self.robust == ROBUST || found.cost <= NO_ROOM * lowest || self.is_spent() {
            return Some(found);
        }
        self.robust = ROBUST;
        self.refined(&starts, &fine, &mut noise)
    }

    /// The best on the grid of what the free search found.
    fn refined(
        &self,
        starts: &[(f64, &Draft, Vec<f64>)],
        fine: &Model,
        noise: &mut Noise,
    ) -> Option<Found> {
        let some = REFINED.max(starts.len() / 3);
        let mut found: Vec<Found> = Vec::new();
        for (value, draft, place) in starts {
            let is_good = found.iter().any(|found| found.worth < SPOILT * value);
            let is_enough = found.len() >= some && (is_good || *value >= MISSED);
            if is_enough || !found.is_empty() && self.is_spent() {
                break;
            }
            found.push(self.on_the_grid(draft, (*value, place), fine, noise));
        }
        // What ends well without a move is left alone: no half per cent does better.
        found.extend(self.found(Vec::new(), fine, MISSED));
        found.into_iter().min_by(|a, b| a.worth.total_cmp(&b.worth))
    }

    /// The lowest cost of a draft and the numbers for it, searched for around a place: with `trials` trials for each
    /// number, scattered over the share `sigma` of its spread, and at most `most` coarse steps for each number.
    fn run_free(
        &self,
        draft: &Draft,
        start: Vec<f64>,
        (trials, sigma): (usize, f64),
        most: usize,
        model: &Model,
        noise: &mut Noise,
    ) -> (f64, Vec<f64>) {
        let until = self.spent() + most * start.len();
        let spread: Vec<f64> = numbers(draft).map(|free| free.spread).collect();
        // Out of idle the first move decides nearly everything: twice as many trials.
        let times = 1 + usize::from(self.asked.is_let_down());
        let effort = Effort {
            trials: times * trials * start.len(),
            population: POPULATION,
            flat: 0.01,
            sigma,
        };
        let found = minimise(&start, &spread, effort, noise, &mut |place, lowest| {
            if self.spent() >= until {
                return None;
            }
            let (place, outside) = inside(draft, place);
            let cost = self.cost(&moves(draft, &place), model, lowest + 10.0);
            Some(cost + 10.0 * outside)
        });
        (found.value, inside(draft, &found.place).0)
    }

    /// What a recipe costs, as it is meant.
    fn cost(&self, moves: &[Move], model: &Model, hopeless: f64) -> f64 {
        let mut trial = Trial {
            moves,
            follower: Follower::default(),
            lever: 1000.0 * self.asked.lever,
        };
        let priced = self.asked.price(model, &mut trial, hopeless);
        self.spent.set(self.spent() + priced.steps);
        priced.cost
    }

    /// The same on average with each of its moves a little off; None where that is sure to
    /// be above `most`, or no coarse steps are left.
    fn shaken(&self, moves: &[Move], model: &Model, hopeless: f64, most: f64) -> Option<f64> {
        let mut all = Vec::new();
        if moves.is_empty() {
            all.push(Vec::new());
        }
        for index in 0..moves.len() {
            for way in [1.0, -1.0] {
                let mut shaken = moves.to_vec();
                let shaken_move = &mut shaken[index];
                if shaken_move.when == When::Start {
                    // A start can only come late.
                    if way < 0.0 {
                        continue;
                    }
                    shaken_move.when = When::AfterS;
                }
                let when = shaken_move.when;
                let by = match when {
                    When::ToGoFt => OFF_FT,
                    When::ToGoFpm => OFF_FPM,
                    When::FastKt => OFF_S * self.asked.idles_mps2 / when.unit(),
                    When::DistanceNm => OFF_S * self.closure_mps / when.unit(),
                    When::Start | When::AfterS => OFF_S,
                };
                shaken_move.value = (shaken_move.value + way * by).max(0.0);
                all.push(shaken);
            }
        }
        let count = all.len() as f64;
        let mut sum = 0.0;
        for shaken in all {
            let left = most * count - sum;
            sum += self.cost(&shaken, model, hopeless.min(left)).min(hopeless);
            if sum > most * count || self.is_spent() {
                return None;
            }
        }
        Some(sum / count)
    }

    /// A recipe with its cost and worth; None where it is sure not to be worth less than
    /// `least`, or no coarse steps are left to find out.
    fn found(&self, moves: Vec<Move>, model: &Model, least: f64) -> Option<Found> {
        if self.is_spent() {
            return None;
        }
        let moves = recipe::told(moves);
        let (robust, hopeless) = self.robust;
        let most = least / simple(&moves);
        let cost = self.cost(&moves, model, most / (1.0 - robust));
        let left = (most - (1.0 - robust) * cost) / robust;
        let shaken = self.shaken(&moves, model, cost + hopeless, left)?;
        let worth = simple(&moves) * ((1.0 - robust) * cost + robust * shaken);
        (worth < least).then_some(Found { moves, cost, worth })
    }

    /// The best recipe on the grid around a place that the free search found, with its value; the recipe
    /// at that place where no coarse steps are left.
    fn on_the_grid(
        &self,
        draft: &Draft,
        (value, place): (f64, &[f64]),
        model: &Model,
        noise: &mut Noise,
    ) -> Found {
        let steps = draft.iter().flat_map(|slot| {
            let value = slot.value.map(|_| grid(slot.when));
            value.into_iter().chain([LEVER_GRID])
        });
        let steps: Vec<f64> = steps.collect();
        let rounded = |place: &[f64]| -> Vec<f64> {
            let cells = place.iter().zip(&steps);
            let cells = cells.map(|(x, step)| match (x / step).round() {
                // Divided by a whole number, so that 0.285 is exactly that.
                cell if *step < 1.0 => cell / (1.0 / step).round(),
                cell => cell * step,
            });
            inside(draft, &cells.collect::<Vec<f64>>()).0
        };
        let mut place = rounded(place);
        let tried = self.found(moves(draft, &place), model, f64::INFINITY);
        let mut best = tried.unwrap_or_else(|| Found {
            moves: recipe::told(moves(draft, &place)),
            cost: value,
            worth: value,
        });
        // What was tried once is never better later.
        let mut known: BTreeSet<Vec<u64>> = BTreeSet::new();
        let mut offer = |tried: Vec<f64>, best: &mut Found, place: &mut Vec<f64>| {
            let tried = rounded(&tried);
            if known.insert(tried.iter().map(|x| x.to_bits()).collect())
                && let Some(found) = self.found(moves(draft, &tried), model, best.worth)
            {
                (*best, *place) = (found, tried);
            }
        };
        for _ in 0..PASSES {
            let before = best.worth;
            for index in 0..place.len() {
                for by in [3.0, -3.0, 1.0, -1.0] {
                    let mut tried = place.clone();
                    tried[index] += by * steps[index];
                    offer(tried, &mut best, &mut place);
                }
            }
            // One number at a time gets stuck where two belong together: try pairs before giving up.
            if best.worth > STUCK * before {
                for _ in 0..PAIRS {
                    let mut tried = place.clone();
                    for _ in 0..2 {
                        let index = (noise.share() * place.len() as f64) as usize;
                        let by = (noise.share() * 7.0).floor() - 3.0;
                        tried[index] += by * steps[index];
                    }
                    offer(tried, &mut best, &mut place);
                }
            }
            if best.worth > STUCK * before {
                break;
            }
        }
        best
    }
}

/// The factor that the number of moves puts on a recipe's cost.
fn simple(moves: &[Move]) -> f64 {
    1.0 + MOVE * moves.len() as f64
}

/// Every value and lever of a draft, in order.
fn numbers(draft: &Draft) -> impl Iterator<Item = &Free> {
    draft
        .iter()
        .flat_map(|slot| slot.value.iter().chain([&slot.lever]))
}

/// The numbers held inside their ranges, and how far outside they were, in spreads.
fn inside(draft: &Draft, place: &[f64]) -> (Vec<f64>, f64) {
    let mut outside = 0.0;
    let held = numbers(draft).zip(place).map(|(free, x)| {
        let held = x.clamp(free.range.0, free.range.1);
        outside += (x - held).abs() / free.spread;
        held
    });
    (held.collect(), outside)
}

/// The moves that numbers stand for.
fn moves(draft: &Draft, place: &[f64]) -> Vec<Move> {
    let mut place = place.iter().copied();
    let mut next = || place.next().unwrap_or_default();
    let mut nearest_nm = f64::INFINITY;
    let made = draft.iter().map(|slot| {
        let mut value = slot.value.map_or(0.0, |_| next());
        if slot.when == When::DistanceNm {
            // Cues come in the order in which they are listed.
            value = value.min(nearest_nm);
            nearest_nm = value;
        }
        Move {
            when: slot.when,
            value,
            lever: next(),
        }
    });
    made.collect()
}

impl Slot {
    /// At the start of the task.
    pub fn start(lever: Free) -> Slot {
        Slot {
            when: When::Start,
            value: None,
            lever,
        }
    }

    /// A slot after about `seconds` seconds.
    pub fn after(seconds: f64, spread: f64, lever: Free) -> Slot {
        Slot::at(When::AfterS, (seconds, spread), (0.5, 3600.0), lever)
    }

    /// A slot on another cue of about a value, in its unit, within a range.
    pub fn at(when: When, (guess, spread): (f64, f64), range: (f64, f64), lever: Free) -> Slot {
        let value = Some(Free {
            guess,
            spread,
            range,
        });
        Slot { when, value, lever }
    }
}

impl Free {
    /// A lever, held away from the ends of its travel.
    pub fn lever(guess: f64, spread: f64, most: f64) -> Free {
        Free {
            guess: guess.clamp(LEAST, most),
            spread,
            range: (LEAST, most),
        }
    }

    /// The same, down to idle.
    pub fn down_to_idle(self) -> Free {
        Free {
            range: (0.0, self.range.1),
            ..self
        }
    }

    /// A lever known to within `within` either way.
    pub fn near(lever: f64, within: f64) -> Free {
        let lever = half_percent(lever);
        Free {
            guess: lever,
            spread: 0.005,
            range: (lever - within, lever + within),
        }
    }
}
