//! Whether one improves: runs over days, what is learnt from them, and what to fly next.
//!
//! Only runs that a person flew are practice; whoever calls leaves the others out.
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

/// A run as far as practice is concerned.
#[derive(Clone, Debug, PartialEq)]
pub struct Flown {
    /// Names the recording.
    pub id: String,
    /// When, RFC 3339, local.
    pub at: String,
    /// The drill's id.
    pub drill: String,
    /// The drill's title.
    pub title: String,
    /// What it practises; None where that is not known any more.
    pub skill: Option<Skill>,
    /// How much the screen helped.
    pub aids: Aids,
    /// How long it lasted, s.
    pub seconds: f64,
    /// Whether the last task ended.
    pub complete: bool,
    /// 0..100; None where nothing counts.
    pub points: Option<f64>,
    /// Each figure's mean over the tasks that count.
    pub figures: Vec<(String, f64)>,
    /// Where the points went, by the names of the bill, in points of the run; None where it was not weighed.
    pub bill: Option<Vec<(String, f64)>>,
}

impl Flown {
    /// The day on which it was flown, where it was; None where `at` is no time.
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

/// The mean of some numbers; None of none.
fn mean(values: impl IntoIterator<Item = f64>) -> Option<f64> {
    let (mut sum, mut count) = (0.0, 0);
    for value in values {
        sum += value;
        count += 1;
    }
    (count > 0).then(|| sum / f64::from(count))
}
