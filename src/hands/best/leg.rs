//! The search for one leg: what is tried, and which of it costs least in the real world.

use super::moves::{Flier, LEAST, Moves, towards};
use super::search::{self, Shape};
use super::track::{Line, Track, steps};
use crate::drill::Kind;
use crate::hands::{
    Hand, SHORT_OF_FULL, Script, Sight, Steady, fly_leg, move_through, steady::Traits,
};
use crate::plan::ahead::Model;
use crate::plan::asked::{Asked, TOO_STEEP_S};
use crate::plan::price::MISSED;
use crate::plan::{self, Follower, Setting};
use crate::run::{Leg, Run, thousandths};
use crate::score::leg_cost;
use crate::score::scene::STEEPEST_MPS;
use crate::units::{TICK_S, TICKS_PER_S};

/// What a tick flown in the real world counts as, in coarse steps: it is exact, and kept in the trace.
pub(super) const TICK: usize = 3;
/// The most coarse steps that are flown for the schedules of one leg.
const STEPS_A_LEG: usize = 1_000_000;
/// The fewest trials with which a search finds anything.
const LEAST_TRIALS: usize = 60;
/// Ticks in the coarse steps of a first search and of its refinement.
const SEARCHED: (usize, usize) = (32, 8);
/// The share of the limits that is left for a second search: half a foot off those of a usual step, twice what a schedule was seen
/// to miss them by.
const NARROWED: f64 = 0.95;
/// Ticks in the coarse steps along a line, and the most rounds of improvement: the finest that can be afforded is used.
/// Where the lever is at its fastest for long, as after a change of the wind, a round gains little and many are needed.
const FOLLOWED: [(usize, usize); 5] = [(8, 40), (8, 8), (16, 3), (32, 2), (32, 1)];

/// The moves of a brief are worked out as well in drills of at most so many legs, for legs that take `steady` at most so long, five
/// minutes: each takes some tenths of a second, which the budget does not count.
const BRIEFED: usize = 8;
const BRIEFED_TICKS: usize = 300 * TICKS_PER_S as usize;

/// Price of moving the lever on a line, squares of a metre; see [`Line::rate_price`]. With a much lower price the lever is
/// at its fastest all the time and has nothing left to answer departures from the plan.
const RATE_PRICE: f64 = 100.0;
/// Factors on that price: a calmer lever may do better, in gusts and because its travel costs.
const DEARER: [f64; 3] = [1.0, 5.0, 25.0];
/// See [`Line::calm_price`] and [`Asked::calm_s`], where another leg follows.
const CALM_PRICE: f64 = 10.0;
const CALM_S: f64 = 0.5;
/// Full lever, thousandths.
const FULL: u16 = 1000;

/// The search for the best way to fly one leg.
pub(super) struct Hunt<'a> {
    start: &'a Run,
    steady: &'a Run,
    leg: usize,
    /// The same leg as `steady` flew it, if it did.
    known: Option<&'a Leg>,
    /// What the leg costs `steady` from here.
    par: Option<f64>,
    /// How much a quiet end counts: 1, or 0 where nothing follows.
    calm: f64,
    is_gusty: bool,
    /// Whether the moves of a brief are worked out as well.
    is_briefed: bool,
    lowest: Option<Trial>,
    /// Coarse steps that may still be spent, and those that have been.
    left: usize,
    spent: usize,
}

/// A leg flown in the real world.
struct Trial {
    price: Price,
    run: Run,
}

/// Ordered first by whether the leg cost more than it cost `steady`, then by its cost with the penalty for the limits of `best`.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
struct Price {
    is_worse: bool,
    sum: f64,
}

/// `steady` without a reaction time, with frequent looks.
fn sharp() -> Traits {
    Traits {
        look_ticks: 16,
        reaction_ticks: (0, 0),
        reads_m: 0.01,
        reads_mps: 0.001,
        dead_band: 0.03,
        resolution: 0.002,
        ..Traits::default()
    }
}

