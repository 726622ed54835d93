//! Altitude over time, from any source, as a run of a drill: read ([`read`]), aligned with the drill's beginning
//! ([`begin`]), smoothed ([`smooth`]) and filled in to states at every tick ([`fill`]). Then it is scored like any run.
#![deny(clippy::disallowed_methods, clippy::disallowed_types)]

pub mod agree;
pub mod begin;
pub mod fill;
pub mod read;
pub mod smooth;
pub mod story;

use crate::drill::reader::{FileError, Source};
use crate::drill::{Drill, Kind};

pub use crate::drill::columns::{Field, Mapping};
pub use begin::Begin;
pub use read::{COLUMNS, Series};

/// Where rows are close together, a stretch without rows is a gap if it is longer than this, s.
const GAP_S: f64 = 2.0;
/// A longer gap cannot be bridged: in a quarter of a swing anything may have happened, s.
pub const LONGEST_GAP_S: f64 = 8.0;

/// A track as it was read.
#[derive(Clone, Debug)]
pub struct Track {
    columns: Vec<(Field, Series)>,
}

impl Track {
    /// Reads a track; `mappings` name the columns that are not found by their header.
    ///
    /// # Errors
    /// The first thing that is wrong, with what would be right.
    pub fn read(source: Source, mappings: &[Mapping]) -> Result<Track, FileError> {
        let columns = read::read(source, mappings)?;
        Ok(Track { columns })
    }

    /// A column, if the track has it.
    pub fn series(&self, field: Field) -> Option<&Series> {
        let column = self.columns.iter().find(|(own, _)| *own == field);
        column.map(|(_, series)| series)
    }

    /// The altitude column, which every track has.
    pub fn altitude(&self) -> &Series {
        self.series(Field::Altitude)
            .expect("a track without altitude is not read")
    }

    /// Time of its first row with an altitude, s.
    pub fn first_s(&self) -> f64 {
        self.altitude().t_s[0]
    }

    pub fn last_s(&self) -> f64 {
        self.altitude().t_s.last().copied().unwrap_or_default()
    }

    /// Whether it has the columns that tracks of `simulate` have, and begins at time 0.
    pub fn is_own(&self) -> bool {
        let own = [
            Field::Engine,
            Field::Path,
            Field::Alpha,
            Field::Distance,
            Field::Lever,
        ];
        own.iter().all(|field| self.series(*field).is_some()) && self.first_s() == 0.0
    }

    /// Its gaps that end after a time: from, to, s.
    pub fn gaps(&self, from_s: f64) -> Vec<(f64, f64)> {
        let altitude = self.altitude();
        let mut gaps = altitude.gaps(GAP_S.max(3.0 * altitude.apart_s()));
        gaps.retain(|(_, to_s)| *to_s > from_s);
        gaps
    }

    /// What a drill needs that the track has no column for, in words; None where nothing is missing.
    pub fn lacks(&self, drill: &Drill) -> Option<String> {
        if drill.start.fast.is_some() && self.series(Field::Speed).is_none() {
            return Some(
                "the drill slows in, but the track has no airspeed; give a column speed"
                    .to_string(),
            );
        }
        let mut tasks = drill.tasks.iter();
        let path = tasks.position(|task| matches!(task.kind, Kind::Path(_)))?;
        let place = self.series(Field::Distance).or(self.series(Field::ToAim));
        place.is_none().then(|| {
            format!(
                "task {} is a path, but the track has no distance; give a column distance (flown over the ground since the drill began) or to_aim (to the aim point)",
                path + 1
            )
        })
    }
}
