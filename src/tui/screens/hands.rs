//! The list of hands to watch on the chosen drill.

use ratatui::layout::Rect;
use ratatui::text::Line;

use super::words;
use crate::drill::Drill;
use crate::hands;
use crate::run::Run;
use crate::tui::canvas::Canvas;
use crate::tui::echo::worked_out;
use crate::tui::job::Awaited;
use crate::tui::shown::{self, SHOWN};
use crate::tui::theme::Role;

/// A list from which a hand is chosen.
#[derive(Default)]
pub struct Choosing {
    /// Index into [`SHOWN`].
    pub chosen: usize,
    /// Whether it was opened from a brief, and leaving it leads back there.
    pub from_brief: bool,
    /// The run of the hand, which is worked out before it is shown, and its seed.
    pub run: Option<(Awaited<Run>, u64)>,
}

impl Choosing {
    /// Moves up or down among the hands that have something to show on a drill. A run being worked out is no longer waited for.
    pub fn move_by(&mut self, by: i16, drill: &Drill) {
        let offered: Vec<usize> = (0..SHOWN.len())
            .filter(|index| hands::shows(SHOWN[*index].hand, drill))
            .collect();
        let at = offered.iter().position(|index| *index == self.chosen);
        let next = at.unwrap_or(0).saturating_add_signed(by.into());
        self.chosen = offered[next.min(offered.len() - 1)];
        self.run = None;
    }
}

/// Draws the list for a drill; a hand that has nothing to show there is marked.
pub fn draw(choosing: &Choosing, drill: &Drill, area: Rect, canvas: &mut Canvas) {
    let quiet = Role::Quiet;
    words::head(&drill.title, "watch a hand fly it", "", area, canvas);
    for (index, (y, shown)) in (area.y + 2..area.bottom() - 2).zip(SHOWN).enumerate() {
        let refusal = shown::refusal(shown.hand, drill);
        let (mark, role) = match &refusal {
            Some(_) if index != choosing.chosen => ("-", Role::Quiet),
            _ => canvas.theme.row(index == choosing.chosen),
        };
        let name = format!(" {mark} {:<22}", shown.name);
        canvas.put(area.x, y, name, role);
        let about = refusal.as_deref().unwrap_or(shown.about);
        canvas.put(area.x + 26, y, about, quiet);
    }
    let name = SHOWN[choosing.chosen].name;
    let told = match &choosing.run {
        Some((Awaited::Not(why), _)) => Some(format!(" {name} does not fly: {why}")),
        Some((Awaited::Coming(job), _)) => Some(format!(" {}", worked_out(name, job.share()))),
        Some((Awaited::Here(_), _)) | None => None,
    };
    let keys = match told {
        Some(told) => canvas.theme.line(told, Role::Warning),
        None => Line::raw(" enter lets it fly   up, down choose"),
    };
    words::foot(keys, "q back", area, canvas);
}
