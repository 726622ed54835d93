//! Wall time in, ticks due out.
//!
//! Whole nanoseconds throughout (a tick is exactly 15 625 000 ns), so that nothing drifts even in ten hours of flying. The pacer
//! reads no clock: every call is given `now`, the time since any fixed moment.

use std::time::Duration;

/// Nanoseconds of one tick, 1/64 s.
pub const TICK_NS: u64 = 15_625_000;

/// The longest gap between two calls that counts in full. A longer one was not flown (a stopped process, a laptop lid, a terminal
/// that took no output): only this much of it counts.
pub const LONGEST_GAP: Duration = Duration::from_millis(250);

/// Turns time into ticks due.
#[derive(Debug, Clone)]
pub struct Pacer {
    last: Duration,
    carry_ns: u64,
    paused: bool,
    speed: u32,
    stalls: u32,
}

impl Pacer {
    /// Running from `now` on; the first tick is due one tick later.
    pub fn new(now: Duration) -> Self {
        Self {
            last: now,
            carry_ns: 0,
            paused: false,
            speed: 1,
            stalls: 0,
        }
    }

    /// Lets time run `speed` times as fast from now on.
    pub fn set_speed(&mut self, speed: u32, now: Duration) {
        self.settle(now);
        self.speed = speed.max(1);
    }

    /// How many times as fast as real time it runs.
    pub fn speed(&self) -> u32 {
        self.speed
    }

    /// The ticks that became due since the last call, each to be flown by the caller: at most 16 at real time.
    /// None while paused, and none when `now` lies before an earlier `now`.
    pub fn due(&mut self, now: Duration) -> u32 {
        self.settle(now);
        let ticks = self.carry_ns / TICK_NS;
        self.carry_ns %= TICK_NS;
        u32::try_from(ticks).unwrap_or(u32::MAX)
    }

    /// Stops time; the part of a tick that has passed is kept.
    pub fn pause(&mut self, now: Duration) {
        self.settle(now);
        self.paused = true;
    }

    /// Lets time run again from `now` on. The pause is no stall.
    pub fn resume(&mut self, now: Duration) {
        if self.paused {
            self.last = self.last.max(now);
            self.paused = false;
        }
    }

    /// How many gaps so far were cut to [`LONGEST_GAP`]. A run with any was not flown in real time and says so.
    pub fn stalls(&self) -> u32 {
        self.stalls
    }

    /// Moves the time from the last call to `now` into the carry.
    fn settle(&mut self, now: Duration) {
        let gap = now.saturating_sub(self.last);
        self.last = self.last.max(now);
        if self.paused {
            return;
        }
        let counted = gap.min(LONGEST_GAP);
        if gap > counted {
            self.stalls = self.stalls.saturating_add(1);
        }
        self.carry_ns += counted.as_nanos() as u64 * u64::from(self.speed);
    }
}
