//! The deck's rise and fall below the scope, on the scope's time axis: the seconds past and, with full aids, those to come, with
//! a post where the path ends.

use ratatui::layout::Rect;

use super::dots::Dots;
use super::measure::to_go_s;
use super::plot::{TimeAxis, Up, axis, label};
use crate::run::Run;
use crate::sim::deck::Deck;
use crate::tui::canvas::Canvas;
use crate::tui::theme::Role;
use crate::units::FT;

/// The deck of a run, where it heaves; None otherwise.
pub fn heaving(run: &Run) -> Option<&Deck> {
    let deck = &run.world().aim()?.deck;
    (deck.heave_m > 0.0).then_some(deck)
}

/// Draws the deck's rise and fall; `ahead` says whether to show what is to come.
pub(super) fn draw(run: &Run, ahead: bool, picture: Rect, along: &TimeAxis, canvas: &mut Canvas) {
    let Some(deck) = heaving(run) else {
        return;
    };
    axis(picture, canvas);
    let now_ft = (deck.heave_at_m(run.time_s()) / FT).round() + 0.0;
    label("deck", picture.y, Role::Quiet, picture, canvas);
    let (height, y) = (format!("{now_ft:+.0} ft"), picture.bottom() - 1);
    label(&height, y, Role::Ink, picture, canvas);

    let mut dots = Dots::new(picture);
    let up = Up::new(-deck.heave_m, deck.heave_m, &dots);
    let dot = |t_s: f64| up.dot(deck.heave_at_m(t_s));
    if let Some(to_go_s) = to_go_s(run) {
        let x = along.dot(run.time_s() + to_go_s);
        dots.column(x, 0, dots.height(), Role::Band);
    }
    dots.curve(0..=along.now_dot, Role::Ink, |x| {
        let t_s = along.time_s(x);
        (t_s >= 0.0).then(|| dot(t_s))
    });
    let to_come = along.now_dot + 1..dots.width();
    for x in to_come.filter(|x| ahead && along.count(*x).rem_euclid(2) == 0) {
        dots.set(x, dot(along.time_s(x)), Role::Alternative);
    }
    dots.spot(along.now_dot, dot(run.time_s()));
    dots.render(canvas);
}
