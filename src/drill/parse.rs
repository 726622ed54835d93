//! Drill files: every key with its range, and the rules between tasks.

use std::ops::RangeInclusive;

use super::aircraft_file::{self, cannot_fly_level};
use super::reader::{At, FileError, Source, Table, plain};
use super::{Aids, Drill, Hold, Kind, Path, Rate, Start, Step, Surprise, Task};
use super::{hold, path, rate, slow, step, surprise};
use crate::sim::air::{AirSpec, Shift};
use crate::sim::aircraft::Aircraft;
use crate::sim::deck::{AimPoint, Deck};
use crate::sim::dynamics::Rig;
use crate::sim::math::cos;
use crate::sim::trim;
use crate::units::{DEG, FPM, FT, KT, NM};

/// Range of every altitude asked for, ft.
pub const ALTITUDE_FT: RangeInclusive<f64> = 50.0..=30_000.0;
/// Range of every band half-width, ft.
pub const BAND_FT: RangeInclusive<f64> = 1.0..=5000.0;
/// Range of every band half-width of a vertical speed, ft/min.
pub const BAND_FPM: RangeInclusive<f64> = 10.0..=2000.0;
/// Range of every time, s.
pub const SECONDS: RangeInclusive<f64> = 0.1..=3600.0;
/// Longest drill, s.
const LONGEST_S: f64 = 4.0 * 3600.0;
/// Most tasks, those drawn by surprises counted one by one: weighing a run takes memory and time for each.
const MOST_TASKS: usize = 200;

const KEYS: &[&str] = &[
    "title", "about", "aircraft", "aids", "mass_kg", "start", "air", "deck", "task",
];
const START_KEYS: &[&str] = &[
    "altitude_ft",
    "path_deg",
    "off_speed_kt",
    "lever_off",
    "lever",
    "engine",
    "distance_nm",
];
const AIR_KEYS: &[&str] = &[
    "headwind_kt",
    "roughness_ft",
    "gusts",
    "wake",
    "shift_kt",
    "shift_at_s",
    "shift_over_s",
];
const DECK_KEYS: &[&str] = &[
    "height_ft",
    "speed_kt",
    "zone_ft",
    "heave_ft",
    "heave_period_s",
    "heave_from_s",
    "pitch_deg",
];
const TASK_KEYS: &[&str] = &["hold", "step", "rate", "path", "surprise", "slow", "scored"];
const KINDS: &[&str] = &["hold", "step", "rate", "path", "surprise", "slow"];

/// The words for gusts and their wind at 20 ft, kt.
pub const GUST_WORDS: &[(&str, f64)] = &[
    ("still", 0.0),
    ("light", 4.0),
    ("lively", 8.0),
    ("rough", 15.0),
];

/// An aircraft file that a drill refers to: the name for messages, and the text.
pub struct AircraftText {
    /// The file as messages name it.
    pub file: String,
    /// Its content.
    pub text: String,
}

/// Reads a drill. `find_aircraft` turns the drill's `aircraft` value into a file's text, or says what is wrong.
///
/// # Errors
/// The first thing wrong in the drill or its aircraft file, with its place.
pub fn parse(
    id: &str,
    source: Source,
    find_aircraft: &dyn Fn(&str) -> Result<AircraftText, String>,
) -> Result<Drill, FileError> {
    source.read(KEYS, |file| read(id, source, file, find_aircraft))
}

