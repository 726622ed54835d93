//! The engine beside the lever: the mark it has on the rail, wherever it is not where the lever is.

use ratatui::layout::Rect;

use super::dots::DOWN;
use crate::tui::canvas::Canvas;
use crate::tui::theme::{Mark, Role};

/// Columns from one mark to the next.
pub(super) const APART: usize = 4;
/// Nearer than this to the lever it is the lever's own line that tells it, dots.
const BESIDE: i32 = 2;

/// Draws marks over a picture: column, dot of the engine and dot of the lever of each.
pub(super) fn marks(
    marks: impl Iterator<Item = (u16, i32, i32)>,
    picture: Rect,
    canvas: &mut Canvas,
) {
    let rows = i32::from(picture.height);
    for (x, engine, lever) in marks {
        let row = engine.div_euclid(DOWN);
        let is_apart = (engine - lever).abs() >= BESIDE && row != lever.div_euclid(DOWN);
        if is_apart && (0..rows).contains(&row) && x < picture.width {
            let y = picture.y + row as u16;
            canvas.set_mark(picture.x + x, y, Mark::Engine, Role::Engine);
        }
    }
}
