//! A run played again: the picture of flying, with the replay's own keys below it.

use ratatui::layout::Rect;
use ratatui::text::Line;

use super::{fly, words};
use crate::tui::canvas::Canvas;
use crate::tui::replay::Replay;
use crate::tui::theme::Role;

pub fn draw(replay: &mut Replay, area: Rect, canvas: &mut Canvas) {
    fly::draw(&mut replay.flight, area, canvas);
    let (what, role) = match (replay.is_over(), replay.is_moving()) {
        (true, _) => ("its end", Role::Warning),
        (false, true) => ("playing", Role::Strong),
        (false, false) => ("stopped", Role::Warning),
    };
    let keys = match replay.is_over() {
        true => "   space plays it again",
        false if !replay.is_moving() => "   space plays   up, down speed   left, right 10 s",
        false => "   space stops   up, down speed   left, right 10 s",
    };
    let left = Line::from(vec![
        canvas
            .theme
            .span(format!(" {what} {:>2}x", replay.flight.speed()), role),
        canvas.theme.span(keys, Role::Quiet),
    ]);
    words::foot(left, "q back", area, canvas);
}
