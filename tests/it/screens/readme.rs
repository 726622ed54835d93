//! The pictures of the README are what the program draws. To renew them: `RENEW=1 cargo test --test it -- readme`.
//!
//! The loop and the screens of the program run on an in-memory terminal, not in a pseudo-terminal: the contents of a moving
//! screen must not depend on how busy the machine is.

use std::fs;
use std::path::Path;

use crossterm::event::KeyCode;

use super::{MONO, Seat};

/// Compares the block after a comment `<!-- picture: NAME -->` with a screen, or replaces it with the screen.
fn stands_in_the_readme(name: &str, screen: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md");
    let readme = fs::read_to_string(&path).unwrap();
    let mark = format!("<!-- picture: {name} -->\n```\n");
    let (before, rest) = readme
        .split_once(&mark)
        .unwrap_or_else(|| panic!("README.md has no `{mark}`"));
    let (block, after) = rest.split_once("```\n").expect("the block ends");
    let drawn: String = screen.lines().map(|row| format!("{row}\n")).collect();
    if std::env::var_os("RENEW").is_some() {
        fs::write(&path, format!("{before}{mark}{drawn}```\n{after}")).unwrap();
        return;
    }
    assert_eq!(
        block, drawn,
        "the picture `{name}` in README.md is not what is drawn; renew it with RENEW=1 cargo test --test it -- readme"
    );
}

#[test]
fn a_step_down_as_the_readme_shows_it() {
    let mut seat = Seat::new("readme-fly", (92, 24), MONO);
    seat.open("Down the quarry stair");
    seat.key(KeyCode::Enter);
    seat.key(KeyCode::Char(' '));
    seat.wait(13.0);
    // Power off for the step, and level power again some 90 ft before the number.
    moves(&mut seat, 9, KeyCode::Down);
    seat.wait(16.0);
    moves(&mut seat, 10, KeyCode::Up);
    seat.wait(0.5);
    stands_in_the_readme("fly", &seat.text());
}

/// Single presses, each released before the next.
fn moves(seat: &mut Seat, times: usize, code: KeyCode) {
    for _ in 0..times {
        seat.keys(1, code);
        seat.wait(0.25);
    }
}
