//! A lever schedule: moves to set levels, some after a time, one when the height to go has come down to a value.

use crate::hands::{Hand, Sight};
use crate::plan::Seen;
use crate::plan::price::Levers;
use crate::units::TICKS_PER_S;

/// Thousandths of travel per tick: 0.384/s, under the 0.4/s that a built-in hand may move.
const PER_TICK: f64 = 6.0;
/// The least lever that `best` sets, thousandths.
pub(super) const LEAST: u16 = 100;

/// A lever setting, and how long it is held before the next one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Held {
    /// Thousandths of travel.
    pub level: i32,
    /// Ticks from here to the next one; the last of a list is held for good.
    pub ticks: u64,
}

impl Held {
    /// A lever (0..1, clipped to what `best` may set) for a time in s.
    pub fn new(lever: f64, seconds: f64) -> Held {
        Held::from(LEAST, lever, seconds)
    }

    /// The same with another least lever, thousandths.
    pub fn from(least: u16, lever: f64, seconds: f64) -> Held {
        Held {
            level: ((1000.0 * lever).round() as i32).clamp(i32::from(least), 1000),
            ticks: (seconds.abs().min(1e4) * TICKS_PER_S as f64).round() as u64,
        }
    }
}

/// The moves of a leg.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Moves {
    /// From the leg's first tick on.
    pub first: Vec<Held>,
    /// Height to go, m, or airspeed to lose, m/s, at which `then` begins, even if part of `first` is still to come.
    pub to_go_m: f64,
    /// The settings from then on.
    pub then: Vec<Held>,
}

/// The progress of moves.
#[derive(Clone, Debug)]
pub(super) struct Mover<'a> {
    moves: &'a Moves,
    then: bool,
    index: usize,
    left: u64,
    wanted: i32,
    /// Thousandths; the start value may lie between two.
    lever: f64,
}

impl<'a> Mover<'a> {
    /// From the lever (0..1) at the leg's start.
    pub fn new(moves: &'a Moves, lever: f64) -> Mover<'a> {
        let mut mover = Mover {
            moves,
            then: false,
            index: 0,
            left: 0,
            wanted: 0,
            lever: 1000.0 * lever,
        };
        mover.set(0);
        mover
    }

    fn settings(&self) -> &'a [Held] {
        match self.then {
            true => &self.moves.then,
            false => &self.moves.first,
        }
    }

    fn set(&mut self, index: usize) {
        self.index = index;
        let settings = self.settings();
        self.wanted = settings[index].level;
        self.left = match index + 1 < settings.len() {
            true => settings[index].ticks,
            false => u64::MAX,
        };
    }

    /// The lever for the coming tick, thousandths, with the height to go in m.
    pub fn next(&mut self, to_go_m: f64) -> f64 {
        if !self.then && to_go_m <= self.moves.to_go_m {
            self.then = true;
            self.set(0);
        }
        while self.left == 0 {
            self.set(self.index + 1);
        }
        if self.left != u64::MAX {
            self.left -= 1;
        }
        self.lever = towards(self.lever, f64::from(self.wanted));
        self.lever
    }
}

impl Levers for Mover<'_> {
    fn next(&mut self, seen: &Seen) -> f64 {
        Mover::next(self, seen.to_go)
    }

    fn rests(&mut self, seen: &Seen, later: &Seen) -> bool {
        let ticks = later.ticks - seen.ticks;
        let waits = self.then || seen.to_go.min(later.to_go) > self.moves.to_go_m;
        let rests = waits && self.left >= ticks && self.lever == f64::from(self.wanted);
        if rests && self.left != u64::MAX {
            self.left -= ticks;
        }
        rests
    }
}

/// The lever a tick later on the way to a wanted one, thousandths: a whole number, unless it is not moved.
pub(super) fn towards(held: f64, wanted: f64) -> f64 {
    /// A lever of 0.365 is not quite 365 thousandths in binary.
    const HAIR: f64 = 1e-6;
    let missing = wanted - held;
    if missing.abs() <= HAIR {
        held
    } else if missing > 0.0 {
        (held + missing.min(PER_TICK) + HAIR).floor()
    } else {
        (held + missing.max(-PER_TICK) - HAIR).ceil()
    }
}

/// Moves flown in the real world.
pub(super) struct Flier<'a> {
    mover: Mover<'a>,
    way: f64,
}

impl<'a> Flier<'a> {
    /// From the lever (0..1) at the leg's start; `way` is + up.
    pub fn new(moves: &'a Moves, lever: f64, way: f64) -> Flier<'a> {
        let mover = Mover::new(moves, lever);
        Flier { mover, way }
    }
}

impl Hand for Flier<'_> {
    fn lever(&mut self, sight: &Sight) -> Option<u16> {
        let before = self.mover.lever;
        let lever = self.mover.next(self.way * sight.missing());
        (lever != before).then_some(lever as u16)
    }
}
