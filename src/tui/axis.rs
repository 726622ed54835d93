//! A throttle or joystick axis as a lever: the records of a Linux joystick device, read like any file.

use std::fs::File;
use std::io::{self, Read};
use std::path::PathBuf;

use serde::{Deserialize, Serialize};

/// Bytes of a record: time, value, type, number (Linux kernel, `Documentation/input/joydev/joystick-api.rst`).
const RECORD: usize = 8;
/// Type of a record that reports an axis; `FIRST` is added in the initial records, which report the state of everything.
const AXIS: u8 = 0x02;
const FIRST: u8 = 0x80;

/// This share of the travel at either end counts as the end: few axes come back to the same value there.
const END: f64 = 0.02;
/// Least travel from power off to full that can be flown with, out of a possible 65,535.
const LEAST_TRAVEL: u16 = 1000;

/// Where an axis stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AxisReport {
    /// Its number.
    pub axis: u8,
    /// -32,767 to 32,767.
    pub value: i16,
}

/// The reports of axes in a stream of records, until it ends; buttons are left out, as is half a record at its end.
pub fn reports(mut records: impl Read) -> impl Iterator<Item = io::Result<AxisReport>> {
    std::iter::from_fn(move || {
        let mut record = [0; RECORD];
        loop {
            match records.read_exact(&mut record) {
                Err(error) if error.kind() == io::ErrorKind::UnexpectedEof => return None,
                Err(error) => return Some(Err(error)),
                Ok(()) if record[6] & !FIRST == AXIS => {
                    let (value, axis) = (i16::from_ne_bytes([record[4], record[5]]), record[7]);
                    return Some(Ok(AxisReport { axis, value }));
                }
                Ok(()) => {}
            }
        }
    })
}

/// An axis set up as the lever.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Calibration {
    /// Its device file.
    pub device: PathBuf,
    /// Its number.
    pub axis: u8,
    /// Its value at power off; above `full` where it is reversed.
    pub off: i16,
    /// Its value at full power.
    pub full: i16,
    /// The dead zone, % of the lever's travel: a smaller change is noise of the axis, not a move of the hand.
    pub dead: f64,
}

impl Calibration {
    /// What is wrong with it, if anything is.
    pub fn fault(&self) -> Option<String> {
        let travel = self.off.abs_diff(self.full);
        if travel < LEAST_TRAVEL {
            return Some(format!(
                "axis {} moves by {travel} from power off to full; at least {LEAST_TRAVEL} are needed",
                self.axis
            ));
        }
        (!(0.0..=20.0).contains(&self.dead))
            .then(|| format!("a dead zone of {} %; 0 to 20 would be right", self.dead))
    }

    /// The lever, 0..1, for a value of the axis.
    pub fn lever(&self, value: i16) -> f64 {
        let (value, off, full) = (f64::from(value), f64::from(self.off), f64::from(self.full));
        let travelled = (value - off) / (full - off);
        ((travelled - END) / (1.0 - 2.0 * END)).clamp(0.0, 1.0)
    }

    /// Reads the device and passes every move of the lever to `wants_more`, until that returns false or the device is gone.
    ///
    /// # Errors
    /// Where it cannot be read.
    pub fn follow(&self, mut wants_more: impl FnMut(f64) -> bool) -> io::Result<()> {
        let mut last: Option<f64> = None;
        for report in reports(File::open(&self.device)?) {
            let report = report?;
            if report.axis != self.axis {
                continue;
            }
            let at = self.lever(report.value);
            // The ends are always reported, however small the last change.
            let is_end = at == 0.0 || at == 1.0;
            let is_moved = last
                .is_none_or(|last| (at - last).abs() > self.dead / 100.0 || is_end && at != last);
            if is_moved {
                last = Some(at);
                if !wants_more(at) {
                    break;
                }
            }
        }
        Ok(())
    }
}
