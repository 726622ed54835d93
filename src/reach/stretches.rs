//! Cuts the curve of the points in reach into lines.

use super::Reach;
use crate::units::TICKS_PER_S;

/// Fewest points worth a line.
pub const LEAST_POINTS: f64 = 2.0;
/// Most lines that are shown: more would not be read.
pub const MOST_LINES: usize = 4;
/// Together the lines shown cover at least this share of the loss, where possible.
const SHARE: f64 = 0.95;
/// Losses with a pause of at most this between them belong together, ticks. Where more lines than are shown would be needed,
/// the pause is doubled, and again.
const PAUSE: u64 = 3 * TICKS_PER_S / 2;

/// A stretch in which points were lost.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// The points in reach at its beginning.
    pub from: Reach,
    /// The points in reach at its end.
    pub to: Reach,
}

impl Stretch {
    /// The points lost.
    pub fn points(&self) -> f64 {
        self.from.points - self.to.points
    }
}

/// The lines of a curve that are worth showing, in time order.
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

/// The losses of a curve; those at most a pause apart are joined.
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

/// The largest stretches, in time order.
fn told(mut stretches: Vec<Stretch>) -> Vec<Stretch> {
    stretches.sort_by(|a, b| b.points().total_cmp(&a.points()));
    stretches.truncate(MOST_LINES);
    stretches.retain(|stretch| stretch.points() >= LEAST_POINTS);
    stretches.sort_by_key(|stretch| stretch.from.tick);
    stretches
}
