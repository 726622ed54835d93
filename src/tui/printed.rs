//! The picture of a debrief as lines of text, for where there is no screen to step through it on.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::screens::debrief::{self, Debrief, Told};
use super::theme::Theme;
use crate::export::flown::Flown;

/// Its size: as wide as the text below it.
const COLUMNS: u16 = 78;
const ROWS: u16 = 20;

/// The run with its band, lever and bill on one time axis, and what the dotted line is.
pub fn picture(flown: &Flown, theme: &Theme) -> String {
    let debrief = Debrief::new(
        Told {
            run: flown.run.clone(),
            weighed: flown.weighed.clone(),
            pars: flown.pars.cloned(),
            saved: Ok(String::new()),
            stalls: 0,
            moved_with: Vec::new(),
            marks: flown.origin.marks().to_vec(),
            guesses: Vec::new(),
            notes: Vec::new(),
            lately: Vec::new(),
            beside_last: None,
        },
        None,
    );
    let area = Rect::new(0, 0, COLUMNS, ROWS);
    let mut buffer = Buffer::empty(area);
    debrief::draw_print(&debrief, area, &mut buffer, theme);
    let mut text = String::new();
    for y in 0..ROWS {
        let row: String = (0..COLUMNS).map(|x| buffer[(x, y)].symbol()).collect();
        text.push_str(row.trim_end());
        text.push('\n');
    }
    text
}
