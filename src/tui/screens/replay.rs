//! A run played back: the picture of flying, with the replay's own keys below it.

use ratatui::layout::Rect;
use ratatui::text::Line;

use super::{fly, words};
use crate::tui::canvas::Canvas;
use crate::tui::replay::Replay;
use crate::tui::theme::Role;

pub fn draw(replay: &mut Replay, area: Rect, canvas: &mut Canvas) {
    fly::draw(&mut replay.flight, area, canvas);
    let others = "   up, down speed   left, right 10 s";
    let (what, role, space, others) = match (replay.flight.is_over(), replay.is_moving()) {
        (true, _) => ("the end", Role::Warning, "plays it again", ""),
        (false, true) => ("playing", Role::Strong, "stops", others),
        (false, false) => ("stopped", Role::Warning, "plays", others),
    };
    let (speed, theme) = (replay.flight.speed(), canvas.theme);
    let left = Line::from(vec![
        theme.span(format!(" {what} {speed:>2}x"), role),
        theme.span(format!("   space {space}{others}"), Role::Quiet),
    ]);
    words::foot(left, "q back", area, canvas);
}
