//! From one start to the next: where the menu stands, and the aids.

use super::App;
use crate::drill::Drill;
use crate::tui::memory::Memory;

impl App {
    /// Begins where the last start ended.
    pub(super) fn recall(&mut self) {
        self.memory = Memory::read(self.settings.logbook.dir());
        let place = |id: &str| self.shelf.drills.iter().position(|drill| drill.id == id);
        self.chosen = place(&self.memory.drill).unwrap_or(0);
        // What is asked for now counts more than what was.
        if self.settings.aids.is_none() {
            let aids = self.memory.aids.iter();
            self.aids = aids
                .filter_map(|(id, aids)| Some((place(id)?, *aids)))
                .collect();
        }
    }

    /// Keeps that the guided flight was flown or refused.
    pub(super) fn note_guided(&mut self) {
        if !self.memory.guided {
            self.memory.guided = true;
            self.memory.write(self.settings.logbook.dir());
        }
    }

    /// Keeps for the next start where the menu stands, where that is something new.
    pub(super) fn remember(&mut self) {
        let mut memory = self.memory.clone();
        let at = self.practised_from.unwrap_or(self.chosen);
        memory.drill.clone_from(&self.shelf.drills[at].id);
        for (index, aids) in &self.aids {
            let id = |drill: &std::sync::Arc<Drill>| drill.id.clone();
            if let Some(id) = self.shelf.drills.get(*index).map(id) {
                memory.aids.insert(id, *aids);
            }
        }
        if memory != self.memory {
            memory.write(self.settings.logbook.dir());
            self.memory = memory;
        }
    }
}
