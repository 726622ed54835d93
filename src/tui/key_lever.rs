//! Keys as a lever.
//!
//! Keys move a *target*; the lever follows it as a hand would, 40 ms behind and never faster than 80 % a second. A tap is a
//! small exact change, a held key runs ever faster. Terminals differ in what they tell about a held key:
//!
//! - with releases (`releases: true`): a press and a release. After 0.2 s the target runs until the release.
//! - without: only repeated presses. The target runs by exactly the time between two repeats, so that it stops with the last
//!   of them; no timer ever guesses that a key was let go.
//!
//! Everything is a function of the calls and the times given with them, so a log of keys always moves the lever in the same way.

/// Seconds of one call of [`KeyLever::tick`].
const TICK_S: f64 = 1.0 / 64.0;
/// Share of the gap to the target closed in one tick: `1 - exp(-TICK_S / 0.040 s)`.
const FOLLOW: f64 = 0.323_366_153_838_271;
/// A hand moves the lever no faster than this, per tick (0.8 of full travel a second).
const FASTEST_PER_TICK: f64 = 0.8 * TICK_S;
/// Nearer than this the lever has arrived: half of the thousandth it is rounded to.
const ARRIVED: f64 = 0.000_5;

/// A held key runs after this long, where releases are reported.
const HOLD_AFTER_S: f64 = 0.200;
/// The same key again within this is a repeat, where they are not. The slowest usual repeat is 25 a second, the fastest
/// tapping finger makes 10.
const REPEAT_WITHIN_S: f64 = 0.065;
/// And once it runs, repeats may come this late.
const REPEAT_WITHIN_RUNNING_S: f64 = 0.150;

/// A run begins at 0.12 of full travel a second and reaches 0.40 after 0.8 s.
const RUN_FROM_PER_S: f64 = 0.12;
const RUN_TO_PER_S: f64 = 0.40;
const RUN_GROWS_S: f64 = 0.8;

/// Which way a key moves the lever.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// More power.
    Up,
    /// Less power.
    Down,
}

/// How much one press moves it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Amount {
    /// 0.2 % a press; held, a fifth as fast as `Tap`.
    Fine,
    /// 1 % a press.
    Tap,
    /// 5 % a press; held, as fast as `Tap`.
    Coarse,
}

/// What a key does to the lever.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Nudge {
    /// Up or down.
    pub way: Way,
    /// How much.
    pub amount: Amount,
}

impl Nudge {
    /// The nudge of that way and amount.
    pub const fn new(way: Way, amount: Amount) -> Self {
        Self { way, amount }
    }

    /// The change of one press, in parts of full travel.
    fn step(self) -> f64 {
        self.signed(match self.amount {
            Amount::Fine => 0.002,
            Amount::Tap => 0.01,
            Amount::Coarse => 0.05,
        })
    }

    /// The change after running for `run_s`, in parts of full travel.
    fn run(self, run_s: f64) -> f64 {
        let slower = match self.amount {
            Amount::Fine => 0.2,
            Amount::Tap | Amount::Coarse => 1.0,
        };
        self.signed(slower * run_after(run_s))
    }

    fn signed(self, amount: f64) -> f64 {
        match self.way {
            Way::Up => amount,
            Way::Down => -amount,
        }
    }
}

/// The rate of a run added up over its first `run_s`.
fn run_after(run_s: f64) -> f64 {
    let growing_s = run_s.clamp(0.0, RUN_GROWS_S);
    let growth = (RUN_TO_PER_S - RUN_FROM_PER_S) / RUN_GROWS_S;
    RUN_FROM_PER_S * growing_s
        + 0.5 * growth * growing_s * growing_s
        + RUN_TO_PER_S * (run_s - growing_s).max(0.0)
}

/// A key that is down, or that repeats.
#[derive(Debug, Clone, Copy)]
struct Held {
    nudge: Nudge,
    /// When running begins or began.
    from_s: f64,
    /// Where the target stood then.
    base: f64,
}

impl Held {
    fn target(&self, t_s: f64) -> f64 {
        (self.base + self.nudge.run(t_s - self.from_s)).clamp(0.0, 1.0)
    }
}

