//! The clock and the one random draw.

use rand::TryRng;
use rand::rngs::SysRng;

/// The local time, RFC 3339 to the second, with its offset.
pub fn now() -> String {
    jiff::ZonedDateTime::now()
        .strftime("%Y-%m-%dT%H:%M:%S%:z")
        .to_string()
}

/// A seed nobody chose, below 2^32 so that it survives tools that keep every number as a double.
pub fn draw_seed() -> u64 {
    match SysRng.try_next_u32() {
        Ok(seed) => u64::from(seed),
        // Without a random source any number serves that differs from run to run.
        Err(_) => u64::from(jiff::Timestamp::now().as_nanosecond() as u32),
    }
}
