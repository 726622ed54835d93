//! What the signs of a motion say for each name ([`Rest`]: that nothing was wrong): fitted, not chosen.
//!
//! A logistic regression with several outcomes over made-up flights: four aeroplanes, four kinds of task, still to lively air,
//! six styles of hand, each with sixteen single faults of various sizes and without any. Few weights, those that help most;
//! rounded to a quarter. How well it does on a style of hand that was left out is in the README.

use super::super::Kind::*;
use super::signs::*;
use super::{Evidence, Sign};

/// A step.
pub const STEP: Evidence = Evidence {
    sure: 0.8,
    base: &[
        (LevelOffEarly, -1.5),
        (LevelOffLate, 1.5),
        (LevelPowerOff, -0.5),
        (Rest, -2.0),
        (NotCorrected, -2.0),
        (Overcontrol, 2.5),
        (PowerTooLittle, -2.0),
        (PowerTooMuch, 1.75),
        (Pumping, 1.75),
        (SecondMoveMissing, 0.5),
    ],
    signs: &[
        Sign(
            to_go,
            0.0,
            0.1,
            &[(LevelOffLate, -5.75), (PowerTooMuch, -2.5)],
        ),
        Sign(
            to_go,
            0.14,
            0.28,
            &[
                (LevelPowerOff, -3.5),
                (Rest, -1.75),
                (PowerTooMuch, -3.5),
                (Pumping, -3.25),
                (SecondMoveMissing, 0.75),
            ],
        ),
        Sign(
            going,
            0.6,
            0.95,
            &[(LevelPowerOff, -2.25), (PowerTooLittle, -6.75)],
        ),
        Sign(
            going,
            1.05,
            1.4,
            &[(LevelPowerOff, 2.5), (PowerTooMuch, 3.0)],
        ),
        Sign(
            onset_pace,
            1.2,
            2.0,
            &[(PowerTooMuch, 2.75), (SecondMoveMissing, -2.75)],
        ),
        Sign(given_back, 0.08, 0.18, &[(SecondMoveMissing, 2.5)]),
        Sign(quick_turns, 2.0, 15.0, &[(Pumping, 6.25)]),
        Sign(
            slow_turns,
            4.0,
            7.0,
            &[(LevelPowerOff, 0.75), (Overcontrol, 4.0)],
        ),
        Sign(
            stuck_s,
            1.0,
            20.0,
            &[(LevelPowerOff, 2.5), (NotCorrected, 4.75)],
        ),
        Sign(
            longest_stuck_s,
            0.0,
            2.0,
            &[
                (LevelPowerOff, 0.75),
                (Rest, -0.75),
                (NotCorrected, 3.25),
                (Overcontrol, -2.0),
                (SecondMoveMissing, 1.75),
            ],
        ),
        Sign(
            rest_share,
            0.0,
            0.25,
            &[(Overcontrol, -2.75), (Pumping, -5.0)],
        ),
        Sign(
            least_pace,
            -0.7,
            -0.1,
            &[
                (Rest, 1.5),
                (Overcontrol, -0.75),
                (SecondMoveMissing, -2.25),
            ],
        ),
        Sign(
            most_lever,
            1.2,
            1.9,
            &[(Overcontrol, 3.25), (PowerTooMuch, 2.25)],
        ),
        Sign(
            crossings_since,
            0.0,
            2.0,
            &[
                (LevelOffEarly, -1.75),
                (LevelOffLate, 2.0),
                (Overcontrol, 1.25),
            ],
        ),
        Sign(quick, 0.1, 0.4, &[(PowerTooMuch, 2.0)]),
        Sign(slow, 0.3, 0.9, &[(SecondMoveMissing, 1.5)]),
        Sign(
            least_lever,
            -2.5,
            -1.0,
            &[(Overcontrol, -2.5), (PowerTooMuch, -4.25)],
        ),
        Sign(
            onset_in_line,
            -0.4,
            0.1,
            &[
                (NotCorrected, -2.25),
                (PowerTooLittle, 1.75),
                (SecondMoveMissing, -1.0),
            ],
        ),
        Sign(
            most_past,
            0.5,
            2.0,
            &[(LevelPowerOff, 1.25), (NotCorrected, -3.5)],
        ),
        Sign(
            going_again,
            0.2,
            0.8,
            &[
                (LevelOffEarly, -0.75),
                (LevelPowerOff, -1.5),
                (SecondMoveMissing, 1.25),
            ],
        ),
        Sign(
            stops_at,
            -2.5,
            -1.0,
            &[(LevelOffEarly, -0.75), (SecondMoveMissing, -0.75)],
        ),
        Sign(
            stops_at,
            0.5,
            2.0,
            &[(LevelOffLate, 5.0), (PowerTooMuch, 2.5)],
        ),
        Sign(
            held_past,
            0.05,
            0.2,
            &[
                (LevelOffLate, -1.25),
                (LevelPowerOff, 0.75),
                (Overcontrol, -2.25),
                (SecondMoveMissing, 1.25),
            ],
        ),
        Sign(
            turned_back,
            -0.6,
            0.0,
            &[
                (LevelPowerOff, 1.75),
                (NotCorrected, -2.75),
                (PowerTooLittle, 3.75),
                (SecondMoveMissing, -3.25),
            ],
        ),
        Sign(
            crawls,
            0.05,
            0.3,
            &[(LevelOffEarly, 3.75), (NotCorrected, 2.5)],
        ),
    ],
};

