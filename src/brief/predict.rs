//! Predict first: what to ask a learner before flying, the true values, and the comparison.

use super::drill::DrillBrief;
use crate::drill::reader::plain;
use crate::plan::When;
use crate::plan::recipe::percent;

/// The questions asked before the first task, with their answers.
#[derive(Clone, Debug, PartialEq)]
pub struct Predict {
    /// Power that holds the first task's altitude; None where the engine cannot hold it.
    pub level_power: Option<Question>,
    /// Height to go at which to make the stopping move of the first step; None without a step or such a move.
    pub level_off: Option<Question>,
}

/// One question and its true value.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// What is asked, one line.
    pub ask: String,
    /// Unit of the answer.
    pub unit: Unit,
    /// The true value, in that unit.
    pub truth: f64,
    /// A guess no farther off than this counts as right, in that unit.
    pub near: f64,
}

/// Units of answers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Percent of lever.
    Percent,
    Feet,
}

/// A guess of level power is right within this, % of lever.
const NEAR_PERCENT: f64 = 1.0;
/// A guess of a height is right within this share of it, or within these feet if that is more.
const NEAR_SHARE: f64 = 0.15;
const NEAR_FT: f64 = 5.0;

impl Predict {
    /// The questions of a drill, from its brief.
    pub fn of(brief: &DrillBrief) -> Predict {
        let level_power = brief.tasks.first().and_then(|task| {
            // As it can be set, and as the brief gives it: in half per cents.
            let truth = (200.0 * task.level_lever?).round() / 2.0;
            let altitude_ft = task.altitude_ft?;
            Some(Question {
                ask: format!(
                    "What power holds {} ft, in % of lever?",
                    plain(altitude_ft.round())
                ),
                unit: Unit::Percent,
                truth,
                near: NEAR_PERCENT,
            })
        });
        let step = brief.tasks.iter().find_map(|task| Some((task, task.go?)));
        let level_off = step.and_then(|(task, go)| {
            let moves = task.recipe.as_ref()?;
            let stop = moves.iter().position(|m| m.when == When::ToGoFt)?;
            let (truth, altitude_ft) = (moves[stop].value, task.altitude_ft?);
            let going = match stop.checked_sub(1) {
                Some(before) => format!(" on {}", percent(moves[before].lever)),
                None => String::new(),
            };
            Some(Question {
                ask: format!(
                    "Going {} to {} ft{going}: how many ft before it do you set {}?",
                    if go.change_ft > 0.0 { "up" } else { "down" },
                    plain(altitude_ft.round()),
                    percent(moves[stop].lever)
                ),
                unit: Unit::Feet,
                truth,
                near: NEAR_FT.max(NEAR_SHARE * truth),
            })
        });
        Predict {
            level_power,
            level_off,
        }
    }

    /// The questions, in order.
    pub fn questions(&self) -> impl Iterator<Item = &Question> {
        self.level_power.iter().chain(&self.level_off)
    }

    /// A sentence for each guess made, in the order of the questions, that compares it with the truth.
    pub fn told(&self, guesses: &[Option<f64>]) -> Vec<String> {
        let answered = self.questions().zip(guesses);
        answered
            .filter_map(|(question, guess)| {
                let what = match question.unit {
                    Unit::Percent => "Level power",
                    Unit::Feet => "Level-off",
                };
                Some(format!("{what}: {}.", question.compare((*guess)?)))
            })
            .collect()
    }
}

impl Question {
    /// Compares a guess with the truth, in one line.
    pub fn compare(&self, guess: f64) -> String {
        let off = guess - self.truth;
        let (said, truth) = (self.unit.write(guess), self.unit.write(self.truth));
        let by = self.unit.write(off.abs());
        let verdict = match self.unit {
            _ if off.abs() <= self.near => "near enough".to_string(),
            Unit::Percent if off > 0.0 => format!("{by} too much"),
            Unit::Percent => format!("{by} too little"),
            Unit::Feet if off > 0.0 => format!("{by} too early: it would stop short"),
            Unit::Feet => format!("{by} too late: it would go past"),
        };
        format!("you said {said}, it takes {truth}: {verdict}")
    }
}

impl Unit {
    fn write(self, value: f64) -> String {
        match self {
            Unit::Percent => format!("{value:.1} %"),
            Unit::Feet => format!("{value:.0} ft"),
        }
    }
}
