//! What a key does, screen by screen. The mouse wheel moves the lever or a list, dragging along the rail moves the lever, and an
//! axis sets it.

use std::time::Duration;

use crossterm::event::{KeyEvent, KeyEventKind, MouseButton, MouseEvent, MouseEventKind};
use ratatui::layout::{Position, Rect};

use super::{App, Screen, Wish, next_help};
use crate::drill::Aids;
use crate::export::told::Kept;
use crate::tui::INTERRUPTED;
use crate::tui::action::{Action, Mode, action};
use crate::tui::echo::after;
use crate::tui::farewell;
use crate::tui::key_lever::{Touch, Way};
use crate::tui::screens::aeroplane::Aeroplane;
use crate::tui::screens::fly;
use crate::tui::screens::hands::Choosing;
use crate::tui::shown::SHOWN;

/// The change for a click of the wheel or a column of a drag, as a fraction of full travel: that of a tap of a key.
const STEP: f64 = 0.01;

impl App {
    pub fn key(&mut self, key: &KeyEvent, now: Duration) -> Wish {
        if key.kind == KeyEventKind::Release {
            self.let_go(key, now);
            return Wish::Stay;
        }
        if self.typed(key) {
            return Wish::Stay;
        }
        let action = self.action(key);
        if !matches!(action, Some(Action::Nudge(_))) {
            self.other_key = Some(key.code);
        }
        let repeats = key.kind == KeyEventKind::Repeat;
        if repeats && !action.is_some_and(Action::repeats) {
            return Wish::Stay;
        }
        match action {
            Some(Action::Quit) => return self.interrupt(),
            Some(Action::Suspend) => return Wish::Suspend,
            Some(Action::Panic) => panic!("asked to break down"),
            Some(Action::Help) => {
                self.help = next_help(self.help);
                self.pause(now);
            }
            None => self.refuse(),
            _ if self.help.is_some() => self.help = None,
            Some(action) if self.has_room() => return self.act(action, now),
            Some(_) => {}
        }
        Wish::Stay
    }

    /// Ends at once, and says where a run under way was kept, since no debrief does.
    fn interrupt(&mut self) -> Wish {
        let is_under_way = match &self.screen {
            Screen::Fly(_) => true,
            Screen::Weigh(ending) => ending.listed_at.is_none(),
            _ => false,
        };
        let wish = self.exit(INTERRUPTED);
        if let (true, Screen::Debrief(debrief)) = (is_under_way, &self.screen)
            && let Kept::As(id) = &debrief.told.kept
        {
            farewell::say(format!("the run under way was kept as {id}"));
        }
        wish
    }

    /// Handles a key that was let go, which concerns the lever alone.
    fn let_go(&mut self, key: &KeyEvent, now: Duration) {
        let is_hidden = self.help.is_some() || !self.has_room();
        match (self.action(key), &mut self.screen) {
            (Some(Action::Nudge(nudge)), Screen::Fly(flight)) if !is_hidden => {
                flight.take(Touch::Release(nudge.way), now);
            }
            (Some(Action::Nudge(_)), _) => {}
            _ if self.other_key == Some(key.code) => self.other_key = None,
            // This may be the held key, reported as another since shift was let go first: `+` as `=`.
            _ => self.focus_lost(now),
        }
    }

