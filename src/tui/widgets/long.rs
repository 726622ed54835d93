//! A page of several places that is longer than the screen: drawn whole, then shown from a row on.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// Shows what fits from row `scroll` on, which is held to what there is; whether more lies below.
pub fn show(long: &Buffer, scroll: &mut u16, area: Rect, buffer: &mut Buffer) -> bool {
    let hidden = long.area.height.saturating_sub(area.height);
    *scroll = (*scroll).min(hidden);
    for y in 0..area.height.min(long.area.height) {
        for x in 0..area.width.min(long.area.width) {
            buffer[(area.x + x, area.y + y)] = long[(x, *scroll + y)].clone();
        }
    }
    *scroll < hidden
}
