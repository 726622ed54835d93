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
mod tests;
