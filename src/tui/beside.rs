//! The echo of a flight: on its way, there, or not to be had.

use super::echo::{Choice, Echo};
use super::job::{Job, Wanted};
use super::widgets::echo_trace::EchoTrace;
use crate::run::Run;

enum Awaited {
    Coming(Job),
    Here(Box<Echo>),
    Not(String),
}

/// A run asked for to be drawn beside one's own.
pub struct Beside {
    name: &'static str,
    state: Awaited,
}

impl Beside {
    /// Asks for it; `wanted` is the run that the choice means, None where there is none.
    pub fn ask(choice: Choice, wanted: Option<Wanted>) -> Beside {
        let state = match wanted {
            Some(wanted) => Awaited::Coming(Job::begin(wanted)),
            None => Awaited::Not("there is no earlier run".to_string()),
        };
        let name = choice.word();
        Beside { name, state }
    }

    /// A run that is there already, by what it is called.
    pub fn here(name: &'static str, run: Run) -> Beside {
        let state = Awaited::Here(Box::new(Echo::of(run)));
        Beside { name, state }
    }

    /// Takes in what has come of it.
    pub fn advance(&mut self) {
        let Awaited::Coming(job) = &mut self.state else {
            return;
        };
        match job.take() {
            Some(Ok(run)) => self.state = Awaited::Here(Box::new(Echo::of(run))),
            Some(Err(why)) => self.state = Awaited::Not(why),
            None => {}
        }
    }

    /// Whether it is still on its way.
    pub fn is_coming(&self) -> bool {
        matches!(self.state, Awaited::Coming(_))
    }

    /// What there is to draw.
    pub fn trace(&self) -> Option<EchoTrace<'_>> {
        match &self.state {
            Awaited::Here(echo) => Some(EchoTrace {
                echo,
                name: self.name,
            }),
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
