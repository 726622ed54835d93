//! The first sentences of debriefs, as the pilot would read them: a page of them as a snapshot.

use std::fmt::Write;
use std::sync::Arc;

use leveloff::drill::Drill;
use leveloff::hands::{self, Hand, Script, Sight, Steady};
use leveloff::run::Run;
use leveloff::sim::world::Fault;
use leveloff::units::{FT, TICKS_PER_S};
use leveloff::why::{Line, LineKind};

use crate::flying::{drill as made_of, shipped};
use crate::kept::{pars, weigh};

/// Flies like `steady`, but believes the aeroplane to be at another altitude.
struct Mistaken {
    steady: Steady,
    by_m: f64,
}

impl Hand for Mistaken {
    fn lever(&mut self, sight: &Sight) -> Option<u16> {
        self.steady.lever(&Sight {
            altitude_m: sight.altitude_m - self.by_m,
            ..*sight
        })
    }
}

/// Flies like `steady` until a distance before the deck, and then takes the lever to idle.
struct DivesForTheDeck {
    steady: Steady,
    from_m: f64,
}

impl Hand for DivesForTheDeck {
    fn lever(&mut self, sight: &Sight) -> Option<u16> {
        let near = sight
            .approach
            .is_some_and(|(distance_m, _)| distance_m < self.from_m);
        match near && !sight.is_down {
            true => Some(0),
            false => self.steady.lever(sight),
        }
    }
}

fn by(drill: &Arc<Drill>, hand: &mut dyn Hand) -> Run {
    hands::fly(drill.clone(), 1, hand)
}

/// A run of a lever script, (s, per cent of the lever).
fn script(id: &str, moves: &[(f64, f64)]) -> Run {
    let log = moves.iter();
    let log =
        log.map(|(t_s, percent)| ((t_s * TICKS_PER_S as f64) as u64, (10.0 * percent) as u16));
    by(&shipped(id), &mut Script::new(log.collect()))
}

/// To and fro about a lever.
fn chased(id: &str, about: f64, by: f64, every_s: f64) -> Run {
    let moves = (0..80).map(|n| {
        let side = if n % 2 == 0 { 1.0 } else { -1.0 };
        (every_s * f64::from(n), about + side * by)
    });
    script(id, &moves.collect::<Vec<_>>())
}

fn mistaken(id: &str, by_ft: f64) -> Run {
    let drill = shipped(id);
    let steady = Steady::new(&drill);
    by(
        &drill,
        &mut Mistaken {
            steady,
            by_m: by_ft * FT,
        },
    )
}

#[test]
fn what_a_debrief_says_first() {
    let dive = {
        let drill = shipped("onto-the-shelf");
        let steady = Steady::new(&drill);
        by(
            &drill,
            &mut DivesForTheDeck {
                steady,
                from_m: 700.0,
            },
        )
    };
    let flown = [
        (
            "The lever is never touched, in a hold",
            script("level-over-the-tarn", &[]),
        ),
        (
            "The lever is never touched, in a step",
            script("quarry-stair", &[]),
        ),
        (
            "The lever is never touched, on a path",
            script("onto-the-shelf", &[]),
        ),
        (
            "Full power at once, in a hold",
            script("level-over-the-tarn", &[(2.0, 100.0)]),
        ),
        (
            "Full power at once, on a path",
            script("onto-the-shelf", &[(2.0, 100.0)]),
        ),
        (
            "Idle at once, in a hold",
            script("level-over-the-tarn", &[(2.0, 0.0)]),
        ),
        (
            "Idle at once, on a path",
            script("onto-the-shelf", &[(2.0, 0.0)]),
        ),
        (
            "Power comes on where it has to come off",
            script("quarry-stair", &[(14.0, 45.0)]),
        ),
        (
            "Waits eight seconds",
            script("quarry-stair", &[(20.0, 26.5), (43.0, 36.0), (47.0, 37.5)]),
        ),
        (
            "Levels off 230 ft early",
            script("quarry-stair", &[(14.0, 26.5), (24.0, 38.0)]),
        ),
        (
            "Levels off far too late",
            script("quarry-stair", &[(14.0, 26.5), (45.0, 38.0)]),
        ),
        (
            "Half the power, and through the band",
            script("quarry-stair", &[(14.0, 35.0)]),
        ),
        (
            "Level power set after three seconds, and left",
            script("level-over-the-tarn", &[(3.0, 34.5)]),
        ),
        (
            "Chases the number in a hold",
            chased("level-over-the-tarn", 35.0, 8.0, 3.0),
        ),
        (
            "Chases the number in a step",
            chased("quarry-stair", 30.0, 10.0, 4.0),
        ),
        ("Chases the path", chased("onto-the-shelf", 26.0, 10.0, 4.0)),
        ("Low all the way down", mistaken("onto-the-shelf", -45.0)),
        ("High all the way down", mistaken("onto-the-shelf", 45.0)),
        ("Dives for the deck", dive),
        (
            "Slows in and never moves the lever",
            script("off-the-fast-road", &[]),
        ),
        (
            "Slows in, power back far too early",
            script(
                "off-the-fast-road",
                &[(1.0, 0.0), (22.0, 42.5), (26.5, 36.0)],
            ),
        ),
        (
            "Slows in, power back too late",
            script(
                "off-the-fast-road",
                &[(1.0, 0.0), (27.0, 42.5), (31.5, 36.0)],
            ),
        ),
        (
            "Slows in and never moves the lever, from far out",
            script("a-narrow-gap", &[]),
        ),
        (
            "Slows in at idle and never brings the power up",
            script("seventy-to-lose", &[(1.0, 0.0)]),
        ),
        (
            "Slows in, half of the power and late",
            script("off-the-fast-road", &[(1.0, 0.0), (26.0, 20.0)]),
        ),
        (
            "Slows in at idle, on into the next task and the surface",
            script("slow-then-down", &[(1.0, 0.0)]),
        ),
        ("Flies as steady does", mistaken("quarry-stair", 0.0)),
    ];
    let mut page = String::new();
    for (what, run) in flown {
        let pars = pars(run.drill(), run.seed());
        let weighed = weigh(&run, Some(pars));
        let points = weighed.score.points.unwrap();
        writeln!(
            page,
            "{what} ({}, {points:.0} points).\n    {}",
            run.drill().id,
            weighed.first
        )
        .unwrap();
    }
    assert!(!page.contains("None of the changes"));
    insta::assert_snapshot!(page);
}

