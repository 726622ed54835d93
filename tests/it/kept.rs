//! What takes a search and several tests ask for, the same for all: worked out once, by whoever asks first.

use std::collections::BTreeMap;
use std::fmt::Debug;
use std::sync::{Arc, Mutex, OnceLock};

use leveloff::brief::{DrillBrief, PowerCard};
use leveloff::drill::Drill;
use leveloff::hands::{self, Script};
use leveloff::sim::aircraft::Aircraft;
use leveloff::why::{Pars, Weighed, weigh};

/// Values by what they are made of. Only who wants the same one waits for it.
struct Kept<T: 'static>(Mutex<BTreeMap<String, &'static OnceLock<T>>>);

impl<T> Kept<T> {
    const fn new() -> Self {
        Self(Mutex::new(BTreeMap::new()))
    }

    fn of(&self, from: &dyn Debug, make: impl FnOnce() -> T) -> &'static T {
        let place: &'static OnceLock<T> = {
            let mut kept = self.0.lock().unwrap();
            let place = kept.entry(format!("{from:?}"));
            // As long as the tests run.
            place.or_insert_with(|| Box::leak(Box::default()))
        };
        place.get_or_init(make)
    }
}

/// The brief of a drill.
pub fn briefed(drill: &Arc<Drill>) -> &'static DrillBrief {
    static KEPT: Kept<DrillBrief> = Kept::new();
    KEPT.of(drill, || DrillBrief::new(drill))
}

/// The power card of an aeroplane at an altitude.
pub fn card(aircraft: &Aircraft, altitude_m: f64) -> Option<&'static PowerCard> {
    static KEPT: Kept<Option<PowerCard>> = Kept::new();
    let made = || PowerCard::new(aircraft, altitude_m);
    KEPT.of(&(aircraft, altitude_m), made).as_ref()
}

/// Par and best of a drill with a seed.
pub fn pars(drill: &Arc<Drill>, seed: u64) -> &'static Pars {
    static KEPT: Kept<Pars> = Kept::new();
    KEPT.of(&(drill, seed), || Pars::of(drill, seed, &mut |_| {}))
}

/// A drill flown by a lever script, weighed against par.
pub fn weighed(drill: &Arc<Drill>, seed: u64, log: &[(u64, u16)]) -> &'static Weighed {
    static KEPT: Kept<Weighed> = Kept::new();
    KEPT.of(&(drill, seed, log), || {
        let run = hands::fly(drill.clone(), seed, &mut Script::new(log.to_vec()));
        weigh(&run, Some(pars(drill, seed)))
    })
}
