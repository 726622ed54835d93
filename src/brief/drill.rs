//! The brief of a drill: for each task what to do, as moves with their cues, and the numbers behind them.

use std::sync::Arc;

use serde::Serialize;

use super::aeroplane::possible_lever;
use super::path::PathBrief;
use super::wind::AirBrief;
use super::{SCHEMA, hundredths, percent, recipe_words};
use crate::drill::reader::{feet, plain, printable};
use crate::drill::{Drill, Kind, Rate, Target};
use crate::plan::{self, Move, Recipe};
use crate::sim::aircraft::Aircraft;
use crate::sim::math::tan;
use crate::sim::trim;
use crate::units::{DEG, FPM, FT, KT, NM};

/// The path that power to go is given for, degrees.
const GO_DEG: f64 = 3.0;
/// Characters in the longest line of what to do: it has to fit on the smallest screen.
const RECIPE_WIDTH: usize = 76;

/// The numbers to know before flying a drill.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DrillBrief {
    /// Version of this layout.
    pub schema: u32,
    /// The drill's id.
    pub drill: String,
    pub title: String,
    /// The aeroplane's name.
    pub aircraft: String,
    /// The mass it is flown at, kg.
    pub mass_kg: f64,
    /// How it begins.
    pub start: StartBrief,
    /// What the air does; null where it is still.
    pub air: Option<AirBrief>,
    pub tasks: Vec<TaskBrief>,
}

/// The start, and what is off about it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StartBrief {
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
    /// Level power there, 0..1; null where the engine cannot hold it.
    pub level_lever: Option<f64>,
    /// The extras that are in at the start and come out as it slows in; empty where there are none.
    pub extras: Vec<ExtraBrief>,
}

/// An extra that comes out.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ExtraBrief {
    /// Its name, such as wheels or flaps.
    pub name: String,
    /// The airspeed at or below which it begins to come out, kt.
    pub out_kt: f64,
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
    /// Half-width of the altitude band, ft, for a path at its beginning; null where there is none.
    pub band_ft: Option<f64>,
    /// The stay asked for, s; null for a path.
    pub stay_s: Option<f64>,
    /// What to do: moves and their cues; null for a surprise, whose tasks are called in flight.
    pub recipe: Option<Recipe>,
    /// Power that holds it, lever 0..1; null where the engine cannot hold it.
    pub level_lever: Option<f64>,
    /// What getting there takes; null for all but a step.
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
    /// Power that holds it, lever 0..1; null where the engine cannot hold it.
    pub lever: Option<f64>,
}

/// What getting to another altitude takes.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct GoBrief {
    /// From the altitude before to this one, ft, + up.
    pub change_ft: f64,
    /// Power for a 3-degree path that way, lever 0..1; null where the engine cannot hold it.
    pub lever: Option<f64>,
    /// Vertical speed of that path once it is steady, ft/min, + up.
    pub vertical_speed_fpm: f64,
    /// Height to go for the level-off by the ten-percent rule of handbooks
    /// (FAA-H-8083-15), ft. The rule is meant for pitch control.
    pub ten_percent_ft: f64,
}

impl DrillBrief {
    /// The brief of a drill. Its gusts are not known beforehand: everything is flown in calm air.
    pub fn new(drill: &Arc<Drill>) -> DrillBrief {
        let mut from_m = drill.start.altitude_m;
        let recipes = plan::recipes(drill);
        let mut tasks = Vec::new();
        for (index, (task, recipe)) in drill.tasks.iter().zip(recipes).enumerate() {
            let brief = TaskBrief::of(drill, index, &task.kind, recipe, from_m);
            from_m = brief
                .altitude_ft
                .map_or(from_m, |altitude_ft| altitude_ft * FT);
            tasks.push(brief);
        }
        DrillBrief {
            schema: SCHEMA,
            drill: drill.id.clone(),
            title: drill.title.clone(),
            aircraft: drill.aircraft.name.clone(),
            mass_kg: drill.aircraft.mass_kg,
            start: StartBrief::of(drill),
            air: AirBrief::of(drill),
            tasks,
        }
    }

    /// The recipe of each task; None for a surprise.
    pub fn recipes(&self) -> Vec<Option<Recipe>> {
        self.tasks.iter().map(|task| task.recipe.clone()).collect()
    }

