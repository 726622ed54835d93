//! Roles instead of colours, and marks instead of characters. Nothing on a screen is shown by colour alone: without colour a role
//! keeps its weight, and every mark has its own shape.

use std::borrow::Cow;

use ratatui::style::{Color, Modifier, Style};
use ratatui::text::{Line, Span};

/// What a piece of the screen is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// Axes, hints, what is past.
    Quiet,
    /// Another run, drawn faintly beside one's own.
    Echo,
    /// The tolerance and what belongs to it.
    Band,
    /// What would happen, and what was done in another run.
    Alternative,
    /// What the engine gives.
    Engine,
    /// Plain text and one's own trace.
    Ink,
    /// Headings and what is chosen.
    Strong,
    /// Something that wants attention.
    Warning,
    /// Where the aeroplane is now.
    Marker,
}

/// How many colours the terminal is known to have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Depth {
    /// None are used.
    Mono,
    /// The sixteen named colours, whatever they look like.
    Named,
    /// The 256 of xterm.
    Indexed,
    /// Any colour.
    True,
}

/// What lies behind the text.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Background {
    /// Nothing is known of it.
    #[default]
    Unknown,
    Dark,
    Light,
}

impl Background {
    /// The background of a colour, each part 0..1: light where black text is easier to read on it than white, which is above the
    /// relative luminance 0.179 (W3C, Web Content Accessibility Guidelines 2, contrast ratio).
    pub fn of([red, green, blue]: [f64; 3]) -> Background {
        let linear = |part: f64| match part <= 0.04045 {
            true => part / 12.92,
            false => ((part + 0.055) / 1.055).powf(2.4),
        };
        let luminance = 0.2126 * linear(red) + 0.7152 * linear(green) + 0.0722 * linear(blue);
        match luminance > 0.179 {
            true => Background::Light,
            false => Background::Dark,
        }
    }
}

/// How to draw.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Theme {
    /// Colours.
    pub depth: Depth,
    /// The background that they are drawn on.
    pub background: Background,
    /// Braille and line characters, or ASCII only.
    pub unicode: bool,
}

/// The colours of a role on a dark background, on a light one and on an unknown one: for each, one of the sixteen and one of the
/// 256. Where any colour can be had, the red, green and blue of the latter are used. None is the terminal's own ink.
type Coloured = (Role, [(Option<Color>, Option<u8>); 3]);

/// Text in these colours has a contrast of at least 4.5 to 1, the marker 3 to 1, and they stay distinct for the common
/// colour-vision deficiencies (`tests/it/theme.rs`). Grey is left out of the sixteen: in many terminals it cannot be read. Few
/// colours are readable both on black and on white.
#[rustfmt::skip]
const PALETTE: [Coloured; 7] = [
    (Role::Quiet, [(None, Some(246)), (None, Some(240)), (None, Some(243))]),
    (Role::Echo, [(Some(Green), Some(42)), (Some(LightBlue), Some(24)), (None, None)]),
    (Role::Band, [(Some(LightCyan), Some(33)), (Some(Blue), Some(20)), (None, Some(63))]),
    (Role::Alternative, [(Some(LightMagenta), Some(176)), (Some(Magenta), Some(91)), (None, None)]),
    (Role::Engine, [(Some(LightRed), Some(155)), (None, Some(88)), (None, None)]),
    (Role::Warning, [(Some(LightYellow), Some(208)), (Some(Red), Some(130)), (None, Some(131))]),
    (Role::Marker, [(Some(LightYellow), Some(208)), (Some(Red), Some(130)), (Some(LightRed), Some(131))]),
];
use Color::{Blue, Green, LightBlue, LightCyan, LightMagenta, LightRed, LightYellow, Magenta, Red};

