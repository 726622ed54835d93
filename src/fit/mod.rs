//! Fits an aeroplane to readings from elsewhere: from rows of steady flight on speed to an aeroplane's file that reproduces them.
//!
//! [`rows`] reads the rows, `model` defines what they can determine, `estimate` finds it by `least_squares` with an
//! interval for each number, `contradictions` refuses rows that cannot all be true, and `file` writes the result. What the
//! rows cannot determine is taken from the `nearest` aeroplane that ships.
#![deny(clippy::disallowed_methods, clippy::disallowed_types)]

mod contradictions;
mod estimate;
mod file;
pub mod least_squares;
mod model;
mod nearest;
mod report;
pub mod rows;

pub use estimate::{Between, LEVEL_PERCENT};
pub use model::{Reading, rounded_alike};
pub use report::{Figure, Report, RowReport};

use crate::brief::carry_on::EngineAnswer;
use crate::brief::{Severity, judge};
use crate::drill::aircraft_file;
use crate::drill::reader::{Source, plain};
use crate::sim::aircraft::{Aircraft, EngineKind};
use crate::sim::math::{halved, range};
use crate::sim::trim;
use crate::units::{DEG, KT};
use estimate::Problem;
use model::{Frame, THRUST};
use nearest::Nearest;
use rows::SteadyRow;

/// What drives it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Drive {
    Jet,
    Propeller,
}

impl Drive {
    /// The drive of an aeroplane.
    pub fn of(aircraft: &Aircraft) -> Drive {
        match aircraft.engine.kind {
            EngineKind::Jet { .. } => Drive::Jet,
            EngineKind::Propeller { .. } => Drive::Propeller,
        }
    }
}

/// What is known besides the rows.
#[derive(Clone, Debug)]
pub struct Given {
    pub name: String,
    /// What drives it; otherwise as in the nearest aeroplane.
    pub kind: Option<Drive>,
    /// Time the engine takes from idle to 95 %, s; otherwise as in the nearest aeroplane.
    pub from_idle_s: Option<f64>,
    /// Its stall in level flight at sea level and the mass of its file, m/s; otherwise as in the nearest aeroplane.
    pub stall_mps: Option<f64>,
    /// Its wing area, m2; otherwise the lift coefficient is that of the nearest aeroplane.
    pub area_m2: Option<f64>,
    /// The steps to which the rows were read.
    pub reading: Reading,
}

/// Why no aeroplane could be fitted, and the row at fault where it is a single one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// The row at fault, from 0.
    pub row: Option<usize>,
    /// What is wrong; what would be right.
    pub message: String,
}

impl Refusal {
    fn at(row: usize, message: String) -> Refusal {
        Refusal {
            row: Some(row),
            message,
        }
    }

    fn all(message: impl Into<String>) -> Refusal {
        Refusal {
            row: None,
            message: message.into(),
        }
    }
}

/// The widest interval of the thrust either way, as a share of it: beyond that, the
/// rows do not determine what the lever is worth.
const WIDEST: f64 = 0.35;
/// Rows whose masses span at least this ratio determine the masses it is flown at.
const MASSES_TOLD: f64 = 1.05;

/// An aeroplane that was fitted.
pub struct Fit {
    /// As read back from its file.
    pub aircraft: Aircraft,
    /// Its file.
    pub toml: String,
    /// What the rows determine and how well it fits them.
    pub report: Report,
}

