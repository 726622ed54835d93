//! The brief of a drill: for each task the power that holds it, the power that goes there, and when to begin the level-off.

use serde::Serialize;

use super::aeroplane::possible_lever;
use super::level_off::{LevelOff, Planned, SecondMove, settled_to_go_m};
use super::path::PathBrief;
use super::wind::AirBrief;
use super::{SCHEMA, percent};
use crate::drill::reader::plain;
use crate::drill::{Drill, Kind, Rate, Target};
use crate::sim::aircraft::Aircraft;
use crate::sim::trim::{self, Trim};
use crate::units::{DEG, FPM, FT, KT};

/// The path that power to go is given for, degrees.
const GO_DEG: f64 = 3.0;

/// The numbers to go into a drill with.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DrillBrief {
    /// Version of this layout.
    pub schema: u32,
    /// The drill's id.
    pub drill: String,
    /// Its title.
    pub title: String,
    /// The aeroplane's name.
    pub aircraft: String,
    /// The mass it is flown at, kg.
    pub mass_kg: f64,
    /// How it begins.
    pub start: StartBrief,
    /// What the air does; null where it is still.
    pub air: Option<AirBrief>,
    /// One for each task.
    pub tasks: Vec<TaskBrief>,
}

/// The start, and what is off about it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct StartBrief {
    /// Altitude, ft.
    pub altitude_ft: f64,
    /// Path through the air, degrees, + up.
    pub path_deg: f64,
    /// Vertical speed, ft/min, + up.
    pub vertical_speed_fpm: f64,
    /// On-speed speed there, kt.
    pub on_speed_kt: f64,
    /// Airspeed away from that, kt, + fast.
    pub off_speed_kt: f64,
    /// The lever it starts with, 0..1.
    pub lever: f64,
    /// How far that is from the power that would hold the start's path, % of lever, + too much.
    pub off_percent: f64,
    /// Level power there, 0..1; null where the engine cannot.
    pub level_lever: Option<f64>,
}

/// What to know for one task.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TaskBrief {
    /// Number in the drill, from 1.
    pub n: usize,
    /// Its kind, as the file names it.
    pub kind: &'static str,
    /// Altitude asked for, ft; null where none is.
    pub altitude_ft: Option<f64>,
    /// Half-width of the band, ft, of a path at its beginning; null where it is none of altitude.
    pub band_ft: Option<f64>,
    /// The stay asked for, s; null for a path.
    pub stay_s: Option<f64>,
    /// Power that holds it, lever 0..1; null where the engine cannot.
    pub level_lever: Option<f64>,
    /// How to get there; null for all but a step.
    pub go: Option<GoBrief>,
    /// What a rate takes; null for all but a rate.
    pub rate: Option<RateBrief>,
    /// What a path takes; null for all but a path.
    pub path: Option<PathBrief>,
}

/// What a vertical speed takes.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct RateBrief {
    /// Vertical speed asked for, ft/min, + up.
    pub vertical_speed_fpm: f64,
    /// Half-width of its band, ft/min.
    pub band_fpm: f64,
    /// Path through still air, degrees, + up.
    pub path_deg: f64,
    /// Power that holds it, lever 0..1; null where the engine cannot.
    pub lever: Option<f64>,
}

/// How to get to another altitude.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct GoBrief {
    /// From the altitude before to this one, ft, + up.
    pub change_ft: f64,
    /// Power for a 3-degree path that way, lever 0..1; null where the engine cannot.
    pub lever: Option<f64>,
    /// Vertical speed of that path once it is steady, ft/min, + up.
    pub vertical_speed_fpm: f64,
    /// When to begin the level-off of this very step, with that power set at once at its start; null where it leads nowhere.
    pub level_off: Option<LevelOff>,
    /// Height to go for the same after a long, settled 3-degree path, ft.
    pub settled_to_go_ft: Option<f64>,
    /// The move that keeps the aeroplane there, for the first step in each direction; null elsewhere.
    pub second_move: Option<SecondMove>,
}

