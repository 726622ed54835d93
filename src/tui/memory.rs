//! What is remembered from one start to the next: the drill chosen on the menu, the aids changed by a key, and whether the guided
//! flight was flown. None of it is a setting: whatever is wrong with the file, the program begins as if there were none.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use serde::{Deserialize, Serialize};

use crate::drill::Aids;
use crate::logbook::files;

/// The file in the folder of the logbook.
const FILE: &str = "state.json";
/// Largest file that is read, bytes: a larger one was not written by this program.
const LARGEST: u64 = 1 << 20;

#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Memory {
    /// Id of the drill that was chosen last.
    pub drill: String,
    /// How much the screen helps on drills, by their id, where a key has changed it.
    pub aids: BTreeMap<String, Aids>,
    /// Whether the guided flight was flown or left.
    pub guided: bool,
}

impl Memory {
    /// The memory kept in a folder; an empty one where there is none, or where it cannot be read.
    pub fn read(folder: &Path) -> Memory {
        let bytes = files::read(&folder.join(FILE), LARGEST).unwrap_or_default();
        serde_json::from_slice(&bytes).unwrap_or_default()
    }

    /// Writes it, whole or not at all; a failure is ignored.
    pub fn write(&self, folder: &Path) {
        let Ok(bytes) = serde_json::to_vec(self) else {
            return;
        };
        if fs::create_dir_all(folder).is_ok() {
            let _ = files::write_whole(&folder.join(FILE), &bytes);
        }
    }
}
