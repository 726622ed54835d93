//! The chosen drill beside the list: what it asks, the latest runs, and what costs most in them.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::{Paragraph, Widget, Wrap};

use crate::drill::{Drill, air_words};
use crate::export::progress_words::name;
use crate::progress::{Record, costs};
use crate::tui::screens::words;
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::bars;
use crate::units::KT;

/// So many of the dearest kinds of line are told.
const DEAREST: usize = 3;

/// Draws it; nothing in it takes time.
pub fn draw(
    drill: &Drill,
    record: Option<&Record>,
    area: Rect,
    buffer: &mut Buffer,
    theme: &Theme,
) {
    let asked = Paragraph::new(asked(drill, theme)).wrap(Wrap { trim: false });
    let height = (asked.line_count(area.width) as u16).min(area.height);
    asked.render(Rect { height, ..area }, buffer);
    let y = area.y + height + 1;
    let Some(record) = record.filter(|_| y + bars::HEIGHT <= area.bottom()) else {
        return;
    };
    bars::draw(&record.points(), Rect { y, ..area }, buffer, theme);
    let y = y + bars::HEIGHT + 1;
    let costs = costs(&record.latest);
    if costs.lines.is_empty() || y + 1 > area.bottom() {
        return;
    }
    let quiet = theme.style(Role::Quiet);
    buffer.set_string(area.x, y, "what costs you most in them", quiet);
    let rows = y + 1..area.bottom();
    for (y, cost) in rows.zip(costs.lines.iter().take(DEAREST)) {
        let points = cost.points / costs.runs as f64;
        let line = format!("{points:>5.1} points a run   {}", name(&cost.key));
        buffer.set_stringn(
            area.x,
            y,
            line,
            usize::from(area.width),
            theme.style(Role::Ink),
        );
    }
}

fn asked(drill: &Drill, theme: &Theme) -> Vec<Line<'static>> {
    let (ink, strong) = (theme.style(Role::Ink), theme.style(Role::Strong));
    let flown = format!(
        "{}, {:.0} kg, on speed at {:.0} kt; {}",
        drill.aircraft.name,
        drill.aircraft.mass_kg,
        drill.start_trim().speed_mps / KT,
        air_words::in_words(&drill.air)
    );
    let mut lines = vec![
        Line::styled(drill.title.clone(), strong),
        Line::styled(drill.about.clone(), ink),
        Line::default(),
        Line::styled(flown, theme.style(Role::Quiet)),
        Line::default(),
    ];
    for (index, task) in drill.tasks.iter().enumerate() {
        let scored = if task.scored { "" } else { "   (unscored)" };
        let asked = words::task(&task.kind, words::from_m(drill, index));
        lines.push(Line::styled(format!("{}  {asked}{scored}", index + 1), ink));
    }
    lines
}
