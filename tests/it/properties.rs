//! Properties of every flight and every text: no panic, no NaN or infinity, and a replay to the same bits. No published
//! source.

use std::sync::Arc;

use proptest::prelude::*;

use super::flying::{NAMES, drill};
use leveloff::drill::Drill;
use leveloff::drill::aircraft_file;
use leveloff::drill::library::DRILLS;
use leveloff::drill::reader::{FileError, Source};
use leveloff::hands::{self, Script, Steady};
use leveloff::run::{Recording, Run};
use leveloff::score::HandFigures;
use leveloff::score::{self, Figure, Reference, leg_worth};
use leveloff::sim::world::Fault;
use leveloff::why::explain::Brief;
use leveloff::why::{Bill, Case};

const DRILL: &str = r#"title = "Two corners"
about = "A drill with every table."
aircraft = "first jet"
mass_kg = 5600

[start]
altitude_ft = 1240.0
path_deg = -2.0
off_speed_kt = 4
lever_off = 0.05

[air]
headwind_kt = 6.5
roughness_ft = 0.2
gusts = "light"

[[task]]
step = { to_ft = 1090.0, band_ft = 40.0, hold_s = 5.0, within_s = 60.0 }

[[task]]
hold = { altitude_ft = 1100, band_ft = 40, seconds = 4 }
scored = false
"#;
const PROPELLER: &str = include_str!("../../drills/aircraft/prop-trainer.toml");
const JET: &str = include_str!("../../drills/aircraft/late-jet.toml");

const SLOWING: &str = r#"title = "Two corners"
about = "A drill that slows in."
aircraft = "late jet"

[start]
altitude_ft = 1240.0
off_speed_kt = 60.5

[[task]]
slow = { band_ft = 40.0, hold_s = 5.0, within_s = 60.0 }

[[task]]
step = { to_ft = 1090.0, band_ft = 40.0, hold_s = 5.0, within_s = 60.0 }
"#;

fn any_air() -> impl Strategy<Value = String> {
    prop_oneof![
        Just(String::new()),
        (-40.0..60.0, 0.0..60.0).prop_map(|(headwind_kt, u20_kt)| {
            format!("[air]\nheadwind_kt = {headwind_kt}\ngusts = {{ u20_kt = {u20_kt} }}\n")
        }),
    ]
}

/// A drill that slows in, with a step after it, in any aeroplane from any speed at which it can fly level.
fn any_slow_drill() -> impl Strategy<Value = Arc<Drill>> {
    let fastest_kt = [60.0, 90.0, 100.0, 25.0];
    let asked = (50.0..5000.0, 0.0..1.0, 1.0..200.0, 0.5..20.0, 5.0..90.0);
    (0..NAMES.len(), asked, any_air()).prop_map(move |(index, asked, air)| {
        let (altitude_ft, share, band_ft, hold_s, within_s): (f64, f64, f64, f64, f64) = asked;
        let off_speed_kt = 10.0 + share * (fastest_kt[index] - 10.0);
        let text = format!(
            "title = 'T'\nabout = 'A'\naircraft = '{}'\n[start]\naltitude_ft = {altitude_ft}\noff_speed_kt = {off_speed_kt}\n{air}\
             [[task]]\nslow = {{ band_ft = {band_ft}, hold_s = {hold_s}, within_s = {within_s} }}\n\
             [[task]]\nstep = {{ to_ft = {}, band_ft = 40, hold_s = 2, within_s = 30 }}\n",
            NAMES[index],
            altitude_ft + 100.0
        );
        Arc::new(drill(&text).unwrap_or_else(|error| panic!("{error}\n{text}")))
    })
}

/// A hold and a step in any aeroplane, from any start that all of them can fly, or a drill that slows in.
fn any_drill() -> impl Strategy<Value = Arc<Drill>> {
    prop_oneof![3 => hold_and_step(), 1 => any_slow_drill()]
}

