//! The debrief: its picture and columns, the keys that step through it, the replay, and that a run is saved before it is
//! shown.

use std::sync::Arc;
use std::time::Duration;

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use leveloff::drill::{Aids, Drill};
use leveloff::export::told::{Debriefed, Kept};
use leveloff::hands::{self, Script};
use leveloff::logbook::{About, Entry, Note};
use leveloff::reach::Reach;
use leveloff::run::recording::HandName;
use leveloff::run::{Recording, Run};
use leveloff::score::HandFigures;
use leveloff::score::Reference;
use leveloff::score::score_against;
use leveloff::tui::Wish;
use leveloff::tui::canvas::Canvas;
use leveloff::tui::replay::Replay;
use leveloff::tui::screens::debrief::compare::Earlier;
use leveloff::tui::screens::debrief::{self, Debrief};
use leveloff::tui::screens::replay as replay_screen;
use leveloff::tui::theme::Theme;
use leveloff::tui::widgets::stretch::{Second, Stretch};
use leveloff::units::TICKS_PER_S;
use leveloff::why::bill::{Better, Bill, Line, LineKind};
use leveloff::why::{self, Pars, Weighed, weigh};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::{ASCII, LARGE, MONO, SMALL, Seat};

const STAIR: &str = r#"
title = "Two ledges"
about = "Down, and down again."
aircraft = "deck jet"
[start]
altitude_ft = 1500.0
[[task]]
hold = { altitude_ft = 1500.0, band_ft = 25.0, seconds = 4.0 }
scored = false
[[task]]
step = { to_ft = 1300.0, band_ft = 25.0, hold_s = 6.0, within_s = 60.0 }
[[task]]
step = { to_ft = 1150.0, band_ft = 25.0, hold_s = 6.0, within_s = 60.0 }
"#;

const SHORT: &str = r#"
title = "A short hold"
about = "Off the number from the start."
aircraft = "deck jet"
[start]
altitude_ft = 1500.0
lever_off = 0.05
[[task]]
hold = { altitude_ft = 1500.0, band_ft = 60.0, seconds = 3.0 }
"#;

fn drill(text: &str) -> Arc<Drill> {
    Arc::new(crate::flying::drill(text).unwrap())
}

/// Recorded moves of the lever, (tick, thousandths), so that a picture changes only with the screen and the model. First a run
/// with many small moves, slow to settle.
const SLOW: &[(u64, u16)] = &[
    (296, 155),
    (418, 175),
    (472, 235),
    (538, 285),
    (604, 310),
    (806, 330),
    (931, 345),
    (1769, 355),
    (2083, 175),
    (2214, 190),
    (2265, 245),
    (2346, 290),
    (2402, 320),
    (2450, 335),
    (2778, 355),
    (3033, 345),
    (3299, 355),
];
/// Then a run with few moves.
const QUICK: &[(u64, u16)] = &[
    (256, 200),
    (608, 295),
    (1058, 400),
    (1474, 380),
    (1696, 145),
    (2080, 305),
    (2266, 390),
    (2874, 380),
];

fn flown_by(drill: &Arc<Drill>, log: &[(u64, u16)]) -> Run {
    hands::fly(drill.clone(), 3, &mut Script::new(log.to_vec()))
}

/// One leg of a run flown by its own log up to a tick, then by the moves of the quick run in the same leg: a real alternative.
fn handed_over(run: &Run, leg: usize, at: u64) -> Run {
    let quick = flown_by(run.drill(), QUICK);
    let (own, other) = (run.legs()[leg].start, quick.legs()[leg].start);
    let before = run.log().iter().copied().filter(|(tick, _)| *tick < at);
    let of_leg = QUICK.iter().filter(|(tick, _)| *tick >= other);
    let after = of_leg.map(|(tick, lever)| ((tick - other + own).max(at), *lever));
    let log = before.chain(after);
    let mut flown = run.each_leg_start().nth(leg).unwrap();
    hands::fly_leg(&mut flown, &mut Script::new(log.collect()));
    flown
}