/// A fault comes before everything else; the leg in which it came has a bill too, with no points.
#[test]
fn a_run_that_ended_in_a_fault_says_so_first() {
    let run = script("boat-slip", &[(1.0, 0.0)]);
    assert_eq!(run.fault(), Some(Fault::Surface));
    let weighed = weigh(&run, None);
    let first = &weighed.first;
    assert!(
        first.starts_with("You flew into the surface at "),
        "{first}"
    );
    let last = weighed.bills.last().unwrap();
    assert_eq!((last.leg + 1, last.points), (run.legs().len(), 0.0));
    assert_eq!(last.task, run.leg().task + 1);
}

/// All sentences for a run.
fn told(run: &Run) -> Vec<String> {
    let weighed = weigh(run, Some(pars(run.drill(), 1)));
    let lines = weighed.told().into_iter();
    lines.map(|line| line.sentence.clone()).collect()
}

/// A call that was not flown counts before everything else, even if the aeroplane is high by then.
#[test]
fn a_call_that_was_not_flown_is_told_also_to_who_is_high_by_then() {
    let told = told(&script("no-room-left", &[(3.0, 60.0)]));
    let missed = "A go-around was called at 0:00 and you did not fly it";
    assert!(told[0].starts_with(missed), "{told:?}");
}

/// Slowing in begins at idle: the advice is when to bring the power back, not idle.
#[test]
fn who_stays_at_idle_is_not_told_idle() {
    let told = told(&script("seventy-to-lose", &[(17.2, 0.0)]));
    assert!(told[0].contains("left the lever at idle"), "{told:?}");
    assert!(told[0].contains(" kt fast, then to 3"), "{told:?}");
    assert!(!told.iter().any(|said| said.contains("hold about idle")));
}

/// Two unnecessary moves are not a lever that was left alone.
#[test]
fn who_moved_the_lever_for_nothing_did_not_leave_it() {
    let drill = made_of(
        "title = \"A\"\nabout = \"B\"\naircraft = \"deck jet\"\n[start]\naltitude_ft = 1660\n\
         [[task]]\nhold = { altitude_ft = 1660, band_ft = 25, seconds = 12 }\n",
    );
    let moves = vec![(5 * TICKS_PER_S, 385), (8 * TICKS_PER_S, 379)];
    let told = told(&by(&Arc::new(drill.unwrap()), &mut Script::new(moves)));
    assert!(!told[0].contains("You left the lever"), "{told:?}");
}

/// A move is not blamed for points lost before it, nor does the error that it caused count for that time.
#[test]
fn a_move_is_not_blamed_for_what_went_before_it() {
    let drill = shipped("short-turf");
    let late = vec![(33 * TICKS_PER_S + 10, 900), (36 * TICKS_PER_S, 0)];
    let run = hands::fly(drill.clone(), 2, &mut Script::new(late));
    let weighed = weigh(&run, Some(pars(&drill, 2)));
    let begun_before = |line: &&Line| line.from <= 33 * TICKS_PER_S;
    let before = weighed.told().into_iter().filter(begun_before);
    assert!(before.clone().count() > 0, "points went before the move");
    for line in before {
        let is_blamed = line.sentence.contains("You added") || line.amount > 60.0;
        assert!(!is_blamed, "{}", line.sentence);
    }
}

/// Rows of the bill are aligned behind the label: any of them leaves a gap there, with large amounts too.
#[test]
fn labels_leave_a_gap_in_the_rows_of_the_bill() {
    for kind in LineKind::all() {
        let label = kind.label(if kind.unit() == "ft" { 1234.0 } else { 99.9 });
        assert!(label.chars().count() <= 35, "{label}");
    }
}
