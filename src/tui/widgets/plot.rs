//! What the pictures of a stretch have in common: their axes, lines and dotted lines, and words beside a column.

use ratatui::layout::Rect;

use super::dots::{ACROSS, DOWN, Dots};
use super::scope::GUTTER;
use super::stretch::Stretch;
use crate::run::Run;
use crate::tui::canvas::{self, Canvas};
use crate::tui::theme::{Mark, Role};
use crate::units::TICKS_PER_S;

/// A vertical axis: values from low to high over the height of a picture, in dots.
pub(super) struct Up {
    pub low: f64,
    pub high: f64,
    pub dots: i32,
}

impl Up {
    pub fn new(low: f64, high: f64, dots: &Dots) -> Up {
        let dots = dots.height();
        Up { low, high, dots }
    }

    /// The row of a picture in which a value lies.
    pub fn row(&self, value: f64, picture: Rect) -> u16 {
        picture.y + (self.dot(value) / DOWN) as u16
    }

    pub fn dot(&self, value: f64) -> i32 {
        let share = (value - self.low) / (self.high - self.low);
        ((1.0 - share) * f64::from(self.dots - 1)).round() as i32
    }
}

/// The picture of an area: the part to the right of the labels.
pub(super) fn picture(area: Rect) -> Rect {
    Rect {
        x: area.x + GUTTER,
        width: area.width.saturating_sub(GUTTER),
        ..area
    }
}

/// The same, less a row of text at the top and one at the bottom.
pub(super) fn between_texts(area: Rect) -> Rect {
    let mut picture = picture(area);
    canvas::top(&mut picture, 1);
    canvas::bottom(&mut picture, 1);
    picture
}

/// Time shown before now, s.
const PAST_S: f64 = 40.0;
/// Time shown in all, s: now is two thirds along.
const SPAN_S: f64 = 60.0;

/// The time axis of a flight under way, in whole dots, so that what has been drawn moves as one piece.
pub(super) struct TimeAxis {
    /// Dots per second.
    pub per_s: f64,
    /// The dot of now.
    pub now_dot: i32,
    now_count: i64,
}

impl TimeAxis {
    /// The axis over `width_dots` dots of a run that has flown for `now_s`.
    pub fn new(width_dots: i32, now_s: f64) -> TimeAxis {
        let per_s = f64::from(width_dots) / SPAN_S;
        TimeAxis {
            per_s,
            now_dot: (f64::from(width_dots) * PAST_S / SPAN_S) as i32,
            now_count: (now_s * per_s).floor() as i64,
        }
    }

    /// The dot of a time in the run, s.
    pub fn dot(&self, t_s: f64) -> i32 {
        let ahead = (t_s * self.per_s).floor() as i64 - self.now_count;
        self.now_dot + ahead.clamp(-100_000, 100_000) as i32
    }

    /// The time a dot stands for, s.
    pub fn time_s(&self, dot: i32) -> f64 {
        self.count(dot) as f64 / self.per_s
    }

    /// The tick in which a dot lies; None before the run.
    pub fn tick(&self, dot: i32) -> Option<usize> {
        let tick = self.time_s(dot) * TICKS_PER_S as f64;
        (tick >= 0.0).then_some(tick as usize)
    }

    /// Counts dots from the run's beginning, so that a pattern made with it moves with the picture.
    pub fn count(&self, dot: i32) -> i64 {
        self.now_count + i64::from(dot - self.now_dot)
    }
}

/// A time axis of a run that is over: `dots` columns for the ticks of a stretch.
pub(super) struct TickAxis {
    from: usize,
    span: usize,
    dots: i32,
}

impl TickAxis {
    /// The dot of a tick; outside the stretch it lies outside the picture.
    pub fn dot(&self, tick: usize) -> i32 {
        let ticks = tick as f64 - self.from as f64;
        (ticks / self.span as f64 * f64::from(self.dots - 1)).round() as i32
    }

    pub fn tick(&self, dot: i32) -> usize {
        let share = f64::from(dot.max(0)) / f64::from(self.dots - 1);
        self.from + (share * self.span as f64).round() as usize
    }

    /// The column of a picture in which a tick lies; None outside the picture.
    pub fn column(&self, picture: Rect, tick: usize) -> Option<u16> {
        let dot = self.dot(tick);
        let is_there = (0..self.dots).contains(&dot);
        is_there.then(|| picture.x + (dot / ACROSS) as u16)
    }
}

/// Writes a few words beside a column, in the first of `rows` where they would neither hide nor touch anything: to its right,
/// else to its left. Where there is no such row, they are left out.
pub(super) fn beside_column(
    words: &str,
    x: u16,
    rows: impl Iterator<Item = u16>,
    picture: Rect,
    canvas: &mut Canvas,
    role: Role,
) {
    let length = words.chars().count() as u16;
    for y in rows {
        let right = Some(x + 2).filter(|x| x + length <= picture.right());
        let left = x.checked_sub(length + 1).filter(|x| *x >= picture.left());
        for from in [right, left].into_iter().flatten() {
            // With a free cell on either side.
            let air = from.max(picture.x + 1) - 1..(from + length + 1).min(picture.right());
            if canvas.is_free(air, y) {
                return canvas.put(from, y, words, role);
            }
        }
    }
}

