//! The range of values that the scope shows, and what is known of the time ahead.

use super::dots::DOWN;
use super::measure::{Measure, to_go_s};
use crate::drill::Kind;
use crate::export::axis::range;
use crate::run::Run;
use crate::units::{TICK_S, TICKS_PER_S};

/// How long before the next task begins its band is shown, s.
const ANNOUNCED_S: f64 = 8.0;
/// Duration of a change of view, ticks: half a second, so that the eye can follow it.
const EASE_TICKS: u64 = TICKS_PER_S / 2;
/// Rows kept free above and below the values that a view is made for.
const MARGIN_ROWS: f64 = 2.0;
/// The view changes once something that must be seen comes this close to its edge, rows.
const EDGE_ROWS: f64 = 0.5;
/// Room to go on that the next view has beyond a value that ran out of the last one, as a share of the range needed.
const SPARE: f64 = 0.3;
/// The view changes to a closer one only where that shows everything over at most this share of the present range.
const WORTH: f64 = 0.2;
/// The same for the closest view of a band.
const CLOSER: f64 = 0.7;
/// Once a value runs out of a close view, the next view is at least this many times as wide as the closest: one swing is seldom
/// the last.
const WIDER: f64 = 1.6;
/// Once the window has closed in on a band, a value that leaves the view must have been back for this long before it closes in
/// again, ticks: half a phugoid, so that a swing through the band is seen at one scale.
const BACK_TICKS: u64 = 20 * TICKS_PER_S;
/// Ticks from one sample of the past to the next.
const LOOK_TICKS: usize = 16;

/// A range of values, from the lower edge to the upper.
#[derive(Clone, Copy, Debug, PartialEq)]
struct View {
    low: f64,
    high: f64,
}

/// The range of values that the scope shows. It stands still until something that must be seen leaves it, or until a much closer
/// view would do; it then moves to the new view in half a second.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    pub(super) measure: Measure,
    pub(super) rows: u16,
    from: View,
    to: View,
    moved_at_tick: u64,
    tick: u64,
    /// Number of legs begun when it last closed in on a band.
    closed_in: usize,
}

impl Window {
    /// A window on a run in a measure, `rows` high.
    pub fn new(run: &Run, measure: Measure, rows: u16) -> Window {
        let (needed, close) = (needed(run, measure), View::close(run, measure, rows));
        let is_close = close.holds(needed, rows);
        let view = match is_close {
            true => close,
            false => View::around(needed, close, rows),
        };
        Window {
            measure,
            rows,
            from: view,
            to: view,
            moved_at_tick: run.tick(),
            tick: run.tick(),
            closed_in: if is_close { run.legs().len() } else { 0 },
        }
    }

    /// The window that follows this one on a run as it is now.
    pub fn following(self, run: &Run, measure: Measure, rows: u16) -> Window {
        if rows != self.rows || self.measure != measure {
            return Window::new(run, measure, rows);
        }
        let now = Window {
            tick: run.tick(),
            ..self
        };
        let (needed, close) = (needed(run, measure), View::close(run, measure, rows));
        if !self.to.holds(needed, rows) {
            let least = match self.to.span() < WIDER * close.span() {
                true => close.times(WIDER),
                false => close,
            };
            let lately = needed.with(lately(run, measure));
            return now.moving_to(View::around(self.to.spared(lately), least, rows));
        }
        let lately = match self.closed_in == run.legs().len() {
            true => needed.with(lately(run, measure)),
            false => needed,
        };
        let is_closer = close.span() <= CLOSER * self.to.span();
        if is_closer && close.holds(lately, rows) {
            let closed_in = run.legs().len();
            return Window {
                closed_in,
                ..now.moving_to(close)
            };
        }
        let fitting = View::around(lately, close, rows);
        match fitting.span() <= WORTH * self.to.span() {
            true => now.moving_to(fitting),
            false => now,
        }
    }

    fn moving_to(self, to: View) -> Window {
        Window {
            from: self.view(),
            to,
            moved_at_tick: self.tick,
            ..self
        }
    }

    fn view(&self) -> View {
        let share = (self.tick - self.moved_at_tick) as f64 / EASE_TICKS as f64;
        let share = share.min(1.0);
        let eased = share * share * (3.0 - 2.0 * share);
        let between = |from: f64, to: f64| from + eased * (to - from);
        View {
            low: between(self.from.low, self.to.low),
            high: between(self.from.high, self.to.high),
        }
    }

    /// The lowest and the highest value in sight.
    pub fn in_sight(&self) -> (f64, f64) {
        let view = self.view();
        (view.low, view.high)
    }

    /// The height of a row, in the measure, once the view has come to rest.
    pub(super) fn per_row(&self) -> f64 {
        self.to.span() / f64::from(self.rows)
    }

    /// The dot of a value, counted from the top.
    pub(super) fn dot(&self, value: f64) -> i32 {
        let view = self.view();
        let dots = f64::from(i32::from(self.rows) * DOWN);
        let up = (value - view.low) / view.span() * dots;
        i32::from(self.rows) * DOWN - 1 - up.floor().clamp(-1e6, 1e6) as i32
    }
}

