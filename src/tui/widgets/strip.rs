//! The curve of a stretch of a run over time, against the bands of its tasks, with a second run dotted.

use ratatui::layout::Rect;

use super::dots::{ACROSS, Dots};
use super::measure::Measure;
use super::plot::{TickAxis, Up, axis, beside_column, dotted, label, line, picture, unit};
use super::posts::{self, Post};
use super::stretch::Stretch;
use crate::drill::Target;
use crate::drill::reader::plain;
use crate::export::axis::{multiples, range, round_step};
use crate::tui::canvas::Canvas;
use crate::tui::theme::Role;
use crate::units::{FT, TICK_S};

/// Half the height of the stroke at the last moment at which the points could still be saved, dots.
const UNTIL: i32 = 3;

/// The quantities whose curves are worth drawing for a stretch, the most important one first.
pub fn sides(stretch: &Stretch) -> Vec<Measure> {
    let legs = stretch.run.legs().iter().enumerate();
    let legs = legs.filter(|(index, _)| stretch.shows(*index));
    let [path, rate, altitude] =
        [Measure::Share, Measure::Vertical, Measure::Altitude].map(|side| {
            legs.clone()
                .any(|(_, leg)| Measure::of(&leg.target) == side)
        });
    match (path, altitude, rate) {
        (true, _, _) => vec![Measure::Share],
        (_, true, true) => vec![Measure::Altitude, Measure::Vertical],
        (_, false, true) => vec![Measure::Vertical, Measure::Altitude],
        _ => vec![Measure::Altitude],
    }
}

/// The band of a target. As a share, any target has one: 100 % of its own half-width.
fn band(side: Measure, target: &Target) -> Option<(f64, f64)> {
    match side {
        Measure::Share => Some((0.0, 100.0)),
        side => side.band(target),
    }
}

/// Draws the curve of a stretch, each task's band while it applied, and the second run dotted.
pub fn curve_of(side: Measure, stretch: &Stretch, area: Rect, canvas: &mut Canvas) {
    let picture = picture(area);
    if picture.width < 10 || picture.height < 3 {
        return;
    }
    let run = stretch.run;
    let mut dots = Dots::new(picture);
    let along = stretch.along(dots.width());
    let up = scale(side, stretch, &dots);
    let dot = |tick: usize| up.dot(stretch.value(side, tick));
    bands(side, stretch, &along, &up, &mut dots);
    let gates = gates(side, stretch);
    for gate in &gates {
        let x = along.dot((gate.t_s / TICK_S) as usize);
        dots.column(x, up.dot(100.0), up.dot(-100.0), Role::Band);
    }
    stretch.change(&mut dots, &along);
    let until = stretch.until.map(|tick| tick as usize);
    let until = until.filter(|tick| stretch.ticks.contains(tick));
    if let Some(tick) = until.filter(|tick| *tick <= stretch.last_flown()) {
        let y = dot(tick);
        dots.column(along.dot(tick), y - UNTIL, y + UNTIL, Role::Alternative);
    }
    dotted(stretch, &along, &mut dots, |run, leg, tick| {
        up.dot(side.at(&run.legs()[leg].target, run, tick))
    });
    // A share begins anew where the task changes.
    let start = |tick: usize| stretch.leg_at(tick).start;
    let breaks = |a, b| side == Measure::Share && start(a) != start(b);
    line(stretch, &along, &mut dots, dot, breaks);
    axis(picture, canvas);
    // At least two labels: one alone does not show the scale.
    let per_row = (up.high - up.low) / f64::from(picture.height);
    let steps = [3.0, 2.0, 1.0].map(|rows| round_step((rows * per_row).max(1.0)));
    let labels = |every: f64| multiples(every, up.low, up.high).count();
    let every = steps.into_iter().find(|every| labels(*every) >= 2);
    let every = every.unwrap_or(steps[2]);
    for value in multiples(every, up.low, up.high) {
        let y = up.row(value, picture);
        label(&side.label(value), y, Role::Quiet, picture, canvas);
    }
    unit(side.unit(), picture, canvas);
    dots.render(canvas);
    gate_labels(&gates, &along, picture, canvas);
    let rows = picture.top()..picture.bottom();
    for (index, leg) in stretch.legs().filter(|_| stretch.leg.is_none()).skip(1) {
        if let Some(x) = along.column(picture, leg.start as usize) {
            let n = run.leg_number(index);
            beside_column(&n, x, rows.clone(), picture, canvas, Role::Quiet);
        }
    }
    if let Some(tick) = until {
        let x = picture.x + (along.dot(tick) / ACROSS) as u16;
        let rows = rows.clone().rev();
        beside_column("until here", x, rows, picture, canvas, Role::Alternative);
    }
    if let Some(dot) = stretch.change_dot(&along) {
        let x = picture.x + (dot / ACROSS) as u16;
        beside_column("from here", x, rows, picture, canvas, Role::Alternative);
    }
}

