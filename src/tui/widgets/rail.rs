//! The rail: the lever drawn lying down, with what the engine gives and where level flight is.

use ratatui::layout::Rect;

use crate::tui::canvas::Canvas;
use crate::tui::theme::{Mark, Role};

/// Draws the rail on two rows, names above, the rail below. `lever`, `engine` (the position that would hold what the engine gives
/// now) and those in `named` are all lever positions, 0..1.
pub fn draw(lever: f64, engine: f64, named: &[(&str, f64)], area: Rect, canvas: &mut Canvas) {
    if area.width < 12 || area.height < 2 {
        return;
    }
    let last = f64::from(area.width - 1);
    let column = |share: f64| area.x + (share.clamp(0.0, 1.0) * last).round() as u16;
    let (theme, y) = (canvas.theme, area.y + 1);
    let mut put = |x: u16, mark: Mark, role: Role| canvas.put(x, y, theme.mark(mark), role);
    (area.left()..area.right()).for_each(|x| put(x, Mark::RAIL, Role::Quiet));
    for tenth in 0..=10 {
        put(column(f64::from(tenth) / 10.0), Mark::TENTH, Role::Quiet);
    }
    let (lever, engine) = (column(lever), column(engine));
    (lever.min(engine)..lever.max(engine)).for_each(|x| put(x, Mark::GAP, Role::Ink));
    if lever == engine {
        put(lever, Mark::LEVER_AND_ENGINE, Role::Marker);
    } else {
        put(engine, Mark::ENGINE, Role::Engine);
        put(lever, Mark::LEVER, Role::Marker);
    }
    names(named, area, column, canvas);
}

/// Writes each name beside its mark, outwards: of several, the lowest to the left, the others to the right, where there is room.
fn names(named: &[(&str, f64)], area: Rect, column: impl Fn(f64) -> u16, canvas: &mut Canvas) {
    let mark = canvas.theme.mark(Mark::LEVEL);
    let lowest = named.iter().map(|(_, lever)| *lever).fold(1.0, f64::min);
    for (name, lever) in named {
        let x = column(*lever);
        let length = name.chars().count() as u16 + 1;
        let fits_left = x >= area.x + length;
        let leftwards = named.len() > 1 && *lever == lowest && fits_left;
        let (from, text) = match leftwards || x + length >= area.right() {
            true => (x - length, format!("{name} {mark}")),
            false => (x, format!("{mark} {name}")),
        };
        canvas.put(from, area.y, text, Role::Band);
    }
}
