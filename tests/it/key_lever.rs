//! Recorded keys in, the lever out.

use leveloff::tui::key_lever::{Amount, KeyLever, Nudge, Touch, Way};
use leveloff::units::TICK_S;

const UP: Nudge = Nudge::new(Way::Up, Amount::Tap);
const DOWN: Nudge = Nudge::new(Way::Down, Amount::Tap);

/// One line of a log.
enum Line {
    Made(Touch),
    Away,
}
use Line::{Away, Made};
use Touch::{Axis, By, Drag, Grab, Press, Release, Set};

/// Flies a log, its keys in the order of their times, for `until_s`. Returns the lever at the end of every tick.
fn fly(lever: &mut KeyLever, log: &[(f64, Line)], until_s: f64) -> Vec<f64> {
    let mut log = log.iter().peekable();
    let ticks = (until_s * 64.0).round() as u32;
    (1..=ticks)
        .map(|n| {
            let t_s = f64::from(n) * TICK_S;
            while let Some((at_s, line)) = log.next_if(|(at_s, _)| *at_s <= t_s) {
                match line {
                    Made(made) => {
                        lever.take(*at_s, *made);
                    }
                    Away => lever.focus_lost(*at_s),
                }
            }
            lever.tick(t_s)
        })
        .collect()
}

/// What a plain terminal sends for a key held for `hold_s`: one press, after `delay_s` repeats at `rate_hz`.
fn repeats(nudge: Nudge, hold_s: f64, delay_s: f64, rate_hz: f64) -> Vec<(f64, Line)> {
    let repeats = ((hold_s - delay_s) * rate_hz).floor() as i32;
    let later = (0..=repeats).map(|k| (delay_s + f64::from(k) / rate_hz, Made(Press(nudge))));
    std::iter::once((0.0, Made(Press(nudge))))
        .chain(later)
        .collect()
}

fn percent(value: f64) -> f64 {
    value * 100.0
}

#[test]
fn the_lag_is_40_ms() {
    // A change so small that the speed limit of a hand does not matter.
    let mut lever = KeyLever::new(0.5, true);
    lever.take(0.0, Set(0.53));
    for (n, lever) in (1..).zip(fly(&mut lever, &[], 0.15)) {
        let wanted = 0.53 - 0.03 * (-f64::from(n) * TICK_S / 0.040).exp();
        assert!(
            (lever - wanted).abs() < 0.000_51,
            "{n}: {lever}, not {wanted}"
        );
    }
}

#[test]
fn the_start_is_exact_until_something_moves_it() {
    let start = 0.412_345_678_9;
    let mut lever = KeyLever::new(start, true);
    assert!(
        fly(&mut lever, &[(0.1, Away)], 1.0)
            .iter()
            .all(|&l| l == start)
    );
    assert_eq!(lever.target(), start);
    let after = fly(
        &mut lever,
        &[(0.0, Made(Press(UP))), (0.1, Made(Release(Way::Up)))],
        1.0,
    );
    assert!(
        after.iter().all(|&l| (l * 1000.0).round() / 1000.0 == l),
        "whole thousandths: {after:?}"
    );
    assert_eq!(after.last(), Some(&0.422));
    assert_eq!(lever.target(), 0.422);
}

#[test]
fn taps_are_exact_in_both_kinds_of_terminal() {
    let by = |amount, way| Nudge::new(way, amount);
    let log = || {
        vec![
            (0.0, Made(Press(UP))),
            (0.3, Made(Press(by(Amount::Fine, Way::Up)))),
            (0.6, Made(Press(by(Amount::Coarse, Way::Up)))),
            (0.9, Made(Press(DOWN))),
        ]
    };
    let mut plain = KeyLever::new(0.5, false);
    let moved = fly(&mut plain, &log(), 2.0);
    assert_eq!(moved.last(), Some(&0.552));

    let mut reported = KeyLever::new(0.5, true);
    let with_releases: Vec<_> = log()
        .into_iter()
        .flat_map(|(at_s, key)| {
            let Made(Press(nudge)) = key else {
                unreachable!()
            };
            [
                (at_s, Made(Press(nudge))),
                (at_s + 0.09, Made(Release(nudge.way))),
            ]
        })
        .collect();
    assert_eq!(fly(&mut reported, &with_releases, 2.0), moved);
}