/// A bill of one line that begins a second after the leg does.
fn bill(run: &Run, leg: usize, points: f64) -> Bill {
    let from = run.legs()[leg].start + TICKS_PER_S;
    let (start, end) = (run.legs()[leg].start, run.legs()[leg].end.unwrap());
    let reach = |tick: u64, points: f64| Reach {
        tick,
        points,
        cost: 0.0,
        terms: None,
    };
    let line = Line {
        leg,
        task: run.legs()[leg].task + 1,
        kind: LineKind::LevelOffLate,
        amount: 1.5,
        from,
        to: from + 640,
        when: 0..0,
        until: Some(from + 64),
        points,
        cost: 9.0,
        terms: None,
        sentence: format!("What was done in task {}.", leg + 1),
        better: Some(Better::of(
            run,
            &handed_over(run, leg, from),
            from,
            60.0,
            true,
        )),
    };
    Bill {
        leg,
        task: line.task,
        in_reach: 80.0,
        points: 80.0 - points,
        reach: vec![
            reach(start, 80.0),
            reach(from, 80.0),
            reach(from + 640, 80.0 - points),
            reach(end, 80.0 - points),
        ],
        lines: vec![line],
    }
}

/// A slow run of two steps with a line of the bill for each, made-up references, two marks and two notes.
fn told() -> Debriefed {
    let drill = drill(STAIR);
    let run = flown_by(&drill, SLOW);
    assert!(run.legs().len() == 3 && run.legs()[2].end.is_some());
    let references = vec![
        Reference::default(),
        Reference {
            best: Some(20.0),
            par: Some(26.5),
            handed_on: None,
        },
        Reference {
            best: Some(15.0),
            par: Some(21.0),
            handed_on: Some(1.5),
        },
    ];
    let weighed = Weighed {
        ended_in: None,
        score: score_against(&run, &references),
        bills: vec![bill(&run, 1, 30.0), bill(&run, 2, 10.0)],
        first: "What was done in task 2.".to_string(),
    };
    let marks = vec![run.legs()[1].start + 700, run.legs()[2].start + 300];
    let recording = Recording {
        marks,
        ..Recording::of(&run)
    };
    let kept = Kept::As("20260301-093000-abcd".to_string());
    Debriefed {
        notes: vec![
            note(About::Mark(2), "Here you looked\u{1b} at the lever."),
            note(About::Task(2), "Earlier, and less."),
        ],
        ..Debriefed::new(run, recording, weighed, Some(pars()), kept)
    }
}

fn note(about: About, text: &str) -> Note {
    let at = "2026-03-02T18:00:00+00:00".to_string();
    Note::new(at, Some("the coach".to_string()), about, text.to_string())
}

/// Pars with the quick run for both hands, to avoid the search for `best`.
fn pars() -> Pars {
    let json = serde_json::json!({ "legs": [], "steady": QUICK, "best": QUICK });
    serde_json::from_value(json).unwrap()
}

fn rows(buffer: &Buffer, columns: u16) -> Vec<String> {
    let row = |y: u16| {
        let cells = (0..columns.min(buffer.area.width)).map(|x| buffer[(x, y)].symbol());
        cells.collect::<String>().trim_end().to_string()
    };
    (0..buffer.area.height).map(row).collect()
}

fn drawn(debrief: &mut Debrief, size: (u16, u16), theme: Theme) -> Buffer {
    let area = Rect::new(0, 0, size.0, size.1);
    let mut buffer = Buffer::empty(area);
    let canvas = &mut Canvas {
        buffer: &mut buffer,
        theme,
    };
    debrief::draw(debrief, area, canvas);
    buffer
}

/// The picture and the columns, without the sentences.
fn picture(debrief: &mut Debrief, size: (u16, u16), theme: Theme) -> String {
    let buffer = drawn(debrief, size, theme);
    match size.0 >= LARGE.0 {
        true => rows(&buffer, 87).join("\n"),
        false => rows(&buffer, size.0)[..23].join("\n"),
    }
}

fn text(debrief: &mut Debrief, size: (u16, u16)) -> String {
    rows(&drawn(debrief, size, MONO), size.0).join("\n")
}

fn none() -> Option<Earlier> {
    None
}

