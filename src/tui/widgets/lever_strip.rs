//! Lever and engine below a curve, and the seconds of the run with the learner's marks.

use ratatui::layout::Rect;

use super::dots::{ACROSS, Dots};
use super::engine;
use super::plot::{Up, axis, dotted, lever_labels, line, picture};
use super::stretch::Stretch;
use crate::export::axis::{multiples, range};
use crate::run::moves::flown_until;
use crate::tui::canvas::Canvas;
use crate::tui::theme::{Mark, Role};
use crate::units::TICK_S;

/// Lever (solid) and engine (its marks) of a stretch, the second run's lever dotted, over the travel that was used.
pub fn lever(stretch: &Stretch, area: Rect, canvas: &mut Canvas) {
    let picture = picture(area);
    if picture.width < 10 || picture.height < 2 {
        return;
    }
    let trace = stretch.run.trace();
    let engine = &stretch.run.drill().aircraft.engine;
    let gives = |tick: usize| engine.lever_for(trace.points()[tick].state.engine);
    let others = stretch.pieces().flat_map(|(second, piece, _)| {
        let ticks = piece.ticks.start..piece.ticks.end.min(flown_until(&second.run));
        ticks.map(|tick| second.run.trace().lever_at(tick))
    });
    let own = (stretch.ticks.start..=shaped_until(stretch))
        .flat_map(|tick| [trace.lever_at(tick), gives(tick)]);
    let (low, high) = range(own.chain(others));
    let margin = 0.02 + 0.1 * (high - low);
    let mut dots = Dots::new(picture);
    let up = Up {
        low: (low - margin).max(-0.01),
        high: (high + margin).min(1.01),
        dots: dots.height(),
    };
    let along = stretch.along(dots.width());
    stretch.change(&mut dots, &along);
    dotted(stretch, &along, &mut dots, |run, _, tick| {
        up.dot(run.trace().lever_at(tick))
    });
    line(
        stretch,
        &along,
        &mut dots,
        |tick| up.dot(trace.lever_at(tick)),
        |_, _| false,
    );
    axis(picture, canvas);
    lever_labels(&up, 1, picture, canvas);
    dots.render(canvas);
    let columns = (0..picture.width).step_by(engine::APART);
    let marks = columns.filter_map(|x| {
        let tick = along.tick(i32::from(x) * ACROSS);
        let dots = |tick| (x, up.dot(gives(tick)), up.dot(trace.lever_at(tick)));
        (tick <= stretch.last_flown()).then(|| dots(tick))
    });
    engine::marks(marks, picture, canvas);
}

/// The last tick that shapes the axis: what follows a touchdown, or full power for a go-around, would flatten all before it.
fn shaped_until(stretch: &Stretch) -> usize {
    stretch
        .last_flown()
        .min(flown_until(stretch.run))
        .max(stretch.ticks.start)
}

/// Seconds of the run below the curves, and the learner's marks, numbered.
pub fn times(stretch: &Stretch, area: Rect, canvas: &mut Canvas) {
    const STEPS: [f64; 12] = [
        1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1200.0, 3600.0,
    ];
    let picture = picture(area);
    let along = stretch.along(i32::from(picture.width) * ACROSS);
    for (index, mark) in stretch.marks.iter().enumerate() {
        let text = format!("{}{}", canvas.theme.mark(Mark::Note), index + 1);
        let column = along.column(picture, *mark as usize);
        if let Some(x) = column.filter(|x| x + text.chars().count() as u16 <= picture.right()) {
            canvas.put(x, area.y, text, Role::Strong);
        }
    }
    let total_s = stretch.ticks.len() as f64 * TICK_S;
    let wanted = total_s * 12.0 / f64::from(picture.width.max(1));
    let every_s = STEPS
        .iter()
        .find(|step| **step >= wanted)
        .unwrap_or(&7200.0);
    let [from_s, to_s] =
        [stretch.ticks.start, stretch.last_flown()].map(|tick| tick as f64 * TICK_S);
    for t_s in multiples(*every_s, from_s, to_s) {
        let label = format!("{t_s:.0} s");
        let length = label.len() as u16;
        let column = along.column(picture, (t_s / TICK_S) as usize);
        if let Some(x) = column.filter(|x| x + length <= picture.right()) {
            // A mark goes before.
            let from = x.saturating_sub(1).max(picture.x);
            if canvas.is_free(from..(x + length + 1).min(picture.right()), area.y) {
                canvas.put(x, area.y, label, Role::Quiet);
            }
        }
    }
}
