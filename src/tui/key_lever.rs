//! A person's lever, moved by keys, the mouse or an axis.
//!
//! Each [`Touch`] moves a *target*; the lever follows it as a hand would, 40 ms behind and never faster than 80 % a second. A tap
//! is a small exact change. A held key runs faster and faster, and how far it runs depends on how long it is held and on nothing
//! else. Terminals differ in what they report about that:
//!
//! - with releases (`releases: true`): a press and a release. After a quarter of a second the target runs until the release.
//! - without: only repeated presses. Each of them moves the target on for the time that the key has been held so far (`repeats`),
//!   so that the target stops with the last one; no timer ever guesses that a key was let go.
//!
//! Everything is a function of the calls and the times given with them, so a log of keys always moves the lever in the same way.

mod repeats;

use repeats::Repeats;

use crate::run::recording::Means;
use crate::units::TICK_S;

/// Share of the gap to the target closed in one tick: `1 - exp(-TICK_S / 0.040 s)`.
const FOLLOW: f64 = 0.323_366_153_838_271;
/// A hand moves the lever no faster than this, per tick (0.8 of full travel a second).
const FASTEST_PER_TICK: f64 = 0.8 * TICK_S;
/// Nearer than this the lever has arrived: half of the thousandth it is rounded to.
const ARRIVED: f64 = 0.000_5;

/// A held key begins to run after this time: no tap lasts so long, and keys do not usually begin to repeat sooner.
const HOLD_AFTER_S: f64 = 0.250;

/// A run begins at 0.12 of full travel a second and reaches 0.40 after 0.8 s.
const RUN_FROM_PER_S: f64 = 0.12;
const RUN_TO_PER_S: f64 = 0.40;
const RUN_GROWS_S: f64 = 0.8;

/// An axis this near the lever takes it over.
const PICK_UP_WITHIN: f64 = 0.02;

/// What a person does to the lever.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Touch {
    /// A key went down, or repeats.
    Press(Nudge),
    /// A key was let go.
    Release(Way),
    /// An absolute setting, 0..1, clamped; not-a-number is ignored.
    Set(f64),
    /// A change at once, as a fraction of full travel: a click of the wheel.
    By(f64),
    /// The lever was taken hold of with the mouse.
    Grab,
    /// It was dragged this far from there, as a fraction of full travel.
    Drag(f64),
    /// The position of an axis, 0..1.
    Axis(f64),
}

impl Touch {
    /// The means by which it was made.
    pub fn means(self) -> Means {
        match self {
            Touch::Press(_) | Touch::Release(_) | Touch::Set(_) => Means::Keys,
            Touch::By(_) | Touch::Grab | Touch::Drag(_) => Means::Mouse,
            Touch::Axis(_) => Means::Axis,
        }
    }
}

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
    /// 5 % a press; held, twice as fast as `Tap`: as fast as a hand in the end, and faster than tapping.
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
    /// The nudge of a way and an amount.
    pub const fn new(way: Way, amount: Amount) -> Self {
        Self { way, amount }
    }

    /// The change of one press, as a fraction of full travel.
    fn step(self) -> f64 {
        self.signed(match self.amount {
            Amount::Fine => 0.002,
            Amount::Tap => 0.01,
            Amount::Coarse => 0.05,
        })
    }

    /// The change after a hold of `held_s`, on top of the press's own, as a fraction of full travel.
    fn held(self, held_s: f64) -> f64 {
        let share = match self.amount {
            Amount::Fine => 0.2,
            Amount::Tap => 1.0,
            Amount::Coarse => 2.0,
        };
        self.signed(share * run_after((held_s - HOLD_AFTER_S).max(0.0)))
    }

    fn signed(self, amount: f64) -> f64 {
        match self.way {
            Way::Up => amount,
            Way::Down => -amount,
        }
    }
}

/// The distance of a run in its first `run_s`, as a fraction of full travel: its rate integrated.
fn run_after(run_s: f64) -> f64 {
    let growing_s = run_s.clamp(0.0, RUN_GROWS_S);
    let growth = (RUN_TO_PER_S - RUN_FROM_PER_S) / RUN_GROWS_S;
    RUN_FROM_PER_S * growing_s
        + 0.5 * growth * growing_s * growing_s
        + RUN_TO_PER_S * (run_s - growing_s).max(0.0)
}

/// A key that is down.
#[derive(Debug, Clone, Copy)]
struct Held {
    nudge: Nudge,
    since_s: f64,
    /// Where its press left the target.
    base: f64,
}

