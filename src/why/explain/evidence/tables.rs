//! What the signs of a motion say for each name ([`Rest`]: that nothing was wrong): fitted, not chosen.
//!
//! A logistic regression with several outcomes over made-up flights: four aeroplanes, four kinds of task, still to lively air,
//! six styles of hand, each with sixteen single faults of various sizes and without any. Few weights, those that help most;
//! rounded to a quarter. How well it does on a style of hand that was left out is in the README.

use super::super::Kind::*;
use super::signs::*;
use super::{Evidence, Sign};

/// A step.
#[rustfmt::skip]
pub const STEP: Evidence = Evidence {
    sure: 0.8,
    base: &[(LevelOffEarly, -2.25), (LevelOffLate, 2.0), (LevelPowerOff, 0.5), (Rest, -2.0), (NotCorrected, -3.75), (Overcontrol, 2.5), (PowerTooLittle, -0.25), (PowerTooMuch, 1.75), (Pumping, 1.5), (SecondMoveMissing, -0.0)],
    signs: &[
        Sign(to_go, 0.0, 0.1, &[(LevelOffLate, -5.0), (PowerTooMuch, -2.75)]),
        Sign(to_go, 0.14, 0.28, &[(LevelPowerOff, -3.75), (Rest, -1.75), (Overcontrol, 0.75), (PowerTooMuch, -3.25), (Pumping, -3.0)]),
        Sign(going, 0.6, 0.95, &[(LevelPowerOff, -2.5), (PowerTooLittle, -6.75)]),
        Sign(going, 1.05, 1.4, &[(LevelPowerOff, 2.5), (NotCorrected, 1.25), (Overcontrol, -0.75), (PowerTooMuch, 2.75)]),
        Sign(onset_pace, 1.2, 2.0, &[(LevelOffEarly, -1.5), (Overcontrol, 1.25), (PowerTooMuch, 3.0), (SecondMoveMissing, -2.5)]),
        Sign(given_back, 0.08, 0.18, &[(LevelPowerOff, 0.75), (SecondMoveMissing, 3.75)]),
        Sign(quick_turns, 2.0, 15.0, &[(Pumping, 6.25)]),
        Sign(slow_turns, 4.0, 7.0, &[(LevelOffEarly, 1.0), (LevelPowerOff, 0.75), (NotCorrected, 1.25), (Overcontrol, 4.0)]),
        Sign(stuck_s, 1.0, 20.0, &[(LevelPowerOff, 2.75), (NotCorrected, 4.5)]),
        Sign(longest_stuck_s, 0.0, 2.0, &[(LevelOffEarly, 1.0), (LevelPowerOff, 1.5), (NotCorrected, 4.0), (Overcontrol, -1.25), (PowerTooMuch, 1.0), (SecondMoveMissing, 2.0)]),
        Sign(rest_share, 0.0, 0.25, &[(Overcontrol, -2.5), (Pumping, -5.0), (SecondMoveMissing, 2.75)]),
        Sign(least_pace, -0.7, -0.1, &[(LevelOffLate, -0.75), (Rest, 1.25), (NotCorrected, -2.0), (Overcontrol, -1.5), (PowerTooLittle, 2.25), (SecondMoveMissing, -4.25)]),
        Sign(most_lever, 1.2, 1.9, &[(Overcontrol, 3.5), (PowerTooMuch, 2.5), (SecondMoveMissing, 1.75)]),
        Sign(quick, 0.1, 0.4, &[(LevelOffLate, -1.5), (Rest, 1.0), (PowerTooMuch, 2.25)]),
        Sign(least_lever, -2.5, -1.0, &[(Overcontrol, -2.75), (PowerTooMuch, -4.25), (SecondMoveMissing, -1.5)]),
        Sign(stops_at, -2.5, -1.0, &[(LevelOffEarly, -0.75), (SecondMoveMissing, -1.0)]),
        Sign(stops_at, 0.5, 2.0, &[(LevelOffLate, 6.25), (NotCorrected, -3.25), (Overcontrol, 1.5), (PowerTooMuch, 2.25)]),
        Sign(crawls, 0.05, 0.3, &[(LevelOffEarly, 3.75), (NotCorrected, 2.5), (PowerTooLittle, 2.0), (SecondMoveMissing, 1.25)]),
    ],
};

