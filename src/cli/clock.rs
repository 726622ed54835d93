//! The clock and the one random draw.

use std::time::SystemTime;

use rand::TryRng;
use rand::rngs::SysRng;

/// The second day of the year 0, which is in that year in every time zone.
const YEAR_0_S: i64 = -62_167_132_800;

/// The local time, RFC 3339 to the second, with its offset.
pub fn now() -> String {
    told(SystemTime::now())
}

/// A time in the form that files use; one that a wrong clock puts beyond the years 0 to 9999 is clamped to them.
pub fn told(time: SystemTime) -> String {
    let earliest = jiff::Timestamp::from_second(YEAR_0_S).unwrap_or(jiff::Timestamp::MIN);
    let latest = jiff::Timestamp::MAX;
    let time = jiff::Timestamp::try_from(time).unwrap_or(match time < SystemTime::UNIX_EPOCH {
        true => earliest,
        false => latest,
    });
    time.max(earliest)
        .to_zoned_datetime(jiff::tz::TimeZone::system())
        .strftime("%Y-%m-%dT%H:%M:%S%:z")
        .to_string()
}

/// A random seed, below 2^32 so that it survives tools that keep every number as a double.
pub fn draw_seed() -> u64 {
    match SysRng.try_next_u32() {
        Ok(seed) => u64::from(seed),
        // Without a random source, any number that differs from run to run will do.
        Err(_) => {
            let since = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH);
            since.map_or(0, |since| u64::from(since.subsec_nanos()))
        }
    }
}
