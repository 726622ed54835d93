//! Rows that cannot all be true of one aeroplane.

use super::Refusal;
use super::estimate::{Estimate, LEVEL_DEVIATIONS, Problem, with};
use super::least_squares::{differences, dot};
use super::model::{Numbers, Reading, Uncertainty, read};
use super::report::short;
use super::rows::SteadyRow;
use crate::sim::math::sqrt;
use crate::units::{FPM, FT, KT};

/// Masses within this share of each other count as the same weight.
const SAME_MASS: f64 = 0.005;
/// Altitudes within this of each other count as the same air, m; the small difference is allowed for.
const SAME_HEIGHT_M: f64 = 1000.0 * FT;
/// Allowance for that difference in air, as a share of the speed on speed.
const SAME_SPEED: f64 = 0.02;
/// Allowance for a different path, as a share of the speed per difference of the sines: half the
/// tangent of an angle of attack of 11 degrees.
const BY_PATH: f64 = 0.1;
/// Allowance for that difference in air, fraction of lever travel.
const SAME_LEVER: f64 = 0.02;
/// How many times the half-width of the others' interval a row may differ from what
/// they predict, beyond what rounding can explain.
const PATIENCE: f64 = 2.0;

/// Checks what two rows show on their own, without any aeroplane: more power that sinks faster, one weight at two speeds.
pub fn of_pairs(rows: &[SteadyRow], numbers: &[usize], reading: &Reading) -> Result<(), Refusal> {
    for (j, b) in rows.iter().enumerate() {
        for (i, a) in rows[..j].iter().enumerate() {
            let is_same_air = (a.h_m - b.h_m).abs() <= SAME_HEIGHT_M;
            if !is_same_air || (a.mass_kg / b.mass_kg - 1.0).abs() > SAME_MASS {
                continue;
            }
            let contradict = |what: String| {
                let (one, other) = (numbers[i] + 1, numbers[j] + 1);
                let message = format!("row {one} and row {other} contradict each other: {what}");
                Err(Refusal::at(j, message))
            };
            if let Some(what) = backwards(a, b, reading) {
                return contradict(format!("at the same weight {what}; one of them is misread"));
            }
            let apart_mps = (a.speed_mps - b.speed_mps).abs();
            let paths = a.vertical_mps / a.speed_mps - b.vertical_mps / b.speed_mps;
            let share = SAME_SPEED + BY_PATH * paths.abs();
            if apart_mps > reading.speed_mps + share * a.speed_mps {
                return contradict(format!(
                    "on speed the same weight flies at the same speed, but they have {:.0} and {:.0} kt; leave out what was not flown on speed",
                    a.speed_mps / KT,
                    b.speed_mps / KT
                ));
            }
        }
    }
    Ok(())
}

/// What is the wrong way round in two rows of the same weight and air; None where nothing is.
fn backwards(a: &SteadyRow, b: &SteadyRow, reading: &Reading) -> Option<String> {
    let (less, more) = if a.lever <= b.lever { (a, b) } else { (b, a) };
    // The part of the lever that reading and air may account for. With a thrust equal to the aeroplane's weight, a share of
    // the lever is worth the same share of the speed.
    let unsure = (reading.lever + SAME_LEVER - (more.lever - less.lever)).max(0.0);
    let allowed_mps = reading.vertical_mps + unsure * less.speed_mps;
    let (low, high) = match less.vertical_mps < more.vertical_mps {
        // More lever with more climb is as it should be, unless the levers are all but the same.
        true if more.lever - less.lever > reading.lever => return None,
        true => (less, more),
        false => (more, less),
    };
    if high.vertical_mps - low.vertical_mps <= allowed_mps {
        return None;
    }
    Some(format!(
        "{} at {} % of lever and {} at {} %",
        way(low),
        short(100.0 * low.lever),
        way(high),
        short(100.0 * high.lever)
    ))
}

fn way(row: &SteadyRow) -> String {
    let fpm = row.vertical_mps / FPM;
    match fpm {
        0.0 => "level flight".to_string(),
        _ if fpm < 0.0 => format!("{:.0} ft/min of sink", -fpm),
        _ => format!("{fpm:.0} ft/min of climb"),
    }
}

