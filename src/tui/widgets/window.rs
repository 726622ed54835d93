//! Which values the scope shows, and what is known of the time to come.

use super::dots::DOWN;
use super::measure::Measure;
use crate::drill::Kind;
use crate::run::Run;
use crate::units::TICK_S;

/// How long before it begins the next task's band is shown, s.
const ANNOUNCED_S: f64 = 8.0;
/// Feet, feet a minute or percent a row may stand for.
const LADDER: &[f64] = &[
    1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 80.0,
    100.0, 150.0, 200.0, 300.0, 500.0, 1000.0, 2000.0,
];
/// Rows kept free above and below what must be seen.
const MARGIN_ROWS: f64 = 2.0;

/// Which values the scope shows. It moves by whole rows, and closes in only when that gains much.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    pub(super) measure: Measure,
    pub(super) per_row: f64,
    /// Value of the lower edge, in rows.
    bottom_row: i64,
    pub(super) rows: u16,
    moved_at_tick: u64,
}

impl Window {
    /// A window on a run, `rows` high.
    pub fn new(run: &Run, rows: u16) -> Window {
        let (low, high) = needed(run);
        let per_row = fitting(low, high, rows, finest(run, rows));
        Window {
            measure: Measure::of(&run.leg().target),
            per_row,
            bottom_row: centred(low, high, per_row, rows),
            rows,
            moved_at_tick: run.tick(),
        }
    }

    /// The window that follows this one on a run as it is now.
    pub fn following(self, run: &Run, rows: u16) -> Window {
        /// A scale is left for a closer one once that is this much closer.
        const WORTH: f64 = 0.7;
        /// Ticks from one row of drift to the next.
        const DRIFT_TICKS: u64 = 6;
        let (low, high) = needed(run);
        let fitting = fitting(low, high, rows, finest(run, rows));
        let anew = rows != self.rows || self.measure != Measure::of(&run.leg().target);
        if anew || fitting > self.per_row || fitting <= WORTH * self.per_row {
            return Window::new(run, rows);
        }
        let free_low = low / self.per_row - self.bottom_row as f64;
        let free_high = (self.bottom_row + i64::from(rows)) as f64 - high / self.per_row;
        let drift = match (free_low < MARGIN_ROWS, free_high < MARGIN_ROWS) {
            (true, false) => -1,
            (false, true) => 1,
            _ => 0,
        };
        if drift == 0 || run.tick() < self.moved_at_tick + DRIFT_TICKS {
            return self;
        }
        Window {
            bottom_row: self.bottom_row + drift,
            moved_at_tick: run.tick(),
            ..self
        }
    }

    /// Value of the lower edge.
    pub(super) fn bottom(&self) -> f64 {
        self.bottom_row as f64 * self.per_row
    }

    /// Dot counted from the top for a value.
    pub(super) fn dot(&self, value: f64) -> i32 {
        let dots_up = (value - self.bottom()) / self.per_row * f64::from(DOWN);
        i32::from(self.rows) * DOWN - 1 - dots_up.floor().clamp(-1e6, 1e6) as i32
    }
}

/// The values that must be in sight: now, the band, and the band that is announced.
fn needed(run: &Run) -> (f64, f64) {
    /// On a path the view does not follow farther than this, %: the band stays readable.
    const FARTHEST_SHARE: f64 = 350.0;
    let target = run.leg().target;
    let measure = Measure::of(&target);
    let mut now = measure.value(run.world().state(), run.tick());
    if let Measure::Share(_) = measure {
        now = now.clamp(-FARTHEST_SHARE, FARTHEST_SHARE);
    }
    let announced = announced(run).and_then(|(kind, _)| kind.target());
    let bands = [Some(target), announced].into_iter().flatten();
    bands
        .filter_map(|target| measure.band(&target))
        .fold((now, now), |(low, high), (wanted, band)| {
            (low.min(wanted - band), high.max(wanted + band))
        })
}

/// The smallest scale at which the band does not fill more than three fifths of the rows.
fn finest(run: &Run, rows: u16) -> f64 {
    let target = run.leg().target;
    let band = Measure::of(&target)
        .band(&target)
        .map_or(0.0, |(_, band)| band);
    2.0 * band / (0.6 * f64::from(rows))
}

fn fitting(low: f64, high: f64, rows: u16, finest: f64) -> f64 {
    let room = f64::from(rows) - 2.0 * MARGIN_ROWS - 1.0;
    let wanted = ((high - low) / room).max(finest);
    let rung = LADDER.iter().find(|rung| **rung >= wanted);
    *rung.unwrap_or(&LADDER[LADDER.len() - 1])
}

fn centred(low: f64, high: f64, per_row: f64, rows: u16) -> i64 {
    ((low + high) / 2.0 / per_row - f64::from(rows) / 2.0).round() as i64
}

/// When the running task ends, if that is known, and where: a hold's end, the end of a stay that is running.
pub(super) fn known_end_s(run: &Run) -> Option<f64> {
    let leg = run.leg();
    let stay_ends_s =
        |hold_s: f64| (leg.progress.stay_ticks > 0).then(|| run.time_s() - leg.stay_s() + hold_s);
    match &leg.kind {
        Kind::Hold(hold) => Some(leg.start as f64 * TICK_S + hold.seconds),
        Kind::Step(step) => stay_ends_s(step.hold_s),
        Kind::Rate(rate) => stay_ends_s(rate.hold_s),
        Kind::Path(_) => Measure::of(&leg.target)
            .to_go_s(run)
            .map(|to_go_s| run.time_s() + to_go_s),
        Kind::Surprise(_) => None,
    }
}

/// The task after this one and when it begins, once that is near.
pub(in crate::tui) fn announced(run: &Run) -> Option<(&Kind, f64)> {
    let end_s = known_end_s(run)?;
    let next = run.next_kind()?;
    (end_s - run.time_s() <= ANNOUNCED_S).then_some((next, end_s))
}
