//! Results of searches that several tests need: computed once, by the test that asks first, and shared.

use std::collections::BTreeMap;
use std::ffi::OsString;
use std::fmt::Debug;
use std::fs;
use std::path::Path;
use std::sync::{Arc, LazyLock, Mutex, OnceLock};

use leveloff::brief::{DrillBrief, PowerCard};
use leveloff::drill::Drill;
use leveloff::hands::{self, Brief, Script};
use leveloff::logbook::Logbook;
use leveloff::logbook::cache::seed_that_matters;
use leveloff::plan::Recipe;
use leveloff::run::Run;
use leveloff::sim::aircraft::Aircraft;
use leveloff::tui::prepared::Sheet;
use leveloff::why::explain::Brief as Planned;
use leveloff::why::{self, Pars, Weighed};

use crate::flying::shipped;
use crate::folder::Folder;

/// Values by their inputs. A test waits only for the value that it needs itself.
struct Kept<T: 'static>(Mutex<BTreeMap<String, &'static OnceLock<T>>>);

impl<T> Kept<T> {
    const fn new() -> Self {
        Self(Mutex::new(BTreeMap::new()))
    }

    fn of(&self, from: &dyn Debug, make: impl FnOnce() -> T) -> &'static T {
        let place: &'static OnceLock<T> = {
            let mut kept = self.0.lock().unwrap();
            let place = kept.entry(format!("{from:?}"));
            // Kept for as long as the tests run.
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

/// The facts that the screens show of a drill before it is flown.
pub fn sheet(drill: &Arc<Drill>) -> Sheet {
    Sheet {
        brief: briefed(drill).clone(),
        card: card(&drill.aircraft, PowerCard::altitude_m(drill)).cloned(),
    }
}

/// The hand that flies the brief of a drill.
pub fn by_brief(drill: &Arc<Drill>) -> Brief {
    let tasks = briefed(drill).tasks.iter();
    Brief::of(drill, tasks.map(|task| task.recipe.clone()).collect())
}

/// Par and best of a drill with a seed; shared by all seeds where nothing depends on the seed.
pub fn pars(drill: &Arc<Drill>, seed: u64) -> &'static Pars {
    static KEPT: Kept<Pars> = Kept::new();
    let seed = seed_that_matters(drill, seed);
    KEPT.of(&(drill, seed), || Pars::of(drill, seed, &mut |_| {}))
}

/// Puts the pars of the most used drills into a logbook's folder, as the program would after one run of each.
pub fn lay_pars(data: &Path) {
    static KEPT: LazyLock<Vec<(OsString, Vec<u8>)>> = LazyLock::new(|| {
        let folder = Folder::new();
        let logbook = Logbook::at(folder.path().to_path_buf());
        for id in ["catch-the-sink", "quarry-stair"] {
            let drill = shipped(id);
            logbook.pars(&drill, 0, &mut |_| {});
        }
        let files = fs::read_dir(folder.join("par")).unwrap();
        let files = files.map(|file| file.unwrap());
        let named = files.map(|file| (file.file_name(), fs::read(file.path()).unwrap()));
        named.collect()
    });
    let folder = data.join("par");
    fs::create_dir_all(&folder).unwrap();
    for (name, content) in &*KEPT {
        fs::write(folder.join(name), content).unwrap();
    }
}

/// A run weighed by itself, with its drill's brief planned only once.
pub fn weigh(run: &Run, pars: Option<&Pars>) -> Weighed {
    static KEPT: Kept<OnceLock<Vec<Option<Recipe>>>> = Kept::new();
    let kept = KEPT.of(run.drill(), OnceLock::new);
    let brief = kept.get().cloned().map_or_else(Planned::new, Planned::from);
    let weighed = why::weigh_with(run, pars, &brief, &mut |_| {});
    let _ = brief.into_inner().map(|planned| kept.set(planned));
    weighed
}

/// A drill flown by a lever script, weighed against par.
pub fn weighed(drill: &Arc<Drill>, seed: u64, log: &[(u64, u16)]) -> &'static Weighed {
    static KEPT: Kept<Weighed> = Kept::new();
    KEPT.of(&(drill, seed, log), || {
        let run = hands::fly(drill.clone(), seed, &mut Script::new(log.to_vec()));
        weigh(&run, Some(pars(drill, seed)))
    })
}
