//! Fits of known aeroplanes from rows as a person reads them: the accuracy of the page, and whether the truth lies inside.
//!
//! No published source: the aeroplanes are the program's own or made up, and the rows are read off its own trims.

use std::collections::BTreeMap;

use leveloff::brief::AeroplanePage;
use leveloff::fit::rows::SteadyRow;
use leveloff::fit::{Drive, Fit, Given, Reading, fit};
use leveloff::plan::fpm_per_percent;
use leveloff::sim::aircraft::{Aircraft, EngineKind};
use leveloff::sim::trim;
use leveloff::units::{DEG, FT, KT};

use super::made_up::{aeroplane, anywhere, asked, given};
use crate::flying;

/// The distance of one page from another, where both engines can fly.
#[derive(Clone, Copy, Debug, Default)]
struct Apart {
    lever_pct: f64,
    speed_kt: f64,
    /// Share of the vertical speed.
    vertical: f64,
}

impl Apart {
    fn of(fitted: &Aircraft, truth: &Aircraft) -> Apart {
        let page =
            |aircraft: &Aircraft| AeroplanePage::new(&aircraft.at_mass(truth.mass_kg), 1000.0 * FT);
        let (ours, theirs) = (page(fitted), page(truth));
        let mut apart = Apart::default();
        for (a, b) in ours.trim.iter().zip(&theirs.trim) {
            if let (Some(a), Some(b)) = (a.lever, b.lever) {
                apart.lever_pct = apart.lever_pct.max(100.0 * (a - b).abs());
            }
            apart.speed_kt = apart.speed_kt.max((a.speed_mps - b.speed_mps).abs() / KT);
            if b.vertical_speed_fpm != 0.0 {
                let ratio = a.vertical_speed_fpm / b.vertical_speed_fpm;
                apart.vertical = apart.vertical.max((ratio - 1.0).abs());
            }
        }
        apart
    }

    fn is_near(&self) -> bool {
        self.lever_pct <= 1.5 && self.speed_kt <= 1.0 && self.vertical <= 0.04
    }
}

/// The four that ship, and five made-up jets and five made-up propellers.
fn fourteen() -> Vec<Aircraft> {
    let shipped = flying::NAMES.map(flying::aircraft);
    let made_up = (0..5).flat_map(|seed| {
        [
            aeroplane(seed, Drive::Jet),
            aeroplane(seed, Drive::Propeller),
        ]
    });
    shipped.into_iter().chain(made_up).collect()
}

#[test]
fn pages_come_back_from_six_rows() {
    for (seed, truth) in fourteen().iter().enumerate() {
        let fitted = fit(&asked(truth, seed as u64), &given(Some(Drive::of(truth))))
            .unwrap_or_else(|why| panic!("{seed}: {}", why.message));
        let apart = Apart::of(&fitted.aircraft, truth);
        assert!(apart.is_near(), "{seed} {}: {apart:?}", truth.name);
    }
}

#[test]
fn the_truth_lies_inside_nine_intervals_of_ten() {
    for rows in [asked, anywhere] {
        let mut held = Held::default();
        for seed in 0..150 {
            for kind in [Drive::Jet, Drive::Propeller] {
                let truth = aeroplane(seed, kind);
                held.count(
                    &fit(&rows(&truth, seed), &given(Some(kind))).unwrap(),
                    &truth,
                );
            }
        }
        // 300 fits each: a share of 92 % scatters by 1.6.
        for (key, share) in held.shares() {
            assert!(share >= 0.9, "{key}: {share}");
        }
        // Intervals that depend on reading alone must not be wider than necessary.
        let is_wide = held.shares().all(|(_, share)| share > 0.98);
        assert!(!is_wide);
    }
}

/// Reading a hundred times as finely as usual.
fn finely() -> Reading {
    let usual = Reading::USUAL;
    Reading {
        lever: usual.lever / 100.0,
        vertical_mps: usual.vertical_mps / 100.0,
        speed_mps: usual.speed_mps / 100.0,
        h_m: usual.h_m / 100.0,
    }
}

/// Rows read so finely.
fn fine_rows(truth: &Aircraft, seed: u64) -> Vec<SteadyRow> {
    let reading = finely();
    let near = |step: f64, x: f64| (x / step).round() * step;
    let fine = |row: SteadyRow| {
        let flown = trim::at_vertical(&truth.at_mass(row.mass_kg), row.h_m, row.vertical_mps);
        SteadyRow {
            lever: near(reading.lever, flown.lever),
            speed_mps: near(reading.speed_mps, flown.speed_mps),
            ..row
        }
    };
    anywhere(truth, seed).into_iter().map(fine).collect()
}

/// Read a hundred times as finely, rows of three masses and several heights determine the thrust at idle and the angle on speed.
#[test]
fn fine_rows_tell_more() {
    let reading = finely();
    let mut held = Held::default();
    for seed in 0..10 {
        let truth = aeroplane(seed, Drive::Jet);
        let fine = fine_rows(&truth, seed);
        let fitted = fit(
            &fine,
            &Given {
                reading,
                ..given(Some(Drive::Jet))
            },
        )
        .unwrap_or_else(|why| panic!("{seed}: {}", why.message));
        for told in ["idle_fraction", "on_speed_alpha_deg"] {
            assert!(!fitted.report.taken.contains(&told), "{seed}: {told}");
        }
        held.count(&fitted, &truth);
    }
    assert!(
        held.share() >= 0.85,
        "{:?}",
        held.shares().collect::<Vec<_>>()
    );
}

