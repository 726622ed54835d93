//! The screens of a drill at the largest size, the list of runs at every size, and the layout at the smallest.

use std::collections::BTreeMap;
use std::sync::Arc;

use crossterm::event::KeyCode;
use leveloff::drill::Drill;
use leveloff::hands::{self, Script};
use leveloff::run::Recording;
use leveloff::tui::theme::{Background, Depth, Theme};
use leveloff::why;

use leveloff::tui::action::{ALL, BINDINGS, help};
use ratatui::Terminal;
use ratatui::backend::TestBackend;

use super::{ASCII, LARGE, MONO, SMALL, Seat, VAST};

const HOLD: &str = r#"
title = "A short hold"
about = "Off the number from the start."
aircraft = "deck jet"
[start]
altitude_ft = 1500.0
lever_off = 0.05
[[task]]
hold = { altitude_ft = 1500.0, band_ft = 60.0, seconds = 12.0 }
"#;

fn drill() -> Arc<Drill> {
    Arc::new(crate::flying::drill(HOLD).unwrap())
}

/// Saves a person's runs, each with its lever a little nearer to level.
fn practised(seat: &mut Seat, drill: &Arc<Drill>, runs: u64) {
    let logbook = seat.logbook();
    for run in 0..runs {
        let lever = 430 - 4 * run as u16;
        let flown = hands::fly(drill.clone(), 7, &mut Script::new(vec![(64, lever)]));
        let recording = Recording {
            at: format!("2026-02-{:02}T09:30:00+00:00", run + 1),
            ..Recording::of(&flown)
        };
        let score = why::score(&flown, None);
        logbook.save(&recording, drill, &score, &[]).unwrap();
    }
    seat.app.look_up_best();
}

#[test]
fn a_drill_on_the_largest_screen() {
    let mut seat = Seat::new("vast", VAST, MONO);
    insta::assert_snapshot!("menu_200x60", seat.text());
    insta::assert_snapshot!("brief_200x60", seat.brief("Down the quarry stair"));
    seat.key(KeyCode::Esc);
    seat.on_the_stair(20.0);
    insta::assert_snapshot!("fly_200x60", seat.text());
}

/// The colours and weights in which a flight is drawn: on both backgrounds, in each depth of colour.
#[test]
fn the_colours_of_a_flight_in_every_mode() {
    let mut told = Vec::new();
    for depth in [Depth::Mono, Depth::Named, Depth::Indexed, Depth::True] {
        for background in [Background::Dark, Background::Light] {
            let theme = Theme {
                depth,
                background,
                unicode: true,
            };
            let mut seat = Seat::new(&format!("mode-{depth:?}-{background:?}"), SMALL, theme);
            seat.on_the_stair(4.0);
            let mut looks: BTreeMap<String, String> = BTreeMap::new();
            for cell in seat
                .buffer()
                .content
                .iter()
                .filter(|cell| cell.symbol() != " ")
            {
                let look = format!("{:?} {:?}", cell.fg, cell.modifier);
                let symbols = looks.entry(look).or_default();
                if symbols.chars().count() < 24 && !symbols.contains(cell.symbol()) {
                    symbols.push_str(cell.symbol());
                }
            }
            told.push(format!("{depth:?} {background:?}"));
            told.extend(
                looks
                    .iter()
                    .map(|(look, symbols)| format!("  {look:<32} {symbols}")),
            );
        }
    }
    insta::assert_snapshot!("fly_80x24_modes", told.join("\n"));
}

/// The tables of a path stand in whole rows beside or below what to do.
#[test]
fn the_tables_of_a_path_are_never_broken() {
    for (size, name) in [(LARGE, "140x40"), (VAST, "200x60")] {
        let mut seat = Seat::new(&format!("tables-{name}"), size, MONO);
        let text = seat.brief("The supply ship");
        assert!(text.contains("3.6 degree path  "), "{text}");
        let row = "10 kt    113 kt   717 ft/min   26.5 %     3.42 deg      3.15 deg";
        assert!(text.contains(row), "no {row:?} in\n{text}");
        let rule = |line: &str| line.contains("one in sixty a degree") && line.contains(" %)");
        seat.keys(10, KeyCode::Down);
        assert!(seat.text().lines().any(rule), "{}", seat.text());
        seat.keys(10, KeyCode::Up);
        insta::assert_snapshot!(format!("brief_path_{name}"), text);
    }
}