impl View {
    /// The closest view of the band that is asked for; while a path is out of sight, a view about the present altitude.
    fn close(run: &Run, measure: Measure, rows: u16) -> View {
        /// The share of the rows that the band then fills: an altitude is reached from outside, whereas a path is stayed in.
        const FILLED: f64 = 0.5;
        const FILLED_BY_PATH: f64 = 0.75;
        /// Least rows that the band fills, except on a path.
        const LEAST_ROWS: f64 = 5.0;
        /// Half-width taken in place of a band about an altitude where none is asked for, before `FILLED` is applied, ft.
        const ABOUT_FT: f64 = 100.0;
        let here = || (value(run, measure, run.tick() as usize), ABOUT_FT);
        let (wanted, band) = measure.band(&run.leg().target).unwrap_or_else(here);
        let filled = match measure {
            Measure::Share => FILLED_BY_PATH,
            _ => FILLED.max(LEAST_ROWS / f64::from(rows)),
        };
        View {
            low: wanted - band / filled,
            high: wanted + band / filled,
        }
    }

    /// A view this many times as wide about the same middle.
    fn times(&self, share: f64) -> View {
        let middle = (self.low + self.high) / 2.0;
        View {
            low: middle + share * (self.low - middle),
            high: middle + share * (self.high - middle),
        }
    }

    /// A view of the needed values with room above and below, no closer than the closest one.
    fn around(needed: View, close: View, rows: u16) -> View {
        let rows = f64::from(rows);
        let span = needed.span() * rows / (rows - 2.0 * MARGIN_ROWS);
        let half = span.max(close.span()) / 2.0;
        let middle = (needed.low + needed.high) / 2.0;
        View {
            low: middle - half,
            high: middle + half,
        }
    }

    /// Extends the needed values on the side where they have run out of this view, so that they have room to go on.
    fn spared(&self, needed: View) -> View {
        let spare = SPARE * needed.span();
        View {
            low: needed.low - if needed.low < self.low { spare } else { 0.0 },
            high: needed.high + if needed.high > self.high { spare } else { 0.0 },
        }
    }

    fn holds(&self, needed: View, rows: u16) -> bool {
        let edge = EDGE_ROWS * self.span() / f64::from(rows);
        self.low + edge <= needed.low && needed.high <= self.high - edge
    }

    fn with(&self, other: View) -> View {
        View {
            low: self.low.min(other.low),
            high: self.high.max(other.high),
        }
    }

    fn span(&self) -> f64 {
        self.high - self.low
    }
}

/// The value of the run at a tick, limited as it is drawn: on a path the view does not follow it so far that the band would no
/// longer be readable.
fn value(run: &Run, measure: Measure, tick: usize) -> f64 {
    measure.drawn(measure.at(&run.leg().target, run, tick))
}

/// The values that must be in sight: the present one, the band, and the band that is announced.
fn needed(run: &Run, measure: Measure) -> View {
    let target = run.leg().target;
    let now = value(run, measure, run.tick() as usize);
    let announced = announced(run).and_then(|(kind, _)| kind.target());
    let bands = [Some(target), announced].into_iter().flatten();
    let bands = bands.filter_map(|target| measure.band(&target));
    let edges = bands.flat_map(|(wanted, band)| [wanted - band, wanted + band]);
    let (low, high) = range(edges.chain([now]));
    View { low, high }
}

/// The values that the task being flown has gone through lately.
fn lately(run: &Run, measure: Measure) -> View {
    let tick = run.tick();
    let from = tick.saturating_sub(BACK_TICKS).max(run.leg().start) as usize;
    let values = (from..=tick as usize)
        .step_by(LOOK_TICKS)
        .map(|tick| value(run, measure, tick));
    let (low, high) = range(values);
    View { low, high }
}

/// When the task being flown ends, s into the run, if that is known: at the end of a hold, of a stay that is running, or of a
/// path at the current closure.
pub(super) fn known_end_s(run: &Run) -> Option<f64> {
    let leg = run.leg();
    let stay_ends_s =
        |hold_s: f64| (leg.progress.stay_ticks > 0).then(|| run.time_s() - leg.stay_s() + hold_s);
    match &leg.kind {
        Kind::Hold(hold) => Some(leg.start as f64 * TICK_S + hold.seconds),
        Kind::Step(step) | Kind::Slow(step) => stay_ends_s(step.hold_s),
        Kind::Rate(rate) => stay_ends_s(rate.hold_s),
        Kind::Path(_) => to_go_s(run).map(|to_go_s| run.time_s() + to_go_s),
        Kind::Surprise(_) => None,
    }
}

/// The task after this one and when it begins, s into the run, once that is near.
pub(in crate::tui) fn announced(run: &Run) -> Option<(&Kind, f64)> {
    let end_s = known_end_s(run)?;
    let next = run.next_kind()?;
    (end_s - run.time_s() <= ANNOUNCED_S).then_some((next, end_s))
}
