//! Points or a figure over runs, and the learning curve.

use ratatui::layout::Rect;

use super::dots::Dots;
use super::plot::{self, Up};
use crate::drill::reader::{fixed, printable};
use crate::export::axis::round_step;
use crate::export::progress_words::count;
use crate::progress::Curve;
use crate::score::metrics::{METRICS, Metric};
use crate::tui::canvas::{self, Canvas};
use crate::tui::theme::Role;

/// The key of points, which are shown in the same way as the figures.
pub const POINTS: &str = "points";

/// What is shown over the runs: points or a figure.
pub struct Series {
    metric: Option<&'static Metric>,
}

impl Series {
    pub fn of(key: &str) -> Series {
        let metric = METRICS.iter().find(|metric| metric.key == key);
        Series { metric }
    }

    /// Its name and unit.
    pub fn label(&self) -> String {
        match self.metric {
            None => "points of runs flown to the end".to_string(),
            Some(metric) if metric.told_in().is_empty() => metric.label.to_string(),
            Some(metric) => format!("{}, {}", metric.label, metric.told_in()),
        }
    }

    /// A value, as precise as is worth reading.
    pub fn plain(&self, x: f64) -> String {
        match self.metric {
            Some(metric) if metric.told_in() == "%" => metric.number(x, 0),
            Some(metric) if metric.unit == "deg" => metric.number(x, 2),
            metric => fixed(x, usize::from(metric.is_some() && x.abs() < 10.0)),
        }
    }

    /// The same with its sign.
    pub fn signed(&self, x: f64) -> String {
        let text = self.plain(x);
        match text.starts_with('-') {
            true => text,
            false => format!("+{text}"),
        }
    }

    /// The values at the bottom and at the top of the picture.
    fn range(&self, values: &[f64]) -> (f64, f64) {
        if self.metric.is_none() {
            return (0.0, 100.0);
        }
        let most = values.iter().fold(0.0, |most: f64, x| most.max(x.abs()));
        let high = round_step(most);
        let is_signed = values.iter().any(|x| *x < 0.0);
        (if is_signed { -high } else { 0.0 }, high)
    }
}

/// Draws the values over the runs of `title`, each as a mark, and the curve as a line.
pub fn draw(
    title: &str,
    values: &[f64],
    curve: Option<&Curve>,
    figure: &Series,
    area: Rect,
    canvas: &mut Canvas,
) {
    if area.height < 3 || values.is_empty() {
        return;
    }
    let (low, high) = figure.range(values);
    let mut picture = plot::picture(area);
    canvas::bottom(&mut picture, 1);
    let mut dots = Dots::new(picture);
    let up = Up::new(low, high, &dots);
    let last = values.len().max(2) - 1;
    let along =
        |run: usize, width: i32| (run as f64 / last as f64 * f64::from(width - 1)).round() as i32;
    for (run, value) in values.iter().enumerate() {
        // Two dots high, so that a run stands out from the line.
        let (x, y) = (along(run, dots.width()), up.dot(*value));
        dots.column(x, y, y + 1, Role::Ink);
    }
    if let Some(curve) = curve {
        let width = dots.width();
        let role = match curve.is_told() {
            true => Role::Alternative,
            false => Role::Quiet,
        };
        dots.curve(0..width, role, |x| {
            let run = 1.0 + f64::from(x) / f64::from(width - 1) * last as f64;
            Some(up.dot(curve.at(run).clamp(low, high)))
        });
    }
    plot::axis(picture, canvas);
    let decimals = usize::from(high < 2.0);
    for value in [high, (low + high) / 2.0, low] {
        let y = up.row(value, picture);
        let label = match figure.metric {
            None => format!("{value:.0} pt"),
            Some(_) => fixed(value, decimals),
        };
        plot::label(&label, y, Role::Quiet, picture, canvas);
    }
    dots.render(canvas);
    let (title, runs) = (printable(title), count(values.len(), "run"));
    let told = match curve.map(|curve| figure.plain(curve.scatter)) {
        Some(scatter) => format!("{title}: {runs}, scattered by {scatter} about the line"),
        None => format!("{title}: {runs} flown to the end"),
    };
    let (x, y, room) = (picture.x, picture.bottom(), picture.width);
    canvas.put_within(x, y, told, room, Role::Quiet);
}
