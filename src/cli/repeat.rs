//! `simulate --repeat`: a drill flown with many seeds, on all processors.

use std::sync::Arc;

use super::place::Place;
use super::{Exit, bar, output, weigh};
use crate::drill::Drill;
use crate::export::repeat::{self, Repeat, Repetition};
use crate::hands::{self, Hand};
use crate::logbook::cache;
use crate::score::score_against;
use crate::sim::world::Fault;
use crate::why::par;

/// The form in which the results are wanted.
pub enum Form {
    /// A table of how they spread.
    Text,
    /// The same and every run.
    Json,
    /// A row for each run.
    Csv,
}

/// Flies a drill with each of the seeds; `hand` makes the hand for one.
pub fn run(
    drill: &Arc<Drill>,
    name: &str,
    seeds: &[u64],
    form: &Form,
    place: &Place,
    hand: impl Fn(u64) -> Box<dyn Hand> + Sync,
) -> anyhow::Result<Exit> {
    // Where nothing is drawn from the seed, all runs share their pars. Those of many seeds are not kept: nobody flies them again.
    let shared = match seeds.first() {
        Some(first) if !cache::seed_matters(drill) => {
            let run = hands::fly(drill.clone(), *first, &mut *hand(*first));
            weigh::pars(&run, place, &mut |_| {})
        }
        _ => None,
    };
    let flights = bar::each("flying", seeds, |seed| -> anyhow::Result<_> {
        let run = hands::fly(drill.clone(), *seed, &mut *hand(*seed));
        let own = (shared.is_none() && par::is_needed(&run))
            .then(|| cache::pars_unkept(drill, *seed, &mut |_| {}));
        let pars = shared.as_ref().or(own.as_ref());
        let references = pars.map_or_else(Vec::new, |pars| pars.references(&run));
        let flight = Repetition::of(&run, &score_against(&run, &references));
        Ok((flight, run.fault() == Some(Fault::Model)))
    });
    let flights = flights.into_iter().collect::<anyhow::Result<Vec<_>>>()?;
    let is_broken = flights.iter().any(|(_, is_broken)| *is_broken);
    let flights: Vec<Repetition> = flights.into_iter().map(|(flight, _)| flight).collect();
    let all = Repeat::of(&drill.id, name, &flights);
    match form {
        Form::Text => output::text(&all.text())?,
        Form::Json => output::json(&all)?,
        Form::Csv => output::text(&repeat::csv(&flights))?,
    }
    match is_broken {
        true => Ok(Exit::Failed),
        false => Ok(Exit::Done),
    }
}