fn read(
    id: &str,
    source: Source,
    file: &Table,
    find_aircraft: &dyn Fn(&str) -> Result<AircraftText, String>,
) -> Result<Drill, FileError> {
    let title = file.text("title", 80)?;
    let about = file.text("about", 200)?;
    let reference = file.text("aircraft", 400)?;
    let aids = read_aids(file)?;
    let start_table = file.required_table("start", "[start]", START_KEYS)?;
    let found = find_aircraft(&reference.value).map_err(|what| file.error(reference.at, what))?;
    let mut aircraft = aircraft_file::parse(Source {
        file: &found.file,
        text: &found.text,
    })?;
    let (lightest, heaviest) = aircraft.mass_range_kg;
    aircraft.mass_kg = file
        .number("mass_kg", lightest..=heaviest, Some(aircraft.mass_kg))?
        .value;
    let tasks = file.tables("task", 1..=MOST_TASKS, TASK_KEYS);
    let slows_in = tasks.is_ok_and(|tasks| tasks.first().is_some_and(|task| task.has("slow")));
    let start = match slows_in {
        true => read_fast_start(&start_table, &aircraft)?,
        false => read_start(&start_table, &aircraft)?,
    };
    let deck = read_deck(file)?;
    let air = read_air(file, deck.as_ref())?;
    let distance_nm = start_table.optional_number("distance_nm", 0.2..=20.0)?;
    let aim = deck.zip(distance_nm).map(|(deck, distance_nm)| AimPoint {
        deck,
        start_m: distance_nm.value * NM,
    });
    let mut drill = Drill {
        id: id.to_string(),
        title: title.value,
        about: about.value,
        aids,
        aircraft,
        start,
        air,
        aim,
        tasks: Vec::new(),
        text: source.text.to_string(),
        aircraft_text: found.text,
    };
    drill.tasks = read_tasks(file, &drill)?;
    Ok(drill)
}

fn read_aids(file: &Table) -> Result<Aids, FileError> {
    if !file.has("aids") {
        return Ok(Aids::default());
    }
    let word = file.word("aids", &Aids::ALL.map(Aids::word))?.value;
    let named = Aids::ALL.into_iter().find(|aids| aids.word() == word);
    Ok(named.unwrap_or_default())
}

fn read_start(table: &Table, aircraft: &Aircraft) -> Result<Start, FileError> {
    let altitude = table.number("altitude_ft", ALTITUDE_FT, None)?;
    let path = table.number("path_deg", -10.0..=10.0, Some(0.0))?;
    let off_speed = table.number("off_speed_kt", -25.0..=40.0, Some(0.0))?;
    let lever_off = table.number("lever_off", -0.5..=0.5, Some(0.0))?;
    let lever = table.optional_number("lever", 0.0..=1.0)?;
    let engine = table.optional_number("engine", 0.0..=1.0)?;
    if let Some(lever) = lever.as_ref().filter(|_| table.has("lever_off")) {
        let message = "both `lever` and `lever_off`; give one of them";
        return Err(table.error(lever.at, message));
    }
    can_fly_level(table, aircraft, altitude)?;

    let h_m = altitude.value * FT;
    let on_speed = trim::on_speed(aircraft, h_m, path.value * DEG);
    if !on_speed.is_possible() {
        let range = path_range_deg(aircraft, h_m);
        return Err(table.error(
            path.at,
            format!(
                "a steady path of {} degrees takes {:.0} % of lever; {} can fly {:.1} to {:.1} degrees there",
                plain(path.value),
                100.0 * on_speed.lever,
                aircraft.name,
                range.0,
                range.1
            ),
        ));
    }
    let stall = trim::at_alpha(aircraft, aircraft.alpha_stall_rad, h_m, path.value * DEG);
    let slowest_kt = (stall.speed_mps - on_speed.speed_mps) / KT;
    if off_speed.value < slowest_kt {
        return Err(table.error(
            off_speed.at,
            format!(
                "`off_speed_kt` is {}, below the stall; the stall is {:.1} kt under on speed",
                plain(off_speed.value),
                -slowest_kt
            ),
        ));
    }
    Ok(Start {
        altitude_m: h_m,
        path_rad: path.value * DEG,
        off_speed_mps: off_speed.value * KT,
        lever_off: lever_off.value,
        lever: lever.map(|lever| lever.value),
        engine: engine.map(|engine| engine.value),
        fast: None,
    })
}

