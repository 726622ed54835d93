//! What a run is worth, its pars taken from the logbook's folder or computed there and then.

use super::bar::Bar;
use super::place::Place;
use crate::logbook::cache;
use crate::run::Run;
use crate::why::{self, PARS_SHARE, Pars, Weighed, par};

/// A run weighed, and the pars that took.
pub fn weigh(run: &Run, place: &Place) -> (Weighed, Option<Pars>) {
    let mut bar = Bar::new("weighing the run");
    let pars = pars(run, place, &mut |done| bar.show(PARS_SHARE * done));
    let bills = &mut |done: f64| bar.show(PARS_SHARE + (1.0 - PARS_SHARE) * done);
    (why::weigh_with(run, pars.as_ref(), bills), pars)
}

/// One of many runs, told of by whoever weighs them.
pub fn quietly(run: &Run, place: &Place) -> Weighed {
    why::weigh(run, pars(run, place, &mut |_| {}).as_ref())
}

/// What a run is measured against, where it needs any.
pub fn pars(run: &Run, place: &Place, progress: &mut dyn FnMut(f64)) -> Option<Pars> {
    par::is_needed(run).then(|| match place.logbook() {
        Ok(logbook) => logbook.pars(run.drill(), run.seed(), progress),
        Err(_) => cache::pars_unkept(run.drill(), run.seed(), progress),
    })
}
