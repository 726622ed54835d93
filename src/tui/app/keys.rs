//! What a key does, screen by screen.

use std::time::Duration;

use crossterm::event::{KeyEvent, KeyEventKind};

use super::{App, Screen, Wish, next_help};
use crate::drill::Aids;
use crate::tui::action::{Action, Place, action};
use crate::tui::screens::aeroplane::Aeroplane;

impl App {
    /// A key.
    pub fn key(&mut self, key: &KeyEvent, now: Duration) -> Wish {
        let released = key.kind == KeyEventKind::Release;
        if !released && self.typed(key) {
            return Wish::Stay;
        }
        let found = self.action(key);
        if released && !matches!(found, Some(Action::Nudge(_))) {
            // It may be the held one, come up as another since shift was let go before it: `+` as `=`.
            self.focus_lost(now);
        }
        let Some(action) = found else {
            return self.close_help(released);
        };
        match action {
            Action::Quit if !released => {
                self.end();
                return Wish::Exit(130);
            }
            Action::Suspend if !released => return Wish::Suspend,
            Action::Panic => panic!("asked to break down"),
            Action::Help if !released => {
                self.help = next_help(self.help);
                self.pause(now);
                return Wish::Stay;
            }
            _ if self.help.is_some() => return self.close_help(released),
            _ if !self.has_room() => return Wish::Stay,
            _ => {}
        }
        if !released && self.place() == Place::Guide && self.step_guided(action, now) {
            return Wish::Stay;
        }
        if !released && self.asks_first(action, now) {
            return Wish::Stay;
        }
        let place = self.place();
        // Where releases are told, repeats say nothing new of the lever.
        let is_repeat = key.kind == KeyEventKind::Repeat && matches!(action, Action::Nudge(_));
        if let (Screen::Fly(flight), false) = (&mut self.screen, is_repeat) {
            if place == Place::Type && !released {
                flight.type_on(action, now);
                return Wish::Stay;
            }
            flight.act(action, released, now);
        }
        if released {
            return Wish::Stay;
        }
        if let (Screen::Replay(replay), false) = (&mut self.screen, action == Action::Leave) {
            replay.act(action, now);
            return Wish::Stay;
        }
        match action {
            Action::Move(by) => self.move_by(by),
            Action::Aids => {
                let next = match self.chosen_aids() {
                    Aids::Full => Aids::Some,
                    Aids::Some => Aids::Bare,
                    Aids::Bare => Aids::Full,
                };
                self.aids.insert(self.chosen, next);
            }
            Action::Numbers => {
                if let Screen::Brief { more, .. } = &mut self.screen {
                    *more = !*more;
                }
            }
            Action::Aeroplane => {
                let aeroplane = Aeroplane::of(&self.shelf.drills[self.chosen]);
                self.screen = Screen::Aeroplane(Box::new(aeroplane));
            }
            Action::Guess => self.guess(now),
            Action::Guided => self.fly_guided(now),
            Action::Echo => self.next_echo(),
            Action::Watch => self.screen = Screen::Hands(Box::default()),
            Action::Go if self.place() == Place::Hands => self.watch_chosen(now),
            Action::Write(_) | Action::Erase | Action::Go if self.place() == Place::Predict => {
                self.answer(action, now);
            }
            Action::Find => self.find = Some(String::new()),
            Action::Go if self.place() == Place::Menu => self.open_chosen(),
            Action::Go if self.place() == Place::Runs => self.open_kept(),
            Action::Runs => self.list_runs(0),
            Action::SoFar => self.tell_so_far(),
            Action::By | Action::Figure(_) => self.look_otherwise(action),
            Action::Replay => self.replay(now),
            Action::Practise => self.practise(now),
            Action::Task(_) | Action::BillLine(_) | Action::Against => self.step_debrief(action),
            Action::Go | Action::Again => {
                // Begun again on the way, a flight keeps its guesses: the truth has not been shown yet.
                if !matches!(place, Place::Fly | Place::Watch) {
                    self.keep();
                    self.guesses.clear();
                }
                self.choose_debriefed();
                self.fly_again(now);
            }
            Action::Next => {
                if place != Place::Menu {
                    self.keep();
                    self.choose_debriefed();
                    self.end_practice();
                }
                self.open_next();
            }
            Action::Leave => return self.leave(),
            _ => {}
        }
        Wish::Stay
    }

    /// What a key asks for. One that means nothing to a number being typed drops it and does its own.
    fn action(&mut self, key: &KeyEvent) -> Option<Action> {
        let found = action(self.place(), key);
        let Screen::Fly(flight) = &mut self.screen else {
            return found;
        };
        if found.is_some() || flight.typed().is_none() {
            return found;
        }
        if key.kind != KeyEventKind::Release {
            flight.stop_typing();
        }
        action(self.place(), key)
    }

    fn close_help(&mut self, released: bool) -> Wish {
        if !released {
            self.help = None;
        }
        Wish::Stay
    }

    /// Moves the choice in a list, or a text; drawing that holds it to what there is.
    pub(super) fn move_by(&mut self, by: i16) {
        let scroll = match &mut self.screen {
            Screen::Aeroplane(aeroplane) => &mut aeroplane.scroll,
            Screen::Brief { scroll, .. } => scroll,
            Screen::Debrief(debrief) => &mut debrief.scroll,
            Screen::Runs(runs) => return runs.move_by(by),
            Screen::SoFar(so_far) => return so_far.move_by(by),
            Screen::Menu => return self.choose_by(by),
            Screen::Hands(choosing) => {
                return choosing.move_by(by, &self.shelf.drills[self.chosen]);
            }
            Screen::Predict(_) | Screen::Fly(_) | Screen::Weigh(_) | Screen::Replay(_) => return,
        };
        *scroll = scroll.saturating_add_signed(by);
    }

    fn leave(&mut self) -> Wish {
        match &mut self.screen {
            Screen::Menu => {
                self.remember();
                return Wish::Exit(0);
            }
            Screen::Fly(flight) => {
                flight.leave();
                self.debrief();
            }
            Screen::Weigh(_) => self.tell_at_once(),
            Screen::Replay(_) => self.end_replay(),
            Screen::Debrief(debrief) if debrief.is_from_elsewhere() => return Wish::Exit(0),
            Screen::Debrief(debrief) if debrief.listed_at.is_some() => {
                let chosen = debrief.listed_at.unwrap_or(0);
                self.list_runs(chosen);
            }
            Screen::Hands(_) => self.brief(),
            Screen::Aeroplane(_)
            | Screen::Brief { .. }
            | Screen::Predict(_)
            | Screen::Runs(_)
            | Screen::SoFar(_)
            | Screen::Debrief(_) => {
                self.end_practice();
                self.screen = Screen::Menu;
            }
        }
        Wish::Stay
    }
}
