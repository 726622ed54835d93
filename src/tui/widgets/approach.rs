//! The marks of a path on the time axis: where it begins to be scored, its gates, the aim point.

use std::ops::Range;

use crate::drill::reader::plain;
use crate::drill::{Glide, Kind, Path};
use crate::run::Run;
use crate::units::{FT, TICK_S};

/// What stands at a distance before the aim point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Post {
    pub distance_m: f64,
    /// The path's altitude there, m.
    pub altitude_m: f64,
    /// When it was passed, or will be at the closure of now, s into the run.
    pub t_s: f64,
    /// Whether it lies behind.
    pub is_passed: bool,
    /// How far above the path it was passed, m; None before.
    pub deviation_m: Option<f64>,
    /// Whether it is one of the gates.
    pub is_gate: bool,
}

impl Post {
    /// The altitude it asks for, in whole feet; the aim point's is the deck's.
    pub fn label(&self) -> String {
        let feet = plain((self.altitude_m / FT).round());
        match (self.is_gate, self.distance_m > 0.0) {
            (true, _) => format!("{feet} ft"),
            (false, true) => format!("scored, {feet} ft"),
            (false, false) => format!("deck {feet} ft"),
        }
    }
}

/// The posts of the path that is being flown, the farthest first; none on other tasks.
pub fn posts(run: &Run) -> Vec<Post> {
    let Kind::Path(path) = &run.leg().kind else {
        return Vec::new();
    };
    let post = |distance_m, is_gate| post(run, path, distance_m, is_gate);
    let mut posts = vec![post(path.glide.from_m, false)];
    posts.extend(path.gates_m.iter().map(|gate_m| post(*gate_m, true)));
    posts.push(post(0.0, false));
    posts
}

/// When the path that is being flown begins to be scored, s into the run; None on other tasks.
pub fn scored_from_s(run: &Run) -> Option<f64> {
    posts(run).first().map(|from| from.t_s)
}

/// How far from the aim point a run was at a tick, m.
pub fn distance_at_m(run: &Run, glide: &Glide, tick: u64) -> f64 {
    glide.distance_m(run.trace().state(tick as usize), tick)
}

/// The first tick, after the first of these and up to the end, at or inside a distance to the aim point; it shrinks all the way
/// down, so that the tick can be halved for.
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
