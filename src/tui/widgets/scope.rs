//! The scope: altitude up, time along, the band as ground to stand on, the trace as the past, dots as the future.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::dots::{ACROSS, DOWN, Dots};
use super::strip::round_step;
use crate::drill::reader::plain;
use crate::drill::{Kind, Target};
use crate::run::Run;
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
/// Time from one dot of the forecast to the next, s.
pub const FORECAST_EVERY_S: f64 = 0.5;
/// Dots of the forecast: 12 s.
pub const FORECAST_DOTS: usize = 24;
/// The marker's tilt over the path angle.
const TILT: f64 = 6.0;
/// Half of the marker's length, dots.
const REACH: f64 = 7.0;

/// Feet a row may stand for.
const LADDER_FT: &[f64] = &[
    1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 80.0,
    100.0, 150.0, 200.0, 300.0, 500.0, 1000.0, 2000.0,
];
/// Rows kept free above and below what must be seen.
const MARGIN_ROWS: f64 = 2.0;

/// Which altitudes the scope shows. It moves by whole rows, and closes in only when that gains much.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    ft_per_row: f64,
    /// Altitude of the lower edge, in rows.
    bottom_row: i64,
    rows: u16,
    moved_at_tick: u64,
}

impl Window {
    /// A window on a run, `rows` high.
    pub fn new(run: &Run, rows: u16) -> Window {
        let (low, high) = needed_ft(run);
        let ft_per_row = fitting(low, high, rows, finest_ft(run, rows));
        Window {
            ft_per_row,
            bottom_row: centred(low, high, ft_per_row, rows),
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
        let (low, high) = needed_ft(run);
        let fitting = fitting(low, high, rows, finest_ft(run, rows));
        if rows != self.rows || fitting > self.ft_per_row || fitting <= WORTH * self.ft_per_row {
            return Window::new(run, rows);
        }
        let free_low = low / self.ft_per_row - self.bottom_row as f64;
        let free_high = (self.bottom_row + i64::from(rows)) as f64 - high / self.ft_per_row;
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

    fn bottom_ft(&self) -> f64 {
        self.bottom_row as f64 * self.ft_per_row
    }

    /// Dot counted from the top for an altitude in ft.
    fn dot(&self, altitude_ft: f64) -> i32 {
        let dots_up = (altitude_ft - self.bottom_ft()) / self.ft_per_row * f64::from(DOWN);
        i32::from(self.rows) * DOWN - 1 - dots_up.floor() as i32
    }
}

/// The altitudes that must be in sight, ft.
fn needed_ft(run: &Run) -> (f64, f64) {
    let now_ft = run.world().state().h_m / FT;
    let mut range = (now_ft, now_ft);
    let mut include = |target: Target| {
        let Target::Altitude { altitude_m, band_m } = target;
        range.0 = range.0.min((altitude_m - band_m) / FT);
        range.1 = range.1.max((altitude_m + band_m) / FT);
    };
    include(run.drill().tasks[run.task_index()].kind.target());
    if let Some((kind, _)) = announced(run) {
        include(kind.target());
    }
    range
}

/// The smallest scale at which the band does not fill more than three fifths of the rows.
fn finest_ft(run: &Run, rows: u16) -> f64 {
    let band_ft = 2.0 * run.drill().tasks[run.task_index()].kind.target().band() / FT;
    band_ft / (0.6 * f64::from(rows))
}

fn fitting(low: f64, high: f64, rows: u16, finest: f64) -> f64 {
    let room = f64::from(rows) - 2.0 * MARGIN_ROWS - 1.0;
    let wanted = ((high - low) / room).max(finest);
    let rung = LADDER_FT.iter().find(|rung| **rung >= wanted);
    *rung.unwrap_or(&LADDER_FT[LADDER_FT.len() - 1])
}

fn centred(low: f64, high: f64, ft_per_row: f64, rows: u16) -> i64 {
    ((low + high) / 2.0 / ft_per_row - f64::from(rows) / 2.0).round() as i64
}

/// When the running task ends, if that is known, and where: a hold's end, the end of a stay that is running.
fn known_end_s(run: &Run) -> Option<f64> {
    let leg = run.legs()[run.task_index()];
    match run.drill().tasks[run.task_index()].kind {
        Kind::Hold(hold) => Some(leg.start as f64 * TICK_S + hold.seconds),
        Kind::Step(step) => {
            (leg.progress.stay_ticks > 0).then(|| run.time_s() - leg.stay_s() + step.hold_s)
        }
    }
}

/// The task after this one and when it begins, once that is near.
fn announced(run: &Run) -> Option<(Kind, f64)> {
    let end_s = known_end_s(run)?;
    let next = run.drill().tasks.get(run.task_index() + 1)?;
    (end_s - run.time_s() <= ANNOUNCED_S).then_some((next.kind, end_s))
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
    /// Which altitudes.
    pub window: Window,
    /// Altitudes to come if the lever stays put, m, every [`FORECAST_EVERY_S`]; empty without that aid.
    pub forecast_m: &'a [f64],
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
        self.altitudes(picture, buffer, theme);
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

    fn altitudes(&self, picture: Rect, buffer: &mut Buffer, theme: &Theme) {
        let style = theme.style(Role::Quiet);
        for y in picture.top()..picture.bottom() {
            buffer.set_string(picture.x - 1, y, theme.mark(Mark::Axis), style);
        }
        let window = &self.window;
        let least_ft = 3.0 * window.ft_per_row;
        let every_ft = round_step(least_ft);
        let mut label_ft = (window.bottom_ft() / every_ft).ceil() * every_ft;
        loop {
            let row = window.dot(label_ft) / DOWN;
            if row < 0 || window.dot(label_ft) < 0 {
                break;
            }
            if row < i32::from(picture.height) {
                let label = format!("{:>6}", plain(label_ft.round()));
                buffer.set_string(picture.x - GUTTER, picture.y + row as u16, label, style);
            }
            label_ft += every_ft;
        }
        let target = self.run.drill().tasks[self.run.task_index()].kind.target();
        let Target::Altitude { altitude_m, .. } = target;
        let row = self.window.dot(altitude_m / FT).div_euclid(DOWN);
        if (0..i32::from(picture.height)).contains(&row) {
            let label = format!("{:>6}", plain((altitude_m / FT).round()));
            let (x, y) = (picture.x - GUTTER, picture.y + row as u16);
            buffer.set_string(x, y, label, theme.style(Role::Strong));
        }
    }

    fn bands(&self, dots: &mut Dots, along: &Along) {
        let run = self.run;
        for (index, leg) in run.legs().iter().enumerate() {
            let target = run.drill().tasks[index].kind.target();
            let from = along.dot(leg.start as f64 * TICK_S);
            if let Some(end) = leg.end {
                let to = along.dot(end as f64 * TICK_S);
                self.band(dots, along, target, from..to, Role::Quiet);
                continue;
            }
            let to = known_end_s(run).map_or(dots.width(), |end_s| along.dot(end_s));
            self.band(dots, along, target, from..to, Role::Band);
            self.stay(dots, along, index);
        }
        if let Some((kind, begins_s)) = announced(run) {
            let width = dots.width();
            self.band(
                dots,
                along,
                kind.target(),
                along.dot(begins_s)..width,
                Role::Band,
            );
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
        let Target::Altitude { altitude_m, band_m } = target;
        let top = self.window.dot((altitude_m + band_m) / FT);
        let bottom = self.window.dot((altitude_m - band_m) / FT);
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
    fn stay(&self, dots: &mut Dots, along: &Along, index: usize) {
        let kind = self.run.drill().tasks[index].kind;
        let leg = &self.run.legs()[index];
        let Target::Altitude { altitude_m, band_m } = kind.target();
        let y = self.window.dot(altitude_m / FT);
        let from = along.dot(leg.start as f64 * TICK_S);
        let to = known_end_s(self.run).map_or(dots.width(), |end_s| along.dot(end_s));
        for x in from.max(0)..to.min(dots.width()) {
            if (along.now_column + i64::from(x - along.now_dot)).rem_euclid(6) == 0 {
                dots.set(x, y, Role::Band);
            }
        }
        let top = self.window.dot((altitude_m + band_m) / FT);
        let bottom = self.window.dot((altitude_m - band_m) / FT);
        if let Kind::Step(_) = kind {
            let stay_from = along.dot(self.run.time_s() - leg.stay_s());
            if leg.progress.stay_ticks > 0 {
                for x in stay_from.max(0)..along.now_dot {
                    dots.column(x, top, top + 2, Role::Band);
                    dots.column(x, bottom - 2, bottom, Role::Band);
                    dots.set(x, y, Role::Band);
                }
            }
        }
        if let Some(end_s) = known_end_s(self.run) {
            dots.column(along.dot(end_s), top, bottom, Role::Band);
        }
    }

    fn trace(&self, dots: &mut Dots, along: &Along) {
        let points = self.run.trace().points();
        let height_dot = |tick: usize| self.window.dot(points[tick].state.h_m / FT);
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
        for (index, h_m) in self.forecast_m.iter().enumerate() {
            let ahead_s = (index + 1) as f64 * FORECAST_EVERY_S;
            let x = along.now_dot + (ahead_s * along.per_s).round() as i32;
            if index % 2 == 1 {
                dots.set(x, self.window.dot(h_m / FT), Role::Alternative);
            }
        }
    }

    /// A short thick stroke through now, tilted by the flight-path angle.
    fn marker(&self, dots: &mut Dots, along: &Along) {
        let path_rad = self.run.world().air_data().path_rad;
        let tilt_rad = (TILT * path_rad).clamp(-1.2, 1.2);
        let (sin, cos) = sin_cos(tilt_rad);
        let y0 = self.window.dot(self.run.world().state().h_m / FT);
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
        for tens in -4..=1 {
            let seconds = 10 * tens;
            let dot = along.now_dot + (f64::from(seconds) * along.per_s).round() as i32;
            let label = match seconds {
                0 => "now".to_string(),
                _ => format!("{seconds:+} s"),
            };
            let middle = i32::from(picture.x) + dot / ACROSS;
            let x = middle - label.len() as i32 / 2;
            if x >= i32::from(picture.x) && x + (label.len() as i32) <= i32::from(picture.right()) {
                let role = if seconds == 0 {
                    theme.style(Role::Ink)
                } else {
                    style
                };
                buffer.set_string(x as u16, y, label, role);
            }
        }
    }
}
