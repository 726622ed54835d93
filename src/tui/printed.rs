//! Pictures as lines of text, for where there is no screen: a track's debrief, and a learning curve through runs.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::canvas::Canvas;
use super::screens::debrief::{self, Debrief};
use super::theme::Theme;
use super::widgets::learning::{self, Series};
use crate::progress::Curve;

/// As wide as the text below it.
const COLUMNS: u16 = 78;
/// Rows of a debrief's picture.
const ROWS: u16 = 20;
/// Rows of a learning curve: a dot is a fortieth of the points.
const LEARNING_ROWS: u16 = 12;

/// The run with its band, lever and bill on one time axis, and the meaning of the dotted line.
pub fn picture(debrief: &Debrief, theme: &Theme) -> String {
    lines(ROWS, theme, |area, canvas| {
        debrief::draw_print(debrief, area, canvas)
    })
}

/// A figure of the runs of `title`, each a dot, and the curve through them.
pub fn learning(
    title: &str,
    figure: &str,
    values: &[f64],
    curve: Option<&Curve>,
    theme: &Theme,
) -> String {
    lines(LEARNING_ROWS, theme, |area, canvas| {
        learning::draw(title, values, curve, &Series::of(figure), area, canvas);
    })
}

fn lines(rows: u16, theme: &Theme, draw: impl FnOnce(Rect, &mut Canvas)) -> String {
    let area = Rect::new(0, 0, COLUMNS, rows);
    let mut buffer = Buffer::empty(area);
    let (buffer, theme) = (&mut buffer, *theme);
    draw(area, &mut Canvas { buffer, theme });
    let mut text = String::new();
    for y in 0..rows {
        let row: String = (0..COLUMNS).map(|x| buffer[(x, y)].symbol()).collect();
        text.push_str(row.trim_end());
        text.push('\n');
    }
    text
}
