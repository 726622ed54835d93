//! The drill to fly next, from the runs so far.

use jiff::civil::{Date, date};
use leveloff::drill::{Aids, lesson};
use leveloff::progress::next::Reason;
use leveloff::progress::{Flown, Next, next};

use super::flown;

fn told(runs: &[Flown], today: Date, pinned: Option<Aids>) -> Next {
    let runs: Vec<&Flown> = runs.iter().collect();
    next(&lesson::ladder(), &runs, today, pinned).unwrap()
}

const FIRST: &str = "catch-the-sink";
const SECOND: &str = "cliff-top";

fn march(day: i8) -> Date {
    date(2026, 3, day)
}

#[test]
fn it_begins_at_the_foot_and_says_why() {
    let next = told(&[], march(1), None);
    assert_eq!(
        next.now.sentence(),
        "Fly Catch the sink, aids full, to stop a descent already running: the level-off alone: rung 1 of 24; to pass, 50 points twice in a row."
    );
    assert_eq!((next.set.len(), next.passed), (3, 0));
    assert_eq!(next.set[2].drill, FIRST);
    assert_eq!(
        (next.set[1].rung, &next.set[1].reason),
        (4, &Reason::Change),
        "another skill"
    );
}

#[test]
fn a_mark_twice_in_a_row_passes_and_a_run_left_or_a_lucky_one_does_not() {
    let day = march(1);
    let lucky = [70.0, 30.0, 70.0].map(|points| flown(FIRST, 1, points, &[]));
    let stays = told(&lucky, day, None);
    assert_eq!(stays.set[2].drill, FIRST);
    assert_eq!(stays.set[2].reason, Reason::Rung { in_a_row: 1 });
    let mut left = [flown(FIRST, 1, 70.0, &[]), flown(FIRST, 1, 70.0, &[])];
    left[1].complete = false;
    assert_eq!(told(&left, day, None).passed, 0);
    left[1].complete = true;
    let passed = told(&left, day, None);
    assert_eq!((passed.passed, passed.set[0].drill.as_str()), (1, SECOND));
}

#[test]
fn help_fades_by_success_comes_back_on_failure_and_stays_where_it_is_pinned() {
    let mut runs = vec![flown(FIRST, 1, 70.0, &[]), flown(FIRST, 1, 70.0, &[])];
    let aids = |runs: &[Flown], pinned| {
        let runs: Vec<&Flown> = runs.iter().collect();
        let ladder = lesson::ladder();
        let standing = &leveloff::progress::standings(&ladder, &runs)[0];
        let next = next(&ladder, &runs, march(2), pinned).unwrap();
        (standing.aids, next.now.aids)
    };
    assert_eq!(aids(&runs, None).0, Aids::Some);
    for run in &mut runs {
        run.aids = Aids::Some;
    }
    assert_eq!(aids(&runs, None).0, Aids::Bare);
    let mut failed = flown(FIRST, 1, 20.0, &[]);
    failed.aids = Aids::Bare;
    runs.extend([failed.clone(), failed]);
    assert_eq!(aids(&runs, None).0, Aids::Some);
    assert_eq!(aids(&runs, Some(Aids::Bare)).1, Aids::Bare);
}

#[test]
fn more_help_than_is_asked_for_passes_nothing() {
    let ladder = lesson::ladder();
    let asks_some = ladder.rungs.iter().position(|rung| rung.aids == Aids::Some);
    let rung = &ladder.rungs[asks_some.unwrap()];
    let mut runs = vec![flown(&rung.drill, 1, 90.0, &[]); 2];
    let passed = |runs: &[Flown]| {
        let runs: Vec<&Flown> = runs.iter().collect();
        let standings = leveloff::progress::standings(&ladder, &runs);
        standings.iter().filter(|s| s.is_passed).count()
    };
    assert_eq!(passed(&runs), 0);
    runs.iter_mut().for_each(|run| run.aids = Aids::Some);
    assert_eq!(passed(&runs), 1);
}

#[test]
fn what_was_passed_comes_back_after_days() {
    let runs = [flown(FIRST, 1, 70.0, &[]), flown(FIRST, 1, 70.0, &[])];
    assert_eq!(told(&runs, march(3), None).now.drill, SECOND);
    let later = told(&runs, march(9), None);
    assert_eq!(later.now.reason, Reason::Days { days: 8 });
    assert_eq!(later.now.drill, FIRST);
    assert!(later.now.sentence().contains("8 days have gone by"));
    assert_eq!(later.set[2].drill, SECOND);
}

