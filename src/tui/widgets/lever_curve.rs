//! Lever and engine over the scope's time axis.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::along::Along;
use super::dots::{ACROSS, Dots};
use super::engine;
use super::scope::GUTTER;
use crate::run::Run;
use crate::tui::theme::{Mark, Role, Theme};
use crate::units::TICKS_PER_S;

/// Lever (solid) and engine (its marks) on the same time axis, about level power.
pub(super) fn draw(run: &Run, picture: Rect, along: &Along, buffer: &mut Buffer, theme: &Theme) {
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
    let (low, high) = (0..=along.now_dot)
        .filter_map(shown)
        .map(values)
        .fold((1.0_f64, 0.0_f64), |(low, high), (lever, gives)| {
            (low.min(lever).min(gives), high.max(lever).max(gives))
        });
    // Whole tenths, so that the scale stands still while the lever moves within it.
    let (low, high) = (
        (low * 10.0 - 0.2).floor() / 10.0,
        (high * 10.0 + 0.2).ceil() / 10.0,
    );
    let (low, high) = (low.max(0.0), high.min(1.0));
    let height = f64::from(dots.height() - 1);
    let dot = |value: f64| ((high - value) / (high - low) * height).round() as i32;
    let mut marks = Vec::new();
    let mut last: Option<i32> = None;
    for x in 0..=along.now_dot {
        let Some((lever, gives)) = shown(x).map(values) else {
            continue;
        };
        // Counted from the run's beginning, so that the marks move with the line.
        if along
            .column(x)
            .rem_euclid((engine::APART as i32 * ACROSS).into())
            == 0
        {
            marks.push(((x / ACROSS) as u16, dot(gives), dot(lever)));
        }
        let y = dot(lever);
        dots.column(x, last.unwrap_or(y), y, Role::Ink);
        last = Some(y);
    }
    let quiet = theme.style(Role::Quiet);
    for y in picture.top()..picture.bottom() {
        buffer.set_string(picture.x - 1, y, theme.mark(Mark::Axis), quiet);
    }
    let label = |value: f64| format!("{:>4.0} %", 100.0 * value);
    buffer.set_string(picture.x - GUTTER, picture.y, label(high), quiet);
    buffer.set_string(picture.x - GUTTER, picture.bottom() - 1, label(low), quiet);
    buffer.set_string(
        picture.x - GUTTER,
        picture.y + 2,
        format!("{:>6}", "lever"),
        quiet,
    );
    dots.render(buffer, theme);
    engine::marks(marks.into_iter(), picture, buffer, theme);
}
