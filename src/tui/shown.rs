//! The built-in hands in words: what the list of demonstrations shows and the command line takes.

use crate::drill::Drill;
use crate::hands::{self, showing};
use crate::run::recording::HandName;

/// A hand that can be watched.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shown {
    pub hand: HandName,
    /// Its name as it is written.
    pub name: &'static str,
    /// What it is.
    pub about: &'static str,
}

const fn row(hand: HandName, name: &'static str, about: &'static str) -> Shown {
    Shown { hand, name, about }
}

/// Every built-in hand, those without a fault first.
#[rustfmt::skip]
pub const SHOWN: &[Shown] = &[
    row(HandName::Steady, "steady", "A skilled person, whose run is par"),
    row(HandName::Green, "green", "A beginner"),
    row(HandName::Brief, "brief", "What the brief says, move by move"),
    row(HandName::Best, "best", "The lever schedule of lowest cost; it knows the model"),
    row(HandName::LevelOffLate, "level_off_late", "Levels off too late"),
    row(HandName::LevelOffEarly, "level_off_early", "Levels off too early"),
    row(HandName::PowerTooMuch, "power_too_much", "Starts with too large a move of power"),
    row(HandName::PowerTooLittle, "power_too_little", "Starts with too small a move of power"),
    row(HandName::SecondMoveMissing, "second_move_missing", "Never makes the second half of a correction"),
    row(HandName::Pumping, "pumping", "Pumps the lever and feeds the swing"),
    row(HandName::LevelPowerOff, "level_power_off", "Settles on a power that does not hold what is asked"),
    row(HandName::DescentLate, "descent_late", "Takes the power off late for a path"),
    row(HandName::DescentEarly, "descent_early", "Takes the power off early for a path"),
];

/// Why a hand is not offered on a drill, None where it is.
pub fn refusal(hand: HandName, drill: &Drill) -> Option<String> {
    let kinds = showing::stage(hand).iter();
    let mut kinds: Vec<String> = kinds.map(|kind| format!("a {kind}")).collect();
    let last = kinds.pop().filter(|_| !hands::shows(hand, drill))?;
    let needs = match kinds.is_empty() {
        true => last,
        false => format!("{} or {last}", kinds.join(", ")),
    };
    Some(format!("needs {needs} that counts; this drill has none"))
}

/// The names of the hands with a fault that can be seen on a drill.
pub fn faults(drill: &Drill) -> Vec<&'static str> {
    let can = |hand| !showing::stage(hand).is_empty() && hands::shows(hand, drill);
    let faulty = SHOWN.iter().filter(|shown| can(shown.hand));
    faulty.map(|shown| shown.name).collect()
}
