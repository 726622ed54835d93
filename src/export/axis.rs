//! Numbers along an axis.

pub use crate::sim::math::range;
use crate::why::Bill;

/// The least loss that fills the picture of a bill, points: smaller losses take only their share of it.
pub const FULL: f64 = 25.0;

/// The points that a task has lost up to a tick, interpolated linearly between the sampled ticks.
pub fn lost(bill: &Bill, tick: u64) -> f64 {
    let first = bill.reach.first().map_or(0.0, |reach| reach.points);
    let after = bill.reach.partition_point(|reach| reach.tick <= tick);
    let now = match (bill.reach[..after].last(), bill.reach.get(after)) {
        (Some(a), Some(b)) => {
            let share = (tick - a.tick) as f64 / (b.tick - a.tick) as f64;
            a.points + share * (b.points - a.points)
        }
        (Some(a), None) => a.points,
        _ => first,
    };
    first - now
}

/// The smallest of 0.01, 0.02, 0.05, 0.1, 0.2, ... that is not below `least`.
pub fn round_step(least: f64) -> f64 {
    let mut decade = 0.01;
    loop {
        for step in [1.0, 2.0, 5.0] {
            if step * decade >= least {
                return step * decade;
            }
        }
        decade *= 10.0;
    }
}

/// The step of a time axis that is not below `least`, s.
pub fn time_step(least: f64) -> f64 {
    const STEPS: [f64; 12] = [
        1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1200.0, 3600.0,
    ];
    let step = STEPS.into_iter().find(|step| *step >= least);
    step.unwrap_or(7200.0)
}

/// The multiples of a step from one value to another.
pub fn multiples(step: f64, low: f64, high: f64) -> impl Iterator<Item = f64> {
    let last = (high / step).floor() as i64;
    ((low / step).ceil() as i64..=last).map(move |n| n as f64 * step)
}
