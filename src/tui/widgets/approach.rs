//! The marks of a path on the time axis: where it begins to be scored, its gates, the aim point.

use crate::drill::reader::plain;
use crate::drill::{Kind, Path};
use crate::run::Run;
use crate::units::{FT, TICK_S};

/// What stands at a distance before the aim point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Post {
    /// The distance, m.
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
    let gates = path.gates_m.iter().map(|gate_m| (*gate_m, true));
    let from = std::iter::once((path.glide.from_m, false));
    let aim = std::iter::once((0.0, false));
    from.chain(gates)
        .chain(aim)
        .map(|(distance_m, is_gate)| post(run, path, distance_m, is_gate))
        .collect()
}

/// When the path that is being flown begins to be scored, s into the run; None on other tasks.
pub fn scored_from_s(run: &Run) -> Option<f64> {
    let Kind::Path(path) = &run.leg().kind else {
        return None;
    };
    Some(post(run, path, path.glide.from_m, false).t_s)
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
        // Distance shrinks all the way down, so that the first tick at or inside a mark can be halved for.
        let points = run.trace().points();
        let from = run.leg().start as usize;
        let behind =
            |index: usize| glide.distance_m(&points[index].state, index as u64) <= distance_m;
        let (mut before, mut at) = (from, points.len() - 1);
        while at - before > 1 {
            let middle = before + (at - before) / 2;
            match behind(middle) {
                true => at = middle,
                false => before = middle,
            }
        }
        post.t_s = at as f64 * TICK_S;
        if !behind(from) {
            post.deviation_m = Some(glide.deviation_m(&points[at].state, at as u64));
        }
    }
    post
}
