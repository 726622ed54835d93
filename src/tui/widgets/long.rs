//! A page of several places that is longer than the screen: drawn whole, then shown from a row on.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::tui::canvas::Canvas;

/// Draws so many rows and shows what fits from row `scroll` on, which is held to what there is; whether more lies below.
pub fn draw(
    rows: u16,
    scroll: &mut u16,
    area: Rect,
    canvas: &mut Canvas,
    draw: impl FnOnce(&mut Canvas),
) -> bool {
    let mut long = Buffer::empty(Rect::new(0, 0, area.width, rows.max(1)));
    let (buffer, theme) = (&mut long, canvas.theme);
    draw(&mut Canvas { buffer, theme });
    let hidden = long.area.height.saturating_sub(area.height);
    *scroll = (*scroll).min(hidden);
    for y in 0..area.height.min(long.area.height) {
        for x in 0..area.width {
            canvas.buffer[(area.x + x, area.y + y)] = long[(x, *scroll + y)].clone();
        }
    }
    *scroll < hidden
}
