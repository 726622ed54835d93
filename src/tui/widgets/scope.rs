//! The scope: altitude up (or what the task is about), time along, the band as ground to stand on, the trace as the past,
//! dots as the future.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;

use super::dots::{ACROSS, DOWN, Dots};
use super::measure::Measure;
use super::strip::round_step;
use crate::drill::reader::plain;
use crate::drill::{Kind, Path, Target};
use crate::run::Run;
use crate::sim::dynamics::State;
use crate::sim::math::sin_cos;
use crate::tui::theme::{Mark, Role, Theme};
use crate::units::{FT, TICK_S, TICKS_PER_S};

/// Columns to the left of the picture that hold altitudes.
pub const GUTTER: u16 = 8;
/// Time shown behind now, s.
const PAST_S: f64 = 40.0;
/// Time shown in all, s: now stands at two thirds.
const SPAN_S: f64 = 60.0;
/// How long before it begins the next task's band is shown, s.
const ANNOUNCED_S: f64 = 8.0;
/// Ticks from one state of the forecast to the next; every other one is drawn as a dot.
pub const FORECAST_EVERY_TICKS: u64 = 32;
/// States of the forecast: 12 s.
pub const FORECAST_DOTS: usize = 24;
/// The marker's tilt over the path angle.
const TILT: f64 = 6.0;
/// Half of the marker's length, dots.
const REACH: f64 = 7.0;

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
    measure: Measure,
    per_row: f64,
    /// Value of the lower edge, in rows.
    bottom_row: i64,
    rows: u16,
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

    fn bottom(&self) -> f64 {
        self.bottom_row as f64 * self.per_row
    }

    /// Dot counted from the top for a value.
    fn dot(&self, value: f64) -> i32 {
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
    let band = Measure::of(&target).band(&target).map_or(0.0, |(_, band)| band);
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
fn known_end_s(run: &Run) -> Option<f64> {
    let leg = run.leg();
    let stay_ends_s = |hold_s: f64| {
        (leg.progress.stay_ticks > 0).then(|| run.time_s() - leg.stay_s() + hold_s)
    };
    match &leg.kind {
        Kind::Hold(hold) => Some(leg.start as f64 * TICK_S + hold.seconds),
        Kind::Step(step) => stay_ends_s(step.hold_s),
        Kind::Rate(rate) => stay_ends_s(rate.hold_s),
        Kind::Path(_) => Measure::of(&leg.target).to_go_s(run).map(|to_go_s| run.time_s() + to_go_s),
        Kind::Surprise(_) => None,
    }
}

/// The task after this one and when it begins, once that is near.
fn announced(run: &Run) -> Option<(&Kind, f64)> {
    let end_s = known_end_s(run)?;
    let next = run.next_kind()?;
    (end_s - run.time_s() <= ANNOUNCED_S).then_some((next, end_s))
}

/// Time along: whole dots, so that what has been drawn moves as one piece.
struct Along {
    per_s: f64,
    now_dot: i32,
    now_column: i64,
}

impl Along {
    fn new(width_dots: i32, now_s: f64) -> Along {
        let per_s = f64::from(width_dots) / SPAN_S;
        Along {
            per_s,
            now_dot: (f64::from(width_dots) * PAST_S / SPAN_S) as i32,
            now_column: (now_s * per_s).floor() as i64,
        }
    }

    fn dot(&self, t_s: f64) -> i32 {
        let column = (t_s * self.per_s).floor() as i64 - self.now_column;
        self.now_dot + column.clamp(-100_000, 100_000) as i32
    }

    /// The time a dot stands for, s.
    fn time_s(&self, dot: i32) -> f64 {
        (self.now_column + i64::from(dot - self.now_dot)) as f64 / self.per_s
    }
}

/// What the scope draws.
pub struct Scope<'a> {
    /// The run.
    pub run: &'a Run,
    /// Which values.
    pub window: Window,
    /// What is to come if the lever stays put, every [`FORECAST_EVERY_TICKS`]; empty without that aid.
    pub forecast: &'a [State],
}

/// From this height on, the lever's own curve stands below the altitudes.
const TALL: u16 = 26;
const LEVER_ROWS: u16 = 6;