/// How a row differs from what the others predict for it, as a share of what reading and their own uncertainty can explain.
struct Odd {
    row: usize,
    lever: f64,
    speed_mps: f64,
    lever_share: f64,
    speed_share: f64,
    /// The sum of squares that the others leave among themselves.
    left: f64,
}

/// Leaves out each row in turn and predicts it from the others.
pub fn of_all(task: &Problem, estimate: &Estimate, numbers: &[usize]) -> Result<(), Refusal> {
    let unsure = task.uncertainties(&estimate.numbers);
    let odd: Vec<Odd> = (0..task.rows.len())
        .filter_map(|row| left_out(task, estimate, &unsure, row))
        .collect();
    let worst: Vec<&Odd> = odd
        .iter()
        .filter(|odd| odd.lever_share.max(odd.speed_share) > 1.0)
        .collect();
    // One bad row makes others look bad too: the culprit is the one whose removal leaves the least.
    let Some(culprit) = worst.iter().min_by(|a, b| a.left.total_cmp(&b.left)) else {
        return Ok(());
    };
    let row = &task.rows[culprit.row];
    let said = match culprit.speed_share > culprit.lever_share {
        true => format!(
            "{} kt where the others say {}",
            short(row.speed_mps / KT),
            short(culprit.speed_mps / KT)
        ),
        false => format!(
            "{} % of lever where the others say {}",
            short(100.0 * row.lever),
            short(100.0 * culprit.lever)
        ),
    };
    let others: Vec<String> = worst
        .iter()
        .filter(|odd| odd.row != culprit.row && odd.left < 2.0 * culprit.left)
        .map(|odd| format!("row {}", numbers[odd.row] + 1))
        .collect();
    let or = match others.is_empty() {
        true => String::new(),
        false => format!(", or {} is wrong instead", others.join(" or ")),
    };
    let message = format!(
        "row {} contradicts the others: {said}, more than errors of reading explain{or}; read it again or leave it out",
        numbers[culprit.row] + 1
    );
    Err(Refusal::at(culprit.row, message))
}

fn left_out(
    task: &Problem,
    estimate: &Estimate,
    unsure: &[Uncertainty],
    row: usize,
) -> Option<Odd> {
    // Every number that rows could determine is free: what the others do not determine adds to their uncertainty.
    let free = &task.frame.tried();
    let others: Vec<SteadyRow> = without(task.rows, row);
    let weights: Vec<Uncertainty> = without(unsure, row);
    let rest = Problem {
        rows: &others,
        start: task.start,
        ..*task
    };
    let solution = rest.fit_weighed(free, estimate.numbers, &weights)?;
    let numbers: Numbers = with(estimate.numbers, free, &solution.values);
    let one = &task.rows[row];
    let of = |values: &[f64]| {
        let (lever, speed_mps) = read(&task.frame.aircraft(&with(numbers, free, values)), one);
        vec![lever, speed_mps]
    };
    let (said, slopes) = (of(&solution.values), differences(of, &solution.values));
    let doubt = |which: usize| {
        let slopes: Vec<f64> = slopes.iter().map(|column| column[which]).collect();
        let along: Vec<f64> = solution
            .covariance
            .iter()
            .map(|line| dot(line, &slopes))
            .collect();
        PATIENCE * LEVEL_DEVIATIONS * sqrt(dot(&along, &slopes).max(0.0))
    };
    let lever_share = (said[0] - one.lever).abs() / (unsure[row].lever_most + doubt(0));
    let speed_share = (said[1] - one.speed_mps).abs() / (unsure[row].speed_most + doubt(1));
    Some(Odd {
        row,
        lever: said[0],
        speed_mps: said[1],
        lever_share,
        speed_share,
        left: solution.sum(),
    })
}

fn without<T: Copy>(all: &[T], place: usize) -> Vec<T> {
    let kept = all.iter().enumerate().filter(|(i, _)| *i != place);
    kept.map(|(_, one)| *one).collect()
}