/// More cells than fit into sixteen bits.
#[test]
fn the_lower_part_of_a_huge_picture_is_drawn_where_it_belongs() {
    let mut seat = Seat::new("huge", (640, 200), MONO);
    seat.open("Down the quarry stair");
    seat.key(KeyCode::Enter);
    seat.key(KeyCode::Char(' '));
    seat.wait(20.0);
    let text = seat.text();
    let has_dots = |line: &str| line.chars().any(|c| ('⠁'..='⣿').contains(&c));
    let rows: Vec<&str> = text.lines().collect();
    let lowest = rows.iter().rposition(|row| has_dots(row));
    assert!(lowest > Some(120), "{lowest:?}");
}

#[test]
fn the_last_runs_have_a_picture_where_there_is_room() {
    let drill = drill();
    for (size, name) in [(LARGE, "140x40"), (VAST, "200x60")] {
        let mut seat = Seat::before(vec![drill.clone()], &format!("last-{name}"), size, MONO);
        practised(&mut seat, &drill, 14);
        seat.key(KeyCode::Enter);
        seat.key(KeyCode::Enter);
        seat.key(KeyCode::Char(' '));
        seat.wait(12.5);
        seat.settle();
        let text = seat.text();
        let told = text.contains("complete runs, points");
        assert_eq!(told, size == VAST, "{text}");
        if told {
            // Twelve of the fifteen, with the run just flown as the last.
            let heading = text
                .lines()
                .position(|line| line.contains("complete runs, points"));
            let numbers = text.lines().skip(heading.unwrap()).find_map(|line| {
                let right: String = line.chars().skip(124).collect();
                let words: Option<Vec<f64>> = right
                    .split_whitespace()
                    .map(|word| word.parse().ok())
                    .collect();
                words.filter(|words| words.len() > 2)
            });
            let numbers = numbers.expect("a row of points");
            let entries = seat.logbook().entries().unwrap().entries;
            let kept: Vec<f64> = entries.iter().filter_map(|entry| entry.points).collect();
            assert_eq!(kept.len(), 15);
            let last: Vec<f64> = kept[3..].iter().map(|points| points.round()).collect();
            assert_eq!(numbers, last, "{text}");
        }
        insta::assert_snapshot!(format!("debrief_hold_{name}"), text);
    }
}

#[test]
fn the_list_of_runs_at_every_size() {
    let drill = drill();
    let looks = [
        (SMALL, MONO, "80x24"),
        (SMALL, ASCII, "80x24_ascii"),
        (LARGE, MONO, "140x40"),
        (VAST, MONO, "200x60"),
    ];
    for (size, theme, name) in looks {
        let mut seat = Seat::before(vec![drill.clone()], &format!("runs-{name}"), size, theme);
        practised(&mut seat, &drill, 4);
        seat.key(KeyCode::Char('l'));
        insta::assert_snapshot!(format!("runs_{name}"), seat.text());
    }
}

/// The first sentence, the points, the bill and the keys for what to do next stand in the first twelve rows.
#[test]
fn what_counts_stands_at_the_top_of_the_smallest_debrief() {
    let drill = drill();
    let mut seat = Seat::before(vec![drill], "top", SMALL, MONO);
    seat.key(KeyCode::Enter);
    seat.key(KeyCode::Enter);
    seat.key(KeyCode::Char(' '));
    seat.wait(12.5);
    seat.settle();
    let text = seat.text();
    let top: Vec<&str> = text.lines().take(12).collect();
    let top = top.join("\n");
    for wanted in [
        " points",
        "▸1  task 1 ",
        "earned: task 1: ",
        "next: x practises line 1",
        "n the next drill",
    ] {
        assert!(top.contains(wanted), "no {wanted:?} in\n{text}");
    }
    assert!(text.contains("down: more"), "{text}");
    let seen = |text: &str| text.contains("the hand") && text.contains("Largest error");
    assert!(!seen(&text), "{text}");
    let mut all = text;
    for _ in 0..60 {
        seat.key(KeyCode::Down);
        all += &seat.text();
    }
    assert!(seen(&all), "{all}");
}

