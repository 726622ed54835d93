//! Which moves tell of the hand's law.

use super::law::{LONGEST_REACTION_TICKS, LONGEST_VIEW_TICKS};
use super::moves::Move;
use crate::drill::Target;
use crate::run::Run;
use crate::sim::dynamics::State;
use crate::sim::stability;
use crate::sim::trim;
use crate::units::TICK_S;

/// Moves that take longer, s, are left out: where they end is decided on the way.
pub const LONGEST_S: f64 = 0.5;

/// Of more moves than this only every second, third, ... is taken.
pub const MOST: usize = 600;

/// A move, what it was for, and where it ended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Sample {
    /// Index of its leg.
    pub leg: usize,
    /// The tick it began with.
    pub start: usize,
    /// The lever it ended at, 0..1.
    pub setting: f64,
    /// Which way it went: 1 up, -1 down.
    pub way: f64,
    /// The altitude asked for, m; None for a vertical speed.
    pub altitude_m: Option<f64>,
}

/// The moves that tell of the law: those of tasks for an altitude or a vertical speed, made after everything a hand could have
/// looked at belonged to the task, not at an end of the lever's travel, not long. Near enough, too, to the altitude
/// for a hand to steer by it: farther than the 3-degree rate over the phugoid frequency, hands go at a steady rate.
pub(super) fn of(run: &Run, moves: &[Move]) -> Vec<Sample> {
    let aircraft = &run.drill().aircraft;
    let mut samples = Vec::new();
    for (index, leg) in run.legs().iter().enumerate() {
        let end = leg.end.unwrap_or(run.tick());
        let (altitude_m, near_m) = match leg.target {
            Target::Altitude { altitude_m, .. } => {
                let level = trim::on_speed(aircraft, altitude_m, 0.0);
                let swing = stability::swing(aircraft, altitude_m, &level);
                let rate_mps = trim::three_degrees(aircraft, altitude_m).rate_mps;
                (Some(altitude_m), rate_mps / swing.frequency_radps())
            }
            Target::Vertical { .. } => (None, 0.0),
            Target::Path(_) => continue,
        };
        let from = (leg.start as usize + LONGEST_REACTION_TICKS)
            .max(LONGEST_REACTION_TICKS + LONGEST_VIEW_TICKS);
        let is_near = |tick: usize| {
            let off_m = |altitude_m: f64| (run.trace().at(tick).state.h_m - altitude_m).abs();
            altitude_m.is_none_or(|altitude_m| off_m(altitude_m) <= near_m)
        };
        for a in moves {
            let start = a.start as usize;
            let is_long = (a.last - a.start) as f64 * TICK_S > LONGEST_S;
            if (from..end as usize).contains(&start)
                && !is_long
                && (1..1000).contains(&a.to)
                && is_near(start)
                && is_near(start - LONGEST_REACTION_TICKS)
            {
                samples.push(Sample {
                    leg: index,
                    start,
                    setting: f64::from(a.to) / 1000.0,
                    way: if a.to > a.from { 1.0 } else { -1.0 },
                    altitude_m,
                });
            }
        }
    }
    let every = samples.len().div_ceil(MOST).max(1);
    let samples: Vec<Sample> = samples.into_iter().step_by(every).collect();
    // A leg's mean takes one move away: a single one tells nothing.
    let mut kept = Vec::with_capacity(samples.len());
    for leg in samples.chunk_by(|a, b| a.leg == b.leg) {
        if leg.len() > 1 {
            kept.extend_from_slice(leg);
        }
    }
    kept
}

/// The altitude about which the moves were made, m.
pub(super) fn mean_altitude_m(samples: &[Sample], states: &[State]) -> f64 {
    let sum: f64 = samples.iter().map(|sample| states[sample.start].h_m).sum();
    sum / samples.len() as f64
}