#[test]
fn fast_tapping_stays_taps() {
    // Ten presses a second, as fast as a finger goes.
    let log: Vec<_> = (0..10)
        .map(|k| (f64::from(k) * 0.1, Made(Press(DOWN))))
        .collect();
    let mut lever = KeyLever::new(0.5, false);
    assert_eq!(fly(&mut lever, &log, 2.0).last(), Some(&0.4));
}

/// A hold of `hold_s` where releases are reported.
fn released(nudge: Nudge, hold_s: f64) -> f64 {
    let mut lever = KeyLever::new(0.1, true);
    let log = [
        (0.0, Made(Press(nudge))),
        (hold_s, Made(Release(nudge.way))),
    ];
    percent(fly(&mut lever, &log, hold_s + 1.0).last().unwrap() - 0.1)
}

#[test]
fn held_for_a_second_with_releases() {
    let mut lever = KeyLever::new(0.2, true);
    let log = [(0.0, Made(Press(UP))), (1.0, Made(Release(Way::Up)))];
    let moved = fly(&mut lever, &log, 2.0);
    // 1 % for the press, and 0.75 s of a run that grows from 12 % a second by 35 % a second: 1 + 9 + 9.84.
    let total = percent(moved[127] - 0.2);
    assert!((total - 19.84).abs() < 0.051, "{total}");
    let overrun = percent(moved[127] - moved[63]);
    assert!((0.0..=2.0).contains(&overrun), "{overrun}");
}

#[test]
fn a_hold_is_worth_its_time_whatever_the_terminal() {
    for hold_s in [1.25, 1.5, 2.0] {
        let wanted = released(UP, hold_s);
        for delay_s in [0.25, 0.5, 0.66] {
            for rate_hz in [8.0, 10.9, 12.0, 20.0, 25.0, 30.0, 40.0] {
                let mut lever = KeyLever::new(0.1, false);
                let log = repeats(UP, hold_s, delay_s, rate_hz);
                let moved = fly(&mut lever, &log, hold_s + 1.0);
                let total = percent(moved.last().unwrap() - 0.1);
                assert!(
                    (total / wanted - 1.0).abs() < 0.1,
                    "{hold_s} s, {delay_s} s, {rate_hz} Hz: {total}, not {wanted}"
                );
            }
        }
    }
}

#[test]
fn a_held_page_key_outruns_a_tapping_finger() {
    let page = Nudge::new(Way::Up, Amount::Coarse);
    // A quick finger makes six taps a second.
    assert!(released(page, 1.0) > 6.0 * 5.0, "{}", released(page, 1.0));
}

/// A key held over a connection that delivers its repeats, 30 a second, in bunches.
const BUNCHED_S: [f64; 18] = [
    0.0, 0.512, 0.513, 0.580, 0.581, 0.648, 0.648, 0.713, 0.781, 0.782, 0.849, 0.850, 0.915, 0.916,
    0.984, 1.051, 1.052, 1.118,
];

#[test]
fn bunched_repeats_are_a_hold() {
    let log = BUNCHED_S.map(|at_s| (at_s, Made(Press(UP))));
    let mut lever = KeyLever::new(0.1, false);
    let total = percent(fly(&mut lever, &log, 2.0).last().unwrap() - 0.1);
    let wanted = released(UP, 1.13);
    assert!((total / wanted - 1.0).abs() < 0.1, "{total}, not {wanted}");
}

/// A finger that taps as fast as it can after a pause: 8 to 10 a second, less evenly than a clock (gaps off by 10 % and more).
const TAPPED_S: [f64; 12] = [
    0.0, 0.431, 0.548, 0.651, 0.779, 0.884, 1.003, 1.101, 1.232, 1.330, 1.457, 1.561,
];

#[test]
fn taps_of_a_quick_finger_are_no_hold() {
    let log = TAPPED_S.map(|at_s| (at_s, Made(Press(UP))));
    let mut lever = KeyLever::new(0.1, false);
    assert_eq!(fly(&mut lever, &log, 3.0).last(), Some(&0.22));
    // Two taps that arrive at once count as two.
    let log = [0.0, 0.4, 0.4].map(|at_s| (at_s, Made(Press(UP))));
    let mut lever = KeyLever::new(0.1, false);
    assert_eq!(fly(&mut lever, &log, 3.0).last(), Some(&0.13));
    // Even taps are no hold either, without a pause before them.
    let log = [0.0, 0.11, 0.22, 0.33, 0.44].map(|at_s| (at_s, Made(Press(UP))));
    let mut lever = KeyLever::new(0.1, false);
    assert_eq!(fly(&mut lever, &log, 3.0).last(), Some(&0.15));
}

