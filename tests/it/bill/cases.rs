//! The reading of a leg and its lines, against the known contents of a short lever log.

use std::sync::Arc;

use leveloff::drill::Drill;
use leveloff::hands::{self, Script};
use leveloff::reach::{Reach, Stretch};
use leveloff::run::Run;
use leveloff::units::TICKS_PER_S;
use leveloff::why::explain::evidence::signs::{self, Motion};
use leveloff::why::explain::{Brief, Inquiry, cures};
use leveloff::why::{Case, LineKind};

use crate::flying::{of_tasks, shipped};
use crate::kept::pars;

/// One task of the deck jet, level at 1,500 ft, with a lever log: (s, thousandths).
fn flown(task: &str, log: &[(u64, u16)]) -> Run {
    by(of_tasks("deck jet", "altitude_ft = 1500", &[task]), log)
}

fn by(drill: Arc<Drill>, log: &[(u64, u16)]) -> Run {
    let log = log.iter().map(|(s, lever)| (s * TICKS_PER_S, *lever));
    hands::fly(drill, 1, &mut Script::new(log.collect()))
}

/// The first task of a run.
fn first(run: &Run) -> Case<'_> {
    let reference = pars(run.drill(), run.seed()).references(run)[0];
    let begun = run.each_leg_start().next().unwrap();
    // Kept for as long as the tests run.
    let brief: &Brief = Box::leak(Box::default());
    Case::of(run, 0, begun, reference, brief).unwrap()
}

/// A moment of a made-up line; its points in reach do not matter.
fn at(s: u64) -> Reach {
    Reach {
        tick: s * TICKS_PER_S,
        points: 50.0,
        cost: 1.0,
        terms: None,
    }
}

/// The power on the way ends after twenty seconds: the pace is that of this moment, over the rate of 3 degrees.
#[test]
fn the_pace_of_a_level_off_is_that_at_its_first_move() {
    let step = "step = { to_ft = 1200, band_ft = 20, hold_s = 10, within_s = 60 }";
    let run = flown(step, &[(1, 300), (20, 420)]);
    let case = first(&run);
    let begun = run.trace().state(20 * TICKS_PER_S as usize);
    let pace = -begun.vz_mps / case.scale.rate_mps;
    assert!(pace > 0.5, "{pace}");
    let line = &case.stretches()[0];
    assert_eq!(signs::onset_pace(&Motion::of(&case.about(line))), pace);
}

/// A hold left with a lever some per cent below the right one for all but its first second. A path has no single power that
/// keeps it.
#[test]
fn power_is_off_by_what_it_came_back_to_and_on_a_path_by_nothing() {
    let hold = "hold = { altitude_ft = 1500, band_ft = 30, seconds = 40 }";
    let run = flown(hold, &[(1, 340)]);
    let case = first(&run);
    let off = case.power_off().unwrap();
    assert!((off - (case.scale.level - 0.34)).abs() < 1e-9, "{off}");
    let path = shipped("onto-the-shelf");
    assert_eq!(first(&by(path, &[(2, 300)])).power_off(), None);
}

/// The lever goes to idle at ten seconds and up again just where the line ends: the cure leaves out the move to idle, however
/// long before the line it was.
#[test]
fn a_lever_left_at_idle_is_put_right_from_the_move_that_took_it_there() {
    let hold = "hold = { altitude_ft = 1500, band_ft = 200, seconds = 60 }";
    let run = flown(hold, &[(10, 0), (40, 450)]);
    let case = first(&run);
    let line = Stretch {
        from: at(30),
        to: at(40),
    };
    let cure = cures::of(&case.about(&line), LineKind::LeftAtIdle).unwrap();
    assert_eq!(cure.from, 10 * TICKS_PER_S);
}

/// A step stuck two half-widths past its number is a standing error; on the way down to the number it is none, nor is a hold
/// that goes on sinking.
#[test]
fn an_error_stands_where_a_step_or_a_hold_has_stopped() {
    let corrects = |run: &Run, from: u64| {
        let case = first(run);
        let line = Stretch {
            from: at(from),
            to: at(from + 5),
        };
        let scene = Inquiry {
            leg: &case,
            line: &line,
            better: Some(run.clone()),
        };
        cures::of(&scene, LineKind::NotCorrected).is_some()
    };
    let step = "step = { to_ft = 1200, band_ft = 20, hold_s = 10, within_s = 60 }";
    let stuck = flown(step, &[(1, 200), (12, 430), (20, 390)]);
    assert_eq!([5, 40].map(|from| corrects(&stuck, from)), [false, true]);
    let hold = "hold = { altitude_ft = 1500, band_ft = 20, seconds = 60 }";
    let sinks = flown(hold, &[(1, 300)]);
    assert!(!corrects(&sinks, 10));
    let stays = flown(hold, &[(1, 300), (8, 456), (15, 378)]);
    assert!(corrects(&stays, 16));
}
