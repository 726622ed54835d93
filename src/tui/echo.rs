//! Another run of the same drill, laid beside one's own task by task.
//!
//! Tasks end when they are done, so two runs drift apart in time. Where one's own task begins the echo's begins with it, and
//! from there time runs alike. A path lies in space: there the echo is what it was at the same distance to the aim point.

use super::widgets::measure::Measure;
use super::widgets::window::announced;
use crate::drill::{Glide, Kind, Target};
use crate::run::{Leg, Run};
use crate::units::{TICK_S, TICKS_PER_S};

/// Which run is drawn beside one's own.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum EchoChoice {
    /// None.
    #[default]
    Off,
    /// What `steady` makes of the drill in the same air.
    Par,
    /// What comes of flying the brief.
    Brief,
    /// What `best` makes of it.
    Best,
    /// A run flown before.
    Earlier,
}

impl EchoChoice {
    /// The choice after this one; `earlier` where there is a run flown before.
    pub fn next(self, earlier: bool) -> EchoChoice {
        match self {
            EchoChoice::Off => EchoChoice::Par,
            EchoChoice::Par => EchoChoice::Brief,
            EchoChoice::Brief => EchoChoice::Best,
            EchoChoice::Best if earlier => EchoChoice::Earlier,
            EchoChoice::Best | EchoChoice::Earlier => EchoChoice::Off,
        }
    }

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            EchoChoice::Off => "off",
            EchoChoice::Par => "par",
            EchoChoice::Brief => "brief",
            EchoChoice::Best => "best",
            EchoChoice::Earlier => "earlier",
        }
    }
}

/// The run beside one's own.
#[derive(Clone, Copy)]
pub struct Echo<'a> {
    /// What it is called: par, best, earlier.
    pub name: &'a str,
    run: &'a Run,
}

impl<'a> Echo<'a> {
    /// A whole run that is over, by its name.
    pub fn of(name: &'a str, run: &'a Run) -> Echo<'a> {
        Echo { name, run }
    }

    /// Whether the echo was asked for what one's own run is asked for now.
    pub fn is_asked_alike(&self, own: &Run) -> bool {
        let index = own.legs().len() - 1;
        self.leg(index, own.leg().task, &own.leg().kind).is_some()
    }

    /// Where the echo was beside a tick of one's own run, past or to come, in the scope's measure. None where it was asked
    /// for something else there, or had already done what was asked.
    pub fn value(&self, measure: Measure, own: &Run, tick: u64) -> Option<f64> {
        let beside = self.beside(own, tick)?;
        let point = self.run.trace().points().get(beside as usize)?;
        Some(measure.value(&own.leg().target, &point.state, beside))
    }

    /// The echo's tick beside a tick of one's own run.
    fn beside(&self, own: &Run, tick: u64) -> Option<u64> {
        if let Some((kind, begins_s)) = announced(own) {
            let begins = (begins_s * TICKS_PER_S as f64).round() as u64;
            if tick >= begins {
                // What is announced is laid out ahead like what is under way; where a path will begin is not known yet.
                let leg = self.leg(own.legs().len(), own.leg().task + 1, kind)?;
                let is_path = matches!(leg.target, Target::Path(_));
                return (!is_path).then(|| self.within(leg, tick - begins))?;
            }
        }
        let index = own.legs().iter().rposition(|leg| leg.start <= tick)?;
        let mine = &own.legs()[index];
        let leg = self.leg(index, mine.task, &mine.kind)?;
        match &mine.target {
            Target::Path(glide) => self.at_distance(leg, glide, distance_m(own, glide, tick)),
            _ => self.within(leg, tick - mine.start),
        }
    }

    /// The echo's leg of a number where it was asked for the same.
    fn leg(&self, index: usize, task: usize, kind: &Kind) -> Option<&Leg> {
        let leg = self.run.legs().get(index)?;
        (leg.task == task && leg.kind == *kind).then_some(leg)
    }

    fn end(&self, leg: &Leg) -> u64 {
        leg.end.unwrap_or(self.run.tick())
    }

    fn within(&self, leg: &Leg, ticks: u64) -> Option<u64> {
        let tick = leg.start + ticks;
        (tick <= self.end(leg)).then_some(tick)
    }

    /// The first tick of a path at or inside a distance, which shrinks all the way down.
    fn at_distance(&self, leg: &Leg, glide: &Glide, distance_m: f64) -> Option<u64> {
        let there = |tick: u64| {
            let point = self.run.trace().at(tick as usize);
            glide.distance_m(&point.state, tick)
        };
        let (mut before, mut at) = (leg.start, self.end(leg));
        if there(before) <= distance_m {
            return (there(before) == distance_m).then_some(before);
        }
        if there(at) > distance_m {
            return None;
        }
        while at - before > 1 {
            let middle = before + (at - before) / 2;
            match there(middle) <= distance_m {
                true => at = middle,
                false => before = middle,
            }
        }
        Some(at)
    }
}

/// One's own distance to the aim point at a tick, m; what is to come at the closure of now.
fn distance_m(own: &Run, glide: &Glide, tick: u64) -> f64 {
    let now = own.tick();
    if tick <= now {
        return glide.distance_m(&own.trace().at(tick as usize).state, tick);
    }
    let state = own.world().state();
    let ahead_s = (tick - now) as f64 * TICK_S;
    glide.distance_m(state, now) - ahead_s * glide.closure_mps(state)
}
