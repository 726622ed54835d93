//! One leg: what is tried, and what comes out lowest in the real world.

use super::moves::{Flier, LEAST, towards};
use super::purse::{Purse, TICK};
use super::search::{REFINED, Shape, search};
use super::track::{Line, Track, steps};
use crate::drill::Kind;
use crate::hands::{self, Hand, LONGEST_TICKS, Script, Sight, Steady, steady::Traits};
use crate::plan::ahead::Model;
use crate::plan::price::{Asked, MISSED, STEEPEST_MPS, TOO_STEEP_S};
use crate::run::{Leg, Run, Trace, thousandths};
use crate::score::leg_cost;
use crate::units::{TICK_S, TICKS_PER_S};

/// Coarse steps that may be flown for the schedules of one leg.
const STEPS_A_LEG: usize = 1_000_000;
/// A search of fewer trials than this finds nothing.
const LEAST_TRIALS: usize = 60;
/// Ticks in the coarse steps of a first search and of its refinement.
const SEARCHED: (usize, usize) = (32, 8);
/// Ticks in the coarse steps along a line, and how often it is gone over at most: as fine as can be afforded.
const FOLLOWED: [(usize, usize); 4] = [(8, 8), (16, 3), (32, 2), (32, 1)];

/// What moving the lever costs on a line, squares of a metre; see [`Line::rate_price`]. Where it is much lower, the lever is at its fastest all
/// the time and has nothing left for what differs from the plan.
const RATE_PRICE: f64 = 100.0;
/// See [`Line::calm_price`], where another leg follows.
const CALM_PRICE: f64 = 10.0;
/// See [`Asked::calm_s`], where another leg follows.
const CALM_S: f64 = 0.5;
/// The most lever on a path: full power is going around.
const SHORT_OF_FULL: f64 = 0.95;
/// All of it, thousandths.
const FULL: u16 = 1000;

/// The search for the best way to fly one leg.
pub(super) struct Search<'a> {
    start: &'a Run,
    steady: &'a Run,
    leg: usize,
    /// What `steady` flew of the same.
    known: Option<&'a Leg>,
    /// What it cost that hand.
    par: Option<f64>,
    /// How much more than usual a quiet end counts; 0 where nothing follows.
    calm: f64,
    is_gusty: bool,
    lowest: Option<Trial>,
    /// What may still be tried.
    pub purse: Purse,
}

/// A leg flown in the real world.
struct Trial {
    price: Price,
    run: Run,
}

/// First whether it cost more than it did `steady`; then the cost, and what `best` holds itself to.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
struct Price {
    is_worse: bool,
    sum: f64,
}

/// `steady` without a reaction time, looking all the time.
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

