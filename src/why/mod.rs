//! Evaluates a run: measures it against the hands `best` and `steady` in the same drill and air, and explains it by flying it
//! again from where it went wrong.
#![deny(clippy::disallowed_methods, clippy::disallowed_types)]

pub mod bill;
pub mod explain;
pub mod words;

use crate::run::Run;
use crate::score::{Reference, Score, score_against};

use explain::Brief;
use explain::evidence::Likely;

pub use crate::hands::par::{self, Pars};
pub use bill::{Bill, Line, LineKind};
pub use explain::Case;

/// Share of the weighing work that goes into par and best; the bill takes the rest.
pub const PARS_SHARE: f64 = 0.7;

/// A run's score against par, and where its points were lost.
#[derive(Clone, Debug)]
pub struct Weighed {
    pub score: Score,
    /// The bills of all finished legs that count, in order, and that of the leg in which a fault ended the run.
    pub bills: Vec<Bill>,
    /// The result in one sentence; empty where nothing counts.
    pub first: String,
    /// The leg in which a fault ended the run.
    pub ended_in: Option<usize>,
}

/// Weighs a finished run. `pars` belong to its drill and seed; None where [`par::is_needed`] says that none are needed.
pub fn weigh(run: &Run, pars: Option<&Pars>) -> Weighed {
    weigh_with(run, pars, &Brief::new(), &mut |_| {})
}

/// The same; `brief` is that of the drill, planned here where it is needed and not known, and `progress` is called with the
/// fraction done, 0 to 1.
pub fn weigh_with(
    run: &Run,
    pars: Option<&Pars>,
    brief: &Brief,
    progress: &mut dyn FnMut(f64),
) -> Weighed {
    let (score, references) = measured(run, pars);
    let legs = run.legs().len() as f64;
    let cases = run.each_leg_start().enumerate().filter_map(|(leg, begun)| {
        progress(leg as f64 / legs);
        let reference = references.get(leg).copied().unwrap_or_default();
        Case::of(run, leg, begun, reference, brief)
    });
    let cases = Vec::from_iter(cases);
    let looks: Vec<Option<Likely>> = cases.iter().map(Case::looks).collect();
    let bills = cases.iter().enumerate().map(|(own, case)| {
        let others = looks.iter().enumerate().filter(|(n, _)| *n != own);
        Bill::of(
            case,
            &Vec::from_iter(others.filter_map(|(_, likely)| likely.clone())),
        )
    });
    let bills = Vec::from_iter(bills);
    Weighed {
        first: words::first(run, &score, &bills),
        ended_in: bill::ended_in(run),
        score,
        bills,
    }
}

/// The score alone: the bills take most of the time.
pub fn score(run: &Run, pars: Option<&Pars>) -> Score {
    measured(run, pars).0
}

fn measured(run: &Run, pars: Option<&Pars>) -> (Score, Vec<Reference>) {
    let references = pars.map_or_else(Vec::new, |pars| pars.references(run));
    (score_against(run, &references), references)
}

impl Weighed {
    /// The lines of all bills without the rests: the one to begin with, then the dearest first.
    pub fn told(&self) -> Vec<&Line> {
        bill::told(&self.bills, self.ended_in)
    }

    /// The same with only the bills of the legs for which `holds` is true.
    pub fn billed(mut self, run: &Run, holds: impl Fn(usize) -> bool) -> Weighed {
        self.bills.retain(|bill| holds(bill.leg));
        self.first = words::first(run, &self.score, &self.bills);
        self
    }

    pub fn bill(&self, leg: usize) -> Option<&Bill> {
        self.bills.iter().find(|bill| bill.leg == leg)
    }
}
