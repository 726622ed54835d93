//! The runs that were kept, the latest first.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::text::Line;

use super::words;
use crate::drill::printable::{cut, padded, printable};
use crate::export::text::word;
use crate::logbook::Entry;
use crate::run::recording::HandName;
use crate::tui::theme::{Mark, Role, Theme};

/// The list.
pub struct Runs {
    /// The runs, the latest first.
    pub entries: Vec<Entry>,
    /// The chosen one.
    pub chosen: usize,
    /// Why the list, or a run of it, could not be read.
    pub trouble: Option<String>,
}

impl Runs {
    /// Moves the choice.
    pub fn move_by(&mut self, by: i16) {
        let last = self.entries.len().saturating_sub(1);
        self.chosen = self.chosen.saturating_add_signed(by.into()).min(last);
        self.trouble = None;
    }
}

/// Draws the list.
pub fn draw(runs: &Runs, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let quiet = theme.style(Role::Quiet);
    let count = format!("{} kept ", runs.entries.len());
    let title = Line::styled(" runs, the latest first", theme.style(Role::Strong));
    words::row(buffer, area, area.y, title, Line::styled(count, quiet));
    let rows = usize::from(area.height.saturating_sub(5));
    let first = (runs.chosen + 2)
        .saturating_sub(rows)
        .min(runs.entries.len().saturating_sub(rows));
    for (row, index) in (first..runs.entries.len()).take(rows).enumerate() {
        let is_chosen = index == runs.chosen;
        let (mark, role) = match is_chosen {
            true => (theme.mark(Mark::Chosen), Role::Strong),
            false => (" ", Role::Ink),
        };
        let text = format!(" {mark} {}", line(&runs.entries[index]));
        let y = area.y + 2 + row as u16;
        buffer.set_stringn(area.x, y, text, usize::from(area.width), theme.style(role));
    }
    if runs.entries.is_empty() && runs.trouble.is_none() {
        let text = " No run was kept yet: fly one, and it is here.";
        buffer.set_string(area.x, area.y + 2, text, theme.style(Role::Ink));
    }
    if let Some(trouble) = &runs.trouble {
        let y = area.bottom().saturating_sub(3);
        let text = format!(" {}", printable(trouble));
        buffer.set_stringn(
            area.x,
            y,
            text,
            usize::from(area.width),
            theme.style(Role::Warning),
        );
    }
    let keys = Line::styled(" enter opens its debrief   up, down choose", quiet);
    let right = Line::styled("q menu   ? help ", quiet);
    words::row(buffer, area, area.bottom() - 1, keys, right);
}

fn line(entry: &Entry) -> String {
    let points = match entry.points {
        Some(points) => format!("{points:>3.0} points"),
        None => "not scored".to_string(),
    };
    let how = match (entry.fault, entry.left) {
        (Some(fault), _) => word(fault),
        (None, true) => "left".to_string(),
        (None, false) => String::new(),
    };
    let hand = match entry.hand {
        HandName::Person => String::new(),
        hand => word(hand).replace('_', " "),
    };
    let title = printable(&entry.title);
    let title = padded(cut(&title, 28), 28);
    let id = printable(&entry.id);
    format!("{id:<20}  {title}  {points:<10}  {how:<7}  {hand}")
}
