//! Cutting the curve of what was in reach into lines.

use super::Reach;
use crate::units::TICKS_PER_S;

/// Fewer points are not worth a line.
pub const LEAST_POINTS: f64 = 2.0;
/// More lines nobody reads.
pub const MOST_LINES: usize = 4;
/// The lines told hold so much of what was lost, where they can.
const SHARE: f64 = 0.95;
/// Losses belong together over pauses up to this, ticks. Where more lines would be needed than are told, over pauses twice as
/// long, and again.
const PAUSE: u64 = 3 * TICKS_PER_S / 2;

/// A stretch in which points went.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// What was in reach at its beginning.
    pub from: Reach,
    /// And at its end.
    pub to: Reach,
}

impl Stretch {
    /// What it cost, points.
    pub fn points(&self) -> f64 {
        self.from.points - self.to.points
    }
}

/// The lines of a curve that are worth telling, in the order of time.
pub fn cut(reach: &[Reach]) -> Vec<Stretch> {
    let ends = reach.first().zip(reach.last());
    let lost = ends.map_or(0.0, |(first, last)| first.points - last.points);
    let mut pause = PAUSE;
    loop {
        let told = told(joined(reach, pause));
        let held: f64 = told.iter().map(Stretch::points).sum();
        if held >= SHARE * lost || lost - held < LEAST_POINTS {
            return told;
        }
        pause *= 2;
    }
}

/// The losses of a curve, those at most a pause apart as one.
fn joined(reach: &[Reach], pause: u64) -> Vec<Stretch> {
    let mut found: Vec<Stretch> = Vec::new();
    for pair in reach.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        if from.points <= to.points {
            continue;
        }
        match found.last_mut() {
            Some(last) if from.tick <= last.to.tick + pause => last.to = to,
            _ => found.push(Stretch { from, to }),
        }
    }
    found
}

/// The largest of them, in the order of time.
fn told(mut stretches: Vec<Stretch>) -> Vec<Stretch> {
    stretches.sort_by(|a, b| b.points().total_cmp(&a.points()));
    stretches.truncate(MOST_LINES);
    stretches.retain(|stretch| stretch.points() >= LEAST_POINTS);
    stretches.sort_by_key(|stretch| stretch.from.tick);
    stretches
}
