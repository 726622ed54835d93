//! Staying on a line: the lever that lowers the squared distance from the line in settled air, and how to answer departures
//! from that, by the iterative linear-quadratic regulator with limits on the control (Y. Tassa, N. Mansard, E. Todorov,
//! "Control-limited differential dynamic programming", 2014; from memory of it).

use crate::drill::Target;
use crate::plan::ahead::Model;
use crate::run::{Run, Trace, thousandths};
use crate::sim::dynamics::State;
use crate::units::{TICK_S, TICKS_PER_S};

/// Fraction of travel per second: what a built-in hand may move, less the rounding to thousandths.
const LEVER_PER_S: f64 = 0.384;
/// The six numbers of the state, and the lever.
const N: usize = 7;
const LEVER: usize = 6;
type Vector = [f64; N];
type Matrix = [[f64; N]; N];

/// What is followed, and the prices of doing so.
#[derive(Clone, Debug)]
pub(super) struct Line {
    /// What is asked for.
    pub target: Target,
    /// Tick at which the leg begins.
    pub from: u64,
    /// Altitude at which it begins, m: held until a path comes down to it.
    pub from_m: f64,
    /// Price of a lever rate of 1/s for a second, in squares of the target's unit (of the band on a path) for a second.
    pub rate_price: f64,
    /// Price of a vertical speed of 1 m/s at the end.
    pub calm_price: f64,
    /// Least and greatest lever.
    pub levers: (f64, f64),
}

/// Weight of a path's errors before it is scored, against those after.
const BEFOREHAND: f64 = 0.03;

impl Line {
    /// Error of a state at a time into the leg, its slope along the state, and its weight.
    fn error(&self, z: &Vector, t_s: f64) -> (f64, Vector, f64) {
        let mut slope = [0.0; N];
        match &self.target {
            Target::Altitude { altitude_m, .. } => {
                slope[2] = 1.0;
                (z[2] - altitude_m, slope, 1.0)
            }
            Target::Vertical { vertical_mps, .. } => {
                slope[1] = 1.0;
                (z[1] - vertical_mps, slope, 1.0)
            }
            Target::Path(glide) => {
                let aim = &glide.aim;
                let now_s = self.from as f64 * TICK_S + t_s;
                let distance_m = aim.start_m - z[3] + aim.deck.speed_mps * now_s;
                let half_m = glide.half_width_m(distance_m);
                slope[2] = 1.0;
                if distance_m > glide.from_m {
                    let line_m = glide.altitude_m(distance_m);
                    if line_m >= self.from_m {
                        return (z[2] - self.from_m, slope, BEFOREHAND / (half_m * half_m));
                    }
                }
                slope[3] = glide.altitude_m(1.0) - glide.altitude_m(0.0);
                let weight = if distance_m > glide.from_m {
                    BEFOREHAND
                } else {
                    1.0
                };
                (
                    z[2] - glide.altitude_m(distance_m),
                    slope,
                    weight / (half_m * half_m),
                )
            }
        }
    }

    /// The lever rates allowed, 1/s, from a lever.
    fn rates(&self, lever: f64, step_s: f64) -> (f64, f64) {
        let to = |limit: f64| ((limit - lever) / step_s).clamp(-LEVER_PER_S, LEVER_PER_S);
        (to(self.levers.0), to(self.levers.1))
    }
}

/// A coarse step as it is meant to be flown.
#[derive(Clone, Copy, Debug)]
struct Node {
    z: Vector,
    rate: f64,
    change: f64,
    gain: Vector,
}

/// A flight along a line.
#[derive(Clone, Debug)]
pub(super) struct Track {
    line: Line,
    ticks: usize,
    nodes: Vec<Node>,
}

/// Cost of one step of a backward pass, in coarse steps: the steps flown for the slopes, and the time that the matrices take.
const LOOK_BACK: usize = 11;
/// Shares of the changes, tried in turn.
const LOOK_AHEAD: [f64; 4] = [1.0, 0.5, 0.2, 0.05];

impl Track {
    /// The most coarse steps, or their equivalent in time, that a track of `steps` steps takes in `rounds` rounds.
    pub fn most_steps(steps: usize, rounds: usize) -> usize {
        steps * (rounds * (LOOK_BACK + LOOK_AHEAD.len()) + LOOK_BACK + 1)
    }