/// Writes above each gate what was asked and what was flown there, in the longest form that does not touch the previous label.
fn gate_labels(gates: &[Post], along: &TickAxis, picture: Rect, canvas: &mut Canvas) {
    let mut free_from = picture.x;
    for gate in gates.iter().filter(|gate| gate.is_gate) {
        let column = along.column(picture, (gate.t_s / TICK_S) as usize);
        let (Some(x), Some(off_m)) = (column, gate.deviation_m) else {
            continue;
        };
        let feet = |m: f64| plain((m / FT).round());
        let (asked, flown) = (feet(gate.altitude_m), feet(gate.altitude_m + off_m));
        let labels = [
            format!(" asked {asked} ft, flown {flown} "),
            format!(" {asked} ft, {flown} "),
            format!(" {:+.0} ft ", (off_m / FT).round() + 0.0),
        ];
        for label in labels {
            let length = label.chars().count() as u16;
            let from = x.saturating_sub(length / 2).max(picture.x);
            if from >= free_from && from + length <= picture.right() {
                canvas.put(from, picture.y, label, Role::Strong);
                free_from = from + length + 1;
                break;
            }
        }
    }
}

/// Draws each task's band while the task was flown, and a dotted column where each task after the first begins. With a leg
/// chosen, the legs after it have no band.
fn bands(side: Measure, stretch: &Stretch, along: &TickAxis, up: &Up, dots: &mut Dots) {
    for (index, leg) in stretch.legs() {
        let is_chosen = stretch.shows(index);
        let end = match (is_chosen, stretch.leg) {
            // The band of a chosen leg extends to the end of the picture, as the second run may take longer.
            (true, Some(_)) => stretch.ticks.end,
            _ => leg.end.unwrap_or(stretch.run.tick()) as usize,
        };
        let (from, to) = (along.dot(leg.start as usize), along.dot(end));
        let role = if is_chosen { Role::Band } else { Role::Quiet };
        let past_own = !is_chosen && Some(index) > stretch.leg;
        if let Some((wanted, band)) = band(side, &leg.target).filter(|_| !past_own) {
            for x in from.max(0)..=to.min(dots.width() - 1) {
                dots.set(x, up.dot(wanted + band), role);
                dots.set(x, up.dot(wanted - band), role);
            }
        }
        if index > 0 {
            for y in (0..dots.height()).step_by(3) {
                dots.set(from, y, Role::Quiet);
            }
        }
    }
}

fn gates(side: Measure, stretch: &Stretch) -> Vec<Post> {
    let last = stretch.run.legs().len() - 1;
    let of_path = side == Measure::Share && stretch.shows(last);
    let posts = posts::of_path(stretch.run).into_iter();
    posts.filter(|post| of_path && post.is_passed).collect()
}

/// The axis from the lowest to the highest value and band edge, with a margin.
fn scale(side: Measure, stretch: &Stretch, dots: &Dots) -> Up {
    let own = stretch.ticks.start..=stretch.last_flown();
    let own = own.map(|tick| stretch.value(side, tick));
    let others = stretch.pieces().flat_map(|(second, piece, _)| {
        let leg = &second.run.legs()[piece.leg];
        let ticks = piece.ticks.clone();
        ticks.map(move |tick| side.at(&leg.target, &second.run, tick))
    });
    let flown = own.chain(others).map(|value| side.drawn(value));
    let asked = stretch.legs().filter(|(index, _)| stretch.shows(*index));
    let bands = asked.filter_map(|(_, leg)| band(side, &leg.target));
    let edges = bands.flat_map(|(wanted, band)| [wanted - band, wanted + band]);
    let (low, high) = range(flown.chain(edges));
    let margin = match side {
        // Room for the labels above the gates.
        Measure::Share => 0.1 * (high - low),
        _ => (0.05 * (high - low)).max(1.0),
    };
    Up::new(low - margin, high + margin, dots)
}
