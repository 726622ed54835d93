//! Predict first: what to ask a learner before flying, the true values, and the comparison.

use super::drill::{DrillBrief, TaskBrief};
use super::hundredths;
use crate::drill::reader::plain;
use crate::plan::When;
use crate::plan::recipe::percent;

/// The questions asked before the first task, with their answers.
#[derive(Clone, Debug, PartialEq)]
pub struct Predict {
    /// In the order in which they are asked and their answers are stored: a new one comes last.
    pub questions: Vec<Question>,
}

/// One question and its true value.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    pub about: About,
    /// What is asked, one line.
    pub ask: String,
    /// The true value, in its unit.
    pub truth: f64,
}

/// What a question is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum About {
    /// The power that holds the first task's altitude.
    LevelPower,
    /// Height to go at which to make the stopping move of the first step.
    LevelOff,
    /// The power that holds the first rate.
    RatePower,
    /// The power that rides the first path down.
    PathPower,
    /// The altitude of that path at its middle gate.
    GateAltitude,
}

/// Units of answers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Percent of lever.
    Percent,
    Feet,
}

/// A guess of power is right within this, % of lever.
const NEAR_PERCENT: f64 = 1.0;
/// A guess of a height is right within this share of it, or within these feet if that is more. The altitude of a path can be
/// worked out; the height to go has to be known.
const NEAR_SHARE: f64 = 0.15;
const NEAR_ALTITUDE: f64 = 0.05;
const NEAR_FT: f64 = 5.0;

impl Predict {
    /// The questions of a drill, from its brief. What the engine cannot hold, and what the brief has no move for, is not asked.
    pub fn of(brief: &DrillBrief) -> Predict {
        let first = |ask: fn(&TaskBrief) -> Option<Question>| brief.tasks.iter().find_map(ask);
        let questions = [
            brief.tasks.first().and_then(level_power),
            first(level_off),
            first(rate_power),
            first(path_power),
            first(gate_altitude),
        ];
        Predict {
            questions: questions.into_iter().flatten().collect(),
        }
    }

    /// A sentence for each guess made, in the order of the questions, that compares it with the truth.
    pub fn told(&self, guesses: &[Option<f64>]) -> Vec<String> {
        let answered = self.questions.iter().zip(guesses);
        answered
            .filter_map(|(question, guess)| {
                let what = question.about.name();
                Some(format!("{what}: {}.", question.compare((*guess)?)))
            })
            .collect()
    }
}

fn level_power(task: &TaskBrief) -> Option<Question> {
    let altitude = plain(task.altitude_ft?.round());
    Some(Question {
        about: About::LevelPower,
        ask: format!("What power holds {altitude} ft, in % of lever?"),
        truth: settable(task.level_lever?),
    })
}

fn level_off(task: &TaskBrief) -> Option<Question> {
    let (go, moves) = (task.go?, task.recipe.as_ref()?);
    let stop = moves.iter().position(|m| m.when == When::ToGoFt)?;
    let going = match stop.checked_sub(1) {
        Some(before) => format!(" on {}", percent(moves[before].lever)),
        None => String::new(),
    };
    Some(Question {
        about: About::LevelOff,
        ask: format!(
            "Going {} to {} ft{going}: how many ft before it do you set {}?",
            if go.change_ft > 0.0 { "up" } else { "down" },
            plain(task.altitude_ft?.round()),
            percent(moves[stop].lever)
        ),
        truth: moves[stop].value,
    })
}

fn rate_power(task: &TaskBrief) -> Option<Question> {
    let rate = task.rate?;
    let way = match rate.vertical_speed_fpm {
        fpm if fpm > 0.0 => " up",
        fpm if fpm < 0.0 => " down",
        _ => "",
    };
    let fpm = plain(rate.vertical_speed_fpm.abs().round());
    Some(Question {
        about: About::RatePower,
        ask: format!("What power holds {fpm} ft/min{way}, in % of lever?"),
        truth: settable(rate.lever?),
    })
}

fn path_power(task: &TaskBrief) -> Option<Question> {
    let path = task.path.as_ref()?;
    let until = match path.after_shift {
        Some(_) => " until the wind shifts",
        None => "",
    };
    let slope = hundredths(path.slope_deg);
    Some(Question {
        about: About::PathPower,
        ask: format!("What power rides the {slope} degree path{until}, in % of lever?"),
        truth: settable(path.now.lever?),
    })
}

fn gate_altitude(task: &TaskBrief) -> Option<Question> {
    let gates = &task.path.as_ref()?.gates;
    let gate = gates.get(gates.len() / 2)?;
    Some(Question {
        about: About::GateAltitude,
        ask: format!(
            "How high is the path {} nm out, in ft?",
            hundredths(gate.distance_nm)
        ),
        truth: gate.altitude_ft,
    })
}

/// A lever in %, as it can be set and as the brief gives it: in half per cents.
fn settable(lever: f64) -> f64 {
    (200.0 * lever).round() / 2.0
}

impl Question {
    /// Compares a guess with the truth, in one line.
    pub fn compare(&self, guess: f64) -> String {
        let (off, unit) = (guess - self.truth, self.about.unit());
        let (said, truth) = (unit.write(guess), unit.write(self.truth));
        let [too_much, too_little] = self.about.sides();
        let verdict = match off {
            off if off.abs() <= self.near() => "near enough".to_string(),
            off if off > 0.0 => format!("{} {too_much}", unit.write(off)),
            off => format!("{} {too_little}", unit.write(-off)),
        };
        let is = self.about.is();
        format!("you said {said}, it {is} {truth}: {verdict}")
    }

    /// A guess no farther off than this counts as right, in its unit.
    pub fn near(&self) -> f64 {
        match self.about {
            About::LevelPower | About::RatePower | About::PathPower => NEAR_PERCENT,
            About::LevelOff => NEAR_FT.max(NEAR_SHARE * self.truth),
            About::GateAltitude => NEAR_FT.max(NEAR_ALTITUDE * self.truth),
        }
    }
}

impl About {
    /// The unit of its answer.
    pub fn unit(self) -> Unit {
        match self {
            About::LevelPower | About::RatePower | About::PathPower => Unit::Percent,
            About::LevelOff | About::GateAltitude => Unit::Feet,
        }
    }

    fn name(self) -> &'static str {
        match self {
            About::LevelPower => "Level power",
            About::LevelOff => "Level-off",
            About::RatePower => "Power of the rate",
            About::PathPower => "Power of the path",
            About::GateAltitude => "Altitude at the gate",
        }
    }

    /// What the truth does: "it takes 38 %".
    fn is(self) -> &'static str {
        match self {
            About::GateAltitude => "is",
            _ => "takes",
        }
    }

    /// What a guess above and below the truth is.
    fn sides(self) -> [&'static str; 2] {
        match self {
            About::LevelOff => [
                "too early: it would stop short",
                "too late: it would go past",
            ],
            About::GateAltitude => ["too high", "too low"],
            _ => ["too much", "too little"],
        }
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