/// A hold or a rate.
pub const STAY: Evidence = Evidence {
    sure: 0.7,
    base: &[
        (LevelPowerOff, 1.0),
        (Rest, 0.5),
        (NotCorrected, 0.25),
        (Overcontrol, 0.75),
        (PowerTooMuch, -4.0),
        (Pumping, 1.75),
    ],
    signs: &[
        Sign(quick_turns, 2.0, 15.0, &[(Rest, -1.75), (Pumping, 5.25)]),
        Sign(most_lever, 0.8, 1.6, &[(Overcontrol, 2.0)]),
        Sign(
            longest_stuck_s,
            0.3,
            6.0,
            &[(Rest, -2.0), (NotCorrected, 4.0)],
        ),
        Sign(
            stuck_at_rest_s,
            0.5,
            15.0,
            &[(Rest, -2.75), (NotCorrected, 3.0), (Overcontrol, 1.0)],
        ),
        Sign(
            slow,
            0.3,
            0.9,
            &[
                (LevelPowerOff, -1.25),
                (Overcontrol, 4.25),
                (PowerTooMuch, 3.25),
            ],
        ),
        Sign(
            idle_in_line_s,
            0.0,
            1.0,
            &[(Overcontrol, -1.5), (PowerTooMuch, 4.75)],
        ),
        Sign(
            lever_off,
            -0.2,
            0.0,
            &[
                (LevelPowerOff, 0.5),
                (NotCorrected, -2.5),
                (Overcontrol, 0.75),
            ],
        ),
        Sign(
            lever_off,
            0.0,
            0.2,
            &[(LevelPowerOff, -0.25), (Overcontrol, -0.25)],
        ),
        Sign(
            lever_off_size,
            0.1,
            0.6,
            &[(Rest, -0.75), (NotCorrected, 1.75), (PowerTooMuch, 1.0)],
        ),
        Sign(slow_turns, 4.0, 7.5, &[(Overcontrol, 2.5), (Pumping, -1.5)]),
        Sign(crossings, 1.0, 8.0, &[(Rest, -1.5), (Overcontrol, 2.0)]),
        Sign(
            rest_share,
            0.0,
            0.25,
            &[(LevelPowerOff, 0.75), (Rest, 2.0), (Pumping, -3.0)],
        ),
        Sign(
            longest_rest,
            0.1,
            0.4,
            &[
                (LevelPowerOff, 0.25),
                (Rest, -0.5),
                (Overcontrol, -0.75),
                (Pumping, 0.75),
            ],
        ),
        Sign(
            mean_error_size,
            0.2,
            1.2,
            &[(NotCorrected, 0.75), (Overcontrol, -1.25)],
        ),
        Sign(
            slow_period,
            0.2,
            0.5,
            &[(NotCorrected, 2.25), (Pumping, -0.75)],
        ),
        Sign(
            quick,
            0.1,
            0.4,
            &[
                (LevelPowerOff, -0.25),
                (NotCorrected, -1.75),
                (PowerTooMuch, 2.75),
                (Pumping, -1.0),
            ],
        ),
    ],
};