#[test]
fn the_picture_of_a_run_and_of_its_tasks() {
    for (size, name) in [(SMALL, "80x24"), (LARGE, "140x40")] {
        let mut debrief = Debrief::new(told(), None);
        let whole = picture(&mut debrief, size, MONO);
        assert!(whole.contains("from here"), "{whole}");
        let all = text(&mut debrief, size);
        assert!(
            all.contains("dotted: better from 0:05: task 2 60 points"),
            "{all}"
        );
        insta::assert_snapshot!(format!("debrief_whole_{name}"), whole);
        debrief.step(true);
        debrief.step(true);
        let task = picture(&mut debrief, size, MONO);
        assert_eq!(size == LARGE, task.contains("▸2 step 1,300"), "{task}");
        insta::assert_snapshot!(format!("debrief_task_{name}"), task);
        debrief.step(true);
        debrief.next_against(none);
        insta::assert_snapshot!(
            format!("debrief_par_{name}"),
            picture(&mut debrief, size, MONO)
        );
    }
}

#[test]
fn the_picture_in_ascii_and_what_is_dotted_differs_from_what_is_not() {
    let mut debrief = Debrief::new(told(), None);
    let ascii = picture(&mut debrief, SMALL, ASCII);
    assert!(ascii.is_ascii(), "{ascii}");
    insta::assert_snapshot!("debrief_whole_80x24_ascii", ascii);
    // Without colour the second trace is visible too, as dots that the run alone does not have.
    let with = picture(&mut debrief, LARGE, MONO);
    for _ in 0..3 {
        debrief.next_against(none);
    }
    assert!(debrief.second().is_none());
    let without = picture(&mut debrief, LARGE, MONO);
    assert!(!without.contains("dotted") && !without.contains("from here"));
    let differing = with.lines().skip(2).zip(without.lines().skip(2));
    assert!(differing.filter(|(a, b)| a != b).count() > 10);
}

#[test]
fn left_and_right_step_through_the_tasks_and_back_to_the_whole() {
    let mut debrief = Debrief::new(told(), None);
    let mut seen = vec![debrief.leg()];
    for _ in 0..4 {
        debrief.step(true);
        seen.push(debrief.leg());
    }
    assert_eq!(seen, [None, Some(0), Some(1), Some(2), None]);
    for _ in 0..4 {
        debrief.step(false);
        seen.push(debrief.leg());
    }
    assert_eq!(seen[5..], [Some(2), Some(1), Some(0), None]);
}

#[test]
fn a_task_brings_its_line_and_a_line_its_task() {
    let mut debrief = Debrief::new(told(), None);
    assert_eq!(debrief.line().unwrap().leg, 1);
    debrief.next_line(true);
    assert_eq!(debrief.line().unwrap().leg, 2);
    assert_eq!(debrief.leg(), None, "the whole run stays the whole run");
    debrief.next_line(true);
    assert_eq!(debrief.line().unwrap().leg, 1, "round and round");
    debrief.step(false);
    assert_eq!((debrief.leg(), debrief.line().unwrap().leg), (Some(2), 2));
    let change = |debrief: &Debrief| debrief.second().unwrap().change;
    assert_eq!(change(&debrief), Some(debrief.line().unwrap().from));
    debrief.next_line(false);
    assert_eq!((debrief.leg(), debrief.line().unwrap().leg), (Some(1), 1));
    assert_eq!(change(&debrief), Some(debrief.line().unwrap().from));
    debrief.step(false);
    assert_eq!(debrief.leg(), Some(0));
    let hold = text(&mut debrief, SMALL);
    assert!(hold.contains("no dotted line in this task"), "{hold}");
    // A mark shows the chosen one, in any colours.
    let text = text(&mut debrief, LARGE);
    let marked = |line: &&str| line.chars().skip(87).any(|c| c == '▸');
    assert_eq!(text.lines().filter(marked).count(), 1, "{text}");
}

#[test]
fn what_stands_beside_goes_round_and_leaves_out_what_there_is_not() {
    let mut debrief = Debrief::new(told(), None);
    let own = debrief.run().clone();
    let mut seen = Vec::new();
    for _ in 0..5 {
        debrief.next_against(|| {
            Some(Earlier {
                id: "20260228-080000-beef".to_string(),
                points: Some(41.0),
                run: own.clone(),
            })
        });
        let head = rows(&drawn(&mut debrief, LARGE, MONO), 140)[1].clone();
        seen.push(
            head.split_once("dotted: ")
                .map(|(_, what)| what.to_string()),
        );
    }
    let seen: Vec<_> = seen.iter().map(Option::as_deref).collect();
    assert_eq!(seen[0], Some("par, task by task"));
    assert_eq!(seen[1], Some("best, task by task"));
    assert_eq!(seen[2], Some("run 20260228-080000-beef, 41 points"));
    assert_eq!(seen[3], None);
    assert!(seen[4].unwrap().starts_with("better from"));

    let mut bare = told();
    bare.pars = None;
    bare.weighed.bills.clear();
    let mut debrief = Debrief::new(bare, None);
    for _ in 0..5 {
        assert!(debrief.second().is_none());
        debrief.next_against(none);
        debrief.next_line(true);
    }
}

