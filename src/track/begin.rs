//! Where in a track its drill begins.

use super::Field;
use super::Track;
use crate::drill::reader::plain;
use crate::drill::{Drill, Kind};
use crate::sim::trim;
use crate::units::{FPM, FT, NM};

/// A beginning found this near to a track's first row is taken to be that row, s: hands and engines answer late.
const SNAP_S: f64 = 6.0;
/// Share of a change within which the aeroplane still counts as being at the value before it.
const LEFT: f64 = 0.1;
/// How far noise and a hand at rest move the altitude, m.
const STILL_M: f64 = 3.0;
/// A flight that never reaches what the first task asks for begins with its first row, if that
/// is this near to the drill's start altitude, m.
const AT_START_M: f64 = 15.0;
/// A beginning that is farther from the start altitude than that plus this share of it belongs to
/// another drill, or feet were taken for metres.
const FAR: f64 = 0.3;
/// Steps in which the track is searched, s.
const LOOK_S: f64 = 0.25;
/// Altitudes are averaged over this time each way, s, so that noise is not taken for leaving an altitude.
const OVER_S: f64 = 1.0;

/// How late a hand answers to what a drill begins with, s: about what the built-in hands take.
const ANSWERED_S: f64 = 0.8;

/// Where a drill begins.
#[derive(Clone, Debug, PartialEq)]
pub struct Begin {
    /// Time on the track's own clock, s.
    pub t_s: f64,
    /// How it was found, in words.
    pub how: String,
}

impl Begin {
    /// A beginning that was given.
    pub fn said(t_s: f64) -> Begin {
        Begin {
            t_s,
            how: "as given".to_string(),
        }
    }

    /// Finds the beginning by the first task that leaves a mark in the track; None where
    /// neither a task nor the start altitude shows it.
    pub fn find(drill: &Drill, track: &Track) -> Option<Begin> {
        let first_s = track.first_s();
        let with_it = |how: &str| Begin {
            t_s: first_s,
            how: how.to_string(),
        };
        if track.is_own() {
            return Some(with_it("with its first row, as tracks from `simulate` do"));
        }
        let start_m = drill.start.altitude_m;
        let off_m = |t_s: f64| (track.about(t_s) - start_m).abs();
        let at_start = || {
            let how = "it is at the altitude where the drill begins".to_string();
            (off_m(first_s) <= AT_START_M).then_some((first_s, how))
        };
        let (t_s, how) = by_first_task(drill, track)
            .filter(|(t_s, _)| off_m(*t_s) <= AT_START_M + FAR * start_m)
            .or_else(at_start)?;
        if t_s <= first_s + SNAP_S {
            return Some(with_it(&format!("with its first row ({how})")));
        }
        Some(Begin { t_s, how })
    }
}

/// Finds the beginning by the drill's tasks in their order, with the reason in words.
fn by_first_task(drill: &Drill, track: &Track) -> Option<(f64, String)> {
    let mut from_m = drill.start.altitude_m;
    let mut before_s = 0.0;
    let ft = |m: f64| plain((m / FT).round());
    let after = |before_s: f64| match before_s {
        0.0 => String::new(),
        s => format!("{} s before ", plain(s)),
    };
    for task in &drill.tasks {
        let (left_s, how) = match &task.kind {
            Kind::Hold(hold) => {
                from_m = hold.altitude_m;
                before_s += hold.seconds;
                continue;
            }
            Kind::Step(step) => (
                track.leaves(from_m, step.altitude_m, step.band_m)?,
                format!("it leaves {} ft for {} ft", ft(from_m), ft(step.altitude_m)),
            ),
            Kind::Rate(rate) => {
                let fpm = plain((rate.vertical_mps / FPM).round());
                // Holds before it end level.
                let from_mps = match before_s {
                    0.0 => drill.start_trim().vertical_mps(),
                    _ => 0.0,
                };
                let left_s = track.takes_up((from_mps, rate.vertical_mps), rate.band_mps)?;
                (left_s, format!("it goes to {fpm} ft/min"))
            }
            Kind::Path(path) => {
                let start_m = path.glide.aim.start_m;
                return Some(match track.passes(start_m) {
                    Some(t_s) => (
                        t_s,
                        format!("it is {:.2} nm from the aim point", start_m / NM),
                    ),
                    None => (track.first_s(), "distance counts from there".to_string()),
                });
            }
            Kind::Slow(_) => {
                let on_speed = trim::on_speed(&drill.aircraft, drill.start.altitude_m, 0.0);
                let off_mps = drill.start.off_speed_mps;
                let began_s = track.slows(on_speed.speed_mps + off_mps, off_mps)?;
                let how = "just before its speed begins to fall";
                return Some((began_s - ANSWERED_S, how.to_string()));
            }
            Kind::Surprise(_) => return Some((track.first_s(), "its tasks are drawn".to_string())),
        };
        return Some((left_s - before_s, after(before_s) + &how));
    }
    let Some(Kind::Hold(hold)) = drill.tasks.first().map(|task| &task.kind) else {
        return None;
    };
    let t_s = track.stays(hold.altitude_m, hold.band_m, hold.seconds)?;
    Some((
        t_s,
        format!("it comes to {} ft and stays", ft(hold.altitude_m)),
    ))
}

