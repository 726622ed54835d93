//! A judged track: what it was read from, and what there is to say about that.

use serde::Serialize;

use super::json::Report;
use crate::drill::reader::plain;

/// What is reported about a track in addition to what is reported about any run.
#[derive(Clone, Debug, Serialize)]
pub struct Judged {
    pub file: String,
    /// Number of its rows with an altitude.
    pub rows: usize,
    /// Rows per second, the median.
    pub rows_per_s: f64,
    /// Noise of its altitude, ft, root mean square.
    pub noise_ft: f64,
    /// The noise that remains in vertical speed, ft/min.
    pub vertical_noise_fpm: f64,
    /// When the drill begins on the track's own clock, s: the run's times count from there.
    pub begin_s: f64,
    /// How that was found.
    pub found: String,
    /// Stretches without rows, on the track's own clock.
    pub gaps: Vec<Gap>,
    /// What is missing from the track, of `lever`, `speed`, `alpha`; `vertical` where noise hides the vertical speed, `moments`
    /// where it is known but not from moment to moment. Figures computed from these are null.
    pub missing: Vec<&'static str>,
    /// For each leg, how far the model departs from it with the same lever; empty without a lever.
    pub model: Vec<ModelApart>,
    /// What altitude alone shows about legs without a bill.
    pub by_altitude: Vec<String>,
}

/// A stretch without rows.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Gap {
    /// Time of the last row before it, s.
    pub from_s: f64,
    /// Time of the first row after it, s.
    pub to_s: f64,
    /// Whether it was filled in; if not, what comes after it is not judged.
    pub bridged: bool,
}

/// How far the model departs from a leg.
#[derive(Clone, Debug, Serialize)]
pub struct ModelApart {
    /// The task's number for people.
    pub task: String,
    /// The greatest distance, ft.
    pub apart_ft: f64,
    /// The limit of that distance up to which the bill is shown, ft.
    pub limit_ft: f64,
}

/// The result as JSON: that of any run, and `track`.
#[derive(Serialize)]
pub struct JudgedReport<'a> {
    /// The same as for any run.
    #[serde(flatten)]
    pub report: Report<'a>,
    pub track: &'a Judged,
}

/// Less noise than this is not mentioned, ft.
const NOISY_FT: f64 = 1.0;

impl Judged {
    /// The same in sentences; the first says where it was read.
    pub fn told(&self) -> Vec<String> {
        let tenth = |x: f64| plain((10.0 * x).round() / 10.0 + 0.0);
        let mut told = vec![format!(
            "read from {}: {} rows, {} a second; the drill begins at {} s on its clock: {}",
            self.file,
            self.rows,
            tenth(self.rows_per_s),
            tenth(self.begin_s),
            self.found
        )];
        if !self.missing.is_empty() {
            let names: Vec<&str> = self
                .missing
                .iter()
                .map(|name| match *name {
                    "speed" => "airspeed",
                    "alpha" => "angle of attack",
                    "vertical" => "vertical speed (noise hides it)",
                    "moments" => "vertical speed from moment to moment",
                    name => name,
                })
                .collect();
            let points = match self.missing.contains(&"lever") {
                true => " Points and the bill need the lever.",
                false => "",
            };
            told.push(format!(
                "Not in the track, so no figures come from it: {}.{points}",
                names.join(", ")
            ));
        }
        for gap in &self.gaps {
            let (from, to) = (tenth(gap.from_s), tenth(gap.to_s));
            let so = match gap.bridged {
                true => "the flight between is guessed",
                false => "the judging ends there",
            };
            told.push(format!("No rows from {from} to {to} s of the track: {so}."));
        }
        if self.noise_ft >= NOISY_FT {
            // Where the track itself has the vertical speed, none is taken from the altitude.
            let so = match self.vertical_noise_fpm {
                0.0 => String::new(),
                fpm => format!("; smoothed, vertical speed is known to within {fpm:.0} ft/min"),
            };
            told.push(format!(
                "The altitude has {:.1} ft of noise{so}.",
                self.noise_ft
            ));
        }
        let (near, far): (Vec<&ModelApart>, Vec<&ModelApart>) = self
            .model
            .iter()
            .partition(|model| model.apart_ft <= model.limit_ft);
        if let Some(most) = near.iter().map(|model| model.apart_ft).reduce(f64::max) {
            let all = match far.is_empty() {
                true => "",
                false => " in the other tasks",
            };
            told.push(format!(
                "The model, flown with the track's lever, stays within {most:.1} ft of it{all}: the bill holds."
            ));
        }
        for model in far {
            told.push(format!(
                "Task {}: with the same lever the model goes {:.0} ft from the track, more than the {:.0} ft to its band's edge, so a bill would describe another aeroplane; there is none.",
                model.task, model.apart_ft, model.limit_ft
            ));
        }
        told.extend(self.by_altitude.iter().cloned());
        told
    }
}
