//! The drag curve as a picture: thrust for level flight against speed, the back side shaded.

use ratatui::layout::Rect;

use super::dots::{ACROSS, DOWN, Dots};
use super::plot::{self, Up};
use crate::brief::drag_curve::DragCurve;
use crate::drill::reader::plain;
use crate::export::axis::{multiples, range, round_step};
use crate::tui::canvas::{self, Canvas};
use crate::tui::theme::Role;

/// Room below the curve and above it, shares of the curve's own height.
const BELOW: f64 = 0.4;
const ABOVE: f64 = 0.05;
const BACK_SIDE: &str = " back side ";

/// A speed that has a name.
struct Named {
    word: &'static str,
    speed_kt: f64,
    role: Role,
}

pub fn draw(curve: &DragCurve, area: Rect, canvas: &mut Canvas) {
    let mut picture = plot::picture(area);
    canvas::top(&mut picture, 1);
    canvas::bottom(&mut picture, 1);
    canvas::right(&mut picture, 1);
    if picture.width < 30 || picture.height < 5 {
        return;
    }
    let heading = "thrust for level flight, % of weight, against speed";
    canvas.put_within(picture.x, area.y, heading, area.width, Role::Quiet);
    let mut dots = Dots::new(picture);
    let scale = Axes::new(curve, &dots);
    shade(curve, &scale, &mut dots);
    dots.curve(0..dots.width(), Role::Ink, |x| {
        Some(scale.curve_dot(curve, x))
    });
    let named = named(curve);
    for (row, mark) in named.iter().enumerate() {
        let x = scale.along(mark.speed_kt);
        let bottom = scale.curve_dot(curve, x);
        let every = if mark.role == Role::Marker { 2 } else { 3 };
        for y in (row as i32 * DOWN..bottom).step_by(every) {
            dots.set(x, y, mark.role);
        }
        if mark.role == Role::Marker {
            dots.spot(x, bottom);
        }
    }
    dots.render(canvas);
    for (row, mark) in named.iter().enumerate() {
        let x = picture.x + (scale.along(mark.speed_kt) / ACROSS) as u16 + 2;
        let word = format!("{} {:.0} kt", mark.word, mark.speed_kt);
        let room = picture.right().saturating_sub(x);
        canvas.put_within(x, picture.y + row as u16, word, room, mark.role);
    }
    if let Some(end_kt) = curve.min_drag_kt {
        let cells = (scale.along(end_kt) / ACROSS) as u16;
        if cells as usize > BACK_SIDE.len() {
            let x = picture.x + (cells - BACK_SIDE.len() as u16) / 2;
            let y = picture.bottom() - 1;
            canvas.put(x, y, BACK_SIDE, Role::Ink);
        }
    }
    axes(&scale, picture, canvas);
}

/// The named speeds, slowest first, so that a word never crosses the line of another.
fn named(curve: &DragCurve) -> Vec<Named> {
    let mut named = vec![Named {
        word: "on speed",
        speed_kt: curve.on_speed_kt,
        role: Role::Marker,
    }];
    for (word, speed_kt) in [
        ("minimum power", curve.min_power_kt),
        ("minimum drag", curve.min_drag_kt),
    ] {
        named.extend(speed_kt.map(|speed_kt| Named {
            word,
            speed_kt,
            role: Role::Ink,
        }));
    }
    named.sort_by(|a, b| a.speed_kt.total_cmp(&b.speed_kt));
    named
}

/// Sparse dots below the curve where flying slower takes more thrust.
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

/// Speeds along, thrust up.
struct Axes {
    slow_kt: f64,
    fast_kt: f64,
    up: Up,
    width: i32,
}

impl Axes {
    fn new(curve: &DragCurve, dots: &Dots) -> Axes {
        let speeds = curve.points.iter().map(|point| point.speed_kt);
        let thrusts = curve
            .points
            .iter()
            .map(|point| 100.0 * point.thrust_to_weight);
        let ((slow_kt, fast_kt), (least, most)) = (range(speeds), range(thrusts));
        // A curve that is all but flat keeps a height to be drawn in.
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

    /// Dot of the curve in a column; between two points of it by a straight line.
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