/// The help explains the words on the screen, and no others.
#[test]
fn the_help_explains_the_words_on_the_screen() {
    let mut seat = Seat::new("words", LARGE, MONO);
    seat.on_the_stair(3.0);
    seat.key(KeyCode::Char('?'));
    let flying = seat.text();
    assert!(flying.contains("stay: an unbroken time inside"), "{flying}");
    assert!(flying.contains("level: the power that flies"), "{flying}");
    assert!(!flying.contains("bill: "), "{flying}");
    seat.key(KeyCode::Char('?'));
    seat.key(KeyCode::Char('q'));
    seat.settle();
    seat.key(KeyCode::Char('?'));
    let told = seat.text();
    assert!(told.contains("turns: how often"), "{told}");
    assert!(told.contains("cost: a task's time or error"), "{told}");
    assert!(!told.contains("level: the power that flies"), "{told}");
}

/// Words that a newcomer cannot know.
const OURS: &[&str] = &[
    "band",
    "stay",
    "in reach",
    "on speed",
    "slow",
    "level",
    "asked",
    "closing",
    "closure",
    "aids",
    "echo",
    "par",
    "best",
    "bill",
    "pt",
    "dotted",
    "from here",
    "until here",
    "○",
    "turns",
    "rms",
    "at rest",
    "scatter",
    "too steep",
    "tolerances",
    "touchdown",
    "aim point",
    "power card",
    "ten-percent rule",
    "3-degree rate",
    "3 degrees down",
    "3 degrees up",
    "lever of 3 degrees",
    "unscored",
    "curve",
    "rungs",
];

/// Checks that the help explains the words of [`OURS`] on the screen, if need be on its second page. Returns those words.
fn explained(seat: &mut Seat) -> Vec<&'static str> {
    let text = seat.text();
    let is_part = |c: Option<char>| c.is_some_and(char::is_alphanumeric);
    // Line breaks may split words.
    let flat = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let stands = |word: &&&str| {
        flat.match_indices(**word).any(|(at, _)| {
            let after = flat[at + word.len()..].chars().next();
            !is_part(flat[..at].chars().next_back()) && !is_part(after)
        })
    };
    let words: Vec<&str> = OURS.iter().filter(stands).copied().collect();
    seat.key(KeyCode::Char('?'));
    let mut help = seat.text();
    assert!(help.contains("┌ keys ─"), "{help}");
    if help.contains(" ?: all words ") {
        seat.key(KeyCode::Char('?'));
        help = seat.text();
        assert!(help.contains("┌ words ─"), "{help}");
        // Nothing is cut off at the bottom: a free row is left.
        let bottom = help.lines().position(|line| line.contains('└')).unwrap();
        let last = help.lines().nth(bottom - 1).unwrap();
        assert_eq!(last.trim_matches(['│', ' ']), "", "{help}");
    }
    seat.key(KeyCode::Char('?'));
    assert!(!seat.text().contains('┌'), "the help is gone");
    for word in &words {
        assert!(
            help.contains(&format!("{word}: ")),
            "{word:?}: {text}\n{help}"
        );
    }
    words
}

#[test]
fn every_word_of_ours_is_explained_where_it_stands() {
    let mut met = std::collections::BTreeSet::new();
    let mut seat = Seat::new("explained", SMALL, MONO);
    let mut meet = |seat: &mut Seat| met.extend(explained(seat));
    meet(&mut seat);
    for key in ['p', 's', 'l', 'w', 'g'] {
        seat.key(KeyCode::Char(key));
        meet(&mut seat);
        seat.key(KeyCode::Esc);
        seat.key(KeyCode::Home);
    }
    for title in [
        "Down the quarry stair",
        "The supply ship",
        "Up to the lamp room",
    ] {
        seat.key(KeyCode::Esc);
        seat.brief(title);
        seat.key(KeyCode::Char('m'));
        for _ in 0..4 {
            meet(&mut seat);
            seat.key(KeyCode::PageDown);
        }
        seat.key(KeyCode::Enter);
        meet(&mut seat);
        seat.key(KeyCode::Char(' '));
        seat.wait(14.0);
        meet(&mut seat);
        seat.key(KeyCode::Char(' '));
        seat.key(KeyCode::Char('0'));
        seat.wait(6.0);
        meet(&mut seat);
        seat.key(KeyCode::Char('q'));
        seat.settle();
        for _ in 0..6 {
            meet(&mut seat);
            seat.key(KeyCode::PageDown);
        }
        seat.key(KeyCode::Esc);
    }
    // Some of the figures need a larger screen.
    let mut seat = Seat::new("explained-large", LARGE, MONO);
    seat.on_the_stair(3.0);
    seat.key(KeyCode::Char('q'));
    seat.settle();
    meet(&mut seat);
    let mut seat = Seat::before(vec![drill()], "explained-bill", SMALL, MONO);
    practised(&mut seat, &drill(), 4);
    meet(&mut seat);
    seat.key(KeyCode::Enter);
    seat.key(KeyCode::Enter);
    seat.key(KeyCode::Char(' '));
    seat.wait(12.5);
    seat.settle();
    for _ in 0..6 {
        meet(&mut seat);
        seat.key(KeyCode::PageDown);
    }
    let missed: Vec<_> = OURS.iter().filter(|word| !met.contains(**word)).collect();
    // The others appear in the arithmetic of a captured step and of a touchdown.
    assert!(missed.len() < 8, "never met, so never tried: {missed:?}");
}

