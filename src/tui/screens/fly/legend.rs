//! What the marks of the scope are, told once: while the start stands frozen, where no line has been flown yet.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use crate::drill::{Aids, Target};
use crate::tui::flight::{Flight, Phase};
use crate::tui::theme::{Mark, Role, Theme};
use crate::tui::widgets::scope::GUTTER;
use crate::tui::widgets::swell;

/// Columns of a sample.
const SAMPLE: u16 = 6;

/// Draws it into the past of the scope.
pub fn draw(flight: &Flight, scope: Rect, buffer: &mut Buffer, theme: &Theme) {
    if flight.phase() != Phase::Ready {
        return;
    }
    let mut rows = vec![(thick(theme), Role::Marker, "you, and which way you go")];
    if flight.aids == Aids::Full {
        rows.push((
            dotted(theme),
            Role::Alternative,
            "where you go if the lever stays put",
        ));
    }
    let target = flight.run().leg().target;
    let is_seen = flight.hidden_until_m().is_none();
    if is_seen && (flight.aids != Aids::Bare || !matches!(target, Target::Path(_))) {
        let band = match target {
            Target::Path(_) => "edges of the band to be in: 100 %",
            _ => "edges of the band to be in",
        };
        rows.push((edge(theme), Role::Band, band));
    }
    if swell::heaving(flight.run()).is_some() {
        rows.push(("deck", Role::Ink, "below: how the deck rises and falls"));
    }
    rows.push((theme.mark(Mark::Lever), Role::Marker, "lever"));
    let engine = "engine, on its way to the lever";
    rows.push((theme.mark(Mark::Engine), Role::Engine, engine));
    if flight.aids != Aids::Bare {
        let power = match target {
            Target::Path(_) if is_seen => "power that flies level, or the path",
            _ => "power that flies level",
        };
        rows.push((theme.mark(Mark::Level), Role::Band, power));
    }
    let x = scope.x + GUTTER + 1;
    for (y, (sample, role, told)) in (scope.y + 2..scope.bottom()).zip(rows) {
        buffer.set_string(x, y, sample, theme.style(role));
        buffer.set_string(x + SAMPLE, y, told, theme.style(Role::Quiet));
    }
}

fn thick(theme: &Theme) -> &'static str {
    if theme.unicode { "⣤⣤⣤" } else { "###" }
}

fn dotted(theme: &Theme) -> &'static str {
    if theme.unicode {
        "⠂⠐ ⠂⠐"
    } else {
        ". . ."
    }
}

fn edge(theme: &Theme) -> &'static str {
    if theme.unicode {
        "⠒⠒⠒⠒"
    } else {
        "''''"
    }
}
