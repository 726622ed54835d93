//! The scope: altitude (or the quantity that the task asks for) over time, with the band as ground to stand on, the trace as the
//! past and dots as the future.

use std::ops::Range;

use ratatui::layout::Rect;

use super::dots::{ACROSS, DOWN, Dots};
use super::measure::{Measure, to_go_s};
use super::plot::{self, TimeAxis};
use super::said::Said;
use super::window::{announced, known_end_s};
use super::{lever, posts, swell};
use crate::drill::{Aids, Target};
use crate::export::axis::{multiples, round_step};
use crate::run::Run;
use crate::sim::dynamics::State;
use crate::sim::math::sin_cos;
use crate::tui::canvas::{self, Canvas};
use crate::tui::echo::Echo;
use crate::tui::theme::{Mark, Role};
use crate::units::{KT, NM, TICK_S};

pub use super::window::Window;

/// Columns to the left of the picture that hold the labels.
pub const GUTTER: u16 = 8;
/// Ticks from one state of the forecast to the next; every other state is drawn as a dot.
pub const FORECAST_EVERY_TICKS: u64 = 32;
/// Number of states in the forecast: 12 s.
pub const FORECAST_DOTS: usize = 24;
/// Ratio of the marker's tilt to the path angle.
const TILT: f64 = 6.0;
/// Half of the marker's length, dots.
const REACH: f64 = 7.0;

/// What the scope draws.
pub struct Scope<'a> {
    pub run: &'a Run,
    /// The range of values shown.
    pub window: Window,
    /// The states to come if the lever stays put, one every [`FORECAST_EVERY_TICKS`]; empty without that aid.
    pub forecast: &'a [State],
    /// How much the screen helps.
    pub aids: Aids,
    /// Another run to be drawn faintly.
    pub echo: Option<Echo<'a>>,
    /// Ticks at which the person left a mark.
    pub marks: &'a [u64],
    /// Words to show by the marker.
    pub said: Option<Said>,
}

/// From this height on, the lever's own curve stands below the altitudes.
const TALL: u16 = 26;
const LEVER_ROWS: u16 = 6;
/// Rows of the deck's rise and fall, and the same on a tall screen.
const SWELL_ROWS: (u16, u16) = (2, 3);

