//! One leg: what is tried, and what comes out lowest in the real world.

use super::model::Model;
use super::moves::{Flier, LEAST, towards};
use super::price::{Asked, STEEPEST_MPS, TOO_STEEP_S};
use super::search::{Shape, search};
use super::track::{Line, Track, steps};
use crate::drill::Kind;
use crate::hands::{Hand, LONGEST_TICKS, Script, Sight, Steady, steady::Traits};
use crate::run::{Leg, Run, thousandths};
use crate::score::leg_cost;
use crate::units::TICK_S;

/// Coarse steps that may be flown for a drill's schedules, a tenth to a fifth of a microsecond each.
const STEPS_A_DRILL: usize = 4_000_000;
/// And for those of one leg.
const STEPS_A_LEG: usize = 1_000_000;
/// Ticks in the coarse steps of a first search and of its refinement.
const SEARCHED: (usize, usize) = (32, 8);
/// Ticks in the coarse steps along a line, and how often it is gone over; and the same for one that is very long.
const FOLLOWED: (usize, usize) = (8, 8);
const FOLLOWED_LONG: (usize, usize) = (16, 3);
/// Longer than this is very long, s.
const LONG_S: f64 = 600.0;

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
    /// Coarse steps that may be flown.
    steps: usize,
    /// How much more than usual a quiet end counts; 0 where nothing follows.
    calm: f64,
    is_gusty: bool,
    lowest: Option<(f64, Run)>,
}

