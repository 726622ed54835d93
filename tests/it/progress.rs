//! Whether a learner improves, judged from made-up runs whose truth is known.

mod change;
mod learners;
mod next;

use leveloff::drill::{Aids, Skill};
use leveloff::export::progress_words;
use leveloff::logbook::Logbook;
use leveloff::progress::curve::Values;
use leveloff::progress::{Curve, Flown, Group, costs, lately, summary};
use leveloff::sim::math::exp;

use crate::folder::Folder;

/// A run of a drill on a day of a month.
pub fn flown(drill: &str, day: usize, points: f64, bill: &[(&str, f64)]) -> Flown {
    let keyed = |list: &[(&str, f64)]| list.iter().map(|(key, x)| (key.to_string(), *x)).collect();
    Flown {
        id: format!("{drill}-{day}-{points}"),
        at: format!("2026-03-{day:02}T18:00:00+01:00"),
        drill: drill.to_string(),
        title: drill.to_string(),
        skill: Some(Skill::Stop),
        aids: Aids::Full,
        seconds: 60.0,
        complete: true,
        points: Some(points),
        figures: keyed(&[("rms_ft", 20.0 - points / 10.0)]),
        bill: Some(keyed(bill)),
    }
}

/// The curve through runs of some drills, all on one day.
fn fit(drills: &[usize], values: &[f64]) -> Option<Curve> {
    Curve::fit(&Values {
        values: values.to_vec(),
        drills: drills.to_vec(),
        days: vec![1; values.len()],
        scale: (0.0, 100.0),
    })
}

fn exponential(n: usize) -> Vec<f64> {
    let run = |n: usize| 70.0 - 40.0 * exp(-0.12 * n as f64);
    (0..n).map(run).collect()
}

#[test]
fn a_curve_finds_the_numbers_that_made_it() {
    let one = |values: &[f64]| fit(&vec![0; values.len()], values);
    let curve = one(&exponential(30)).unwrap();
    assert!(
        (curve.limit - 70.0).abs() < 1.0 && (curve.gap + 40.0).abs() < 1.5,
        "{curve:?}"
    );
    assert!(
        (curve.half_life_runs.unwrap() - 5.78).abs() < 0.6,
        "{curve:?}"
    );
    assert!((curve.at(30.0) - curve.now.value).abs() < 1e-9);
    assert!(curve.is_told() && !curve.is_straight());
    // The change is from the mean of the first five to that of the last five.
    assert!((curve.change.value - 30.7).abs() < 0.5, "{curve:?}");

    // In reverse the curve gathers speed.
    let falls: Vec<f64> = exponential(30).into_iter().rev().collect();
    let curve = one(&falls).unwrap();
    assert!((curve.rate + 0.12).abs() < 0.02, "{curve:?}");
    assert!((curve.change.value + 30.7).abs() < 0.5, "{curve:?}");
    assert_eq!(curve.half_life_runs, None);

    let straight: Vec<f64> = (0..20).map(|run| 40.0 + 2.0 * f64::from(run)).collect();
    let curve = one(&straight).unwrap();
    assert!(
        curve.is_straight() && (curve.change.value - 30.0).abs() < 1.0,
        "{curve:?}"
    );
    assert_eq!(curve.ends(), 5);
    assert_eq!(one(&straight[..8]).unwrap().ends(), 4);
    assert_eq!(one(&straight[..7]), None, "too few");
}

/// Lines edited by hand may contain any value.
#[test]
fn values_beyond_the_scale_break_nothing() {
    for odd in [250.0, -40.0, 1e200] {
        let mut values = exponential(12);
        values[3] = odd;
        let curve = fit(&[0; 12], &values).unwrap();
        assert_eq!(curve.runs, 12);
    }
    let curve = fit(&[0; 12], &[100.0; 12]).unwrap();
    assert!(
        !curve.is_told() && curve.now.value == 100.0 && curve.scatter == 0.0,
        "{curve:?}"
    );
}

/// Moving on to harder drills does not count as getting worse.
#[test]
fn drills_of_different_levels_do_not_hide_what_is_learnt() {
    let n = 40;
    let groups: Vec<usize> = (0..n).map(|run| run / 14).collect();
    let values: Vec<f64> = exponential(n)
        .iter()
        .zip(&groups)
        .map(|(y, group)| y - 15.0 * *group as f64)
        .collect();
    // The difference between the means of the first five and the last five, without the drills' levels.
    let truth = 31.4;
    let together = fit(&groups, &values).unwrap();
    assert!((together.change.value - truth).abs() < 2.0, "{together:?}");
    let alone = fit(&vec![0; n], &values).unwrap().change.value;
    assert!((alone - truth).abs() > 5.0, "{alone}");
}

#[test]
fn runs_are_put_together_by_drill_skill_and_day() {
    let mut left = flown("quarry", 3, 99.0, &[]);
    left.complete = false;
    let runs = [
        flown("reef", 1, 40.0, &[]),
        flown("reef", 1, 60.0, &[]),
        flown("quarry", 2, 30.0, &[]),
        left,
    ];
    let runs: Vec<&Flown> = runs.iter().collect();
    let drills = summary::by(&runs, Group::Drill, "points");
    let of =
        |row: &leveloff::progress::Summary| (row.key.clone(), row.runs, row.complete, row.days);
    assert_eq!(of(&drills[0]), ("reef".to_string(), 2, 2, 1));
    assert_eq!(of(&drills[1]), ("quarry".to_string(), 2, 1, 2));
    assert_eq!(
        drills[1].best.as_ref().unwrap().points,
        30.0,
        "flown to its end"
    );
    assert_eq!(drills[0].mean, Some(50.0));
    let days = summary::by(&runs, Group::Day, "rms_ft");
    assert_eq!(days.len(), 3);
    assert_eq!(
        (days[0].key.as_str(), days[0].mean),
        ("2026-03-01", Some(15.0))
    );
    assert_eq!(summary::by(&runs, Group::Skill, "points")[0].runs, 4);
}

