//! A run as a picture: altitude with its bands, lever and engine, and the bill, on one time axis. No script, no embedded font,
//! and no colour that carries meaning without a shape that carries it too.

use std::fmt::Write;

use super::axis::{FULL, lost, multiples, range, round_step, time_step};
use crate::drill::Target;
use crate::drill::printable::escaped;
use crate::drill::reader::clock;
use crate::run::{Leg, Run};
use crate::units::{FT, TICK_S};
use crate::why::Weighed;

/// The page. Every ink has a contrast of at least 4.5 to 1 against it (WCAG 2, 1.4.3), which a test computes.
pub const PAGE: &str = "#ffffff";
/// Text and the learner's own line.
pub const INK: &str = "#1b1b1b";
/// Axes and the engine.
pub const QUIET: &str = "#595959";
/// Edges of the band and the wanted altitude.
pub const BAND: &str = "#1f5f99";
/// The bill.
pub const COST: &str = "#8f4300";
/// The background of the band: INK is readable on it as well.
pub const GROUND: &str = "#dde9f4";

/// Size of the picture: as wide as the text of an A4 page at 96 dots an inch.
const WIDTH: f64 = 700.0;
const HEIGHT: f64 = 430.0;
const LEFT: f64 = 52.0;
const RIGHT: f64 = 692.0;
/// Half the width of "59:59", so that a time at the right edge is not cut off.
const HALF_A_TIME: f64 = 16.0;
/// Tops and bottoms of the three panels.
const ALTITUDE: (f64, f64) = (24.0, 222.0);
const LEVER: (f64, f64) = (244.0, 310.0);
const BILL: (f64, f64) = (332.0, 398.0);
/// Most points of a line: more than its panel is wide.
const POINTS: usize = 700;

/// A stranger's text as XML: special characters and everything that is not plain are escaped.
pub fn text(text: &str) -> String {
    let plain = escaped(text, |_| false);
    let mut out = String::with_capacity(plain.len());
    for c in plain.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c => out.push(c),
        }
    }
    out
}

/// Maps values to vertical positions in a panel.
struct Up {
    low: f64,
    high: f64,
    panel: (f64, f64),
}

impl Up {
    /// A scale over all values, with some room around them.
    fn over(values: impl Iterator<Item = f64>, least: f64, panel: (f64, f64)) -> Up {
        let (low, high) = range(values);
        let room = 0.06 * (high - low).max(least);
        Up {
            low: low - room,
            high: high + room,
            panel,
        }
    }

    fn y(&self, value: f64) -> f64 {
        let (top, bottom) = self.panel;
        bottom - (value - self.low) / (self.high - self.low) * (bottom - top)
    }
}

/// A line through some points.
fn path(points: &[(f64, f64)]) -> String {
    let mut d = String::new();
    for (index, (x, y)) in points.iter().enumerate() {
        let letter = if index == 0 { 'M' } else { 'L' };
        let _ = write!(d, "{letter}{x:.1} {y:.1}");
    }
    d
}

struct Picture<'a> {
    run: &'a Run,
    out: String,
    /// Ticks between points of a line.
    every: usize,
    last: usize,
}

pub fn picture(run: &Run, weighed: &Weighed) -> String {
    let last = run.trace().ticks();
    let mut picture = Picture {
        run,
        out: String::new(),
        every: last.div_ceil(POINTS).max(1),
        last,
    };
    picture.open();
    picture.altitude();
    picture.lever();
    picture.bill(weighed);
    picture.times();
    picture.out.push_str("</svg>\n");
    picture.out
}