impl<'a> Hunt<'a> {
    /// The search for the leg that begins at a run's current tick; `steady` is a run of the same drill by that hand. At most about
    /// `left` coarse steps are spent.
    pub fn new(start: &'a Run, steady: &'a Run, left: usize) -> Hunt<'a> {
        let air = &start.drill().air;
        let leg = start.legs().len() - 1;
        let known = steady.legs().get(leg);
        let known = known.filter(|leg| leg.kind == start.leg().kind);
        let is_last = start.next_kind().is_none() && leg + 1 == steady.legs().len();
        Hunt {
            start,
            steady,
            leg,
            known,
            par: None,
            calm: if is_last { 0.0 } else { 1.0 },
            is_gusty: air.u20_mps > 0.0 || air.wake.is_some(),
            is_briefed: start.drill().legs() <= BRIEFED,
            lowest: None,
            left,
            spent: 0,
        }
    }

    /// Coarse steps spent so far.
    pub fn spent(&self) -> usize {
        self.spent
    }

    /// Flies the leg as cheaply as it can, in a fork of the run.
    pub fn flown(&mut self) -> Run {
        self.as_steady_did();
        if !self.is_gusty && self.is_briefed {
            self.as_briefed();
        }
        match self.start.leg().kind {
            Kind::Step(_) | Kind::Rate(_) | Kind::Slow(_) => self.by_schedule(),
            _ => self.along_the_line(),
        }
        for traits in [Traits::default(), sharp()] {
            if (self.is_lost() || self.is_gusty) && self.affords(1, 0) {
                self.offer_hand(&mut Steady::with(self.start.drill(), traits));
            }
        }
        let lowest = self.lowest.take();
        lowest.expect("the first flight of all is kept").run
    }

    /// The lowest price so far.
    fn lowest_sum(&self) -> f64 {
        let lowest = self.lowest.as_ref();
        lowest.map_or(f64::INFINITY, |lowest| lowest.price.sum)
    }

    /// Whether nothing flown so far is good enough.
    fn is_lost(&self) -> bool {
        let lowest = self.lowest.as_ref().map(|lowest| lowest.price);
        lowest.is_none_or(|price| price.is_worse || price.sum.is_infinite())
    }

    /// About how many ticks a flight of the leg takes.
    fn ticks(&self) -> usize {
        let lowest = self.lowest.as_ref();
        lowest.map_or(0, |lowest| (lowest.run.tick() - self.start.tick()) as usize)
    }

    /// Whether the budget still allows some more flights and coarse steps.
    fn affords(&self, flights: usize, steps: usize) -> bool {
        flights * TICK * self.ticks() + steps <= self.left
    }

    fn spend(&mut self, steps: usize) {
        self.left = self.left.saturating_sub(steps);
        self.spent += steps;
    }

    /// Ticks after which a flight of the leg is hopeless: a stay that begins later than the lowest cost so far costs more.
    fn hopeless_ticks(&self) -> u64 {
        let lowest = self.lowest.as_ref().map(|lowest| lowest.price);
        let lowest_s = lowest.filter(|price| !price.is_worse && price.sum.is_finite());
        let kind = &self.start.leg().kind;
        match (lowest_s, kind.stay_s()) {
            (Some(price), Some(stay_s)) if !matches!(kind, Kind::Hold(_)) => {
                ((price.sum + stay_s).min(1e6) * TICKS_PER_S as f64) as u64
            }
            _ => u64::MAX,
        }
    }

    /// Flies the leg within the limits. `wanted` gives the lever to go to, in thousandths, or None to stay with the last one.
    fn offer(&mut self, wanted: &mut dyn FnMut(&Run) -> Option<u16>) {
        // Slowing in begins at idle.
        let least = match self.start.leg().kind {
            Kind::Slow(_) => 0,
            _ => LEAST,
        };
        let mut last = None;
        self.offer_lever(&mut |run| {
            last = wanted(run).or(last);
            let held = 1000.0 * run.lever();
            let lever = towards(held, f64::from(last?.max(least)));
            (lever != held).then(|| lever.round() as u16)
        });
    }

    /// Flies the leg with the lever moves as they are given, and keeps it if it is the best so far.
    fn offer_lever(&mut self, moves: &mut dyn FnMut(&Run) -> Option<u16>) {
        let until = self.start.tick().saturating_add(self.hopeless_ticks());
        let mut run = self.start.fork();
        move_through(&mut run, until, moves);
        self.spend(TICK * (run.tick() - self.start.tick()) as usize);
        let price = self.price(&run);
        let lowest = self.lowest.as_ref();
        if lowest.is_none_or(|lowest| price < lowest.price) {
            self.lowest = Some(Trial { price, run });
        }
    }

    fn offer_hand(&mut self, hand: &mut dyn Hand) {
        self.offer(&mut |run| hand.lever(&Sight::of(run)));
    }

    /// The price of a leg flown in the real world.
    fn price(&self, run: &Run) -> Price {
        let Some(cost) = leg_cost(run, self.leg) else {
            return Price {
                is_worse: self.par.is_some(),
                sum: f64::INFINITY,
            };
        };
        let states = run.trace().states().iter();
        let too_steep = match self.start.leg().kind {
            Kind::Step(_) => states
                .filter(|state| state.vz_mps.abs() > STEEPEST_MPS)
                .count(),
            _ => 0,
        };
        Price {
            is_worse: self.par.is_some_and(|par| cost > par),
            sum: cost + TOO_STEEP_S * too_steep as f64 * TICK_S,
        }
    }

    /// Flies the leg as `steady` does from here, and where that hand's run began it elsewhere, also by the lever that it had there.
    fn as_steady_did(&mut self) {
        let here = self.start.tick();
        let known = self.known;
        let began_here = known.is_some_and(|leg| {
            let state = self.steady.trace().state(leg.start as usize);
            leg.start == here && state.numbers() == self.start.world().state().numbers()
        });
        if !began_here {
            let mut steady = Steady::new(self.start.drill());
            self.offer_lever(&mut |run| steady.lever(&Sight::of(run)));
        }
        if let Some(leg) = known {
            let moves = self.steady.log();
            let until = leg.end.unwrap_or(self.steady.tick());
            let first = moves.partition_point(|(tick, _)| *tick < leg.start);
            let moves = moves[first..].iter();
            let mut rows: Vec<(u64, u16)> = moves
                .take_while(|(tick, _)| *tick < until)
                .map(|(tick, lever)| (tick - leg.start + here, *lever))
                .collect();
            if began_here {
                // The result is the same as that hand's, so its limits are that hand's.
                let mut script = Script::new(rows);
                self.offer_lever(&mut |run| script.lever(&Sight::of(run)));
            } else {
                let before = self.steady.trace().lever_before(leg.start as usize);
                rows.insert(0, (here, thousandths(before)));
                self.offer_hand(&mut Script::new(rows));
            }
        }
        let lowest = self.lowest.as_ref();
        self.par = lowest.and_then(|lowest| leg_cost(&lowest.run, self.leg));
    }

    /// Flies the moves that a brief would say here.
    fn as_briefed(&mut self) {
        if self.ticks() > BRIEFED_TICKS {
            return;
        }
        let moves = plan::of_leg(self.start);
        let mut follower = Follower::default();
        self.offer(&mut |run| follower.follow(&moves, &Sight::of(run)));
    }

    /// Searches for the best schedules and flies them. A search goes to the very edge of what still captures; where the real
    /// world is over that edge, it looks once more, with narrower limits.
    fn by_schedule(&mut self) {
        let start = self.start;
        let begin = (start.world().state(), start.lever(), start.tick());
        let kind = &start.leg().kind;
        let aircraft = &start.drill().aircraft;
        let Some(asked) = Asked::new(aircraft, kind, begin, self.calm * CALM_S) else {
            return;
        };
        let before = self.lowest_sum();
        let promised = self.by_schedule_for(&asked);
        if promised < before && self.lowest_sum() == before && !self.is_gusty {
            self.by_schedule_for(&asked.narrowed(NARROWED));
        }
    }

    /// Searches for schedules for what is asked and flies them; returns the lowest cost that the search promised.
    fn by_schedule_for(&mut self, asked: &Asked) -> f64 {
        let start = self.start;
        let flights = if self.is_gusty {
            1 + DEARER.len()
        } else {
            search::REFINED.len()
        };
        let (coarse, fine) = SEARCHED;
        let [coarse, fine] = [coarse, fine].map(|most| self.model(most));
        if !self.affords(flights, LEAST_TRIALS * asked.steps(coarse.ticks)) {
            return f64::INFINITY;
        }
        let shape = Shape::new(&start.drill().aircraft, asked);
        let flown = flights * TICK * self.ticks();
        let steps = self.left.saturating_sub(flown).min(STEPS_A_LEG);
        let (found, spent) = search::search(&shape, asked, (&coarse, &fine), steps);
        self.spend(spent);
        let captured = found.iter().filter(|found| found.value < MISSED);
        for (nth, found) in captured.enumerate() {
            let moves = shape.moves(asked, &found.place);
            self.offer_hand(&mut Flier::new(&moves, start.lever(), asked.way));
            if nth == 0 && self.is_gusty {
                self.answering(&moves, asked.way);
            }
        }
        found.first().map_or(f64::INFINITY, |found| found.value)
    }

    /// Flies a schedule as it goes in settled air, and answers whatever takes the aeroplane off that.
    fn answering(&mut self, moves: &Moves, way: f64) {
        let start = self.start;
        let mut settled = start.fork().in_settled_air();
        fly_leg(&mut settled, &mut Flier::new(moves, start.lever(), way));
        let seconds = (settled.tick() - start.tick()) as f64 * TICK_S;
        let line = self.line(RATE_PRICE, 1.0);
        let model = self.model(FOLLOWED[0].0);
        let nodes = steps(seconds, model.ticks);
        for dearer in DEARER {
            if !self.affords(1, Track::most_steps(nodes, 0)) {
                return;
            }
            let line = Line {
                rate_price: dearer * line.rate_price,
                ..line.clone()
            };
            let track = Track::of(line, &model, (start, settled.trace()), nodes);
            self.spend(Track::most_steps(nodes, 0));
            self.fly_along(&track.answering(&model));
        }
    }

    fn line(&self, rate_price: f64, most: f64) -> Line {
        Line {
            target: self.start.leg().target,
            from: self.start.tick(),
            from_m: self.start.world().state().h_m,
            rate_price,
            calm_price: self.calm * CALM_PRICE,
            levers: (f64::from(LEAST) / 1000.0, most),
        }
    }

    /// The aeroplane in settled air, in steps of at most `most` ticks.
    fn model(&self, most: usize) -> Model<'a> {
        let drill = self.start.drill();
        let ticks = Model::ticks_for(&drill.aircraft, most);
        Model::calm(&Setting::of(drill), self.start.tick() as usize, ticks)
    }

    fn fly_along(&mut self, track: &Track) {
        let mut hand = track.hand(self.start);
        self.offer(&mut |run| match run.leg().approach.is_down() {
            true => Some(FULL),
            false => hand(run),
        });
    }

    /// Flies a hold or a path along its line.
    fn along_the_line(&mut self) {
        let start = self.start;
        let state = start.world().state();
        let (seconds, line) = match &start.leg().kind {
            Kind::Path(path) => {
                let flown_s = self.ticks() as f64 * TICK_S;
                let seconds = match self.is_lost() {
                    true => {
                        let way_m = path.glide.distance_m(state, start.tick());
                        let closure_mps = path.glide.closure_mps(state).max(1.0);
                        flown_s.max(way_m / closure_mps)
                    }
                    // The wind may change on the way: only a flight shows how long it takes.
                    false => flown_s,
                };
                let seconds = seconds.clamp(1.0, 3600.0) + 3.0;
                // Errors are shares of the band here: the price is the same where the band is of middling width.
                let square_m = path.glide.band_m * path.glide.half_width_m(0.0);
                (seconds, self.line(RATE_PRICE / square_m, SHORT_OF_FULL))
            }
            kind => (kind.stay_s().unwrap_or(1.0), self.line(RATE_PRICE, 1.0)),
        };
        for dearer in DEARER {
            let line = Line {
                rate_price: dearer * line.rate_price,
                ..line.clone()
            };
            let Some(lowest) = self.lowest.as_ref() else {
                return;
            };
            let fineness = FOLLOWED.iter().map(|(most, rounds)| {
                let ticks = Model::ticks_for(&start.drill().aircraft, *most);
                (*most, *rounds, steps(seconds, ticks))
            });
            let affordable = fineness
                .into_iter()
                .find(|(_, rounds, nodes)| self.affords(1, Track::most_steps(*nodes, *rounds)));
            let Some((most, rounds, nodes)) = affordable else {
                return;
            };
            let model = self.model(most);
            let track = Track::of(line, &model, (start, lowest.run.trace()), nodes);
            let (track, spent) = track.better(&model, rounds);
            self.spend(spent);
            self.fly_along(&track);
        }
    }
}