#[test]
fn late_repeats_do_not_break_a_run() {
    let late = [0.0, 0.5, 0.54, 0.58, 0.72, 0.76].map(|at_s| (at_s, Made(Press(UP))));
    let mut lever = KeyLever::new(0.1, false);
    let total = percent(fly(&mut lever, &late, 2.0).last().unwrap() - 0.1);
    let wanted = released(UP, 0.78);
    assert!((total / wanted - 1.0).abs() < 0.15, "{total}, not {wanted}");
}

#[test]
fn the_other_way_stops_a_run_at_once() {
    for releases in [true, false] {
        let mut log = repeats(UP, 1.0, 0.25, 30.0);
        log.push((1.01, Made(Press(DOWN))));
        let mut lever = KeyLever::new(0.2, releases);
        let moved = fly(&mut lever, &log, 1.15);
        let highest = moved.iter().copied().fold(0.0, f64::max);
        assert!(percent(highest - moved[64]) < 2.0, "{releases}: {highest}");
        assert!(lever.target() < highest + 0.01, "{releases}");
    }
}

#[test]
fn focus_lost_lets_go_and_a_release_of_another_key_does_not() {
    let log = [
        (0.0, Made(Press(UP))),
        (0.5, Made(Release(Way::Down))),
        (0.6, Away),
        (0.7, Made(Release(Way::Up))),
    ];
    let mut lever = KeyLever::new(0.2, true);
    let moved = fly(&mut lever, &log, 2.0);
    // The press, and 0.35 s of a run that grows from 12 % a second by 35 % a second.
    let wanted = 20.0 + 1.0 + 12.0 * 0.35 + 0.5 * 35.0 * 0.35 * 0.35;
    assert!((percent(moved[127]) - wanted).abs() < 0.051);
}

#[test]
fn repeats_of_a_held_key_change_nothing_where_releases_are_reported() {
    let mut held = repeats(UP, 1.0, 0.25, 30.0);
    held.push((1.0, Made(Release(Way::Up))));
    let bare = [(0.0, Made(Press(UP))), (1.0, Made(Release(Way::Up)))];
    let (mut a, mut b) = (KeyLever::new(0.3, true), KeyLever::new(0.3, true));
    assert_eq!(fly(&mut a, &held, 2.0), fly(&mut b, &bare, 2.0));
}

#[test]
fn a_first_release_turns_release_reading_on() {
    let mut lever = KeyLever::new(0.2, false);
    let log = [
        (0.0, Made(Press(UP))),
        (0.1, Made(Release(Way::Up))),
        (0.5, Made(Press(UP))),
        (1.5, Made(Release(Way::Up))),
    ];
    let moved = fly(&mut lever, &log, 3.0);
    assert!((percent(moved[191]) - 20.0 - 1.0 - 19.84).abs() < 0.051);
}

#[test]
fn a_release_told_after_a_later_tick_still_ends_at_its_own_time() {
    let (mut late, mut prompt) = (KeyLever::new(0.2, true), KeyLever::new(0.2, true));
    for lever in [&mut late, &mut prompt] {
        lever.take(0.0, Press(UP));
        lever.tick(0.5);
    }
    late.tick(0.9);
    late.take(0.8, Release(Way::Up));
    prompt.take(0.8, Release(Way::Up));
    assert_eq!(late.target(), prompt.target());
}

#[test]
fn settings_are_absolute_and_the_lever_needs_its_time() {
    let mut lever = KeyLever::new(0.2, true);
    lever.take(0.0, Set(0.6));
    assert_eq!(lever.target(), 0.6);
    let moved = fly(&mut lever, &[], 1.0);
    let fastest = moved
        .windows(2)
        .map(|w| w[1] - w[0])
        .fold(0.0_f64, f64::max);
    // Rounded to thousandths, a tick's 0.0125 shows as 0.012 or 0.013.
    assert!(fastest <= 0.0131, "{fastest}");
    let arrived = moved.iter().position(|&l| l == 0.6).unwrap();
    // 40 % at 80 % a second is 32 ticks; the lag adds a little at the end.
    assert!((33..=48).contains(&arrived), "{arrived}");
    assert!(
        moved.iter().all(|&l| l <= 0.6),
        "no overshoot of a set value"
    );
    lever.take(0.0, Set(f64::NAN));
    assert_eq!(lever.target(), 0.6);
    lever.take(0.0, Set(7.0));
    assert_eq!(lever.target(), 1.0);
}

