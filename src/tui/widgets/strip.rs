//! Curves of a whole run on one time axis: altitude against its bands, lever and engine.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::approach::{self, Post};
use super::dots::{ACROSS, DOWN, Dots};
use super::scope::GUTTER;
use crate::drill::Target;
use crate::drill::reader::plain;
use crate::run::{Leg, Run};
use crate::sim::dynamics::State;
use crate::tui::theme::{Mark, Role, Theme};
use crate::units::{FPM, FT, TICK_S};

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

/// What a curve of a whole run shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Altitude, ft.
    Altitude,
    /// Vertical speed, ft/min.
    Vertical,
    /// Deviation from what is asked, % of what is allowed there and then; for runs that end in a path.
    Share,
}

/// A share farther out than this is not drawn, %: the band stays readable.
const FARTHEST_SHARE: f64 = 300.0;

impl Side {
    /// The curves that tell a run, the first one always worth its room.
    pub fn of(run: &Run) -> Vec<Side> {
        let has = |is: fn(&Target) -> bool| run.legs().iter().any(|leg| is(&leg.target));
        let altitudes = has(|target| matches!(target, Target::Altitude { .. }));
        let rates = has(|target| matches!(target, Target::Vertical { .. }));
        match (
            has(|target| matches!(target, Target::Path(_))),
            altitudes,
            rates,
        ) {
            (true, _, _) => vec![Side::Share],
            (_, true, true) => vec![Side::Altitude, Side::Vertical],
            (_, false, true) => vec![Side::Vertical, Side::Altitude],
            _ => vec![Side::Altitude],
        }
    }

    fn value(self, leg: &Leg, state: &State, tick: usize) -> f64 {
        let tick = tick as u64;
        match self {
            Side::Altitude => state.h_m / FT,
            Side::Vertical => state.vz_mps / FPM,
            Side::Share => 100.0 * leg.target.error(state, tick) / leg.target.band(state, tick),
        }
    }

    /// Wanted value and half-width around it; None where the task is about something else.
    fn band(self, target: &Target) -> Option<(f64, f64)> {
        match (self, target) {
            (Side::Altitude, Target::Altitude { altitude_m, band_m }) => {
                Some((altitude_m / FT, band_m / FT))
            }
            (
                Side::Vertical,
                Target::Vertical {
                    vertical_mps,
                    band_mps,
                },
            ) => Some((vertical_mps / FPM, band_mps / FPM)),
            (Side::Share, _) => Some((0.0, 100.0)),
            _ => None,
        }
    }

    fn label(self, value: f64) -> String {
        let value = value + 0.0;
        match self {
            Side::Share if value == 0.0 => "wanted".to_string(),
            Side::Share => format!("{} %", plain(value)),
            _ => plain(value),
        }
    }
}

/// A curve over the whole run, each task's band where it held.
pub fn curve_of(side: Side, run: &Run, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let picture = picture(area);
    if picture.width < 10 || picture.height < 3 {
        return;
    }
    let points = run.trace().points();
    let leg_at = |tick: usize| {
        let begun = run
            .legs()
            .iter()
            .take_while(|leg| leg.start as usize <= tick);
        begun.last().unwrap_or_else(|| run.leg())
    };
    let value = |tick: usize| side.value(leg_at(tick), &points[tick].state, tick);
    let mut dots = Dots::new(picture);
    let along = Whole {
        ticks: run.trace().ticks(),
        dots: dots.width(),
    };
    let up = scale(side, run, (0..points.len()).map(value), dots.height());
    for (index, leg) in run.legs().iter().enumerate() {
        let end = leg.end.unwrap_or(run.tick());
        let (from, to) = (along.dot(leg.start as usize), along.dot(end as usize));
        if let Some((wanted, band)) = side.band(&leg.target) {
            for x in from..=to {
                dots.set(x, up.dot(wanted + band), Role::Band);
                dots.set(x, up.dot(wanted - band), Role::Band);
            }
        }
        if index > 0 {
            for y in (0..dots.height()).step_by(3) {
                dots.set(from, y, Role::Quiet);
            }
        }
    }
    let gates: Vec<Post> = match side {
        Side::Share => approach::posts(run)
            .into_iter()
            .filter(|post| post.is_passed)
            .collect(),
        _ => Vec::new(),
    };
    for gate in &gates {
        let x = along.dot((gate.t_s / TICK_S) as usize);
        dots.column(x, up.dot(100.0), up.dot(-100.0), Role::Band);
    }
    // Where what is asked changes, a share of it begins anew.
    let mut last: Option<(i32, usize)> = None;
    for x in 0..dots.width() {
        let tick = along.tick(x).min(along.ticks);
        let (y, start) = (up.dot(value(tick)), leg_at(tick).start as usize);
        let joined = last.filter(|(_, before)| side != Side::Share || *before == start);
        dots.column(x, beside(joined.map(|(y, _)| y), y), y, Role::Ink);
        last = Some((y, start));
    }
    axis(picture, buffer, theme);
    let every = round_step(3.0 * (up.high - up.low) / f64::from(picture.height));
    let mut label = (up.low / every).ceil() * every;
    while label <= up.high {
        let row = (up.dot(label) / DOWN) as u16;
        let text = format!("{:>6}", side.label(label));
        buffer.set_string(area.x, picture.y + row, text, theme.style(Role::Quiet));
        label += every;
    }
    dots.render(buffer, theme);
    for gate in &gates {
        let Some(deviation_m) = gate.deviation_m.filter(|_| gate.is_gate) else {
            continue;
        };
        let text = format!("{:+.0} ft", (deviation_m / FT).round() + 0.0);
        let x = picture.x + (along.dot((gate.t_s / TICK_S) as usize) / ACROSS) as u16;
        let x = x.saturating_sub(text.len() as u16 / 2).max(picture.x);
        if x + text.len() as u16 <= picture.right() {
            buffer.set_string(x, picture.y, text, theme.style(Role::Strong));
        }
    }
}

/// From the lowest to the highest value and edge of a band, with a margin.
fn scale(side: Side, run: &Run, values: impl Iterator<Item = f64>, dots: i32) -> Up {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    let mut include = |value: f64| {
        low = low.min(value);
        high = high.max(value);
    };
    values
        .map(|value| match side {
            Side::Share => value.clamp(-FARTHEST_SHARE, FARTHEST_SHARE),
            _ => value,
        })
        .for_each(&mut include);
    for (wanted, band) in run.legs().iter().filter_map(|leg| side.band(&leg.target)) {
        include(wanted - band);
        include(wanted + band);
    }
    let margin = match side {
        // Room for what is written above the gates.
        Side::Share => 0.1 * (high - low),
        _ => (0.05 * (high - low)).max(1.0),
    };
    Up {
        low: low - margin,
        high: high + margin,
        dots,
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
    buffer.set_string(area.x, picture.y, percent(up.high.min(1.0)), quiet);
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
        dots.column(x, beside(last, y), y, role);
        last = Some(y);
    }
}

/// Where a column begins that ends at `y` and is joined to the dot before it.
fn beside(last: Option<i32>, y: i32) -> i32 {
    match last {
        Some(last) if last < y => last + 1,
        Some(last) if last > y => last - 1,
        _ => y,
    }
}
