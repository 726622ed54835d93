//! A track cut off where it lands: rows on the deck say nothing about how the aeroplane got there.

use super::LEAST_ROWS;
use crate::drill::Drill;
use crate::track::{Field, Series, Track};

/// Below this height over the deck the aeroplane counts as being on it, m: the noise of a row or of its instrument.
const ON_DECK_M: f64 = 0.3;
/// The track up to where it lands on the deck; None where it does not land.
pub(super) fn before(drill: &Drill, track: &Track, begin_s: f64) -> Option<Track> {
    landed_s(drill, track, begin_s).map(|t_s| track.until(t_s))
}

/// Time of the first row on the deck, or as good as on it, s: the row is as low as the deck and the track
/// goes no lower from there, or the closure drops.
fn landed_s(drill: &Drill, track: &Track, begin_s: f64) -> Option<f64> {
    /// Shares of the closure from row to row: an aeroplane in the air keeps at least the first, one that
    /// stood on the deck keeps less than the second.
    const KEPT: f64 = 0.9;
    const LOST: f64 = 0.1;
    /// Share of the fall from row to row below which the fall has stopped.
    const STOPPED: f64 = 0.5;
    let aim = drill.aim?;
    let to_aim_m = |t_s: f64| match (track.series(Field::ToAim), track.series(Field::Distance)) {
        (Some(to_aim), _) => to_aim.at(t_s),
        (None, Some(distance)) => {
            let flown_m = distance.at(t_s) - distance.at(begin_s);
            aim.start_m - flown_m + aim.deck.speed_mps * (t_s - begin_s)
        }
        (None, None) => f64::INFINITY,
    };
    let altitude = track.altitude();
    let is_low = |row: usize| {
        let t_s = altitude.t_s[row];
        let deck_m = aim.deck.height_m + aim.deck.heave_at_m(t_s - begin_s);
        altitude.values[row] <= deck_m + ON_DECK_M
    };
    let closure_mps = |row: usize| {
        let (a_s, b_s) = (altitude.t_s[row - 1], altitude.t_s[row]);
        (to_aim_m(a_s) - to_aim_m(b_s)) / (b_s - a_s)
    };
    let rows = altitude.t_s.len();
    let falls_m = |row: usize| altitude.values[row - 1] - altitude.values[row];
    let first = altitude.t_s.partition_point(|t_s| *t_s <= begin_s) + LEAST_ROWS;
    let landed = (first..rows).find_map(|row| {
        let is_over = to_aim_m(altitude.t_s[row]).abs() <= aim.deck.zone_m / 2.0;
        let next = (row + 1).min(rows - 1);
        let stays_low =
            || is_low(row) && is_low(next) && falls_m(next) < STOPPED * falls_m(row - 1);
        match closure_mps(row) / closure_mps(row - 1) {
            _ if !is_over => None,
            // The row before it was on the deck already.
            kept if kept < LOST => Some(row - 1),
            kept if kept < KEPT || stays_low() => Some(row),
            _ => None,
        }
    });
    landed.map(|row| altitude.t_s[row])
}

impl Track {
    /// The same track, with only the lever kept from a time on.
    fn until(&self, end_s: f64) -> Track {
        let cut = |(field, series): &(Field, Series)| {
            let rows = match field {
                Field::Lever => series.t_s.len(),
                _ => series.t_s.partition_point(|t_s| *t_s < end_s),
            };
            let series = Series {
                t_s: series.t_s[..rows].to_vec(),
                values: series.values[..rows].to_vec(),
            };
            (*field, series)
        };
        Track {
            columns: self.columns.iter().map(cut).collect(),
        }
    }
}
