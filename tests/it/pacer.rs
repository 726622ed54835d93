//! Wall time in, ticks due out.

use std::time::Duration;

use leveloff::tui::pacer::{Pacer, TICK_NS};

fn ms(ms: u64) -> Duration {
    Duration::from_millis(ms)
}

#[test]
fn an_hour_of_uneven_frames_is_exactly_64_ticks_a_second() {
    let mut pacer = Pacer::new(ms(7));
    let (mut now_ns, mut ticks, mut step_ns) = (7_000_000_u64, 0_u64, 1_u64);
    let end_ns = now_ns + 3_600 * 1_000_000_000;
    while now_ns < end_ns {
        // Any spread of frame lengths below the clamp, 1 ns to 40 ms.
        step_ns = (step_ns * 48_271) % 2_147_483_647;
        now_ns = (now_ns + 1 + step_ns % 40_000_000).min(end_ns);
        ticks += u64::from(pacer.due(Duration::from_nanos(now_ns)));
    }
    assert_eq!(ticks, 3_600 * 64);
    // No nanosecond is left over.
    assert_eq!(pacer.due(Duration::from_nanos(end_ns + TICK_NS - 1)), 0);
    assert_eq!(pacer.due(Duration::from_nanos(end_ns + TICK_NS)), 1);
    assert_eq!(pacer.stalls(), 0);
}

#[test]
fn a_tick_is_due_at_its_nanosecond_and_not_before() {
    let mut pacer = Pacer::new(Duration::ZERO);
    assert_eq!(pacer.due(Duration::from_nanos(TICK_NS - 1)), 0);
    assert_eq!(pacer.due(Duration::from_nanos(TICK_NS)), 1);
    assert_eq!(pacer.due(Duration::from_nanos(2 * TICK_NS - 1)), 0);
}

#[test]
fn a_quarter_second_passes_whole_and_more_is_cut_and_counted() {
    let mut pacer = Pacer::new(Duration::ZERO);
    assert_eq!(pacer.due(ms(250)), 16);
    assert_eq!(pacer.stalls(), 0);
    assert_eq!(pacer.due(ms(250 + 251)), 16);
    assert_eq!(pacer.stalls(), 1);
    assert_eq!(pacer.due(Duration::from_secs(3600)), 16);
    assert_eq!(pacer.stalls(), 2);
    // Time runs on from there, without catching up.
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
    let half = Duration::from_nanos(TICK_NS / 2);
    assert_eq!(pacer.due(ms(80_000) + half - Duration::from_nanos(1)), 0);
    assert_eq!(pacer.due(ms(80_000) + half), 1);
    assert_eq!(pacer.stalls(), 0);
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
    assert_eq!(pacer.stalls(), 0);
}

#[test]
fn time_running_backwards_is_no_time() {
    let mut pacer = Pacer::new(ms(100));
    assert_eq!(pacer.due(ms(50)), 0);
    assert_eq!(pacer.due(ms(100)), 0);
    assert_eq!(pacer.due(ms(125)), 1);
    assert_eq!(pacer.stalls(), 0);
}
