//! What the signs of a motion say for each name ([`Rest`]: that nothing was wrong): fitted, not chosen.
//!
//! A logistic regression with several outcomes over made-up flights: four aeroplanes, every kind of task, still to lively air,
//! six styles of hand, each with sixteen single faults of various sizes and without any; rounded to a quarter. The table of
//! names on styles left out, in the tests, prints it anew. Outcomes without a cure, such as a level power believed in wrongly, are
//! there so that they are not taken for another: their lines stay facts.

use super::super::Kind::*;
use super::signs::*;
use super::{Evidence, Sign};

/// A step.
#[rustfmt::skip]
pub const STEP: Evidence = Evidence {
    sure: 0.77,
    base: &[(LevelOffEarly, -3.0), (LevelOffLate, 2.5), (LevelPowerOff, 0.5), (Rest, -1.75), (NotCorrected, -3.5), (Overcontrol, 3.0), (PowerTooLittle, 0.75), (PowerTooMuch, 1.25), (Pumping, 1.5), (SecondMoveMissing, -1.25)],
    signs: &[
        Sign(to_go, 0.0, 0.1, &[(LevelOffLate, -4.5), (PowerTooMuch, -1.75)]),
        Sign(to_go, 0.14, 0.28, &[(LevelPowerOff, -4.0), (Rest, -2.25), (Overcontrol, -0.25), (PowerTooMuch, -3.25), (Pumping, -2.25)]),
        Sign(going, 0.6, 0.95, &[(LevelPowerOff, -1.75), (PowerTooLittle, -5.5)]),
        Sign(going, 1.05, 1.4, &[(LevelPowerOff, 1.75), (NotCorrected, 0.75), (PowerTooMuch, 2.25)]),
        Sign(onset_pace, 1.2, 2.0, &[(LevelOffEarly, -0.5), (Overcontrol, -0.25), (PowerTooMuch, 3.25), (SecondMoveMissing, -1.5)]),
        Sign(given_back, 0.08, 0.18, &[(LevelPowerOff, 1.25), (SecondMoveMissing, 3.75)]),
        Sign(quick_turns, 2.0, 15.0, &[(Pumping, 4.75)]),
        Sign(slow_turns, 4.0, 7.0, &[(LevelOffEarly, 1.5), (LevelPowerOff, 0.75), (NotCorrected, 1.0), (Overcontrol, 3.0)]),
        Sign(stuck_s, 1.0, 20.0, &[(NotCorrected, 5.0)]),
        Sign(longest_stuck_s, 0.0, 2.0, &[(LevelOffEarly, 1.25), (LevelPowerOff, 1.0), (NotCorrected, 3.0), (Overcontrol, -1.25), (PowerTooMuch, 0.5), (SecondMoveMissing, 2.25)]),
        Sign(rest_share, 0.0, 0.25, &[(Overcontrol, -3.0), (Pumping, -4.25), (SecondMoveMissing, 1.5)]),
        Sign(least_pace, -0.7, -0.1, &[(LevelOffLate, -0.75), (Rest, 1.5), (NotCorrected, -2.25), (Overcontrol, -0.75), (PowerTooLittle, 1.0), (SecondMoveMissing, -3.25)]),
        Sign(most_lever, 1.2, 1.9, &[(Overcontrol, 2.5), (PowerTooMuch, 1.0), (SecondMoveMissing, 1.25)]),
        Sign(quick, 0.1, 0.4, &[(LevelOffLate, -0.5), (Rest, 0.5), (PowerTooMuch, 2.0)]),
        Sign(least_lever, -2.5, -1.0, &[(Overcontrol, -2.5), (PowerTooMuch, -3.0), (SecondMoveMissing, -0.75)]),
        Sign(stops_at, -2.5, -1.0, &[(LevelOffEarly, 0.75), (SecondMoveMissing, 0.25)]),
        Sign(stops_at, 0.5, 2.0, &[(LevelOffLate, 5.75), (NotCorrected, -0.5), (Overcontrol, 0.25), (PowerTooMuch, 2.0)]),
        Sign(crawls, 0.05, 0.3, &[(LevelOffEarly, 3.75), (NotCorrected, 3.0), (PowerTooLittle, 1.25), (SecondMoveMissing, 0.5)]),
    ],
};

