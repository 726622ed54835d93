//! The posts of a path (where scoring begins, each gate, the aim point), with altitude and time to go, and how they are drawn on
//! the scope.

use std::ops::Range;

use ratatui::layout::Rect;

use super::dots::{ACROSS, DOWN, Dots};
use super::measure::Measure;
use super::plot::TimeAxis;
use super::scope::Scope;
use crate::drill::reader::plain;
use crate::drill::{Glide, Kind, Path};
use crate::run::Run;
use crate::tui::canvas::Canvas;
use crate::tui::screens::words::off;
use crate::tui::theme::{Mark, Role};
use crate::units::{FT, TICK_S};

/// A post at a distance before the aim point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Post {
    pub distance_m: f64,
    /// The path's altitude there, m.
    pub altitude_m: f64,
    /// When it was passed, or will be at the current closure, s into the run.
    pub t_s: f64,
    /// Whether it has been passed.
    pub is_passed: bool,
    /// How far above the path it was passed, m; None until then, and where the task began no farther out than it.
    pub deviation_m: Option<f64>,
    /// Whether it is one of the gates.
    pub is_gate: bool,
}

impl Post {
    /// Its altitude in whole feet, in words; the aim point's is that of the deck.
    pub fn label(&self) -> String {
        let feet = plain((self.altitude_m / FT).round());
        match (self.is_gate, self.distance_m > 0.0) {
            (true, _) => format!("{feet} ft"),
            (false, true) => format!("scored, {feet} ft"),
            (false, false) => format!("deck {feet} ft"),
        }
    }
}

/// The posts of the path being flown, farthest first; empty on other tasks.
pub fn of_path(run: &Run) -> Vec<Post> {
    let Kind::Path(path) = &run.leg().kind else {
        return Vec::new();
    };
    let post = |distance_m, is_gate| post(run, path, distance_m, is_gate);
    let mut posts = vec![post(path.glide.from_m, false)];
    posts.extend(path.gates_m.iter().map(|gate_m| post(*gate_m, true)));
    posts.push(post(0.0, false));
    posts
}

/// When scoring begins on the path being flown, s into the run; None on other tasks.
pub fn scored_from_s(run: &Run) -> Option<f64> {
    of_path(run).first().map(|from| from.t_s)
}

/// A run's distance to the aim point at a tick, m.
pub fn distance_at_m(run: &Run, glide: &Glide, tick: u64) -> f64 {
    glide.distance_m(run.trace().state(tick as usize), tick)
}

/// The first tick after `ticks.start`, and at most `ticks.end`, at or inside a distance to the aim point. Found by bisection, as
/// the distance shrinks all the way down.
pub fn first_inside(run: &Run, glide: &Glide, ticks: Range<u64>, distance_m: f64) -> u64 {
    let (mut before, mut at) = (ticks.start, ticks.end);
    while at - before > 1 {
        let middle = before + (at - before) / 2;
        match distance_at_m(run, glide, middle) <= distance_m {
            true => at = middle,
            false => before = middle,
        }
    }
    at
}

fn post(run: &Run, path: &Path, distance_m: f64, is_gate: bool) -> Post {
    let glide = path.glide;
    let (state, tick) = (*run.world().state(), run.tick());
    let to_go_m = glide.distance_m(&state, tick) - distance_m;
    let altitude_m = glide.altitude_m(distance_m);
    let mut post = Post {
        distance_m,
        altitude_m,
        t_s: run.time_s() + to_go_m / glide.closure_mps(&state).max(1.0),
        is_passed: to_go_m <= 0.0,
        deviation_m: None,
        is_gate,
    };
    if post.is_passed {
        let from = run.leg().start;
        let at = first_inside(run, &glide, from..tick, distance_m);
        post.t_s = at as f64 * TICK_S;
        if distance_at_m(run, &glide, from) > distance_m {
            let state = run.trace().state(at as usize);
            post.deviation_m = Some(glide.deviation_m(state, at));
        }
    }
    post
}

/// Draws a column for each post: over the band, or near the top while the path is out of sight.
pub(super) fn columns(scope: &Scope, along: &TimeAxis, dots: &mut Dots) {
    let window = &scope.window;
    let (top, bottom) = match window.measure {
        Measure::Share => (window.dot(100.0), window.dot(-100.0)),
        _ => (DOWN, 2 * DOWN),
    };
    for post in of_path(scope.run) {
        dots.column(along.dot(post.t_s), top, bottom, Role::Band);
    }
}

/// Writes above each post what it asks for; the label of the next one stands at the edge while the post is still out of sight.
/// Posts to come are labelled first, then those passed, the nearest first; a label that would touch an earlier one is left out.
pub(super) fn labels(scope: &Scope, picture: Rect, along: &TimeAxis, canvas: &mut Canvas) {
    let (run, window) = (scope.run, &scope.window);
    let is_seen = matches!(window.measure, Measure::Share);
    let row = match is_seen {
        true => window.dot(100.0).div_euclid(DOWN) - 1,
        false => 0,
    };
    let y = picture.y + row.clamp(0, i32::from(picture.height) - 1) as u16;
    let mut posts = of_path(run);
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
        // Extend away from now, so that the labels of what is past and of what comes next move apart where a gate is passed.
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

/// "409 ft in 21 s"; for a gate that has been passed, on a path in sight, "409 ft, 6 ft above".
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
