//! Mouse and axis: the wheel moves the lever or a list, the lever can be dragged along the rail, an axis is one itself.

use std::time::Duration;

use crossterm::event::{MouseButton, MouseEvent, MouseEventKind};
use ratatui::layout::{Position, Rect};

use super::{App, Screen};
use crate::tui::key_lever::Move;
use crate::tui::screens::fly;

/// A click of the wheel, and a column of a drag: what a tap of a key is, in parts of full travel.
const STEP: f64 = 0.01;

impl App {
    /// The mouse.
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
            MouseEventKind::ScrollUp => Move::By(STEP),
            MouseEventKind::ScrollDown => Move::By(-STEP),
            MouseEventKind::Down(MouseButton::Left) => {
                let screen = Rect::new(0, 0, self.size.0, self.size.1);
                let is_there =
                    fly::rail_place(screen).contains(Position::new(event.column, event.row));
                self.grabbed_at = is_there.then_some(event.column);
                Move::Grab
            }
            MouseEventKind::Drag(MouseButton::Left) => {
                let Some(from) = self.grabbed_at else {
                    return;
                };
                Move::Drag(STEP * (f64::from(event.column) - f64::from(from)))
            }
            MouseEventKind::Up(_) => {
                self.grabbed_at = None;
                return;
            }
            _ => return,
        };
        flight.take(made, now);
    }

    /// An axis stands there, 0..1; None: it is gone, and the flight waits for another means.
    pub fn axis(&mut self, at: Option<f64>, now: Duration) {
        match (at, &mut self.screen) {
            (Some(at), Screen::Fly(flight)) if self.help.is_none() => {
                flight.take(Move::Axis(at), now)
            }
            (Some(_), _) => {}
            (None, _) => self.pause(now),
        }
    }
}