#[test]
fn another_run_is_laid_beside_task_by_task() {
    let drill = drill(STAIR);
    let (own, other) = (flown_by(&drill, SLOW), flown_by(&drill, QUICK));
    let second = Second::beside(&own, other.clone());
    assert_eq!(second.pieces.len(), 3);
    for (piece, leg) in second.pieces.iter().zip(own.legs()) {
        assert_eq!(
            piece.at(leg.start as usize),
            Some(other.legs()[piece.leg].start as usize)
        );
    }
    let longer = Second::beside(&other, own.clone());
    let zoom = Stretch::of_leg(&other, 1, Some(&longer));
    let (mine, its) = (&other.legs()[1], &own.legs()[1]);
    assert!(its.end.unwrap() - its.start > mine.end.unwrap() - mine.start);
    assert!(zoom.ticks.end as u64 > mine.start + its.end.unwrap() - its.start);
}

#[test]
fn marks_and_notes_are_told_and_drawn() {
    let mut debrief = Debrief::new(told(), None);
    let text = text(&mut debrief, LARGE);
    let axis = text
        .lines()
        .find(|line| line.contains("0 s") && line.contains('▴'));
    let axis = axis.expect("the marks stand on the time axis");
    assert!(axis.contains("▴1") && axis.contains("▴2"), "{axis}");
    let at = |what: &str| text.lines().position(|line| line.contains(what)).unwrap();
    assert!(at("in task 3, step 1,150 ft") < at("Note on mark 2 by the coach"));
    assert!(text.contains("on task 2 by the coach"), "{text}");
}

/// How many of the hand's figures a text contains.
fn hand_rows(text: &str, rows: &[(&str, String, String)]) -> usize {
    let rows = rows.iter().filter(|(label, yours, par)| {
        let row = format!("   {label:<18}{yours:>10}{par:>10}");
        text.contains(row.trim_end())
    });
    rows.count()
}

#[test]
fn the_hand_stands_beside_pars_and_without_par_alone() {
    let known = told();
    let (run, drill) = (known.run.clone(), known.run.drill().clone());
    let own = HandFigures::of(&run);
    let both = own.beside(Some(&HandFigures::of(&flown_by(&drill, QUICK))));
    assert!(both.iter().any(|(_, yours, par)| yours != par));
    let mut debrief = Debrief::new(known, None);
    let text_of = |debrief: &mut Debrief| text(debrief, LARGE);
    let told_text = text_of(&mut debrief);
    assert!(told_text.contains(" the hand                 yours       par"));
    assert_eq!(hand_rows(&told_text, &both), both.len(), "{told_text}");

    let alone = Debriefed {
        pars: None,
        ..told()
    };
    let mut debrief = Debrief::new(alone, None);
    let told_text = text_of(&mut debrief);
    let rows = own.beside(None);
    let rows: Vec<_> = (rows.into_iter())
        .map(|(label, yours, _)| (label, yours, String::new()))
        .collect();
    assert_eq!(hand_rows(&told_text, &rows), rows.len(), "{told_text}");
    assert!(!told_text.contains(" the hand                 yours       par"));
}

/// The smallest screen shows without scrolling what was not saved, and that there is more to read.
#[test]
fn that_there_is_more_below_is_told() {
    let mut unkept = told();
    unkept.kept = Kept::Not("no room left".to_string());
    unkept.weighed.bills.clear();
    unkept.weighed.first.clear();
    unkept.recording.marks.clear();
    unkept.notes.clear();
    let mut debrief = Debrief::new(unkept, None);
    let top = text(&mut debrief, SMALL);
    assert!(top.contains("not kept: no room left"), "{top}");
    assert!(top.contains("down: more"), "{top}");
    debrief.scroll = u16::MAX;
    let end = text(&mut debrief, SMALL);
    assert!(!end.contains("down: more"), "{end}");
    for shown in [top, end] {
        assert!(shown.contains("q menu   ? help"), "{shown}");
    }
}