    /// The track from a run's current tick, with the lever of a trace of the same leg.
    pub fn of(line: Line, model: &Model, (start, trace): (&Run, &Trace), steps: usize) -> Track {
        let mut track = Track {
            nodes: Vec::with_capacity(steps + 1),
            ticks: model.ticks,
            line,
        };
        let mut lever = start.lever();
        let mut z = vector(start.world().state(), lever);
        for step in 0..=steps {
            let end = (track.line.from as usize + (step + 1) * model.ticks).min(trace.ticks());
            let wanted = trace.lever_before(end.max(track.line.from as usize));
            let (least, most) = track.line.rates(lever, model.step_s);
            let rate = ((wanted - lever) / model.step_s).clamp(least, most);
            track.nodes.push(Node {
                z,
                rate,
                change: 0.0,
                gain: [0.0; N],
            });
            z = advance(model, step, &z, rate);
            lever = z[LEVER];
        }
        track
    }

    /// The same flight, with an answer to whatever takes the aeroplane off it.
    pub fn answering(mut self, model: &Model) -> Track {
        self.look_back(model, 0.0);
        self
    }

    /// A better flight after at most `rounds` rounds, and the coarse steps it took.
    pub fn better(mut self, model: &Model, rounds: usize) -> (Track, usize) {
        let steps = self.nodes.len();
        let mut cost = self.cost(model);
        let mut spent = steps * (LOOK_BACK + 1);
        for _ in 0..rounds {
            self.look_back(model, 1.0);
            spent += steps * LOOK_BACK;
            let better = LOOK_AHEAD.iter().find_map(|share| {
                spent += steps;
                let trial = self.look_ahead(model, *share);
                let cost_then = trial.cost(model);
                (cost_then < cost).then_some((trial, cost_then))
            });
            let Some((trial, cost_then)) = better else {
                break;
            };
            let gained = cost - cost_then;
            (self, cost) = (trial, cost_then);
            if gained < 1e-3 * cost {
                break;
            }
        }
        self.look_back(model, 1.0);
        (self, spent)
    }

    fn cost(&self, model: &Model) -> f64 {
        let nodes = self.nodes.iter().enumerate();
        let sum: f64 = nodes
            .map(|(step, node)| {
                let (error, _, weight) = self.line.error(&node.z, step as f64 * model.step_s);
                weight * error * error + self.line.rate_price * node.rate * node.rate
            })
            .sum();
        let last = self.nodes.last().map_or(0.0, |node| node.z[1]);
        sum * model.step_s + self.line.calm_price * last * last
    }

    /// The backward pass: how each step should answer departures and, if `wish` is 1 and not 0, by how much it should change.
    fn look_back(&mut self, model: &Model, wish: f64) {
        let mut square: Matrix = [[0.0; N]; N];
        let mut linear: Vector = [0.0; N];
        let mut is_last = true;
        for (step, node) in self.nodes.iter_mut().enumerate().rev() {
            if !is_last {
                let (a, b) = linearised(model, step, node);
                let sa = times(&square, &a);
                let sb: Vector = std::array::from_fn(|i| dot(&square[i], &b));
                let uu = self.line.rate_price * model.step_s + dot(&b, &sb);
                let u = wish * self.line.rate_price * model.step_s * node.rate + dot(&b, &linear);
                let uz: Vector = std::array::from_fn(|j| (0..N).map(|i| b[i] * sa[i][j]).sum());
                let (least, most) = self.line.rates(node.z[LEVER], model.step_s);
                let free = -u / uu;
                let answer: Vector = std::array::from_fn(|i| -uz[i] / uu);
                // Before a stretch in which the aeroplane tumbles, nothing useful can be computed for a step.
                let is_known = free.is_finite() && answer.iter().all(|gain| gain.is_finite());
                node.change = match is_known {
                    true => free.clamp(least - node.rate, most - node.rate),
                    false => 0.0,
                };
                node.gain = match is_known && node.change == free {
                    true => answer,
                    false => [0.0; N],
                };
                let (k, gain) = (node.change, &node.gain);
                linear = std::array::from_fn(|i| {
                    (0..N).map(|j| a[j][i] * linear[j]).sum::<f64>()
                        + gain[i] * (uu * k + u)
                        + uz[i] * k
                });
                square = std::array::from_fn(|i| {
                    std::array::from_fn(|j| {
                        (0..N).map(|m| a[m][i] * sa[m][j]).sum::<f64>()
                            + gain[i] * uu * gain[j]
                            + gain[i] * uz[j]
                            + uz[i] * gain[j]
                    })
                });
            } else {
                square[1][1] += self.line.calm_price;
                linear[1] += wish * self.line.calm_price * node.z[1];
            }
            let (error, slope, weight) = self.line.error(&node.z, step as f64 * model.step_s);
            for i in 0..N {
                linear[i] += wish * model.step_s * weight * error * slope[i];
                for j in 0..N {
                    square[i][j] += model.step_s * weight * slope[i] * slope[j];
                }
            }
            is_last = false;
        }
        // The last step answers like the one before it.
        if let [.., before, last] = &mut self.nodes[..] {
            last.gain = before.gain;
        }
    }

