//! Rows that contradict each other, and rows without information.

use leveloff::fit::rows::SteadyRow;
use leveloff::fit::{Drive, Refusal, fit};
use leveloff::units::{FPM, KT};

use super::made_up::{anywhere, given};
use crate::flying;

fn refused(rows: &[SteadyRow], name: &str) -> Refusal {
    let given = given(Some(Drive::of(&flying::aircraft(name))));
    fit(rows, &given)
        .err()
        .unwrap_or_else(|| panic!("{name}: not refused"))
}

#[test]
fn a_misread_row_is_named() {
    for name in flying::NAMES {
        let truth = flying::aircraft(name);
        let good = anywhere(&truth, 11);
        for wrong in 0..good.len() {
            // A speed five knots off; a lever off by three times the sum of two steps of reading and the effect of 50 ft/min.
            let by_lever = if name == "prop trainer" { 0.18 } else { 0.08 };
            let misreadings: [&dyn Fn(&mut SteadyRow); 3] = [
                &|row| row.speed_mps += 5.0 * KT,
                &|row| row.lever = (row.lever + by_lever).min(1.0),
                &|row| row.lever = (row.lever - by_lever).max(0.0),
            ];
            for (which, misread) in misreadings.iter().enumerate() {
                let mut rows = good.clone();
                misread(&mut rows[wrong]);
                if which > 0 && (rows[wrong].lever - good[wrong].lever).abs() < by_lever - 1e-9 {
                    continue;
                }
                let refusal = refused(&rows, name);
                let number = format!("row {}", wrong + 1);
                assert!(
                    refusal.message.contains(&number),
                    "{name} {number} {which}: {}",
                    refusal.message
                );
                assert!(
                    refusal.message.contains("contradict"),
                    "{}",
                    refusal.message
                );
            }
        }
    }
}

#[test]
fn sink_and_climb_by_one_lever_are_both_named() {
    let mut rows = anywhere(&flying::aircraft("deck jet"), 3);
    let level = rows[1];
    rows.truncate(1);
    rows.push(SteadyRow {
        vertical_mps: -500.0 * FPM,
        ..level
    });
    rows.push(SteadyRow {
        vertical_mps: 400.0 * FPM,
        ..level
    });
    let refusal = refused(&rows, "deck jet");
    assert_eq!(refusal.row, Some(2));
    assert!(
        refusal
            .message
            .starts_with("row 2 and row 3 contradict each other"),
        "{}",
        refusal.message
    );
    for word in ["500 ft/min of sink", "400 ft/min of climb"] {
        assert!(refusal.message.contains(word), "{}", refusal.message);
    }
}

#[test]
fn one_weight_at_two_speeds_is_refused() {
    let mut rows = anywhere(&flying::aircraft("deck jet"), 3);
    rows[2].speed_mps += 15.0 * KT;
    let refusal = refused(&rows, "deck jet");
    assert!(
        refusal.message.contains("not flown on speed"),
        "{}",
        refusal.message
    );
}

#[test]
fn rows_that_tell_nothing_are_refused() {
    let good = anywhere(&flying::aircraft("deck jet"), 3);
    assert!(
        refused(&good[..2], "deck jet")
            .message
            .starts_with("different rows: 2;")
    );
    // One row read ten times counts as one row.
    let one = vec![good[0]; 10];
    assert!(
        refused(&one, "deck jet")
            .message
            .starts_with("different rows: 1;")
    );
    let near: Vec<SteadyRow> = (0..5)
        .map(|i| SteadyRow {
            vertical_mps: f64::from(i % 2) * 50.0 * FPM,
            lever: good[2].lever + f64::from(i) * 0.001,
            ..good[2]
        })
        .collect();
    let refusal = refused(&near, "deck jet");
    assert!(
        refusal.message.contains("too much alike"),
        "{}",
        refusal.message
    );
}

#[test]
fn what_is_given_must_go_with_the_rows() {
    let truth = flying::aircraft("deck jet");
    let mut given = given(None);
    given.stall_mps = Some(128.0 * KT);
    let refusal = fit(&anywhere(&truth, 3), &given).err().unwrap();
    assert!(
        refusal
            .message
            .starts_with("a stall at 128 kt does not fit these rows"),
        "{}",
        refusal.message
    );
}
