//! What a run is worth, with pars taken from the logbook's folder or computed on the spot.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use super::bar::Bar;
use super::place::Place;
use crate::logbook::cache;
use crate::run::Run;
use crate::score::Score;
use crate::why::explain::Brief;
use crate::why::{self, PARS_SHARE, Pars, Weighed, par};

/// Weighs a run. Also returns the pars that were used.
pub fn weigh(run: &Run, place: &Place) -> (Weighed, Option<Pars>) {
    let mut bar = Bar::new("weighing the run");
    let pars = pars(run, place, &mut |done| bar.show(PARS_SHARE * done));
    let bills = &mut |done: f64| bar.show(PARS_SHARE + (1.0 - PARS_SHARE) * done);
    (
        why::weigh_with(run, pars.as_ref(), &Brief::new(), bills),
        pars,
    )
}

/// The pars that a run is measured against, where it needs any.
pub fn pars(run: &Run, place: &Place, progress: &mut dyn FnMut(f64)) -> Option<Pars> {
    par::is_needed(run).then(|| pars_of_drill(run, place, progress))
}

fn pars_of_drill(run: &Run, place: &Place, progress: &mut dyn FnMut(f64)) -> Pars {
    match place.logbook() {
        Ok(logbook) => logbook.pars(run.drill(), run.seed(), progress),
        Err(_) => cache::pars_unkept(run.drill(), run.seed(), progress),
    }
}

/// Many runs, weighed on several threads; the caller shows the progress. Runs of one drill in the same air share their pars,
/// whether or not there is a folder to keep them in.
pub struct Many<'a> {
    place: &'a Place,
    known: Mutex<BTreeMap<Air, Arc<OnceLock<Pars>>>>,
}

/// What pars belong to: texts of drill and aeroplane, gusts (bits of m/s), seed.
type Air = (String, String, u64, u64);

impl Many<'_> {
    /// Begins with no pars known.
    pub fn at(place: &Place) -> Many<'_> {
        let known = Mutex::default();
        Many { place, known }
    }

    /// Weighs one of them.
    pub fn weigh(&self, run: &Run) -> Weighed {
        self.with_pars(run, |pars| why::weigh(run, pars))
    }

    /// Scores one of them without its bills, which take most of the time.
    pub fn score(&self, run: &Run) -> Score {
        self.with_pars(run, |pars| why::score(run, pars))
    }

    /// Waits for pars that another thread is working out already.
    fn with_pars<T>(&self, run: &Run, of: impl FnOnce(Option<&Pars>) -> T) -> T {
        if !par::is_needed(run) {
            return of(None);
        }
        let drill = run.drill();
        let air = (
            drill.text.clone(),
            drill.aircraft_text.clone(),
            drill.air.u20_mps.to_bits(),
            cache::seed_that_matters(drill, run.seed()),
        );
        let known = {
            let mut known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
            known.entry(air).or_default().clone()
        };
        of(Some(known.get_or_init(|| {
            pars_of_drill(run, self.place, &mut |_| {})
        })))
    }
}
