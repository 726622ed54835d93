//! Curves of a whole run on one time axis: altitude against its bands, lever and engine.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::dots::{ACROSS, DOWN, Dots};
use super::scope::GUTTER;
use crate::drill::Target;
use crate::drill::reader::plain;
use crate::run::Run;
use crate::sim::dynamics::State;
use crate::tui::theme::{Mark, Role, Theme};
use crate::units::{FT, TICK_S};

/// Values from low to high over the height of a picture.
struct Up {
    low: f64,
    high: f64,
    dots: i32,
}

impl Up {
    fn dot(&self, value: f64) -> i32 {
        let share = (value - self.low) / (self.high - self.low);
        ((1.0 - share) * f64::from(self.dots - 1)).round() as i32
    }
}

/// A time axis over the whole run: `dots` columns for its ticks.
struct Whole {
    ticks: usize,
    dots: i32,
}

impl Whole {
    fn dot(&self, tick: usize) -> i32 {
        (tick as f64 / self.ticks.max(1) as f64 * f64::from(self.dots - 1)).round() as i32
    }

    fn tick(&self, dot: i32) -> usize {
        (f64::from(dot) / f64::from(self.dots - 1) * self.ticks as f64).round() as usize
    }
}

fn picture(area: Rect) -> Rect {
    Rect {
        x: area.x + GUTTER,
        width: area.width.saturating_sub(GUTTER),
        ..area
    }
}

/// Altitude over the whole run, each task's band where it held.
pub fn altitude(run: &Run, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let picture = picture(area);
    if picture.width < 10 || picture.height < 3 {
        return;
    }
    let points = run.trace().points();
    let mut dots = Dots::new(picture);
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    let mut include = |h_m: f64| {
        low = low.min(h_m / FT);
        high = high.max(h_m / FT);
    };
    points.iter().for_each(|point| include(point.state.h_m));
    for leg in run.legs() {
        if let Target::Altitude { altitude_m, band_m } = leg.target {
            include(altitude_m - band_m);
            include(altitude_m + band_m);
        }
    }
    let margin = 0.05 * (high - low);
    let up = Up {
        low: low - margin,
        high: high + margin,
        dots: dots.height(),
    };
    let along = Whole {
        ticks: run.trace().ticks(),
        dots: dots.width(),
    };
    for (index, leg) in run.legs().iter().enumerate() {
        let end = leg.end.unwrap_or(run.tick());
        let (from, to) = (along.dot(leg.start as usize), along.dot(end as usize));
        for x in from..=to {
            let tick = along.tick(x).min(along.ticks);
            let Some((wanted_m, band_m)) = band_of_altitude(&leg.target, &points[tick].state, tick) else {
                break;
            };
            dots.set(x, up.dot((wanted_m + band_m) / FT), Role::Band);
            dots.set(x, up.dot((wanted_m - band_m) / FT), Role::Band);
        }
        if index > 0 {
            for y in (0..dots.height()).step_by(3) {
                dots.set(from, y, Role::Quiet);
            }
        }
    }
    curve(
        &mut dots,
        &along,
        |tick| up.dot(points[tick].state.h_m / FT),
        Role::Ink,
    );
    axis(picture, buffer, theme);
    let least_ft = 3.0 * (up.high - up.low) / f64::from(picture.height);
    let every_ft = round_step(least_ft);
    let mut label_ft = (up.low / every_ft).ceil() * every_ft;
    while label_ft <= up.high {
        let row = (up.dot(label_ft) / DOWN) as u16;
        let text = format!("{:>6}", plain(label_ft));
        buffer.set_string(area.x, picture.y + row, text, theme.style(Role::Quiet));
        label_ft += every_ft;
    }
    dots.render(buffer, theme);
}

/// The altitude wanted of a state at a tick and the half-width around it, m; None for a task about vertical speed.
fn band_of_altitude(target: &Target, state: &State, tick: usize) -> Option<(f64, f64)> {
    match target {
        Target::Altitude { altitude_m, band_m } => Some((*altitude_m, *band_m)),
        Target::Vertical { .. } => None,
        Target::Path(glide) => {
            let distance_m = glide.distance_m(state, tick as u64);
            Some((glide.altitude_m(distance_m), glide.half_width_m(distance_m)))
        }
    }
}

