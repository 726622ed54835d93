//! The legend of the scope's marks. It is shown while the start stands frozen, in the part where no line has been flown yet.

use ratatui::layout::Rect;

use crate::drill::{Aids, Target};
use crate::tui::canvas::Canvas;
use crate::tui::flight::{Flight, Phase};
use crate::tui::theme::{Mark, Role};
use crate::tui::widgets::scope::GUTTER;
use crate::tui::widgets::swell;

const SAMPLE: u16 = 6;

/// Draws the legend into the past of the scope.
pub fn draw(flight: &Flight, scope: Rect, canvas: &mut Canvas) {
    if flight.phase() != Phase::Ready {
        return;
    }
    let theme = canvas.theme;
    let you = theme.either("⣤⣤⣤", "###");
    let mut rows = vec![(you, Role::Marker, "you, and which way you go")];
    if flight.aids == Aids::Full {
        let told = "where you go if the lever stays put";
        rows.push((theme.either("⠂⠐ ⠂⠐", "ooo"), Role::Alternative, told));
    }
    let target = flight.run().leg().target;
    let is_seen = flight.sees_path();
    if is_seen && (flight.aids != Aids::Bare || !matches!(target, Target::Path(_))) {
        let band = match target {
            Target::Path(_) => "edges of the band: 100 %",
            _ => "edges of the band",
        };
        rows.push((theme.either("⠒⠒⠒⠒", "''''"), Role::Band, band));
    }
    if swell::heaving(flight.run()).is_some() {
        rows.push(("deck", Role::Ink, "below: how the deck rises and falls"));
    }
    rows.push((theme.mark(Mark::LEVER), Role::Marker, "lever"));
    let engine = "engine, on its way to the lever";
    rows.push((theme.mark(Mark::ENGINE), Role::Engine, engine));
    if flight.aids != Aids::Bare {
        let power = match target {
            Target::Path(_) if is_seen => "power that flies level, or the path",
            _ => "power that flies level",
        };
        rows.push((theme.mark(Mark::LEVEL), Role::Band, power));
    }
    let x = scope.x + GUTTER + 1;
    for (y, (sample, role, told)) in (scope.y + 2..scope.bottom()).zip(rows) {
        canvas.put(x, y, sample, role);
        canvas.put(x + SAMPLE, y, told, Role::Quiet);
    }
}
