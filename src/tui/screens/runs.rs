//! The runs that were kept, the latest first.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::text::Line;

use super::words;
use crate::drill::printable::printable;
use crate::export::text;
use crate::logbook::Entry;
use crate::run::recording::HandName;
use crate::tui::shown;
use crate::tui::theme::{Mark, Role, Theme};

/// Columns of a row. The longest name of a hand and how its run ended fit into 80 columns.
const ID: u16 = 3;
const TITLE: u16 = 25;
const POINTS: u16 = 51;
const END: u16 = 56;
const WHEN: u16 = 83;
const AIRCRAFT: u16 = 102;
const AIDS: u16 = 118;
/// From here on there is room for all of them.
const WIDE: u16 = 128;

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
    let rows = usize::from(area.height.saturating_sub(6));
    let first = (runs.chosen + 2)
        .saturating_sub(rows)
        .min(runs.entries.len().saturating_sub(rows));
    for (row, index) in (first..runs.entries.len()).take(rows).enumerate() {
        let is_chosen = index == runs.chosen;
        let (mark, role) = match is_chosen {
            true => (theme.mark(Mark::Chosen), Role::Strong),
            false => (" ", Role::Ink),
        };
        let place = Rect {
            y: area.y + 3 + row as u16,
            height: 1,
            ..area
        };
        buffer.set_string(place.x + 1, place.y, mark, theme.style(role));
        put_run(&runs.entries[index], place, buffer, theme.style(role));
    }
    if !runs.entries.is_empty() {
        let mut names = vec![(ID, "run"), (TITLE, "drill"), (POINTS - 3, "points")];
        if area.width >= WIDE {
            names.extend([(WHEN, "flown"), (AIRCRAFT, "aeroplane")]);
        }
        for (column, name) in names {
            buffer.set_string(area.x + column, area.y + 2, name, quiet);
        }
    }
    if runs.entries.is_empty() && runs.trouble.is_none() {
        let text = " No run was kept yet: fly one, and it is here.";
        buffer.set_string(area.x, area.y + 3, text, theme.style(Role::Ink));
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
    let keys = " enter opens its debrief   up, down choose";
    words::foot(keys, "q menu", area, buffer, theme);
}

/// One run: id, title, points and how it ended; where there is room when it was flown, the aeroplane and the aids.
fn put_run(entry: &Entry, area: Rect, buffer: &mut Buffer, style: Style) {
    let points = match entry.points {
        Some(points) => format!("{points:>3.0}"),
        None => "  -".to_string(),
    };
    let mut parts = vec![
        (ID, printable(&entry.id)),
        (TITLE, printable(&entry.title)),
        (POINTS, points),
        (END, how(entry)),
    ];
    if area.width >= WIDE {
        parts.push((WHEN, text::when(&entry.at)));
        parts.push((AIRCRAFT, printable(&entry.aircraft)));
        parts.push((AIDS, format!("aids {}", entry.aids.word())));
    }
    put(&parts, area, buffer, style);
}

/// Each text in its column, cut before the next column.
fn put(parts: &[(u16, String)], area: Rect, buffer: &mut Buffer, style: Style) {
    for (column, text) in parts {
        let next = parts.iter().map(|part| part.0).filter(|next| next > column);
        let until = next.min().map_or(area.width, |next| next - 2);
        let room = usize::from(until.saturating_sub(*column));
        buffer.set_stringn(area.x + column, area.y, text, room, style);
    }
}

/// Whose it was, where that was no person, and how it ended before its time.
fn how(entry: &Entry) -> String {
    let hand = match entry.hand {
        HandName::Person => "",
        hand => shown::name(hand),
    };
    let end = match (entry.fault, entry.left) {
        (Some(fault), _) => text::word(fault),
        (None, true) => "left".to_string(),
        (None, false) => String::new(),
    };
    format!("{hand} {end}").trim().to_string()
}
