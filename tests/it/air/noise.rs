//! The white noise; and that the air depends only on it and the flight: same seed, same bits.

use super::{behind_ship, gusty, mean};
use approx::{assert_abs_diff_eq, assert_relative_eq};
use leveloff::sim::air::filter::{FirstOrder, Pair, SecondOrder};
use leveloff::sim::air::noise::{Noise, Stream};
use leveloff::sim::air::{Air, AirSpec, dryden, wake};
use leveloff::sim::math::{Digest, sin};
use leveloff::units::TICK_S;

#[test]
fn deviates_have_mean_zero_and_variance_one() {
    // Four integers spread evenly over 0..2^16 - 1 have the variance 4 (2^32 - 1)/12.
    let step = 2.642_899_792_130_301_4e-5;
    assert_relative_eq!(step * step * (4_294_967_295.0 / 3.0), 1.0, epsilon = 1e-15);

    let n = 1_000_000;
    let mut noise = Noise::new(42, Stream::GustU);
    let deviates: Vec<f64> = (0..n).map(|_| noise.normal()).collect();
    let moment = |k: i32| mean(deviates.iter().map(|x| x.powi(k)));
    // Kurtosis of a sum of four even deviates is 3 - 1.2/4 = 2.7; errors about sqrt(1/n), sqrt(1.7/n), sqrt(38/n).
    assert_abs_diff_eq!(moment(1), 0.0, epsilon = 3.0e-3);
    assert_abs_diff_eq!(moment(2), 1.0, epsilon = 4.0e-3);
    assert_abs_diff_eq!(moment(4), 2.7, epsilon = 2.0e-2);
    for lag in [1, 2, 3, 7] {
        let product = mean(deviates.windows(lag + 1).map(|w| w[0] * w[lag]));
        assert_abs_diff_eq!(product, 0.0, epsilon = 4.0e-3);
    }
    assert!(deviates.iter().all(|x| x.abs() < 3.47));
}

#[test]
fn neighbouring_seeds_and_streams_are_unrelated() {
    let n = 20_000;
    let take = |seed, stream| {
        let mut noise = Noise::new(seed, stream);
        (0..n).map(|_| noise.normal()).collect::<Vec<f64>>()
    };
    let rows = [
        take(0, Stream::GustU),
        take(1, Stream::GustU),
        take(2, Stream::GustU),
        take(3, Stream::GustU),
        take(0, Stream::GustW),
        take(1, Stream::GustW),
        take(u64::MAX, Stream::ShipW),
    ];
    for (i, a) in rows.iter().enumerate() {
        for b in &rows[..i] {
            let correlation = mean(a.iter().zip(b).map(|(x, y)| x * y));
            assert!(
                correlation.abs() < 4.0 / f64::from(n).sqrt(),
                "{correlation}"
            );
        }
    }
    // The first deviates, over consecutive seeds, are distributed like the later ones.
    let firsts: Vec<f64> = (0..n as u64)
        .map(|seed| Noise::new(seed, Stream::GustU).normal())
        .collect();
    assert_abs_diff_eq!(mean(firsts.iter().copied()), 0.0, epsilon = 0.03);
    assert_abs_diff_eq!(mean(firsts.iter().map(|x| x * x)), 1.0, epsilon = 0.04);
}

/// The speed and height of a flight that wanders.
fn wandering(tick: u64) -> (f64, f64) {
    let t_s = tick as f64 * TICK_S;
    (
        60.0 + 12.0 * sin(0.3 * t_s),
        120.0 - 110.0 * sin(0.11 * t_s),
    )
}

#[test]
fn white_noise_does_not_depend_on_the_flight() {
    // Undoing the filter recovers the deviates from the gusts: two flights have the same noise, that of the stream.
    let spec = gusty(10.0);
    let recovered = |flight: fn(u64) -> (f64, f64)| {
        let mut air = Air::new(&spec, 77);
        let mut before = 0.0;
        let mut deviates = vec![];
        for tick in 0..3000 {
            let (speed_mps, height_m) = flight(tick);
            let s = dryden::scales(height_m, spec.u20_mps);
            let x = air.sample(tick, speed_mps, height_m, None).gust_u_mps / s.sigma_u_mps;
            let filter = FirstOrder::new(speed_mps / s.l_u_m, TICK_S);
            deviates.push(if tick == 0 {
                x
            } else {
                (x - filter.phi * before) / filter.l
            });
            before = x;
        }
        deviates
    };
    let mut noise = Noise::new(77, Stream::GustU);
    for (a, b) in recovered(wandering)
        .into_iter()
        .zip(recovered(|_| (50.0, 90.0)))
    {
        let n = noise.normal();
        assert_abs_diff_eq!(a, n, epsilon = 1e-10);
        assert_abs_diff_eq!(b, n, epsilon = 1e-10);
    }
}