/// Finds the aeroplane of some rows.
///
/// # Errors
/// Where the rows contradict each other, do not determine enough, or give an aeroplane that cannot be flown here.
pub fn fit(all: &[SteadyRow], given: &Given) -> Result<Fit, Refusal> {
    let (rows, numbers) = apart(all);
    if rows.len() < rows::LEAST {
        return Err(Refusal::all(format!(
            "different rows: {}; give at least {}, better six, with sinks and climbs far apart",
            rows.len(),
            rows::LEAST
        )));
    }
    // Refusals name rows by their place in the rows as given.
    let named = |refusal: Refusal| Refusal {
        row: refusal.row.map(|row| numbers[row]),
        ..refusal
    };
    contradictions::of_pairs(&rows, &numbers, &given.reading).map_err(named)?;
    let nearest = Nearest::to(&rows, given);
    let frame = Frame::new(&nearest, given);
    let task = Problem {
        frame: &frame,
        rows: &rows,
        reading: &given.reading,
        start: frame.start(&nearest),
    };
    let alike = "the rows are too much alike to tell what the lever is worth; give sinks and climbs further apart";
    let estimate = task.estimate().ok_or_else(|| Refusal::all(alike))?;
    contradictions::of_all(&task, &estimate, &numbers).map_err(named)?;
    let is_told = estimate::LEVEL_DEVIATIONS * estimate.deviation(THRUST) < WIDEST;
    if !is_told {
        return Err(Refusal::all(alike));
    }
    let aircraft = finished(frame.aircraft(&estimate.numbers), &rows, &nearest, given)?;
    let mut toml = file::write(&file::Parts {
        aircraft: &aircraft,
        rows: &rows,
        given,
        nearest: &nearest,
        estimate: &estimate,
        frame: &frame,
    });
    let (file, text) = ("the fitted aeroplane", &toml[..]);
    let none = |why: String| Refusal::all(format!("no aeroplane fits these rows: {why}"));
    let aircraft = aircraft_file::parse(Source { file, text });
    let aircraft = aircraft.map_err(|error| none(error.message))?;
    let mut judged = judge(&aircraft).into_iter();
    if let Some(wrong) = judged.find(|judged| judged.severity == Severity::Error) {
        return Err(none(wrong.sentence));
    }
    let repeated = (0..all.len()).filter(|place| !numbers.contains(place));
    let repeated = repeated.map(|place| place + 1).collect();
    let report = Report::new(
        &task, &numbers, given, &nearest, &estimate, &aircraft, repeated,
    );
    toml.push('\n');
    for line in report.row_lines() {
        toml.push_str(&format!("# {line}\n"));
    }
    Ok(Fit {
        aircraft,
        toml,
        report,
    })
}

/// Rows that differ from all before them, with their indices: a row read twice adds nothing.
fn apart(rows: &[SteadyRow]) -> (Vec<SteadyRow>, Vec<usize>) {
    let same = |a: &SteadyRow, b: &SteadyRow| SteadyRow { at: b.at, ..*a } == *b;
    let is_new =
        |(place, row): &(usize, &SteadyRow)| !rows[..*place].iter().any(|before| same(before, row));
    let kept = rows.iter().enumerate().filter(is_new);
    kept.map(|(place, row)| (*row, place)).unzip()
}

/// Fills in what is given besides the rows, and the masses it may be flown at.
fn finished(
    mut aircraft: Aircraft,
    rows: &[SteadyRow],
    nearest: &Nearest,
    given: &Given,
) -> Result<Aircraft, Refusal> {
    aircraft.name = given.name.clone();
    aircraft.about = format!(
        "Fitted to {} rows; the rest is the {}'s.",
        rows.len(),
        nearest.aircraft.name
    );
    aircraft.mass_range_kg = mass_range_kg(rows, nearest).0;
    if let Some(wanted_s) = given.from_idle_s {
        // The time from idle grows with the answer times: two rounds make it right to a fraction of a tick.
        for _ in 0..2 {
            let own_s = EngineAnswer::of(&aircraft, 0.0)
                .idle_to_95_s
                .unwrap_or(wanted_s);
            aircraft.engine.slow_s *= wanted_s / own_s;
            aircraft.engine.quick_s *= wanted_s / own_s;
        }
    }
    if let Some(wanted_mps) = given.stall_mps {
        let stall_mps = |alpha_rad: f64| trim::at_alpha(&aircraft, alpha_rad, 0.0, 0.0).speed_mps;
        let ends = (aircraft.alpha_on_rad + DEG, 40.0 * DEG);
        let (fastest_kt, slowest_kt) = (stall_mps(ends.0) / KT, stall_mps(ends.1) / KT);
        if !(slowest_kt..=fastest_kt).contains(&(wanted_mps / KT)) {
            return Err(Refusal::all(format!(
                "a stall at {:.0} kt does not fit these rows; at {} kg and sea level it lies between {:.0} and {:.0} kt",
                wanted_mps / KT,
                plain(aircraft.mass_kg.round()),
                slowest_kt.ceil(),
                fastest_kt.floor()
            )));
        }
        let is_slower = |alpha_rad: f64| stall_mps(alpha_rad) <= wanted_mps;
        aircraft.alpha_stall_rad = halved(60, ends, is_slower).0;
    }
    Ok(aircraft)
}

/// Lightest and heaviest mass, and whether the rows determine them.
fn mass_range_kg(rows: &[SteadyRow], nearest: &Nearest) -> ((f64, f64), bool) {
    let (low, high) = range(rows.iter().map(|row| row.mass_kg));
    if high >= MASSES_TOLD * low {
        return ((low, high), true);
    }
    let (lightest, heaviest) = nearest.aircraft.mass_range_kg;
    let scale = nearest.mass_kg / nearest.aircraft.mass_kg;
    (
        (low.min(scale * lightest), high.max(scale * heaviest)),
        false,
    )
}
