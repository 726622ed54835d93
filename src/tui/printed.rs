//! The debrief of a track, and its picture as lines of text for where there is no screen to step through it on.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::screens::debrief::{self, Debrief, Kept, Told};
use super::theme::Theme;
use crate::run::Run;
use crate::why::{Pars, Weighed};

/// Its size: as wide as the text below it.
const COLUMNS: u16 = 78;
const ROWS: u16 = 20;

/// The debrief of a track; `said` is what is to be said of that.
pub fn of_track(run: &Run, weighed: &Weighed, pars: Option<&Pars>, said: Vec<String>) -> Debrief {
    let told = Told {
        run: run.clone(),
        weighed: weighed.clone(),
        pars: pars.cloned(),
        kept: Kept::Track(said),
        stalls: 0,
        moved_with: Vec::new(),
        marks: Vec::new(),
        guesses: Vec::new(),
        notes: Vec::new(),
        lately: Vec::new(),
        beside_last: None,
    };
    Debrief::new(told, None)
}

/// The run with its band, lever and bill on one time axis, and what the dotted line is.
pub fn picture(debrief: &Debrief, theme: &Theme) -> String {
    let area = Rect::new(0, 0, COLUMNS, ROWS);
    let mut buffer = Buffer::empty(area);
    debrief::draw_print(debrief, area, &mut buffer, theme);
    let mut text = String::new();
    for y in 0..ROWS {
        let row: String = (0..COLUMNS).map(|x| buffer[(x, y)].symbol()).collect();
        text.push_str(row.trim_end());
        text.push('\n');
    }
    text
}
