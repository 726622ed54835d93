//! A run played again: the picture of flying, with the replay's own keys below it.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::text::{Line, Span};

use super::{fly, words};
use crate::tui::replay::Replay;
use crate::tui::theme::{Role, Theme};

/// Draws it.
pub fn draw(replay: &mut Replay, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    fly::draw(replay.flight(), area, buffer, theme);
    let (what, role) = match (replay.is_over(), replay.is_moving()) {
        (true, _) => ("its end", Role::Warning),
        (false, true) => ("playing", Role::Strong),
        (false, false) => ("stopped", Role::Warning),
    };
    let keys = match replay.is_over() {
        true => "   space plays it again",
        false if !replay.is_moving() => "   space goes on   up, down speed   left, right 10 s",
        false => "   space stops   up, down speed   left, right 10 s",
    };
    let left = Line::from(vec![
        Span::styled(format!(" {what} {:>2}x", replay.speed()), theme.style(role)),
        Span::styled(keys, theme.style(Role::Quiet)),
    ]);
    words::foot(left, "q back", area, buffer, theme);
}