    /// What to do, in a line or two for each task: everything needed to begin.
    pub fn recipe_lines(&self) -> Vec<String> {
        self.tasks
            .iter()
            .flat_map(TaskBrief::recipe_lines)
            .collect()
    }

    /// The brief as text.
    pub fn lines(&self) -> Vec<String> {
        let mut lines = vec![format!(
            "{}: {}, {} kg",
            self.title,
            self.aircraft,
            plain(self.mass_kg.round())
        )];
        lines.extend(self.recipe_lines());
        lines.push(String::new());
        lines.extend(self.number_lines());
        lines
    }

    /// The numbers behind that.
    pub fn number_lines(&self) -> Vec<String> {
        let mut lines = self.start.lines();
        lines.extend(self.air.iter().flat_map(AirBrief::lines));
        lines.extend(self.tasks.iter().flat_map(TaskBrief::lines));
        lines
    }
}

impl StartBrief {
    fn of(drill: &Drill) -> StartBrief {
        let trim = drill.start_trim();
        let level = trim::on_speed(&drill.aircraft, drill.start.altitude_m, 0.0);
        let is_fast = drill.start.fast.is_some();
        let extras = drill.aircraft.extras.iter().filter(|_| is_fast);
        StartBrief {
            altitude_ft: feet(drill.start.altitude_m),
            path_deg: drill.start.path_rad / DEG,
            vertical_speed_fpm: trim.vertical_mps() / FPM,
            on_speed_kt: trim.speed_mps / KT,
            off_speed_kt: drill.start.off_speed_mps / KT,
            lever: drill.start_lever(),
            // When fast with every extra in, it flies level on the lever it begins with.
            off_percent: match is_fast {
                true => 0.0,
                false => 100.0 * (drill.start_lever() - trim.lever),
            },
            level_lever: possible_lever(&level),
            extras: extras
                .map(|extra| ExtraBrief {
                    name: extra.name.clone(),
                    out_kt: extra.out_mps / KT,
                })
                .collect(),
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
        // Less shows nowhere: a practice begins at whatever a run had there.
        let is_level = self.path_deg.abs() < 0.05;
        if !is_level {
            lines.push(format!(
                "  already under way: {:+.1} degrees, {:+.0} ft/min",
                self.path_deg, self.vertical_speed_fpm
            ));
        }
        let way = |off: f64, over, under| if off > 0.0 { over } else { under };
        let (lever, kt) = (self.off_percent, self.off_speed_kt);
        if lever.abs() >= 0.05 {
            let power = match is_level {
                true => "level power",
                false => "the power for that path",
            };
            lines.push(format!(
                "  lever {:.1} % {} {power}",
                lever.abs(),
                way(lever, "above", "below")
            ));
        }
        if kt.abs() >= 0.5 {
            lines.push(format!(
                "  speed {:.0} kt {}",
                kt.abs(),
                way(kt, "fast", "slow")
            ));
        }
        for extra in &self.extras {
            let (name, kt) = (printable(&extra.name), plain(extra.out_kt.round()));
            lines.push(format!("  {name} in, extending below {kt} kt"));
        }
        lines
    }
}

impl TaskBrief {
    /// A task that begins at an altitude in m.
    fn of(
        drill: &Drill,
        index: usize,
        kind: &Kind,
        recipe: Option<Recipe>,
        from_m: f64,
    ) -> TaskBrief {
        let aircraft = &drill.aircraft;
        let (altitude_m, band_ft) = match kind.target() {
            Some(Target::Altitude { altitude_m, band_m }) => (Some(altitude_m), Some(band_m / FT)),
            Some(Target::Path(glide)) => (None, Some(glide.band_m / FT)),
            _ => (None, None),
        };
        let at_m = altitude_m.unwrap_or(from_m);
        let (mut go, mut rate, mut path) = (None, None, None);
        match kind {
            Kind::Step(step) => go = Some(GoBrief::of(aircraft, from_m, step.altitude_m)),
            Kind::Rate(asked) => rate = Some(RateBrief::of(aircraft, from_m, asked)),
            Kind::Path(asked) => path = Some(PathBrief::of(drill, asked)),
            Kind::Hold(_) | Kind::Surprise(_) | Kind::Slow(_) => {}
        }
        TaskBrief {
            n: index + 1,
            kind: kind.name(),
            altitude_ft: altitude_m.map(feet),
            band_ft,
            stay_s: kind.stay_s(),
            recipe,
            level_lever: possible_lever(&trim::on_speed(aircraft, at_m, 0.0)),
            go,
            rate,
            path,
        }
    }

