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
    /// What the engine gives.
    Engine,
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
    /// The sixteen names, whatever they look like.
    Named,
    /// The 256 of xterm.
    Indexed,
    /// Any.
    True,
}

/// What lies behind the text.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Background {
    /// Nothing is known of it.
    #[default]
    Unknown,
    /// Dark.
    Dark,
    /// Light.
    Light,
}

impl Background {
    /// Of a colour, each part 0..1: light from where black is better to be read on it than white, which is at the relative
    /// luminance 0.179 (W3C, Web Content Accessibility Guidelines 2, contrast ratio).
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
    /// What they have to be told from.
    pub background: Background,
    /// Braille and line characters, or ASCII only.
    pub unicode: bool,
}

/// The colours of a background, in the order of [`PALETTE_ROLES`]; where there is none the terminal's own ink is used. Text
/// in them has a contrast of 4.5 to 1 at least, the marker 3 to 1, and they keep apart for the common colour-vision deficiencies
/// (tests below).
struct Palette {
    /// Of the sixteen. Their grey is left out: in many a terminal it cannot be read.
    named: [Option<Color>; PALETTE_ROLES.len()],
    /// Of the 256, which are drawn with as their red, green and blue where any colour can be had.
    indexed: [Option<u8>; PALETTE_ROLES.len()],
}

const PALETTE_ROLES: [Role; 7] = [
    Role::Quiet,
    Role::Echo,
    Role::Band,
    Role::Alternative,
    Role::Engine,
    Role::Warning,
    Role::Marker,
];

use Color::{Blue, Green, LightBlue, LightCyan, LightMagenta, LightRed, LightYellow};
use Color::{Magenta, Red};

const DARK: Palette = Palette {
    named: [
        None,
        Some(Green),
        Some(LightCyan),
        Some(LightMagenta),
        Some(LightRed),
        Some(LightYellow),
        Some(LightYellow),
    ],
    indexed: [
        Some(246),
        Some(42),
        Some(33),
        Some(176),
        Some(155),
        Some(208),
        Some(208),
    ],
};

const LIGHT: Palette = Palette {
    named: [
        None,
        Some(LightBlue),
        Some(Blue),
        Some(Magenta),
        None,
        Some(Red),
        Some(Red),
    ],
    indexed: [
        Some(240),
        Some(24),
        Some(20),
        Some(91),
        Some(88),
        Some(130),
        Some(130),
    ],
};

/// The few that hold on black and on white.
const EITHER: Palette = Palette {
    named: [None, None, None, None, None, None, Some(LightRed)],
    indexed: [Some(243), None, Some(63), None, None, Some(131), Some(131)],
};

/// Red, green and blue of one of xterm's colours from 16 on: a cube of six steps each way, then 24 greys (xterm, `256colres.pl`).
fn rgb(index: u8) -> [u8; 3] {
    match index {
        232.. => [8 + 10 * (index - 232); 3],
        _ => {
            let step = |n: u8| if n == 0 { 0 } else { 55 + 40 * n };
            let n = index.saturating_sub(16);
            [step(n / 36), step(n / 6 % 6), step(n % 6)]
        }
    }
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

    /// The style of a role.
    pub fn style(&self, role: Role) -> Style {
        let weight = match role {
            Role::Quiet | Role::Echo if self.depth == Depth::Mono => Modifier::DIM,
            Role::Strong | Role::Marker | Role::Warning => Modifier::BOLD,
            _ => Modifier::empty(),
        };
        // The weight of what it is drawn over goes with it.
        let none = Style::new().remove_modifier(Modifier::BOLD | Modifier::DIM);
        let style = none.add_modifier(weight);
        match self.colour(role) {
            Some(colour) => style.fg(colour),
            None => style,
        }
    }

    fn colour(&self, role: Role) -> Option<Color> {
        let at = PALETTE_ROLES.iter().position(|other| *other == role)?;
        let palette = match self.background {
            Background::Dark => DARK,
            Background::Light => LIGHT,
            Background::Unknown => EITHER,
        };
        match self.depth {
            Depth::Mono => None,
            Depth::Named => palette.named[at],
            Depth::Indexed => palette.indexed[at].map(Color::Indexed),
            Depth::True => palette.indexed[at].map(|index| {
                let [red, green, blue] = rgb(index);
                Color::Rgb(red, green, blue)
            }),
        }
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
            Mark::Filled => ("█", "#"),
            Mark::Empty => ("░", "."),
            Mark::Up => ("↑", "up"),
            Mark::Down => ("↓", "down"),
            Mark::Degree => ("°", "deg"),
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
    Filled,
    Empty,
    Up,
    Down,
    Degree,
    Echo,
    Note,
}

#[cfg(test)]
mod tests;