fn hold_and_step() -> impl Strategy<Value = Arc<Drill>> {
    let start = (50.0..6000.0, -3.0..1.5, -5.0..25.0, -0.5..0.5, 2.0..10.0);
    (0..NAMES.len(), start, any_air(), any::<bool>()).prop_map(|(index, start, air, up)| {
        let (altitude_ft, path_deg, off_speed_kt, lever_off, seconds): (f64, f64, f64, f64, f64) = start;
        let to_ft = if up || altitude_ft < 200.0 { altitude_ft + 100.0 } else { altitude_ft - 100.0 };
        let text = format!(
            "title = 'T'\nabout = 'A'\naircraft = '{}'\n[start]\naltitude_ft = {altitude_ft}\npath_deg = {path_deg}\n\
             off_speed_kt = {off_speed_kt}\nlever_off = {lever_off}\n{air}\
             [[task]]\nhold = {{ altitude_ft = {altitude_ft}, band_ft = 30, seconds = {seconds} }}\n\
             [[task]]\nstep = {{ to_ft = {to_ft}, band_ft = 40, hold_s = 2, within_s = 30 }}\n",
            NAMES[index]
        );
        Arc::new(drill(&text).unwrap())
    })
}

/// Moves of the lever: ticks and settings.
fn any_moves() -> impl Strategy<Value = Vec<(u64, u16)>> {
    let gap = prop_oneof![Just(0_u64), 1..20_u64, 20..500_u64];
    prop::collection::vec((gap, 0..=1000_u16), 0..40).prop_map(|moves| {
        let mut tick = 0;
        let at = |(gap, lever)| {
            tick += gap;
            (tick, lever)
        };
        moves.into_iter().map(at).collect()
    })
}

