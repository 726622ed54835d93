//! Figures as they are shown, and their spread.

use leveloff::brief::PathBrief;
use leveloff::brief::path::{Descent, Flier};
use leveloff::drill::Kind;
use leveloff::drill::path::Outcome;
use leveloff::run::Run;
use leveloff::score::metrics::{self, METRICS};
use leveloff::score::{
    Figure, Key, Reference, Score, Spread, score_against, story, tolerances, working,
};

use leveloff::units::{DEG, KT};

use super::{deck, scripted};
use crate::flying::{all_shipped, shipped};

#[test]
fn figures_are_told_with_the_digits_that_mean_something() {
    let told = |id: Key, x: f64| {
        let metric = METRICS.iter().find(|metric| metric.id == id).unwrap();
        format!("{} {}", metric.told(&Figure::Number(x)), metric.told_in())
    };
    assert_eq!(told(Key::LeverReversals, 21.0), "21 ");
    assert_eq!(told(Key::InBand, 0.874), "87 %");
    assert_eq!(told(Key::RmsFt, 6.872), "6.9 ft");
    assert_eq!(told(Key::OvershootFpm, 439.1), "439 ft/min");
    assert_eq!(told(Key::BiasFt, -0.01), "0.0 ft");
    assert_eq!(told(Key::AlphaErrorDeg, 0.218), "0.22 deg");
}

#[test]
fn a_spread_is_what_the_textbook_says() {
    assert_eq!(Spread::of([]), None);
    let one = Spread::of([7.0]).unwrap();
    assert_eq!(
        (one.mean, one.sd, one.lower, one.high),
        (7.0, None, 7.0, 7.0)
    );
    // Mean 5, sum of squares 32, worked by hand.
    let eight = Spread::of([2.0, 4.0, 4.0, 4.0, 5.0, 5.0, 7.0, 9.0]).unwrap();
    assert_eq!(
        (eight.n, eight.mean, eight.low, eight.high),
        (8, 5.0, 2.0, 9.0)
    );
    assert!((eight.sd.unwrap() - (32.0_f64 / 7.0).sqrt()).abs() < 1e-12);
    assert_eq!((eight.lower, eight.median, eight.upper), (4.0, 4.5, 5.5));
}

#[test]
fn a_sink_at_touchdown_stands_beside_the_published_one() {
    // Flight Safety Foundation ALAR briefing note 7.1 (read in a second-hand copy): a stabilised approach sinks by at most
    // 1,000 ft/min, which are 16.7 ft/s.
    assert!(tolerances::sink(16.6).contains("within the 16.7 of"));
    assert!(tolerances::sink(16.7).contains("beyond the 16.7 of"));
}

/// Flown by its brief, no path that ships sinks faster than the published approach, before or after a shift of its wind.
#[test]
fn no_path_that_ships_asks_for_more_than_a_stabilised_approach() {
    let mut paths = 0;
    for drill in all_shipped() {
        for task in &drill.tasks {
            let Kind::Path(path) = &task.kind else {
                continue;
            };
            let brief = PathBrief::of(&drill, path);
            let then = brief.after_shift.map(|then| then.closing);
            for closing in [Some(brief.now), then].into_iter().flatten() {
                let told = tolerances::sink(closing.sink_fpm / 60.0);
                assert!(told.contains("within the 16.7"), "{}: {told}", drill.id);
                paths += 1;
            }
        }
    }
    assert!(paths > 15, "{paths}");
    // The rule would catch a path too steep for a fast aeroplane: 4.4 degrees at 140 kt.
    let steep = PathBrief::new(&Descent {
        slope_rad: 4.4 * DEG,
        deck_m: 0.0,
        deck_mps: 0.0,
        wind_mps: 0.0,
        lost_mps: 0.0,
        flier: Flier::Speed(140.0 * KT),
        gates_m: Vec::new(),
    });
    assert!(tolerances::sink(steep.now.sink_fpm / 60.0).contains("beyond"));
}

#[test]
fn an_error_stands_beside_the_published_tolerances_that_it_meets() {
    // Part-FCL Appendix 7 (read): 100 ft; the private pilot's skill test of Part-FCL (read): 150 ft; FAA-S-ACS-6 (read in a
    // second-hand copy), basic instruments: 200 ft. A tolerance is met at its edge.
    let published = [
        "100 ft (instrument rating",
        "150 ft (private",
        "200 ft (basic instrument",
    ];
    for (error_ft, met) in [
        (60.0, 0..3),
        (100.0, 0..3),
        (100.1, 1..3),
        (150.0, 1..3),
        (150.1, 2..3),
        (200.0, 2..3),
        (200.1, 3..3),
    ] {
        let told = tolerances::sentence(error_ft);
        for (n, tolerance) in published.iter().enumerate() {
            assert_eq!(
                told.contains(tolerance),
                met.contains(&n),
                "{error_ft}: {told}"
            );
        }
        assert_eq!(told.contains("FAA-S-ACS-6"), met.contains(&2), "{told}");
        assert_eq!(told.contains("none of"), met.is_empty(), "{told}");
    }
}

