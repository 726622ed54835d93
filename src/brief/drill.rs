//! The brief of a drill: for each task the power that holds it, the power that goes there, and when to begin the level-off.

use serde::Serialize;

use super::aeroplane::possible_lever;
use super::level_off::{LevelOff, Planned, SecondMove, settled_to_go_m};
use super::wind::AirBrief;
use super::{SCHEMA, percent};
use crate::drill::reader::plain;
use crate::drill::{Drill, Kind};
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
    /// Altitude asked for, ft.
    pub altitude_ft: f64,
    /// Half-width of the band, ft.
    pub band_ft: f64,
    /// The stay asked for, s.
    pub stay_s: f64,
    /// Power that holds it, lever 0..1; null where the engine cannot.
    pub level_lever: Option<f64>,
    /// How to get there; null for a hold.
    pub go: Option<GoBrief>,
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
            let altitude_m = match task.kind {
                Kind::Hold(hold) => hold.altitude_m,
                Kind::Step(step) => step.altitude_m,
            };
            let go = match task.kind {
                Kind::Hold(_) => None,
                Kind::Step(_) => {
                    let up = altitude_m > from.0;
                    let first = !briefed_ways.contains(&up);
                    briefed_ways.push(up);
                    Some(GoBrief::of(aircraft, from.0, &from.1, altitude_m, first))
                }
            };
            let level = trim::on_speed(aircraft, altitude_m, 0.0);
            from = (altitude_m, level);
            tasks.push(TaskBrief {
                n: index + 1,
                kind: task.kind.name(),
                altitude_ft: altitude_m / FT,
                band_ft: task.kind.target().band() / FT,
                stay_s: task.kind.stay_s(),
                level_lever: possible_lever(&level),
                go,
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
        let (altitude_ft, band_ft) = (plain(self.altitude_ft.round()), plain(self.band_ft.round()));
        let hold = percent(self.level_lever);
        let Some(go) = &self.go else {
            return vec![format!(
                "{}  {} {altitude_ft} ft within {band_ft} ft for {} s: level power {hold}",
                self.n,
                self.kind,
                plain(self.stay_s)
            )];
        };
        let mut lines = vec![format!(
            "{}  {} {:+.0} ft to {altitude_ft} ft within {band_ft} ft: go {}, then level power {hold}",
            self.n,
            self.kind,
            go.change_ft,
            percent(go.lever)
        )];
        lines.extend(go.lines().into_iter().map(|line| format!("     {line}")));
        lines
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