/// Lever (solid) and engine (dotted) over the whole run, 0 to 100 %.
pub fn lever(run: &Run, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let picture = picture(area);
    if picture.width < 10 || picture.height < 2 {
        return;
    }
    let trace = run.trace();
    let engine = &run.drill().aircraft.engine;
    let gives = |tick: usize| engine.lever_for(trace.points()[tick].state.engine);
    let (low, high) = (0..=trace.ticks())
        .map(|tick| (trace.lever_at(tick), gives(tick)))
        .fold((1.0_f64, 0.0_f64), |(low, high), (lever, gives)| {
            (low.min(lever).min(gives), high.max(lever).max(gives))
        });
    let margin = 0.02 + 0.1 * (high - low);
    let mut dots = Dots::new(picture);
    let up = Up {
        low: (low - margin).max(-0.01),
        high: (high + margin).min(1.01),
        dots: dots.height(),
    };
    let along = Whole {
        ticks: trace.ticks(),
        dots: dots.width(),
    };
    for x in (0..dots.width()).step_by(3) {
        dots.set(x, up.dot(gives(along.tick(x))), Role::Alternative);
    }
    curve(
        &mut dots,
        &along,
        |tick| up.dot(trace.lever_at(tick)),
        Role::Ink,
    );
    axis(picture, buffer, theme);
    let quiet = theme.style(Role::Quiet);
    let percent = |share: f64| format!("{:>4.0} %", 100.0 * share);
    buffer.set_string(area.x, picture.y, percent(up.high), quiet);
    buffer.set_string(
        area.x,
        picture.bottom() - 1,
        percent(up.low.max(0.0)),
        quiet,
    );
    dots.render(buffer, theme);
}

/// Seconds below the curves, and the task numbers where they begin.
pub fn times(run: &Run, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let picture = picture(area);
    let along = Whole {
        ticks: run.trace().ticks(),
        dots: i32::from(picture.width) * ACROSS,
    };
    let quiet = theme.style(Role::Quiet);
    let total_s = run.time_s();
    let steps = [
        1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1200.0, 3600.0,
    ];
    let wanted = total_s * 12.0 / f64::from(picture.width.max(1));
    let every_s = steps
        .iter()
        .find(|step| **step >= wanted)
        .unwrap_or(&7200.0);
    let mut t_s = 0.0;
    while t_s <= total_s {
        let x = picture.x + (along.dot((t_s / TICK_S) as usize) / ACROSS) as u16;
        let label = format!("{t_s:.0} s");
        if x + label.len() as u16 <= picture.right() {
            buffer.set_string(x, area.y, label, quiet);
        }
        t_s += every_s;
    }
}

/// The smallest of 1, 2, 5, 10, 20, ... that is not below `least`.
pub fn round_step(least: f64) -> f64 {
    let mut decade = 1.0;
    loop {
        for step in [1.0, 2.0, 5.0] {
            if step * decade >= least {
                return step * decade;
            }
        }
        decade *= 10.0;
    }
}

fn axis(picture: Rect, buffer: &mut Buffer, theme: &Theme) {
    for y in picture.top()..picture.bottom() {
        buffer.set_string(
            picture.x - 1,
            y,
            theme.mark(Mark::Axis),
            theme.style(Role::Quiet),
        );
    }
}

fn curve(dots: &mut Dots, along: &Whole, dot: impl Fn(usize) -> i32, role: Role) {
    let mut last: Option<i32> = None;
    for x in 0..dots.width() {
        let y = dot(along.tick(x).min(along.ticks));
        let from = match last {
            Some(last) if last < y => last + 1,
            Some(last) if last > y => last - 1,
            _ => y,
        };
        dots.column(x, from, y, role);
        last = Some(y);
    }
}
