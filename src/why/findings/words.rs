//! Findings in words: what, how much, what it would have given, what to try.

use super::{Finding, Kind};
use crate::drill::{self, Target, Task};
use crate::run::Leg;
use crate::score::metrics::{METRICS, Scene};
use crate::sim::dynamics::State;
use crate::sim::trim::three_degrees;
use crate::units::{FPM, FT, NM, TICKS_PER_S};

/// A rate faster than this makes a level-off late that would be in time for another, over the 3-degree rate.
const FAST: f64 = 1.15;

/// What keeps an altitude.
const LEVEL: &str = "level power";

impl Finding {
    /// Says it: what, how much, what it would have given, and what to try.
    pub fn sentence(&self) -> String {
        let amount = self.amount;
        let result = self.result();
        match self.kind {
            Kind::LevelOffLate => format!(
                "Your level-off came {amount:.1} s late{}; the same move {amount:.1} s sooner {result}. {}",
                self.for_that_rate(),
                self.start(self.from_tick)
            ),
            Kind::LevelOffEarly => format!(
                "Your level-off came {amount:.1} s early; the same move {amount:.1} s later {result}. {}",
                self.start(self.from_tick + (amount * TICKS_PER_S as f64) as u64)
            ),
            Kind::PowerTooMuch | Kind::PowerTooLittle if self.keeps() != LEVEL => format!(
                "The first move went {amount:.1} times the way to {}; {:.0} % of lever {result}. Know that number before you \
                 move.",
                self.keeps(),
                self.lever_percent(self.from_tick)
            ),
            Kind::PowerTooMuch => format!(
                "You went with {amount:.1} times the power of 3 degrees, and the level-off was late for that rate; {:.0} % of lever \
                 {result}. Or start the level-off sooner.",
                self.lever_percent(self.from_tick + 2 * TICKS_PER_S)
            ),
            Kind::PowerTooLittle => format!(
                "You went with {amount:.1} times the power of 3 degrees; {:.0} % of lever {result}. Be bolder with the first move.",
                self.lever_percent(self.from_tick + 2 * TICKS_PER_S)
            ),
            Kind::SecondMoveMissing => format!(
                "The lever went {amount:.0} % past {} and was not given back in time; given back {} it {result}. \
                 Each such move wants its opposite.",
                self.keeps(),
                self.given_back()
            ),
            Kind::Pumping => format!(
                "The lever turned {amount:.0} times more than the two that serve; a quiet hand from there {result}. \
                 Move, wait for the answer, then move again."
            ),
            Kind::LevelPowerOff => format!(
                "{} was {amount:.1} % off; {:.0} % of lever there {result}. Know that number before you start.",
                capital(self.keeps()),
                self.lever_percent(self.from_tick)
            ),
            Kind::EngineLetDown => format!(
                "The engine was down near idle for {amount:.1} s and answered late from there; {:.0} % of lever as the least \
                 {result}. Take off less, for longer.",
                self.lever_percent(self.hand_over_tick.saturating_sub(1))
            ),
            Kind::DescentLate => format!(
                "The power for the descent came off {amount:.1} s late; the same move {amount:.1} s sooner {result}. {}",
                self.begin(self.from_tick)
            ),
            Kind::DescentEarly => format!(
                "The power for the descent came off {amount:.1} s early; the same move {amount:.1} s later {result}. {}",
                self.begin(self.from_tick + (amount * TICKS_PER_S as f64) as u64)
            ),
            Kind::NotCorrected => format!(
                "The lever was left alone with the aeroplane {amount:.0} ft off, in no hurry to come back; a correction there \
                 {result}. What stays off wants a move."
            ),
            Kind::GustOver => format!(
                "A correction of {amount:.0} % answered a gust that was already over; without it the task {result}. \
                 Wait for what stays."
            ),
        }
    }

    /// The power that keeps what is asked.
    fn keeps(&self) -> &'static str {
        match self.leg().kind {
            drill::Kind::Rate(_) => "the power for the rate",
            drill::Kind::Path(_) => "the power for the path",
            _ => LEVEL,
        }
    }

    fn leg(&self) -> &Leg {
        &self.alternative.legs()[self.leg]
    }

    /// The changed flight at a tick, or at its end where that came sooner.
    fn state(&self, tick: u64) -> &State {
        let trace = self.alternative.trace();
        &trace.at((tick as usize).min(trace.ticks())).state
    }

    /// What the changed flight does: how far past it goes, and what that saves.
    fn result(&self) -> String {
        let leg = self.leg();
        let three = three_degrees(
            &self.alternative.drill().aircraft,
            self.alternative.trace().at(leg.start as usize).state.h_m,
        );
        let gain_m = self.gain_s * three.rate_mps;
        let saves = match &leg.kind {
            drill::Kind::Hold(_) => format!("takes {:.0} ft off the rms error", gain_m / FT),
            drill::Kind::Path(path) => format!(
                "uses {:.0} % less of the band",
                100.0 * gain_m / path.glide.band_m
            ),
            _ => format!("saves {:.0} s", self.gain_s.max(1.0)),
        };
        let (Some(end), drill::Kind::Step(_)) = (leg.end, &leg.kind) else {
            return saves;
        };
        let task = Task {
            kind: leg.kind.clone(),
            scored: true,
        };
        let scene = Scene::new(&self.alternative, &task, leg, end);
        let past = METRICS.iter().find(|metric| metric.key == "overshoot_ft");
        match past.and_then(|metric| (metric.value)(&scene).number()) {
            Some(past_ft) if past_ft >= 1.0 => format!("passes by {past_ft:.0} ft and {saves}"),
            _ => format!("never passes the number and {saves}"),
        }
    }

    /// Where to begin the level-off, from the changed flight.
    fn start(&self, tick: u64) -> String {
        let state = self.state(tick);
        let to_go_ft = self.leg().target.error(state, tick).abs() / FT;
        format!("Start it at {to_go_ft:.0} ft to go.")
    }

    /// Where to take the power off on a path, from the changed flight.
    fn begin(&self, tick: u64) -> String {
        let state = self.state(tick);
        match &self.leg().target {
            Target::Path(glide) => format!(
                "Take it off {:.2} nm out.",
                glide.distance_m(state, tick) / NM
            ),
            _ => String::new(),
        }
    }

    /// Whether less power would have cured it as well.
    fn for_that_rate(&self) -> String {
        let state = self.state(self.from_tick);
        let three = three_degrees(&self.alternative.drill().aircraft, state.h_m);
        let rate_mps = state.vz_mps.abs();
        match rate_mps > FAST * three.rate_mps {
            true => format!(
                " for {:.0} ft/min (at {:.0} it would have been less so)",
                10.0 * (rate_mps / FPM / 10.0).round(),
                10.0 * (three.rate_mps / FPM / 10.0).round()
            ),
            false => String::new(),
        }
    }

    /// When the lever comes back in the changed flight.
    fn given_back(&self) -> String {
        let log = self.alternative.log();
        let before = log.iter().rev().find(|(tick, _)| *tick < self.from_tick);
        match before {
            Some((tick, _)) => format!(
                "after {:.1} s",
                (self.from_tick - tick) as f64 / TICKS_PER_S as f64
            ),
            None => "sooner".to_string(),
        }
    }

    fn lever_percent(&self, tick: u64) -> f64 {
        100.0 * self.alternative.trace().lever_at(tick as usize)
    }
}

/// With a capital letter; all of these begin with a plain one.
fn capital(text: &str) -> String {
    text[..1].to_uppercase() + &text[1..]
}
