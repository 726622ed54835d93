//! The terminal itself: the bytes sent to it, its answers, and the keys among them.

use std::time::Instant;

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use leveloff::tui::terminal::events::{channel, plain_shift};
use leveloff::tui::terminal::pen::Pen;
use leveloff::tui::terminal::probe::{Heard, read, typed};
use leveloff::tui::terminal::{Event, Events};
use leveloff::tui::theme::Background;
use ratatui::backend::Backend;
use ratatui::buffer::Cell;
use ratatui::style::{Color, Modifier, Style};

fn drawn(pen: &mut Pen, cells: &[(u16, u16, &'static str, Style)]) -> String {
    let cells: Vec<_> = cells
        .iter()
        .map(|(x, y, symbol, style)| {
            let mut cell = Cell::new(symbol);
            cell.set_style(*style);
            (*x, *y, cell)
        })
        .collect();
    let content = cells.iter().map(|(x, y, cell)| (*x, *y, cell));
    pen.draw(content).unwrap();
    String::from_utf8(pen.take()).unwrap()
}

#[test]
fn only_what_differs_is_said() {
    let (blue, plain) = (Style::new().fg(Color::Indexed(33)), Style::new());
    let bold = plain.fg(Color::Rgb(1, 2, 3)).add_modifier(Modifier::BOLD);
    let mut pen = Pen::default();
    let cells = [
        (0, 0, "a", blue),
        (1, 0, " ", plain),
        (2, 0, "b", blue),
        (4, 0, "c", blue),
        (9, 0, "d", plain),
        (0, 1, "e", bold),
        (1, 1, "f", plain),
    ];
    assert_eq!(
        drawn(&mut pen, &cells),
        "\x1b[1;1H\x1b[38;5;33ma b\x1b[Cc\x1b[4C\x1b[39md\x1b[2;1H\x1b[1;38;2;1;2;3me\x1b[0mf"
    );
    // The next frame keeps the style of the last, but assumes no cursor position.
    assert_eq!(drawn(&mut pen, &[(2, 1, "g", plain)]), "\x1b[2;3Hg");
    pen.clear().unwrap();
    assert_eq!(drawn(&mut pen, &[]), "\x1b[0m\x1b[2J");
}

#[test]
fn a_blank_that_shows_its_style_has_it() {
    let reversed = Style::new().add_modifier(Modifier::REVERSED);
    let behind = Style::new().bg(Color::Blue);
    let mut pen = Pen::default();
    let cells = [
        (0, 0, " ", reversed),
        (1, 0, " ", Style::new()),
        (2, 0, " ", behind),
    ];
    assert_eq!(
        drawn(&mut pen, &cells),
        "\x1b[1;1H\x1b[7m \x1b[0m \x1b[44m "
    );
}

#[test]
fn after_a_wide_character_the_place_is_said() {
    let plain = Style::new();
    let mut pen = Pen::default();
    let cells = [(0, 0, "山", plain), (2, 0, "a", plain)];
    assert_eq!(drawn(&mut pen, &cells), "\x1b[1;1H山\x1b[1;3Ha");
}

#[test]
fn answers_are_told_from_keys() {
    let heard = read(b"j\x1b[?0u\x1b[A\x1b[?62;4;22ck");
    assert!(heard.kitty && heard.complete);
    assert_eq!(heard.rest, b"j\x1b[Ak");

    let plain = read(b"\x1b[?1;2c");
    assert!(!plain.kitty && plain.complete && plain.rest.is_empty());
}

#[test]
fn backgrounds_are_told_in_several_ways() {
    for (told, background) in [
        (&b"\x1b]11;rgb:0000/2b2b/3636\x07"[..], Background::Dark),
        (b"\x1b]11;rgb:fd/f6/e3\x1b\\", Background::Light),
        (b"\x1b]11;rgba:ffff/ffff/ffff/8000\x1b\\", Background::Light),
        (b"\x1b]11;rgb:f/f/f\x07", Background::Light),
        (b"\x1b]11;blue\x07", Background::Unknown),
    ] {
        let heard = read(&[told, b"j"].concat());
        assert_eq!(heard.background, background, "{told:?}");
        assert_eq!(heard.rest, b"j");
    }
}

#[test]
fn frames_are_held_back_only_where_that_is_known() {
    for (told, is_known) in [("1", true), ("2", true), ("0", false), ("4", false)] {
        let heard = read(format!("\x1b[?2026;{told}$y").as_bytes());
        assert_eq!(heard.synchronised, is_known, "{told}");
    }
    assert!(!read(b"\x1b[?2004;1$y").synchronised);
}

#[test]
fn an_answer_in_pieces_is_awaited() {
    let whole = b"\x1b]11;rgb:ffff/ffff/ffff\x1b\\\x1b[?2026;2$y\x1b[?15u\x1b[?62c";
    for cut in 0..whole.len() {
        let heard = read(&whole[..cut]);
        assert!(!heard.complete, "{cut}");
    }
    assert_eq!(
        read(whole),
        Heard {
            kitty: true,
            synchronised: true,
            background: Background::Light,
            complete: true,
            rest: vec![]
        }
    );
}

#[test]
fn keys_typed_meanwhile_are_kept() {
    let plain = |code| KeyEvent::new(code, KeyModifiers::NONE);
    assert_eq!(
        typed("qé\r\t\x7f\x1a\x1b[A\x1bOB\x1b[1;5C\x1b[I\x1b".as_bytes()),
        [
            plain(KeyCode::Char('q')),
            plain(KeyCode::Char('é')),
            plain(KeyCode::Enter),
            plain(KeyCode::Tab),
            plain(KeyCode::Backspace),
            KeyEvent::new(KeyCode::Char('z'), KeyModifiers::CONTROL),
            plain(KeyCode::Up),
            plain(KeyCode::Down),
            plain(KeyCode::Right),
            plain(KeyCode::Esc),
        ]
    );
    assert_eq!(typed(b""), []);
}

#[test]
fn a_shifted_character_carries_no_shift() {
    let key = |c, modifiers| plain_shift(KeyEvent::new(KeyCode::Char(c), modifiers));
    let capital = KeyEvent::new(KeyCode::Char('A'), KeyModifiers::NONE);
    assert_eq!(key('A', KeyModifiers::SHIFT), capital);
    assert_eq!(key('a', KeyModifiers::SHIFT), capital);
    assert_eq!(key('A', KeyModifiers::NONE), capital);
    let up = KeyEvent::new(KeyCode::Up, KeyModifiers::SHIFT);
    assert_eq!(plain_shift(up), up);
}

#[test]
fn live_hands_on_in_order_and_ends_with_closed() {
    let (inlet, mut live) = channel();
    inlet.put(Event::FocusLost);
    inlet.wake();
    inlet.put(Event::Quit(2));
    let past = Instant::now();
    let mut next = || live.next(past).map(|stamped| stamped.event);
    assert_eq!(next(), Some(Event::FocusLost));
    assert_eq!(next(), None);
    assert_eq!(next(), Some(Event::Quit(2)));
    assert_eq!(next(), None);
    drop(inlet);
    assert_eq!(next(), Some(Event::Closed));
}
