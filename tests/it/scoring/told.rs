//! Figures as they are told, and how they spread.

use leveloff::score::metrics::METRICS;
use leveloff::score::{Figure, Key, Spread};

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
