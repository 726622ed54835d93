//! Tasks, air and aeroplanes in words, as every screen says them.

use ratatui::layout::Rect;
use ratatui::symbols::border;
use ratatui::text::Line;
use ratatui::widgets::{Block, Clear, Widget};

use crate::drill::reader::plain;
use crate::drill::{Drill, Kind, Path, Target};
use crate::tui::canvas::Canvas;
use crate::tui::theme::{Mark, Role, Theme};
use crate::units::{DEG, FPM, FT, NM};

pub use crate::why::words::clock;

/// What a task asks, coming from a target so far in m: "step down to 1,310 ft, within 25 ft, stay 20 s".
pub fn task(kind: &Kind, from_m: f64) -> String {
    match kind {
        Kind::Hold(hold) => format!(
            "hold {} ft, within {} ft, for {} s",
            feet(hold.altitude_m),
            feet(hold.band_m),
            plain(hold.seconds)
        ),
        Kind::Step(step) => format!(
            "step {} to {} ft, within {} ft, stay {} s",
            if step.altitude_m < from_m {
                "down"
            } else {
                "up"
            },
            feet(step.altitude_m),
            feet(step.band_m),
            plain(step.hold_s)
        ),
        Kind::Slow(slow) => format!(
            "slow in at {} ft, within {} ft, stay {} s",
            feet(slow.altitude_m),
            feet(slow.band_m),
            plain(slow.hold_s)
        ),
        Kind::Rate(rate) => format!(
            "go to {} ft/min, within {} ft/min, stay {} s",
            fpm(rate.vertical_mps),
            fpm(rate.band_mps),
            plain(rate.hold_s)
        ),
        Kind::Path(path) => {
            let sight = |show_m| format!(", in sight from {} nm", nm(show_m));
            format!(
                "{} degree path down to the deck at {} ft, scored from {} nm{}",
                slope(path),
                feet(path.glide.aim.deck.height_m),
                nm(path.glide.from_m),
                path.show_m.map_or_else(String::new, sight)
            )
        }
        Kind::Surprise(surprise) => {
            format!(
                "{} surprises: {}",
                surprise.count,
                surprise.kinds.join(", ")
            )
        }
    }
}

/// The same in a line that leaves room beside it: without the stay, and a path without what the scope shows.
pub fn task_short(kind: &Kind, from_m: f64) -> String {
    if let Kind::Path(path) = kind {
        return format!("{} degree path", slope(path));
    }
    let full = task(kind, from_m);
    match full.rsplit_once(", ") {
        Some((short, _)) => short.to_string(),
        None => full,
    }
}

/// Slope of a path in degrees, at most two decimals.
fn slope(path: &Path) -> String {
    plain((path.glide.slope_rad / DEG * 100.0).round() / 100.0)
}

/// What a task is about in two words, for narrow tables: "step 1,310 ft".
pub fn task_name(kind: &Kind) -> String {
    match kind {
        Kind::Hold(hold) => format!("hold {} ft", feet(hold.altitude_m)),
        Kind::Step(step) => format!("step {} ft", feet(step.altitude_m)),
        Kind::Rate(rate) => format!("rate {} ft/min", fpm(rate.vertical_mps)),
        Kind::Slow(slow) => format!("slow in {} ft", feet(slow.altitude_m)),
        Kind::Path(_) => "path".to_string(),
        Kind::Surprise(surprise) => format!("{} surprises", surprise.count),
    }
}

/// Metres a second as whole feet a minute.
pub fn fpm(mps: f64) -> String {
    plain((mps / FPM).round() + 0.0)
}

/// The altitude in m that a drill's task starts from by its file.
pub fn from_m(drill: &Drill, index: usize) -> f64 {
    let before = drill.tasks[..index].iter().rev();
    let asked = before.filter_map(|task| match task.kind.target()? {
        Target::Altitude { altitude_m, .. } => Some(altitude_m),
        _ => None,
    });
    asked.into_iter().next().unwrap_or(drill.start.altitude_m)
}

/// Metres as nautical miles, at most two decimals.
pub fn nm(m: f64) -> String {
    plain((m / NM * 100.0).round() / 100.0)
}

/// Metres as whole feet.
pub fn feet(m: f64) -> String {
    plain((m / FT).round())
}

/// Metres above something, or below it: "6 ft above".
pub fn off(m: f64) -> String {
    let side = if m >= 0.0 { "above" } else { "below" };
    format!("{} ft {side}", feet(m.abs()))
}

/// Puts one line at the left and another at the right end of the same row.
pub fn row(left: Line, right: Line, y: u16, area: Rect, canvas: &mut Canvas) {
    if y >= area.bottom() {
        return;
    }
    let width = right.width() as u16;
    canvas.buffer.set_line(area.x, y, &left, area.width);
    if left.width() as u16 + 2 + width <= area.width {
        canvas
            .buffer
            .set_line(area.right() - width, y, &right, width);
    }
}

/// Adds to a line, quietly, as many of the parts as there is room for.
pub fn add_parts(
    line: &mut Line<'static>,
    parts: impl IntoIterator<Item = String>,
    room: usize,
    theme: &Theme,
) {
    let mut gap = "   ".to_string();
    for part in parts {
        let span = theme.span(format!("{gap}{part}"), Role::Quiet);
        if line.width() + span.width() > room {
            return;
        }
        line.push_span(span);
        gap = format!(" {} ", theme.mark(Mark::Dot));
    }
}

/// The last row of a screen, over what is there: at the left its keys, quiet unless they say otherwise and cut where there is no
/// room, at the right the ways out and the help.
pub fn foot<'a>(left: impl Into<Line<'a>>, out: &str, area: Rect, canvas: &mut Canvas) {
    let left = left.into();
    let style = canvas.theme.style(Role::Quiet).patch(left.style);
    let right = canvas.theme.line(format!("{out}   ? help "), Role::Quiet);
    let row = Rect {
        y: area.bottom() - 1,
        height: 1,
        ..area
    };
    let (y, width) = (row.y, right.width() as u16);
    let (at, room) = (
        area.right().saturating_sub(width),
        area.width.saturating_sub(width + 2),
    );
    Clear.render(row, canvas.buffer);
    canvas.buffer.set_line(area.x, y, &left.style(style), room);
    canvas.buffer.set_line(at, y, &right, width);
}

/// The ways out of a text, and before them whether it goes on.
pub fn text_out(more: bool) -> &'static str {
    if more {
        "down: more   q menu"
    } else {
        "q menu"
    }
}

/// A question in place of the last row.
pub fn ask(question: &str, area: Rect, canvas: &mut Canvas) {
    let row = format!(" {question:<width$}", width = usize::from(area.width));
    canvas.put_within(area.x, area.bottom() - 1, row, area.width, Role::Warning);
}

/// Draws a border around an area; what is inside.
pub fn border(title: &str, area: Rect, canvas: &mut Canvas) -> Rect {
    let mut block = Block::bordered()
        .title(title.to_string())
        .border_style(canvas.theme.style(Role::Quiet));
    if !canvas.theme.unicode {
        block = block.border_set(ASCII_BORDER);
    }
    let inside = block.inner(area);
    block.render(area, canvas.buffer);
    inside
}

const ASCII_BORDER: border::Set<'static> = border::Set {
    top_left: "+",
    top_right: "+",
    bottom_left: "+",
    bottom_right: "+",
    vertical_left: "|",
    vertical_right: "|",
    horizontal_top: "-",
    horizontal_bottom: "-",
};
