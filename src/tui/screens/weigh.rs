//! The screen while a run that is over is being weighed, with a bar that shows how far that has come.

use ratatui::layout::Rect;

use super::words;
use crate::tui::canvas::Canvas;
use crate::tui::theme::Role;

const BAR: usize = 40;

/// Draws the screen for a drill's title, with the share of the work that is done, 0 to 1.
pub fn draw(title: &str, share: f64, area: Rect, canvas: &mut Canvas) {
    let quiet = Role::Quiet;
    words::head(title, "", "", area, canvas);
    let x = area.x + area.width.saturating_sub(BAR as u16) / 2;
    let y = area.y + area.height / 2;
    canvas.put(x, y - 2, "The run is over and is being weighed.", Role::Ink);
    let filled = (share.clamp(0.0, 1.0) * BAR as f64).round() as usize;
    let bar = canvas.theme.bar(filled, BAR);
    canvas.put(x, y, bar, Role::Band);
    canvas.put(x, y + 2, "Two built-in hands fly the same drill", quiet);
    canvas.put(x, y + 3, "in the same air, to find par and best.", quiet);
    let keys = " q skips the wait   enter again   n next drill";
    words::foot(keys, "", area, canvas);
}
