//! What a stretch of a run was about, over time, against the bands of its tasks; a second run dotted.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::approach::{self, Post};
use super::dots::{ACROSS, DOWN, Dots};
use super::plot::{Along, Up, axis, beside_column, dotted, line, picture, unit};
use super::stretch::Stretch;
use crate::drill::Target;
use crate::drill::reader::plain;
use crate::run::Leg;
use crate::sim::dynamics::State;
use crate::tui::theme::{Role, Theme};
use crate::units::{FPM, FT, TICK_S};

/// What a curve shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Altitude, ft.
    Altitude,
    /// Vertical speed, ft/min.
    Vertical,
    /// Deviation from what is asked, % of what is allowed there and then; for runs that end in a path.
    Share,
}

/// Half the height of the tick at which it could still be saved, dots.
const UNTIL: i32 = 3;
/// A share farther out than this is not drawn, %: the band stays readable.
const FARTHEST_SHARE: f64 = 300.0;

impl Side {
    /// The curves that tell a stretch, the first one always worth its room.
    pub fn of(stretch: &Stretch) -> Vec<Side> {
        let has = |is: fn(&Target) -> bool| match stretch.leg {
            Some(leg) => is(&stretch.run.legs()[leg].target),
            None => stretch.run.legs().iter().any(|leg| is(&leg.target)),
        };
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

    /// What its labels are in; a share has that on each of them.
    fn unit(self) -> &'static str {
        match self {
            Side::Altitude => "ft",
            Side::Vertical => "ft/min",
            Side::Share => "",
        }
    }

    fn label(self, value: f64) -> String {
        let value = value + 0.0;
        match self {
            Side::Share if value == 0.0 => "path".to_string(),
            Side::Share => format!("{} %", plain(value)),
            _ => plain(value),
        }
    }
}

/// The curve of a stretch, each task's band where it held, the second run dotted.
pub fn curve_of(side: Side, stretch: &Stretch, area: Rect, buffer: &mut Buffer, theme: &Theme) {
    let picture = picture(area);
    if picture.width < 10 || picture.height < 3 {
        return;
    }
    let run = stretch.run;
    let points = run.trace().points();
    let value = |tick: usize| side.value(stretch.leg_at(tick), &points[tick].state, tick);
    let mut dots = Dots::new(picture);
    let along = stretch.along(dots.width());
    let up = scale(side, stretch, dots.height());
    bands(side, stretch, &along, &up, &mut dots);
    let gates = gates(side, stretch);
    for gate in &gates {
        let x = along.dot((gate.t_s / TICK_S) as usize);
        dots.column(x, up.dot(100.0), up.dot(-100.0), Role::Band);
    }
    stretch.change(&mut dots, &along);
    if let Some(tick) = stretch.until {
        let tick = tick as usize;
        if stretch.ticks.contains(&tick) && tick <= stretch.last_flown() {
            let y = up.dot(value(tick));
            dots.column(along.dot(tick), y - UNTIL, y + UNTIL, Role::Alternative);
        }
    }
    dotted(stretch, &along, &mut dots, |run, leg, tick| {
        let state = &run.trace().at(tick).state;
        up.dot(side.value(&run.legs()[leg], state, tick))
    });
    // Where what is asked changes, a share of it begins anew.
    let start = |tick: usize| stretch.leg_at(tick).start;
    line(
        stretch,
        &along,
        &mut dots,
        |tick| up.dot(value(tick)),
        |before, tick| side == Side::Share && start(before) != start(tick),
    );
    axis(picture, buffer, theme);
    // Two labels at least: one alone does not tell the scale.
    let per_row = (up.high - up.low) / f64::from(picture.height);
    let steps = [3.0, 2.0, 1.0].map(|rows| round_step(rows * per_row));
    let labels = |every: f64| (up.high / every).floor() - (up.low / every).ceil() + 1.0;
    let every = steps.into_iter().find(|every| labels(*every) >= 2.0);
    let every = every.unwrap_or(steps[2]);
    let mut label = (up.low / every).ceil() * every;
    while label <= up.high {
        let row = (up.dot(label) / DOWN) as u16;
        let text = format!("{:>6}", side.label(label));
        buffer.set_string(area.x, picture.y + row, text, theme.style(Role::Quiet));
        label += every;
    }
    unit(side.unit(), picture, buffer, theme);
    dots.render(buffer, theme);
    gate_labels(&gates, &along, picture, buffer, theme);
    for (index, leg) in stretch.legs().filter(|_| stretch.leg.is_none()) {
        if let Some(x) = along
            .column(picture, leg.start as usize)
            .filter(|_| index > 0)
        {
            let n = run.leg_number(index);
            let rows = picture.top()..picture.bottom();
            beside_column(&n, x, rows, picture, buffer, theme.style(Role::Quiet));
        }
    }
    if let Some(tick) = stretch
        .until
        .filter(|tick| stretch.ticks.contains(&(*tick as usize)))
    {
        let x = picture.x + (along.dot(tick as usize) / ACROSS) as u16;
        let style = theme.style(Role::Alternative);
        let rows = (picture.top()..picture.bottom()).rev();
        beside_column("till here", x, rows, picture, buffer, style);
    }
    if let Some(dot) = stretch.change_dot(&along) {
        let x = picture.x + (dot / ACROSS) as u16;
        let style = theme.style(Role::Alternative);
        let rows = picture.top()..picture.bottom();
        beside_column("from here", x, rows, picture, buffer, style);
    }
}