#[test]
fn vertical_gust_is_its_stream_through_its_filter() {
    let spec = gusty(10.0);
    let mut air = Air::new(&spec, 77);
    let mut noise = Noise::new(77, Stream::GustW);
    let mut state = Pair { p: 0.0, q: 0.0 };
    for tick in 0..3000 {
        let (speed_mps, height_m) = wandering(tick);
        let s = dryden::scales(height_m, spec.u20_mps);
        let n = [noise.normal(), noise.normal()];
        state = match tick {
            0 => SecondOrder::start(n),
            _ => SecondOrder::new(speed_mps / s.l_w_m, TICK_S).step(state, n),
        };
        let wind = air.sample(tick, speed_mps, height_m, None);
        assert_eq!(wind.gust_w_mps, s.sigma_w_mps * state.output());
    }
}

#[test]
fn noise_around_a_ship_does_not_depend_on_the_flight() {
    // Two flights that meet at one place: the ship's air differs later, the deviates do not. At rest the free air stands still,
    // so a later step shows only the deviate of its own tick.
    let spec = behind_ship(25.0, 0.0);
    let last = |flight: fn(u64) -> (f64, Option<f64>)| {
        let mut air = Air::new(&spec, 5);
        let mut winds = vec![];
        for tick in 0..500 {
            let (speed_mps, x_m) = flight(tick);
            winds.push(air.sample(tick, speed_mps, 50.0, x_m));
        }
        // So fast that nothing of the past is left: the state is the deviate.
        air.sample(500, 1e9, 50.0, None)
    };
    let a = last(|_| (67.0, None));
    let b = last(|tick| (40.0 + tick as f64 * 0.1, Some(-1000.0 + tick as f64)));
    assert_eq!(a, b);
    let n = (0..=500)
        .scan(Noise::new(5, Stream::FreeU), |noise, _| {
            Some(noise.normal())
        })
        .last();
    assert_abs_diff_eq!(
        -a.gust_u_mps / wake::free_air_mps().u,
        n.unwrap(),
        epsilon = 1e-12
    );
}

/// Digest of all samples.
fn digest(spec: &AirSpec, seed: u64) -> String {
    let mut air = Air::new(spec, seed);
    let mut digest = Digest::default();
    for tick in 0..5000 {
        let (speed_mps, height_m) = wandering(tick);
        let x_m = -1500.0 + 0.4 * tick as f64;
        let wind = air.sample(tick, speed_mps, height_m, Some(x_m));
        for number in [wind.headwind_mps, wind.gust_u_mps, wind.gust_w_mps] {
            digest.add(number);
        }
    }
    digest.hex()
}

#[test]
fn same_bits_every_time() {
    let gusty = AirSpec {
        headwind_mps: 5.0,
        ..gusty(12.0)
    };
    let ship = AirSpec {
        headwind_mps: 5.0,
        ..behind_ship(18.0, 1.5)
    };
    for spec in [&gusty, &ship] {
        assert_eq!(digest(spec, 1), digest(spec, 1));
        assert_ne!(digest(spec, 1), digest(spec, 2));
    }
    // Kept from the first machine. A change here means another model for every recording flown in gusts or behind a ship.
    assert_eq!(digest(&gusty, 1), "89ef5e323fcf8012");
    assert_eq!(digest(&ship, 1), "e4a7e2e64f8de620");
}

#[test]
fn a_clone_continues_identically() {
    for spec in [gusty(12.0), behind_ship(18.0, 1.5)] {
        let mut air = Air::new(&spec, 4);
        for tick in 0..300 {
            air.sample(tick, 60.0, 90.0, Some(-700.0));
        }
        let mut clone = air.clone();
        for tick in 300..900 {
            let (speed_mps, height_m) = wandering(tick);
            let x_m = Some(-700.0 + tick as f64);
            assert_eq!(
                air.sample(tick, speed_mps, height_m, x_m),
                clone.sample(tick, speed_mps, height_m, x_m)
            );
        }
    }
}

#[test]
fn hushed_deviates_are_their_mean() {
    let mut noise = Noise::new(1, Stream::GustU);
    assert_ne!(noise.normal(), 0.0);
    noise.hush();
    assert_eq!([noise.normal(), noise.normal()], [0.0, 0.0]);
}