fn cases(cases: u32) -> ProptestConfig {
    ProptestConfig {
        cases,
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

/// Any drill of those above, or one that ships.
fn any_kind_of_drill() -> impl Strategy<Value = Arc<Drill>> {
    let shipped = (0..DRILLS.len()).prop_map(|index| Arc::new(DRILLS[index].drill().unwrap()));
    prop_oneof![any_drill(), shipped]
}

/// A cost, or none.
fn any_cost() -> impl Strategy<Value = Option<f64>> {
    prop::option::of(0.0..200.0)
}

/// Checks that every number of a score is finite and in its range.
fn is_sound(run: &Run) -> Result<(), TestCaseError> {
    let score = score::score(run);
    for task in &score.tasks {
        for figure in &task.figures {
            if let Figure::Number(number) = figure {
                prop_assert!(number.is_finite(), "{task:?}");
            }
        }
        prop_assert!(
            task.cost
                .is_none_or(|cost| cost.total().is_finite() && cost.total() >= 0.0)
        );
        prop_assert!(
            task.points
                .is_none_or(|points| (0.0..=100.0).contains(&points))
        );
    }
    prop_assert!(
        score
            .points
            .is_none_or(|points| (0.0..=100.0).contains(&points))
    );
    Ok(())
}

/// Checks that a recording, written as JSON and read back, flies to the same states and earns the same.
fn replays(run: &Run) -> Result<(), TestCaseError> {
    let recording = Recording::of(run);
    let text = serde_json::to_string(&recording).unwrap();
    let back: Recording = serde_json::from_str(&text).unwrap();
    prop_assert_eq!(&back, &recording);
    let again = back
        .replay()
        .map_err(|error| TestCaseError::fail(error.to_string()))?;
    prop_assert_eq!(again.digest(), run.digest());
    prop_assert_eq!(again.tick(), run.tick());
    prop_assert_eq!(again.end(), run.end());
    prop_assert_eq!(again.log(), run.log());
    for tick in 0..=run.trace().ticks() {
        prop_assert_eq!(again.trace().at(tick), run.trace().at(tick));
    }
    prop_assert_eq!(score::score(&again), score::score(run));
    Ok(())
}

proptest! {
    #![proptest_config(cases(200))]

    #[test]
    fn any_lever_flies_and_replays(drill in any_drill(), moves in any_moves(), seed: u64, leaves in 1..6000_u64) {
        let mut run = Run::new(drill, seed);
        let mut moves = moves.into_iter().peekable();
        while run.end().is_none() && run.tick() < leaves {
            while let Some((_, lever)) = moves.next_if(|(tick, _)| *tick <= run.tick()) {
                run.set_lever(lever);
            }
            run.fly();
            prop_assert!(run.world().state().numbers().iter().all(|x| x.is_finite()));
        }
        run.leave();
        prop_assert_ne!(run.fault(), Some(Fault::Model));
        is_sound(&run)?;
        replays(&run)?;
    }

    #[test]
    fn steady_flies_anything(drill in any_drill(), seed: u64) {
        let run = hands::fly(drill.clone(), seed, &mut Steady::new(&drill));
        prop_assert_ne!(run.fault(), Some(Fault::Model));
        is_sound(&run)?;
        replays(&run)?;
    }
}

/// The error of replaying a recording that was tampered with.
fn tampered(change: impl Fn(&mut Recording)) -> String {
    let drill = Arc::new(drill(DRILL).unwrap());
    let mut recording = Recording::of(&hands::fly(drill.clone(), 5, &mut Steady::new(&drill)));
    recording.replay().unwrap();
    change(&mut recording);
    match recording.replay() {
        Ok(_) => panic!("a recording that was tampered with replays"),
        Err(error) => error.to_string(),
    }
}

#[test]
fn a_recording_that_was_changed_does_not_replay() {
    assert!(tampered(|r| r.lever[1].1 += 1).contains("digest"));
    assert!(tampered(|r| r.lever[1].0 += 1).contains("digest"));
    assert!(tampered(|r| r.ticks -= 1).contains("digest"));
    assert!(tampered(|r| r.model += 1).contains("model"));
    assert!(tampered(|r| r.air = Some("treacle".into())).contains("treacle"));
    assert!(tampered(|r| r.air = Some("rough".into())).contains("digest"));
    assert!(
        tampered(|r| r.drill_text = r.drill_text.replace("-2.0", "-2.5"))
            .contains("the recording says")
    );
    assert!(
        tampered(|r| r.aircraft_text = r.aircraft_text.replace("27.5", "27.4"))
            .contains("the recording says")
    );
    assert!(tampered(|r| r.drill_text.push('x')).contains("not valid TOML"));
}

/// The pieces that a mutation may insert.
const PIECES: &[&str] = &[
    "",
    " ",
    "\n",
    "=",
    "[",
    "]",
    "[[task]]\n",
    "{",
    "}",
    "\"",
    "'",
    "#",
    ",",
    ".",
    "-",
    "nan",
    "-inf",
    "1e400",
    "0x7fffffffffffffff",
    "99999999999999999999",
    "true",
    "1979-05-27",
    "[1, 2]",
    "{ a = 1 }",
    "\u{feff}",
    "\u{0}",
    "\u{1b}[2J",
    "é",
    "\\u0007",
    "\"\"\"",
    "'''",
    "task",
    "start",
    "air",
    "engine",
    "gusts = 3\n",
    "hold = { altitude_ft = 1500, band_ft = 20, seconds = 5 }\n",
    "scored = false\n",
];

/// A text with pieces cut out and others put in their place.
fn mutated(text: &'static str) -> impl Strategy<Value = String> {
    let cut = (
        any::<prop::sample::Index>(),
        0..12_usize,
        prop::sample::select(PIECES),
    );
    prop::collection::vec(cut, 1..6).prop_map(move |cuts| {
        let mut text: Vec<char> = text.chars().collect();
        for (at, length, piece) in cuts {
            let from = at.index(text.len() + 1);
            let to = (from + length).min(text.len());
            text.splice(from..to, piece.chars());
        }
        text.into_iter().collect()
    })
}

/// Checks that a complaint points into its text and fits one line of a terminal.
fn is_proper(error: &FileError, text: &str) -> Result<(), TestCaseError> {
    let line = text.split('\n').nth(error.line - 1);
    prop_assert!(
        line.is_some(),
        "{error} in a text of {} lines",
        text.lines().count()
    );
    prop_assert!(
        error.column >= 1 && error.column <= line.unwrap().chars().count() + 1,
        "{error}"
    );
    prop_assert!(
        !error.to_string().chars().any(char::is_control),
        "{error:?}"
    );
    prop_assert!(error.message.len() < 1000, "{error}");
    Ok(())
}

proptest! {
    #![proptest_config(cases(2000))]

    #[test]
    fn mutated_drills_are_read_or_refused(text in prop_oneof![2 => mutated(DRILL), 1 => mutated(SLOWING)]) {
        match drill(&text) {
            Ok(drill) => prop_assert!(drill.longest_s() <= 4.0 * 3600.0 && !drill.tasks.is_empty()),
            Err(error) if error.file == "drill.toml" => is_proper(&error, &text)?,
            Err(error) => panic!("{error}"),
        }
    }

    #[test]
    fn mutated_aircraft_are_read_or_refused(text in prop_oneof![mutated(PROPELLER), mutated(JET)]) {
        match aircraft_file::parse(Source { file: "plane.toml", text: &text }) {
            Ok(plane) => prop_assert!(plane.mass_kg > 0.0 && plane.alpha_stall_rad > plane.alpha_on_rad),
            Err(error) => is_proper(&error, &text)?,
        }
    }

    #[test]
    fn lever_scripts_are_read_or_refused(text in prop_oneof![
        "(t_s,lever\n)?([0-9e.,\\-+ infa\r\n]|[0-9]{1,3}\\.[0-9]{1,4},[01]\\.[0-9]\n){0,60}",
        ".{0,80}",
        mutated("t_s,lever\n0,0.5\n1.25,0.4\n\n2.5,0.38\n10,1\n"),
    ]) {
        if let Err(error) = Script::parse(Source { file: "lever.csv", text: &text }) {
            is_proper(&error, &text)?;
        }
    }
}

#[test]
fn lever_scripts_are_what_was_agreed() {
    let read = |text: &str| {
        Script::parse(Source {
            file: "s.csv",
            text,
        })
    };
    // A row takes effect at the nearest tick, its lever rounded to thousandths.
    let script = read("t_s,lever\n\n0,0.5\n1.0,0.40049\n 1.008 , 0.4005\r\n2,1\n").unwrap();
    assert_eq!(
        script,
        Script::new(vec![(0, 500), (64, 400), (65, 401), (128, 1000)])
    );
    assert_eq!(read("t_s,lever\n").unwrap(), Script::new(vec![]));
    for (text, expected) in [
        ("", "s.csv:1:1: "),
        ("\n\n", "s.csv:1:1: "),
        ("0,0.5\n", "s.csv:1:1: "),
        ("t_s,lever\n0,0.5\n0,0.5,1\n", "s.csv:3:1: "),
        ("t_s,lever\n0,1.5\n", "s.csv:2:1: "),
        ("t_s,lever\n0,-0.1\n", "s.csv:2:1: "),
        ("t_s,lever\n-1,0.5\n", "s.csv:2:1: "),
        ("t_s,lever\nnan,0.5\n", "s.csv:2:1: "),
        ("t_s,lever\n0,inf\n", "s.csv:2:1: "),
        ("t_s,lever\n0,half\n", "s.csv:2:1: "),
        ("t_s,lever\n2,0.5\n\n1,0.5\n", "s.csv:4:1: "),
    ] {
        let error = read(text).unwrap_err().to_string();
        assert!(error.starts_with(expected), "{error}");
        assert!(
            error.contains("; "),
            "{error} does not say what would be right"
        );
    }
}

#[test]
fn a_script_moves_the_lever_at_its_ticks() {
    let drill = Arc::new(drill(DRILL).unwrap());
    let script = Script::parse(Source {
        file: "s.csv",
        text: "t_s,lever\n1,0.3\n2.5,0.45\n500,0.1\n",
    });
    let run = hands::fly(drill.clone(), 1, &mut script.unwrap());
    assert_eq!(
        run.log(),
        [(64, 300), (160, 450)],
        "rows after the end are ignored"
    );
    let levers = |tick| run.trace().lever_at(tick);
    assert_eq!(
        levers(63),
        drill.start_lever(),
        "the unrounded start value before the first row"
    );
    assert_eq!((levers(64), levers(159), levers(160)), (0.3, 0.3, 0.45));
}

/// State, wind and lever of every tick come back as they were: in air that begins to move on the way, through a fork that is
/// joined, and past one that is dropped.
#[test]
fn a_trace_has_every_tick_as_it_was() {
    let text = DRILL
        .replace(
            "headwind_kt = 6.5",
            "shift_kt = 8\nshift_at_s = 4\nshift_over_s = 3",
        )
        .replace("gusts = \"light\"\n", "");
    let mut run = Run::new(Arc::new(drill(&text).unwrap()), 1);
    let mut was = Vec::new();
    let mut go_on = |run: &mut Run, ticks: u64| {
        for tick in run.tick()..run.tick() + ticks {
            if tick % 50 == 20 {
                run.set_lever((tick % 900) as u16);
            }
            was.truncate(tick as usize);
            was.push((*run.world().state(), *run.world().wind(), run.lever()));
            run.fly();
        }
    };
    for (own, forks) in [(100, 60), (90, 30), (200, 300)] {
        go_on(&mut run, own);
        let mut fork = run.fork();
        go_on(&mut fork, forks);
        assert_eq!(fork.trace().first_tick() as u64, run.tick());
        run.fork().fly();
        run.join(fork);
    }
    let trace = run.trace();
    assert_eq!((trace.ticks(), trace.states().len()), (780, 781));
    let moves = |lever: f64| {
        was.iter()
            .any(|(_, wind, own)| *own == lever && wind.headwind_mps > 0.0)
    };
    assert!(moves(0.420) && !moves(0.170), "still at first, then not");
    for (tick, (state, wind, lever)) in was.iter().enumerate() {
        assert_eq!(
            (trace.state(tick), trace.wind(tick)),
            (state, *wind),
            "{tick}"
        );
        assert_eq!(trace.lever_at(tick), *lever, "{tick}");
    }
    let before: Vec<f64> = was.iter().map(|(.., lever)| *lever).collect();
    let changes = before.windows(2).filter(|two| two[0] != two[1]);
    assert_eq!(run.log().len(), changes.count());
    assert_eq!(trace.lever_at(780), trace.lever_before(780));
}

proptest! {
    #![proptest_config(cases(48))]

    /// Any flight, however wild, can be explained, and every number in the explanation is finite.
    #[test]
    fn whatever_is_flown_can_be_explained(
        drill in any_kind_of_drill(),
        seed in any::<u64>(),
        moves in any_moves(),
        costs in prop::collection::vec((any_cost(), any_cost()), 12),
    ) {
        let run = hands::fly(drill, seed, &mut Script::new(moves));
        let references: Vec<Reference> =
            costs.into_iter().map(|(best, par)| Reference { best, par, handed_on: None }).collect();
        for (index, begun) in run.each_leg_start().enumerate() {
            let reference = references.get(index).copied().unwrap_or_default();
            let brief = Brief::new();
            let Some(case) = Case::of(&run, index, begun, reference, &brief) else { continue };
            let bill = Bill::of(&case, &[]);
            let lost: f64 = bill.lines.iter().map(|line| line.points).sum();
            prop_assert!((bill.in_reach - lost - bill.points).abs() < 1e-6, "{bill:?}");
            prop_assert!(bill.reach.is_sorted_by(|a, b| a.points >= b.points), "it never rises");
            for line in &bill.lines {
                prop_assert!(line.amount.is_finite() && line.amount >= 0.0, "{line:?}");
                prop_assert!(line.points > 0.0 && line.cost.is_finite(), "{line:?}");
                prop_assert!(line.from <= line.to, "{line:?}");
                prop_assert_eq!(line.sentence.is_empty(), line.better.is_none());
                prop_assert!(!line.sentence.contains("NaN") && !line.sentence.contains("inf"));
                if let Some(better) = &line.better {
                    // The better flight shown can be flown, and is worth what is claimed.
                    let again = better.fly(&run, index);
                    let worth = leg_worth(&again, index, &reference).unwrap();
                    prop_assert_eq!(worth.points, better.points);
                }
            }
        }
        for (label, value, _) in HandFigures::of(&run).beside(None) {
            prop_assert!(!value.contains("NaN") && !value.contains("inf"), "{label}: {value}");
        }
    }
}