#[test]
fn the_dearest_name_of_the_week_is_practised_where_it_costs_most() {
    let bill: &[(&str, f64)] = &[("level_off_late", 15.0), ("pumping", 4.0)];
    let runs = [
        flown(FIRST, 9, 70.0, &[("pumping", 9.0)]),
        flown(FIRST, 9, 70.0, &[("pumping", 10.0)]),
        flown(SECOND, 9, 40.0, bill),
        flown(SECOND, 9, 40.0, &[("level_off_late", 9.0)]),
    ];
    let next = told(&runs, march(10), None);
    let weak = &next.set[2];
    assert_eq!(weak.drill, SECOND, "{weak:?}");
    assert!(
        weak.sentence()
            .contains("practise this: level off late cost you 24 points"),
        "{}",
        weak.sentence()
    );
    let forgotten = told(&runs, march(20), None);
    assert!(matches!(forgotten.set[2].reason, Reason::Rung { .. }));
}

/// A drill of one's own can be where it costs most, and it is on no rung.
#[test]
fn a_name_is_never_practised_where_it_cost_nothing_lately() {
    let own = flown("my-own-drill", 9, 40.0, &[("dive", 40.0)]);
    let mut runs = vec![own, flown(FIRST, 9, 40.0, &[("pumping", 5.0)])];
    let third = |runs: &[Flown]| told(runs, march(10), None).set[2].clone();
    let reason = third(&runs).reason;
    assert!(matches!(reason, Reason::Rung { .. }), "{reason:?}");
    runs.push(flown(FIRST, 9, 41.0, &[("dive", 1.0)]));
    let practised = third(&runs);
    assert!(
        matches!(&practised.reason, Reason::Weakness { name, .. } if name == "dive"),
        "{practised:?}"
    );
    assert_eq!(practised.drill, FIRST);
}

#[test]
fn a_rung_far_out_of_reach_sends_one_back_for_a_run() {
    let mut runs = vec![flown(FIRST, 1, 70.0, &[]); 2];
    runs.extend(vec![flown(SECOND, 2, 5.0, &[]); 6]);
    let next = told(&runs, march(2), None);
    assert_eq!(next.set[0].drill, FIRST);
    assert!(next.set[0].sentence().contains(SECOND));
    runs.push(flown(FIRST, 3, 70.0, &[]));
    assert_eq!(
        told(&runs, march(3), None).set[0].drill,
        SECOND,
        "its turn again"
    );
}

/// No drill is advised three times running, on any ladder with more than one drill and for any runs.
#[test]
fn no_drill_is_told_three_times_running() {
    let ladder = lesson::ladder();
    let paths = ladder
        .rungs
        .iter()
        .position(|rung| rung.drill == "half-a-mile-on-it");
    let narrow = |from: usize, rungs: usize| {
        let mut lesson = lesson::ladder();
        lesson.rungs = lesson.rungs.split_off(from);
        lesson.rungs.truncate(rungs);
        lesson
    };
    for (lesson, points) in [
        (narrow(0, 2), 70.0),
        (narrow(0, 2), 10.0),
        (narrow(0, 3), 45.0),
        (narrow(paths.unwrap(), 3), 30.0),
        (narrow(paths.unwrap(), 2), 90.0),
        (lesson::ladder(), 50.0),
    ] {
        let mut runs: Vec<Flown> = Vec::new();
        let mut told: Vec<String> = Vec::new();
        for n in 0..30 {
            let day = 1 + n / 4;
            let so_far: Vec<&Flown> = runs.iter().collect();
            let next = next(&lesson, &so_far, march(day as i8), None).unwrap();
            let same = |other: &leveloff::progress::Choice| other.drill == next.set[0].drill;
            assert!(!next.set.iter().all(same), "{:?}", next.set);
            let mut run = flown(&next.now.drill, day, points, &[("dive", 5.0)]);
            run.aids = next.now.aids;
            runs.push(run);
            told.push(next.now.drill);
        }
        let same = |three: &[String]| three[0] == three[1] && three[1] == three[2];
        assert!(!told.windows(3).any(same), "{told:?}");
    }
    let only = narrow(0, 1);
    assert_eq!(next(&only, &[], march(1), None).unwrap().set.len(), 3);
}
