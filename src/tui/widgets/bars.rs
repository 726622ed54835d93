//! Points of runs as bars, the last run last: in one row, or as a picture with par in it.

use ratatui::layout::Rect;

use crate::score::points::PAR_POINTS;
use crate::tui::canvas::{self, Canvas};
use crate::tui::theme::{Role, Theme};

/// Rows of the bars where there is room and where there is less: multiples of four, so that par lies between two rows.
pub const ROWS: (u16, u16) = (8, 4);
/// Rows of the picture besides those of its bars: a heading, and the numbers below them.
pub const MORE: u16 = 2;
/// Columns of a bar and the gap after it.
const STEP: u16 = 4;
/// From an empty to a full cell, in eighths.
const EIGHTHS: [&str; 9] = [" ", "▁", "▂", "▃", "▄", "▅", "▆", "▇", "█"];

/// One character per run; without block characters, the tens digit of its points.
pub fn row(points: &[f64], theme: &Theme) -> String {
    let bar = |points: &f64| {
        let points = points.clamp(0.0, 100.0);
        match theme.unicode {
            true => EIGHTHS[1 + (points / 100.0 * 7.0).round() as usize].to_string(),
            false => ((points / 10.0) as usize).min(9).to_string(),
        }
    };
    points.iter().map(bar).collect()
}

/// Draws the picture: bars that are `rows` high at 100 points, with their numbers below, and a line at par.
pub fn draw(points: &[f64], rows: u16, area: Rect, canvas: &mut Canvas) {
    let quiet = Role::Quiet;
    let heading = match points.len() {
        1 => "your one complete run, points".to_string(),
        count => format!("your last {count} complete runs, points"),
    };
    canvas.put(area.x, area.y, heading, quiet);
    let mut area = area;
    canvas::top(&mut area, 1);
    let par_row = rows - (PAR_POINTS / 100.0 * f64::from(rows)) as u16;
    let rule = canvas.theme.either("▔", "-");
    let width = STEP * points.len() as u16;
    let par = format!("{} par", rule.repeat(usize::from(width)));
    canvas.put_within(area.x, area.y + par_row, par, area.width, quiet);
    for (n, points) in points.iter().enumerate() {
        let x = area.x + STEP * n as u16;
        if x + STEP > area.right() {
            return;
        }
        let eighths = (points.clamp(0.0, 100.0) / 100.0 * f64::from(8 * rows)).round() as u16;
        for row in 0..rows {
            let filled = eighths.saturating_sub(8 * row).min(8);
            let cell = match canvas.theme.unicode {
                true => EIGHTHS[usize::from(filled)],
                false if filled >= 4 => "#",
                false => " ",
            };
            // An empty cell leaves the line at par as it is.
            if cell != " " {
                let y = area.y + rows - 1 - row;
                canvas.put(x, y, cell.repeat(3), Role::Alternative);
            }
        }
        let number = format!("{points:>3.0}");
        canvas.put(x, area.y + rows, number, Role::Ink);
    }
}