/// An axis that has reported.
#[derive(Debug, Clone, Copy)]
struct Axis {
    at: f64,
    /// Whether it moves the lever.
    leads: bool,
}

/// The lever of a person.
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
    repeats: Option<Repeats>,
    /// Where the lever was grabbed.
    grabbed: f64,
    axis: Option<Axis>,
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
            repeats: None,
            grabbed: start,
            axis: None,
        }
    }

    /// Takes in a move made at `t_s`. Returns whether the lever is now wanted elsewhere.
    pub fn take(&mut self, t_s: f64, made: Touch) -> bool {
        let before = self.target;
        match made {
            Touch::Press(key) if self.releases => self.press(t_s, key),
            Touch::Press(key) => self.press_or_repeat(t_s, key),
            Touch::Release(way) => self.release(t_s, way),
            Touch::Set(fraction) => self.set(fraction),
            Touch::By(change) => self.set(self.target + change),
            Touch::Grab => self.grabbed = self.target,
            Touch::Drag(change) => self.set(self.grabbed + change),
            Touch::Axis(at) => self.follow(at),
        }
        let is_moved = self.target != before;
        if let (true, Some(axis)) = (is_moved && made.means() != Means::Axis, &mut self.axis) {
            axis.leads = false;
        }
        is_moved
    }

    /// Counts whatever is held as let go: the terminal has lost the focus, or the run pauses.
    pub fn focus_lost(&mut self, t_s: f64) {
        self.let_go(t_s);
        self.repeats = None;
    }

    /// Forgets where the axis stands: its moves will not be heard for a while.
    pub fn lose_axis(&mut self) {
        self.axis = None;
    }

    /// The position of an axis that does not move the lever yet: it takes over where it meets the lever, so that nothing jumps.
    pub fn awaited_axis(&self) -> Option<f64> {
        self.axis.filter(|axis| !axis.leads).map(|axis| axis.at)
    }

    /// Moves the lever on by 1/64 s, to the time `t_s`, and returns it: 0..1 in whole thousandths, but the exact start as long as
    /// nothing has been moved.
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

    /// The setting wanted, towards which the lever moves. It is rounded like the lever.
    pub fn target(&self) -> f64 {
        self.shown(self.target)
    }

    /// Takes in that the terminal reports keys being let go.
    pub fn expect_releases(&mut self) {
        if !self.releases {
            self.releases = true;
            self.held = None;
        }
    }

    fn press(&mut self, t_s: f64, key: Nudge) {
        if self.held.is_some_and(|held| held.nudge == key) {
            return;
        }
        self.let_go(t_s);
        self.aim(self.target + key.step());
        self.held = Some(Held {
            nudge: key,
            since_s: t_s,
            base: self.target,
        });
    }

    /// Handles a release, which also proves that releases are reported: from now on presses are read that way.
    fn release(&mut self, t_s: f64, way: Way) {
        self.expect_releases();
        if self.held.is_some_and(|held| held.nudge.way == way) {
            self.let_go(t_s);
        }
    }

    fn press_or_repeat(&mut self, t_s: f64, key: Nudge) {
        let before = self.target;
        let repeats = self.repeats.take();
        let row = repeats.and_then(|mut row| row.hear(key, t_s, before).then_some(row));
        match row.as_ref().and_then(Repeats::target) {
            Some(target) => self.aim(target),
            None => self.aim(before + key.step()),
        }
        self.repeats = Some(row.unwrap_or_else(|| Repeats::new(key, t_s, self.target)));
    }

    fn set(&mut self, fraction: f64) {
        if !fraction.is_nan() {
            self.held = None;
            self.repeats = None;
            self.aim(fraction);
        }
    }

    fn follow(&mut self, at: f64) {
        let last = self.axis.map_or(at, |axis| axis.at);
        let meets = (at - self.target).abs() <= PICK_UP_WITHIN
            || (last - self.target) * (at - self.target) < 0.0;
        let leads = self.axis.is_some_and(|axis| axis.leads) || meets;
        self.axis = Some(Axis { at, leads });
        if leads {
            self.set(at);
        }
    }

    fn let_go(&mut self, t_s: f64) {
        if self.releases {
            self.run_to(t_s);
        }
        self.held = None;
    }

    fn run_to(&mut self, t_s: f64) {
        if let Some(held) = self.held {
            self.aim(held.base + held.nudge.held(t_s - held.since_s));
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
