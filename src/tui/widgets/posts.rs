//! The posts of a path on the scope: where it begins to be scored, each gate, the aim point, with altitude and time to go.

use std::ops::Range;

use ratatui::layout::Rect;

use super::approach::{self, Post};
use super::dots::{ACROSS, DOWN, Dots};
use super::measure::Measure;
use super::plot::TimeAxis;
use super::window::Window;
use crate::run::Run;
use crate::tui::canvas::Canvas;
use crate::tui::screens::words::off;
use crate::tui::theme::{Mark, Role};
use crate::units::FT;

/// A column over the band for each.
pub(super) fn columns(run: &Run, window: &Window, along: &TimeAxis, dots: &mut Dots) {
    let (top, bottom) = match window.measure {
        Measure::Share => (window.dot(100.0), window.dot(-100.0)),
        _ => (DOWN, 2 * DOWN),
    };
    for post in approach::posts(run) {
        dots.column(along.dot(post.t_s), top, bottom, Role::Band);
    }
}

/// What each asks for, above it; the next one stands at the edge while it is still out of sight. A label that would touch one
/// before it is left out, the next one first.
pub(super) fn labels(
    run: &Run,
    window: &Window,
    picture: Rect,
    along: &TimeAxis,
    canvas: &mut Canvas,
) {
    let is_seen = matches!(window.measure, Measure::Share);
    let row = match is_seen {
        true => window.dot(100.0).div_euclid(DOWN) - 1,
        false => 0,
    };
    let y = picture.y + row.clamp(0, i32::from(picture.height) - 1) as u16;
    let mut posts = approach::posts(run);
    let away_s = |post: &Post| (post.t_s - run.time_s()).abs();
    posts.sort_by(|a, b| {
        let passed = a.is_passed.cmp(&b.is_passed);
        passed.then(away_s(a).total_cmp(&away_s(b)))
    });
    let mut taken: Vec<Range<i32>> = Vec::new();
    let (left, right) = (i32::from(picture.x), i32::from(picture.right()));
    for (place, post) in posts.into_iter().enumerate() {
        let column = left + along.dot(post.t_s).div_euclid(ACROSS);
        let is_next = place == 0 && !post.is_passed;
        let label = label(&post, run, is_seen);
        let label = match column >= right {
            true if is_next => format!("{label} {}", canvas.theme.mark(Mark::CHOSEN)),
            true => continue,
            false => label,
        };
        if column < left {
            continue;
        }
        let length = label.chars().count() as i32;
        // Away from now, so that what was and what comes next part where a gate is passed.
        let from = match post.is_passed {
            true => column - length + 1,
            false => column,
        };
        let from = from.clamp(left, right - length);
        let range = from - 1..from + length + 1;
        let is_free = |other: &Range<i32>| range.end <= other.start || other.end <= range.start;
        if taken.iter().all(is_free) {
            let role = match (post.is_passed, is_next) {
                (true, _) => Role::Quiet,
                (_, true) => Role::Strong,
                _ => Role::Band,
            };
            canvas.put(from as u16, y, label, role);
            taken.push(range);
        }
    }
}

/// "409 ft in 21 s"; passed "409 ft, 6 ft above", on a path that is seen.
fn label(post: &Post, run: &Run, is_seen: bool) -> String {
    let asked = post.label();
    match post.deviation_m {
        _ if !post.is_passed => format!("{asked} in {:.0} s", post.t_s - run.time_s()),
        Some(off_m) if post.is_gate && is_seen => match (off_m / FT).round() {
            0.0 => format!("{asked}, met"),
            _ => format!("{asked}, {}", off(off_m)),
        },
        _ => asked,
    }
}
