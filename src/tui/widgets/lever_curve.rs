//! Lever and engine over the scope's time axis.

use ratatui::layout::Rect;

use super::along::TimeAxis;
use super::dots::{ACROSS, Dots};
use super::engine;
use super::plot::{Up, axis, lever_labels};
use crate::export::axis::range;
use crate::run::Run;
use crate::tui::canvas::Canvas;
use crate::tui::theme::Role;
use crate::units::TICKS_PER_S;

/// Lever (solid) and engine (its marks) on the same time axis, about level power.
pub(super) fn draw(run: &Run, picture: Rect, along: &TimeAxis, canvas: &mut Canvas) {
    let trace = run.trace();
    let gives_lever = &run.drill().aircraft.engine;
    let shown = |x: i32| {
        let tick = along.time_s(x) * TICKS_PER_S as f64;
        (tick >= 0.0).then(|| (tick as usize).min(trace.ticks()))
    };
    let values = |tick: usize| {
        let gives = gives_lever.lever_for(trace.points()[tick].state.engine);
        (trace.lever_at(tick), gives)
    };
    let mut dots = Dots::new(picture);
    let all = (0..=along.now_dot).filter_map(shown).map(values);
    let (low, high) = range(all.flat_map(|(lever, gives)| [lever, gives]));
    // Whole tenths, so that the scale stands still while the lever moves within it.
    let up = Up {
        low: ((low * 10.0 - 0.2).floor() / 10.0).max(0.0),
        high: ((high * 10.0 + 0.2).ceil() / 10.0).min(1.0),
        dots: dots.height(),
    };
    let mut marks = Vec::new();
    let mut last: Option<i32> = None;
    for x in 0..=along.now_dot {
        let Some((lever, gives)) = shown(x).map(values) else {
            continue;
        };
        // Counted from the run's beginning, so that the marks move with the line.
        let apart = i64::from(engine::APART as i32 * ACROSS);
        if along.column(x).rem_euclid(apart) == 0 {
            marks.push(((x / ACROSS) as u16, up.dot(gives), up.dot(lever)));
        }
        let y = up.dot(lever);
        dots.column(x, last.unwrap_or(y), y, Role::Ink);
        last = Some(y);
    }
    axis(picture, canvas);
    lever_labels(&up, 2, picture, canvas);
    dots.render(canvas);
    engine::marks(marks.into_iter(), picture, canvas);
}