#[test]
fn every_size_draws_the_debrief_and_the_replay() {
    let told = told();
    let run = told.run.clone();
    let mut debrief = Debrief::new(told, None);
    for zoom in 0..4 {
        for columns in (80..=160).step_by(5) {
            for rows in (24..=60).step_by(3) {
                for theme in [MONO, ASCII] {
                    let buffer = drawn(&mut debrief, (columns, rows), theme);
                    let text: String = buffer.content.iter().map(|c| c.symbol()).collect();
                    assert!(
                        text.contains("? help"),
                        "{zoom}: {columns} x {rows}: {text}"
                    );
                    assert!(
                        text.contains("What was done"),
                        "{zoom}: {columns} x {rows}: {text}"
                    );
                    assert!(
                        text.contains("-30  level-off"),
                        "{columns} x {rows}: {text}"
                    );
                }
            }
        }
        debrief.step(true);
        debrief.next_line(true);
    }
    let mut replay = Replay::new(Box::new(debrief), Duration::ZERO);
    replay.flight.skip_to(run.tick() / 2, Duration::ZERO);
    for columns in (80..=160).step_by(7) {
        for height in (24..=60).step_by(5) {
            let area = Rect::new(0, 0, columns, height);
            let buffer = &mut Buffer::empty(area);
            replay_screen::draw(
                &mut replay,
                area,
                &mut Canvas {
                    buffer,
                    theme: MONO,
                },
            );
            let text = rows(buffer, columns).join("\n");
            assert!(text.contains("Two ledges"), "{columns} x {height}: {text}");
        }
    }
}

fn entries(seat: &Seat) -> Vec<Entry> {
    seat.logbook().entries().unwrap().entries
}

/// The short hold, flown to its end by leaving the lever alone.
fn flown(name: &str) -> Seat {
    let mut seat = Seat::before(vec![drill(SHORT)], name, LARGE, MONO);
    seat.key(KeyCode::Enter);
    seat.key(KeyCode::Enter);
    seat.key(KeyCode::Char(' '));
    seat.wait(2.8);
    assert!(seat.text().contains("space pauses"), "{}", seat.text());
    assert!(entries(&seat).is_empty());
    // Frame by frame over the end: nothing of the debrief shows before the run is saved.
    for _ in 0..40 {
        seat.wait(0.01);
        let text = seat.text();
        assert!(
            !text.contains("debrief") || entries(&seat).len() == 1,
            "{text}"
        );
    }
    seat
}

#[test]
fn a_run_is_weighed_then_kept_then_shown() {
    let mut seat = flown("weighed");
    seat.settle();
    let text = seat.text();
    let kept = entries(&seat);
    assert_eq!(kept.len(), 1);
    assert!(text.contains(&format!("kept as {}", kept[0].id)), "{text}");
    // The points of the entry are those against par.
    let recording = seat.logbook().recording(&kept[0].id).unwrap();
    let run = recording.replay().unwrap();
    let pars = Pars::of(run.drill(), run.seed(), &mut |_| {});
    let points = why::score(&run, Some(&pars)).points;
    assert_eq!(kept[0].points, points);
    assert_ne!(kept[0].points, why::score(&run, None).points);
    assert!(
        text.contains(&format!("{:.0} points", points.unwrap())),
        "{text}"
    );
    assert!(
        text.lines()
            .any(|line| line.trim_start().starts_with("par ")),
        "{text}"
    );
}

