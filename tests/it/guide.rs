//! The guided flight: its file, and the flight itself in the terminal from a first start. No published source: the rules are
//! its own.

use std::path::Path;
use std::time::Duration;

use leveloff::drill::guide::{FIRST_FLIGHT, Guide, parse};
use leveloff::drill::reader::Source;
use leveloff::drill::{Aids, guide::When};
use leveloff::tui::flight::{Flight, Pilot};
use leveloff::tui::guided::{Guided, NEAR, is_captured};
use leveloff::tui::key_lever::Touch;

use crate::bad_drills::{complaint, corpus};
use crate::flying;
use crate::pty_harness::{LIMIT, Start};

/// A minute of flying on a loaded machine.
const FLOWN: Duration = Duration::from_secs(120);

fn shipped() -> Guide {
    parse(FIRST_FLIGHT).expect("what ships is right")
}

#[test]
fn every_bad_guide_is_refused_where_it_is_wrong() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/it/data/bad/guides");
    let files = corpus(&folder);
    assert!(files.len() >= 9, "{} files", files.len());
    let read = |text: &str| {
        let file = "bad.toml";
        parse(Source { file, text }).map(drop)
    };
    let complaints: Vec<String> = files
        .iter()
        .filter_map(|(name, expected, text)| complaint(name, expected, read(text)))
        .collect();
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

#[test]
fn what_ships_is_about_a_minute_on_the_first_jet_in_still_air() {
    let guide = shipped();
    let drill = flying::shipped(&guide.drill);
    assert_eq!(drill.aircraft.name, "first jet");
    assert_eq!(drill.air, leveloff::sim::air::AirSpec::default());
    assert_eq!(guide.cues[0].when, When::AfterS(0.0));
}

/// With every lever at the edge of what is accepted as near enough, on either side in every combination, it ends captured.
#[test]
fn done_as_nearly_as_is_let_pass_it_is_captured() {
    let guide = shipped();
    let drill = flying::shipped(&guide.drill);
    let asked: Vec<f64> = guide.cues.iter().filter_map(|cue| cue.lever).collect();
    assert_eq!(asked.len(), 4);
    for sides in 0..16_u32 {
        let pilot = Pilot::Person { releases: true };
        let mut now = Duration::ZERO;
        let mut flight = Flight::new(drill.clone(), 0, pilot, Aids::Full, now);
        let mut guided = Guided::new(guide.clone(), &flight);
        flight.begin(now);
        let mut halts = 0;
        while !flight.is_over() {
            now += Duration::from_millis(16);
            assert!(now < Duration::from_secs(90), "{sides}: it never ends");
            guided.advance(&mut flight, now);
            if halts == 0 || guided.is_stopped() && flight.wanted() == flight.run().lever() {
                let off = if sides >> halts & 1 == 1 { 0.9 } else { -0.9 };
                flight.take(Touch::Set(asked[halts] + off * NEAR), now);
                halts += 1;
            }
        }
        assert_eq!(halts, 4, "{sides}");
        assert!(is_captured(&flight), "{sides}");
    }
}

#[test]
fn from_a_first_start_the_keys_it_asks_for_move_the_lever_to_where_it_goes_on() {
    let mut pty = Start::on(80, 24).spawn();
    pty.wait_text("f: your first flight, guided");
    pty.send("f");
    pty.wait_text("space begins");
    pty.send(" ");
    // How it goes on from the first halt to the capture takes a minute: that is flown in `screens::guided`.
    let text = pty.wait_for(|text| text.contains("; set "), FLOWN);
    let (_, set) = text.split_once("; set ").unwrap();
    let (_, asked) = set.split_once(" %: ").unwrap();
    let mut words = asked.split([' ', ',']).filter(|word| !word.is_empty());
    let key = match words.next() {
        Some("up") => "\x1b[A",
        _ => "\x1b[B",
    };
    let times: usize = words.nth(1).unwrap().parse().unwrap();
    for _ in 0..times {
        pty.send(key);
        // Far enough apart to be taps, not repeats of a held key.
        std::thread::sleep(Duration::from_millis(300));
    }
    pty.wait_for(|text| !text.contains("; set "), LIMIT);
    pty.send("\x1b");
    pty.wait_text("enter opens the brief");
    pty.send("q");
    assert_eq!(pty.exit_code(), 0);
    assert!(!pty.data().join("logbook.jsonl").exists());
    let memory = std::fs::read_to_string(pty.data().join("state.json")).expect("it is remembered");
    assert!(memory.contains("\"guided\":true"), "{memory}");
}
