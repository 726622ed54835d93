//! Transcendental functions that give the same bits on every machine, and the digest that proves it.
//!
//! The platform's own `sin`, `exp` and so on differ in their last bits between machines. These are the pure-Rust ones of
//! `libm` and, in the range where a flight's arguments nearly always lie, power series that are several times as fast: the
//! terms left out there are less than a quarter of the last bit. Square root is exact by IEEE 754 and needs no substitute.

/// Angle up to which sine and cosine are computed by their series, rad.
const SMALL_ANGLE_RAD: f64 = 0.5;
/// Slope up to which its angle is computed by the series.
const SMALL_SLOPE: f64 = 0.2;
/// Exponent up to which e to the x is computed by its series.
const SMALL_EXPONENT: f64 = 0.03125;

const SINE: [f64; 8] = every_other(inverse_factorials::<16>(), 1);
const COSINE: [f64; 8] = every_other(inverse_factorials::<16>(), 0);
const ARCTANGENT: [f64; 12] = {
    let mut series = [0.0; 12];
    let mut i = 0;
    while i < 12 {
        series[i] = (1.0 - 2.0 * (i % 2) as f64) / (2 * i + 1) as f64;
        i += 1;
    }
    series
};
const EXPONENTIAL: [f64; 8] = inverse_factorials();

/// 1/0!, 1/1!, 1/2!, ...
pub const fn inverse_factorials<const N: usize>() -> [f64; N] {
    let mut series = [1.0; N];
    let mut i = 1;
    while i < N {
        series[i] = series[i - 1] / i as f64;
        i += 1;
    }
    series
}

/// Every other term from index `first` on, with alternating signs.
const fn every_other<const N: usize, const M: usize>(terms: [f64; N], first: usize) -> [f64; M] {
    let mut series = [0.0; M];
    let mut i = 0;
    while i < M {
        series[i] = (1.0 - 2.0 * (i % 2) as f64) * terms[2 * i + first];
        i += 1;
    }
    series
}

/// The coefficients of the series of (1 + x)^n.
pub const fn binomial<const N: usize>(n: f64) -> [f64; N] {
    let mut series = [1.0; N];
    let mut i = 1;
    while i < N {
        series[i] = series[i - 1] * (n - (i - 1) as f64) / i as f64;
        i += 1;
    }
    series
}

/// A polynomial in x with a multiple of four terms, the constant first: Horner's rule in x^4, since a processor works out
/// the groups of four in parallel. It must be inlined: a call costs as much as the series.
#[inline(always)]
pub fn polynomial<const N: usize>(terms: &[f64; N], x: f64) -> f64 {
    const { assert!(N > 0 && N.is_multiple_of(4)) };
    let square = x * x;
    let four =
        |i: usize| (terms[i] + terms[i + 1] * x) + (terms[i + 2] + terms[i + 3] * x) * square;
    let mut sum = four(N - 4);
    for i in (0..N / 4 - 1).rev() {
        sum = sum * (square * square) + four(4 * i);
    }
    sum
}

/// Sine of an angle in rad.
pub fn sin(x_rad: f64) -> f64 {
    libm::sin(x_rad)
}

/// Cosine of an angle in rad.
pub fn cos(x_rad: f64) -> f64 {
    libm::cos(x_rad)
}

/// Sine and cosine of an angle in rad.
#[inline]
pub fn sin_cos(x_rad: f64) -> (f64, f64) {
    if x_rad.abs() > SMALL_ANGLE_RAD {
        return libm::sincos(x_rad);
    }
    let square = x_rad * x_rad;
    (
        x_rad * polynomial(&SINE, square),
        polynomial(&COSINE, square),
    )
}

/// Tangent of an angle in rad.
pub fn tan(x_rad: f64) -> f64 {
    libm::tan(x_rad)
}

/// Angle in rad whose sine is `x`, within +-pi/2; not a number outside -1..1.
pub fn asin(x: f64) -> f64 {
    libm::asin(x)
}

/// Angle in rad of the vector (x, y), -pi..pi.
#[inline]
pub fn atan2(y: f64, x: f64) -> f64 {
    let slope = y / x;
    if x > 0.0 && slope.abs() <= SMALL_SLOPE {
        return slope * polynomial(&ARCTANGENT, slope * slope);
    }
    libm::atan2(y, x)
}

/// e to the x.
#[inline]
pub fn exp(x: f64) -> f64 {
    if x.abs() <= SMALL_EXPONENT {
        return polynomial(&EXPONENTIAL, x);
    }
    libm::exp(x)
}

/// Natural logarithm.
pub fn ln(x: f64) -> f64 {
    libm::log(x)
}

/// x to the y.
pub fn pow(x: f64, y: f64) -> f64 {
    libm::pow(x, y)
}

/// Square root.
pub fn sqrt(x: f64) -> f64 {
    x.sqrt()
}

/// The lowest and the highest of some values.
pub fn range(values: impl IntoIterator<Item = f64>) -> (f64, f64) {
    let nothing = (f64::INFINITY, f64::NEG_INFINITY);
    let with = |(low, high): (f64, f64), value| (low.min(value), high.max(value));
    values.into_iter().fold(nothing, with)
}

/// The interval left after `times` halvings of `ends`: `is_beyond` holds at its upper end and not at its lower end.
pub fn halved(times: usize, ends: (f64, f64), is_beyond: impl Fn(f64) -> bool) -> (f64, f64) {
    let (mut low, mut high) = ends;
    for _ in 0..times {
        let middle = 0.5 * (low + high);
        match is_beyond(middle) {
            true => high = middle,
            false => low = middle,
        }
    }
    (low, high)
}

/// A running 64-bit FNV-1a hash over the bits of numbers (parameters from the FNV authors' public reference).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Digest(u64);

impl Default for Digest {
    fn default() -> Self {
        Digest(0xcbf2_9ce4_8422_2325)
    }
}

impl Digest {
    /// Takes in one number. Both zeros count as the same number.
    pub fn add(&mut self, x: f64) {
        self.add_bytes(&(x + 0.0).to_bits().to_le_bytes());
    }

    /// Takes in bytes.
    pub fn add_bytes(&mut self, bytes: &[u8]) {
        for &byte in bytes {
            self.0 = (self.0 ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
    }

    /// Sixteen hexadecimal digits.
    pub fn hex(self) -> String {
        format!("{:016x}", self.0)
    }
}
