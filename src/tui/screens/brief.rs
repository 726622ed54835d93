//! Before flying: what is asked, and the numbers to go in with.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::{Paragraph, Widget, Wrap};

use super::words;
use crate::drill::Drill;
use crate::run::recording::Aids;
use crate::tui::theme::{Role, Theme};
use crate::units::KT;

/// Draws the brief as a screen of its own.
pub fn draw(
    drill: &Drill,
    best: Option<f64>,
    aids: Aids,
    area: Rect,
    buffer: &mut Buffer,
    theme: &Theme,
) {
    let quiet = theme.style(Role::Quiet);
    let title = Line::styled(format!(" {}", drill.title), theme.style(Role::Strong));
    let aids = Line::styled(
        format!("aids {} ", words::aids(aids)),
        theme.style(Role::Ink),
    );
    words::row(buffer, area, area.y, title, aids);
    let inside = Rect {
        x: area.x + 1,
        y: area.y + 2,
        width: area.width - 2,
        height: area.height - 4,
    };
    text(drill, best, inside, buffer, theme);
    let keys = Line::styled(" enter flies   a aids", quiet);
    let more = Line::styled("q menu   ? help ", quiet);
    words::row(buffer, area, area.bottom() - 1, keys, more);
}

/// Draws the brief's text.
pub fn text(drill: &Drill, best: Option<f64>, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    Paragraph::new(lines(drill, best, theme))
        .wrap(Wrap { trim: false })
        .render(area, buffer);
}

fn lines(drill: &Drill, best: Option<f64>, theme: &Theme) -> Vec<Line<'static>> {
    let (ink, quiet) = (theme.style(Role::Ink), theme.style(Role::Quiet));
    let trim = drill.start_trim();
    let mut lines = vec![
        Line::styled(drill.about.clone(), ink),
        Line::default(),
        Line::styled(
            format!(
                "{}, {:.0} kg, on speed at {:.0} kt; {}",
                drill.aircraft.name,
                drill.aircraft.mass_kg,
                trim.speed_mps / KT,
                words::air(&drill.air)
            ),
            ink,
        ),
        Line::default(),
    ];
    for (index, task) in drill.tasks.iter().enumerate() {
        let scored = if task.scored { "" } else { "   (unscored)" };
        let asked = words::task(&task.kind, words::from_m(drill, index));
        lines.push(Line::styled(format!("{}  {asked}{scored}", index + 1), ink));
    }
    lines.push(Line::default());
    if let Some(best) = best {
        lines.push(Line::styled(
            format!("best so far: {best:.0} points"),
            quiet,
        ));
    }
    lines
}