impl Picture<'_> {
    fn put(&mut self, line: std::fmt::Arguments) {
        // Writing to a string never fails.
        let _ = self.out.write_fmt(line);
        self.out.push('\n');
    }

    fn open(&mut self) {
        let title = text(&self.run.drill().title);
        self.put(format_args!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" role=\"img\" \
             font-family=\"sans-serif\" font-size=\"11\" fill=\"{INK}\">\n<title>{title}: altitude, lever and bill over time</title>\n\
             <rect width=\"{WIDTH}\" height=\"{HEIGHT}\" fill=\"{PAGE}\"/>"
        ));
        for (panel, name) in [
            (ALTITUDE, "altitude, ft"),
            (LEVER, "lever (solid) and engine (dashed), %"),
            (BILL, "bill: points lost in each task, its lines numbered"),
        ] {
            let (top, bottom) = panel;
            self.put(format_args!(
                "<path d=\"M{LEFT} {top}V{bottom}H{RIGHT}\" fill=\"none\" stroke=\"{QUIET}\"/>"
            ));
            self.put(format_args!(
                "<text x=\"{LEFT}\" y=\"{}\" fill=\"{QUIET}\">{name}</text>",
                top - 5.0
            ));
        }
        let run = self.run;
        for (index, leg) in run.legs().iter().enumerate() {
            let x = self.x(leg.start as usize);
            self.put(format_args!(
                "<path d=\"M{x:.1} {}V{}\" stroke=\"{QUIET}\" stroke-dasharray=\"1 3\"/>\
                 <text x=\"{:.1}\" y=\"{}\" font-weight=\"bold\">{}</text>",
                ALTITUDE.0,
                BILL.1,
                x + 3.0,
                ALTITUDE.0 + 10.0,
                run.leg_number(index)
            ));
        }
    }

    fn x(&self, tick: usize) -> f64 {
        LEFT + tick as f64 / self.last.max(1) as f64 * (RIGHT - LEFT)
    }

    /// The ticks of a stretch at which a line has points, its last tick included.
    fn ticks(&self, from: usize, to: usize) -> impl Iterator<Item = usize> + use<> {
        let to = to.min(self.last);
        (from..to).step_by(self.every).chain([to])
    }

    fn line(&mut self, points: &[(f64, f64)], style: &str) {
        let d = path(points);
        self.put(format_args!("<path d=\"{d}\" fill=\"none\" {style}/>"));
    }

    /// Draws values over the whole run as a line.
    fn curve(&mut self, up: &Up, value: impl Fn(usize) -> f64, style: &str) {
        let ticks = self.ticks(0, self.last);
        let points: Vec<_> = ticks
            .map(|tick| (self.x(tick), up.y(value(tick))))
            .collect();
        self.line(&points, style);
    }

    /// Writes values of the scale at the left edge.
    fn scale(&mut self, up: &Up, values: impl IntoIterator<Item = f64>) {
        for value in values {
            let y = up.y(value);
            self.put(format_args!(
                "<text x=\"{}\" y=\"{:.1}\" text-anchor=\"end\" fill=\"{QUIET}\">{value:.0}</text>",
                LEFT - 5.0,
                y + 4.0
            ));
        }
    }

    /// For each leg with a wanted altitude, that altitude and the half-width of its band: tick, ft, ft.
    fn bands(&self) -> Vec<Vec<(usize, f64, f64)>> {
        let run = self.run;
        let of_leg = |leg: &Leg| {
            let wanted = |tick: usize| match &leg.target {
                Target::Altitude { altitude_m, band_m } => Some((altitude_m / FT, band_m / FT)),
                Target::Vertical { .. } => None,
                Target::Path(glide) => {
                    let at = glide.distance_m(run.trace().state(tick), tick as u64);
                    // Past the aim point there is no path.
                    (at >= 0.0).then(|| (glide.altitude_m(at) / FT, glide.half_width_m(at) / FT))
                }
            };
            let ticks = self.ticks(leg.start as usize, leg.end.unwrap_or(run.tick()) as usize);
            let band = ticks.filter_map(|tick| wanted(tick).map(|(ft, half)| (tick, ft, half)));
            band.collect()
        };
        run.legs().iter().map(of_leg).collect()
    }

    fn altitude(&mut self) {
        let trace = self.run.trace();
        let own = |tick: usize| trace.state(tick).h_m / FT;
        let bands = self.bands();
        let flown = (0..=self.last).step_by(self.every).map(own);
        let edges = bands.iter().flatten();
        let edges = edges.flat_map(|(_, ft, half)| [ft - half, ft + half]);
        let up = Up::over(flown.chain(edges), 50.0, ALTITUDE);
        for band in bands.iter().filter(|band| band.len() > 1) {
            let [lower, wanted, upper] = [-1.0, 0.0, 1.0].map(|side| -> Vec<(f64, f64)> {
                let at =
                    |(tick, ft, half): &(usize, f64, f64)| (self.x(*tick), up.y(ft + side * half));
                band.iter().map(at).collect()
            });
            let around: Vec<_> = upper.iter().chain(lower.iter().rev()).copied().collect();
            let d = path(&around);
            self.put(format_args!(
                "<path d=\"{d}Z\" fill=\"{GROUND}\" stroke=\"none\"/>"
            ));
            let edge = format!("stroke=\"{BAND}\"");
            self.line(&upper, &edge);
            self.line(&lower, &edge);
            self.line(&wanted, &format!("{edge} stroke-dasharray=\"6 4\""));
        }
        self.curve(&up, own, &format!("stroke=\"{INK}\" stroke-width=\"1.8\""));
        let step = round_step(((up.high - up.low) / 5.0).max(1.0));
        self.scale(&up, multiples(step, up.low, up.high));
    }

    fn lever(&mut self) {
        let trace = self.run.trace();
        let engine = &self.run.drill().aircraft.engine;
        let lever = |tick: usize| 100.0 * trace.lever_at(tick);
        let gives = |tick: usize| 100.0 * engine.lever_for(trace.state(tick).engine);
        let all = (0..=self.last).step_by(self.every);
        let up = Up::over(all.flat_map(|tick| [lever(tick), gives(tick)]), 10.0, LEVER);
        let dashed = format!("stroke=\"{QUIET}\" stroke-dasharray=\"3 3\"");
        self.curve(&up, gives, &dashed);
        self.curve(
            &up,
            lever,
            &format!("stroke=\"{INK}\" stroke-width=\"1.4\""),
        );
        self.scale(&up, [up.low.max(0.0).ceil(), up.high.min(100.0).floor()]);
    }

    fn bill(&mut self, weighed: &Weighed) {
        let bills = || weighed.bills.iter();
        let most = bills()
            .map(|bill| lost(bill, u64::MAX))
            .fold(FULL, f64::max);
        let up = Up {
            low: 0.0,
            high: most * 1.25,
            panel: BILL,
        };
        for bill in bills() {
            let reach = bill.reach.iter();
            let at = |tick: u64| (self.x(tick as usize), up.y(lost(bill, tick)));
            let points: Vec<_> = reach.map(|reach| at(reach.tick)).collect();
            self.line(&points, &format!("stroke=\"{COST}\" stroke-width=\"1.8\""));
        }
        for (index, line) in weighed.told().iter().enumerate() {
            let before = weighed
                .bill(line.leg)
                .map_or(0.0, |bill| lost(bill, line.from));
            let (x, y) = (self.x(line.from as usize) - 3.0, up.y(before) - 4.0);
            self.put(format_args!(
                "<text x=\"{x:.1}\" y=\"{:.1}\" text-anchor=\"end\" font-weight=\"bold\" fill=\"{COST}\">{}</text>",
                y.max(BILL.0 + 9.0),
                index + 1
            ));
        }
        self.scale(&up, [0.0, most.round()]);
    }

    fn times(&mut self) {
        let total_s = self.last as f64 * TICK_S;
        let step = time_step((total_s / 10.0).max(5.0));
        for t_s in multiples(step, 0.0, total_s) {
            let x = self.x((t_s / TICK_S) as usize);
            let label_x = x.min(WIDTH - HALF_A_TIME);
            self.put(format_args!(
                "<path d=\"M{x:.1} {}v4\" stroke=\"{QUIET}\"/><text x=\"{label_x:.1}\" y=\"{}\" text-anchor=\"middle\" fill=\"{QUIET}\">{}</text>",
                BILL.1,
                BILL.1 + 16.0,
                clock(t_s)
            ));
        }
        self.put(format_args!(
            "<text x=\"{LEFT}\" y=\"{}\" fill=\"{QUIET}\">solid: flown; band: what is allowed, dashed: what is asked; bold numbers: tasks, and lines of the bill</text>",
            HEIGHT - 3.0
        ));
    }
}
