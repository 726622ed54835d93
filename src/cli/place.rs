//! Where the logbook is, and the other preferences.

use std::path::PathBuf;

use anyhow::Context;
use etcetera::BaseStrategy;

use super::find;
use super::preferences::Preferences;
use crate::drill::lesson::{self, Lesson};
use crate::logbook::Logbook;

/// The folder asked for, if any, and the preferences. The usual folder is looked up only when it is needed.
pub struct Place {
    dir: Option<PathBuf>,
    lesson: Option<PathBuf>,
    /// What is set in the environment and in the file of preferences.
    pub preferences: Preferences,
}

impl Place {
    /// Takes the folder of `--data` and the file of `--lesson`, or else those of the preferences.
    pub fn load(dir: Option<PathBuf>, lesson: Option<PathBuf>) -> anyhow::Result<Place> {
        let preferences = Preferences::load(|name| std::env::var_os(name))?;
        Ok(Place {
            dir: dir.or_else(|| preferences.path("data")),
            lesson: lesson.or_else(|| preferences.path("lesson")),
            preferences,
        })
    }

    /// The lesson that is followed: the ladder where no other is asked for.
    pub fn lesson(&self) -> anyhow::Result<Lesson> {
        let asked = self.lesson.as_deref();
        asked.map_or_else(|| Ok(lesson::ladder()), find::lesson)
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
