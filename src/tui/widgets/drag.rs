//! The drag curve as a picture: thrust for level flight against speed, the back side shaded.

use ratatui::layout::Rect;

use super::dots::{ACROSS, DOWN, Dots};
use super::plot::{self, Up};
use crate::brief::drag_curve::DragCurve;
use crate::drill::reader::plain;
use crate::export::axis::{multiples, range, round_step};
use crate::tui::canvas::{self, Canvas};
use crate::tui::theme::Role;

/// Room below the curve and above it, as shares of the curve's own height.
const BELOW: f64 = 0.4;
const ABOVE: f64 = 0.05;
const BACK_SIDE: &str = " back side ";

pub fn draw(curve: &DragCurve, area: Rect, canvas: &mut Canvas) {
    let mut picture = plot::between_texts(area);
    canvas::right(&mut picture, 1);
    if picture.width < 30 || picture.height < 5 {
        return;
    }
    let heading = "thrust for level flight, % of weight, against speed";
    canvas.put_within(picture.x, area.y, heading, area.width, Role::Quiet);
    let mut dots = Dots::new(picture);
    let scale = Axes::new(curve, &dots);
    shade(curve, &scale, &mut dots);
    let curve_dot = |x| scale.curve_dot(curve, x);
    dots.curve(0..dots.width(), Role::Ink, |x| Some(curve_dot(x)));
    let named = named(curve);
    for (row, (_, speed_kt, role)) in (0..).zip(&named) {
        let x = scale.along(*speed_kt);
        let bottom = curve_dot(x);
        let every = if *role == Role::Marker { 2 } else { 3 };
        for y in (row * DOWN..bottom).step_by(every) {
            dots.set(x, y, *role);
        }
        if *role == Role::Marker {
            dots.spot(x, bottom);
        }
    }
    dots.render(canvas);
    for (y, (word, speed_kt, role)) in (picture.y..).zip(named) {
        let x = picture.x + (scale.along(speed_kt) / ACROSS) as u16 + 2;
        let word = format!("{word} {speed_kt:.0} kt");
        let room = picture.right().saturating_sub(x);
        canvas.put_within(x, y, word, room, role);
    }
    let end = curve.min_drag_kt.map(|end_kt| scale.along(end_kt));
    let back_side = end.unwrap_or(0) / ACROSS;
    if back_side > BACK_SIDE.len() as i32 {
        let x = picture.x + (back_side as u16 - BACK_SIDE.len() as u16) / 2;
        canvas.put(x, picture.bottom() - 1, BACK_SIDE, Role::Ink);
    }
    axes(&scale, picture, canvas);
}

/// The speeds that have a name, slowest first, so that a word never crosses the line of another.
fn named(curve: &DragCurve) -> Vec<(&'static str, f64, Role)> {
    let all = [
        ("on speed", Some(curve.on_speed_kt), Role::Marker),
        ("minimum power", curve.min_power_kt, Role::Ink),
        ("minimum drag", curve.min_drag_kt, Role::Ink),
    ];
    let known = all.into_iter();
    let known = known.filter_map(|(word, speed_kt, role)| Some((word, speed_kt?, role)));
    let mut named: Vec<_> = known.collect();
    named.sort_by(|(_, a, _), (_, b, _)| a.total_cmp(b));
    named
}

/// Fills the area below the curve with sparse dots where flying slower takes more thrust.
fn shade(curve: &DragCurve, scale: &Axes, dots: &mut Dots) {
    let Some(end_kt) = curve.min_drag_kt else {
        return;
    };
    for (column, x) in (0..scale.along(end_kt)).step_by(4).enumerate() {
        let top = scale.curve_dot(curve, x) + 3;
        let stagger = if column % 2 == 0 { 0 } else { 2 };
        for y in (stagger..dots.height()).step_by(4).filter(|y| *y >= top) {
            dots.set(x, y, Role::Band);
        }
    }
}

fn axes(scale: &Axes, picture: Rect, canvas: &mut Canvas) {
    plot::axis(picture, canvas);
    let Up { low, high, .. } = scale.up;
    let every = round_step((3.0 * (high - low) / f64::from(picture.height)).max(1.0));
    for percent in multiples(every, low, high) {
        let y = scale.up.row(percent, picture);
        let text = format!("{} %", plain(percent));
        plot::label(&text, y, Role::Quiet, picture, canvas);
    }
    let y = picture.bottom();
    let stall = format!("stall {:.0} kt", scale.slow_kt);
    canvas.put(picture.x, y, &stall, Role::Quiet);
    let taken = picture.x + stall.len() as u16 + 1;
    let (slow_kt, fast_kt) = (scale.slow_kt, scale.fast_kt);
    let every_kt = round_step((9.0 * (fast_kt - slow_kt) / f64::from(picture.width)).max(1.0));
    for kt in multiples(every_kt, slow_kt, fast_kt) {
        let x = picture.x + (scale.along(kt) / ACROSS) as u16;
        let label = format!("{kt:.0}");
        let begin = x.saturating_sub(label.len() as u16 / 2);
        if begin >= taken && begin + label.len() as u16 <= picture.right() {
            canvas.put(begin, y, label, Role::Quiet);
        }
    }
}

/// The axes: speed across, thrust up.
struct Axes {
    slow_kt: f64,
    fast_kt: f64,
    up: Up,
    width: i32,
}

impl Axes {
    fn new(curve: &DragCurve, dots: &Dots) -> Axes {
        let points = || curve.points.iter();
        let speeds = points().map(|point| point.speed_kt);
        let thrusts = points().map(|point| 100.0 * point.thrust_to_weight);
        let ((slow_kt, fast_kt), (least, most)) = (range(speeds), range(thrusts));
        // Leave a nearly flat curve some height to be drawn in.
        let span = (most - least).max(0.1);
        Axes {
            slow_kt,
            fast_kt,
            up: Up::new(least - BELOW * span, most + ABOVE * span, dots),
            width: dots.width(),
        }
    }

    fn along(&self, speed_kt: f64) -> i32 {
        let share = (speed_kt - self.slow_kt) / (self.fast_kt - self.slow_kt);
        (share * f64::from(self.width - 1)).round() as i32
    }

    /// The dot of the curve in a column, interpolated linearly between its points.
    fn curve_dot(&self, curve: &DragCurve, x: i32) -> i32 {
        let last = curve.points.len() - 1;
        let at = f64::from(x) / f64::from(self.width - 1) * last as f64;
        let before = (at.max(0.0) as usize).min(last);
        let share = at - before as f64;
        let thrust = |index: usize| 100.0 * curve.points[index.min(last)].thrust_to_weight;
        self.up
            .dot((1.0 - share) * thrust(before) + share * thrust(before + 1))
    }
}
