//! The records of a device, and the lever that results.

use std::path::PathBuf;

use leveloff::tui::axis::{AxisReport, Calibration, reports};

/// Types of records (Linux kernel, `Documentation/input/joydev/joystick-api.rst`).
const AXIS: u8 = 0x02;
const FIRST: u8 = 0x80;

fn record(kind: u8, number: u8, value: i16) -> [u8; 8] {
    let [low, high] = value.to_ne_bytes();
    [1, 2, 3, 4, low, high, kind, number]
}

fn calibration(off: i16, full: i16) -> Calibration {
    Calibration {
        device: PathBuf::from("js0"),
        axis: 2,
        off,
        full,
        dead: 0.5,
    }
}

#[test]
fn axes_are_told_from_buttons_and_half_a_record_is_none() {
    let mut log = Vec::new();
    log.extend(record(FIRST | AXIS, 2, -32_767));
    log.extend(record(0x01, 0, 1));
    log.extend(record(AXIS, 2, 300));
    log.extend(&record(AXIS, 2, 400)[..5]);
    let read: Vec<_> = reports(log.as_slice()).map(Result::unwrap).collect();
    let of = |value| AxisReport { axis: 2, value };
    assert_eq!(read, [of(-32_767), of(300)]);
}

#[test]
fn ends_are_reached_and_a_reversed_axis_is_the_mirror_image() {
    let (plain, reversed) = (calibration(-30_000, 30_000), calibration(30_000, -30_000));
    for (value, lever) in [(-32_767, 0.0), (-29_000, 0.0), (0, 0.5), (29_000, 1.0)] {
        assert_eq!(plain.lever(value), lever, "{value}");
        assert_eq!(reversed.lever(-value), lever, "{value}");
    }
    assert!((plain.lever(14_400) - 0.75).abs() < 1e-12);
}

#[test]
fn what_cannot_be_flown_with_is_told() {
    assert_eq!(calibration(-30_000, 30_000).fault(), None);
    assert!(calibration(0, 999).fault().is_some());
    let dead = |dead| Calibration {
        dead,
        ..calibration(0, 9999)
    };
    assert!(dead(f64::NAN).fault().is_some() && dead(21.0).fault().is_some());
}

#[test]
fn trembling_is_no_move_and_the_last_bit_to_an_end_is() {
    let folder = std::env::temp_dir().join(format!("leveloff-axis-{}", std::process::id()));
    let mut log = Vec::new();
    for value in [0, 100, -100, 2_000, 28_700, 28_800, 28_900] {
        log.extend(record(AXIS, 2, value));
        log.extend(record(AXIS, 0, -value));
    }
    std::fs::write(&folder, log).unwrap();
    let axis = Calibration {
        device: folder.clone(),
        ..calibration(-30_000, 30_000)
    };
    let mut moves = Vec::new();
    axis.follow(|at| {
        moves.push((1000.0 * at).round());
        true
    })
    .unwrap();
    std::fs::remove_file(folder).unwrap();
    assert_eq!(moves, [500.0, 535.0, 998.0, 1000.0]);
}
