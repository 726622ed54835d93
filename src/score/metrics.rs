//! The one table of figures. A new metric is one function and one row.

use crate::drill::{Kind, Task};
use crate::run::{Leg, Point, Run, Trace};
use crate::sim::trim::{self, ThreeDegrees, three_degrees};
use crate::sim::{aircraft::Aircraft, atmosphere};
use crate::units::{DEG, FPM, FT, KT, TICK_S};

/// What a figure is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Figure {
    /// A number in the metric's unit.
    Number(f64),
    /// Yes or no.
    Flag(bool),
    /// There is none: the task was not finished, or not captured.
    Unknown,
}

/// One row of the table.
pub struct Metric {
    /// Its name in JSON; the unit is part of it.
    pub key: &'static str,
    /// Its name for people.
    pub label: &'static str,
    /// Its unit for people.
    pub unit: &'static str,
    /// Which kinds of task have it.
    pub kinds: &'static [&'static str],
    /// How it is computed.
    pub value: fn(&Scene) -> Figure,
}

const HOLD: &[&str] = &["hold"];
const STEP: &[&str] = &["step"];
const ALL: &[&str] = &["hold", "step"];

macro_rules! metric {
    ($key:literal, $label:literal, $unit:literal, $kinds:expr, $value:expr) => {
        Metric {
            key: $key,
            label: $label,
            unit: $unit,
            kinds: $kinds,
            value: $value,
        }
    };
}

/// Every figure of every task, in the order in which they are told.
pub const METRICS: &[Metric] = &[
    metric!("captured", "captured", "", STEP, captured),
    metric!("capture_s", "stay begun after", "s", STEP, |s| s
        .capture_s()
        .into()),
    metric!("overshoot_ft", "past the number", "ft", STEP, overshoot_ft),
    metric!("short_ft", "stopped short by", "ft", STEP, short_ft),
    metric!("in_band", "share inside", "", HOLD, in_band),
    metric!("rms_ft", "rms error", "ft", ALL, |s| s.error_ft(rms)),
    metric!("bias_ft", "mean error", "ft", ALL, |s| s.error_ft(mean)),
    metric!("scatter_ft", "scatter", "ft", ALL, |s| s.error_ft(scatter)),
    metric!("steep_s", "too steep for", "s", STEP, steep_s),
    metric!("lever_travel", "lever travel", "%", ALL, lever_travel),
    metric!(
        "lever_reversals",
        "lever reversals",
        "",
        ALL,
        lever_reversals
    ),
    metric!(
        "alpha_error_deg",
        "off on speed",
        "deg",
        ALL,
        alpha_error_deg
    ),
    metric!(
        "speed_wander_kt",
        "speed wander",
        "kt",
        ALL,
        speed_wander_kt
    ),
];

/// The rows of the table that a kind of task has.
pub fn of_kind(kind: &Kind) -> impl Iterator<Item = &'static Metric> + use<> {
    let name = kind.name();
    METRICS
        .iter()
        .filter(move |metric| metric.kinds.contains(&name))
}

/// A finished task with everything its figures depend on.
pub struct Scene<'a> {
    /// The task.
    pub task: &'a Task,
    aircraft: &'a Aircraft,
    trace: &'a Trace,
    leg: &'a Leg,
    first: usize,
    last: usize,
    /// The scale of the arithmetic at the task's start.
    pub three: ThreeDegrees,
}

impl<'a> Scene<'a> {
    /// A finished task of a run; `end` is the tick after its last.
    pub fn new(run: &'a Run, task: &'a Task, leg: &'a Leg, end: u64) -> Scene<'a> {
        let aircraft = &run.drill().aircraft;
        let first = leg.start as usize;
        Scene {
            task,
            aircraft,
            trace: run.trace(),
            leg,
            first,
            last: end as usize,
            three: three_degrees(aircraft, run.trace().points()[first].state.h_m),
        }
    }

    /// The instant at which the task begins.
    pub fn start(&self) -> &'a Point {
        &self.trace.points()[self.first]
    }

    /// The instants at the ends of its ticks.
    fn ends(&self) -> &'a [Point] {
        &self.trace.points()[self.first + 1..=self.last]
    }

    /// What the altitude must change by, ft, + up.
    pub fn change_ft(&self) -> f64 {
        -self.task.kind.target().error(&self.start().state) / FT
    }

    fn direction(&self) -> f64 {
        self.change_ft().signum()
    }

    /// The 3-degree rate at its start, ft/s: `r`.
    pub fn rate_fps(&self) -> f64 {
        self.three.rate_mps / FT
    }

    /// Start of the captured stay less the task's start, s.
    pub fn capture_s(&self) -> Option<f64> {
        let progress = &self.leg.progress;
        (self.leg.captured == Some(true))
            .then(|| (progress.ticks - progress.stay_ticks) as f64 * TICK_S)
    }

    /// The ticks whose error counts: the whole of a hold, the captured stay of anything else.
    fn counted(&self) -> Option<&'a [Point]> {
        let ends = self.ends();
        match self.leg.captured {
            None => Some(ends),
            Some(true) => Some(&ends[ends.len() - self.leg.progress.stay_ticks as usize..]),
            Some(false) => None,
        }
    }

    /// Largest error, ft, over a hold, or from a step's first arrival in its band to its end.
    pub fn largest_error_ft(&self) -> Option<f64> {
        let target = self.task.kind.target();
        let ends = self.ends();
        let from = match self.leg.captured {
            None => 0,
            Some(_) => ends.iter().position(|p| target.holds(&p.state))?,
        };
        let errors = ends[from..]
            .iter()
            .map(|p| target.error(&p.state).abs() / FT);
        Some(errors.fold(0.0, f64::max))
    }

    fn error_ft(&self, figure: fn(&mut dyn Iterator<Item = f64>) -> f64) -> Figure {
        let target = self.task.kind.target();
        self.counted()
            .map(|points| figure(&mut points.iter().map(|p| target.error(&p.state) / FT)))
            .into()
    }
}

