//! The list of runs that were kept, the latest first.

use ratatui::layout::Rect;

use super::words;
use crate::drill::printable::printable;
use crate::export::text;
use crate::logbook::Entry;
use crate::run::recording::HandName;
use crate::tui::canvas::Canvas;
use crate::tui::theme::Role;

/// The columns at which the parts of a row begin. The longest name of a hand and how its run ended fit into 80 columns.
const ID: u16 = 3;
const TITLE: u16 = 25;
const POINTS: u16 = 51;
const END: u16 = 56;
const WHEN: u16 = 83;
const AIRCRAFT: u16 = 102;
const AIDS: u16 = 118;
/// From this width on there is room for all of them.
const WIDE: u16 = 128;

pub struct Runs {
    /// The runs, the latest first.
    pub entries: Vec<Entry>,
    pub chosen: usize,
    /// Why the list, or a run of it, could not be read.
    pub trouble: Option<String>,
}

impl Runs {
    pub fn move_by(&mut self, by: i16) {
        let last = self.entries.len().saturating_sub(1);
        self.chosen = self.chosen.saturating_add_signed(by.into()).min(last);
        self.trouble = None;
    }
}

pub fn draw(runs: &Runs, area: Rect, canvas: &mut Canvas) {
    let quiet = Role::Quiet;
    let count = format!("{} kept ", runs.entries.len());
    words::head("runs, latest first", "", count, area, canvas);
    let (rows, all) = (
        usize::from(area.height.saturating_sub(6)),
        runs.entries.len(),
    );
    let first = (runs.chosen + 2).saturating_sub(rows);
    let first = first.min(all.saturating_sub(rows));
    for (row, index) in (first..all).take(rows).enumerate() {
        let (mark, role) = canvas.theme.row(index == runs.chosen);
        let place = Rect::new(area.x, area.y + 3 + row as u16, area.width, 1);
        canvas.put(place.x + 1, place.y, mark, role);
        put_run(&runs.entries[index], role, place, canvas);
    }
    if !runs.entries.is_empty() {
        let mut names = vec![(ID, "run"), (TITLE, "drill"), (POINTS - 3, "points")];
        if area.width >= WIDE {
            names.extend([(WHEN, "flown"), (AIRCRAFT, "aeroplane")]);
        }
        for (column, name) in names {
            canvas.put(area.x + column, area.y + 2, name, quiet);
        }
    }
    if runs.entries.is_empty() && runs.trouble.is_none() {
        let text = " No run has been kept yet: fly one and it appears here.";
        canvas.put(area.x, area.y + 3, text, Role::Ink);
    }
    if let Some(trouble) = &runs.trouble {
        let y = area.bottom().saturating_sub(3);
        let text = format!(" {}", printable(trouble));
        canvas.put_within(area.x, y, text, area.width, Role::Warning);
    }
    let keys = " enter opens its debrief   up, down choose";
    words::foot(keys, "q menu", area, canvas);
}

/// Draws one run: id, title, points and how it ended; where there is room, also when it was flown, the aeroplane and the aids.
fn put_run(entry: &Entry, role: Role, area: Rect, canvas: &mut Canvas) {
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
    // Each part is cut before the next column.
    let nexts = parts.iter().skip(1).map(|(next, _)| next - 2);
    for ((column, text), until) in parts.iter().zip(nexts.chain([area.width])) {
        let room = until.saturating_sub(*column);
        canvas.put_within(area.x + column, area.y, text, room, role);
    }
}

/// The hand that flew it, unless a person did, and how it ended, if it did before its time.
fn how(entry: &Entry) -> String {
    let hand = match entry.hand {
        HandName::Person => String::new(),
        hand => text::word(hand),
    };
    let end = match (entry.fault, entry.left) {
        (Some(fault), _) => text::word(fault),
        (None, true) => "left".to_string(),
        (None, false) => String::new(),
    };
    format!("{hand} {end}").trim().to_string()
}