/// An engine without thrust at idle: where the rows drive it there, that is theirs and not the nearest aeroplane's.
#[test]
fn an_idle_that_the_rows_drove_to_nothing_is_not_said_to_be_taken() {
    let (mut driven, mut taken) = (0, 0);
    for seed in 0..6 {
        let mut truth = aeroplane(seed, Drive::Jet);
        truth.engine.idle_fraction = 0.0;
        let given = Given {
            reading: finely(),
            ..given(Some(Drive::Jet))
        };
        let fitted = fit(&fine_rows(&truth, seed), &given)
            .unwrap_or_else(|why| panic!("{seed}: {}", why.message));
        if fitted.aircraft.engine.idle_fraction == 0.0 {
            driven += 1;
            taken += usize::from(fitted.report.taken.contains(&"idle_fraction"));
        }
    }
    assert!(driven > 0);
    assert_eq!(taken, 0, "of {driven}");
}

/// Counts how often the truth lies inside, figure by figure.
#[derive(Default)]
struct Held(BTreeMap<&'static str, (usize, usize)>);

impl Held {
    fn count(&mut self, fitted: &Fit, truth: &Aircraft) {
        let h_m = fitted.report.altitude_ft * FT;
        let truth = truth.at_mass(fitted.aircraft.mass_kg);
        let lever = |deg: f64| 100.0 * trim::on_speed(&truth, h_m, deg * DEG).lever;
        let cl = truth.lift_coefficient(truth.alpha_on_rad);
        for figure in &fitted.report.told {
            let value = match figure.key {
                "on_speed_kt" => trim::on_speed(&truth, h_m, 0.0).speed_mps / KT,
                "level_power_pct" => lever(0.0),
                "three_degrees_down_pct" => lever(-3.0),
                "fpm_per_percent" => fpm_per_percent(&truth, h_m),
                "drag_over_lift" => truth.drag_coefficient(cl) / cl,
                "lift_area_m2" => truth.area_m2 * cl,
                "full_thrust_n" => match truth.engine.kind {
                    EngineKind::Jet { max_thrust_n } => max_thrust_n,
                    EngineKind::Propeller {
                        static_thrust_n, ..
                    } => static_thrust_n,
                },
                "idle_pct" => 100.0 * truth.engine.idle_fraction,
                "on_speed_alpha_deg" => truth.alpha_on_rad / DEG,
                key => panic!("{key} is not known here"),
            };
            let (inside, all) = self.0.entry(figure.key).or_default();
            *inside += usize::from((figure.between.low..=figure.between.high).contains(&value));
            *all += 1;
        }
    }

    fn shares(&self) -> impl Iterator<Item = (&'static str, f64)> {
        self.0
            .iter()
            .map(|(key, (inside, all))| (*key, *inside as f64 / *all as f64))
    }

    fn share(&self) -> f64 {
        let (inside, all) = self
            .0
            .values()
            .fold((0, 0), |sum, one| (sum.0 + one.0, sum.1 + one.1));
        inside as f64 / all as f64
    }
}

/// `cargo test --release --test it -- fit::truth::table --ignored --nocapture`, `SEEDS=n`.
#[test]
#[ignore = "prints a table"]
fn table() {
    let count = std::env::var("SEEDS")
        .ok()
        .and_then(|text| text.parse().ok())
        .unwrap_or(200);
    let shipped = flying::NAMES.map(|name| (name, None));
    let sources = shipped.into_iter().chain([
        ("jets", Some(Drive::Jet)),
        ("propellers", Some(Drive::Propeller)),
    ]);
    let mut all = Held::default();
    for (name, made_up) in sources {
        for (rows, how) in [
            (asked as fn(&Aircraft, u64) -> Vec<SteadyRow>, "as asked"),
            (anywhere, "anywhere"),
        ] {
            let mut held = Held::default();
            let mut apart: Vec<Apart> = Vec::new();
            for seed in 0..count {
                let truth =
                    made_up.map_or_else(|| flying::aircraft(name), |kind| aeroplane(seed, kind));
                let Ok(fitted) = fit(&rows(&truth, seed + 1000), &given(Some(Drive::of(&truth))))
                else {
                    continue;
                };
                apart.push(Apart::of(&fitted.aircraft, &truth));
                held.count(&fitted, &truth);
                all.count(&fitted, &truth);
            }
            println!("{name}, {how}: refused {}", count - apart.len() as u64);
            let near = apart.iter().filter(|apart| apart.is_near()).count();
            let mut levers: Vec<f64> = apart.iter().map(|apart| apart.lever_pct).collect();
            levers.sort_by(f64::total_cmp);
            let (middle, most) = (levers[levers.len() / 2], levers[levers.len() * 19 / 20]);
            println!(
                "  near in {near} of {}; farthest lever of a page: half within {middle:.2} %, 95 of 100 within {most:.2} %",
                apart.len()
            );
            held.shares()
                .for_each(|(key, share)| println!("  {key:<24}{:6.1} %", 100.0 * share));
        }
    }
    println!("inside, all: {:.1} %", 100.0 * all.share());
    assert!(all.share() >= 0.9);
}
