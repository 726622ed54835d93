//! Practising a line: its drill begins in the state of the run at that moment, and is a drill file like any other.

use std::sync::Arc;

use leveloff::export::excerpt;
use leveloff::hands::{self, Script};
use leveloff::run::Run;
use leveloff::run::recording::HandName;
use leveloff::units::{FT, KT, TICK_S};

use crate::flying::{drill as made_of, shipped};
use crate::kept::{pars, weigh};

#[test]
fn a_practice_begins_as_the_run_stood_a_few_seconds_before_its_line() {
    let mut practised = 0;
    for id in [
        "quarry-stair",
        "swell-from-the-west",
        "level-over-the-tarn",
        "a-rate-and-no-more",
        "what-the-rock-calls",
    ] {
        let drill = shipped(id);
        let pars = pars(&drill, 2);
        let mut green = hands::built_in(HandName::Green, &drill, 2).unwrap();
        let run = hands::fly(drill.clone(), 2, &mut *green);
        let weighed = weigh(&run, Some(pars));
        for line in weighed.told() {
            let practice = excerpt::of(&run, line).unwrap();
            practised += 1;
            let begun = Run::new(practice.clone(), 5);
            let (own, leg) = (begun.trace().at(0), &run.legs()[line.leg]);
            // The moment of the run with the same height; before a path, where it is level, with the same distance too.
            let near = leg.start..=line.from;
            let off_m = |tick: u64| (run.trace().at(tick as usize).state.h_m - own.state.h_m).abs();
            let aims = practice.aim.zip(drill.aim);
            let farther_m = |tick: u64| {
                let x_m = run.trace().at(tick as usize).state.x_m;
                aims.map_or(0.0, |(aim, old)| {
                    (aim.start_m - old.distance_m(x_m, tick)).abs()
                })
            };
            let off = |tick: u64| off_m(tick) + farther_m(tick);
            let tick = near.min_by(|a, b| off(*a).total_cmp(&off(*b))).unwrap();
            let then = run.trace().at(tick as usize);
            assert!(off_m(tick) < 0.01 * FT, "{id}: {} ft", off_m(tick) / FT);
            let vz_mps = own.state.vz_mps - own.wind.gust_w_mps;
            let then_mps = then.state.vz_mps - then.wind.gust_w_mps;
            assert!((vz_mps - then_mps).abs() < 0.3, "{id}: {vz_mps} {then_mps}");
            let speed_mps =
                |point: &leveloff::run::Point| point.state.air_data(&point.wind).speed_mps;
            let off_kt = (speed_mps(&own) - speed_mps(&then)).abs() / KT;
            assert!(off_kt < 4.0, "{id}: {off_kt} kt");
            assert!((own.state.engine - then.state.engine).abs() < 1e-5, "{id}");
            assert!(
                (begun.lever() - run.trace().lever_before(tick as usize)).abs() < 1e-5,
                "{id}"
            );
            assert_eq!(practice.tasks.len(), 1);
            assert_eq!(practice.tasks[0].kind.name(), leg.kind.name());
            if let (Some(aim), Some(old)) = (practice.aim, drill.aim) {
                let distance_m = old.distance_m(then.state.x_m, tick);
                assert!((aim.start_m - distance_m).abs() < 1.0, "{id}");
                let heave_m = old.deck.heave_at_m(tick as f64 * TICK_S);
                assert!((aim.deck.heave_at_m(0.0) - heave_m).abs() < 0.01, "{id}");
            }
        }
    }
    assert!(practised > 12, "{practised}");
}

/// The wind that is still to change, is changing, or has changed, does so in the practice as it did in the run.
#[test]
fn a_change_of_the_wind_comes_in_a_practice_when_it_came_in_the_run() {
    for (shift_at_s, over_s) in [(60.0, 10.0), (12.0, 30.0), (2.0, 3.0)] {
        let text = format!(
            "title = 'T'\nabout = 'A'\naircraft = 'late-jet'\n[start]\naltitude_ft = 1200\n\
             [air]\nheadwind_kt = 20\nshift_kt = -12\nshift_at_s = {shift_at_s}\nshift_over_s = {over_s}\n\
             [[task]]\nstep = {{ to_ft = 1500, band_ft = 30, hold_s = 20, within_s = 90 }}\n"
        );
        let drill = Arc::new(made_of(&text).unwrap());
        let pars = pars(&drill, 1);
        let log = vec![(64 * 15, 700), (64 * 40, 300)];
        let run = hands::fly(drill.clone(), 1, &mut Script::new(log));
        let weighed = weigh(&run, Some(pars));
        let line = weighed.told()[0];
        let practice = excerpt::of(&run, line).unwrap();
        let begun = Run::new(practice.clone(), 1).trace().at(0);
        let near = |tick: &u64| {
            let then = run.trace().state(*tick as usize).h_m;
            ((then - begun.state.h_m).abs() * 1e9) as u64
        };
        let latest = line.from;
        let from = (0..=latest).min_by_key(near).unwrap();
        for later in [0, 64, 640, 1920] {
            let [then, now] = [(&drill, from), (&practice, 0)]
                .map(|(drill, from)| drill.air.mean_at(from + later, 300.0).headwind_mps);
            assert!(
                (then - now).abs() < 0.05,
                "{shift_at_s}: {then} {now} after {later}"
            );
        }
    }
}