    /// Does what a key asks for on this screen; a flight, if there is one, comes first.
    fn act(&mut self, action: Action, now: Duration) -> Wish {
        let mode = self.mode();
        let is_done =
            mode == Mode::Guide && self.step_guided(action, now) || self.asks_first(action, now);
        if is_done {
            return Wish::Stay;
        }
        match (action, &mut self.screen) {
            (_, Screen::Fly(flight)) if mode == Mode::Type => {
                flight.type_on(action, now);
                return Wish::Stay;
            }
            (_, Screen::Fly(flight)) => flight.act(action, now),
            (Action::Leave, _) => {}
            (_, Screen::Replay(replay)) => {
                replay.act(action, now);
                return Wish::Stay;
            }
            _ => {}
        }
        match (action, &mut self.screen) {
            (Action::Scroll(by), _) => self.move_by(by),
            (Action::Aids, _) => {
                let next = after(&Aids::ALL, self.chosen_aids());
                self.aids.insert(self.chosen, next);
            }
            (Action::Numbers, Screen::Brief { more, .. }) => *more = !*more,
            (Action::Aeroplane, _) => {
                let aeroplane = Aeroplane::of(&self.shelf.drills[self.chosen]);
                self.screen = Screen::Aeroplane(Box::new(aeroplane));
            }
            (Action::Guess, _) => self.guess(now),
            (Action::Guided, _) => self.fly_guided(now),
            (Action::Echo, _) => self.next_echo(),
            (Action::Watch, screen) => {
                let choosing = Choosing {
                    from_brief: matches!(screen, Screen::Brief { .. }),
                    ..Choosing::default()
                };
                self.screen = Screen::Hands(Box::new(choosing));
            }
            (Action::Go, Screen::Hands(choosing)) => {
                let chosen = choosing.chosen;
                self.watch(SHOWN[chosen].hand, now);
            }
            (Action::Write(_) | Action::Erase | Action::Go, Screen::Predict(_)) => {
                self.answer(action, now);
            }
            (Action::Find, _) => self.find = Some(String::new()),
            (Action::Go, Screen::Menu) => self.open_chosen(),
            (Action::Go, Screen::Runs(_)) => self.open_kept(),
            (Action::Runs, _) => self.list_runs(0),
            (Action::SoFar, _) => self.tell_so_far(),
            (Action::By, Screen::SoFar(so_far)) => so_far.regroup(&self.shelf),
            (Action::Figure(way), Screen::SoFar(so_far)) => so_far.next_figure(&self.shelf, way),
            (Action::Replay, _) => self.replay(now),
            (Action::Practise, _) => self.practise(now),
            (Action::Task(way), Screen::Debrief(debrief)) => debrief.step(way == Way::Up),
            (Action::BillLine(way), Screen::Debrief(debrief)) => debrief.next_line(way == Way::Up),
            (Action::Against, _) => self.hold_against_next(),
            (Action::Go | Action::Again, _) => {
                // Begun again on the way, a flight keeps its guesses: the truth has not been shown yet.
                if !matches!(mode, Mode::Fly | Mode::Watch) {
                    self.keep();
                    self.guesses.clear();
                }
                self.choose_debriefed();
                self.fly_again(now);
            }
            (Action::Next, _) => {
                if mode != Mode::Menu {
                    self.keep();
                    self.choose_debriefed();
                    self.end_practice();
                }
                self.open_next();
            }
            (Action::Leave, _) => return self.leave(),
            _ => {}
        }
        Wish::Stay
    }

    /// The action of a key in the present place.
    fn action(&self, key: &KeyEvent) -> Option<Action> {
        action(self.mode(), key)
    }

    /// Handles a key that means nothing here: puts the help away, and while a setting is typed has the screen say which keys do.
    fn refuse(&mut self) {
        self.help = None;
        if let Screen::Fly(flight) = &mut self.screen
            && let Some(typed) = &mut flight.typed
        {
            typed.refuse();
        }
    }

    /// Moves the choice in a list, or scrolls a text; the scroll is clamped when the text is drawn.
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
            Screen::Hands(choosing) if choosing.from_brief => self.brief(),
            Screen::Hands(_)
            | Screen::Aeroplane(_)
            | Screen::Brief { .. }
            | Screen::Predict(_)
            | Screen::Runs(_)
            | Screen::SoFar(_)
            | Screen::Debrief(_) => self.go_back(),
        }
        Wish::Stay
    }

    pub fn mouse(&mut self, event: &MouseEvent, now: Duration) {
        if self.help.is_some() || !self.has_room() {
            return;
        }
        let Screen::Fly(flight) = &mut self.screen else {
            match event.kind {
                MouseEventKind::ScrollUp => self.move_by(-1),
                MouseEventKind::ScrollDown => self.move_by(1),
                _ => {}
            }
            return;
        };
        let made = match event.kind {
            MouseEventKind::ScrollUp => Touch::By(STEP),
            MouseEventKind::ScrollDown => Touch::By(-STEP),
            MouseEventKind::Down(MouseButton::Left) => {
                let screen = Rect::new(0, 0, self.size.0, self.size.1);
                let is_there =
                    fly::rail_place(screen).contains(Position::new(event.column, event.row));
                self.grabbed_at = is_there.then_some(event.column);
                Touch::Grab
            }
            MouseEventKind::Drag(MouseButton::Left) => {
                let Some(from) = self.grabbed_at else {
                    return;
                };
                Touch::Drag(STEP * (f64::from(event.column) - f64::from(from)))
            }
            MouseEventKind::Up(_) => {
                self.grabbed_at = None;
                return;
            }
            _ => return,
        };
        flight.take(made, now);
    }

    /// Takes in the position of an axis, 0..1. None: the axis is gone, and the flight pauses.
    pub fn axis(&mut self, at: Option<f64>, now: Duration) {
        match (at, &mut self.screen) {
            (Some(at), Screen::Fly(flight)) if self.help.is_none() => {
                flight.take(Touch::Axis(at), now)
            }
            (Some(_), _) => {}
            (None, _) => self.pause(now),
        }
    }
}
