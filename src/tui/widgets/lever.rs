//! Lever (a solid line) and engine (its marks) below a curve, for a flight under way and for a stretch of a run that is over; and
//! the row of the run's seconds with the learner's marks.

use ratatui::layout::Rect;

use super::dots::{ACROSS, DOWN, Dots};
use super::plot::{TimeAxis, Up, axis, dotted, lever_labels, line, picture};
use super::stretch::Stretch;
use crate::export::axis::{multiples, range, time_step};
use crate::run::Run;
use crate::run::moves::flown_until;
use crate::tui::canvas::Canvas;
use crate::tui::theme::{Mark, Role};
use crate::units::TICK_S;

/// Columns from one of the engine's marks to the next.
const APART: usize = 4;
/// An engine closer than this to the lever gets no mark, as the lever's own line shows it, dots.
const BESIDE: i32 = 2;

/// Draws the engine's marks over a picture. Each has a column, the engine's dot and the lever's dot.
fn engine_marks(marks: impl Iterator<Item = (u16, i32, i32)>, picture: Rect, canvas: &mut Canvas) {
    let rows = i32::from(picture.height);
    for (x, engine, lever) in marks {
        let row = engine.div_euclid(DOWN);
        let is_apart = (engine - lever).abs() >= BESIDE && row != lever.div_euclid(DOWN);
        if is_apart && (0..rows).contains(&row) && x < picture.width {
            let y = picture.y + row as u16;
            canvas.set_mark(picture.x + x, y, Mark::ENGINE, Role::Engine);
        }
    }
}

/// Draws lever (solid) and engine (its marks) on the time axis of the scope, over the travel that is in sight.
pub(super) fn beside_scope(run: &Run, picture: Rect, along: &TimeAxis, canvas: &mut Canvas) {
    let trace = run.trace();
    let engine = &run.drill().aircraft.engine;
    let shown = |x: i32| Some(along.tick(x)?.min(trace.ticks()));
    let lever = |tick: usize| trace.lever_at(tick);
    let gives = |tick: usize| engine.lever_for(trace.state(tick).engine);
    let mut dots = Dots::new(picture);
    let all = (0..=along.now_dot).filter_map(shown);
    let (low, high) = range(all.flat_map(|tick| [lever(tick), gives(tick)]));
    // Whole tenths, so that the scale stands still while the lever moves within it.
    let low = ((low * 10.0 - 0.2).floor() / 10.0).max(0.0);
    let high = ((high * 10.0 + 0.2).ceil() / 10.0).min(1.0);
    let up = Up::new(low, high, &dots);
    let lever_dot = |x| Some(up.dot(lever(shown(x)?)));
    dots.curve(0..=along.now_dot, Role::Ink, lever_dot);
    axis(picture, canvas);
    lever_labels(&up, 2, picture, canvas);
    dots.render(canvas);
    // Counted from the run's beginning, so that the marks move with the line.
    let apart = i64::from(APART as i32 * ACROSS);
    let is_mark = |x: &i32| along.count(*x).rem_euclid(apart) == 0;
    let marks = (0..=along.now_dot).filter(is_mark).filter_map(|x| {
        let gives = up.dot(gives(shown(x)?));
        Some(((x / ACROSS) as u16, gives, lever_dot(x)?))
    });
    engine_marks(marks, picture, canvas);
}

/// Draws lever (solid) and engine (its marks) of a stretch and the second run's lever (dotted), over the travel that was used.
pub fn of_stretch(stretch: &Stretch, area: Rect, canvas: &mut Canvas) {
    let picture = picture(area);
    if picture.width < 10 || picture.height < 2 {
        return;
    }
    let trace = stretch.run.trace();
    let engine = &stretch.run.drill().aircraft.engine;
    let gives = |tick: usize| engine.lever_for(trace.state(tick).engine);
    let others = stretch.pieces().flat_map(|(second, piece, _)| {
        let (start, end) = (piece.ticks.start, piece.ticks.end);
        let until = end.min(flown_until(&second.run)).max(start);
        // If all it does is go around, that is what there is to see.
        let ticks = match second.run.trace().settings(start..until).next() {
            Some(_) => start..until,
            None => start..end,
        };
        ticks.map(|tick| second.run.trace().lever_at(tick))
    });
    let own = (stretch.ticks.start..=shaped_until(stretch))
        .flat_map(|tick| [trace.lever_at(tick), gives(tick)]);
    let (low, high) = range(own.chain(others));
    let margin = 0.02 + 0.1 * (high - low);
    let mut dots = Dots::new(picture);
    let (low, high) = ((low - margin).max(-0.01), (high + margin).min(1.01));
    let up = Up::new(low, high, &dots);
    let along = stretch.along(dots.width());
    stretch.change(&mut dots, &along);
    dotted(stretch, &along, &mut dots, |run, _, tick| {
        up.dot(run.trace().lever_at(tick))
    });
    let lever = |tick| up.dot(trace.lever_at(tick));
    line(stretch, &along, &mut dots, lever, |_, _| false);
    axis(picture, canvas);
    lever_labels(&up, 1, picture, canvas);
    dots.render(canvas);
    let columns = (0..picture.width).step_by(APART);
    let marks = columns.filter_map(|x| {
        let tick = along.tick(i32::from(x) * ACROSS);
        (tick <= stretch.last_flown()).then(|| (x, up.dot(gives(tick)), lever(tick)))
    });
    engine_marks(marks, picture, canvas);
}

/// The last tick that the scale takes into account: what follows a touchdown, or full power for a go-around, would flatten
/// everything before it.
fn shaped_until(stretch: &Stretch) -> usize {
    let last = stretch.last_flown().min(flown_until(stretch.run));
    last.max(stretch.ticks.start)
}

/// Draws the seconds of the run below the curves, and the learner's marks, numbered.
pub fn times(stretch: &Stretch, area: Rect, canvas: &mut Canvas) {
    let picture = picture(area);
    let along = stretch.along(i32::from(picture.width) * ACROSS);
    for (index, mark) in stretch.marks.iter().enumerate() {
        let text = format!("{}{}", canvas.theme.mark(Mark::NOTE), index + 1);
        let column = along.column(picture, *mark as usize);
        if let Some(x) = column.filter(|x| x + text.chars().count() as u16 <= picture.right()) {
            canvas.put(x, area.y, text, Role::Strong);
        }
    }
    let total_s = stretch.ticks.len() as f64 * TICK_S;
    let every_s = time_step(total_s * 12.0 / f64::from(picture.width.max(1)));
    let [from_s, to_s] =
        [stretch.ticks.start, stretch.last_flown()].map(|tick| tick as f64 * TICK_S);
    for t_s in multiples(every_s, from_s, to_s) {
        let label = format!("{t_s:.0} s");
        let length = label.len() as u16;
        let column = along.column(picture, (t_s / TICK_S) as usize);
        if let Some(x) = column.filter(|x| x + length <= picture.right()) {
            // A mark takes precedence.
            let from = x.saturating_sub(1).max(picture.x);
            if canvas.is_free(from..(x + length + 1).min(picture.right()), area.y) {
                canvas.put(x, area.y, label, Role::Quiet);
            }
        }
    }
}
