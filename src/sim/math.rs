//! Transcendental functions that give the same bits on every machine, and the digest that proves it.
//!
//! The platform's own `sin`, `exp` and so on differ in their last bits between machines; these are the pure-Rust ones
//! of `libm`. Square root is exact by IEEE 754 and needs no substitute.

/// Sine of an angle in rad.
pub fn sin(x_rad: f64) -> f64 {
    libm::sin(x_rad)
}

/// Cosine of an angle in rad.
pub fn cos(x_rad: f64) -> f64 {
    libm::cos(x_rad)
}

/// Sine and cosine of an angle in rad.
pub fn sin_cos(x_rad: f64) -> (f64, f64) {
    libm::sincos(x_rad)
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
pub fn atan2(y: f64, x: f64) -> f64 {
    libm::atan2(y, x)
}

/// e to the x.
pub fn exp(x: f64) -> f64 {
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

/// A running 64-bit FNV-1a hash over the bits of numbers (parameters from the FNV authors' public reference).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Digest(u64);

impl Default for Digest {
    fn default() -> Self {
        Digest(0xcbf2_9ce4_8422_2325)
    }
}

impl Digest {
    /// Takes in one number. Both zeros count as one.
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
