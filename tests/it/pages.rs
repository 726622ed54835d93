//! The page and the picture of a debrief, with hostile texts as well.

use std::sync::Arc;

use leveloff::drill::printable::is_plain;
use leveloff::drill::reader::Source;
use leveloff::drill::{library, parse};
use leveloff::export::told::{Debriefed, Kept};
use leveloff::export::{CAUTION, html, svg, text};
use leveloff::hands;
use leveloff::logbook::{About, Note};
use leveloff::run::recording::HandName;
use leveloff::run::{Recording, Run};
use leveloff::why::{self, Pars, Weighed};

use crate::theme::contrast;

const HOSTILE: &str = "</title><script>alert('1')</script>&\\\"'<img src=x onerror=y>]]>";

fn flown(drill: &str, title: Option<&str>) -> (Run, Pars, Weighed) {
    let shipped = library::drill(drill).unwrap();
    let own = shipped.drill().unwrap();
    let text = match title {
        Some(title) => own.text.replacen(&own.title, title, 1),
        None => own.text,
    };
    let source = Source {
        file: "a.toml",
        text: &text,
    };
    let drill = parse::parse(drill, source, &library::find_shipped_aircraft).unwrap();
    let drill = Arc::new(drill);
    let mut hand = hands::built_in(HandName::Green, &drill, 0).unwrap();
    let run = hands::fly(drill.clone(), 0, &mut *hand);
    let pars = Pars::of(&drill, 0, &mut |_| {});
    let weighed = why::weigh(&run, Some(&pars));
    (run, pars, weighed)
}

fn page(flown: &(Run, Pars, Weighed), recording: &Recording, notes: &[Note]) -> String {
    let (run, pars, weighed) = flown;
    let kept = Kept::As(recording.id.clone());
    let (run, recording) = (run.clone(), recording.clone());
    html::page(&Debriefed {
        notes: notes.to_vec(),
        ..Debriefed::new(run, recording, weighed.clone(), Some(pars.clone()), kept)
    })
}

/// What stands beside earlier runs, and guesses, are no less part of the page than of the text; without par it names none.
#[test]
fn the_page_says_what_the_text_says() {
    let (run, _, weighed) = flown("catch-the-sink", None);
    let recording = Recording::of(&run);
    let kept = Kept::As(String::new());
    let told = Debriefed {
        beside_last: Some("9 better than your previous run (62).".to_string()),
        guesses: vec!["Level power: you said 40.0 %, it takes 35.5 %: 4.5 % too much.".to_string()],
        ..Debriefed::new(run, recording, weighed, None, kept)
    };
    let (page, text) = (html::page(&told), text::debrief(&told));
    for said in ["9 better than your previous run", "you said 40.0 %"] {
        assert!(page.contains(said) && text.contains(said), "{said}");
    }
    assert!(page.contains("<h2>Figures</h2>"), "there is no par");
}

/// Checks that tags are closed in the reverse order of opening, and that `<` and `>` stand only around tags.
fn is_well_formed(xml: &str) {
    let mut open = Vec::new();
    for (index, piece) in xml.split('<').enumerate().skip(1) {
        let (tag, rest) = piece
            .split_once('>')
            .unwrap_or_else(|| panic!("no end: {piece}"));
        assert!(
            !rest.contains('>') && !tag.contains('<'),
            "{index}: {piece}"
        );
        let name = tag
            .trim_start_matches('/')
            .split([' ', '\n'])
            .next()
            .unwrap();
        let is_empty = tag.ends_with('/') || ["!DOCTYPE", "meta", "br"].contains(&name);
        match tag.starts_with('/') {
            true => assert_eq!(open.pop(), Some(name), "{piece}"),
            false if !is_empty => open.push(name),
            false => {}
        }
    }
    assert!(open.is_empty(), "{open:?}");
}

#[test]
fn the_page_holds_everything_it_shows_and_no_script() {
    for drill in [
        "catch-the-sink",
        "quarry-stair",
        "supply-ship",
        "post-for-the-hut",
    ] {
        let flown = flown(drill, None);
        let recording = Recording {
            id: "x".to_string(),
            ..Recording::of(&flown.0)
        };
        let page = page(&flown, &recording, &[]);
        is_well_formed(&page);
        is_well_formed(&svg::picture(&flown.0, &flown.2));
        for word in [
            "<script", "href=", "src=", "url(", "@import", "NaN", "inf\"",
        ] {
            assert!(!page.contains(word), "{drill}: {word}");
        }
        assert_eq!(page.matches("http://").count(), 1, "the name of SVG alone");
        assert!(page.contains(&svg::text(&flown.2.first)), "{drill}");
        assert!(page.contains(&CAUTION.replace('\n', " ")), "{drill}");
        for (index, line) in flown.2.told().iter().enumerate() {
            let row = format!("<td><b>{}</b></td>", index + 1);
            assert!(
                page.contains(&row) && page.contains(&svg::text(&line.sentence)),
                "{drill}"
            );
        }
        for part in ["@media print", "size: A4", "par's</h2>"] {
            assert!(page.contains(part), "{drill}: {part}");
        }
    }
}

/// The quarry stair by `green` ends just after a labelled time of the axis.
#[test]
fn the_last_time_of_the_axis_is_not_cut_off() {
    let (run, _, weighed) = flown("quarry-stair", None);
    let picture = svg::picture(&run, &weighed);
    let times = picture.split("<text x=\"").filter_map(|text| {
        let (x, rest) = text.split_once('"')?;
        rest.split('>')
            .next()?
            .contains("\"middle\"")
            .then(|| x.parse::<f64>().unwrap())
    });
    let last = times.fold(0.0, f64::max);
    assert!((660.0..=684.0).contains(&last), "{last} of 700");
}

#[test]
fn what_strangers_wrote_is_text_on_the_page_and_nothing_else() {
    let title = "</title><script>alert('1')</script><b>&amp;";
    let flown = flown("catch-the-sink", Some(title));
    let sly = format!("{HOSTILE}\u{202e}\u{1b}[31m\u{0}");
    let recording = Recording {
        id: HOSTILE.to_string(),
        at: HOSTILE.to_string(),
        pilot: Some(sly.clone()),
        ..Recording::of(&flown.0)
    };
    let note = Note::new(sly.clone(), Some(sly.clone()), About::Run, sly);
    let page = page(&flown, &recording, &[note]);
    is_well_formed(&page);
    assert!(!page.contains("<script") && !page.contains("<img") && !page.contains("<b>&"));
    assert!(page.contains("&lt;script&gt;alert(&#39;1&#39;)&lt;/script&gt;"));
    assert!(page.chars().all(|c| is_plain(c) || c == '\n'));
    let picture = svg::picture(&flown.0, &flown.2);
    is_well_formed(&picture);
    assert!(!picture.contains("<script"));
}

/// The parts of a colour as a page writes it, `#rrggbb`.
fn parts(colour: &str) -> [u8; 3] {
    [1, 3, 5].map(|at| u8::from_str_radix(&colour[at..at + 2], 16).unwrap())
}

#[test]
fn everything_drawn_has_contrast_enough_to_be_read() {
    assert!((contrast(parts("#000000"), parts("#ffffff")) - 21.0).abs() < 1e-9);
    for ink in [svg::INK, svg::QUIET, svg::BAND, svg::COST] {
        for ground in [svg::PAGE, svg::GROUND] {
            assert!(
                contrast(parts(ink), parts(ground)) >= 4.5,
                "{ink} on {ground}"
            );
        }
    }
}
