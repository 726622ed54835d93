//! Wall time in, ticks due out.
//!
//! Whole nanoseconds throughout (a tick is exactly 15 625 000 ns), so ten hours of flying drift by nothing. The pacer reads no
//! clock: every call is given `now`, the time since any fixed moment.

use std::time::Duration;

/// Nanoseconds of one tick, 1/64 s.
pub const TICK_NS: u64 = 15_625_000;

/// The longest gap between two calls that is taken at its word. What is longer was not flown (a stopped process, a laptop
/// lid, a terminal that took no output): only this much of it counts.
pub const LONGEST_GAP: Duration = Duration::from_millis(250);

/// What was cut off so far by [`LONGEST_GAP`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Stalled {
    /// How many gaps were too long.
    pub times: u32,
    /// How much real time was dropped in them.
    pub lost: Duration,
}

/// Turns time into ticks due.
#[derive(Debug, Clone)]
pub struct Pacer {
    last: Duration,
    carry_ns: u64,
    paused: bool,
    speed: u32,
    stalled: Stalled,
}

impl Pacer {
    /// Running from `now` on; the first tick is due one tick later.
    pub fn new(now: Duration) -> Self {
        Self {
            last: now,
            carry_ns: 0,
            paused: false,
            speed: 1,
            stalled: Stalled::default(),
        }
    }

    /// From now on time runs so many times as fast.
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

    /// Stops time; what had begun of the tick under way is kept.
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

    /// What was cut off so far. A run with any of it was not flown in real time and says so.
    pub fn stalled(&self) -> Stalled {
        self.stalled
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
            self.stalled.times = self.stalled.times.saturating_add(1);
            self.stalled.lost = self.stalled.lost.saturating_add(gap - counted);
        }
        self.carry_ns += u64::from(counted.subsec_nanos()) * u64::from(self.speed);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    impl Pacer {
        /// How much of the tick under way has passed, 0 up to 1.
        fn part(&self) -> f64 {
            self.carry_ns as f64 / TICK_NS as f64
        }
    }

    fn ms(ms: u64) -> Duration {
        Duration::from_millis(ms)
    }

    #[test]
    fn an_hour_of_uneven_frames_is_exactly_64_ticks_a_second() {
        let mut pacer = Pacer::new(ms(7));
        let (mut now_ns, mut ticks, mut step_ns) = (7_000_000_u64, 0_u64, 1_u64);
        let end_ns = now_ns + 3_600 * 1_000_000_000;
        while now_ns < end_ns {
            // Any spread of frame lengths below the clamp will do: 1 ns to 40 ms.
            step_ns = (step_ns * 48_271) % 2_147_483_647;
            now_ns = (now_ns + 1 + step_ns % 40_000_000).min(end_ns);
            ticks += u64::from(pacer.due(Duration::from_nanos(now_ns)));
        }
        assert_eq!(ticks, 3_600 * 64);
        assert_eq!(pacer.part(), 0.0);
        assert_eq!(pacer.stalled(), Stalled::default());
    }

    #[test]
    fn a_tick_is_due_at_its_nanosecond_and_not_before() {
        let mut pacer = Pacer::new(Duration::ZERO);
        assert_eq!(pacer.due(Duration::from_nanos(TICK_NS - 1)), 0);
        assert!(pacer.part() > 0.999);
        assert_eq!(pacer.due(Duration::from_nanos(TICK_NS)), 1);
        assert_eq!(pacer.due(Duration::from_nanos(2 * TICK_NS - 1)), 0);
    }

    #[test]
    fn a_quarter_second_passes_whole_and_more_is_cut_and_counted() {
        let mut pacer = Pacer::new(Duration::ZERO);
        assert_eq!(pacer.due(ms(250)), 16);
        assert_eq!(pacer.stalled(), Stalled::default());
        assert_eq!(pacer.due(ms(250 + 251)), 16);
        assert_eq!(
            pacer.stalled(),
            Stalled {
                times: 1,
                lost: ms(1)
            }
        );
        assert_eq!(pacer.due(Duration::from_secs(3600)), 16);
        assert_eq!(pacer.stalled().times, 2);
        // Time runs on from there, not in a chase after what was lost.
        assert_eq!(pacer.due(Duration::from_secs(3600) + ms(125)), 8);
    }

    #[test]
    fn a_pause_adds_no_ticks_no_stall_and_keeps_the_part() {
        let mut pacer = Pacer::new(Duration::ZERO);
        pacer.pause(Duration::from_nanos(TICK_NS * 3 / 2));
        assert_eq!(
            pacer.due(ms(60_000)),
            1,
            "the tick due before the pause is still handed out"
        );
        assert_eq!(pacer.due(ms(70_000)), 0);
        pacer.resume(ms(80_000));
        pacer.resume(ms(90_000));
        assert_eq!(pacer.part(), 0.5);
        assert_eq!(pacer.due(ms(80_000) + Duration::from_nanos(TICK_NS / 2)), 1);
        assert_eq!(pacer.stalled(), Stalled::default());
    }

    #[test]
    fn a_faster_time_counts_from_when_it_was_set() {
        let mut pacer = Pacer::new(Duration::ZERO);
        pacer.set_speed(16, Duration::from_nanos(TICK_NS));
        assert_eq!(
            pacer.due(Duration::from_nanos(TICK_NS)),
            1,
            "before it was set"
        );
        assert_eq!(pacer.due(Duration::from_nanos(2 * TICK_NS)), 16);
        pacer.due(Duration::from_nanos(2 * TICK_NS + 333));
        let at = Duration::from_nanos(3 * TICK_NS);
        pacer.set_speed(1, at);
        assert_eq!(pacer.due(at), 16);
        assert_eq!(pacer.due(at + Duration::from_secs(1) / 4), 16);
        assert_eq!(pacer.stalled(), Stalled::default());
    }

    #[test]
    fn time_running_backwards_is_no_time() {
        let mut pacer = Pacer::new(ms(100));
        assert_eq!(pacer.due(ms(50)), 0);
        assert_eq!(pacer.due(ms(100)), 0);
        assert_eq!(pacer.due(ms(125)), 1);
        assert_eq!(pacer.stalled(), Stalled::default());
    }
}
