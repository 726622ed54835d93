//! The speed and cost of the screen, measured on the real binary in a pseudo-terminal. Not run by default: a busy machine
//! would measure its own load.

use std::hint::black_box;
use std::sync::Arc;
use std::time::{Duration, Instant};

use leveloff::drill::Drill;
use leveloff::drill::parse::air_word_mps;
use leveloff::run::Run;
use leveloff::sim::air::{AirSpec, Wind};
use leveloff::sim::dynamics::{State, step};
use leveloff::units::TICK_S;

use crate::flying::shipped;
use crate::pty::{flying_on, lever};
use crate::pty_harness::{Answers, LIMIT, Pty, Start};

/// Hold, steps in gusts, a path through a ship's wake.
const DRILLS: [&str; 4] = [
    "quarry-stair",
    "storm-watch",
    "ship-in-the-breeze",
    "behind-the-ship",
];
const SIZE: (u16, u16) = (140, 40);

fn start() -> Start {
    Start::on(SIZE.0, SIZE.1)
        .env("COLORTERM", "truecolor")
        .answers(Answers::White)
}

fn ms(time: Duration) -> f64 {
    1000.0 * time.as_secs_f64()
}

#[test]
#[ignore = "measures the machine"]
fn first_frame() {
    let mut times: Vec<f64> = (0..20)
        .map(|_| {
            let since = Instant::now();
            let pty = start()
                .args(&["fly", "quarry-stair", "--seed", "5"])
                .spawn();
            pty.wait_text("ft/min");
            ms(since.elapsed())
        })
        .collect();
    times.sort_by(f64::total_cmp);
    println!(
        "first frame, from the start of the process: median {:.1} ms, longest {:.1} ms",
        times[10], times[19]
    );
    assert!(times[10] <= 20.0, "to be 20 ms at most");
}

#[test]
#[ignore = "measures the machine"]
fn key_to_screen() {
    let pty = flying_on(start(), "quarry-stair");
    let mut times = Vec::new();
    for turn in 0..400_u32 {
        let before = lever(&pty.screen_text()).expect("the lever is told");
        let sent = Instant::now();
        // Alternate digits: always another setting, never a held key.
        pty.send(if turn % 2 == 0 { "3" } else { "4" });
        pty.wait_for(|text| lever(text).is_some_and(|now| now != before), LIMIT);
        times.push(ms(sent.elapsed()));
        // So that keys fall on any part of a frame, and of the time between frames.
        std::thread::sleep(Duration::from_micros(
            7_000 + u64::from(turn * 7_919 % 32_000),
        ));
    }
    times.sort_by(f64::total_cmp);
    let (median, late) = (times[200], times[396]);
    println!("key to parsed screen: median {median:.2} ms, 99 of 100 within {late:.2} ms");
    assert!(median <= 1.0 && late <= 4.0, "to be 1 ms and 4 ms at most");
}

#[test]
#[ignore = "measures the machine"]
fn bytes_and_work_in_flight() {
    for drill in DRILLS {
        let pty = flying_on(start(), drill);
        // Some seconds of flight, so that there is a trace to move.
        pty.wait_text("0:05");
        let (bytes, work_s, since) = (pty.bytes_seen(), work_s(&pty), Instant::now());
        for turn in 0..20 {
            // A tap as this terminal reports it: a press and a release.
            let key = if turn % 2 == 0 { 'A' } else { 'B' };
            pty.send(format!("\x1b[1;1:1{key}\x1b[1;1:3{key}"));
            std::thread::sleep(Duration::from_millis(500));
        }
        let passed_s = since.elapsed().as_secs_f64();
        let kb_per_s = (pty.bytes_seen() - bytes) as f64 / 1000.0 / passed_s;
        let share = 100.0 * (self::work_s(&pty) - work_s) / passed_s;
        println!("{drill}: {kb_per_s:.1} kB/s, {share:.1} % of a core");
        assert!(
            kb_per_s <= 10.0 && share <= 5.0,
            "to be 10 kB/s and 5 % at most"
        );
    }
}

/// Processor time of the program so far, s: user and system, in ticks of 1/100 s (proc(5), fields 14 and 15).
fn work_s(pty: &Pty) -> f64 {
    let stat = std::fs::read_to_string(format!("/proc/{}/stat", pty.pid())).expect("a process");
    let fields = stat.rsplit_once(')').expect("a name").1.split_whitespace();
    let ticks = fields
        .skip(11)
        .take(2)
        .map(|field| field.parse::<f64>().expect("ticks"));
    ticks.sum::<f64>() / 100.0
}

/// Nanoseconds per call, the best of several tries: disturbances only make it slower.
fn ns_a_call(calls: u32, mut go: impl FnMut()) -> f64 {
    let times = (0..7).map(|_| {
        let since = Instant::now();
        go();
        since.elapsed().as_secs_f64() * 1e9 / f64::from(calls)
    });
    times.fold(f64::INFINITY, f64::min)
}

/// A tick: the equations alone, then the whole run with air, trace, task and digest. The four evaluations of the equations wait
/// for one another, some 290 cycles in any case: that is the bound.
#[test]
#[ignore = "measures the machine"]
fn time_and_memory_of_a_tick() {
    const TICKS: u32 = 20_000;
    const BOUND_CYCLES: f64 = 290.0;
    let drill = shipped("quarry-stair");
    let (state, wind) = {
        let run = Run::new(drill.clone(), 5);
        (*run.world().state(), *run.world().wind())
    };
    // The present length of a cycle, from a chain of integer multiplications, three cycles each on the x86-64 processors of the
    // last ten years.
    const FACTOR: u64 = 0x9e37_79b9_7f4a_7c15;
    let cycle_ns = ns_a_call(1_000_000, || {
        let product =
            (0..1_000_000).fold(black_box(3_u64), |x, _| x.wrapping_mul(black_box(FACTOR)));
        black_box(product);
    }) / 3.0;
    let bound_ns = BOUND_CYCLES * cycle_ns;
    let alone = ns_a_call(TICKS, || {
        let mut state = state;
        for _ in 0..TICKS {
            state = step(&drill.aircraft, black_box(&state), 0.4, &wind, TICK_S);
        }
        black_box(state);
    });
    println!(
        "bound {bound_ns:.0} ns; the equations {alone:.0} ns, {:.1} of it",
        alone / bound_ns
    );
    for air in ["still", "lively"] {
        let air = AirSpec {
            u20_mps: air_word_mps(air).unwrap(),
            ..drill.air.clone()
        };
        let drill = Arc::new(Drill {
            air,
            ..(*drill).clone()
        });
        let begun = Run::new(drill.clone(), 5);
        let ticks = begun.drill().last_tick().min(u64::from(TICKS)) as u32 / 2;
        let mut flown = begun.fork();
        let whole = ns_a_call(ticks, || {
            flown = begun.fork();
            for _ in 0..ticks {
                flown.fly();
            }
        });
        assert_eq!(flown.tick(), u64::from(ticks), "flown to the end");
        let of_air = if begun.world().air().is_still() {
            0
        } else {
            size_of::<Wind>()
        };
        let bytes = size_of::<State>() + of_air;
        println!(
            "gusts {:.1} m/s: {whole:.0} ns a tick in all, {:.1} of the bound; {bytes} bytes of trace",
            drill.air.u20_mps,
            whole / bound_ns
        );
    }
}
