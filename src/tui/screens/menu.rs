//! The list of drills.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::text::{Line, Span};
use ratatui::widgets::{Paragraph, Widget, Wrap};

use super::{brief, words};
use crate::drill::Aids;
use crate::export::CAUTION;
use crate::tui::shelf::Shelf;
use crate::tui::theme::{Mark, Role, Theme};

/// From here on the chosen drill's brief stands beside the list.
const WIDE: u16 = 120;
const LIST_WIDTH: u16 = 64;

/// Draws the list with one drill chosen.
pub fn draw(
    shelf: &Shelf,
    chosen: usize,
    aids: Aids,
    area: Rect,
    buffer: &mut Buffer,
    theme: &Theme,
) {
    let quiet = theme.style(Role::Quiet);
    let name = Line::from(vec![
        Span::styled(" leveloff", theme.style(Role::Strong)),
        Span::styled(
            "   hold a number, leave it, stop on another: by power alone",
            quiet,
        ),
    ]);
    let aids = Line::styled(format!("aids {} ", aids.word()), theme.style(Role::Ink));
    words::row(buffer, area, area.y, name, aids);

    let caution: Vec<&str> = CAUTION.lines().collect();
    let foot = caution.len() as u16 + 4;
    let wide = area.width >= WIDE;
    let list = Rect {
        y: area.y + 2,
        height: area.height.saturating_sub(2 + foot),
        width: if wide { LIST_WIDTH } else { area.width },
        ..area
    };
    drills(shelf, chosen, list, buffer, theme);
    if wide {
        let side = Rect {
            x: list.right() + 3,
            width: area.width - list.width - 4,
            ..list
        };
        brief::text(
            &shelf.drills[chosen],
            shelf.best(chosen),
            side,
            buffer,
            theme,
        );
    }
    let about_y = area.bottom() - foot + 1;
    if !wide {
        let about = Rect {
            x: area.x + 1,
            y: about_y,
            width: area.width - 2,
            height: 2,
        };
        Paragraph::new(shelf.drills[chosen].about.as_str())
            .style(theme.style(Role::Ink))
            .wrap(Wrap { trim: true })
            .render(about, buffer);
    }
    for (row, line) in caution.iter().enumerate() {
        let y = about_y + 2 + row as u16;
        buffer.set_stringn(area.x + 1, y, line, area.width as usize - 1, quiet);
    }
    let keys = Line::styled(
        " enter opens the brief  g guess  w watch  p aeroplane  l runs",
        quiet,
    );
    let more = Line::styled("q quit   ? help ", quiet);
    words::row(buffer, area, area.bottom() - 1, keys, more);
}

fn drills(shelf: &Shelf, chosen: usize, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let rows = area.height as usize;
    // The chosen row stays in sight with one more beyond it where there is one.
    let first = (chosen + 2)
        .saturating_sub(rows)
        .min(shelf.drills.len().saturating_sub(rows));
    for (row, index) in (first..shelf.drills.len()).take(rows).enumerate() {
        let drill = &shelf.drills[index];
        let y = area.y + row as u16;
        let is_chosen = index == chosen;
        let role = if is_chosen { Role::Strong } else { Role::Ink };
        let mark = if is_chosen {
            theme.mark(Mark::Chosen)
        } else {
            " "
        };
        let title = format!(" {mark} {}", drill.title);
        buffer.set_stringn(area.x, y, title, area.width as usize, theme.style(role));
        let column = |x: u16, text: &str, buffer: &mut Buffer| {
            buffer.set_stringn(area.x + x, y, text, 16, theme.style(Role::Quiet));
        };
        column(34, &drill.aircraft.name, buffer);
        if let Some(best) = shelf.best(index) {
            buffer.set_string(
                area.x + 52,
                y,
                format!("best {best:>3.0}"),
                theme.style(role),
            );
        }
    }
}
