//! `[[task]]`: what is asked, and the rules between tasks.

use super::ALTITUDE_FT;
use super::start::can_fly_level;
use crate::drill::reader::{At, FileError, Table, feet, plain};
use crate::drill::{Drill, Hold, Kind, Path, Rate, Step, Surprise, Task};
use crate::drill::{hold, path, rate, slow, step, surprise};
use crate::sim::math::cos;
use crate::sim::trim;
use crate::units::{FPM, FT, KT, NM};

/// Longest drill, s.
const LONGEST_S: f64 = 4.0 * 3600.0;
/// The most tasks, with those drawn by surprises counted one by one: each takes memory and time when a run is judged.
pub(super) const MOST: usize = 200;

/// The keys of a task.
pub(super) const KEYS: &[&str] = &["hold", "step", "rate", "path", "surprise", "slow", "scored"];

/// A kind's key, the keys inside, and its reader.
type KindReader<'a> = (
    &'static str,
    &'static [&'static str],
    fn(&mut Before<'a>, &Table) -> Result<Kind, FileError>,
);

/// What the tasks read so far pass on to the next one.
struct Before<'a> {
    drill: &'a Drill,
    /// The altitude asked for last, ft; not known after a surprise.
    altitude_ft: Option<f64>,
    /// The vertical speed asked for last, ft/min; not known after a surprise.
    vertical_fpm: Option<f64>,
    after_rate: bool,
    only_holds: bool,
    is_first: bool,
    /// How long the tasks so far can last, s.
    so_far_s: f64,
}

/// Reads all tasks, in their order.
pub(super) fn read(file: &Table, drill: &Drill) -> Result<Vec<Task>, FileError> {
    let mut before = Before {
        drill,
        altitude_ft: Some(feet(drill.start.altitude_m)),
        vertical_fpm: Some(drill.start_trim().vertical_mps() / FPM),
        after_rate: false,
        only_holds: true,
        is_first: true,
        so_far_s: 0.0,
    };
    let closure_mps = drill.least_closure_mps();
    let distance_m = drill.aim.map_or(0.0, |aim| aim.start_m);
    let mut tasks: Vec<Task> = Vec::new();
    let mut count = 0;
    for table in file.tables("task", 1..=MOST, KEYS)? {
        if tasks.iter().any(|task| matches!(task.kind, Kind::Path(_))) {
            let message = "a task after a path; a path must be the last task";
            return Err(table.error(table.at(), message));
        }
        let scored = table.flag("scored", true)?.value;
        let kind = before.read(&table)?;
        before.is_first = false;
        let left_m = (distance_m - before.so_far_s * closure_mps).max(0.0);
        before.so_far_s += kind.longest_s(closure_mps, left_m);
        if before.so_far_s > LONGEST_S {
            let message = format!(
                "up to here the drill can last {} s; it may last at most {}",
                plain((before.so_far_s * 10.0).round() / 10.0),
                plain(LONGEST_S)
            );
            return Err(table.error(table.at(), message));
        }
        count += kind.count();
        if count > MOST {
            let message = format!(
                "{count} tasks up to here, counting those drawn by surprises; a drill has at most {MOST}"
            );
            return Err(table.error(table.at(), message));
        }
        tasks.push(Task { kind, scored });
    }
    Ok(tasks)
}

impl<'a> Before<'a> {
    const KINDS: [KindReader<'a>; 6] = [
        ("hold", hold::KEYS, Before::read_hold),
        ("step", step::KEYS, Before::read_step),
        ("rate", rate::KEYS, Before::read_rate),
        ("path", path::KEYS, Before::read_path),
        ("surprise", surprise::KEYS, Before::read_surprise),
        ("slow", slow::KEYS, Before::read_slow),
    ];

    /// Reads the task's one kind, and checks it against what came before.
    fn read(&mut self, table: &Table) -> Result<Kind, FileError> {
        let kind = |key| Self::KINDS.into_iter().find(|kind| kind.0 == key);
        let given: Vec<KindReader> = table.keys().filter_map(kind).collect();
        if let [(name, keys, read)] = given[..] {
            return read(self, &table.required_table(name, name, keys)?);
        }
        let names: Vec<&str> = given.iter().map(|kind| kind.0).collect();
        let found = match names.len() {
            0 => "a task without a kind".to_string(),
            _ => format!("a task of two kinds, {}", names.join(" and ")),
        };
        let right = Self::KINDS.map(|kind| kind.0).join(", ");
        Err(table.error(table.at(), format!("{found}; give exactly one of {right}")))
    }

    fn read_hold(&mut self, table: &Table) -> Result<Kind, FileError> {
        if self.after_rate {
            let message = "a hold straight after a rate; put a step between, to say where to hold";
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
            let message = "a slow after another task; slowing in must be the first task of a drill";
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

    fn read_path(&mut self, table: &Table) -> Result<Kind, FileError> {
        if !self.only_holds {
            let message =
                "a path after something other than holds; only holds may come before a path";
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
                true => " after the wind shift",
                false => "",
            };
            let message = format!(
                "the aim point comes no nearer{when}: closure is {closure_kt:.0} kt; give less wind or a slower deck"
            );
            return Err(table.error(table.at(), message));
        }
        // In still air, as the rule is stated.
        let trim = self.drill.start_trim();
        let closure_mps = trim.speed_mps * cos(trim.path_rad) - aim.deck.speed_mps;
        let left_nm = (aim.start_m - closure_mps * self.so_far_s) / NM;
        let from_nm = path.glide.from_m / NM;
        if self.so_far_s > 0.0 && left_nm < from_nm {
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
