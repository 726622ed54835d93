//! Progress: runs over days, what a learner gains from them, and what to fly next.
//!
//! Only runs flown by a person are practice; the caller leaves out the others.
#![deny(clippy::disallowed_methods, clippy::disallowed_types)]

pub mod costs;
pub mod curve;
pub mod lately;
pub mod next;
pub mod practice;
pub mod standing;
pub mod summary;

use jiff::civil::Date;

use crate::drill::{Aids, Skill};

pub use costs::{Costs, NamedCost, costs};
pub use curve::Curve;
pub use lately::{Lately, lately, lately_of};
pub use next::{Choice, Next, next};
pub use practice::{Practice, Record};
pub use standing::{Standing, standings};
pub use summary::{Group, Summary};

/// The parts of a run that matter for practice.
#[derive(Clone, Debug, PartialEq)]
pub struct Flown {
    /// The recording's id.
    pub id: String,
    /// When it was flown, RFC 3339, local.
    pub at: String,
    /// The drill's id.
    pub drill: String,
    /// The drill's title.
    pub title: String,
    /// The skill it practises; None where that is no longer known.
    pub skill: Option<Skill>,
    /// How much the screen helped.
    pub aids: Aids,
    /// How long it lasted, s.
    pub seconds: f64,
    /// Whether the last task ended.
    pub complete: bool,
    /// 0..100; None where no task counts.
    pub points: Option<f64>,
    /// Each figure's mean over the tasks that count.
    pub figures: Vec<(String, f64)>,
    /// The points lost, by the names of the bill, in points of the run; None where it was not weighed.
    pub bill: Option<Vec<(String, f64)>>,
}

impl Flown {
    /// The local date on which it was flown; None where `at` is not a time.
    pub fn day(&self) -> Option<Date> {
        self.at.get(..10)?.parse().ok()
    }

    /// Points of a run that was flown to its end.
    pub fn whole_points(&self) -> Option<f64> {
        self.points.filter(|_| self.complete)
    }

    /// A figure by its key; `points` is one of them.
    pub fn figure(&self, key: &str) -> Option<f64> {
        match key {
            "points" => self.points,
            _ => of(&self.figures, key),
        }
    }
}

/// The value of a key in a short list.
fn of(list: &[(String, f64)], key: &str) -> Option<f64> {
    let found = list.iter().find(|(name, _)| name == key);
    found.map(|(_, value)| *value)
}

/// The mean of some numbers; None without any.
fn mean(values: impl IntoIterator<Item = f64>) -> Option<f64> {
    let (mut sum, mut count) = (0.0, 0);
    for value in values {
        sum += value;
        count += 1;
    }
    (count > 0).then(|| sum / f64::from(count))
}
