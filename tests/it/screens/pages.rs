//! The breaking of a text into rows.

use leveloff::tui::canvas::Canvas;
use leveloff::tui::theme::Role;
use leveloff::tui::widgets::page::Page;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::MONO;

/// The rows of a line in a number of columns.
fn broken(line: &str, columns: u16) -> Vec<String> {
    let mut page = Page::default();
    page.push(line, Role::Ink);
    let area = Rect::new(0, 0, columns, page.rows(columns));
    let mut buffer = Buffer::empty(area);
    let canvas = &mut Canvas {
        buffer: &mut buffer,
        theme: MONO,
    };
    page.draw(&mut 0, area, canvas);
    let row = |y| {
        (0..columns)
            .map(|x| buffer[(x, y)].symbol())
            .collect::<String>()
    };
    (0..area.height)
        .map(|y| row(y).trim_end().to_string())
        .collect()
}

#[test]
fn the_rest_of_a_line_hangs() {
    assert_eq!(broken("short", 10), ["short"]);
    assert_eq!(broken("  one two three", 9), ["  one two", "    three"]);
    assert_eq!(broken("2  one two", 8), ["2  one", "   two"]);
    assert_eq!(broken("▸2  one two", 9), ["▸2  one", "    two"]);
    assert_eq!(broken("to 33.5 % at once", 8), ["to", "33.5 %", "at once"]);
    assert_eq!(broken("2 one two", 7), ["2 one", "two"]);
    assert_eq!(broken("unbreakable", 6), ["unbrea", "kable"]);
    // What takes two columns is broken where the columns end, not the characters.
    assert_eq!(
        broken("日本語日本語", 6).concat().replace(' ', ""),
        "日本語日本語"
    );
    assert_eq!(broken("一 二 三", 5).len(), 2);
}

/// A name of wide characters fills its line in half as many of them.
#[test]
fn lines_are_broken_by_their_columns_and_not_by_their_characters() {
    let name = "船".repeat(15);
    let mut page = Page::default();
    page.push(name, Role::Ink);
    assert_eq!([29, 30].map(|columns| page.rows(columns)), [2, 1]);
    // Narrower than a single character: it ends all the same.
    assert_eq!(page.rows(1), 15);
}