impl<'a> Search<'a> {
    /// For the leg that begins where a run stands; `steady` is that hand's run, of the leg at least. A quiet end counts
    /// `calm` times as much as usual.
    pub fn new(start: &'a Run, steady: &'a Run, calm: f64, purse: Purse) -> Search<'a> {
        let air = &start.drill().air;
        let leg = start.legs().len() - 1;
        let known = steady.legs().get(leg);
        let known = known.filter(|leg| leg.kind == start.leg().kind);
        Search {
            start,
            steady,
            leg,
            known,
            par: known.and_then(|_| leg_cost(steady, leg)),
            calm,
            is_gusty: air.u20_mps > 0.0 || air.wake.is_some(),
            lowest: None,
            purse,
        }
    }

    /// The leg flown, in a fork of the run.
    pub fn flown(&mut self) -> Run {
        match self.asked().kind {
            Kind::Step(_) | Kind::Rate(_) => self.by_schedule(),
            Kind::Hold(_) | Kind::Path(_) => {
                if self.line_of_steady().is_none() {
                    self.as_steady_did();
                }
                self.along_the_line();
                if self.line_of_steady().is_some() && (self.is_lost() || self.affords(1, 0)) {
                    self.as_steady_did();
                }
            }
            Kind::Surprise(_) => {}
        }
        for traits in [Traits::default(), sharp()] {
            if (self.is_lost() || self.is_gusty) && self.affords(1, 0) {
                self.offer_hand(&mut Steady::with(self.start.drill(), traits));
            }
        }
        if let Some(lowest) = self.lowest.take() {
            return lowest.run;
        }
        let mut run = self.start.fork();
        hands::fly_leg(&mut run, &mut Steady::new(self.start.drill()));
        self.purse.spend(TICK * self.ticks_of(&run));
        run
    }

    fn asked(&self) -> &Leg {
        self.start.leg()
    }

    /// Whether what was flown so far will not do.
    fn is_lost(&self) -> bool {
        let lowest = self.lowest.as_ref().map(|lowest| lowest.price);
        lowest.is_none_or(|price| price.is_worse || price.sum.is_infinite())
    }

    fn ticks_of(&self, run: &Run) -> usize {
        (run.tick() - self.start.tick()) as usize
    }

    /// Ticks that a flight of the leg takes, more or less.
    fn ticks(&self) -> usize {
        match (&self.lowest, self.known) {
            (Some(lowest), _) => self.ticks_of(&lowest.run),
            (None, Some(leg)) => (leg.end.unwrap_or(self.steady.tick()) - leg.start) as usize,
            (None, None) => {
                let longest_s = self.asked().kind.longest_s(1.0, 0.0);
                (longest_s * TICKS_PER_S as f64) as usize
            }
        }
    }

    /// Whether the purse is good for some more flights and so many coarse steps.
    fn affords(&self, flights: usize, steps: usize) -> bool {
        flights * TICK * self.ticks() + steps <= self.purse.left()
    }

    /// Ticks after which a flight of the leg has no hope any more.
    fn hopeless_ticks(&self) -> u64 {
        /// Where no cost tells: shares of what `steady` took, and s.
        const PATIENCE: (f64, f64) = (3.0, 30.0);
        let lowest = self.lowest.as_ref().map(|lowest| lowest.price);
        let lowest_s = lowest.filter(|price| !price.is_worse && price.sum.is_finite());
        let most_s = match (
            lowest_s.map(|price| price.sum).or(self.par),
            self.asked().kind.stay_s(),
        ) {
            // A stay that begins later than at this cost costs more than it; a hold ends by itself.
            (Some(cost_s), Some(stay_s)) if !matches!(self.asked().kind, Kind::Hold(_)) => {
                cost_s + stay_s
            }
            _ if self.known.is_some() => PATIENCE.0 * self.ticks() as f64 * TICK_S + PATIENCE.1,
            _ => f64::INFINITY,
        };
        (most_s.min(1e6) * TICKS_PER_S as f64) as u64
    }

    /// Flies the leg within the limits. `wanted` gives the lever to go to, in thousandths, or None to stay with the last one.
    fn offer(&mut self, wanted: &mut dyn FnMut(&Run) -> Option<u16>) {
        let mut last = None;
        self.offer_lever(&mut |run| {
            last = wanted(run).or(last);
            let held = 1000.0 * run.lever();
            let lever = towards(held, f64::from(last?.max(LEAST)));
            (lever != held).then(|| lever.round() as u16)
        });
    }

    /// Flies the leg and keeps it where it is the best so far, with every move of the lever as it is given.
    fn offer_lever(&mut self, moves: &mut dyn FnMut(&Run) -> Option<u16>) {
        let mut run = self.start.fork();
        let legs = run.legs().len();
        let until = self.start.tick() + self.hopeless_ticks();
        while run.end().is_none() && run.legs().len() == legs && run.tick() <= until {
            if run.tick() >= LONGEST_TICKS {
                run.leave();
            }
            if let Some(lever) = moves(&run) {
                run.set_lever(lever);
            }
            run.fly();
        }
        self.purse.spend(TICK * self.ticks_of(&run));
        if run.end().is_none() && run.legs().len() == legs {
            return;
        }
        let price = self.price(&run);
        let lowest = self.lowest.as_ref();
        if lowest.is_none_or(|lowest| price < lowest.price) {
            self.lowest = Some(Trial { price, run });
        }
    }

    fn offer_hand(&mut self, hand: &mut dyn Hand) {
        self.offer(&mut |run| hand.lever(&Sight::of(run)));
    }

    /// What a leg flown in the real world counts.
    fn price(&self, run: &Run) -> Price {
        let Some(cost) = leg_cost(run, self.leg) else {
            return Price {
                is_worse: self.par.is_some(),
                sum: f64::INFINITY,
            };
        };
        let points = run.trace().points().iter();
        let too_steep = match self.asked().kind {
            Kind::Step(_) => points
                .filter(|p| p.state.vz_mps.abs() > STEEPEST_MPS)
                .count(),
            _ => 0,
        };
        Price {
            is_worse: self.par.is_some_and(|par| cost > par),
            sum: cost + TOO_STEEP_S * too_steep as f64 * TICK_S,
        }
    }

    /// The lever of `steady`'s own run of this leg, moved to where this one begins; without one, `steady` from here.
    pub fn as_steady_did(&mut self) {
        let Some(leg) = self.known else {
            return self.offer_hand(&mut Steady::new(self.start.drill()));
        };
        let here = self.start.tick();
        let moves = self.steady.log();
        let until = leg.end.unwrap_or(self.steady.tick());
        let first = moves.partition_point(|(tick, _)| *tick < leg.start);
        let moves = moves[first..].iter();
        let mut rows: Vec<(u64, u16)> = moves
            .take_while(|(tick, _)| *tick < until)
            .map(|(tick, lever)| (tick - leg.start + here, *lever))
            .collect();
        let before = self.steady.trace().lever_before(leg.start as usize);
        if before == self.start.lever() {
            // Where this is where that hand was, it comes out as it did.
            let mut script = Script::new(rows);
            return self.offer_lever(&mut |run| script.lever(&Sight::of(run)));
        }
        rows.insert(0, (here, thousandths(before)));
        self.offer_hand(&mut Script::new(rows));
    }

    /// The best of what was flown.
    pub fn into_lowest(self) -> Option<Run> {
        self.lowest.map(|lowest| lowest.run)
    }

    /// The best schedules that a search finds. Where there is not enough for that, another hand stands in for it, and `steady`
    /// is followed only if that will not do.
    fn by_schedule(&mut self) {
        let start = self.start;
        let aircraft = &start.drill().aircraft;
        let (state, lever) = (start.world().state(), start.lever());
        let calm_s = self.calm * CALM_S;
        let begin = (state, lever, start.tick());
        let Some(asked) = Asked::new(aircraft, &start.leg().kind, begin, calm_s) else {
            return;
        };
        let ticks = |most: usize| Model::ticks_for(aircraft, most);
        let ticks = (ticks(SEARCHED.0), ticks(SEARCHED.1));
        let least = LEAST_TRIALS * asked.steps(ticks.0);
        let is_rich = self.affords(1 + REFINED.len(), least);
        let has_stand_in = !is_rich && (self.par.is_none() || self.affords(2, 0));
        match has_stand_in {
            true => self.offer_hand(&mut Steady::with(start.drill(), sharp())),
            false => self.as_steady_did(),
        }
        if self.affords(1, least) {
            let flights = if is_rich { REFINED.len() } else { 1 };
            self.search(&asked, ticks, flights);
        }
        if has_stand_in && self.par.is_some() && self.is_lost() {
            self.as_steady_did();
        }
    }

    /// Searches, leaving enough to fly so much of what is found.
    fn search(&mut self, asked: &Asked, (coarse, fine): (usize, usize), flights: usize) {
        let start = self.start;
        let drill = start.drill();
        let state = start.world().state();
        let shape = Shape::new(&drill.aircraft, state.h_m, asked.is_step(), self.is_gusty);
        let from = start.tick() as usize;
        let model = |ticks: usize| {
            let leg = from..from + asked.longest_ticks();
            Model::new(drill, state.h_m, leg, ticks, self.steady.trace())
        };
        let flown = flights * TICK * self.ticks();
        let steps = self.purse.left().saturating_sub(flown).min(STEPS_A_LEG);
        let (found, spent) = search(&shape, asked, (&model(coarse), &model(fine)), steps);
        self.purse.spend(spent);
        let captured = found.iter().filter(|found| found.value < MISSED);
        for found in captured.take(flights) {
            let moves = shape.moves(asked, &found.place);
            self.offer_hand(&mut Flier::new(&moves, start.lever(), asked.way));
        }
    }

    /// The trace of `steady` where it flew the same line at the same time.
    fn line_of_steady(&self) -> Option<&'a Trace> {
        let leg = self.known?;
        (leg.start == self.start.tick()).then(|| self.steady.trace())
    }

    /// A hold or a path, with what the gusts will do known from the best flight so far.
    fn along_the_line(&mut self) {
        let start = self.start;
        let state = start.world().state();
        let mut rate_price = RATE_PRICE;
        let (seconds, about_m, most) = match &start.leg().kind {
            Kind::Path(path) => {
                let way_m = path.glide.distance_m(state, start.tick());
                let closure_mps = path.glide.closure_mps(state).max(1.0);
                let about_m = 0.5 * (state.h_m + path.glide.aim.deck.height_m);
                let seconds = (way_m / closure_mps).clamp(1.0, 3600.0) + 3.0;
                // Errors are shares of the band here: the same price where it is of middling width.
                rate_price /= path.glide.band_m * path.glide.half_width_m(0.0);
                (seconds, about_m, SHORT_OF_FULL)
            }
            kind => (kind.stay_s().unwrap_or(1.0), state.h_m, 1.0),
        };
        let line = Line {
            target: start.leg().target,
            from: start.tick(),
            from_m: state.h_m,
            rate_price,
            calm_price: self.calm * CALM_PRICE,
            levers: (f64::from(LEAST) / 1000.0, most),
        };
        // In gusts the calmer lever may do better; and the last time they are those of a flight along the line itself.
        let prices: &[f64] = match self.is_gusty {
            true => &[1.0, 10.0, 1.0],
            false => &[1.0],
        };
        for (turn, dearer) in prices.iter().enumerate() {
            let line = Line {
                rate_price: dearer * line.rate_price,
                ..line.clone()
            };
            let known = self.lowest.take();
            let trace = match &known {
                Some(known) => known.run.trace(),
                None => match self.line_of_steady() {
                    Some(trace) => trace,
                    None => return,
                },
            };
            let track = self.track(line, trace, seconds, about_m, prices.len() - turn);
            self.lowest = known;
            let Some(track) = track else { return };
            let mut hand = track.hand(start);
            self.offer(&mut |run| match run.leg().approach.is_down() {
                true => Some(FULL),
                false => hand(run),
            });
        }
    }

    /// As fine a track as can be afforded `times`, or once; None where none can.
    fn track(
        &mut self,
        line: Line,
        known: &Trace,
        seconds: f64,
        about_m: f64,
        times: usize,
    ) -> Option<Track> {
        let drill = self.start.drill();
        let fineness = FOLLOWED.iter().map(|(ticks, rounds)| {
            let ticks = Model::ticks_for(&drill.aircraft, *ticks);
            (ticks, *rounds, steps(seconds, ticks))
        });
        let (ticks, rounds, nodes) = fineness.into_iter().find(|(_, rounds, nodes)| {
            self.affords(times, times * Track::most_steps(*nodes, *rounds))
                || self.affords(1, Track::most_steps(*nodes, *rounds))
        })?;
        let from = line.from as usize;
        let leg = from..from + (nodes + 1) * ticks;
        let model = Model::new(drill, about_m, leg, ticks, known);
        let (track, spent) = Track::new(line, &model, (self.start, known), nodes, rounds);
        self.purse.spend(spent);
        Some(track)
    }
}
