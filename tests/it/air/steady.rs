//! The steady wind, MIL-F-8785C (1980) 3.7.3.2.

use super::{behind_ship, gusty};
use approx::assert_abs_diff_eq;
use leveloff::sim::air::{
    Air, AirSpec, REFERENCE_HEIGHT_M, Shift, Wind, log_profile, wind_over_deck,
};
use leveloff::units::{FT, KT};

#[test]
fn steady_wind_follows_the_logarithm() {
    // MIL-F-8785C 3.7.3.2 with z0 0.15 ft: u(200 ft)/u20 = 1.47060; a wind of 15 kt at 20 ft loses 7.06 kt from 200 to 20 ft.
    let z0_m = AirSpec::default().roughness_m;
    let at = |height_ft: f64| log_profile(15.0 * KT, z0_m, height_ft * FT) / KT;
    assert_abs_diff_eq!(at(200.0) / 15.0, 1.470_60, epsilon = 5e-6);
    assert_abs_diff_eq!(at(200.0) - at(20.0), 7.06, epsilon = 5e-3);
    assert_abs_diff_eq!(at(20.0), 15.0, epsilon = 1e-12);
    // Held below the larger of 1 ft and the roughness.
    assert_eq!(at(0.3), at(1.0));
    assert_eq!(at(-5.0), at(1.0));
    assert!(at(1.0) > 0.0 && at(1.1) > at(1.0));
    assert_eq!(log_profile(10.0, 8.0 * FT, 3.0 * FT), 0.0);
}

#[test]
fn steady_wind_alone_is_sampled_as_forecast() {
    let spec = AirSpec {
        headwind_mps: -6.0,
        ..AirSpec::default()
    };
    let mut air = Air::new(&spec, 1);
    assert!(!air.is_still());
    for (tick, height_m) in [(0, 200.0), (1, 80.0), (2, 3.0)] {
        let wind = air.sample(tick, 60.0, height_m, None);
        assert_eq!(wind, air.mean(height_m));
        assert_eq!(
            wind.headwind_mps,
            log_profile(-6.0, spec.roughness_m, height_m)
        );
        assert_eq!((wind.gust_u_mps, wind.gust_w_mps), (0.0, 0.0));
    }
}

#[test]
fn still_air_is_still() {
    let mut air = Air::new(&AirSpec::default(), 7);
    assert!(air.is_still());
    assert_eq!(air.sample(0, 60.0, 100.0, None), Wind::default());
    assert!(!Air::new(&gusty(4.0), 7).is_still());
    assert!(!Air::new(&behind_ship(0.0, 0.0), 7).is_still());
}

#[test]
fn wind_over_deck_adds_ship_and_headwind_at_deck_height() {
    let mut spec = behind_ship(15.0, 0.0);
    assert_abs_diff_eq!(wind_over_deck(&spec), 15.0 * KT, epsilon = 1e-12);
    spec.headwind_mps = 10.0 * KT;
    // ln(60/0.15)/ln(20/0.15) = 1.224527, by hand from the profile.
    assert_abs_diff_eq!(wind_over_deck(&spec) / KT, 15.0 + 12.245_27, epsilon = 1e-4);
    assert_eq!(wind_over_deck(&gusty(8.0)), 0.0);
}

#[test]
fn the_steady_wind_that_may_be_known_is_that_of_the_tick_to_come() {
    let spec = AirSpec {
        shift: Some(Shift {
            by_mps: 8.0,
            at_s: 0.0,
            over_s: 10.0,
        }),
        ..AirSpec::default()
    };
    let mut air = Air::new(&spec, 0);
    for tick in 0..640 {
        let known = air.mean(60.0);
        assert_eq!(air.sample(tick, 67.0, 60.0, None), known, "{tick}");
    }
}

#[test]
fn a_shift_changes_the_wind_evenly_when_it_is_due_and_stays() {
    let spec = AirSpec {
        headwind_mps: 4.0,
        shift: Some(Shift {
            by_mps: -6.0,
            at_s: 10.0,
            over_s: 20.0,
        }),
        ..AirSpec::default()
    };
    let mut air = Air::new(&spec, 0);
    let winds: Vec<f64> = (0..64 * 40)
        .map(|tick| {
            air.sample(tick, 60.0, REFERENCE_HEIGHT_M, None)
                .headwind_mps
        })
        .collect();
    for (at_s, wanted) in [
        (0, 4.0),
        (10, 4.0),
        (20, 1.0),
        (25, -0.5),
        (30, -2.0),
        (39, -2.0),
    ] {
        assert!(
            (winds[64 * at_s] - wanted).abs() < 1e-9,
            "{at_s}: {}",
            winds[64 * at_s]
        );
    }
    let most = winds.windows(2).map(|pair| (pair[1] - pair[0]).abs());
    assert!(
        most.fold(0.0, f64::max) < 6.0 / 20.0 / 64.0 + 1e-9,
        "no jump"
    );
    let still = AirSpec {
        headwind_mps: 0.0,
        ..spec
    };
    assert!(!Air::new(&still, 0).is_still());
}