#[test]
fn bills_add_up_by_name() {
    let runs = [
        flown("reef", 1, 40.0, &[("dive", 20.0), ("rest", 5.0)]),
        flown("quarry", 2, 60.0, &[("level_off_late", 12.0)]),
        flown("reef", 3, 60.0, &[("level_off_late", 14.0), ("dive", 4.0)]),
    ];
    let costs = costs(&runs.iter().collect::<Vec<_>>());
    assert_eq!((costs.runs, costs.points, costs.rest), (3, 55.0, 5.0));
    let keys: Vec<_> = costs
        .lines
        .iter()
        .map(|line| (line.key.as_str(), line.points, line.runs))
        .collect();
    assert_eq!(keys, [("level_off_late", 26.0, 2), ("dive", 24.0, 2)]);
    assert_eq!(costs.lines[0].drill, "reef");
    assert_eq!(costs.lines[1].id, runs[0].id);
}

#[test]
fn costs_without_a_name_are_told_as_what_they_are() {
    let told = |runs: &[Flown]| {
        let costs = costs(&runs.iter().collect::<Vec<_>>());
        progress_words::costs_in_all(&costs)
    };
    let mut unweighed = flown("reef", 1, 40.0, &[]);
    unweighed.bill = None;
    assert_eq!(told(&[unweighed]), "No run was weighed in this time.");
    assert_eq!(
        told(&[flown("reef", 1, 95.0, &[("rest", 5.0)])]),
        "What was lost in this time has no name."
    );
    assert_eq!(
        told(&[flown("reef", 1, 100.0, &[])]),
        "No run weighed in this time lost points."
    );
}

/// Ten runs of ten drills show nothing of how one is learnt.
#[test]
fn many_runs_without_a_curve_are_not_told_that_they_are_few() {
    let alone: Vec<usize> = (0..10).collect();
    assert_eq!(fit(&alone, &exponential(10)), None);
    assert_eq!(
        progress_words::curve(None, "points", 10),
        "10 runs flown to the end: a curve needs more of them on the same drill."
    );
    assert_eq!(
        progress_words::curve(None, "points", 7),
        "7 runs flown to the end: a curve needs 8 or more."
    );
}

#[test]
fn a_run_is_held_against_the_last_five_of_its_drill() {
    let mut runs: Vec<Flown> = [10.0, 60.0, 64.0, 58.0, 62.0, 66.0]
        .iter()
        .enumerate()
        .map(|(n, points)| flown("reef", n + 1, *points, &[("dive", 14.0), ("pumping", 3.0)]))
        .collect();
    runs.push(flown("quarry", 7, 90.0, &[]));
    let now = flown("reef", 8, 74.0, &[("dive", 2.0), ("pumping", 4.0)]);
    let before: Vec<&Flown> = runs.iter().collect();
    let found = lately(&before, &now).unwrap();
    assert_eq!((found.runs, found.mean), (5, 62.0));
    assert_eq!(
        found.sentence(),
        "12 better than the mean of your last 5 (62); dive cost 12 less; your best here."
    );
    let close = lately(&before, &flown("reef", 8, 61.0, &[("dive", 15.0)])).unwrap();
    assert_eq!(
        close.sentence(),
        "1 worse than the mean of your last 5 (62), within their scatter (3); dive cost 1 more."
    );
    assert_eq!(lately(&[], &now), None, "the first");
    let mut left = now.clone();
    left.complete = false;
    assert_eq!(lately(&before, &left), None);
}

#[test]
fn a_logbook_of_older_lines_stays_readable() {
    let folder = Folder::new();
    let line = r#"{"schema":1,"id":"20260301-180000-a1b2","at":"2026-03-01T18:00:00+01:00","drill":"catch-the-sink","title":"Catch the sink","aircraft":"first jet","hand":"person","aids":"full","air":null,"seed":7,"model":1,"end_s":62.0,"complete":true,"left":false,"fault":null,"points":61.5,"digest":"00"}"#;
    folder.file(
        "logbook.jsonl",
        format!("{line}\n{{\"schema\":1,\"id\":\"2026\n"),
    );
    let found = Logbook::at(folder.path().to_path_buf()).entries().unwrap();
    assert_eq!(found.unreadable, 1);
    let practice = found.practice();
    assert_eq!(practice[0].skill, Some(Skill::Stop));
    assert_eq!(
        (practice[0].bill.clone(), practice[0].points),
        (None, Some(61.5))
    );
}

/// A share of the time is told in per cent here too.
#[test]
fn a_share_over_time_is_told_in_per_cent() {
    let days: Vec<usize> = vec![0; 20];
    let shares: Vec<f64> = (0..20).map(|n| 0.5 + 0.02 * f64::from(n)).collect();
    let curve = fit(&days, &shares);
    let told = progress_words::curve(curve.as_ref(), "in_band", 20);
    assert!(told.contains(" % from the first 5 to the last 5"), "{told}");
    let (_, by) = told.split_once(" by ").unwrap();
    let by: f64 = by.split(' ').next().unwrap().parse().unwrap();
    assert!((20.0..=38.0).contains(&by), "{told}");
}
