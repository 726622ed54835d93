//! A track that was judged: what it was read from, and what is to be said of that.

use serde::Serialize;

use super::json::Report;
use crate::drill::reader::plain;

/// What is told of a track beside what is told of any run.
#[derive(Clone, Debug, Serialize)]
pub struct Judged {
    pub file: String,
    /// Its rows with an altitude.
    pub rows: usize,
    /// How many of them there are in a second: the median.
    pub rows_per_s: f64,
    /// Noise of its altitude, ft, root mean square.
    pub noise_ft: f64,
    /// What of it is left in vertical speed, ft/min.
    pub vertical_noise_fpm: f64,
    /// Where the drill begins on the track's own clock, s: what is told of the run counts from there.
    pub begin_s: f64,
    /// How that was found.
    pub found: String,
    /// Stretches without rows, on the track's own clock.
    pub gaps: Vec<Gap>,
    /// What is not in the track, of `lever`, `speed`, `alpha`; `vertical` where noise hides the vertical speed, `moments` where it is known
    /// but not from moment to moment. Figures that are made of it are null.
    pub missing: Vec<&'static str>,
    /// Of each leg how far the model goes from it with the same lever; empty without a lever.
    pub model: Vec<ModelApart>,
    /// What altitude alone tells of legs without a bill.
    pub by_altitude: Vec<String>,
}

/// A stretch without rows.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Gap {
    /// Its last row before, s.
    pub from_s: f64,
    /// Its first row after, s.
    pub to_s: f64,
    /// Whether it was flown over; else what comes after is not judged.
    pub bridged: bool,
}

/// How far the model goes from a leg.
#[derive(Clone, Debug, Serialize)]
pub struct ModelApart {
    /// The task as people say it.
    pub task: String,
    /// At most, ft.
    pub apart_ft: f64,
    /// Up to which its bill is told, ft.
    pub limit_ft: f64,
}

/// The result as JSON: that of any run, and `track`.
#[derive(Serialize)]
pub struct JudgedReport<'a> {
    /// As of any run.
    #[serde(flatten)]
    pub report: Report<'a>,
    pub track: &'a Judged,
}

/// Less noise than this is not worth telling, ft.
const NOISY_FT: f64 = 1.0;

impl Judged {
    /// In sentences, the first of them where it was read.
    pub fn told(&self) -> Vec<String> {
        let tenth = |x: f64| plain((10.0 * x).round() / 10.0 + 0.0);
        let mut told = vec![format!(
            "read from {}: {} rows, {} a second; the drill begins at {} s of it, {}",
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
                "Not in the track, nor figures made of it: {}.{points}",
                names.join(", ")
            ));
        }
        for gap in &self.gaps {
            let (from, to) = (tenth(gap.from_s), tenth(gap.to_s));
            let so = match gap.bridged {
                true => "what was flown there is guessed",
                false => "it is judged as far as that",
            };
            told.push(format!("No rows from {from} to {to} s of the track: {so}."));
        }
        if self.noise_ft >= NOISY_FT {
            told.push(format!(
                "The altitude has a noise of {:.1} ft; smoothed, vertical speed is known to {:.0} ft/min.",
                self.noise_ft, self.vertical_noise_fpm
            ));
        }
        let (near, far): (Vec<&ModelApart>, Vec<&ModelApart>) = self
            .model
            .iter()
            .partition(|model| model.apart_ft <= model.limit_ft);
        if let Some(most) = near.iter().map(|model| model.apart_ft).reduce(f64::max) {
            let all = match far.is_empty() {
                true => "",
                false => " of the other tasks",
            };
            told.push(format!(
                "The model, flown with the lever of the track, stays within {most:.1} ft{all}: the bill holds."
            ));
        }
        for model in far {
            told.push(format!(
                "Task {}: with the same lever the model goes {:.0} ft from the track, more than the {:.0} ft to its band's edge, so a bill would tell of another aeroplane; there is none.",
                model.task, model.apart_ft, model.limit_ft
            ));
        }
        told.extend(self.by_altitude.iter().cloned());
        told
    }
}
