//! The points of the last runs of a drill, the latest at the right, over the line of par.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::dots::{ACROSS, Dots};
use super::plot::{Up, axis, picture};
use super::scope::GUTTER;
use crate::score::PAR_POINTS;
use crate::tui::theme::{Role, Theme};

/// Columns from one to the next.
const APART: u16 = 5;

/// Draws them with their numbers below.
pub fn draw(points: &[f64], area: Rect, buffer: &mut Buffer, theme: &Theme) {
    if area.height < 5 || area.width < GUTTER + APART {
        return;
    }
    let quiet = theme.style(Role::Quiet);
    buffer.set_string(area.x, area.y, " your last runs, points", quiet);
    let place = picture(Rect {
        y: area.y + 1,
        height: area.height - 2,
        ..area
    });
    let fitting = usize::from(place.width / APART);
    let shown = &points[points.len().saturating_sub(fitting)..];
    let mut dots = Dots::new(place);
    let up = Up {
        low: 0.0,
        high: 100.0,
        dots: dots.height(),
    };
    for x in (0..dots.width()).step_by(3) {
        dots.set(x, up.dot(PAR_POINTS), Role::Band);
    }
    for (index, points) in shown.iter().enumerate() {
        let role = match index + 1 == shown.len() {
            true => Role::Marker,
            false => Role::Ink,
        };
        let column = index as u16 * APART + 1;
        let x = i32::from(column) * ACROSS;
        for x in x..x + 2 * ACROSS {
            dots.column(x, up.dot(*points), up.dot(0.0), role);
        }
        let number = format!("{points:>3.0}");
        buffer.set_string(place.x + column, place.bottom(), number, theme.style(role));
    }
    axis(place, buffer, theme);
    for (value, row) in [(100.0, place.y), (0.0, place.bottom() - 1)] {
        buffer.set_string(area.x, row, format!("{value:>3.0} pt"), quiet);
    }
    let par = place.y + (up.dot(PAR_POINTS) / super::dots::DOWN) as u16;
    buffer.set_string(area.x, par, "   par", quiet);
    dots.render(buffer, theme);
}
