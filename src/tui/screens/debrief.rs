//! Afterwards: the whole run in one picture, and what it was worth, line by line.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::text::Line;
use ratatui::widgets::{Paragraph, Widget, Wrap};

use super::words;
use crate::run::Run;
use crate::score::tolerances;
use crate::score::{Figure, Score, TaskScore, metrics, story, working};
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::strip;

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

fn draw_picture(run: &Run, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let lever_rows = (area.height / 4).max(2);
    let altitude = Rect {
        height: area.height - lever_rows - 1,
        ..area
    };
    let lever = Rect {
        y: altitude.bottom(),
        height: lever_rows,
        ..area
    };
    let times = Rect {
        y: area.bottom() - 1,
        height: 1,
        ..area
    };
    strip::altitude(run, altitude, buffer, theme);
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
    lines.push(Line::styled(TABLE_HEAD, quiet));
    for (index, task) in debrief.score.tasks.iter().enumerate() {
        lines.push(Line::styled(table_row(index, task), ink));
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
        lines.extend(task_lines(debrief, index, task, theme));
    }
    lines
}

const TABLE_HEAD: &str =
    "task               stay begun    past  short    rms  lever  turns  points";

fn table_row(index: usize, task: &TaskScore) -> String {
    let name = format!("{} {}", index + 1, words::task_name(&task.task.kind));
    let number = |key: &str, unit: &str, width: usize| match task.number(key) {
        Some(x) => format!("{:>width$}", format!("{x:.0}{unit}")),
        None => format!("{:>width$}", "-"),
    };
    let begun = match (task.number("in_band"), task.number("capture_s")) {
        (Some(share), _) => format!("{:.0} % inside", 100.0 * share),
        (_, Some(capture_s)) => format!("{capture_s:.1} s"),
        _ if task.end_s.is_some() => "missed".to_string(),
        _ => "-".to_string(),
    };
    let points = match task.points {
        Some(points) => format!("{points:>7.0}"),
        None => format!("{:>7}", "-"),
    };
    format!(
        "{name:<18}{begun:>11}{}{}{}{}{}{points}",
        number("overshoot_ft", " ft", 8),
        number("short_ft", " ft", 7),
        number("rms_ft", " ft", 7),
        number("lever_travel", " %", 7),
        number("lever_reversals", "", 7),
    )
}

/// One task's arithmetic, its other figures, and the published tolerances it would meet.
fn task_lines(
    debrief: &Debrief,
    index: usize,
    task: &TaskScore,
    theme: &Theme,
) -> Vec<Line<'static>> {
    let (ink, quiet) = (theme.style(Role::Ink), theme.style(Role::Quiet));
    let drill = debrief.run.drill();
    let asked = words::task(&task.task.kind, words::from_m(drill, index));
    let mut lines = vec![
        Line::default(),
        Line::styled(format!("{}  {asked}", index + 1), theme.style(Role::Strong)),
    ];
    let push = |lines: &mut Vec<Line<'static>>, text: String, style: Style| {
        lines.push(Line::styled(text, style));
    };
    for line in working::lines(task) {
        push(&mut lines, format!("   {line}"), ink);
    }
    for (metric, figure) in metrics::of_kind(&task.task.kind).zip(&task.figures) {
        if let Figure::Number(x) = figure {
            let unit = metric.unit;
            push(
                &mut lines,
                format!("   {:<18}{x:>8.2} {unit}", metric.label),
                quiet,
            );
        }
    }
    if let Some(largest_ft) = task.largest_error_ft {
        push(
            &mut lines,
            format!("   largest error {largest_ft:.0} ft; published tolerances it would meet:"),
            quiet,
        );
        let mut none = true;
        for tolerance in tolerances::met(largest_ft) {
            none = false;
            push(
                &mut lines,
                format!("     +-{:.0} ft  {}", tolerance.feet, tolerance.source),
                quiet,
            );
        }
        if none {
            push(
                &mut lines,
                "     none of ours to compare".to_string(),
                quiet,
            );
        }
    }
    lines
}