#[test]
fn whoever_does_not_wait_has_the_run_kept_without_par() {
    let drill = drill(STAIR);
    let mut hurried = 0;
    for (key, code) in [(KeyCode::Char('q'), None), (KeyCode::Char('c'), Some(130))] {
        let mut seat = Seat::before(vec![drill.clone()], &format!("hurry-{code:?}"), LARGE, MONO);
        fly_past_both_steps(&mut seat);
        if !seat.text().contains("is being weighed") {
            // Par arrived within the tenth of a second for which the screen waits.
            assert_eq!(entries(&seat).len(), 1);
            continue;
        }
        hurried += 1;
        assert!(entries(&seat).is_empty());
        let modifiers = match code {
            Some(_) => KeyModifiers::CONTROL,
            None => KeyModifiers::NONE,
        };
        let wish = seat.app.key(&KeyEvent::new(key, modifiers), seat.now);
        assert_eq!(wish, code.map_or(Wish::Stay, Wish::Exit));
        assert_eq!(entries(&seat).len(), 1);
        let text = seat.text();
        assert!(text.contains("debrief"), "{text}");
        assert!(
            text.contains("did not wait for it") || text.contains("par "),
            "{text}"
        );
    }
    assert!(hurried > 0, "nothing had to be waited for");
}

/// Takes a little power off and lets the time allowed for both steps run out.
fn fly_past_both_steps(seat: &mut Seat) {
    seat.key(KeyCode::Enter);
    seat.key(KeyCode::Enter);
    seat.key(KeyCode::Char(' '));
    seat.key(KeyCode::Down);
    for _ in 0..150 {
        seat.wait(1.0);
        let text = seat.text();
        if text.contains("is being weighed") || text.contains("debrief") {
            return;
        }
    }
    panic!("it never ends: {}", seat.text());
}

#[test]
fn a_replay_runs_at_once_to_sixteen_times_the_speed() {
    let mut seat = flown("replay");
    seat.settle();
    seat.key(KeyCode::Char('p'));
    assert!(seat.text().contains("playing  1x"), "{}", seat.text());
    seat.wait(1.1);
    assert_eq!(seat.clock_s(), 1.0);
    seat.key(KeyCode::Char(' '));
    let stopped = seat.clock_s();
    seat.wait(5.0);
    assert_eq!(seat.clock_s(), stopped);
    assert!(seat.text().contains("stopped"), "{}", seat.text());
    seat.key(KeyCode::Left);
    assert_eq!(seat.clock_s(), 0.0, "back, and still stopped");
    assert!(seat.text().contains("stopped"), "{}", seat.text());
    seat.keys(2, KeyCode::Up);
    seat.key(KeyCode::Char(' '));
    seat.wait(0.5);
    assert!(seat.text().contains("playing  4x"), "{}", seat.text());
    assert_eq!(seat.clock_s(), 2.0);
    seat.key(KeyCode::Up);
    seat.key(KeyCode::Up);
    assert!(seat.text().contains("16x"));
    seat.wait(1.0);
    assert!(seat.text().contains("the end 16x"), "{}", seat.text());
    assert_eq!(seat.clock_s(), 3.0);
    assert!(!seat.app.is_moving());
    seat.key(KeyCode::Char('q'));
    assert!(seat.text().contains("debrief"), "{}", seat.text());
    assert_eq!(entries(&seat).len(), 1, "a replay is no run");
}

#[test]
fn a_replay_shows_the_lever_as_it_was_moved_and_ends_where_the_run_did() {
    let run = told().run;
    let mut replay = Replay::new(Box::new(Debrief::new(told(), None)), Duration::ZERO);
    let mut now = Duration::ZERO;
    while !replay.flight.is_over() {
        now += Duration::from_millis(16);
        replay.flight.advance(now);
        let again = replay.flight.run();
        let tick = again.tick() as usize;
        assert_eq!(again.lever(), run.trace().lever_before(tick));
        assert!(now < Duration::from_secs(600));
    }
    assert_eq!(replay.flight.run().digest(), run.digest());
    assert_eq!(replay.flight.marks, told().recording.marks);
    assert!(replay.flight.echo.is_some(), "the alternative runs along");
}

#[test]
fn how_it_stands_beside_earlier_runs_is_said_before_what_happened() {
    let said = "9 better than the mean of your last 5 (62); your best here.";
    let told = Debriefed {
        beside_last: Some(said.to_string()),
        ..told()
    };
    let mut debrief = Debrief::new(told, None);
    let buffer = drawn(&mut debrief, (140, 40), MONO);
    let text = rows(&buffer, 140).join("\n");
    let at = |what: &str| text.find(what).unwrap_or_else(|| panic!("{text}"));
    let story = at("All tasks flown by");
    assert!(at("9 better than the mean of your") < story, "{text}");
}

