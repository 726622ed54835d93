//! Afterwards: the whole run in one picture, and what it was worth, line by line.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::text::Line;
use ratatui::widgets::{Paragraph, Widget, Wrap};

use super::{figures, words};
use crate::run::Run;
use crate::score::{Score, story};
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::strip::{self, Side};

/// From here on the text stands beside the picture.
const WIDE: u16 = 136;
const TEXT_WIDTH: u16 = 76;

/// A debrief that can be scrolled.
pub struct Debrief {
    /// The run, over.
    pub run: Run,
    /// What it was worth.
    pub score: Score,
    /// The recording's id, or why there is none.
    pub saved: Result<String, String>,
    /// How often the clock had to be set right.
    pub stalls: usize,
    /// Each guess made before flying, held against the truth.
    pub guesses: Vec<String>,
    /// First line of the text in sight.
    pub scroll: u16,
}

/// Draws it.
pub fn draw(debrief: &mut Debrief, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let quiet = theme.style(Role::Quiet);
    let drill = debrief.run.drill();
    let points = match debrief.score.points {
        Some(points) => format!("{points:.0} points "),
        None => "not scored ".to_string(),
    };
    let title = Line::styled(
        format!(" {}   debrief", drill.title),
        theme.style(Role::Strong),
    );
    words::row(
        buffer,
        area,
        area.y,
        title,
        Line::styled(points, theme.style(Role::Strong)),
    );

    let wide = area.width >= WIDE;
    let body = Rect {
        y: area.y + 1,
        height: area.height - 2,
        ..area
    };
    let (picture, text) = if wide {
        let width = area.width - TEXT_WIDTH - 3;
        (
            Rect { width, ..body },
            Rect {
                x: body.x + width + 2,
                width: TEXT_WIDTH,
                y: body.y + 1,
                height: body.height - 1,
            },
        )
    } else {
        let height = body.height * 6 / 11;
        (
            Rect { height, ..body },
            Rect {
                x: body.x + 1,
                y: body.y + height,
                width: body.width - 2,
                height: body.height - height,
            },
        )
    };
    draw_picture(&debrief.run, picture, buffer, theme);
    let lines = lines(debrief, theme);
    let paragraph = Paragraph::new(lines).wrap(Wrap { trim: false });
    let hidden = (paragraph.line_count(text.width) as u16).saturating_sub(text.height);
    debrief.scroll = debrief.scroll.min(hidden);
    paragraph.scroll((debrief.scroll, 0)).render(text, buffer);

    let more = if debrief.scroll < hidden {
        "down for more   "
    } else {
        ""
    };
    let keys = Line::styled(" enter again   n next drill   q menu", quiet);
    words::row(
        buffer,
        area,
        area.bottom() - 1,
        keys,
        Line::styled(format!("{more}? help "), quiet),
    );
}

/// From this height on the picture has room for a second curve above lever and engine.
const TALL: u16 = 24;

fn draw_picture(run: &Run, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let lever_rows = (area.height / 4).max(2);
    let mut sides = Side::of(run);
    if area.height < TALL {
        sides.truncate(1);
    }
    let rows = (area.height - lever_rows - 1) / sides.len() as u16;
    let mut y = area.y;
    for side in sides {
        let height = rows.min(area.bottom() - y);
        strip::curve_of(side, run, Rect { y, height, ..area }, buffer, theme);
        y += height;
    }
    let times = Rect {
        y: area.bottom() - 1,
        height: 1,
        ..area
    };
    let lever = Rect {
        y,
        height: times.y - y,
        ..area
    };
    strip::lever(run, lever, buffer, theme);
    strip::times(run, times, buffer, theme);
}

fn lines(debrief: &Debrief, theme: &Theme) -> Vec<Line<'static>> {
    let (ink, quiet) = (theme.style(Role::Ink), theme.style(Role::Quiet));
    let mut lines = Vec::new();
    for sentence in story::tell(&debrief.run, &debrief.score) {
        lines.push(Line::styled(sentence, ink));
    }
    for guess in &debrief.guesses {
        lines.push(Line::styled(guess.clone(), ink));
    }
    lines.push(Line::default());
    for (row, text) in figures::table(&debrief.score).into_iter().enumerate() {
        lines.push(Line::styled(text, if row == 0 { quiet } else { ink }));
    }
    lines.push(Line::default());
    match &debrief.saved {
        Ok(id) => lines.push(Line::styled(format!("kept as {id}"), quiet)),
        Err(why) => lines.push(Line::styled(
            format!("not kept: {why}"),
            theme.style(Role::Warning),
        )),
    }
    if debrief.stalls > 0 {
        let text = format!(
            "the clock stood still {} times; that time was not flown",
            debrief.stalls
        );
        lines.push(Line::styled(text, theme.style(Role::Warning)));
    }
    for (index, task) in debrief.score.tasks.iter().enumerate() {
        lines.extend(figures::lines(&debrief.run, index, task, theme));
    }
    lines
}