impl Scope<'_> {
    /// Rows that altitudes get in an area; the window is made for them.
    pub fn altitude_rows(area: Rect) -> u16 {
        let rows = area.height.saturating_sub(1);
        if rows >= TALL {
            rows - LEVER_ROWS - 1
        } else {
            rows
        }
    }

    /// Draws it; the last row holds the time axis.
    pub fn render(&self, area: Rect, buffer: &mut Buffer, theme: &Theme) {
        let rows = Scope::altitude_rows(area);
        let picture = Rect {
            x: area.x + GUTTER,
            width: area.width.saturating_sub(GUTTER),
            height: rows,
            ..area
        };
        if picture.width < 20 || rows < 5 || self.window.rows != rows {
            return;
        }
        let mut dots = Dots::new(picture);
        let along = Along::new(dots.width(), self.run.time_s());
        self.values(picture, buffer, theme);
        self.bands(&mut dots, &along);
        self.trace(&mut dots, &along);
        self.forecast(&mut dots, &along);
        self.marker(&mut dots, &along);
        dots.render(buffer, theme);
        if area.height - 1 > rows {
            let below = Rect {
                y: picture.bottom() + 1,
                height: LEVER_ROWS,
                ..picture
            };
            self.levers(below, &along, buffer, theme);
        }
        self.times(area, picture, &along, buffer, theme);
    }

    /// Lever (solid) and engine (dotted) on the same time axis, about level power.
    fn levers(&self, picture: Rect, along: &Along, buffer: &mut Buffer, theme: &Theme) {
        let trace = self.run.trace();
        let engine = &self.run.drill().aircraft.engine;
        let shown = |x: i32| {
            let tick = along.time_s(x) * TICKS_PER_S as f64;
            (tick >= 0.0).then(|| (tick as usize).min(trace.ticks()))
        };
        let values = |tick: usize| {
            let gives = engine.lever_for(trace.points()[tick].state.engine);
            (trace.lever_at(tick), gives)
        };
        let mut dots = Dots::new(picture);
        let (low, high) = (0..=along.now_dot)
            .filter_map(shown)
            .map(values)
            .fold((1.0_f64, 0.0_f64), |(low, high), (lever, gives)| {
                (low.min(lever).min(gives), high.max(lever).max(gives))
            });
        // Whole tenths, so that the scale stands still while the lever moves within it.
        let (low, high) = (
            (low * 10.0 - 0.2).floor() / 10.0,
            (high * 10.0 + 0.2).ceil() / 10.0,
        );
        let (low, high) = (low.max(0.0), high.min(1.0));
        let height = f64::from(dots.height() - 1);
        let dot = |value: f64| ((high - value) / (high - low) * height).round() as i32;
        let mut last: Option<i32> = None;
        for x in 0..=along.now_dot {
            let Some((lever, gives)) = shown(x).map(values) else {
                continue;
            };
            if (along.now_column + i64::from(x - along.now_dot)).rem_euclid(3) == 0 {
                dots.set(x, dot(gives), Role::Alternative);
            }
            let y = dot(lever);
            dots.column(x, last.unwrap_or(y), y, Role::Ink);
            last = Some(y);
        }
        let quiet = theme.style(Role::Quiet);
        for y in picture.top()..picture.bottom() {
            buffer.set_string(picture.x - 1, y, theme.mark(Mark::Axis), quiet);
        }
        let label = |value: f64| format!("{:>4.0} %", 100.0 * value);
        buffer.set_string(picture.x - GUTTER, picture.y, label(high), quiet);
        buffer.set_string(picture.x - GUTTER, picture.bottom() - 1, label(low), quiet);
        dots.render(buffer, theme);
    }

    /// The numbers at the side, the wanted one among them.
    fn values(&self, picture: Rect, buffer: &mut Buffer, theme: &Theme) {
        let style = theme.style(Role::Quiet);
        for y in picture.top()..picture.bottom() {
            buffer.set_string(picture.x - 1, y, theme.mark(Mark::Axis), style);
        }
        let window = &self.window;
        let mut label = |value: f64, role: Role| {
            let row = window.dot(value).div_euclid(DOWN);
            if (0..i32::from(picture.height)).contains(&row) {
                let text = format!("{}{}", plain(value.round()), window.measure.unit());
                let (x, y) = (picture.x - GUTTER, picture.y + row as u16);
                buffer.set_string(x, y, format!("{text:>6}"), theme.style(role));
            }
        };
        let every = round_step(3.0 * window.per_row);
        let first = (window.bottom() / every).ceil() as i64;
        let count = (f64::from(picture.height) * window.per_row / every) as i64;
        for step in first..=first + count {
            label(step as f64 * every, Role::Quiet);
        }
        if let Some((wanted, _)) = window.measure.band(&self.run.leg().target) {
            label(wanted, Role::Strong);
        }
    }

    fn bands(&self, dots: &mut Dots, along: &Along) {
        let run = self.run;
        for leg in run.legs() {
            let from = along.dot(leg.start as f64 * TICK_S);
            if let Some(end) = leg.end {
                let to = along.dot(end as f64 * TICK_S);
                self.band(dots, along, leg.target, from..to, Role::Quiet);
                continue;
            }
            let to = known_end_s(run).map_or(dots.width(), |end_s| along.dot(end_s));
            self.band(dots, along, leg.target, from..to, Role::Band);
            self.stay(dots, along);
        }
        if let Some((kind, begins_s)) = announced(run)
            && let Some(target) = kind.target()
        {
            let width = dots.width();
            self.band(dots, along, target, along.dot(begins_s)..width, Role::Band);
        }
        self.gates(dots, along);
    }

    /// Posts where the gates of a path will be passed at the closure of now, and where they were.
    fn gates(&self, dots: &mut Dots, along: &Along) {
        let Kind::Path(path) = &self.run.leg().kind else {
            return;
        };
        for (_, t_s) in gate_times(self.run, path) {
            dots.column(along.dot(t_s), self.window.dot(100.0), self.window.dot(-100.0), Role::Band);
        }
    }

    /// Edges on the very dots at which the scoring turns, and a sparse fill that moves with the air, not the screen.
    fn band(
        &self,
        dots: &mut Dots,
        along: &Along,
        target: Target,
        x: std::ops::Range<i32>,
        role: Role,
    ) {
        let Some((wanted, band)) = self.window.measure.band(&target) else {
            return;
        };
        let (top, bottom) = (self.window.dot(wanted + band), self.window.dot(wanted - band));
        for x in x.start.max(0)..x.end.min(dots.width()) {
            dots.set(x, top, role);
            dots.set(x, bottom, role);
            let column = along.now_column + i64::from(x - along.now_dot);
            if role == Role::Band && column.rem_euclid(8) == 0 {
                for y in (top.max(0)..bottom.min(dots.height())).filter(|y| y % 4 == 2) {
                    dots.set(x, y, role);
                }
            }
        }
    }

    /// The number itself as a dotted line; where a stay is running, solid from its beginning to now, with a post where
    /// it will be complete.
    fn stay(&self, dots: &mut Dots, along: &Along) {
        let leg = self.run.leg();
        let Some((wanted, band)) = self.window.measure.band(&leg.target) else {
            return;
        };
        let y = self.window.dot(wanted);
        let (top, bottom) = (self.window.dot(wanted + band), self.window.dot(wanted - band));
        let from = along.dot(leg.start as f64 * TICK_S);
        let to = known_end_s(self.run).map_or(dots.width(), |end_s| along.dot(end_s));
        for x in from.max(0)..to.min(dots.width()) {
            if (along.now_column + i64::from(x - along.now_dot)).rem_euclid(6) == 0 {
                dots.set(x, y, Role::Band);
            }
        }
        let captures = matches!(leg.kind, Kind::Step(_) | Kind::Rate(_));
        if captures && leg.progress.stay_ticks > 0 {
            let stay_from = along.dot(self.run.time_s() - leg.stay_s());
            for x in stay_from.max(0)..along.now_dot {
                dots.column(x, top, top + 2, Role::Band);
                dots.column(x, bottom - 2, bottom, Role::Band);
                dots.set(x, y, Role::Band);
            }
        }
        if let Some(end_s) = known_end_s(self.run) {
            dots.column(along.dot(end_s), top, bottom, Role::Band);
        }
    }

    fn trace(&self, dots: &mut Dots, along: &Along) {
        let points = self.run.trace().points();
        let measure = self.window.measure;
        let height_dot =
            |tick: usize| self.window.dot(measure.value(&points[tick].state, tick as u64));
        let mut last: Option<i32> = None;
        for x in 0..=along.now_dot {
            let tick = along.time_s(x) * TICKS_PER_S as f64;
            if tick < 0.0 {
                continue;
            }
            let y = height_dot((tick as usize).min(points.len() - 1));
            // Joined to the dot before, so that a steep trace stays one line.
            let from = match last {
                Some(last) if last < y => last + 1,
                Some(last) if last > y => last - 1,
                _ => y,
            };
            dots.column(x, from, y, Role::Ink);
            last = Some(y);
        }
    }

    fn forecast(&self, dots: &mut Dots, along: &Along) {
        for (index, state) in self.forecast.iter().enumerate() {
            let ahead_ticks = (index as u64 + 1) * FORECAST_EVERY_TICKS;
            let ahead_s = ahead_ticks as f64 * TICK_S;
            let x = along.now_dot + (ahead_s * along.per_s).round() as i32;
            if index % 2 == 1 {
                let value = self.window.measure.value(state, self.run.tick() + ahead_ticks);
                dots.set(x, self.window.dot(value), Role::Alternative);
            }
        }
    }

    /// A short thick stroke through now, tilted by the flight-path angle.
    fn marker(&self, dots: &mut Dots, along: &Along) {
        let measure = self.window.measure;
        let tilt_rad = (TILT * measure.tilt_rad(self.run)).clamp(-1.2, 1.2);
        let (sin, cos) = sin_cos(tilt_rad);
        let y0 = self.window.dot(measure.value(self.run.world().state(), self.run.tick()));
        let steps = (2.0 * REACH) as i32;
        for step in -steps..=steps {
            let along_stroke = REACH * f64::from(step) / f64::from(steps);
            let x = along.now_dot + (along_stroke * cos).round() as i32;
            let y = y0 - (along_stroke * sin).round() as i32;
            dots.set(x, y, Role::Marker);
            // Two dots thick, across the stroke's longer direction.
            match tilt_rad.abs() < core::f64::consts::FRAC_PI_4 {
                true => dots.set(x, y - 1, Role::Marker),
                false => dots.set(x + 1, y, Role::Marker),
            }
        }
    }

    fn times(&self, area: Rect, picture: Rect, along: &Along, buffer: &mut Buffer, theme: &Theme) {
        let y = area.bottom() - 1;
        let style = theme.style(Role::Quiet);
        let mut put = |dot: i32, label: &str, style: Style| {
            let x = i32::from(picture.x) + dot / ACROSS - label.len() as i32 / 2;
            if x >= i32::from(picture.x) && x + (label.len() as i32) <= i32::from(picture.right()) {
                buffer.set_string(x as u16, y, label, style);
            }
        };
        let ink = theme.style(Role::Ink);
        if let Kind::Path(path) = &self.run.leg().kind {
            for (altitude_m, t_s) in gate_times(self.run, path) {
                let label = format!("{} ft", plain((altitude_m / FT).round()));
                put(along.dot(t_s), &label, theme.style(Role::Band));
            }
            let to_go_s = self.window.measure.to_go_s(self.run).unwrap_or(0.0).max(0.0);
            put(along.now_dot, &format!("{to_go_s:.0} s to go"), ink);
            return;
        }
        for tens in -4..=1 {
            let seconds = 10 * tens;
            let dot = along.now_dot + (f64::from(seconds) * along.per_s).round() as i32;
            match seconds {
                0 => put(dot, "now", ink),
                _ => put(dot, &format!("{seconds:+} s"), style),
            }
        }
    }
}

/// Each gate's altitude (m) and the time in the run (s) at which it is passed at the closure of now; gates passed lie in
/// the past by the same measure.
fn gate_times(run: &Run, path: &Path) -> impl Iterator<Item = (f64, f64)> {
    let state = *run.world().state();
    let (glide, now_s) = (path.glide, run.time_s());
    let distance_m = glide.distance_m(&state, run.tick());
    let closure_mps = glide.closure_mps(&state).max(1.0);
    path.gates_m.clone().into_iter().map(move |gate_m| {
        (glide.altitude_m(gate_m), now_s + (distance_m - gate_m) / closure_mps)
    })
}