impl Stretch<'_> {
    /// The stretch's time axis over `dots` dots.
    pub(super) fn along(&self, dots: i32) -> TickAxis {
        TickAxis {
            from: self.ticks.start,
            span: self.ticks.len().max(1),
            dots: dots.max(2),
        }
    }

    /// Draws a dotted column where a second run begins to differ.
    pub(super) fn change(&self, dots: &mut Dots, along: &TickAxis) {
        if let Some(x) = self.change_dot(along) {
            for y in (0..dots.height()).step_by(2) {
                dots.set(x, y, Role::Alternative);
            }
        }
    }

    /// The dot at which a second run begins to differ; None where that is out of sight.
    pub(super) fn change_dot(&self, along: &TickAxis) -> Option<i32> {
        let (second, _, _) = self.pieces().next()?;
        let tick = second.change? as usize;
        self.ticks.contains(&tick).then(|| along.dot(tick))
    }
}

/// Draws the run itself as a line, quieter outside the chosen leg. Where `breaks` says so, the line begins anew.
pub(super) fn line(
    stretch: &Stretch,
    along: &TickAxis,
    dots: &mut Dots,
    dot: impl Fn(usize) -> i32,
    breaks: impl Fn(usize, usize) -> bool,
) {
    let (mut last, mut before) = (None, None);
    for x in 0..dots.width() {
        let tick = along.tick(x);
        if tick > stretch.last_flown() {
            break;
        }
        let role = match stretch.is_chosen(tick) {
            true => Role::Ink,
            false => Role::Quiet,
        };
        if before.is_some_and(|before| breaks(before, tick)) {
            last = None;
        }
        dots.joined(x, &mut last, dot(tick), role);
        before = Some(tick);
    }
}

/// Draws the second run's pieces as dots in every other column, so that they never look like the learner's own line.
pub(super) fn dotted(
    stretch: &Stretch,
    along: &TickAxis,
    dots: &mut Dots,
    dot: impl Fn(&Run, usize, usize) -> i32,
) {
    const APART: i32 = 3;
    for (second, piece, until) in stretch.pieces() {
        let mut last: Option<i32> = None;
        for x in 0..dots.width() {
            let own = along.tick(x);
            let Some(tick) = piece.at(own).filter(|_| own <= until) else {
                continue;
            };
            let y = dot(&second.run, piece.leg, tick);
            let far = last.is_none_or(|last| (y - last).abs() >= APART);
            if x % 2 == 0 || far {
                // Dots in between, so that a steep part stays a row of dots.
                let from = last.filter(|last| (y - last).abs() > APART).unwrap_or(y);
                let step = APART * (y - from).signum();
                let mut between = from + step;
                while step != 0 && (y - between) * step > 0 {
                    dots.set(x, between, Role::Alternative);
                    between += step;
                }
                dots.set(x, y, Role::Alternative);
                last = Some(y);
            }
        }
    }
}

/// Draws the line between labels and picture.
pub(super) fn axis(picture: Rect, canvas: &mut Canvas) {
    for y in picture.top()..picture.bottom() {
        canvas.put(picture.x - 1, y, canvas.theme.mark(Mark::AXIS), Role::Quiet);
    }
}

/// Writes the unit of the labels beside a picture, in the first row without a label.
pub(super) fn unit(unit: &str, picture: Rect, canvas: &mut Canvas) {
    let labels = picture.x - GUTTER..picture.x - 1;
    let is_free = |y: &u16| canvas.is_free(labels.clone(), *y);
    if let Some(y) = (picture.top()..picture.bottom()).find(is_free) {
        label(unit, y, Role::Quiet, picture, canvas);
    }
}

/// Labels the axis of a lever: the ends of the scale, and its name `word` rows below the upper one, where there is room.
pub(super) fn lever_labels(up: &Up, word: u16, picture: Rect, canvas: &mut Canvas) {
    let percent = |share: f64| format!("{:.0} %", 100.0 * share);
    let (high, low) = (percent(up.high.min(1.0)), percent(up.low.max(0.0)));
    label(&high, picture.y, Role::Quiet, picture, canvas);
    label(&low, picture.bottom() - 1, Role::Quiet, picture, canvas);
    if picture.height > word + 1 {
        label("lever", picture.y + word, Role::Quiet, picture, canvas);
    }
}

/// Writes a label beside a row of a picture.
pub(super) fn label(text: &str, y: u16, role: Role, picture: Rect, canvas: &mut Canvas) {
    canvas.put(picture.x - GUTTER, y, format!("{text:>6}"), role);
}
