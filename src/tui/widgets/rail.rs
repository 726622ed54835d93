//! The rail: the lever lying down, what the engine really gives, and where level flight is.

use ratatui::layout::Rect;

use crate::tui::canvas::Canvas;
use crate::tui::theme::{Mark, Role};

/// What the rail shows, all as lever positions 0..1.
pub struct Rail {
    pub lever: f64,
    /// The lever that would hold what the engine gives now.
    pub engine: f64,
    /// The levers that have a name here, with that aid: those that fly level and, where there is one, the path.
    pub named: Vec<(&'static str, f64)>,
}

impl Rail {
    /// Draws it on two rows: marks above, the rail below.
    pub fn render(&self, area: Rect, canvas: &mut Canvas) {
        if area.width < 12 || area.height < 2 {
            return;
        }
        let last = f64::from(area.width - 1);
        let column = |share: f64| area.x + (share.clamp(0.0, 1.0) * last).round() as u16;
        let (quiet, y) = (Role::Quiet, area.y + 1);
        for x in area.left()..area.right() {
            canvas.put(x, y, canvas.theme.mark(Mark::Rail), quiet);
        }
        for tenth in 0..=10 {
            let x = column(f64::from(tenth) / 10.0);
            canvas.put(x, y, canvas.theme.mark(Mark::Tenth), quiet);
        }
        self.names(area, column, canvas);
        let (lever, engine) = (column(self.lever), column(self.engine));
        for x in lever.min(engine)..lever.max(engine) {
            canvas.put(x, y, canvas.theme.mark(Mark::Gap), Role::Ink);
        }
        let marker = Role::Marker;
        if lever == engine {
            canvas.put(lever, y, canvas.theme.mark(Mark::LeverAndEngine), marker);
        } else {
            canvas.put(engine, y, canvas.theme.mark(Mark::Engine), Role::Engine);
            canvas.put(lever, y, canvas.theme.mark(Mark::Lever), marker);
        }
    }

    /// Each name beside its mark, outwards: the lowest to the left, the highest to the right.
    fn names(&self, area: Rect, column: impl Fn(f64) -> u16, canvas: &mut Canvas) {
        let mark = canvas.theme.mark(Mark::Level);
        let lowest = self
            .named
            .iter()
            .map(|(_, lever)| *lever)
            .fold(1.0, f64::min);
        for (name, lever) in &self.named {
            let x = column(*lever);
            let length = name.chars().count() as u16 + 1;
            let fits_left = x >= area.x + length;
            let leftwards = self.named.len() > 1 && *lever == lowest && fits_left;
            let (from, text) = match leftwards || x + length >= area.right() {
                true => (x - length, format!("{name} {mark}")),
                false => (x, format!("{mark} {name}")),
            };
            canvas.put(from, area.y, text, Role::Band);
        }
    }
}
