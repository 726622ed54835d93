//! Results of `best` and `steady` for drills, stored beside the runs so that they are computed only once: `par/<key>.json`.
//!
//! A file lists everything that it depends on, and is used only if all of that is the same; the key is just a digest of it. Any
//! file may be removed at any time. If anything is wrong with one, it is computed anew.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use serde::{Deserialize, Serialize};

use super::{Logbook, files};
use crate::drill::{Drill, Kind};
use crate::hands::{self, Steady};
use crate::score::leg_cost;
use crate::sim::MODEL_VERSION;
use crate::sim::math::Digest;
use crate::why::Pars;
use crate::why::par::VERSION;

/// Largest file that is read, bytes: two logs with a move at every tick of the longest drill, and the texts.
const LARGEST: u64 = 64 << 20;

/// Everything on which pars depend.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
struct Basis {
    program: String,
    model: u32,
    hands: u32,
    /// Digest of the current result of `steady` for the drill, states and costs: flying it takes a thousandth of finding
    /// `best`, and reveals any change of the model, the hand or the scoring that has no version.
    steady: String,
    seed: u64,
    /// Gusts, m/s: they may differ from those in the drill's text.
    u20_mps: f64,
    drill_text: String,
    aircraft_text: String,
}

/// The contents of a file.
#[derive(Debug, Serialize, Deserialize)]
struct Kept {
    basis: Basis,
    /// Digest of the pars as written.
    digest: String,
    pars: Pars,
}

impl Logbook {
    /// The pars of a drill in its air: read, or computed and stored. `progress` is called with the fraction of the computing
    /// done, 0 to 1.
    ///
    /// Nothing is written where the logbook's folder does not exist yet, and a failure to write is not reported: what is not
    /// stored is computed again.
    pub fn pars(&self, drill: &Arc<Drill>, seed: u64, progress: &mut dyn FnMut(f64)) -> Pars {
        let seed = seed_that_matters(drill, seed);
        let basis = Basis::of(drill, seed);
        let folder = self.dir.join("par");
        // Two bases with the same digest would only overwrite each other's file.
        let file = folder.join(format!("{}.json", digest(&basis)));
        if let Some(pars) = read(&file, &basis) {
            return pars;
        }
        let pars = Pars::of(drill, seed, progress);
        // Fails where the logbook's own folder is missing, as it should.
        let _ = fs::create_dir(&folder);
        if folder.is_dir() {
            let kept = Kept {
                basis,
                digest: digest(&pars),
                pars: pars.clone(),
            };
            let bytes = serde_json::to_vec(&kept).map_err(std::io::Error::from);
            let _ = bytes.and_then(|bytes| files::write_whole(&file, &bytes));
            sweep(&folder);
        }
        pars
    }
}

/// Pars without a place to store them; the same as [`Logbook::pars`] gives.
pub fn pars_unkept(drill: &Arc<Drill>, seed: u64, progress: &mut dyn FnMut(f64)) -> Pars {
    Pars::of(drill, seed_that_matters(drill, seed), progress)
}

/// Whether anything in a drill is drawn from its seed.
pub fn seed_matters(drill: &Drill) -> bool {
    seed_that_matters(drill, 1) == 1
}

/// The seed, or 0 where nothing is drawn from it: all runs of a drill in steady air share their pars.
pub fn seed_that_matters(drill: &Drill, seed: u64) -> u64 {
    let is_drawn = |task: &crate::drill::Task| matches!(task.kind, Kind::Surprise(_));
    let air = &drill.air;
    match air.u20_mps > 0.0 || air.wake.is_some() || drill.tasks.iter().any(is_drawn) {
        true => seed,
        false => 0,
    }
}

impl Basis {
    fn of(drill: &Arc<Drill>, seed: u64) -> Basis {
        let run = hands::fly(drill.clone(), seed, &mut Steady::new(drill));
        let mut steady = Digest::default();
        steady.add_bytes(run.digest().as_bytes());
        for leg in 0..run.legs().len() {
            steady.add(leg_cost(&run, leg).unwrap_or(-1.0));
        }
        Basis {
            program: env!("CARGO_PKG_VERSION").to_string(),
            model: MODEL_VERSION,
            hands: VERSION,
            steady: steady.hex(),
            seed,
            u20_mps: drill.air.u20_mps,
            drill_text: drill.text.clone(),
            aircraft_text: drill.aircraft_text.clone(),
        }
    }
}

fn digest(value: &impl Serialize) -> String {
    let mut digest = Digest::default();
    digest.add_bytes(&serde_json::to_vec(value).unwrap_or_default());
    digest.hex()
}

/// The pars in a file; None where there is none, it is damaged, or anything that it depends on differs.
fn read(file: &Path, basis: &Basis) -> Option<Pars> {
    let kept: Kept = serde_json::from_slice(&files::read(file, LARGEST).ok()?).ok()?;
    (kept.basis == *basis && kept.digest == digest(&kept.pars)).then_some(kept.pars)
}

/// Removes the unfinished files of writers that died.
fn sweep(folder: &Path) {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let is_part = |path: &PathBuf| path.extension().is_some_and(|end| end == files::PART);
    let parts = entries.map(|entry| entry.path()).filter(is_part);
    parts.for_each(|path| files::sweep(&path));
}