fn captured(scene: &Scene) -> Figure {
    Figure::Flag(scene.leg.captured == Some(true))
}

fn overshoot_ft(scene: &Scene) -> Figure {
    let target = scene.task.kind.target();
    let past = |p: &Point| scene.direction() * target.error(&p.state) / FT;
    Figure::Number(scene.ends().iter().map(past).fold(0.0, f64::max))
}

/// What is missing where the aeroplane, once under way, gives up its way before the number is reached.
fn short_ft(scene: &Scene) -> Figure {
    const UNDER_WAY_FPM: f64 = 50.0;
    let target = scene.task.kind.target();
    let mut under_way = false;
    for point in scene.ends() {
        let missing_ft = -scene.direction() * target.error(&point.state) / FT;
        if missing_ft <= 0.0 {
            break;
        }
        let towards_fpm = scene.direction() * point.state.vz_mps / FPM;
        if towards_fpm >= UNDER_WAY_FPM {
            under_way = true;
        } else if under_way {
            return Figure::Number(missing_ft);
        }
    }
    Figure::Number(0.0)
}

fn in_band(scene: &Scene) -> Figure {
    let target = scene.task.kind.target();
    let ends = scene.ends();
    let inside = ends.iter().filter(|p| target.holds(&p.state)).count();
    Figure::Number(inside as f64 / ends.len() as f64)
}

fn steep_s(scene: &Scene) -> Figure {
    const STEEPEST_FPM: f64 = 1000.0;
    let limit_mps = (STEEPEST_FPM * FPM).min(1.5 * scene.three.rate_mps);
    let steep = scene
        .ends()
        .iter()
        .filter(|p| p.state.vz_mps.abs() > limit_mps);
    Figure::Number(steep.count() as f64 * TICK_S)
}

fn lever_travel(scene: &Scene) -> Figure {
    let mut last = scene.trace.lever_before(scene.first);
    let mut travel = 0.0;
    for &lever in &scene.trace.levers()[scene.first..scene.last] {
        travel += (lever - last).abs();
        last = lever;
    }
    Figure::Number(100.0 * travel)
}

/// Turns of direction, deaf to moves back of less than 1.5 %.
fn lever_reversals(scene: &Scene) -> Figure {
    // A hair under 1.5 %, so that 0.515 less 0.5 counts as 1.5 % in binary too.
    const TURN: f64 = 0.015 - 1e-9;
    let first = scene.trace.lever_before(scene.first);
    let (mut direction, mut farthest, mut turns) = (0.0, first, 0);
    for &lever in &scene.trace.levers()[scene.first..scene.last] {
        if direction == 0.0 {
            if (lever - first).abs() >= TURN {
                direction = (lever - first).signum();
                farthest = lever;
            }
        } else if direction * (lever - farthest) > 0.0 {
            farthest = lever;
        } else if direction * (farthest - lever) >= TURN {
            direction = -direction;
            farthest = lever;
            turns += 1;
        }
    }
    Figure::Number(f64::from(turns))
}

fn alpha_error_deg(scene: &Scene) -> Figure {
    let on_rad = scene.aircraft.alpha_on_rad;
    let errors = |p: &Point| (p.state.air_data(&p.wind).alpha_rad - on_rad) / DEG;
    Figure::Number(rms(&mut scene.ends().iter().map(errors)))
}

/// Airspeed from the level on-speed speed at the height of the moment.
fn speed_wander_kt(scene: &Scene) -> Figure {
    // On speed is one dynamic pressure: the true speed goes with the root of density.
    let on =
        trim::on_speed(scene.aircraft, 0.0, 0.0).speed_mps * atmosphere::at(0.0).rho_kgm3.sqrt();
    let errors = |p: &Point| {
        let on_mps = on / atmosphere::at(p.state.h_m).rho_kgm3.sqrt();
        (p.state.air_data(&p.wind).speed_mps - on_mps) / KT
    };
    Figure::Number(rms(&mut scene.ends().iter().map(errors)))
}

fn rms(values: &mut dyn Iterator<Item = f64>) -> f64 {
    let (count, sum) = values.fold((0.0, 0.0), |(n, s), x| (n + 1.0, s + x * x));
    (sum / count).sqrt()
}

fn mean(values: &mut dyn Iterator<Item = f64>) -> f64 {
    let (count, sum) = values.fold((0.0, 0.0), |(n, s), x| (n + 1.0, s + x));
    sum / count
}

/// Standard deviation of the values about their own mean, by Welford's recurrence.
fn scatter(values: &mut dyn Iterator<Item = f64>) -> f64 {
    let (mut count, mut mean, mut squares) = (0.0, 0.0, 0.0);
    for x in values {
        count += 1.0;
        let off = x - mean;
        mean += off / count;
        squares += off * (x - mean);
    }
    (squares / count).sqrt()
}

impl From<Option<f64>> for Figure {
    fn from(number: Option<f64>) -> Figure {
        number.map_or(Figure::Unknown, Figure::Number)
    }
}

impl Figure {
    /// The number, if it is one.
    pub fn number(self) -> Option<f64> {
        match self {
            Figure::Number(number) => Some(number),
            _ => None,
        }
    }
}
