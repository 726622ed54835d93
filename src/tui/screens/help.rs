//! The help: the key table, as it stands, and beside it what the words mean that are on the screen.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::widgets::{Block, Clear, Widget};

use crate::tui::action::{Place, help};
use crate::tui::theme::{Role, Theme};
use crate::tui::widgets::page::Page;

/// Columns of the keys, of what they do, and most of the words.
const KEYS: u16 = 15;
const WHAT: u16 = 36;
const WORDS: u16 = 44;

/// Our own words, as they stand on screens, and what they mean.
const GLOSSARY: &[(&str, &str)] = &[
    (
        "band",
        "how far from the number, or the path, is still good",
    ),
    ("stay", "an unbroken time inside the band"),
    (
        "in reach",
        "points that can still be had if a skilled hand takes over",
    ),
    ("lever>", "the lever is still on its way there"),
    ("level", "by the rail: the power that flies level here"),
    ("asked", "the altitude of the path at a gate"),
    ("closing", "how fast the aim point comes nearer"),
    ("aids", "how much the screen helps: full, some, bare"),
    ("echo", "another run, drawn in dashes beside yours"),
    (
        "par",
        "what a skilled hand makes of it on average: 75 points",
    ),
    ("your best", "the most points you have earned on it"),
    (
        "best",
        "as a hand: the moves of lowest cost that are known, 100 points",
    ),
    ("bill", "where the points of a task went; its lines add up"),
    ("dotted", "the same run as it would have gone"),
    (
        "slow in",
        "from fast to on speed at one altitude, drag coming out on the way",
    ),
    (
        "fast",
        "by so many knots, or degrees of angle of attack, above on speed",
    ),
    ("turns", "how often the lever changed its direction"),
    ("rms", "root mean square: the size of a usual error"),
    (
        "3-degree rate",
        "vertical speed on speed on a path of 3 degrees",
    ),
    (
        "lever of 3 degrees",
        "how far the lever goes from level power for a path of 3 degrees",
    ),
    ("unscored", "flown, but it earns no points"),
];

/// Draws the keys of a place over whatever is there, and the words that are there.
pub fn draw(place: Place, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let words = words_on(buffer, area);
    let mut keys: Vec<_> = help(place)
        .map(|binding| (binding.shown, binding.what))
        .collect();
    keys.push(("ctrl-z", "to the background"));
    keys.push(("ctrl-c", "end at once; a run under way is kept"));
    let left = 2 + KEYS + WHAT;
    let right = match words.is_empty() {
        true => 0,
        false => area.width.saturating_sub(left + 4).min(WORDS),
    };
    let mut page = Page::default();
    for (word, says) in words {
        page.push(format!("{word}: {says}"), Role::Ink);
    }
    let rows = (keys.len() as u16).max(page.rows(right.max(1)));
    let (width, height) = (
        (left + right + 4).min(area.width),
        (rows + 4).min(area.height),
    );
    let window = Rect {
        x: area.x + (area.width - width) / 2,
        y: area.y + (area.height - height) / 2,
        width,
        height,
    };
    Clear.render(window, buffer);
    let mut block = Block::bordered()
        .title(" keys ")
        .border_style(theme.style(Role::Quiet));
    if !theme.unicode {
        block = block.border_set(ASCII_BORDER);
    }
    let inside = block.inner(window);
    block.render(window, buffer);
    let lines = inside.y + 1..inside.bottom();
    for (y, (shown, what)) in lines.zip(keys) {
        let (keys, room) = (usize::from(KEYS), usize::from(WHAT));
        buffer.set_stringn(inside.x + 1, y, shown, keys, theme.style(Role::Strong));
        buffer.set_stringn(inside.x + 1 + KEYS, y, what, room, theme.style(Role::Ink));
    }
    let words = Rect {
        x: inside.x + left,
        y: inside.y + 1,
        width: right.min(inside.width.saturating_sub(left)),
        height: inside.height.saturating_sub(1),
    };
    page.draw(&mut 0, words, buffer, theme);
}

/// The words of the glossary that are on the screen, in its order.
fn words_on(buffer: &Buffer, area: Rect) -> Vec<(&'static str, &'static str)> {
    let rows = (area.top()..area.bottom()).map(|y| {
        let cells = (area.left()..area.right()).map(|x| buffer[(x, y)].symbol());
        cells.collect::<String>()
    });
    let text = rows.collect::<Vec<_>>().join("\n");
    let stands = |word: &str| {
        text.match_indices(word).any(|(at, _)| {
            let before = text[..at].chars().next_back();
            let after = text[at + word.len()..].chars().next();
            ![before, after]
                .into_iter()
                .flatten()
                .any(|c| c.is_alphanumeric())
        })
    };
    GLOSSARY
        .iter()
        .copied()
        .filter(|(word, _)| stands(word))
        .collect()
}

/// A border of ASCII.
pub const ASCII_BORDER: ratatui::symbols::border::Set<'static> = ratatui::symbols::border::Set {
    top_left: "+",
    top_right: "+",
    bottom_left: "+",
    bottom_right: "+",
    vertical_left: "|",
    vertical_right: "|",
    horizontal_top: "-",
    horizontal_bottom: "-",
};