#[test]
fn a_run_that_was_left_is_played_to_where_it_was_left() {
    let drill = drill(STAIR);
    let mut run = Run::new(drill, 3);
    (0..300).for_each(|_| run.fly());
    run.leave();
    let left = Debriefed {
        weighed: weigh(&run, None),
        pars: None,
        recording: Recording::of(&run),
        run,
        ..told()
    };
    let debrief = Box::new(Debrief::new(left, None));
    let mut replay = Replay::new(debrief, Duration::ZERO);
    replay.flight.advance(Duration::from_millis(250));
    replay.flight.set_speed(16, Duration::from_millis(250));
    replay.flight.advance(Duration::from_millis(500));
    replay.flight.advance(Duration::from_millis(750));
    assert!(replay.flight.is_over());
    assert_eq!(replay.flight.run().tick(), 300);
}

#[test]
fn kept_runs_are_listed_opened_and_held_against_each_other() {
    let drill = drill(SHORT);
    let mut seat = Seat::before(vec![drill.clone()], "listed", LARGE, MONO);
    seat.key(KeyCode::Char('l'));
    assert!(
        seat.text().contains("No run has been kept yet"),
        "{}",
        seat.text()
    );
    seat.key(KeyCode::Char('q'));
    let logbook = seat.logbook();
    let mut ids = Vec::new();
    for lever in [600, 420] {
        let run = hands::fly(drill.clone(), 3, &mut Script::new(vec![(40, lever)]));
        let recording = Recording {
            at: "2026-03-01T09:30:00+00:00".to_string(),
            hand: HandName::Script,
            ..Recording::of(&run)
        };
        let score = why::score(&run, None);
        ids.push(logbook.save(&recording, &drill, &score, &[]).unwrap().id);
    }
    seat.key(KeyCode::Char('l'));
    let text = seat.text();
    let line = |id: &str| text.lines().position(|line| line.contains(id)).unwrap();
    assert!(line(&ids[1]) < line(&ids[0]), "the latest first: {text}");
    seat.key(KeyCode::Down);
    seat.key(KeyCode::Enter);
    seat.settle();
    let text = seat.text();
    assert!(text.contains(&format!("kept as {}", ids[0])), "{text}");
    assert_eq!(entries(&seat).len(), 2, "opened, not kept again");
    for _ in 0..5 {
        if seat.text().contains(&format!("dotted: run {}", ids[1])) {
            break;
        }
        seat.key(KeyCode::Char('c'));
    }
    assert!(
        seat.text().contains(&format!("dotted: run {}", ids[1])),
        "{}",
        seat.text()
    );
    seat.key(KeyCode::Char('q'));
    let text = seat.text();
    let chosen = text.lines().find(|line| line.contains('▸')).unwrap();
    assert!(chosen.contains(&ids[0]), "back where one was: {text}");
    // For a run whose file is gone there is a message, and the list stays.
    std::fs::remove_file(seat.folder.join("runs").join(format!("{}.json", ids[0]))).unwrap();
    seat.key(KeyCode::Enter);
    let text = seat.text();
    assert!(
        text.contains("runs, latest first") && text.contains(&ids[1]),
        "{text}"
    );
    assert!(text.contains("no run"), "{text}");
    seat.key(KeyCode::Char('q'));
    assert!(seat.text().contains("enter opens the brief"));
}

