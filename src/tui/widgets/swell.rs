//! The deck's rise and fall under the scope, on its time axis: the seconds behind, and with aids those ahead, with a post where
//! the path ends.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::along::Along;
use super::dots::Dots;
use super::measure::Measure;
use super::scope::GUTTER;
use crate::run::Run;
use crate::sim::deck::Deck;
use crate::tui::theme::{Mark, Role, Theme};
use crate::units::FT;

/// The deck of a run whose deck heaves.
pub fn heaving(run: &Run) -> Option<&Deck> {
    let deck = &run.world().aim()?.deck;
    (deck.heave_m > 0.0).then_some(deck)
}

/// Draws it; `ahead` says whether what is to come is told.
pub(super) fn draw(
    run: &Run,
    ahead: bool,
    picture: Rect,
    along: &Along,
    buffer: &mut Buffer,
    theme: &Theme,
) {
    let Some(deck) = heaving(run) else {
        return;
    };
    let quiet = theme.style(Role::Quiet);
    for y in picture.top()..picture.bottom() {
        buffer.set_string(picture.x - 1, y, theme.mark(Mark::Axis), quiet);
    }
    let now_ft = (deck.heave_at_m(run.time_s()) / FT).round() + 0.0;
    let x = picture.x - GUTTER;
    buffer.set_string(x, picture.y, format!("{:>6}", "deck"), quiet);
    let height = format!("{:>6}", format!("{now_ft:+.0} ft"));
    let y = picture.bottom() - 1;
    buffer.set_string(x, y, height, theme.style(Role::Ink));

    let mut dots = Dots::new(picture);
    let last = f64::from(dots.height() - 1);
    let dot = |t_s: f64| {
        let share = deck.heave_at_m(t_s) / deck.heave_m;
        ((1.0 - share) / 2.0 * last).round() as i32
    };
    if let Some(to_go_s) = Measure::of(&run.leg().target).to_go_s(run) {
        dots.column(
            along.dot(run.time_s() + to_go_s),
            0,
            last as i32,
            Role::Band,
        );
    }
    let mut before = None;
    for x in 0..dots.width() {
        let t_s = along.time_s(x);
        let y = dot(t_s);
        let is_past = x <= along.now_dot;
        if is_past && t_s >= 0.0 {
            dots.column(x, before.unwrap_or(y), y, Role::Ink);
        } else if !is_past && ahead && along.column(x).rem_euclid(2) == 0 {
            dots.set(x, y, Role::Alternative);
        }
        before = (t_s >= 0.0).then_some(y);
    }
    for step in -1..=1 {
        dots.column(
            along.now_dot + step,
            dot(run.time_s()) - 1,
            dot(run.time_s()) + 1,
            Role::Marker,
        );
    }
    dots.render(buffer, theme);
}