/// A hold or a rate.
#[rustfmt::skip]
pub const STAY: Evidence = Evidence {
    sure: 0.7,
    base: &[(LevelPowerOff, 1.0), (Rest, 0.75), (NotCorrected, 0.25), (Overcontrol, 0.25), (PowerTooMuch, -1.25), (Pumping, -1.0)],
    signs: &[
        Sign(quick_turns, 2.0, 15.0, &[(LevelPowerOff, -1.5), (Rest, -2.25), (NotCorrected, -0.5), (Overcontrol, -0.75), (Pumping, 5.75)]),
        Sign(most_lever, 0.8, 1.6, &[(LevelPowerOff, -1.25), (Rest, -0.25), (NotCorrected, -0.25), (Overcontrol, 0.5), (PowerTooMuch, 0.25)]),
        Sign(longest_stuck_s, 0.3, 6.0, &[(Rest, -1.5), (NotCorrected, 3.0), (Overcontrol, -0.75), (Pumping, -0.75)]),
        Sign(stuck_at_rest_s, 0.5, 15.0, &[(LevelPowerOff, 0.75), (Rest, -1.25), (NotCorrected, 5.0), (PowerTooMuch, -0.25)]),
        Sign(idle_in_line_s, 0.0, 1.0, &[(LevelPowerOff, -1.5), (Rest, -1.25), (NotCorrected, -1.5), (Overcontrol, -0.5), (PowerTooMuch, 4.5)]),
        Sign(lever_off, -0.2, 0.0, &[(LevelPowerOff, 1.0), (Rest, 1.0), (NotCorrected, -1.25), (Overcontrol, 0.75), (PowerTooMuch, -2.0), (Pumping, 0.75)]),
        Sign(slow_turns, 4.0, 7.5, &[(LevelPowerOff, -1.25), (Rest, -0.5), (Overcontrol, 1.75), (Pumping, -0.25)]),
        Sign(crossings, 1.0, 8.0, &[(LevelPowerOff, -0.5), (Rest, -0.25), (NotCorrected, 1.25), (Overcontrol, 1.75), (Pumping, -1.0)]),
    ],
};

/// A path.
#[rustfmt::skip]
pub const PATH: Evidence = Evidence {
    sure: 0.57,
    base: &[(EngineLetDown, 2.75), (DescentEarly, 2.5), (DescentLate, -2.25), (Dive, -3.75), (LevelPowerOff, 0.5), (Rest, 1.0), (NotCorrected, -1.75), (Overcontrol, 1.75), (Pumping, -0.75)],
    signs: &[
        Sign(slow_turns, 3.0, 6.5, &[(Overcontrol, 3.5)]),
        Sign(quick_turns, 2.0, 15.0, &[(Pumping, 4.75)]),
        Sign(begun_above, 0.02, 0.18, &[(EngineLetDown, -1.0), (DescentEarly, -1.5), (DescentLate, 4.0), (Dive, -1.0), (NotCorrected, -2.0), (Overcontrol, 1.0)]),
        Sign(begun_above, -0.6, -0.02, &[(DescentEarly, -2.5), (Overcontrol, -0.25)]),
        Sign(high, 0.1, 0.5, &[(DescentLate, 0.5), (Dive, -2.0), (LevelPowerOff, 0.75), (Rest, -1.5), (NotCorrected, 3.25)]),
        Sign(least_lever, -2.6, -1.1, &[(EngineLetDown, -4.75), (Dive, 1.25), (Overcontrol, -0.5)]),
        Sign(crossings, 0.0, 1.0, &[(DescentEarly, -1.5), (DescentLate, 1.5), (Dive, 2.75), (Rest, -1.25), (NotCorrected, 1.5), (Pumping, -1.25)]),
        Sign(crossings, 1.0, 4.0, &[(DescentLate, -1.5), (Dive, 1.5), (NotCorrected, -1.75), (Overcontrol, 2.25)]),
        Sign(steep_s, 5.0, 13.0, &[(EngineLetDown, 1.5), (DescentEarly, -1.25), (LevelPowerOff, -1.5), (NotCorrected, 1.75), (Overcontrol, 2.0)]),
        Sign(slow_in_line, 0.05, 0.27, &[(Dive, 1.25), (LevelPowerOff, -0.5), (Rest, -1.0), (Overcontrol, 0.25), (Pumping, -0.25)]),
        Sign(longest_stuck_s, 0.0, 2.0, &[(Overcontrol, -2.5)]),
    ],
};
