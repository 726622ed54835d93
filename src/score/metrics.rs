//! The one table of figures. A new metric is one function and one row.

use std::iter;

use serde::Serialize;

use super::scene::{Scene, rms};
use super::series::turns;
use crate::drill::Kind;
use crate::drill::path::{Outcome, Touchdown};
use crate::drill::reader::fixed;
use crate::sim::atmosphere;
use crate::sim::dynamics::State;
use crate::sim::trim;
use crate::units::{DEG, FPM, FT, KT, NM};

/// The value of a figure.
#[derive(Clone, Debug, PartialEq)]
pub enum Figure {
    /// A number in the metric's unit.
    Number(f64),
    /// Yes or no.
    Flag(bool),
    /// How a path ended.
    Ended(Outcome),
    /// The gates of a path, in its order.
    Gates(Vec<Gate>),
    /// There is no value: the task was not finished or not captured, or what it takes is not known.
    Unknown,
}

/// A gate of a path and how it was passed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Gate {
    /// Distance from the aim point, nautical miles.
    pub distance_nm: f64,
    /// Altitude of the path there, ft.
    pub altitude_ft: f64,
    /// How far above the path it was passed, ft; None where it was not reached.
    pub deviation_ft: Option<f64>,
}

/// One row of the table.
pub struct Metric {
    /// Its key within the program.
    pub id: Key,
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
const RATE: &[&str] = &["rate"];
const PATH: &[&str] = &["path"];
const SLOW: &[&str] = &["slow"];
const CAPTURES: &[&str] = &["step", "rate", "slow"];
const ALTITUDES: &[&str] = &["hold", "step", "slow"];
const ALL: &[&str] = &["hold", "step", "rate", "path", "slow"];

/// Makes the keys and the table from one list, so that no code can ask for a figure without a row.
macro_rules! metrics {
    ($($id:ident $key:literal, $label:literal, $unit:literal, $kinds:expr, $value:expr;)*) => {
        /// The figures by name; each stands in [`METRICS`].
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum Key {
            $(#[doc = $label] $id,)*
        }

        /// Every figure of every task, in the order in which they are shown.
        pub const METRICS: &[Metric] = &[
            $(Metric { id: Key::$id, key: $key, label: $label, unit: $unit, kinds: $kinds, value: $value },)*
        ];
    };
}

metrics! {
    SlowS "slow_s", "slow after", "s", SLOW, |s| s.slow_s().into();
    Captured "captured", "captured", "", CAPTURES, |s| Figure::Flag(s.leg.captured == Some(true));
    CaptureS "capture_s", "stay began after", "s", CAPTURES, |s| s.capture_s().into();
    OvershootFt "overshoot_ft", "past the number", "ft", STEP, |s| Figure::Number(s.overshoot());
    OvershootFpm "overshoot_fpm", "past the number", "ft/min", RATE, |s| Figure::Number(s.overshoot());
    ShortFt "short_ft", "stopped short by", "ft", STEP, short_ft;
    BelowFt "below_ft", "farthest below", "ft", SLOW, |s| Figure::Number(s.below());
    AboveFt "above_ft", "farthest above", "ft", SLOW, |s| Figure::Number(s.above());
    InBand "in_band", "share inside", "", HOLD, in_band;
    RmsFt "rms_ft", "rms error", "ft", ALTITUDES, |s| s.error(rms).into();
    BiasFt "bias_ft", "mean error", "ft", ALTITUDES, |s| s.error(mean).into();
    ScatterFt "scatter_ft", "scatter", "ft", ALTITUDES, |s| s.error(scatter).into();
    RmsFpm "rms_fpm", "rms error", "ft/min", RATE, |s| s.error(rms).into();
    BiasFpm "bias_fpm", "mean error", "ft/min", RATE, |s| s.error(mean).into();
    ScatterFpm "scatter_fpm", "scatter", "ft/min", RATE, |s| s.error(scatter).into();
    SteepS "steep_s", "too steep for", "s", STEP, |s| Figure::Number(s.steep_s()).if_known(s.known.vertical);
    Outcome "outcome", "outcome", "", PATH, outcome;
    Gates "gates", "gates", "", PATH, gates;
    TouchdownFt "touchdown_ft", "down before aim", "ft", PATH, |s| touchdown(s, |down| down.distance_m / FT);
    SinkFps "sink_fps", "sink at touchdown", "ft/s", PATH, |s| touchdown(s, |down| down.sink_mps / FT);
    FullPowerS "full_power_s", "to full power", "s", PATH, |s| s.approach().full_power_s().into();
    Missed "missed", "missed a call", "", PATH, |s| Figure::Flag(s.approach().missed()).if_known(s.known.lever);
    LeverTravel "lever_travel", "lever travel", "%", ALL, |s| Figure::Number(s.lever_travel()).if_known(s.known.lever);
    LeverReversals "lever_reversals", "lever reversals", "", ALL, lever_reversals;
    AlphaErrorDeg "alpha_error_deg", "on-speed error", "deg", ALL, alpha_error_deg;
    SpeedWanderKt "speed_wander_kt", "speed wander", "kt", ALL, speed_wander_kt;
}

/// The rows of the table that a kind of task has.
pub fn of_kind(kind: &Kind) -> impl Iterator<Item = &'static Metric> + use<> {
    let name = kind.name();
    METRICS
        .iter()
        .filter(move |metric| metric.kinds.contains(&name))
}

impl Metric {
    /// A figure for people, without its unit, to the digits that mean something; counts are whole.
    pub fn told(&self, figure: &Figure) -> String {
        match figure {
            Figure::Unknown => "-".to_string(),
            Figure::Flag(true) => "yes".to_string(),
            Figure::Flag(false) => "no".to_string(),
            Figure::Ended(outcome) => outcome.word().replace('_', " "),
            Figure::Gates(gates) => {
                let passed = gates.iter().map(|gate| match gate.deviation_ft {
                    Some(off_ft) => format!("{off_ft:+.0} ft"),
                    None => "-".to_string(),
                });
                passed.collect::<Vec<_>>().join(", ")
            }
            Figure::Number(x) => self.number(*x, 0),
        }
    }

