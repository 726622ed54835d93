//! The echo of a flight: on its way, there, or not to be had.

use super::echo::{Echo, EchoChoice};
use super::job::{Awaited, Job, Wanted};
use crate::run::Run;

/// A run asked for to be drawn beside one's own.
pub struct Beside {
    name: &'static str,
    state: Awaited<Run>,
}

impl Beside {
    /// Asks for it; `wanted` is the run that the choice means, None where there is none.
    pub fn ask(choice: EchoChoice, wanted: Option<Wanted>) -> Beside {
        let state = match wanted {
            Some(wanted) => Awaited::Coming(Job::begin(wanted)),
            None => Awaited::Not("there is no earlier run".to_string()),
        };
        let name = choice.word();
        Beside { name, state }
    }

    /// A run that is there already, by what it is called.
    pub fn here(name: &'static str, run: Run) -> Beside {
        let state = Awaited::Here(Box::new(run));
        Beside { name, state }
    }

    /// Takes in what has come of it.
    pub fn advance(&mut self) {
        self.state.look();
    }

    /// Whether it is still on its way.
    pub fn is_coming(&self) -> bool {
        matches!(self.state, Awaited::Coming(_))
    }

    /// What there is to draw.
    pub fn echo(&self) -> Option<Echo<'_>> {
        match &self.state {
            Awaited::Here(run) => Some(Echo::of(self.name, run)),
            _ => None,
        }
    }

    /// What there is to say while nothing can be drawn.
    pub fn told(&self) -> Option<String> {
        match &self.state {
            Awaited::Coming(job) => Some(worked_out(self.name, job.share())),
            Awaited::Here(_) => None,
            Awaited::Not(why) => Some(format!("no echo: {why}")),
        }
    }
}

/// That a run is still being flown, and how far where that is known.
pub fn worked_out(name: &str, share: f64) -> String {
    match share > 0.0 {
        true => format!("{name} is being worked out, {:.0} %", 100.0 * share),
        false => format!("{name} is being worked out"),
    }
}