/// Above each gate what was asked there and what was flown, in the longest words that do not touch the label before.
fn gate_labels(gates: &[Post], along: &Along, picture: Rect, buffer: &mut Buffer, theme: &Theme) {
    let mut free_from = picture.x;
    for gate in gates.iter().filter(|gate| gate.is_gate) {
        let column = along.column(picture, (gate.t_s / TICK_S) as usize);
        let (Some(x), Some(off_m)) = (column, gate.deviation_m) else {
            continue;
        };
        let feet = |m: f64| plain((m / FT).round());
        let (asked, flown) = (feet(gate.altitude_m), feet(gate.altitude_m + off_m));
        let labels = [
            format!(" asked {asked} ft, flown {flown} "),
            format!(" {asked} ft, {flown} "),
            format!(" {:+.0} ft ", (off_m / FT).round() + 0.0),
        ];
        for label in labels {
            let length = label.chars().count() as u16;
            let from = x.saturating_sub(length / 2).max(picture.x);
            if from >= free_from && from + length <= picture.right() {
                buffer.set_string(from, picture.y, label, theme.style(Role::Strong));
                free_from = from + length + 1;
                break;
            }
        }
    }
}

/// Each task's band while it was flown, and a post where a task begins.
fn bands(side: Side, stretch: &Stretch, along: &Along, up: &Up, dots: &mut Dots) {
    for (index, leg) in stretch.legs() {
        let is_chosen = stretch.leg.is_none_or(|chosen| chosen == index);
        let end = match (is_chosen, stretch.leg) {
            // Looked at alone, what was asked is drawn as long as the second run was asked for it.
            (true, Some(_)) => stretch.ticks.end,
            _ => leg.end.unwrap_or(stretch.run.tick()) as usize,
        };
        let (from, to) = (along.dot(leg.start as usize), along.dot(end));
        let role = if is_chosen { Role::Band } else { Role::Quiet };
        let past_own = !is_chosen && Some(index) > stretch.leg;
        if let Some((wanted, band)) = side.band(&leg.target).filter(|_| !past_own) {
            for x in from.max(0)..=to.min(dots.width() - 1) {
                dots.set(x, up.dot(wanted + band), role);
                dots.set(x, up.dot(wanted - band), role);
            }
        }
        if index > 0 {
            for y in (0..dots.height()).step_by(3) {
                dots.set(from, y, Role::Quiet);
            }
        }
    }
}

fn gates(side: Side, stretch: &Stretch) -> Vec<Post> {
    let of_path = side == Side::Share
        && stretch
            .leg
            .is_none_or(|leg| leg + 1 == stretch.run.legs().len());
    match of_path {
        true => approach::posts(stretch.run)
            .into_iter()
            .filter(|post| post.is_passed)
            .collect(),
        false => Vec::new(),
    }
}

/// From the lowest to the highest value and edge of a band in sight, with a margin.
fn scale(side: Side, stretch: &Stretch, dots: i32) -> Up {
    let points = stretch.run.trace().points();
    let own = (stretch.ticks.start..=stretch.last_flown())
        .map(|tick| side.value(stretch.leg_at(tick), &points[tick].state, tick));
    let others = stretch.pieces().flat_map(|(second, piece, _)| {
        let leg = &second.run.legs()[piece.leg];
        piece
            .ticks
            .clone()
            .map(move |tick| side.value(leg, &second.run.trace().at(tick).state, tick))
    });
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    let mut include = |value: f64| {
        low = low.min(value);
        high = high.max(value);
    };
    own.chain(others)
        .map(|value| match side {
            Side::Share => value.clamp(-FARTHEST_SHARE, FARTHEST_SHARE),
            _ => value,
        })
        .for_each(&mut include);
    let asked = stretch
        .legs()
        .filter(|(index, _)| stretch.leg.is_none_or(|leg| leg == *index));
    for (wanted, band) in asked.filter_map(|(_, leg)| side.band(&leg.target)) {
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
