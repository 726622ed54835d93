//! Roles instead of colours, and marks instead of characters. Nothing on a screen is told by colour alone: without
//! colour a role keeps its weight, and every mark has its own shape.

use ratatui::style::{Color, Modifier, Style};

/// What a piece of the screen is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// Axes, hints, what has passed.
    Quiet,
    /// Another run, drawn faintly beside one's own.
    Echo,
    /// The tolerance and what belongs to it.
    Band,
    /// What would be, and what another did.
    Alternative,
    /// Plain text and one's own trace.
    Ink,
    /// Headings and what is chosen.
    Strong,
    /// Something wants attention.
    Warning,
    /// Where the aeroplane is now.
    Marker,
}

/// How many colours the terminal is known to have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Depth {
    /// None are used.
    Mono,
    /// The sixteen names.
    Named,
    /// Any.
    True,
}

/// How to draw.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Theme {
    /// Colours.
    pub depth: Depth,
    /// Braille and line characters, or ASCII only.
    pub unicode: bool,
}

impl Theme {
    /// What the terminal's environment allows; `get` looks a variable up.
    pub fn detect(get: impl Fn(&str) -> Option<String>) -> Theme {
        let is = |name: &str, words: &[&str]| {
            get(name).is_some_and(|value| words.iter().any(|word| value.contains(word)))
        };
        let terminal = get("TERM").unwrap_or_default();
        let depth = if get("NO_COLOR").is_some_and(|value| !value.is_empty()) {
            Depth::Mono
        } else if is("COLORTERM", &["truecolor", "24bit"]) || terminal.ends_with("-direct") {
            Depth::True
        } else {
            Depth::Named
        };
        // The first of these that is set decides, as in every POSIX locale.
        let locale = ["LC_ALL", "LC_CTYPE", "LANG"]
            .iter()
            .find_map(|name| get(name).filter(|value| !value.is_empty()))
            .unwrap_or_default()
            .to_uppercase();
        Theme {
            depth,
            unicode: locale.contains("UTF-8") || locale.contains("UTF8"),
        }
        .without_unicode_if(terminal == "linux")
    }

    fn without_unicode_if(self, plain: bool) -> Theme {
        Theme {
            unicode: self.unicode && !plain,
            ..self
        }
    }

    /// The style of a role. Mid-tones, so that they hold on dark and on light; blue against orange keeps apart for
    /// the common colour-vision deficiencies.
    pub fn style(&self, role: Role) -> Style {
        let weight = match role {
            Role::Quiet | Role::Echo if self.depth == Depth::Mono => Modifier::DIM,
            Role::Strong | Role::Marker | Role::Warning => Modifier::BOLD,
            _ => Modifier::empty(),
        };
        let style = Style::new().add_modifier(weight);
        let colour = match (self.depth, role) {
            (Depth::Mono, _) | (_, Role::Ink | Role::Strong) => return style,
            (Depth::Named, Role::Quiet) => Color::DarkGray,
            (Depth::Named, Role::Echo) => Color::Cyan,
            (Depth::Named, Role::Band) => Color::Blue,
            (Depth::Named, Role::Alternative) => Color::Magenta,
            (Depth::Named, Role::Warning | Role::Marker) => Color::Yellow,
            (Depth::True, Role::Quiet) => Color::Rgb(128, 132, 140),
            (Depth::True, Role::Echo) => Color::Rgb(92, 148, 148),
            (Depth::True, Role::Band) => Color::Rgb(76, 134, 196),
            (Depth::True, Role::Alternative) => Color::Rgb(160, 122, 186),
            (Depth::True, Role::Warning | Role::Marker) => Color::Rgb(224, 138, 30),
        };
        style.fg(colour)
    }

    /// A mark by its name.
    pub fn mark(&self, mark: Mark) -> &'static str {
        let (fine, plain) = match mark {
            Mark::Lever => ("●", "#"),
            Mark::Engine => ("○", "o"),
            Mark::LeverAndEngine => ("◉", "@"),
            Mark::Rail => ("─", "-"),
            Mark::Gap => ("━", "="),
            Mark::Tenth => ("┴", "+"),
            Mark::Level => ("▾", "v"),
            Mark::Axis => ("│", "|"),
            Mark::Chosen => ("▸", ">"),
            Mark::Done => ("✓", "+"),
            Mark::Missed => ("×", "x"),
            Mark::Dot => ("·", "."),
            Mark::Rule => ("─", "-"),
            Mark::Filled => ("█", "#"),
            Mark::Empty => ("░", "."),
            Mark::Up => ("↑", "up"),
            Mark::Down => ("↓", "down"),
            Mark::Degree => ("°", " deg"),
            Mark::Echo => ("╌", "-"),
            Mark::Note => ("▴", "^"),
        };
        if self.unicode { fine } else { plain }
    }
}

/// The marks that have an ASCII twin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Mark {
    Lever,
    Engine,
    LeverAndEngine,
    Rail,
    Gap,
    Tenth,
    Level,
    Axis,
    Chosen,
    Done,
    Missed,
    Dot,
    Rule,
    Filled,
    Empty,
    Up,
    Down,
    Degree,
    Echo,
    Note,
}