/// The start of a drill that slows in: steady level flight, extras in.
fn read_fast_start(table: &Table, aircraft: &Aircraft) -> Result<Start, FileError> {
    let altitude = table.number("altitude_ft", ALTITUDE_FT, None)?;
    if let Some((key, at)) = table.any_of(slow::NOT_GIVEN) {
        let message = format!(
            "`{key}` where the first task is a slow, which begins in steady level flight; leave it out"
        );
        return Err(table.error(at, message));
    }
    let off_speed = table.number("off_speed_kt", slow::OFF_SPEED_KT, None)?;
    can_fly_level(table, aircraft, altitude)?;
    let h_m = altitude.value * FT;
    let speed_mps = trim::on_speed(aircraft, h_m, 0.0).speed_mps + off_speed.value * KT;
    let rig = Rig {
        drag_in: aircraft.extras.iter().map(|extra| extra.drag).sum(),
        lift_in: aircraft.extras.iter().map(|extra| extra.lift).sum(),
        holds_m: None,
    };
    let fast = trim::at_speed(aircraft, &rig, h_m, speed_mps);
    let (what, cure) = match fast {
        Some(fast) if fast.trim.is_possible() => {
            return Ok(Start {
                altitude_m: h_m,
                path_rad: 0.0,
                off_speed_mps: off_speed.value * KT,
                lever_off: 0.0,
                lever: None,
                engine: None,
                fast: Some(fast),
            });
        }
        Some(fast) if fast.trim.lever > 1.0 => {
            let percent = 100.0 * fast.trim.lever;
            (format!("takes {percent:.0} % of lever"), "less")
        }
        Some(_) => ("takes less than idle".to_string(), "more"),
        None => ("is beyond the stall".to_string(), "more"),
    };
    let message = format!(
        "level flight {} kt above on speed, extras in, {what}; give {cure} off_speed_kt",
        plain(off_speed.value)
    );
    Err(table.error(off_speed.at, message))
}

/// The shallowest and steepest steady paths, by tenths of a degree inside +-10.
fn path_range_deg(aircraft: &Aircraft, h_m: f64) -> (f64, f64) {
    let possible =
        |tenths: &i32| trim::on_speed(aircraft, h_m, f64::from(*tenths) / 10.0 * DEG).is_possible();
    let low = (-100..=100).find(possible).unwrap_or(0);
    let high = (-100..=100).rev().find(possible).unwrap_or(0);
    (f64::from(low) / 10.0, f64::from(high) / 10.0)
}

fn can_fly_level(
    table: &Table,
    aircraft: &Aircraft,
    altitude_ft: At<f64>,
) -> Result<(), FileError> {
    let level = trim::on_speed(aircraft, altitude_ft.value * FT, 0.0);
    if level.is_possible() {
        return Ok(());
    }
    let message = cannot_fly_level(aircraft, aircraft.mass_kg, altitude_ft.value, level.lever);
    Err(table.error(altitude_ft.at, format!("{message}, or a lower altitude")))
}

fn read_deck(file: &Table) -> Result<Option<Deck>, FileError> {
    let Some(table) = file.table("deck", "[deck]", DECK_KEYS)? else {
        return Ok(None);
    };
    Ok(Some(Deck {
        height_m: table.number("height_ft", 0.0..=300.0, None)?.value * FT,
        speed_mps: table.number("speed_kt", 0.0..=40.0, Some(0.0))?.value * KT,
        zone_m: table.number("zone_ft", 50.0..=3000.0, None)?.value * FT,
        heave_m: table.number("heave_ft", 0.0..=20.0, Some(0.0))?.value * FT,
        heave_period_s: table
            .number("heave_period_s", 4.0..=30.0, Some(10.0))?
            .value,
        heave_from_s: table.number("heave_from_s", 0.0..=30.0, Some(0.0))?.value,
        pitch_rad: table.number("pitch_deg", 0.0..=5.0, Some(0.0))?.value * DEG,
    }))
}

