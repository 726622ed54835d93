//! The drag curve as a picture: thrust for level flight against speed, the back side shaded.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::dots::{ACROSS, DOWN, Dots};
use super::scope::GUTTER;
use super::strip::round_step;
use crate::brief::drag_curve::DragCurve;
use crate::drill::reader::plain;
use crate::tui::theme::{Mark, Role, Theme};

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

/// Draws the curve with its axes.
pub fn draw(curve: &DragCurve, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let picture = Rect {
        x: area.x + GUTTER,
        y: area.y + 1,
        width: area.width.saturating_sub(GUTTER + 1),
        height: area.height.saturating_sub(2),
    };
    if picture.width < 30 || picture.height < 5 {
        return;
    }
    let quiet = theme.style(Role::Quiet);
    let heading = "thrust for level flight, % of weight, against speed";
    buffer.set_stringn(picture.x, area.y, heading, area.width as usize, quiet);
    let mut dots = Dots::new(picture);
    let scale = Axes::new(curve, &dots);
    shade(curve, &scale, &mut dots);
    let mut last = scale.curve_dot(curve, 0);
    for x in 0..dots.width() {
        let y = scale.curve_dot(curve, x);
        dots.column(x, y, last + (y - last).signum(), Role::Ink);
        last = y;
    }
    let named = named(curve);
    for (row, mark) in named.iter().enumerate() {
        let x = scale.along(mark.speed_kt);
        let bottom = scale.curve_dot(curve, x);
        let every = if mark.role == Role::Marker { 2 } else { 3 };
        for y in (row as i32 * DOWN..bottom).step_by(every) {
            dots.set(x, y, mark.role);
        }
        if mark.role == Role::Marker {
            (x - 1..=x + 1).for_each(|x| dots.column(x, bottom - 1, bottom + 1, Role::Marker));
        }
    }
    dots.render(buffer, theme);
    for (row, mark) in named.iter().enumerate() {
        let x = picture.x + (scale.along(mark.speed_kt) / ACROSS) as u16 + 2;
        let word = format!("{} {:.0} kt", mark.word, mark.speed_kt);
        let style = theme.style(mark.role);
        buffer.set_stringn(
            x,
            picture.y + row as u16,
            word,
            usize::from(picture.right().saturating_sub(x)),
            style,
        );
    }
    if let Some(end_kt) = curve.min_drag_kt {
        let cells = (scale.along(end_kt) / ACROSS) as u16;
        if cells as usize > BACK_SIDE.len() {
            let x = picture.x + (cells - BACK_SIDE.len() as u16) / 2;
            let y = picture.bottom() - 1;
            buffer.set_string(x, y, BACK_SIDE, theme.style(Role::Ink));
        }
    }
    axes(&scale, picture, buffer, theme);
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

fn axes(scale: &Axes, picture: Rect, buffer: &mut Buffer, theme: &Theme) {
    let quiet = theme.style(Role::Quiet);
    for y in picture.top()..picture.bottom() {
        buffer.set_string(picture.x - 1, y, theme.mark(Mark::Axis), quiet);
    }
    let every = round_step(3.0 * (scale.high - scale.low) / f64::from(picture.height));
    let mut percent = (scale.low / every).ceil() * every;
    while percent <= scale.high {
        let row = (scale.up(percent) / DOWN) as u16;
        let text = format!("{:>4} %", plain(percent));
        buffer.set_string(picture.x - GUTTER, picture.y + row, text, quiet);
        percent += every;
    }
    let y = picture.bottom();
    let stall = format!("stall {:.0} kt", scale.slow_kt);
    buffer.set_string(picture.x, y, &stall, quiet);
    let taken = picture.x + stall.len() as u16 + 1;
    let every_kt = round_step(9.0 * (scale.fast_kt - scale.slow_kt) / f64::from(picture.width));
    let mut kt = (scale.slow_kt / every_kt).ceil() * every_kt;
    while kt <= scale.fast_kt {
        let x = picture.x + (scale.along(kt) / ACROSS) as u16;
        let label = format!("{kt:.0}");
        let begin = x.saturating_sub(label.len() as u16 / 2);
        if begin >= taken && begin + label.len() as u16 <= picture.right() {
            buffer.set_string(begin, y, label, quiet);
        }
        kt += every_kt;
    }
}

/// Speeds along, thrust up.
struct Axes {
    slow_kt: f64,
    fast_kt: f64,
    low: f64,
    high: f64,
    width: i32,
    height: i32,
}

impl Axes {
    fn new(curve: &DragCurve, dots: &Dots) -> Axes {
        let speeds = curve.points.iter().map(|point| point.speed_kt);
        let thrusts = curve
            .points
            .iter()
            .map(|point| 100.0 * point.thrust_to_weight);
        let (least, most) = thrusts.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), t| {
            (low.min(t), high.max(t))
        });
        // A curve that is all but flat keeps a height to be drawn in.
        let span = (most - least).max(0.1);
        Axes {
            slow_kt: speeds.clone().fold(f64::INFINITY, f64::min),
            fast_kt: speeds.fold(f64::NEG_INFINITY, f64::max),
            low: least - BELOW * span,
            high: most + ABOVE * span,
            width: dots.width(),
            height: dots.height(),
        }
    }

    fn along(&self, speed_kt: f64) -> i32 {
        let share = (speed_kt - self.slow_kt) / (self.fast_kt - self.slow_kt);
        (share * f64::from(self.width - 1)).round() as i32
    }

    fn up(&self, percent: f64) -> i32 {
        let share = (percent - self.low) / (self.high - self.low);
        ((1.0 - share) * f64::from(self.height - 1)).round() as i32
    }

    /// Dot of the curve in a column; between two points of it by a straight line.
    fn curve_dot(&self, curve: &DragCurve, x: i32) -> i32 {
        let last = curve.points.len() - 1;
        let at = f64::from(x) / f64::from(self.width - 1) * last as f64;
        let before = (at.max(0.0) as usize).min(last);
        let share = at - before as f64;
        let thrust = |index: usize| 100.0 * curve.points[index.min(last)].thrust_to_weight;
        self.up((1.0 - share) * thrust(before) + share * thrust(before + 1))
    }
}