    /// The forward pass: the flight with a share of the changes.
    fn look_ahead(&self, model: &Model, share: f64) -> Track {
        let mut z = self.nodes[0].z;
        let nodes = self.nodes.iter().enumerate().map(|(step, node)| {
            let off: Vector = std::array::from_fn(|i| z[i] - node.z[i]);
            let rates = self.line.rates(z[LEVER], model.step_s);
            let rate = allowed(
                node.rate + share * node.change + dot(&node.gain, &off),
                rates,
            );
            let flown = Node { z, rate, ..*node };
            z = advance(model, step, &z, rate);
            flown
        });
        Track {
            nodes: nodes.collect(),
            line: self.line.clone(),
            ticks: self.ticks,
        }
    }

    /// Flies the track in the real world from a run's current tick: every tick's lever in thousandths, None to leave it.
    pub fn hand(&self, start: &Run) -> impl FnMut(&Run) -> Option<u16> + use<'_> {
        /// Smaller moves are saved up until they reach this, thousandths.
        const LEAST_MOVE: f64 = 1.5;
        let mut lever = start.lever();
        move |run| {
            let done = (run.tick() - self.line.from) as usize;
            let step = (done / self.ticks).min(self.nodes.len().saturating_sub(2));
            let share = ((done - step * self.ticks) as f64 / self.ticks as f64).min(1.0);
            let (node, next) = (&self.nodes[step], &self.nodes[step + 1]);
            let z = vector(run.world().state(), lever);
            let off: Vector =
                std::array::from_fn(|i| z[i] - node.z[i] - share * (next.z[i] - node.z[i]));
            let rates = self.line.rates(lever, TICK_S);
            lever += TICK_S * allowed(node.rate + dot(&node.gain, &off), rates);
            let missing = 1000.0 * (lever - run.lever());
            (missing.abs() >= LEAST_MOVE).then(|| thousandths(lever))
        }
    }
}

/// The allowed lever rate nearest to the one given. In a model that tumbles without end a
/// rate may be not a number; it is then the least.
fn allowed(rate: f64, (least, most): (f64, f64)) -> f64 {
    rate.max(least).min(most)
}

/// The number of steps of `ticks` ticks that a time takes.
pub(super) fn steps(seconds: f64, ticks: usize) -> usize {
    ((seconds * TICKS_PER_S as f64) as usize).div_ceil(ticks)
}

fn vector(state: &State, lever: f64) -> Vector {
    let s = state.numbers();
    [s[0], s[1], s[2], s[3], s[4], s[5], lever]
}

/// The state and lever after a coarse step with the lever moving at a rate.
fn advance(model: &Model, step: usize, z: &Vector, rate: f64) -> Vector {
    let state = State {
        vx_mps: z[0],
        vz_mps: z[1],
        h_m: z[2],
        x_m: z[3],
        theta_rad: z[4],
        engine: z[5],
    };
    let mean = z[LEVER] + 0.5 * rate * model.step_s;
    vector(
        &model.fly(step, &state, mean),
        z[LEVER] + rate * model.step_s,
    )
}

/// The derivatives of the next state by this one and by the rate of the lever.
fn linearised(model: &Model, step: usize, node: &Node) -> (Matrix, Vector) {
    const NUDGE: [f64; N] = [1e-3, 1e-3, 1e-1, 1.0, 1e-5, 1e-5, 1e-5];
    let next = advance(model, step, &node.z, node.rate);
    let mut a: Matrix = [[0.0; N]; N];
    for (column, nudge) in NUDGE.into_iter().enumerate() {
        if column == 3 {
            // Only a ship's wake depends on the place; that is neglected.
            a[3][3] = 1.0;
            continue;
        }
        let mut z = node.z;
        z[column] += nudge;
        let moved = advance(model, step, &z, node.rate);
        for row in 0..N {
            a[row][column] = (moved[row] - next[row]) / nudge;
        }
    }
    let mut b: Vector = std::array::from_fn(|i| 0.5 * model.step_s * a[i][LEVER]);
    b[LEVER] = model.step_s;
    (a, b)
}

fn dot(a: &Vector, b: &Vector) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn times(a: &Matrix, b: &Matrix) -> Matrix {
    std::array::from_fn(|i| std::array::from_fn(|j| (0..N).map(|m| a[i][m] * b[m][j]).sum()))
}
