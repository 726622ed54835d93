//! The model's own series against `libm` (a port of FreeBSD's msun), on both sides of the limits of the series.

use approx::assert_relative_eq;
use leveloff::sim::math::{atan2, cos, exp, sin, sin_cos};

#[test]
fn series_are_right_to_the_last_bits() {
    let close = |ours: f64, libm: f64| assert_relative_eq!(ours, libm, max_relative = 5e-16);
    for n in -6000..=6000 {
        let x = f64::from(n) * 1e-4;
        let (sine, cosine) = sin_cos(x);
        close(sine, sin(x));
        close(cosine, cos(x));
        close(exp(x), libm::exp(x));
        for along in [0.7, 60.0] {
            close(atan2(x * along, along), libm::atan2(x * along, along));
            assert_eq!(atan2(x, -along), libm::atan2(x, -along));
        }
    }
    assert!(
        atan2(f64::NAN, 1.0).is_nan() && exp(f64::NAN).is_nan() && sin_cos(f64::NAN).0.is_nan()
    );
    assert_eq!(atan2(0.0, 0.0), 0.0);
    assert_eq!((exp(0.0), sin_cos(0.0)), (1.0, (0.0, 1.0)));
}