/// Red, green and blue of one of xterm's colours from 16 on: a cube of six steps each way, then 24 greys (xterm, `256colres.pl`).
fn rgb(index: u8) -> Color {
    if index >= 232 {
        let grey = 8 + 10 * (index - 232);
        return Color::Rgb(grey, grey, grey);
    }
    let step = |n: u8| if n == 0 { 0 } else { 55 + 40 * n };
    let n = index.saturating_sub(16);
    Color::Rgb(step(n / 36), step(n / 6 % 6), step(n % 6))
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
        } else if terminal.contains("256color") {
            Depth::Indexed
        } else {
            Depth::Named
        };
        // The first of these that is set decides, as in every POSIX locale.
        let locale = ["LC_ALL", "LC_CTYPE", "LANG"]
            .iter()
            .find_map(|name| get(name).filter(|value| !value.is_empty()))
            .unwrap_or_default()
            .to_uppercase();
        let is_console = terminal == "linux";
        Theme {
            depth,
            background: match is_console {
                true => Background::Dark,
                false => Background::Unknown,
            },
            unicode: !is_console && (locale.contains("UTF-8") || locale.contains("UTF8")),
        }
    }

    pub fn style(&self, role: Role) -> Style {
        let weight = match role {
            Role::Quiet | Role::Echo if self.depth == Depth::Mono => Modifier::DIM,
            Role::Strong | Role::Marker | Role::Warning => Modifier::BOLD,
            _ => Modifier::empty(),
        };
        // Removes the weight of whatever it is drawn over.
        let none = Style::new().remove_modifier(Modifier::BOLD | Modifier::DIM);
        Style {
            fg: self.colour(role),
            ..none.add_modifier(weight)
        }
    }

    /// A text in the style of a role.
    pub fn span<'a>(&self, text: impl Into<Cow<'a, str>>, role: Role) -> Span<'a> {
        Span::styled(text, self.style(role))
    }

    pub fn line<'a>(&self, text: impl Into<Cow<'a, str>>, role: Role) -> Line<'a> {
        Line::styled(text, self.style(role))
    }

    /// The mark before a row of a list and the role of the row, depending on whether it is the chosen one.
    pub fn row(&self, is_chosen: bool) -> (&'static str, Role) {
        match is_chosen {
            true => (self.mark(Mark::CHOSEN), Role::Strong),
            false => (" ", Role::Ink),
        }
    }

    /// A bar of `cells` cells, the first `filled` of them filled.
    pub fn bar(&self, filled: usize, cells: usize) -> String {
        let empty = cells.saturating_sub(filled);
        self.mark(Mark::FILLED).repeat(filled) + &self.mark(Mark::EMPTY).repeat(empty)
    }

    fn colour(&self, role: Role) -> Option<Color> {
        let (_, colours) = PALETTE.iter().find(|(other, _)| *other == role)?;
        let (named, indexed) = colours[match self.background {
            Background::Dark => 0,
            Background::Light => 1,
            Background::Unknown => 2,
        }];
        match self.depth {
            Depth::Mono => None,
            Depth::Named => named,
            Depth::Indexed => indexed.map(Color::Indexed),
            Depth::True => indexed.map(rgb),
        }
    }

    /// The text that draws a mark.
    pub fn mark(&self, Mark(fine, plain): Mark) -> &'static str {
        self.either(fine, plain)
    }

    /// The fine drawing or its ASCII twin, whichever can be shown.
    pub fn either<T>(&self, fine: T, plain: T) -> T {
        if self.unicode { fine } else { plain }
    }
}

/// A mark and its ASCII twin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Mark(&'static str, &'static str);

impl Mark {
    pub const LEVER: Mark = Mark("●", "L");
    pub const ENGINE: Mark = Mark("○", "e");
    pub const LEVER_AND_ENGINE: Mark = Mark("◉", "L");
    pub const RAIL: Mark = Mark("─", "-");
    pub const GAP: Mark = Mark("━", "=");
    pub const TENTH: Mark = Mark("┴", "+");
    pub const LEVEL: Mark = Mark("▾", "v");
    pub const AXIS: Mark = Mark("│", "|");
    pub const CHOSEN: Mark = Mark("▸", ">");
    pub const DONE: Mark = Mark("✓", "+");
    pub const MISSED: Mark = Mark("×", "x");
    pub const DOT: Mark = Mark("·", ".");
    pub const FILLED: Mark = Mark("█", "#");
    pub const EMPTY: Mark = Mark("░", ".");
    pub const UP: Mark = Mark("↑", "up");
    pub const DOWN: Mark = Mark("↓", "down");
    pub const SIDEWAYS: Mark = Mark("←→", "left, right");
    pub const DEGREE: Mark = Mark("°", "deg");
    pub const ECHO: Mark = Mark("╌", "-");
    pub const NOTE: Mark = Mark("▴", "^");
}