    /// Whether all there is to do is to go around, since the path is called off however it is flown.
    pub fn is_called_off(&self) -> bool {
        self.recipe.as_deref() == Some(&[Move::FULL_POWER])
    }

    /// What is asked, in a few words.
    pub fn asked(&self) -> String {
        let feet = self
            .altitude_ft
            .map_or_else(String::new, |ft| plain(ft.round()));
        match (&self.go, &self.rate, &self.path) {
            (Some(go), _, _) if go.change_ft > 0.0 => format!("up to {feet} ft"),
            (Some(_), _, _) => format!("down to {feet} ft"),
            (_, Some(rate), _) => format!("rate {:+.0} ft/min", rate.vertical_speed_fpm),
            (_, _, Some(path)) => format!("{} degree path", hundredths(path.slope_deg)),
            _ if self.kind == "slow" => format!("slow in, {feet} ft"),
            _ if self.altitude_ft.is_some() => format!("hold {feet} ft"),
            _ => self.kind.to_string(),
        }
    }

    /// What to do, in words.
    pub fn does(&self) -> String {
        let Some(moves) = &self.recipe else {
            return "called one at a time in flight".to_string();
        };
        let Some(path) = &self.path else {
            return recipe_words::moves(moves);
        };
        let altitude_ft = |nm: f64| Some(path.deck_ft + nm * NM / FT * tan(path.slope_deg * DEG));
        let down = match path.deck_kt > 0.0 {
            true => "; touchdown: full power",
            false => "",
        };
        recipe_words::on_path(moves, &altitude_ft) + down
    }

    /// Both on one line, or on several where one is too short.
    pub fn recipe_lines(&self) -> Vec<String> {
        let does = self.does();
        let first = format!("{:>2}  {:<18}", self.n, self.asked());
        if first.len() + 2 + does.len() <= RECIPE_WIDTH {
            return vec![format!("{first}  {does}")];
        }
        let room = RECIPE_WIDTH - first.len() - 2;
        let mut lines = Vec::new();
        let mut line = String::new();
        for part in does.split_inclusive("; ") {
            if !line.is_empty() && line.len() + part.trim_end().len() > room {
                lines.push(std::mem::take(&mut line));
            }
            line += part;
        }
        lines.push(line);
        let heads =
            std::iter::once(first.clone()).chain(std::iter::repeat(" ".repeat(first.len())));
        heads
            .zip(lines)
            .map(|(head, line)| format!("{head}  {}", line.trim_end()))
            .collect()
    }

    /// The numbers behind it, in words; the first line is the task, the others are indented.
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
                "{n}  {kind}: called one at a time in flight; level power now {}",
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
        vec![
            format!(
                "{n}  {kind} {:+.0} ft to {altitude_ft} ft within {band_ft} ft, stay {stay} s: level power {hold}",
                go.change_ft
            ),
            format!("     {}", go.line()),
        ]
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
    /// From an altitude in m to another in m.
    fn of(aircraft: &Aircraft, from_m: f64, to_m: f64) -> GoBrief {
        let direction = (to_m - from_m).signum();
        let path = trim::on_speed(aircraft, from_m, direction * GO_DEG * DEG);
        let vertical_speed_fpm = path.vertical_mps() / FPM;
        GoBrief {
            change_ft: feet(to_m - from_m),
            lever: possible_lever(&path),
            vertical_speed_fpm,
            ten_percent_ft: 0.1 * vertical_speed_fpm.abs(),
        }
    }

    /// In words.
    fn line(&self) -> String {
        let way = if self.change_ft > 0.0 { "up" } else { "down" };
        if self.lever.is_none() {
            return format!("3 degrees {way} is beyond this engine");
        }
        format!(
            "3 degrees {way}: {}, {:+.0} ft/min; ten-percent rule: lead by {:.0} ft",
            percent(self.lever),
            self.vertical_speed_fpm,
            self.ten_percent_ft
        )
    }
}