    /// A number of its figure for people; a mean or a change has some decimals `more`.
    pub fn number(&self, x: f64, more: usize) -> String {
        let decimals = match self.unit {
            "" | "ft/min" => 0,
            "deg" => 2,
            _ => 1,
        };
        match self.is_share() {
            true => fixed(100.0 * x, more),
            false => fixed(x, decimals.max(more)),
        }
    }

    /// The unit shown to people.
    pub fn told_in(&self) -> &'static str {
        if self.is_share() { "%" } else { self.unit }
    }

    fn is_share(&self) -> bool {
        self.id == Key::InBand
    }
}

/// The distance still missing where the aeroplane, once under way, stops before it reaches the number. If the vertical speed of
/// a track may be off, the figure is known only if that makes no difference.
fn short_ft(scene: &Scene) -> Figure {
    const UNDER_WAY_FPM: f64 = 50.0;
    /// A difference up to this is none, ft: the accuracy of the altitude in such tracks.
    const SAME_FT: f64 = 3.0;
    let Some(unsure_mps) = scene.known.moment_mps else {
        return Figure::Unknown;
    };
    let unsure_fpm = unsure_mps / FPM;
    let told_ft = short_of(scene, UNDER_WAY_FPM);
    let is_same = |fpm: f64| (short_of(scene, fpm) - told_ft).abs() <= SAME_FT;
    let is_known = unsure_fpm == 0.0
        || (is_same(UNDER_WAY_FPM - unsure_fpm) && is_same(UNDER_WAY_FPM + unsure_fpm));
    Figure::Number(told_ft).if_known(is_known)
}

