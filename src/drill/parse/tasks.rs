//! `[[task]]`: what is asked, and the rules between tasks.

use super::ALTITUDE_FT;
use super::start::can_fly_level;
use crate::drill::reader::{At, FileError, Table, plain};
use crate::drill::{Drill, Hold, Kind, Path, Rate, Step, Surprise, Task};
use crate::drill::{hold, path, rate, slow, step, surprise};
use crate::sim::math::cos;
use crate::sim::trim;
use crate::units::{FPM, FT, KT, NM};

/// Longest drill, s.
const LONGEST_S: f64 = 4.0 * 3600.0;
/// Most tasks, those drawn by surprises counted one by one: weighing a run takes memory and time for each.
pub(super) const MOST: usize = 200;

/// The keys of a task.
pub(super) const KEYS: &[&str] = &["hold", "step", "rate", "path", "surprise", "slow", "scored"];
const KINDS: &[&str] = &["hold", "step", "rate", "path", "surprise", "slow"];

/// What the tasks read so far leave to the next one.
struct Before<'a> {
    drill: &'a Drill,
    /// The altitude asked for last, ft; not known after a surprise.
    altitude_ft: Option<f64>,
    /// The vertical speed asked for last, ft/min; not known after a surprise.
    vertical_fpm: Option<f64>,
    after_rate: bool,
    only_holds: bool,
    is_first: bool,
}

/// All of them, in their order.
pub(super) fn read(file: &Table, drill: &Drill) -> Result<Vec<Task>, FileError> {
    let mut before = Before {
        drill,
        altitude_ft: Some(drill.start.altitude_m / FT),
        vertical_fpm: Some(drill.start_trim().vertical_mps() / FPM),
        after_rate: false,
        only_holds: true,
        is_first: true,
    };
    let closure_mps = drill.least_closure_mps();
    let distance_m = drill.aim.map_or(0.0, |aim| aim.start_m);
    let mut total_s = 0.0;
    let mut tasks: Vec<Task> = Vec::new();
    let mut count = 0;
    for table in file.tables("task", 1..=MOST, KEYS)? {
        if tasks.iter().any(|task| matches!(task.kind, Kind::Path(_))) {
            let message = "a task after a path; a path is the last task";
            return Err(table.error(table.at(), message));
        }
        let scored = table.flag("scored", true)?.value;
        let kind = before.read(&table, total_s)?;
        before.is_first = false;
        total_s += kind.longest_s(closure_mps, (distance_m - total_s * closure_mps).max(0.0));
        if total_s > LONGEST_S {
            let message = format!(
                "up to here the drill can last {} s; it takes at most {}",
                plain((total_s * 10.0).round() / 10.0),
                plain(LONGEST_S)
            );
            return Err(table.error(table.at(), message));
        }
        count += kind.count();
        if count > MOST {
            let message = format!(
                "{count} tasks up to here, those drawn by surprises counted; a drill has at most {MOST}"
            );
            return Err(table.error(table.at(), message));
        }
        tasks.push(Task { kind, scored });
    }
    Ok(tasks)
}

