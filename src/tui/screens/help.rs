//! The help: the key table, and beside it the meanings of the words that are on the screen.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::widgets::{Clear, Widget};

use super::words;
use crate::tui::action::{Mode, help};
use crate::tui::canvas::{self, Canvas};
use crate::tui::theme::Role;
use crate::tui::widgets::page::Page;

/// Columns of the keys, of what they do and of the gap after that, and most columns of the words.
const KEYS: u16 = 15;
const WHAT: u16 = 36;
const GAP: u16 = 3;
const WORDS: u16 = 44;

/// Our own words, as they appear on screens, and what they mean. One that is an ordinary word elsewhere counts only at the
/// beginning of a row.
#[rustfmt::skip]
const GLOSSARY: &[(&str, &str)] = &[
    ("band", "how far from the number, or the path, is still good"),
    ("stay", "an unbroken time inside the band"),
    ("in reach", "points of this task a skilled hand could still get"),
    ("on speed", "at the approach angle of attack; it trims itself"),
    ("slow", "angle of attack this much too large"),
    ("fast", "angle of attack too small, or too many knots"),
    ("lever>", "the lever is still on its way there"),
    ("level", "the power that flies level; its mark on the rail"),
    ("touchdown", "where and how the wheels meet the deck"),
    ("aim point", "the point on the deck that the path leads to"),
    ("asked", "what the task asks for; at a gate, the path's altitude"),
    ("closing", "how fast you close on the aim point"),
    ("closure", "how fast you close on the aim point"),
    ("aids", "how much the screen helps: full, some, bare"),
    ("echo", "another run, drawn in dashes beside yours"),
    ("par", "what a skilled hand makes of it on average: 75 points"),
    ("your best", "the most points you have earned on it"),
    ("best", "as a hand: the cheapest moves known, 100 points"),
    ("bill", "where points went; its lines add up"),
    ("pt", "points"),
    ("dotted", "the flight yours is compared with"),
    ("slow in", "from fast to on speed at one altitude, wheels and flaps coming out"),
    ("from here", "where the dotted run begins to differ"),
    ("until here", "how long a skilled hand could still have saved the points"),
    ("\u{25cb}", "the engine, on its way to the lever"),
    ("\n cost", "a task's time or error, plus lever work: less is better"),
    ("\n result", "when the stay began, or how it ended"),
    ("\n past", "how far beyond the number it went"),
    ("\n below", "how far below the number it came"),
    ("\n short", "how far short it stopped"),
    ("\n travel", "how far the lever went in all"),
    ("turns", "how often the lever changed direction"),
    ("rms", "root mean square: the size of a typical error"),
    ("at rest", "share of the time the lever stood still"),
    ("scatter", "how much the error varied about its mean"),
    ("too steep", "over 1.5 times the 3-degree rate"),
    ("tolerances", "how closely published standards want it flown"),
    ("power card", "moves that change the altitude by a set amount"),
    ("3 degrees down", "the lever for a 3-degree path down"),
    ("3 degrees up", "the lever for a 3-degree path up"),
    ("ten-percent rule", "lead by a tenth of the vertical speed, in ft"),
    ("3-degree rate", "vertical speed on a path of 3 degrees, on speed"),
    ("lever of 3 degrees", "lever from level power to a 3-degree path"),
    ("unscored", "flown, but it earns no points"),
    ("curve", "the learning curve that fits the runs best"),
    ("rungs", "steps of the ladder: drills to pass in order"),
    ("rung", "a step of the ladder: a drill to pass in its turn"),
    ("its mark", "points that pass a rung, twice in a row"),
    ("extras", "wheels, flaps and the like: how many are out"),
];

/// Draws the keys of a mode over the screen, and the meanings of the words on that screen, as far as there is room. Returns
/// whether some did not fit.
pub fn draw(place: Mode, area: Rect, canvas: &mut Canvas) -> bool {
    let words = words_on(canvas.buffer, area);
    let mut keys: Vec<_> = help(place)
        .map(|binding| (binding.shown, binding.what))
        .collect();
    keys.push(("ctrl-z", "put it in the background"));
    keys.push(("ctrl-c", "end at once; a run under way is kept"));
    let left = 1 + KEYS + WHAT + GAP;
    let right = match words.rows(WORDS) {
        0 => 0,
        _ => area.width.saturating_sub(left + 4).min(WORDS),
    };
    let rows = (keys.len() as u16).max(words.rows(right.max(1)));
    let inside = window(" keys ", left + right, rows, area, canvas);
    let lines = inside.y + 1..inside.bottom();
    for (y, (shown, what)) in lines.zip(keys) {
        canvas.put_within(inside.x + 1, y, shown, KEYS, Role::Strong);
        canvas.put_within(inside.x + 1 + KEYS, y, what, WHAT, Role::Ink);
    }
    let mut place = inside;
    canvas::left(&mut place, left);
    canvas::top(&mut place, 1);
    place.width = place.width.min(right);
    let has_more = words.draw(&mut 0, place, canvas);
    if has_more {
        let more = " ?: all words ";
        canvas.put(inside.x + left - 1, inside.bottom(), more, Role::Strong);
    }
    has_more
}

/// Draws the words alone.
pub fn draw_words(area: Rect, canvas: &mut Canvas) {
    let words = words_on(canvas.buffer, area);
    let width = area.width - 4;
    let inside = window(" words ", width, words.rows(width - 2), area, canvas);
    let place = Rect::new(inside.x + 1, inside.y + 1, width - 2, inside.height - 1);
    words.draw(&mut 0, place, canvas);
}

/// Clears a window with a border for a text of `columns` by `rows`. Returns the area inside the border.
fn window(title: &str, columns: u16, rows: u16, area: Rect, canvas: &mut Canvas) -> Rect {
    let (width, height) = ((columns + 4).min(area.width), (rows + 4).min(area.height));
    let (x, y) = ((area.width - width) / 2, (area.height - height) / 2);
    let window = Rect::new(area.x + x, area.y + y, width, height);
    Clear.render(window, canvas.buffer);
    words::border(title, window, canvas)
}

/// The words of the glossary that are on the screen, in its order.
fn words_on(buffer: &Buffer, area: Rect) -> Page {
    let rows = (area.top()..area.bottom()).map(|y| {
        let cells = (area.left()..area.right()).map(|x| buffer[(x, y)].symbol());
        cells.collect::<String>()
    });
    let text = rows.collect::<Vec<_>>().join("\n");
    // Once more without the line ends, which may split a term.
    let flat: Vec<&str> = text.split_whitespace().collect();
    let text = format!("{text}\n{}", flat.join(" "));
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
    let mut page = Page::default();
    for (word, says) in GLOSSARY.iter().filter(|(word, _)| stands(word)) {
        page.push(format!("{}: {says}", word.trim()), Role::Ink);
    }
    page
}