fn read_air(file: &Table, deck: Option<&Deck>) -> Result<AirSpec, FileError> {
    let Some(table) = file.table("air", "[air]", AIR_KEYS)? else {
        return Ok(AirSpec::default());
    };
    let headwind = table.number("headwind_kt", -40.0..=60.0, Some(0.0))?;
    let roughness = table.number("roughness_ft", 0.0001..=10.0, Some(0.15))?;
    let u20_kt = if !table.has("gusts") {
        0.0
    } else if table.is_text("gusts") {
        let words: Vec<&'static str> = GUST_WORDS.iter().map(|(word, _)| *word).collect();
        let word = table.word("gusts", &words)?.value;
        gust_word_kt(word).unwrap_or(0.0)
    } else {
        match table.table("gusts", "gusts", &["u20_kt"])? {
            Some(gusts) => gusts.number("u20_kt", 0.0..=60.0, None)?.value,
            None => 0.0,
        }
    };
    let wake = table.flag("wake", false)?;
    if wake.value && deck.is_none() {
        let message = "`wake` is the air behind a ship; give a [deck] as well, or leave it out";
        return Err(table.error(wake.at, message));
    }
    Ok(AirSpec {
        headwind_mps: headwind.value * KT,
        roughness_m: roughness.value * FT,
        u20_mps: u20_kt * KT,
        wake: deck.filter(|_| wake.value).map(Deck::wake),
        shift: read_shift(&table, wake)?,
    })
}

fn read_shift(table: &Table, wake: At<bool>) -> Result<Option<Shift>, FileError> {
    let Some(by) = table.optional_number("shift_kt", -40.0..=40.0)? else {
        for key in ["shift_at_s", "shift_over_s"] {
            if let Some(alone) = table.optional_number(key, 0.0..=3600.0)? {
                let message =
                    format!("`{key}` without `shift_kt`; say by how much the wind changes");
                return Err(table.error(alone.at, message));
            }
        }
        return Ok(None);
    };
    if wake.value {
        let message = "`shift_kt` with `wake`; the air behind a ship is that of a steady wind, so leave one of them out";
        return Err(table.error(by.at, message));
    }
    let at = table.number("shift_at_s", 0.0..=3600.0, None)?;
    let over = table.number("shift_over_s", 1.0..=600.0, Some(10.0))?;
    Ok(Some(Shift {
        by_mps: by.value * KT,
        at_s: at.value,
        over_s: over.value,
    }))
}

/// The wind at 20 ft that a word for gusts stands for, kt.
pub fn gust_word_kt(word: &str) -> Option<f64> {
    GUST_WORDS
        .iter()
        .find(|(known, _)| *known == word)
        .map(|(_, kt)| *kt)
}

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

fn read_tasks(file: &Table, drill: &Drill) -> Result<Vec<Task>, FileError> {
    let mut before = Before {
        drill,
        altitude_ft: Some(drill.start.altitude_m / FT),
        vertical_fpm: Some(drill.start_trim().vertical_mps() / FPM),
        after_rate: false,
        only_holds: true,
        is_first: true,
    };
    let closure_mps = drill.closure_mps();
    let distance_m = drill.aim.map_or(0.0, |aim| aim.start_m);
    let mut total_s = 0.0;
    let mut tasks: Vec<Task> = Vec::new();
    let mut count = 0;
    for table in file.tables("task", 1..=MOST_TASKS, TASK_KEYS)? {
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
        if count > MOST_TASKS {
            let message = format!(
                "{count} tasks up to here, those drawn by surprises counted; a drill has at most {MOST_TASKS}"
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
        let closure_kt = self.drill.closure_mps() / KT;
        if closure_kt <= 0.0 {
            let message = format!(
                "the aim point does not come nearer: closure is {closure_kt:.0} kt; give less wind or a slower deck"
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
        // The lowest there is: it grows with height.
        let rate_mps = trim::three_degrees(aircraft, 0.0).rate_mps;
        let surprise = Surprise::read(table, rate_mps)?;
        let high = table.number("high_ft", ALTITUDE_FT, None)?;
        can_fly_level(table, aircraft, high)?;
        self.altitude_ft = None;
        self.vertical_fpm = None;
        self.after_rate = false;
        self.only_holds = false;
        Ok(Kind::Surprise(surprise))
    }
}

/// The wind at 20 ft that an `--air` value stands for, m/s: a word for gusts, or knots within 0..60.
pub fn air_word_mps(air: &str) -> Option<f64> {
    let kt = gust_word_kt(air).or_else(|| air.parse().ok())?;
    (0.0..=60.0).contains(&kt).then_some(kt * KT)
}
