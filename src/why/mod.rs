//! What a run means: measured against what `best` and `steady` make of the same drill in the same air, and explained by
//! flying it again with one thing changed.
#![deny(clippy::disallowed_methods, clippy::disallowed_types)]

pub mod findings;
pub mod hand;
pub mod par;

use crate::run::Run;
use crate::score::{Reference, Score, score_against};

pub use findings::{Finding, find};
pub use hand::HandFigures;
pub use par::Pars;

/// A run's score against par, and what would have made it better.
#[derive(Clone, Debug)]
pub struct Weighed {
    /// What `best` and `steady` made of its legs.
    pub references: Vec<Reference>,
    /// The score.
    pub score: Score,
    /// The largest gain first; see [`findings`].
    pub findings: Vec<Finding>,
}

/// Weighs a run that is over. `pars` are those of its drill and seed; None where [`par::is_needed`] says so.
pub fn weigh(run: &Run, pars: Option<&Pars>) -> Weighed {
    let references = pars.map_or_else(Vec::new, |pars| pars.references(run));
    let findings = match pars {
        Some(_) => find(run, &references),
        None => Vec::new(),
    };
    Weighed {
        score: score_against(run, &references),
        references,
        findings,
    }
}