/// A path.
pub const PATH: Evidence = Evidence {
    sure: 0.65,
    base: &[
        (EngineLetDown, 1.0),
        (DescentEarly, 4.0),
        (DescentLate, -3.75),
        (Dive, -6.0),
        (LevelPowerOff, 1.0),
        (Rest, 1.5),
        (NotCorrected, -4.0),
        (Overcontrol, 4.0),
        (Pumping, 2.5),
    ],
    signs: &[
        Sign(slow_turns, 3.0, 6.5, &[(Overcontrol, 4.25)]),
        Sign(quick_turns, 2.0, 15.0, &[(Pumping, 4.5)]),
        Sign(
            begun_above,
            0.02,
            0.18,
            &[
                (DescentLate, 7.0),
                (NotCorrected, -2.25),
                (Overcontrol, 1.75),
            ],
        ),
        Sign(
            begun_above,
            -0.6,
            -0.02,
            &[(DescentEarly, -5.5), (Overcontrol, -2.75)],
        ),
        Sign(
            high,
            0.1,
            0.5,
            &[(Dive, -2.5), (Rest, -2.5), (NotCorrected, 3.75)],
        ),
        Sign(
            low,
            0.1,
            0.35,
            &[
                (EngineLetDown, 3.0),
                (DescentEarly, 2.75),
                (Dive, 2.0),
                (LevelPowerOff, 1.5),
                (Rest, -2.25),
                (NotCorrected, -2.75),
                (Overcontrol, -0.5),
            ],
        ),
        Sign(least_lever, -2.6, -1.1, &[(EngineLetDown, -4.0)]),
        Sign(
            crossings,
            0.0,
            1.0,
            &[
                (DescentEarly, -2.25),
                (DescentLate, 1.5),
                (Dive, 2.25),
                (Rest, -0.5),
                (NotCorrected, 2.25),
            ],
        ),
        Sign(crossings, 1.0, 4.0, &[(Dive, 2.25), (Overcontrol, 4.25)]),
        Sign(
            steep_s,
            5.0,
            13.0,
            &[
                (LevelPowerOff, -2.25),
                (NotCorrected, 4.0),
                (Overcontrol, 2.25),
            ],
        ),
        Sign(
            slow_in_line,
            0.05,
            0.27,
            &[
                (Dive, 2.25),
                (LevelPowerOff, -1.5),
                (Rest, -1.5),
                (Pumping, -1.25),
            ],
        ),
        Sign(begins, 0.9, 1.7, &[(Dive, 3.0), (NotCorrected, 1.5)]),
        Sign(most_sink, 1.3, 2.0, &[(Dive, 2.25)]),
        Sign(longest_stuck_s, 0.0, 2.0, &[(Overcontrol, -2.25)]),
        Sign(
            rest_share,
            0.0,
            0.25,
            &[(Overcontrol, -1.25), (Pumping, -4.5)],
        ),
        Sign(
            idle_s,
            0.5,
            3.0,
            &[(EngineLetDown, 3.75), (Overcontrol, 0.75)],
        ),
    ],
};
