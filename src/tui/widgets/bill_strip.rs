//! The bill below lever and engine on the same time axis: what each task has cost so far, climbing where points are lost.

use ratatui::layout::Rect;

use super::dots::Dots;
use super::plot::{Up, axis, label, line, picture};
use super::stretch::Stretch;
use crate::export::axis::{FULL, lost};
use crate::tui::canvas::Canvas;
use crate::tui::theme::Role;
use crate::why::Weighed;

/// Draws the points that each task has lost since it began, and the number of each line of the bill where that line begins; the
/// chosen one stands out.
pub fn bill(
    stretch: &Stretch,
    weighed: &Weighed,
    chosen: Option<usize>,
    area: Rect,
    canvas: &mut Canvas,
) {
    let picture = picture(area);
    if picture.width < 10 || picture.height == 0 {
        return;
    }
    let bills = || weighed.bills.iter();
    let of_tick = |tick: usize| {
        let legs = stretch.run.legs().iter();
        let leg = legs.take_while(|leg| leg.start as usize <= tick).count();
        bills().find(|bill| Some(bill.leg) == leg.checked_sub(1))
    };
    let shown = bills().filter(|bill| stretch.shows(bill.leg));
    let most = shown.map(|bill| lost(bill, u64::MAX)).fold(FULL, f64::max);
    let mut dots = Dots::new(picture);
    let up = Up::new(0.0, most, &dots);
    let along = stretch.along(dots.width());
    let value = |tick: usize| of_tick(tick).map_or(0.0, |bill| lost(bill, tick as u64));
    let leg_of = |tick: usize| of_tick(tick).map(|bill| bill.leg);
    let breaks = |a, b| leg_of(a) != leg_of(b);
    let dot = |tick| up.dot(value(tick));
    line(stretch, &along, &mut dots, dot, breaks);
    axis(picture, canvas);
    label("bill", picture.bottom() - 1, Role::Quiet, picture, canvas);
    if picture.height > 1 {
        let most = format!("{most:.0} pt");
        label(&most, picture.y, Role::Quiet, picture, canvas);
    }
    dots.render(canvas);
    for (index, line) in weighed.told().iter().enumerate() {
        let tick = line.from as usize;
        let column = along.column(picture, tick);
        let Some(x) = column.filter(|_| stretch.is_chosen(tick)) else {
            continue;
        };
        let role = match chosen == Some(index) {
            true => Role::Marker,
            false => Role::Strong,
        };
        // One row above the curve, or on it where that is in the top row.
        let row = up.row(value(tick), picture);
        let y = row.saturating_sub(1).max(picture.y);
        let n = (index + 1).to_string();
        let x = x.min(picture.right() - n.len() as u16);
        canvas.put(x, y, n, role);
    }
}