impl Scope<'_> {
    /// The rows of an area for altitudes, for which the window is made, for the deck below them, and for the lever below that.
    fn rows(run: &Run, area: Rect) -> (u16, u16, u16) {
        let rows = area.height.saturating_sub(1);
        let swell = match (swell::heaving(run).is_some(), rows >= TALL) {
            (false, _) => 0,
            (true, false) => SWELL_ROWS.0,
            (true, true) => SWELL_ROWS.1,
        };
        let lever = if rows >= TALL { LEVER_ROWS + 1 } else { 0 };
        (rows - swell - lever, swell, lever)
    }

    /// The rows of an area for altitudes; the window is made for them.
    pub fn altitude_rows(run: &Run, area: Rect) -> u16 {
        Scope::rows(run, area).0
    }

    /// Draws the scope; the last row holds the time axis.
    pub fn render(&self, area: Rect, canvas: &mut Canvas) {
        let (rows, swell_rows, lever_rows) = Scope::rows(self.run, area);
        let mut below = plot::picture(area);
        let picture = canvas::top(&mut below, rows);
        if picture.width < 20 || rows < 5 || self.window.rows != rows {
            return;
        }
        let mut dots = Dots::new(picture);
        let along = TimeAxis::new(dots.width(), self.run.time_s());
        self.values(picture, canvas);
        if let Some(echo) = &self.echo {
            echo.draw(self, picture, &along, canvas);
        }
        self.bands(&mut dots, &along);
        self.trace(&mut dots, &along);
        self.forecast(&mut dots, &along);
        let marker_y = self.marker(&mut dots, &along);
        dots.render(canvas);
        posts::labels(self, picture, &along, canvas);
        self.marks(picture, &along, canvas);
        let deck = canvas::top(&mut below, swell_rows);
        let tells_ahead = self.aids == Aids::Full;
        swell::draw(self.run, tells_ahead, deck, &along, canvas);
        if lever_rows > 0 {
            canvas::top(&mut below, 1);
            let lever = canvas::top(&mut below, lever_rows - 1);
            lever::beside_scope(self.run, lever, &along, canvas);
        }
        self.times(area, picture, &along, canvas);
        if let Some(said) = &self.said {
            let row = (marker_y / DOWN).clamp(0, i32::from(rows) - 1) as u16;
            let now = picture.x + (along.now_dot / ACROSS) as u16;
            said.draw((now, picture.y + row), picture, canvas);
        }
    }

    /// Labels the vertical axis, the wanted value among the labels.
    fn values(&self, picture: Rect, canvas: &mut Canvas) {
        plot::axis(picture, canvas);
        if self.gates_only() {
            return;
        }
        let window = &self.window;
        let mut label = |value: f64, role: Role| {
            let row = window.dot(value).div_euclid(DOWN);
            if (0..i32::from(picture.height)).contains(&row) {
                let (text, y) = (window.measure.label(value), picture.y + row as u16);
                plot::label(&text, y, role, picture, canvas);
            }
        };
        let every = round_step((3.0 * window.per_row()).max(1.0));
        let (low, high) = window.in_sight();
        multiples(every, low, high).for_each(|value| label(value, Role::Quiet));
        if let Some((wanted, _)) = window.measure.band(&self.run.leg().target) {
            label(wanted, Role::Strong);
        }
        plot::unit(window.measure.unit(), picture, canvas);
    }

    fn bands(&self, dots: &mut Dots, along: &TimeAxis) {
        let run = self.run;
        for leg in run.legs() {
            let from = along.dot(leg.start as f64 * TICK_S);
            if let Some(end) = leg.end {
                let to = along.dot(end as f64 * TICK_S);
                self.band(dots, along, leg.target, from..to, Role::Quiet);
                continue;
            }
            if self.gates_only() {
                break;
            }
            let to = known_end_s(run).map_or(dots.width(), |end_s| along.dot(end_s));
            // Before scoring of a path begins, its band is drawn, but quietly.
            let scored = posts::scored_from_s(run);
            let scored = scored.map_or(from, |t_s| along.dot(t_s).clamp(from, to));
            self.band(dots, along, leg.target, from..scored, Role::Quiet);
            self.band(dots, along, leg.target, scored..to, Role::Band);
            self.stay(dots, along);
        }
        if let Some((kind, begins_s)) = announced(run)
            && let Some(target) = kind.target()
        {
            let width = dots.width();
            self.band(dots, along, target, along.dot(begins_s)..width, Role::Band);
        }
        posts::columns(self, along, dots);
    }

    /// Whether nothing but the gates is drawn of the task: on a path without aids.
    fn gates_only(&self) -> bool {
        self.aids == Aids::Bare && matches!(self.window.measure, Measure::Share)
    }

    /// The dots of the upper edge of a target's band, the wanted value and the lower edge.
    fn edges(&self, target: &Target) -> Option<[i32; 3]> {
        let (wanted, band) = self.window.measure.band(target)?;
        Some([wanted + band, wanted, wanted - band].map(|value| self.window.dot(value)))
    }

    /// Draws a band: its edges on the very dots where scoring changes, and a sparse fill that moves along with the trace.
    fn band(&self, dots: &mut Dots, along: &TimeAxis, target: Target, x: Range<i32>, role: Role) {
        let Some([top, _, bottom]) = self.edges(&target) else {
            return;
        };
        for x in x.start.max(0)..x.end.min(dots.width()) {
            // Every other dot, so that an edge does not look like a line to fly along.
            if x % ACROSS == 0 {
                dots.set(x, top, role);
                dots.set(x, bottom, role);
            }
            // Staggered between one row of cells and the next: half as many dots to redraw as time passes.
            let fill = (top.max(0)..bottom.min(dots.height())).filter(|y| y % DOWN == 2);
            for y in fill.filter(|_| role == Role::Band) {
                let shifted = along.count(x) + i64::from(y / DOWN % 2 * 8);
                if shifted.rem_euclid(16) == 0 {
                    dots.set(x, y, role);
                }
            }
        }
    }

    /// Draws the wanted value as a dotted line. While a stay is running, the line is solid and the band's edges are thick from
    /// the beginning of the stay to now. A post stands where the task will end, if that is known.
    fn stay(&self, dots: &mut Dots, along: &TimeAxis) {
        let leg = self.run.leg();
        let Some([top, y, bottom]) = self.edges(&leg.target) else {
            return;
        };
        let from = along.dot(leg.start as f64 * TICK_S);
        let to = known_end_s(self.run).map_or(dots.width(), |end_s| along.dot(end_s));
        for x in from.max(0)..to.min(dots.width()) {
            if along.count(x).rem_euclid(6) == 0 {
                dots.set(x, y, Role::Band);
            }
        }
        let captures = leg.kind.captures_ticks().is_some();
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

    fn trace(&self, dots: &mut Dots, along: &TimeAxis) {
        dots.curve(0..=along.now_dot, Role::Ink, |x| {
            let tick = along.tick(x)?.min(self.run.trace().ticks());
            Some(self.dot(self.run.trace().state(tick), tick as u64))
        });
    }

    /// The dot of a state at a tick.
    fn dot(&self, state: &State, tick: u64) -> i32 {
        let (target, window) = (&self.run.leg().target, &self.window);
        window.dot(window.measure.value(target, state, tick))
    }

    fn forecast(&self, dots: &mut Dots, along: &TimeAxis) {
        for (index, state) in self.forecast.iter().enumerate() {
            let ahead_ticks = (index as u64 + 1) * FORECAST_EVERY_TICKS;
            let ahead_s = ahead_ticks as f64 * TICK_S;
            let x = along.now_dot + (ahead_s * along.per_s).round() as i32;
            if index % 2 == 1 {
                // Two dots high, as single dots belong to the band.
                let y = self.dot(state, self.run.tick() + ahead_ticks);
                dots.column(x, y - 1, y, Role::Alternative);
            }
        }
    }

    /// Draws a short thick stroke through now, tilted in proportion to the flight-path angle. Returns the dot of its middle.
    fn marker(&self, dots: &mut Dots, along: &TimeAxis) -> i32 {
        let tilt_rad = (TILT * self.window.measure.tilt_rad(self.run)).clamp(-1.2, 1.2);
        let (sin, cos) = sin_cos(tilt_rad);
        let y0 = self.dot(self.run.world().state(), self.run.tick());
        // Farther off a path than the view follows, the marker stands at the edge.
        let y0 = y0.clamp(1, dots.height() - 2);
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
        y0
    }

    /// Draws the marks the person left, where the picture meets the time axis.
    fn marks(&self, picture: Rect, along: &TimeAxis, canvas: &mut Canvas) {
        for tick in self.marks {
            let dot = along.dot(*tick as f64 * TICK_S);
            if (0..i32::from(picture.width) * ACROSS).contains(&dot) {
                let (x, y) = (picture.x + (dot / ACROSS) as u16, picture.bottom() - 1);
                canvas.set_mark(x, y, Mark::NOTE, Role::Strong);
            }
        }
    }

    /// Draws the time axis (on a path, the time and distance to go instead), with the legend of the echo at its right end.
    fn times(&self, area: Rect, picture: Rect, along: &TimeAxis, canvas: &mut Canvas) {
        let y = area.bottom() - 1;
        let mut right = picture.right();
        if let Some(echo) = &self.echo {
            let legend = echo.legend(self.run, &canvas.theme);
            let x = right - legend.chars().count() as u16;
            canvas.put(x, y, legend, Role::Echo);
            right = x - 1;
        }
        let mut put = |dot: i32, label: &str, role: Role| {
            let x = i32::from(picture.x) + dot / ACROSS - label.len() as i32 / 2;
            if x >= i32::from(picture.x) && x + (label.len() as i32) <= i32::from(right) {
                canvas.put(x as u16, y, label, role);
            }
        };
        if let Target::Path(glide) = &self.run.leg().target {
            if self.run.leg().approach.is_down() {
                return put(along.now_dot, "down", Role::Ink);
            }
            let state = self.run.world().state();
            let distance_nm = glide.distance_m(state, self.run.tick()) / NM;
            let to_go_s = to_go_s(self.run).unwrap_or(0.0);
            let now = format!("{:.0} s, {distance_nm:.2} nm to go", to_go_s.max(0.0));
            put(along.now_dot, &now, Role::Ink);
            let deck_kt = glide.aim.deck.speed_mps / KT;
            let closing = format!("closing {:.0} kt", glide.closure_mps(state) / KT);
            let closing = match deck_kt >= 0.5 {
                true => format!("{closing}, deck leaves at {deck_kt:.0} kt"),
                false => closing,
            };
            return put(closing.len() as i32, &closing, Role::Quiet);
        }
        for tens in -4..=1 {
            let seconds = 10 * tens;
            let dot = along.now_dot + (f64::from(seconds) * along.per_s).round() as i32;
            match seconds {
                0 => put(dot, "now", Role::Ink),
                _ => put(dot, &format!("{seconds:+} s"), Role::Quiet),
            }
        }
    }
}