/// The same, where under way means at least a given vertical speed, ft.
fn short_of(scene: &Scene, under_way_fpm: f64) -> f64 {
    let mut under_way = false;
    for (tick, state) in scene.ends() {
        let missing_ft = -scene.direction() * scene.off(tick, state);
        if missing_ft <= 0.0 {
            break;
        }
        let towards_fpm = scene.direction() * state.vz_mps / FPM;
        if towards_fpm >= under_way_fpm {
            under_way = true;
        } else if under_way {
            return missing_ft;
        }
    }
    0.0
}

fn in_band(scene: &Scene) -> Figure {
    let inside = scene
        .ends()
        .filter(|(tick, state)| scene.is_inside(*tick, state))
        .count();
    Figure::Number(inside as f64 / scene.ends().len() as f64)
}

fn outcome(scene: &Scene) -> Figure {
    match scene.approach().outcome {
        // It may have gone around: only the lever shows that.
        Some(Outcome::Past) if !scene.known.lever => Figure::Unknown,
        Some(outcome) => Figure::Ended(outcome),
        None => Figure::Unknown,
    }
}

/// Each gate with the deviation at the first tick that ends at or inside its distance.
fn gates(scene: &Scene) -> Figure {
    let Kind::Path(path) = scene.kind() else {
        return Figure::Unknown;
    };
    let passed = |gate_m: f64| {
        let inside = |(tick, state): &(u64, &State)| path.glide.distance_m(state, *tick) <= gate_m;
        let (tick, state) = scene.ends().find(inside)?;
        Some(scene.off(tick, state))
    };
    let gates = path.gates_m.iter().map(|gate_m| Gate {
        distance_nm: gate_m / NM,
        altitude_ft: path.glide.altitude_m(*gate_m) / FT,
        deviation_ft: passed(*gate_m),
    });
    Figure::Gates(gates.collect())
}

/// A figure of a path's touchdown.
fn touchdown(scene: &Scene, figure: fn(&Touchdown) -> f64) -> Figure {
    scene.approach().touchdown.as_ref().map(figure).into()
}

/// Reversals of the lever; moves back of less than 1.5 % are ignored.
fn lever_reversals(scene: &Scene) -> Figure {
    // A hair under 1.5 %, so that 0.515 less 0.5 counts as 1.5 % in binary too.
    const TURN: f64 = 0.015 - 1e-9;
    let first = scene.trace.lever_before(scene.first);
    let settings = scene.trace.settings(scene.first..scene.last);
    let levers = Vec::from_iter(iter::once(first).chain(settings));
    let count = turns(&levers, TURN).len() as f64;
    Figure::Number(count).if_known(scene.known.lever)
}

fn alpha_error_deg(scene: &Scene) -> Figure {
    let on_rad = scene.aircraft.alpha_on_rad;
    let alpha_rad = |tick, state: &State| state.air_data(&scene.wind(tick)).alpha_rad;
    let mut errors = scene
        .ends()
        .map(|(tick, state)| (alpha_rad(tick, state) - on_rad) / DEG);
    Figure::Number(rms(&mut errors)).if_known(scene.known.alpha)
}

/// Rms difference of the airspeed from the level on-speed speed at the height of the moment.
fn speed_wander_kt(scene: &Scene) -> Figure {
    // On speed is a fixed dynamic pressure: the true airspeed goes with the inverse root of density.
    let on =
        trim::on_speed(scene.aircraft, 0.0, 0.0).speed_mps * atmosphere::at(0.0).rho_kgm3.sqrt();
    let mut errors = scene.ends().map(|(tick, state)| {
        let on_mps = on / atmosphere::at(state.h_m).rho_kgm3.sqrt();
        (state.airspeed_mps(&scene.wind(tick)) - on_mps) / KT
    });
    Figure::Number(rms(&mut errors)).if_known(scene.known.speed)
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
    /// [`Figure::Unknown`] where what it is made of is not known.
    fn if_known(self, is_known: bool) -> Figure {
        match is_known {
            true => self,
            false => Figure::Unknown,
        }
    }

    /// The number, if it is one.
    pub fn number(&self) -> Option<f64> {
        match *self {
            Figure::Number(number) => Some(number),
            _ => None,
        }
    }
}