/// The help shows every key of every place in full at the smallest size.
#[test]
fn the_help_has_room_for_every_key() {
    for binding in BINDINGS {
        assert!(binding.what.chars().count() <= 36, "{:?}", binding.what);
        assert!(binding.shown.chars().count() <= 14, "{:?}", binding.shown);
    }
    for place in ALL {
        // Border, a free row, ctrl-z and ctrl-c.
        assert!(help(*place).count() <= 24 - 5, "{place:?}");
    }
}

/// The help shows every key that works: letters and signs as they are, the space by its name.
#[test]
fn every_key_that_works_is_in_the_help() {
    for binding in BINDINGS.iter().filter(|row| !row.shown.is_empty()) {
        let shown: Vec<&str> = binding.shown.split([' ']).collect();
        for key in binding.keys {
            let name = match key {
                KeyCode::Char(' ') => "space".to_string(),
                KeyCode::Char(c) if !c.is_ascii_digit() => c.to_string(),
                _ => continue,
            };
            let is_shown = shown
                .iter()
                .any(|word| *word == name || *word == format!("{name},"));
            assert!(is_shown, "{name:?} is not in {:?}", binding.shown);
        }
    }
}

/// The legend is shown while the start is frozen, and never again.
#[test]
fn the_scope_explains_its_marks_once() {
    let mut seat = Seat::new("legend", SMALL, MONO);
    seat.open("Down the quarry stair");
    seat.key(KeyCode::Enter);
    let marks = [
        "you, and which way you go",
        "engine, on its way to the lever",
    ];
    assert!(
        marks.iter().all(|mark| seat.text().contains(mark)),
        "{}",
        seat.text()
    );
    seat.key(KeyCode::Char(' '));
    seat.wait(0.5);
    assert!(
        !marks.iter().any(|mark| seat.text().contains(mark)),
        "{}",
        seat.text()
    );
    seat.key(KeyCode::Char(' '));
    assert!(
        !marks.iter().any(|mark| seat.text().contains(mark)),
        "paused"
    );
}

#[test]
fn only_a_flight_is_paused_by_a_small_screen() {
    let mut seat = Seat::new("small-menu", SMALL, MONO);
    let says_paused = |seat: &mut Seat| {
        let mut small = Terminal::new(TestBackend::new(60, 20)).unwrap();
        small.draw(|frame| seat.app.draw(frame)).unwrap();
        let cells = &small.backend().buffer().content;
        let text: String = cells.iter().map(|cell| cell.symbol()).collect();
        assert!(text.contains("needs 80 x 24"), "{text}");
        assert!(text.contains("ctrl-c ends"), "{text}");
        text.contains("paused")
    };
    assert!(!says_paused(&mut seat));
    seat.text();
    seat.on_the_stair(1.0);
    assert!(says_paused(&mut seat));
}

/// Characters that take two columns leave the clock and the rows below where they are.
#[test]
fn a_title_of_wide_characters_is_cut_by_columns() {
    let wide = HOLD.replace("A short hold", &"段".repeat(60));
    let drill = Arc::new(crate::flying::drill(&wide).unwrap());
    let mut seat = Seat::before(vec![drill], "wide-title", SMALL, MONO);
    seat.key(KeyCode::Enter);
    seat.key(KeyCode::Enter);
    let text = seat.text();
    let first = text.lines().next().unwrap();
    let (title, clock) = first.trim_end().rsplit_once(' ').unwrap();
    assert_eq!(clock, "0:00", "{text}");
    // An edge, two columns per character, a gap, and the clock followed by one column.
    let shown = title.matches('段').count();
    assert!((35..=36).contains(&shown), "{shown} in {text}");
}