impl Track {
    /// Times to look at, s: about [`LOOK_S`] apart, or every row where rows are farther apart than that.
    fn looks(&self) -> impl DoubleEndedIterator<Item = f64> + Clone {
        let times = &self.altitude().t_s;
        let every = (LOOK_S / self.altitude().apart_s()).max(1.0) as usize;
        times.iter().step_by(every).copied()
    }

    /// Mean altitude around a time, m.
    fn about(&self, t_s: f64) -> f64 {
        let altitude = self.altitude();
        let from = altitude.t_s.partition_point(|own| *own < t_s - OVER_S);
        let to = altitude.t_s.partition_point(|own| *own <= t_s + OVER_S);
        match &altitude.values[from..to] {
            [] => altitude.at(t_s),
            near => near.iter().sum::<f64>() / near.len() as f64,
        }
    }

    /// When the track began to leave one altitude before it reached another; None where it never did.
    fn leaves(&self, from_m: f64, to_m: f64, band_m: f64) -> Option<f64> {
        let still_m = (LEFT * (to_m - from_m).abs())
            .min(band_m / 2.0)
            .max(STILL_M);
        let is_there = |t_s: &f64| (self.about(*t_s) - from_m).abs() <= still_m;
        let there_s = self.looks().find(is_there)?;
        let is_come = |t_s: &f64| *t_s > there_s && (self.about(*t_s) - to_m).abs() <= band_m;
        let come_s = self.looks().find(is_come)?;
        let left_s = self.looks().filter(|t_s| *t_s < come_s).rfind(is_there)?;
        // Distance grows with the square of time: four times as far took twice as long.
        let farther_m = 4.0 * still_m;
        let is_farther =
            |t_s: &f64| *t_s > left_s && (self.about(*t_s) - from_m).abs() >= farther_m;
        let farther_s = self.looks().find(is_farther).unwrap_or(left_s);
        Some(left_s - (farther_s - left_s))
    }

    /// When the vertical speed was last no more than the share [`LEFT`] of the way from one to another before it reached that;
    /// the first row where it never was.
    fn takes_up(&self, (from_mps, to_mps): (f64, f64), band_mps: f64) -> Option<f64> {
        let vertical =
            |t_s: f64| (self.about(t_s + OVER_S) - self.about(t_s - OVER_S)) / (2.0 * OVER_S);
        let come_s = self
            .looks()
            .find(|t_s| (vertical(*t_s) - to_mps).abs() <= band_mps)?;
        let way = |t_s: f64| (vertical(t_s) - from_mps) / (to_mps - from_mps);
        let is_before = |t_s: &f64| *t_s < come_s && way(*t_s) <= LEFT;
        self.looks().rfind(is_before).or(Some(self.first_s()))
    }

    /// When the track first came within a distance of the aim point, m; None where it did not, or has no such distance.
    fn passes(&self, distance_m: f64) -> Option<f64> {
        let to_aim = self.series(Field::ToAim)?;
        self.looks().find(|t_s| to_aim.at(*t_s) <= distance_m)
    }

    /// When the airspeed began to fall by `off_mps` from `from_mps`; None where it never did.
    fn slows(&self, from_mps: f64, off_mps: f64) -> Option<f64> {
        let speed = self.series(Field::Speed)?;
        let lost = |share: f64| {
            let left_mps = from_mps - share * off_mps;
            let row = speed.values.iter().position(|own| *own <= left_mps)?;
            let before = row.saturating_sub(1);
            let way =
                (speed.values[before] - left_mps) / (speed.values[before] - speed.values[row]);
            let apart_s = speed.t_s[row] - speed.t_s[before];
            Some(speed.t_s[before] + if row > 0 { way * apart_s } else { 0.0 })
        };
        // The loss grows with time where the engine answers at once, and with its square while the engine runs down. In
        // between, with the power 1.5, four times the loss takes 2.5 times as long.
        let (less_s, more_s) = (lost(LEFT / 2.0)?, lost(2.0 * LEFT)?);
        Some(less_s - (more_s - less_s) / 1.5)
    }

    /// The beginning of the stretch, `seconds` long, that was most inside a band; None where none was.
    fn stays(&self, altitude_m: f64, band_m: f64, seconds: f64) -> Option<f64> {
        let inside: Vec<(f64, bool)> = self
            .looks()
            .map(|t_s| (t_s, (self.about(t_s) - altitude_m).abs() <= band_m))
            .collect();
        let looks = (seconds / LOOK_S.max(self.altitude().apart_s())) as usize;
        let mut counts = inside.windows(looks.clamp(1, inside.len())).map(|window| {
            let count = window.iter().filter(|(_, inside)| *inside).count();
            (count, window[0].0)
        });
        let first = counts.next()?;
        let (count, t_s) = counts.fold(
            first,
            |best, next| if next.0 > best.0 { next } else { best },
        );
        (count > 0).then_some(t_s)
    }
}
