//! The menu: choosing a drill, finding one by its name, and what is remembered of it from one start to the next.

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

use super::{App, Screen};
use crate::drill::Skill;
use crate::tui::memory::Memory;
use crate::tui::screens::menu::Menu;

/// Most letters that are taken for a search: as many as a name may have.
const LONGEST: usize = 80;

impl App {
    pub(super) fn menu(&self) -> Menu<'_> {
        Menu {
            shelf: &self.shelf,
            listed: self.listed(),
            chosen: self.chosen,
            aids: self.chosen_aids(),
            find: self.find.as_deref(),
            sentence: self.sentence(),
            next: self.next.as_ref(),
        }
    }

    /// The menu's first line for a person who is new: what to do first.
    fn sentence(&self) -> Option<String> {
        let offer = match self.memory.guided {
            false => "new here? f: your first flight, guided, in one minute",
            true => "new here? enter shows the first drill and how to fly it; enter again flies it",
        };
        self.shelf.is_new().then(|| offer.to_string())
    }

    fn listed(&self) -> Vec<(Skill, usize)> {
        self.shelf.listed(self.find.as_deref().unwrap_or_default())
    }

    /// Whether the chosen drill is in the list as it stands.
    fn is_listed(&self) -> bool {
        let listed = self.listed();
        listed.iter().any(|(_, index)| *index == self.chosen)
    }

    /// Moves the choice up or down in that list.
    pub(super) fn choose_by(&mut self, by: i16) {
        let listed = self.listed();
        let at = listed.iter().position(|(_, index)| *index == self.chosen);
        let Some(last) = listed.len().checked_sub(1) else {
            return;
        };
        let next = at.unwrap_or(0).saturating_add_signed(by.into()).min(last);
        self.chosen = listed[next].1;
    }

    /// Opens the chosen drill's brief, where the list has it.
    pub(super) fn open_chosen(&mut self) {
        if self.is_listed() {
            self.brief();
        }
    }

    /// Opens the brief of what is to be flown next, with the aids chosen for it.
    pub(super) fn open_next(&mut self) {
        let Some(next) = &self.next else {
            return;
        };
        if let Some(index) = self.shelf.place(&next.drill) {
            self.chosen = index;
            self.aids.insert(index, next.aids);
            self.brief();
        }
    }

    /// Handles a key while a name is searched for: letters make it longer. Returns whether the key was part of the search.
    pub(super) fn typed(&mut self, key: &KeyEvent) -> bool {
        let (Screen::Menu, Some(letters)) = (&self.screen, &mut self.find) else {
            return false;
        };
        if key.modifiers.contains(KeyModifiers::CONTROL) {
            return false;
        }
        match key.code {
            KeyCode::Char(letter) if letters.chars().count() < LONGEST => letters.push(letter),
            KeyCode::Char(_) => {}
            KeyCode::Backspace => drop(letters.pop()),
            KeyCode::Esc => {
                self.find = None;
                return true;
            }
            _ => return false,
        }
        // Choose the first drill that matches, unless the chosen one does.
        if let (false, Some((_, first))) = (self.is_listed(), self.listed().first()) {
            self.chosen = *first;
        }
        true
    }

    /// Restores the choices as they were when the program last ended.
    pub(super) fn recall(&mut self) {
        self.memory = Memory::read(self.settings.logbook.dir());
        let shelf = &self.shelf;
        self.chosen = shelf.place(&self.memory.drill).unwrap_or(0);
        // Aids that are set for this start take precedence over remembered ones.
        if self.settings.aids.is_none() {
            let aids = self.memory.aids.iter();
            let aids = aids.filter_map(|(id, aids)| Some((shelf.place(id)?, *aids)));
            self.aids = aids.collect();
        }
    }

    /// Remembers that the guided flight was flown or left.
    pub(super) fn note_guided(&mut self) {
        if !self.memory.guided {
            self.memory.guided = true;
            self.memory.write(self.settings.logbook.dir());
        }
    }

    /// Keeps the choices on the menu for the next start, if they have changed.
    pub(super) fn remember(&mut self) {
        let mut memory = self.memory.clone();
        memory.drill.clone_from(&self.shelf.drills[self.home()].id);
        for (index, aids) in &self.aids {
            if let Some(drill) = self.shelf.drills.get(*index) {
                memory.aids.insert(drill.id.clone(), *aids);
            }
        }
        if memory != self.memory {
            memory.write(self.settings.logbook.dir());
            self.memory = memory;
        }
    }
}