#[test]
fn a_hold_is_told_with_the_side_it_was_off_to() {
    for (altitude_ft, told) in [
        (1490, "on average 10 ft below the number"),
        (1500, "on average on the number"),
        (1510, "on average 10 ft above the number"),
    ] {
        let hold = "hold = { altitude_ft = 1500, band_ft = 25, seconds = 2 }";
        let drill = deck(&format!("altitude_ft = {altitude_ft}"), &[hold]);
        let (run, score) = scripted(&drill, &[]);
        let sentences = story::tell(&run, &score);
        assert!(sentences[1].contains(told), "{sentences:?}");
    }
}

#[test]
fn how_a_path_ended_is_told_in_words() {
    let metric = METRICS.iter().find(|metric| metric.id == Key::Outcome);
    let told = |outcome| metric.unwrap().told(&Figure::Ended(outcome));
    assert_eq!(told(Outcome::WentAround), "went around");
    assert_eq!(told(Outcome::InZone), "in zone");
    assert_eq!(told(Outcome::Short), "short");
    assert_eq!(told(Outcome::Past), "past");
    let (run, score) = scripted(&shipped("no-room-left"), &[]);
    let ending = story::ending(&run, &score);
    let (at, call) = ending.split_once(", ").expect("two parts");
    assert!(
        at.starts_with("Below the deck before reaching it at 0:0"),
        "{ending}"
    );
    assert!(
        call.starts_with("the called go-around not flown"),
        "{ending}"
    );
}

/// The first task of a climb of 100 ft, left alone on its way.
fn climbed() -> (Run, Score) {
    let step = "step = { to_ft = 1600, band_ft = 25, hold_s = 2, within_s = 30 }";
    scripted(&deck("altitude_ft = 1500\npath_deg = 2", &[step]), &[])
}

/// What is told of that climb if one of its figures were another.
fn told_with(key: Key, feet: f64) -> String {
    let (run, mut score) = climbed();
    let mut of_step = metrics::of_kind(&score.tasks[0].task.kind);
    let place = of_step.position(|metric| metric.id == key).unwrap();
    score.tasks[0].figures[place] = Figure::Number(feet);
    story::tell(&run, &score).swap_remove(1)
}

#[test]
fn less_than_a_foot_past_the_number_is_not_told() {
    for (past_ft, told) in [
        (0.9, "never went past the number"),
        (1.2, "went 1 ft past the number"),
        (7.0, "went 7 ft past the number"),
    ] {
        let sentence = told_with(Key::OvershootFt, past_ft);
        assert!(sentence.contains(told), "{sentence}");
    }
}

/// Who is still about where the step began has not stopped short of its end.
#[test]
fn only_who_went_most_of_the_way_stopped_short() {
    for (short_ft, is_told) in [(40.0, true), (80.0, true), (95.0, false), (240.0, false)] {
        let sentence = told_with(Key::ShortFt, short_ft);
        assert_eq!(sentence.contains("ft short of it"), is_told, "{sentence}");
    }
}

#[test]
fn better_than_par_is_ten_points_more() {
    let (run, mut score) = climbed();
    for (points, told) in [
        (75.0, "As good as par: "),
        (84.9, "As good as par: "),
        (85.0, "Better than par: "),
    ] {
        score.points = Some(points);
        score.tasks[0].points = Some(points);
        assert!(story::praise(&run, &score).starts_with(told), "{points}");
    }
    // A task below par is not better than par, whatever the others make of the mean.
    score.tasks[0].points = Some(70.0);
    assert!(story::praise(&run, &score).starts_with("As good as par: "));
}

#[test]
fn a_debt_of_the_task_before_is_taken_off_and_a_head_start_added() {
    let (run, _) = climbed();
    for (handed_on, told) in [
        (0.5, Some("- 0.5 s, a debt from the task before")),
        (-0.5, Some("+ 0.5 s, a head start from the task before")),
        (0.0, None),
    ] {
        let reference = Reference {
            best: Some(5.0),
            par: Some(10.0),
            handed_on: Some(handed_on),
        };
        let score = score_against(&run, &[reference]);
        let lines = working::lines(&score.tasks[0]);
        let line = lines
            .iter()
            .find(|line| line.contains("from the task before"));
        match told {
            Some(told) => assert!(line.is_some_and(|line| line.starts_with(told)), "{lines:?}"),
            None => assert_eq!(line, None),
        }
    }
}
