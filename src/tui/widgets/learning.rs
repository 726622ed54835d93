//! Points over runs, and the curve of what was learnt.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::dots::Dots;
use super::plot::{self, Up};
use crate::export::progress_words::count;
use crate::progress::Summary;
use crate::tui::theme::{Role, Theme};

/// Points that stand beside the picture.
const LABELS: [f64; 3] = [100.0, 50.0, 0.0];

/// Points over the runs, each a dot, and the curve as a line.
pub fn draw(row: &Summary, points: &[f64], area: Rect, buffer: &mut Buffer, theme: &Theme) {
    if area.height < 3 || points.is_empty() {
        return;
    }
    let picture = plot::picture(Rect {
        height: area.height - 1,
        ..area
    });
    let mut dots = Dots::new(picture);
    let up = Up {
        low: 0.0,
        high: 100.0,
        dots: dots.height(),
    };
    let last = points.len().max(2) - 1;
    let along =
        |run: usize, width: i32| (run as f64 / last as f64 * f64::from(width - 1)).round() as i32;
    for (run, points) in points.iter().enumerate() {
        // Each run two dots high, so that it is seen beside the line.
        let (x, y) = (along(run, dots.width()), up.dot(*points));
        dots.column(x, y, y + 1, Role::Ink);
    }
    if let Some(curve) = &row.curve {
        let width = dots.width();
        let mut before = None;
        for x in 0..width {
            let run = (f64::from(x) / f64::from(width - 1) * last as f64).round() as usize;
            let y = up.dot(curve.at(run + 1).clamp(0.0, 100.0));
            dots.column(x, before.unwrap_or(y), y, Role::Alternative);
            before = Some(y);
        }
    }
    plot::axis(picture, buffer, theme);
    for points in LABELS {
        let y = picture.y + (up.dot(points) / (dots.height() / i32::from(picture.height))) as u16;
        let label = format!("{points:>3.0} pt");
        buffer.set_string(area.x, y, label, theme.style(Role::Quiet));
    }
    dots.render(buffer, theme);
    let told = match &row.curve {
        Some(curve) => format!(
            "{}: {} runs flown to the end; they scatter by {:.0} about the line",
            row.title,
            points.len(),
            curve.scatter
        ),
        None => format!(
            "{}: {} flown to the end",
            row.title,
            count(points.len(), "run")
        ),
    };
    let room = usize::from(picture.width);
    buffer.set_stringn(
        picture.x,
        picture.bottom(),
        told,
        room,
        theme.style(Role::Quiet),
    );
}