impl Before<'_> {
    /// The task's one kind, with the rules towards what came before.
    fn read(&mut self, table: &Table, so_far_s: f64) -> Result<Kind, FileError> {
        let given: Vec<&str> = table.keys().filter(|key| KINDS.contains(key)).collect();
        let [kind] = given[..] else {
            let found = match given.len() {
                0 => "a task without a kind".to_string(),
                _ => format!("a task of two kinds, {}", given.join(" and ")),
            };
            let right = KINDS.join(", ");
            return Err(table.error(table.at(), format!("{found}; give exactly one of {right}")));
        };
        match kind {
            "hold" => self.read_hold(&table.required_table("hold", "hold", hold::KEYS)?),
            "step" => self.read_step(&table.required_table("step", "step", step::KEYS)?),
            "rate" => self.read_rate(&table.required_table("rate", "rate", rate::KEYS)?),
            "path" => self.read_path(&table.required_table("path", "path", path::KEYS)?, so_far_s),
            "slow" => self.read_slow(&table.required_table("slow", "slow", slow::KEYS)?),
            _ => {
                self.read_surprise(&table.required_table("surprise", "surprise", surprise::KEYS)?)
            }
        }
    }

    fn read_hold(&mut self, table: &Table) -> Result<Kind, FileError> {
        if self.after_rate {
            let message =
                "a hold straight after a rate; a step comes between, to say where to hold";
            return Err(table.error(table.at(), message));
        }
        let (hold, altitude) = Hold::read(table, self.altitude_ft)?;
        self.arrive(table, altitude)?;
        Ok(Kind::Hold(hold))
    }

    fn read_step(&mut self, table: &Table) -> Result<Kind, FileError> {
        let aircraft = &self.drill.aircraft;
        let rate_fps = |from_ft: f64| trim::three_degrees(aircraft, from_ft * FT).rate_mps / FT;
        let (step, altitude) = Step::read(table, self.altitude_ft, rate_fps)?;
        self.arrive(table, altitude)?;
        self.only_holds = false;
        Ok(Kind::Step(step))
    }

    fn arrive(&mut self, table: &Table, altitude_ft: At<f64>) -> Result<(), FileError> {
        can_fly_level(table, &self.drill.aircraft, altitude_ft)?;
        self.altitude_ft = Some(altitude_ft.value);
        self.vertical_fpm = Some(0.0);
        self.after_rate = false;
        Ok(())
    }

    fn read_slow(&mut self, table: &Table) -> Result<Kind, FileError> {
        if !self.is_first {
            let message = "a slow after another task; slowing in is the first task of a drill";
            return Err(table.error(table.at(), message));
        }
        self.only_holds = false;
        Ok(Kind::Slow(slow::read(table, self.drill.start.altitude_m)?))
    }

    fn read_rate(&mut self, table: &Table) -> Result<Kind, FileError> {
        let (rate, to) = Rate::read(table, self.vertical_fpm)?;
        self.vertical_fpm = Some(to.value);
        self.after_rate = true;
        self.only_holds = false;
        Ok(Kind::Rate(rate))
    }

    fn read_path(&mut self, table: &Table, so_far_s: f64) -> Result<Kind, FileError> {
        if !self.only_holds {
            let message = "a path after something else than holds; only holds come before a path";
            return Err(table.error(table.at(), message));
        }
        let Some(aim) = self.drill.aim else {
            let message = "a path without an aim point; give a [deck], and distance_nm in [start]";
            return Err(table.error(table.at(), message));
        };
        let path = Path::read(table, aim)?;
        let closure_kt = self.drill.least_closure_mps() / KT;
        if closure_kt <= 0.0 {
            let when = match self.drill.closure_mps() > 0.0 {
                true => " after the shift of the wind",
                false => "",
            };
            let message = format!(
                "the aim point does not come nearer{when}: closure is {closure_kt:.0} kt; give less wind or a slower deck"
            );
            return Err(table.error(table.at(), message));
        }
        // In still air, as the rule is stated.
        let trim = self.drill.start_trim();
        let closure_mps = trim.speed_mps * cos(trim.path_rad) - aim.deck.speed_mps;
        let left_nm = (aim.start_m - closure_mps * so_far_s) / NM;
        let from_nm = path.glide.from_m / NM;
        if so_far_s > 0.0 && left_nm < from_nm {
            let message = format!(
                "the holds before it end {left_nm:.2} nm out; the path is scored from {} nm, so begin farther out",
                plain(from_nm)
            );
            return Err(table.error(table.at(), message));
        }
        Ok(Kind::Path(path))
    }

    fn read_surprise(&mut self, table: &Table) -> Result<Kind, FileError> {
        let aircraft = &self.drill.aircraft;
        let surprise = Surprise::read(table, aircraft, self.after_rate)?;
        let high = table.number("high_ft", ALTITUDE_FT, None)?;
        can_fly_level(table, aircraft, high)?;
        self.altitude_ft = None;
        self.vertical_fpm = None;
        self.after_rate = false;
        self.only_holds = false;
        Ok(Kind::Surprise(surprise))
    }
}