#[test]
fn a_line_is_practised_again_and_again_and_does_not_count() {
    let drill = drill(STAIR);
    let mut seat = Seat::before(vec![drill], "practised", LARGE, MONO);
    fly_past_both_steps(&mut seat);
    seat.settle();
    let kept = entries(&seat).len();
    for _ in 0..2 {
        assert!(seat.text().contains("x practise"), "{}", seat.text());
        seat.key(KeyCode::Char('x'));
        let text = seat.text();
        assert!(
            text.contains("Practice: ") && text.contains("1 of 1"),
            "{text}"
        );
        seat.key(KeyCode::Char(' '));
        seat.wait(2.0);
        // Left, then flown again to its end from its own debrief.
        seat.key(KeyCode::Char('q'));
        seat.settle();
        assert!(
            seat.text().contains("practice does not count"),
            "{}",
            seat.text()
        );
        assert!(!seat.text().contains("The line cost"), "{}", seat.text());
        // Every attempt flown to its end is held against the line.
        for told in ["points; this time", "points; in 2 attempts"] {
            seat.key(KeyCode::Enter);
            assert!(seat.text().contains("Practice: "), "{}", seat.text());
            seat.key(KeyCode::Char(' '));
            for _ in 0..100 {
                seat.wait(1.0);
            }
            seat.settle();
            let text = seat.text();
            assert!(
                text.contains("The line cost") && text.contains(told),
                "{text}"
            );
        }
    }
    assert_eq!(entries(&seat).len(), kept);
    // Back to the debrief whose line was practised, and from there to the menu.
    seat.key(KeyCode::Char('q'));
    let text = seat.text();
    assert!(
        text.contains("Two ledges   debrief") && !text.contains("Practice"),
        "{text}"
    );
    // It leads back there even if nothing was flown, and begun again it stays a practice.
    seat.key(KeyCode::Char('x'));
    seat.key(KeyCode::Char('r'));
    assert!(seat.text().contains("Practice: "), "{}", seat.text());
    seat.key(KeyCode::Char('q'));
    assert!(
        seat.text().contains("Two ledges   debrief"),
        "{}",
        seat.text()
    );
    seat.key(KeyCode::Char('q'));
    assert!(seat.text().contains("enter opens the brief"));
}

#[test]
fn a_practice_helps_as_much_as_its_drill_did() {
    let mut seat = Seat::before(vec![drill(STAIR)], "practice-aids", LARGE, MONO);
    seat.key(KeyCode::Char('a'));
    fly_past_both_steps(&mut seat);
    seat.settle();
    seat.key(KeyCode::Char('x'));
    let text = seat.text();
    assert!(
        text.contains("Practice: ") && text.contains("aids some"),
        "{text}"
    );
    // A second one, too.
    seat.key(KeyCode::Char('q'));
    seat.key(KeyCode::Char('x'));
    assert!(seat.text().contains("aids some"), "{}", seat.text());
}

#[test]
fn a_replay_helps_as_much_as_the_run_was_helped() {
    let mut told = told();
    told.recording.aids = Aids::Bare;
    let replay = Replay::new(Box::new(Debrief::new(told, None)), Duration::ZERO);
    assert_eq!(replay.flight.aids, Aids::Bare);
}

#[test]
fn a_run_given_up_at_once_is_not_kept_and_one_left_early_is_no_best() {
    let mut seat = Seat::before(vec![drill(STAIR)], "given-up", LARGE, MONO);
    let leave_after = |seat: &mut Seat, seconds: f64| {
        seat.key(KeyCode::Enter);
        seat.key(KeyCode::Enter);
        seat.key(KeyCode::Char(' '));
        seat.wait(seconds);
        seat.key(KeyCode::Char('q'));
        seat.settle();
        let text = seat.text();
        seat.key(KeyCode::Char('q'));
        text
    };
    let given_up = leave_after(&mut seat, 3.0);
    assert!(given_up.contains("not kept: given up"), "{given_up}");
    assert_eq!(entries(&seat).len(), 0);
    let left = leave_after(&mut seat, 7.0);
    assert!(left.contains("kept as"), "{left}");
    assert_eq!(entries(&seat).len(), 1);
    assert!(!seat.has_points(), "{}", seat.text());
}

/// A tap just before the better flight goes to full power is one move with it, and begins before the two flights part.
#[test]
fn a_tap_just_before_a_better_go_around_is_drawn_with_it() {
    let drill = drill(
        "title = 'T'\nabout = 'A'\naircraft = 'deck jet'\n[start]\naltitude_ft = 200\ndistance_nm = 4.2\n[deck]\n\
         height_ft = 60\nzone_ft = 240\nspeed_kt = 12\n[[task]]\n\
         path = { slope_deg = 3.5, from_nm = 3.1, band_ft = 80, gates_nm = [2, 1, 0.5] }\n",
    );
    let run = flown_by(&drill, &[(32, 450), (8040, 460)]);
    let pars = crate::kept::pars(&drill, 0);
    let told = Debriefed {
        weighed: crate::kept::weigh(&run, Some(pars)),
        recording: Recording::of(&run),
        run,
        ..told()
    };
    let mut debrief = Debrief::new(told, None);
    debrief.next_line(true);
    text(&mut debrief, (100, 30));
}