impl<'a> Search<'a> {
    /// For the leg that begins where a run stands, one of so many; `steady` is that hand's run, of the leg at least. A quiet
    /// end counts `calm` times as much as usual.
    pub fn new(start: &'a Run, steady: &'a Run, legs: usize, calm: f64) -> Search<'a> {
        let air = &start.drill().air;
        let leg = start.legs().len() - 1;
        Search {
            start,
            steady,
            leg,
            steps: STEPS_A_LEG.min(STEPS_A_DRILL / legs),
            calm: if leg + 1 < legs { calm } else { 0.0 },
            is_gusty: air.u20_mps > 0.0 || air.wake.is_some(),
            lowest: None,
        }
    }

    /// The leg flown, in a fork of the run.
    pub fn flown(mut self) -> Run {
        self.as_steady_did();
        match self.asked().kind {
            Kind::Step(_) | Kind::Rate(_) => self.by_schedule(),
            Kind::Hold(_) | Kind::Path(_) => self.along_the_line(),
            Kind::Surprise(_) => {}
        }
        let found_none = self
            .lowest
            .as_ref()
            .is_none_or(|(price, _)| price.is_infinite());
        if found_none || (self.is_gusty && self.longest_s() <= LONG_S) {
            self.as_hands_do();
        }
        self.into_lowest()
    }

    fn asked(&self) -> &Leg {
        self.start.leg()
    }

    fn longest_s(&self) -> f64 {
        self.asked().kind.longest_s(1.0, 0.0)
    }

    fn into_lowest(self) -> Run {
        self.lowest.expect("something was flown").1
    }

    /// Flies the leg and keeps it where it is the best so far. `wanted` gives the lever to go to, in thousandths, or None
    /// to stay with the last one; the way there is limited here.
    fn offer(&mut self, wanted: &mut dyn FnMut(&Run) -> Option<u16>) {
        let mut run = self.start.fork();
        let legs = run.legs().len();
        let mut last = None;
        while run.end().is_none() && run.legs().len() == legs {
            if run.tick() >= LONGEST_TICKS {
                run.leave();
            }
            last = wanted(&run).or(last);
            if let Some(wanted) = last {
                let held = 1000.0 * run.lever();
                let lever = towards(held, f64::from(wanted.max(LEAST)));
                if lever != held {
                    run.set_lever(lever.round() as u16);
                }
            }
            run.fly();
        }
        let price = self.price(&run);
        let lowest = self.lowest.as_ref();
        if lowest.is_none_or(|(lowest, _)| price < *lowest) {
            self.lowest = Some((price, run));
        }
    }

    fn offer_hand(&mut self, hand: &mut dyn Hand) {
        self.offer(&mut |run| hand.lever(&Sight::of(run)));
    }

    /// What a leg flown in the real world counts: its cost, and what `best` holds itself to.
    fn price(&self, run: &Run) -> f64 {
        let Some(cost) = leg_cost(run, self.leg) else {
            return f64::INFINITY;
        };
        if !matches!(self.asked().kind, Kind::Step(_)) {
            return cost;
        }
        let points = run.trace().points().iter();
        let too_steep = points.filter(|p| p.state.vz_mps.abs() > STEEPEST_MPS);
        cost + TOO_STEEP_S * too_steep.count() as f64 * TICK_S
    }

    /// The lever of `steady`'s own run of this leg, moved to where this one begins.
    fn as_steady_did(&mut self) {
        let here = self.start.tick();
        let legs = self.steady.legs();
        let same = legs
            .get(self.leg)
            .filter(|leg| leg.kind == self.asked().kind);
        let Some(leg) = same else {
            return self.as_hands_do();
        };
        let ticks = leg.start..leg.end.unwrap_or(self.steady.tick());
        let moves = self.steady.log().iter();
        let mut rows: Vec<(u64, u16)> = moves
            .filter(|(tick, _)| ticks.contains(tick))
            .map(|(tick, lever)| (tick - leg.start + here, *lever))
            .collect();
        let before = self.steady.trace().lever_before(leg.start as usize);
        if before != self.start.lever() {
            rows.insert(0, (here, thousandths(before)));
        }
        self.offer_hand(&mut Script::new(rows));
    }

    /// `steady` from here, and `steady` without a reaction time, looking all the time.
    fn as_hands_do(&mut self) {
        let plain = Traits::default();
        let sharp = Traits {
            look_ticks: 16,
            reaction_ticks: 0,
            dead_band: 0.004,
            resolution: 0.002,
            ..plain
        };
        for traits in [plain, sharp] {
            self.offer_hand(&mut Steady::with(self.start.drill(), traits));
        }
    }

    /// The best schedules that a search finds.
    fn by_schedule(&mut self) {
        let start = self.start;
        let drill = start.drill();
        let (state, lever) = (start.world().state(), start.lever());
        let calm_s = self.calm * CALM_S;
        let asked = Asked::new(&drill.aircraft, &start.leg().kind, state, lever, calm_s);
        let Some(asked) = asked else { return };
        let shape = Shape::new(&drill.aircraft, state.h_m, asked.is_step(), self.is_gusty);
        let model = |ticks: usize| {
            let ticks = Model::ticks_for(&drill.aircraft, ticks);
            Model::new(drill, state.h_m, start.tick(), ticks, self.steady.trace())
        };
        let (coarse, fine) = (model(SEARCHED.0), model(SEARCHED.1));
        let found = search(&shape, &asked, (&coarse, &fine), self.steps);
        for found in found {
            let moves = shape.moves(&asked, &found.place);
            self.offer_hand(&mut Flier::new(&moves, lever, asked.direction));
        }
    }

    /// A hold or a path, with what the gusts will do known from the best flight so far.
    fn along_the_line(&mut self) {
        let start = self.start;
        let drill = start.drill();
        let state = start.world().state();
        let is_long = self.longest_s() > LONG_S;
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
        let (ticks, rounds) = if is_long { FOLLOWED_LONG } else { FOLLOWED };
        let ticks = Model::ticks_for(&drill.aircraft, ticks);
        // In gusts the calmer lever may do better; and the last time they are those of a flight along the line itself.
        let prices: &[f64] = match self.is_gusty && !is_long {
            true => &[1.0, 10.0, 1.0],
            false => &[1.0],
        };
        for dearer in prices {
            let line = Line {
                rate_price: dearer * line.rate_price,
                ..line.clone()
            };
            let Some((_, known)) = self.lowest.clone() else {
                return;
            };
            let model = Model::new(drill, about_m, start.tick(), ticks, known.trace());
            let track = Track::new(line, &model, &known, steps(seconds, &model), rounds);
            let mut hand = track.hand(start);
            self.offer(&mut |run| match run.leg().approach.is_down() {
                true => Some(FULL),
                false => hand(run),
            });
        }
    }
}
