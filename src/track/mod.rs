//! Altitude over time, logged by anything, as a run of a drill: read ([`read`]), laid on the drill where it begins in it
//! ([`begin`]), made smooth ([`smooth`]) and filled in to states at every tick ([`fill`]). Then it is scored like any run.
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

/// A stretch without rows is a gap from so long on, s, where rows are close.
const GAP_S: f64 = 2.0;
/// A longer one cannot be flown over: in a quarter of a swing anything may have happened, s.
pub const LONGEST_GAP_S: f64 = 8.0;

/// A track as it was read.
#[derive(Clone, Debug)]
pub struct Track {
    columns: Vec<(Field, Series)>,
}

impl Track {
    /// Reads it; `mappings` say what is not to be found by its name.
    ///
    /// # Errors
    /// The first thing that is not right, with what would be.
    pub fn read(source: Source, mappings: &[Mapping]) -> Result<Track, FileError> {
        let columns = read::read(source, mappings)?;
        Ok(Track { columns })
    }

    /// A column, where it is there.
    pub fn series(&self, field: Field) -> Option<&Series> {
        let column = self.columns.iter().find(|(own, _)| *own == field);
        column.map(|(_, series)| series)
    }

    /// Its altitude, which it always has.
    pub fn altitude(&self) -> &Series {
        self.series(Field::Altitude)
            .expect("a track without altitude is not read")
    }

    /// Its first row with an altitude, s.
    pub fn first_s(&self) -> f64 {
        self.altitude().t_s[0]
    }

    pub fn last_s(&self) -> f64 {
        self.altitude().t_s.last().copied().unwrap_or_default()
    }

    /// Whether it has what tracks of `simulate` have, and begins with its clock.
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

    /// Its gaps from a time on: from, to, s.
    pub fn gaps(&self, from_s: f64) -> Vec<(f64, f64)> {
        let altitude = self.altitude();
        let mut gaps = altitude.gaps(GAP_S.max(3.0 * altitude.apart_s()));
        gaps.retain(|(_, to_s)| *to_s > from_s);
        gaps
    }

    /// What a drill asks that the track has no column for, in words.
    pub fn lacks(&self, drill: &Drill) -> Option<String> {
        if drill.start.fast.is_some() && self.series(Field::Speed).is_none() {
            return Some(
                "the drill slows in, and the track has no airspeed; give a column speed"
                    .to_string(),
            );
        }
        let mut tasks = drill.tasks.iter();
        let path = tasks.position(|task| matches!(task.kind, Kind::Path(_)))?;
        let place = self.series(Field::Distance).or(self.series(Field::ToAim));
        place.is_none().then(|| {
            format!(
                "task {} is a path, and the track has no distance; give a column distance (flown over the ground since the drill began) or to_aim (to the aim point)",
                path + 1
            )
        })
    }
}
