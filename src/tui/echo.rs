//! Another run of the same drill, laid beside one's own task by task.
//!
//! Tasks end when they are done, so two runs drift apart in time. Each task of the echo is therefore drawn from where one's own
//! begins, and from there time runs alike. A path lies in space: on it the echo is drawn as it was at the same distance to the
//! aim point.

use super::job::{Awaited, Job, Wanted};
use super::widgets::measure::Measure;
use super::widgets::posts::{distance_at_m, first_inside};
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
    /// One's own run, flown better from a line of its bill on; in a debrief only.
    Better,
    /// The run of `steady` on the drill in the same air.
    Par,
    /// The run that follows the brief.
    Brief,
    /// The run of `best`.
    Best,
    /// A run flown before.
    Earlier,
}

impl EchoChoice {
    /// The choice after this one in flight; `earlier` where there is a run flown before.
    pub fn next(self, earlier: bool) -> EchoChoice {
        use EchoChoice::{Best, Brief, Earlier, Off, Par};
        match after(&[Off, Par, Brief, Best, Earlier], self) {
            Earlier if !earlier => Off,
            next => next,
        }
    }

    /// The same in a debrief.
    pub fn next_afterwards(self) -> EchoChoice {
        use EchoChoice::{Best, Better, Earlier, Off, Par};
        after(&[Better, Par, Best, Earlier, Off], self)
    }

    pub fn word(self) -> &'static str {
        match self {
            EchoChoice::Off => "off",
            EchoChoice::Better => "better",
            EchoChoice::Par => "par",
            EchoChoice::Brief => "brief",
            EchoChoice::Best => "best",
            EchoChoice::Earlier => "earlier",
        }
    }
}

/// The item after `one` in a cyclic order; the first where `one` is not in it.
pub fn after<T: Copy + PartialEq>(order: &[T], one: T) -> T {
    let at = order.iter().position(|other| *other == one);
    order[at.map_or(0, |at| (at + 1) % order.len())]
}

/// The run beside one's own.
#[derive(Clone, Copy)]
pub struct Echo<'a> {
    /// What it is called: par, best, earlier.
    pub name: &'a str,
    run: &'a Run,
}

impl<'a> Echo<'a> {
    /// A whole run that is over, under a name.
    pub fn of(name: &'a str, run: &'a Run) -> Echo<'a> {
        Echo { name, run }
    }

    /// Whether the echo had the task that one's own run has now.
    pub fn is_asked_alike(&self, own: &Run) -> bool {
        let index = own.legs().len() - 1;
        self.leg(index, own.leg().task, &own.leg().kind).is_some()
    }

    /// The echo's value to be drawn at a tick of one's own run, past or to come, in the scope's measure. None where the echo had
    /// another task there, or had already finished it.
    pub fn value(&self, measure: Measure, own: &Run, tick: u64) -> Option<f64> {
        let beside = self.beside(own, tick)?;
        let state = self.run.trace().states().get(beside as usize)?;
        Some(measure.value(&own.leg().target, state, beside))
    }

    /// The echo's tick to be drawn at a tick of one's own run.
    fn beside(&self, own: &Run, tick: u64) -> Option<u64> {
        if let Some((kind, begins_s)) = announced(own) {
            let begins = (begins_s * TICKS_PER_S as f64).round() as u64;
            if tick >= begins {
                // A task that is announced is drawn ahead like the one under way; but where a path will begin is not known yet.
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

    /// The echo's leg of an index, where it had the same task.
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

    /// The first tick of a path at or inside a distance.
    fn at_distance(&self, leg: &Leg, glide: &Glide, distance_m: f64) -> Option<u64> {
        let there = |tick| distance_at_m(self.run, glide, tick);
        let (start, end) = (leg.start, self.end(leg));
        if there(start) <= distance_m {
            return (there(start) == distance_m).then_some(start);
        }
        let is_reached = there(end) <= distance_m;
        is_reached.then(|| first_inside(self.run, glide, start..end, distance_m))
    }
}

/// One's own distance to the aim point at a tick, m; at a tick to come, by the present closure.
fn distance_m(own: &Run, glide: &Glide, tick: u64) -> f64 {
    let now = own.tick();
    if tick <= now {
        return distance_at_m(own, glide, tick);
    }
    let state = own.world().state();
    let ahead_s = (tick - now) as f64 * TICK_S;
    glide.distance_m(state, now) - ahead_s * glide.closure_mps(state)
}

/// A run requested to be drawn beside one's own.
pub struct Beside {
    name: &'static str,
    state: Awaited<Run>,
}

impl Beside {
    /// Requests a run; `wanted` is the one that the choice means, None where there is none.
    pub fn ask(choice: EchoChoice, wanted: Option<Wanted>) -> Beside {
        let state = match wanted {
            Some(wanted) => Awaited::Coming(Job::begin(wanted)),
            None => Awaited::Not("there is no earlier run".to_string()),
        };
        let name = choice.word();
        Beside { name, state }
    }

    /// A run that is at hand already, under a name.
    pub fn here(name: &'static str, run: Run) -> Beside {
        let state = Awaited::Here(Box::new(run));
        Beside { name, state }
    }

    /// Takes in the run if it has arrived.
    pub fn advance(&mut self) {
        self.state.look();
    }

    /// Whether it is still being worked out.
    pub fn is_coming(&self) -> bool {
        matches!(self.state, Awaited::Coming(_))
    }

    /// The echo to draw; None while there is none.
    pub fn echo(&self) -> Option<Echo<'_>> {
        match &self.state {
            Awaited::Here(run) => Some(Echo::of(self.name, run)),
            _ => None,
        }
    }

    /// The words to show while nothing can be drawn.
    pub fn told(&self) -> Option<String> {
        match &self.state {
            Awaited::Coming(job) => Some(worked_out(self.name, job.share())),
            Awaited::Here(_) => None,
            Awaited::Not(why) => Some(format!("no echo: {why}")),
        }
    }
}

/// Says that a run is still being worked out, and how far it is where that is known.
pub fn worked_out(name: &str, share: f64) -> String {
    match share > 0.0 {
        true => format!("{name} is being worked out, {:.0} %", 100.0 * share),
        false => format!("{name} is being worked out"),
    }
}