/// The lever of a person at the keys.
///
/// All times are seconds of one clock that never runs backwards, the same for keys and ticks. A key may be handed in a little
/// after a tick of a later time.
#[derive(Debug, Clone)]
pub struct KeyLever {
    releases: bool,
    moved: bool,
    target: f64,
    lever: f64,
    held: Option<Held>,
    last_press: Option<(Nudge, f64)>,
}

impl KeyLever {
    /// A lever that rests at `start` (0..1). `releases`: whether the terminal reports keys being let go.
    pub fn new(start: f64, releases: bool) -> Self {
        let start = start.clamp(0.0, 1.0);
        Self {
            releases,
            moved: false,
            target: start,
            lever: start,
            held: None,
            last_press: None,
        }
    }

    /// A key went down, or repeats.
    pub fn press(&mut self, t_s: f64, key: Nudge) {
        if self.releases {
            self.press_with_releases(t_s, key);
        } else {
            self.press_without(t_s, key);
        }
    }

    /// A key was let go. Also proves that releases are reported: from now on presses are read that way.
    pub fn release(&mut self, t_s: f64, way: Way) {
        self.expect_releases();
        if self.held.is_some_and(|held| held.nudge.way == way) {
            self.let_go(t_s);
        }
    }

    /// The terminal looks elsewhere, or the run pauses: whatever is held counts as let go.
    pub fn focus_lost(&mut self, t_s: f64) {
        self.let_go(t_s);
        self.last_press = None;
    }

    /// An absolute setting, clamped to 0..1; not-a-number is no setting.
    pub fn set(&mut self, fraction: f64) {
        if !fraction.is_nan() {
            self.held = None;
            self.last_press = None;
            self.aim(fraction.clamp(0.0, 1.0));
        }
    }

    /// Moves the lever on by 1/64 s, to the time `t_s`, and returns it: 0..1 in whole thousandths, but the exact start as long
    /// as nothing was moved.
    pub fn tick(&mut self, t_s: f64) -> f64 {
        if self.releases {
            self.run_to(t_s);
        }
        let gap = self.target - self.lever;
        if gap.abs() < ARRIVED {
            self.lever = self.target;
        } else {
            self.lever += (gap * FOLLOW).clamp(-FASTEST_PER_TICK, FASTEST_PER_TICK);
        }
        self.lever()
    }

    /// The lever as the last tick left it.
    pub fn lever(&self) -> f64 {
        self.shown(self.lever)
    }

    /// The setting wanted, which the lever is on its way to. Same form as the lever.
    pub fn target(&self) -> f64 {
        self.shown(self.target)
    }

    /// The terminal has said that it reports keys being let go.
    pub fn expect_releases(&mut self) {
        if !self.releases {
            self.releases = true;
            self.held = None;
        }
    }

    /// Whether releases are known to be reported.
    pub fn releases(&self) -> bool {
        self.releases
    }

    fn press_with_releases(&mut self, t_s: f64, key: Nudge) {
        if self.held.is_some_and(|held| held.nudge.way == key.way) {
            return;
        }
        self.let_go(t_s);
        self.aim(self.target + key.step());
        self.held = Some(Held {
            nudge: key,
            from_s: t_s + HOLD_AFTER_S,
            base: self.target,
        });
    }

    fn press_without(&mut self, t_s: f64, key: Nudge) {
        let within_s = match self.held {
            Some(_) => REPEAT_WITHIN_RUNNING_S,
            None => REPEAT_WITHIN_S,
        };
        match self.last_press {
            Some((last, at_s)) if last == key && t_s - at_s <= within_s => {
                self.held.get_or_insert(Held {
                    nudge: key,
                    from_s: at_s,
                    base: self.target,
                });
                self.run_to(t_s);
            }
            _ => {
                self.held = None;
                self.aim(self.target + key.step());
            }
        }
        self.last_press = Some((key, t_s));
    }

    fn let_go(&mut self, t_s: f64) {
        if self.releases {
            self.run_to(t_s);
        }
        self.held = None;
    }

    fn run_to(&mut self, t_s: f64) {
        if let Some(held) = self.held {
            self.aim(held.target(t_s));
        }
    }

    fn aim(&mut self, target: f64) {
        let target = target.clamp(0.0, 1.0);
        self.moved |= target != self.target;
        self.target = target;
    }

    fn shown(&self, value: f64) -> f64 {
        if self.moved {
            (value * 1000.0).round() / 1000.0
        } else {
            value
        }
    }
}

#[cfg(test)]
mod tests {
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
}