impl DrillBrief {
    /// The brief of a drill. Its gusts are not known beforehand: everything is flown in still air.
    pub fn new(drill: &Drill) -> DrillBrief {
        let aircraft = &drill.aircraft;
        let mut from = (drill.start.altitude_m, drill.start_trim());
        let mut briefed_ways = Vec::new();
        let mut tasks = Vec::new();
        for (index, task) in drill.tasks.iter().enumerate() {
            let (altitude_m, go) = match &task.kind {
                Kind::Hold(hold) => (Some(hold.altitude_m), None),
                Kind::Step(step) => {
                    let up = step.altitude_m > from.0;
                    let first = !briefed_ways.contains(&up);
                    briefed_ways.push(up);
                    let go = GoBrief::of(aircraft, from.0, &from.1, step.altitude_m, first);
                    (Some(step.altitude_m), Some(go))
                }
                Kind::Rate(_) | Kind::Path(_) | Kind::Surprise(_) => (None, None),
            };
            let level = trim::on_speed(aircraft, altitude_m.unwrap_or(from.0), 0.0);
            from = (altitude_m.unwrap_or(from.0), level);
            let rate = match &task.kind {
                Kind::Rate(rate) => Some(RateBrief::of(aircraft, from.0, rate)),
                _ => None,
            };
            let path = match &task.kind {
                Kind::Path(path) => Some(PathBrief::of(drill, path)),
                _ => None,
            };
            let band_ft = match task.kind.target() {
                Some(Target::Altitude { band_m, .. }) => Some(band_m / FT),
                Some(Target::Path(glide)) => Some(glide.band_m / FT),
                _ => None,
            };
            tasks.push(TaskBrief {
                n: index + 1,
                kind: task.kind.name(),
                altitude_ft: altitude_m.map(|altitude_m| altitude_m / FT),
                band_ft,
                stay_s: task.kind.stay_s(),
                level_lever: possible_lever(&level),
                go,
                rate,
                path,
            });
        }
        DrillBrief {
            schema: SCHEMA,
            drill: drill.id.clone(),
            title: drill.title.clone(),
            aircraft: aircraft.name.clone(),
            mass_kg: aircraft.mass_kg,
            start: StartBrief::of(drill),
            air: AirBrief::of(drill),
            tasks,
        }
    }

    /// The brief as text.
    pub fn lines(&self) -> Vec<String> {
        let mut lines = vec![format!(
            "{}: {}, {} kg",
            self.title,
            self.aircraft,
            plain(self.mass_kg.round())
        )];
        lines.extend(self.start.lines());
        lines.extend(self.air.iter().flat_map(AirBrief::lines));
        lines.extend(self.tasks.iter().flat_map(TaskBrief::lines));
        lines
    }
}

impl StartBrief {
    fn of(drill: &Drill) -> StartBrief {
        let trim = drill.start_trim();
        let level = trim::on_speed(&drill.aircraft, drill.start.altitude_m, 0.0);
        StartBrief {
            altitude_ft: drill.start.altitude_m / FT,
            path_deg: drill.start.path_rad / DEG,
            vertical_speed_fpm: trim.vertical_mps() / FPM,
            on_speed_kt: trim.speed_mps / KT,
            off_speed_kt: drill.start.off_speed_mps / KT,
            lever: drill.start_lever(),
            off_percent: 100.0 * (drill.start_lever() - trim.lever),
            level_lever: possible_lever(&level),
        }
    }

    /// In words.
    pub fn lines(&self) -> Vec<String> {
        let mut lines = vec![format!(
            "start at {} ft, on speed {:.0} kt, lever {}, level power there {}",
            plain(self.altitude_ft.round()),
            self.on_speed_kt,
            percent(Some(self.lever)),
            percent(self.level_lever)
        )];
        if self.path_deg != 0.0 {
            lines.push(format!(
                "  under way already: {:+.1} degrees, {:+.0} ft/min",
                self.path_deg, self.vertical_speed_fpm
            ));
        }
        if self.off_percent.abs() >= 0.05 {
            let word = if self.off_percent > 0.0 {
                "much"
            } else {
                "little"
            };
            let size = self.off_percent.abs();
            lines.push(format!(
                "  off: {size:.1} % of lever too {word} for that path"
            ));
        }
        if self.off_speed_kt.abs() >= 0.05 {
            let word = if self.off_speed_kt > 0.0 {
                "fast"
            } else {
                "slow"
            };
            lines.push(format!(
                "  off: {:.0} kt too {word}",
                self.off_speed_kt.abs()
            ));
        }
        lines
    }
}

