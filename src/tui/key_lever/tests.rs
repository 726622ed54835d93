//! Recorded keys in, the lever out.

use super::*;

const UP: Nudge = Nudge::new(Way::Up, Amount::Tap);
const DOWN: Nudge = Nudge::new(Way::Down, Amount::Tap);

/// One line of a key log.
enum Key {
    Press(Nudge),
    Release(Way),
    Away,
}
use Key::{Away, Press, Release};

/// Flies a log for `until_s`, keys in the order of their times, and returns the lever at every tick's end.
fn fly(lever: &mut KeyLever, log: &[(f64, Key)], until_s: f64) -> Vec<f64> {
    let mut log = log.iter().peekable();
    let ticks = (until_s * 64.0).round() as u32;
    (1..=ticks)
        .map(|n| {
            let t_s = f64::from(n) * TICK_S;
            while let Some((at_s, key)) = log.next_if(|(at_s, _)| *at_s <= t_s) {
                match key {
                    Press(nudge) => lever.press(*at_s, *nudge),
                    Release(way) => lever.release(*at_s, *way),
                    Away => lever.focus_lost(*at_s),
                }
            }
            lever.tick(t_s)
        })
        .collect()
}

/// What a plain terminal sends for a key held for `hold_s`: one press, after `delay_s` repeats at `rate_hz`.
fn repeats(nudge: Nudge, hold_s: f64, delay_s: f64, rate_hz: f64) -> Vec<(f64, Key)> {
    let repeats = ((hold_s - delay_s) * rate_hz).floor() as i32;
    let later = (0..=repeats).map(|k| (delay_s + f64::from(k) / rate_hz, Press(nudge)));
    std::iter::once((0.0, Press(nudge))).chain(later).collect()
}

fn percent(value: f64) -> f64 {
    value * 100.0
}

#[test]
fn the_lag_is_40_ms() {
    assert!((FOLLOW - (1.0 - (-TICK_S / 0.040).exp())).abs() < 1e-15);
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
        &[(0.0, Press(UP)), (0.1, Release(Way::Up))],
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
            (0.0, Press(UP)),
            (0.3, Press(by(Amount::Fine, Way::Up))),
            (0.6, Press(by(Amount::Coarse, Way::Up))),
            (0.9, Press(DOWN)),
        ]
    };
    let mut plain = KeyLever::new(0.5, false);
    let moved = fly(&mut plain, &log(), 2.0);
    assert_eq!(moved.last(), Some(&0.552));

    let mut reported = KeyLever::new(0.5, true);
    let with_releases: Vec<_> = log()
        .into_iter()
        .flat_map(|(at_s, key)| {
            let Press(nudge) = key else { unreachable!() };
            [(at_s, Press(nudge)), (at_s + 0.09, Release(nudge.way))]
        })
        .collect();
    assert_eq!(fly(&mut reported, &with_releases, 2.0), moved);
}

#[test]
fn fast_tapping_stays_taps() {
    // Ten presses a second, as fast as a finger goes.
    let log: Vec<_> = (0..10).map(|k| (f64::from(k) * 0.1, Press(DOWN))).collect();
    let mut lever = KeyLever::new(0.5, false);
    assert_eq!(fly(&mut lever, &log, 2.0).last(), Some(&0.4));
}

#[test]
fn held_for_a_second_with_releases() {
    let mut lever = KeyLever::new(0.2, true);
    let moved = fly(
        &mut lever,
        &[(0.0, Press(UP)), (1.0, Release(Way::Up))],
        2.0,
    );
    // 1 % for the press, and 0.8 s of a run that grows from 12 to 40 % a second: 1 + 0.8 * 26.
    let total = percent(moved[127] - 0.2);
    assert!((20.0..=22.0).contains(&total), "{total}");
    assert!((total - 21.8).abs() < 0.051, "{total}");
    let overrun = percent(moved[127] - moved[63]);
    assert!((0.0..=2.0).contains(&overrun), "{overrun}");
}

#[test]
fn held_for_a_second_without_releases() {
    for (delay_s, wanted) in [(0.25, 20.0), (0.5, 12.5), (0.66, 8.0)] {
        for rate_hz in [25.0, 30.0, 33.0] {
            let mut lever = KeyLever::new(0.2, false);
            let moved = fly(&mut lever, &repeats(UP, 1.0, delay_s, rate_hz), 2.0);
            let total = percent(moved[127] - 0.2);
            assert!(
                (total - wanted).abs() < 1.2,
                "{delay_s} s, {rate_hz} Hz: {total}"
            );
            let overrun = percent(moved[127] - moved[63]);
            assert!((0.0..=2.0).contains(&overrun), "{delay_s} s: {overrun}");
        }
    }
}

#[test]
fn late_repeats_do_not_break_a_run() {
    let log = vec![
        (0.0, Press(UP)),
        (0.04, Press(UP)),
        (0.18, Press(UP)),
        (0.22, Press(UP)),
    ];
    let mut lever = KeyLever::new(0.5, false);
    let moved = fly(&mut lever, &log, 1.0);
    let run = percent(run_after(0.22));
    assert!((percent(moved[63]) - 51.0 - run).abs() < 0.051, "{moved:?}");
    // The same gap before anything runs makes two taps.
    let mut lever = KeyLever::new(0.5, false);
    let log = [(0.0, Press(UP)), (0.14, Press(UP))];
    assert_eq!(fly(&mut lever, &log, 1.0).last(), Some(&0.52));
}

