//! Where the logbook is.

use std::ffi::OsString;
use std::path::PathBuf;

use anyhow::Context;
use etcetera::BaseStrategy;

use crate::logbook::Logbook;

/// The folder asked for, if any. The usual one is looked up only when it is needed.
pub struct Place {
    dir: Option<PathBuf>,
}

impl Place {
    /// From `--data` and, where that is not given, LEVELOFF_DATA.
    pub fn new(option: Option<PathBuf>, variable: Option<OsString>) -> Place {
        let variable = variable.filter(|value| !value.is_empty());
        Place {
            dir: option.or(variable.map(PathBuf::from)),
        }
    }

    /// The logbook: in the folder asked for, or in `leveloff` in the user's data folder.
    pub fn logbook(&self) -> anyhow::Result<Logbook> {
        if let Some(dir) = &self.dir {
            return Ok(Logbook::at(dir.clone()));
        }
        let base = etcetera::choose_base_strategy()
            .context("there is no home folder to keep a logbook in; give one with --data DIR")?;
        Ok(Logbook::at(base.data_dir().join("leveloff")))
    }
}
