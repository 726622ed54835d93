//! The gust filters: exact in time, checked by iterating the covariance, without sampling error.

use approx::{assert_abs_diff_eq, assert_relative_eq};
use leveloff::sim::air::filter::{FirstOrder, Pair, SecondOrder};
use leveloff::units::TICK_S;

/// The covariance of a [`Pair`].
#[derive(Clone, Copy)]
struct Covariance {
    pp: f64,
    pq: f64,
    qq: f64,
}

impl Covariance {
    const STATIONARY: Covariance = Covariance {
        pp: 1.0,
        pq: std::f64::consts::FRAC_1_SQRT_2,
        qq: 1.0,
    };

    /// Variance of the output.
    fn output(self) -> f64 {
        let weight = |p, q| Pair { p, q }.output();
        let (p, q) = (weight(1.0, 0.0), weight(0.0, 1.0));
        p * p * self.pp + 2.0 * p * q * self.pq + q * q * self.qq
    }

    /// The covariance one step of the filter later, by its coefficients.
    fn step(self, by: SecondOrder) -> Covariance {
        let (f, k) = (by.phi, by.coupling);
        Covariance {
            pp: f * f * self.pp + by.l11 * by.l11,
            pq: f * (f * self.pq + k * self.pp) + by.l11 * by.l21,
            qq: f * f * self.qq
                + 2.0 * f * k * self.pq
                + k * k * self.pp
                + by.l21 * by.l21
                + by.l22 * by.l22,
        }
    }
}

/// The variance of a first-order filter's state one step later.
fn variance_after(variance: f64, by: FirstOrder) -> f64 {
    by.phi * by.phi * variance + by.l * by.l
}

#[test]
fn covariance_holds_for_a_million_steps() {
    // Heights of 10, 100 and 1000 ft and speeds of 30 and 75 m/s: corners from 0.1 to 25 rad/s; the last is past the series.
    for rate_per_s in [0.1, 0.246, 2.0, 10.0, 24.6, 40.0] {
        let first = FirstOrder::new(rate_per_s, TICK_S);
        let second = SecondOrder::new(rate_per_s, TICK_S);
        let (mut variance, mut covariance) = (1.0, Covariance::STATIONARY);
        for _ in 0..1_000_000 {
            variance = variance_after(variance, first);
            covariance = covariance.step(second);
        }
        assert_abs_diff_eq!(variance, 1.0, epsilon = 1e-12);
        assert_abs_diff_eq!(covariance.output(), 1.0, epsilon = 1e-12);
        assert_abs_diff_eq!(covariance.pp, 1.0, epsilon = 1e-12);
        assert_abs_diff_eq!(covariance.pq, 0.5_f64.sqrt(), epsilon = 1e-12);
        assert_abs_diff_eq!(covariance.qq, 1.0, epsilon = 1e-12);
    }
}

#[test]
fn covariance_holds_while_the_corner_moves() {
    let (mut variance, mut covariance) = (1.0, Covariance::STATIONARY);
    for n in 0..1_000_000_u32 {
        let rate_per_s = 0.05 + 30.0 * (0.5 + 0.5 * (f64::from(n) * 1e-3).sin());
        variance = variance_after(variance, FirstOrder::new(rate_per_s, TICK_S));
        covariance = covariance.step(SecondOrder::new(rate_per_s, TICK_S));
    }
    assert_abs_diff_eq!(variance, 1.0, epsilon = 1e-12);
    assert_abs_diff_eq!(covariance.output(), 1.0, epsilon = 1e-12);
}

#[test]
fn covariance_is_reached_from_nothing() {
    // The driving terms alone lead to variance one. A right start would not hide a wrong term for long; this shows it at once.
    let first = FirstOrder::new(2.0, TICK_S);
    let second = SecondOrder::new(2.0, TICK_S);
    let (mut variance, mut covariance) = (
        0.0,
        Covariance {
            pp: 0.0,
            pq: 0.0,
            qq: 0.0,
        },
    );
    for _ in 0..2_000 {
        variance = variance_after(variance, first);
        covariance = covariance.step(second);
    }
    assert_abs_diff_eq!(variance, 1.0, epsilon = 1e-12);
    assert_abs_diff_eq!(covariance.output(), 1.0, epsilon = 1e-12);
}

#[test]
fn one_step_equals_many_short_ones() {
    // Exact discretisation: the covariance after one tick is that after 1000 thousandths of it, from any start.
    for rate_per_s in [1e-3, 0.3, 20.0, 31.9, 32.1, 100.0] {
        let start = Covariance {
            pp: 0.3,
            pq: -0.1,
            qq: 2.0,
        };
        let whole = start.step(SecondOrder::new(rate_per_s, TICK_S));
        let short = SecondOrder::new(rate_per_s, TICK_S / 1000.0);
        let parts = (0..1000).fold(start, |c: Covariance, _| c.step(short));
        assert_relative_eq!(whole.pp, parts.pp, max_relative = 1e-11);
        assert_relative_eq!(whole.pq, parts.pq, max_relative = 1e-11);
        assert_relative_eq!(whole.qq, parts.qq, max_relative = 1e-11);
        let whole = variance_after(0.3, FirstOrder::new(rate_per_s, TICK_S));
        let short = FirstOrder::new(rate_per_s, TICK_S / 1000.0);
        assert_relative_eq!(
            whole,
            (0..1000).fold(0.3, |v, _| variance_after(v, short)),
            max_relative = 1e-11
        );
    }
    // The same from the coefficients: the propagated state is that of the differential equation.
    let (rate_per_s, start) = (2.0, Pair { p: 1.0, q: 0.0 });
    let whole = SecondOrder::new(rate_per_s, 0.5).step(start, [0.0; 2]);
    assert_relative_eq!(whole.p, (-1.0_f64).exp(), max_relative = 1e-14);
    assert_relative_eq!(
        whole.q,
        2.0_f64.sqrt() * (-1.0_f64).exp(),
        max_relative = 1e-14
    );
}

#[test]
fn filters_are_sound_at_the_ends() {
    for rate_per_s in [0.0, 1e-300, 1e-20, 1e-9, 1e6] {
        let second = SecondOrder::new(rate_per_s, TICK_S);
        let c = Covariance::STATIONARY.step(second);
        assert_abs_diff_eq!(c.output(), 1.0, epsilon = 1e-14);
        assert_abs_diff_eq!(
            variance_after(1.0, FirstOrder::new(rate_per_s, TICK_S)),
            1.0,
            epsilon = 1e-14
        );
    }
    let held = SecondOrder::new(0.0, TICK_S).step(Pair { p: 0.4, q: 0.9 }, [1.0, 1.0]);
    assert_eq!(held, Pair { p: 0.4, q: 0.9 });
}