impl TaskBrief {
    /// In words; the first line is the task, the others are indented.
    pub fn lines(&self) -> Vec<String> {
        let (n, kind) = (self.n, self.kind);
        if let Some(path) = &self.path {
            let mut lines = vec![format!("{n}  path")];
            lines.extend(path.lines().into_iter().map(|line| format!("     {line}")));
            return lines;
        }
        let stay = self.stay_s.map_or_else(String::new, plain);
        if let Some(rate) = &self.rate {
            return vec![format!(
                "{n}  rate {:+.0} ft/min within {:.0} ft/min for {stay} s: {:+.1} degrees, power {}",
                rate.vertical_speed_fpm,
                rate.band_fpm,
                rate.path_deg,
                percent(rate.lever)
            )];
        }
        let (Some(altitude_ft), Some(band_ft)) = (self.altitude_ft, self.band_ft) else {
            return vec![format!(
                "{n}  {kind}: told one at a time in flight; level power now {}",
                percent(self.level_lever)
            )];
        };
        let (altitude_ft, band_ft) = (plain(altitude_ft.round()), plain(band_ft.round()));
        let hold = percent(self.level_lever);
        let Some(go) = &self.go else {
            return vec![format!(
                "{n}  {kind} {altitude_ft} ft within {band_ft} ft for {stay} s: level power {hold}"
            )];
        };
        let mut lines = vec![format!(
            "{n}  {kind} {:+.0} ft to {altitude_ft} ft within {band_ft} ft: go {}, then level power {hold}",
            go.change_ft,
            percent(go.lever)
        )];
        lines.extend(go.lines().into_iter().map(|line| format!("     {line}")));
        lines
    }
}

impl RateBrief {
    /// At an altitude in m.
    fn of(aircraft: &Aircraft, h_m: f64, rate: &Rate) -> RateBrief {
        let trim = trim::at_vertical(aircraft, h_m, rate.vertical_mps);
        RateBrief {
            vertical_speed_fpm: rate.vertical_mps / FPM,
            band_fpm: rate.band_mps / FPM,
            path_deg: trim.path_rad / DEG,
            lever: possible_lever(&trim),
        }
    }
}

impl GoBrief {
    /// From an altitude in m, where `from` is flown, to another in m.
    fn of(aircraft: &Aircraft, from_m: f64, from: &Trim, to_m: f64, with_second: bool) -> GoBrief {
        let direction = (to_m - from_m).signum();
        let path = trim::on_speed(aircraft, from_m, direction * GO_DEG * DEG);
        let lever = possible_lever(&path);
        let planned = lever.and_then(|lever| Planned::step(aircraft, from_m, from, lever, to_m));
        GoBrief {
            change_ft: (to_m - from_m) / FT,
            lever,
            vertical_speed_fpm: path.vertical_mps() / FPM,
            level_off: planned.as_ref().map(|planned| planned.level_off),
            settled_to_go_ft: settled_to_go_m(aircraft, to_m, direction).map(|m| m / FT),
            second_move: planned
                .filter(|_| with_second)
                .and_then(|planned| planned.second_move()),
        }
    }

    /// In words.
    pub fn lines(&self) -> Vec<String> {
        let Some(level_off) = &self.level_off else {
            return vec![
                "3 degrees that way are more than this lever gives, or lead nowhere".to_string(),
            ];
        };
        let mut lines = vec![format!(
            "the power to go gives {:+.0} ft/min in the end",
            self.vertical_speed_fpm
        )];
        lines.extend(level_off.lines());
        if let Some(settled_ft) = self.settled_to_go_ft {
            lines.push(format!(
                "after a long, settled path it would be {settled_ft:.0} ft"
            ));
        }
        lines.extend(self.second_move.iter().flat_map(SecondMove::lines));
        lines
    }
}