#[test]
fn a_setting_ends_a_hold() {
    let mut lever = KeyLever::new(0.2, true);
    lever.take(0.0, Press(UP));
    lever.tick(0.5);
    lever.take(0.0, Set(0.3));
    assert_eq!(fly(&mut lever, &[], 2.0).last(), Some(&0.3));
}

#[test]
fn the_ends_hold_and_pushing_against_them_is_no_movement() {
    let mut lever = KeyLever::new(1.0, true);
    lever.take(0.0, Press(UP));
    assert!((1..640).all(|n| lever.tick(f64::from(n) * TICK_S) == 1.0));
    lever.take(10.0, Release(Way::Up));
    lever.take(10.0, Press(DOWN));
    let moved: Vec<_> = (641..1300)
        .map(|n| lever.tick(f64::from(n) * TICK_S))
        .collect();
    assert_eq!(moved.last(), Some(&0.0));
    assert!(moved.iter().all(|l| (0.0..=1.0).contains(l)));
}

#[test]
fn fine_runs_at_a_fifth() {
    let fine = Nudge::new(Way::Up, Amount::Fine);
    assert!((released(fine, 1.0) - 19.84 / 5.0).abs() < 0.051);
}

#[test]
fn a_setting_and_taps_halve_the_time_of_a_large_change() {
    // 40 % more: by a held key, against one setting and two taps a third of a second apart.
    let arrive = |moved: Vec<f64>, to: f64| {
        moved.iter().position(|&l| (l - to).abs() < 0.001).unwrap() as f64 * TICK_S
    };
    let mut held = KeyLever::new(0.2, true);
    let hold_s = 0.250 + 0.8 + (0.39 - 0.208) / 0.4;
    let log = [(0.0, Made(Press(UP))), (hold_s, Made(Release(Way::Up)))];
    let held_s = arrive(fly(&mut held, &log, 3.0), 0.6);

    let mut set = KeyLever::new(0.2, true);
    set.take(0.0, Set(0.58));
    let taps = [
        (0.3, Made(Press(UP))),
        (0.38, Made(Release(Way::Up))),
        (0.6, Made(Press(UP))),
        (0.68, Made(Release(Way::Up))),
    ];
    let set_s = arrive(fly(&mut set, &taps, 3.0), 0.6);
    assert!(set_s < 0.55 * held_s, "{set_s} s against {held_s} s");
}

#[test]
fn the_wheel_clicks_by_its_own_and_a_drag_is_relative() {
    let log = [
        (0.1, Made(By(0.01))),
        (0.11, Made(By(0.01))),
        (0.12, Made(By(0.01))),
    ];
    let mut lever = KeyLever::new(0.5, false);
    assert_eq!(fly(&mut lever, &log, 1.0).last(), Some(&0.53));

    let log = [
        (0.1, Made(Grab)),
        (0.2, Made(Drag(0.07))),
        (0.3, Made(Drag(-0.02))),
        (0.4, Made(Drag(0.0))),
        (0.5, Made(Drag(0.04))),
    ];
    assert_eq!(fly(&mut lever, &log, 2.0).last(), Some(&0.57));
}

#[test]
fn an_axis_takes_the_lever_where_it_meets_it() {
    let mut lever = KeyLever::new(0.5, false);
    assert!(!lever.take(0.0, Axis(0.1)));
    assert_eq!(lever.awaited_axis(), Some(0.1));
    assert!(!lever.take(0.1, Axis(0.3)));
    // Passing the lever between two reports counts as meeting it.
    assert!(lever.take(0.2, Axis(0.55)));
    assert_eq!(lever.awaited_axis(), None);
    assert_eq!(fly(&mut lever, &[], 1.0).last(), Some(&0.55));
    // A key takes the lever away, and the axis gets it back where it meets it again.
    assert!(lever.take(1.0, Set(0.8)));
    assert_eq!(lever.awaited_axis(), Some(0.55));
    assert!(!lever.take(1.1, Axis(0.6)));
    assert!(lever.take(1.2, Axis(0.79)));
    assert_eq!(fly(&mut lever, &[], 1.0).last(), Some(&0.79));
}