#[test]
fn the_other_way_stops_a_run_at_once() {
    for releases in [true, false] {
        let mut log = repeats(UP, 1.0, 0.25, 30.0);
        log.push((1.01, Press(DOWN)));
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
        (0.0, Press(UP)),
        (0.5, Release(Way::Down)),
        (0.6, Away),
        (0.7, Release(Way::Up)),
    ];
    let mut lever = KeyLever::new(0.2, true);
    let moved = fly(&mut lever, &log, 2.0);
    let wanted = percent(0.2 + 0.01 + run_after(0.4));
    assert!((percent(moved[127]) - wanted).abs() < 0.051);
}

#[test]
fn repeats_of_a_held_key_change_nothing_where_releases_are_reported() {
    let mut held = repeats(UP, 1.0, 0.25, 30.0);
    held.push((1.0, Release(Way::Up)));
    let bare = [(0.0, Press(UP)), (1.0, Release(Way::Up))];
    let (mut a, mut b) = (KeyLever::new(0.3, true), KeyLever::new(0.3, true));
    assert_eq!(fly(&mut a, &held, 2.0), fly(&mut b, &bare, 2.0));
}

#[test]
fn a_first_release_turns_release_reading_on() {
    let mut lever = KeyLever::new(0.2, false);
    let log = [
        (0.0, Press(UP)),
        (0.1, Release(Way::Up)),
        (0.5, Press(UP)),
        (1.5, Release(Way::Up)),
    ];
    let moved = fly(&mut lever, &log, 3.0);
    assert!(lever.releases());
    assert!((percent(moved[191]) - 20.0 - 1.0 - 21.8).abs() < 0.051);
}

#[test]
fn a_release_told_after_a_later_tick_still_ends_at_its_own_time() {
    let (mut late, mut prompt) = (KeyLever::new(0.2, true), KeyLever::new(0.2, true));
    for lever in [&mut late, &mut prompt] {
        lever.press(0.0, UP);
        lever.tick(0.5);
    }
    late.tick(0.9);
    late.release(0.8, Way::Up);
    prompt.release(0.8, Way::Up);
    assert_eq!(late.target(), prompt.target());
}

#[test]
fn settings_are_absolute_and_the_lever_needs_its_time() {
    let mut lever = KeyLever::new(0.2, true);
    lever.set(0.6);
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
    lever.set(f64::NAN);
    assert_eq!(lever.target(), 0.6);
    lever.set(7.0);
    assert_eq!(lever.target(), 1.0);
}

#[test]
fn a_setting_ends_a_hold() {
    let mut lever = KeyLever::new(0.2, true);
    lever.press(0.0, UP);
    lever.tick(0.5);
    lever.set(0.3);
    assert_eq!(fly(&mut lever, &[], 2.0).last(), Some(&0.3));
}

#[test]
fn the_ends_hold_and_pushing_against_them_is_no_movement() {
    let mut lever = KeyLever::new(1.0, true);
    lever.press(0.0, UP);
    assert!((1..640).all(|n| lever.tick(f64::from(n) * TICK_S) == 1.0));
    lever.release(10.0, Way::Up);
    lever.press(10.0, DOWN);
    let moved: Vec<_> = (641..1300)
        .map(|n| lever.tick(f64::from(n) * TICK_S))
        .collect();
    assert_eq!(moved.last(), Some(&0.0));
    assert!(moved.iter().all(|l| (0.0..=1.0).contains(l)));
}

#[test]
fn fine_runs_at_a_fifth() {
    let fine = Nudge::new(Way::Up, Amount::Fine);
    let mut lever = KeyLever::new(0.2, true);
    let log = [(0.0, Press(fine)), (1.0, Release(Way::Up))];
    let moved = fly(&mut lever, &log, 2.0);
    assert!((percent(moved[127] - 0.2) - 21.8 / 5.0).abs() < 0.051);
}

#[test]
fn a_setting_and_taps_halve_the_time_of_a_large_change() {
    // 40 % more: held, against one setting and two taps a third of a second apart.
    let arrive = |moved: Vec<f64>, to: f64| {
        moved.iter().position(|&l| (l - to).abs() < 0.001).unwrap() as f64 * TICK_S
    };
    let mut held = KeyLever::new(0.2, true);
    let hold_s = 0.2 + 0.8 + (0.39 - 0.208) / 0.4;
    let log = [(0.0, Press(UP)), (hold_s, Release(Way::Up))];
    let held_s = arrive(fly(&mut held, &log, 3.0), 0.6);

    let mut set = KeyLever::new(0.2, true);
    set.set(0.58);
    let taps = [
        (0.3, Press(UP)),
        (0.38, Release(Way::Up)),
        (0.6, Press(UP)),
        (0.68, Release(Way::Up)),
    ];
    let set_s = arrive(fly(&mut set, &taps, 3.0), 0.6);
    assert!(set_s < 0.55 * held_s, "{set_s} s against {held_s} s");
}