/// A hold or a rate.
#[rustfmt::skip]
pub const STAY: Evidence = Evidence {
    sure: 0.75,
    base: &[(LevelPowerOff, 0.75), (Rest, 1.25), (NotCorrected, 0.5), (Overcontrol, 0.0), (PowerTooMuch, -1.5), (Pumping, -1.5)],
    signs: &[
        Sign(quick_turns, 2.0, 15.0, &[(LevelPowerOff, -1.5), (Rest, -3.25), (NotCorrected, -1.0), (Overcontrol, -0.75), (Pumping, 6.25)]),
        Sign(most_lever, 0.8, 1.6, &[(LevelPowerOff, -1.0), (Rest, -1.5), (NotCorrected, -1.0), (Overcontrol, 3.0), (PowerTooMuch, 0.75)]),
        Sign(longest_stuck_s, 0.3, 6.0, &[(LevelPowerOff, 0.25), (Rest, -1.75), (NotCorrected, 3.75), (Overcontrol, -0.5), (Pumping, -1.25)]),
        Sign(stuck_at_rest_s, 0.5, 15.0, &[(LevelPowerOff, 0.75), (Rest, -2.0), (NotCorrected, 4.5), (PowerTooMuch, -1.75)]),
        Sign(idle_in_line_s, 0.0, 1.0, &[(LevelPowerOff, -1.5), (Rest, -1.5), (NotCorrected, -0.5), (Overcontrol, -1.75), (PowerTooMuch, 6.0), (Pumping, -0.5)]),
        Sign(lever_off, -0.2, 0.0, &[(LevelPowerOff, 1.0), (Rest, 0.5), (NotCorrected, -2.25), (Overcontrol, 1.0), (PowerTooMuch, -1.5), (Pumping, 1.25)]),
        Sign(slow_turns, 4.0, 7.5, &[(LevelPowerOff, -1.0), (Rest, -1.0), (Overcontrol, 2.75), (Pumping, -1.0)]),
        Sign(crossings, 1.0, 8.0, &[(LevelPowerOff, -0.5), (Rest, -1.75), (NotCorrected, 1.0), (Overcontrol, 3.0), (Pumping, -0.75)]),
    ],
};

/// A path.
#[rustfmt::skip]
pub const PATH: Evidence = Evidence {
    sure: 0.65,
    base: &[(EngineLetDown, 4.0), (DescentEarly, 5.0), (DescentLate, -4.0), (Dive, -4.75), (LevelPowerOff, 1.0), (Rest, -0.5), (NotCorrected, -3.25), (Overcontrol, 3.5), (Pumping, -0.75)],
    signs: &[
        Sign(slow_turns, 3.0, 6.5, &[(Overcontrol, 4.75)]),
        Sign(quick_turns, 2.0, 15.0, &[(Pumping, 6.75)]),
        Sign(begun_above, 0.02, 0.18, &[(EngineLetDown, -1.75), (DescentEarly, -2.0), (DescentLate, 7.0), (Dive, -1.25), (NotCorrected, -2.5), (Overcontrol, 2.0)]),
        Sign(begun_above, -0.6, -0.02, &[(DescentEarly, -6.0), (Rest, 1.75), (Overcontrol, -2.75)]),
        Sign(high, 0.1, 0.5, &[(DescentLate, 1.0), (Dive, -3.25), (LevelPowerOff, 1.0), (Rest, -2.0), (NotCorrected, 4.5)]),
        Sign(least_lever, -2.6, -1.1, &[(EngineLetDown, -6.0), (Dive, 1.5), (Overcontrol, -1.0)]),
        Sign(crossings, 0.0, 1.0, &[(DescentEarly, -2.0), (DescentLate, 1.5), (Dive, 2.75), (Rest, -1.25), (NotCorrected, 2.0), (Pumping, -1.5)]),
        Sign(crossings, 1.0, 4.0, &[(DescentLate, -1.5), (Dive, 2.75), (NotCorrected, -2.75), (Overcontrol, 3.0)]),
        Sign(steep_s, 5.0, 13.0, &[(EngineLetDown, 1.5), (DescentEarly, -2.25), (LevelPowerOff, -2.75), (NotCorrected, 3.75), (Overcontrol, 2.25)]),
        Sign(slow_in_line, 0.05, 0.27, &[(Dive, 2.25), (LevelPowerOff, -1.25), (Rest, -1.25), (Overcontrol, 0.5), (Pumping, -0.75)]),
        Sign(longest_stuck_s, 0.0, 2.0, &[(Overcontrol, -2.25)]),
    ],
};
