//! What can be seen of a flight about a line: the evidence for a name.

use super::Scene;
use crate::drill::Target;
use crate::sim::math::tan;
use crate::units::{TICK_S, TICKS_PER_S};

/// Motion is looked at so often, ticks.
const LOOK: u64 = 4;
/// What was done so long before a line may have caused it, ticks.
const BEFORE: u64 = 10 * TICKS_PER_S;

pub struct Series {
    pub start: u64,
    /// Lever over that of 3 degrees, from what keeps what is asked.
    pub lever: Vec<f64>,
    /// The same evened out over a second and a half, three and twenty.
    pub even: [Vec<f64>; 3],
    /// Error over the half-width, + past.
    pub error: Vec<f64>,
    /// Speed towards over that of 3 degrees.
    pub pace: Vec<f64>,
}

fn evened(values: &[f64], half: usize) -> Vec<f64> {
    let mut sums = vec![0.0];
    for v in values {
        sums.push(sums[sums.len() - 1] + v);
    }
    (0..values.len())
        .map(|i| {
            let (lo, hi) = (i.saturating_sub(half), (i + half + 1).min(values.len()));
            (sums[hi] - sums[lo]) / (hi - lo) as f64
        })
        .collect()
}

impl Series {
    pub fn of(scene: &Scene) -> Series {
        let ticks = || (scene.again.start..scene.again.end).step_by(LOOK as usize);
        let lever: Vec<f64> = ticks()
            .map(|t| scene.again.lever.at(t) / scene.scale.three)
            .collect();
        Series {
            start: scene.again.start,
            even: [12, 24, 160].map(|half| evened(&lever, half)),
            lever,
            error: ticks().map(|t| scene.share(t)).collect(),
            pace: ticks().map(|t| scene.pace(t)).collect(),
        }
    }

    fn index(&self, tick: u64) -> usize {
        (((tick.max(self.start) - self.start) / LOOK) as usize).min(self.lever.len() - 1)
    }
}

/// Turns of a series of at least a size: their indices.
fn turns(values: &[f64], size: f64) -> Vec<usize> {
    let mut found = Vec::new();
    let (mut farthest, mut at, mut dir) = (values[0], 0, 0.0);
    for (i, &x) in values.iter().enumerate() {
        if dir == 0.0 {
            if (x - farthest).abs() >= size {
                (dir, farthest, at) = ((x - farthest).signum(), x, i);
            }
        } else if (x - farthest) * dir > 0.0 {
            (farthest, at) = (x, i);
        } else if (farthest - x) * dir >= size {
            found.push(at);
            (dir, farthest, at) = (-dir, x, i);
        }
    }
    found
}

fn rms(values: impl Iterator<Item = f64>) -> f64 {
    let (n, sum) = values.fold((0.0, 0.0), |(n, s), v| (n + 1.0, s + v * v));
    (sum / f64::max(n, 1.0)).sqrt()
}

/// All of it, by name.
pub fn of(scene: &Scene) -> Vec<(&'static str, f64)> {
    let s = Series::of(scene);
    let (a, b) = (scene.line.from.tick, scene.line.to.tick);
    let period_s = scene.scale.period * TICK_S;
    let look_s = LOOK as f64 * TICK_S;
    let (ia, ib) = (s.index(a), s.index(b).max(s.index(a)));
    let iw = s.index(a.saturating_sub(BEFORE));
    let last = s.lever.len() - 1;
    let from = s.index(scene.step.as_ref().map_or(scene.again.start, |m| m.onset.start));
    let secs = |n: usize| n as f64 * look_s;
    let mut f: Vec<(&'static str, f64)> = Vec::new();
    f.push(("quick", rms((iw..=ib).map(|i| s.lever[i] - s.even[1][i]))));
    f.push(("slow", rms((iw..=ib).map(|i| s.even[1][i] - s.even[2][i]))));
    f.push(("slowline", rms((ia..=ib).map(|i| s.even[1][i] - s.even[2][i]))));
    let quick = turns(&s.lever, 0.2);
    f.push(("gturns", 10.0 * quick.len() as f64 / secs(last + 1)));
    let gap = |t: &[usize]| match t {
        [first, .., last] => secs(last - first) / (t.len() - 1) as f64,
        _ => 0.0,
    };
    f.push(("gperiod", gap(&quick)));
    let wturns = turns(&s.lever[iw..=ib], 0.2);
    f.push(("wturns", 10.0 * wturns.len() as f64 / secs(ib - iw + 1)));
    let slow = turns(&s.even[0][from..], 0.4);
    f.push(("legturns", slow.len() as f64 / (secs(last + 1 - from) / period_s).max(0.2)));
    f.push(("speriod", gap(&slow) / period_s));
    let wslow = turns(&s.even[0][iw..=ib], 0.25);
    f.push(("wslow", wslow.len() as f64));
    f.push(("eturns", turns(&s.error[from..], 1.0).len() as f64));
    f.push(("eturnsall", turns(&s.error, 1.0).len() as f64));
    let count = |is: &dyn Fn(usize) -> bool, lo: usize, hi: usize| secs((lo..=hi).filter(|&i| is(i)).count());
    let out = |i: usize| s.error[i].abs() > 1.0;
    f.push(("stuck", count(&|i| out(i) && s.pace[i].abs() < 0.25, ia, ib)));
    let unmoved = |i: usize| (s.even[0][i] - s.even[0][i.saturating_sub(32)]).abs() < 0.1;
    f.push(("stuckrest", count(&|i| out(i) && unmoved(i), ia, ib)));
    let mut run = 0;
    let mut most = 0;
    for i in from..=last { run = if out(i) && s.pace[i].abs() < 0.3 && unmoved(i) { run + 1 } else { 0 }; most = most.max(run); }
    f.push(("longstuck", secs(most)));
    f.push(("offr", (ia..=ib).map(|i| s.lever[i]).sum::<f64>() / (ib - ia + 1) as f64 - scene.right(a) / scene.scale.three));
    f.push(("absoffr", ((ia..=ib).map(|i| s.lever[i]).sum::<f64>() / (ib - ia + 1) as f64 - scene.right(a) / scene.scale.three).abs()));
    let (mut longest, mut since) = (0, a);
    for m in scene.moves.iter().filter(|m| m.by().abs() >= 0.08 * scene.scale.three && m.end > a && m.start < b) {
        longest = longest.max(m.start.saturating_sub(since));
        since = m.end;
    }
    longest = longest.max(b.saturating_sub(since));
    f.push(("longest", longest as f64 / scene.scale.period));
    f.push(("restshare", longest as f64 / (b - a).max(1) as f64));
    let clamp = |x: f64| x.clamp(-4.0, 4.0);
    f.push(("meane", (ia..=ib).map(|i| clamp(s.error[i])).sum::<f64>() / (ib - ia + 1) as f64));
    f.push(("absmeane", ((ia..=ib).map(|i| clamp(s.error[i])).sum::<f64>() / (ib - ia + 1) as f64).abs()));
    f.push(("sa", clamp(s.error[ia])));
    f.push(("sb", clamp(s.error[ib])));
    f.push(("pa", s.pace[ia]));
    f.push(("pb", s.pace[ib]));
    f.push(("maxpace", s.pace[ia..=ib].iter().copied().fold(-9.0, f64::max)));
    f.push(("minpace", s.pace[ia..=ib].iter().copied().fold(9.0, f64::min)));
    f.push(("past", s.error[ia..=ib].iter().copied().fold(-4.0, f64::max)));
    f.push(("len", (b - a) as f64 / scene.scale.period));
    f.push(("in", (a - scene.again.start) as f64 / scene.scale.period));
    let idle = |i: usize| s.lever[i] * scene.scale.three < 0.06;
    f.push(("idle", count(&idle, 0, ib)));
    f.push(("idleline", count(&idle, iw, ib)));
    f.push(("minlever", s.lever[iw..=ib].iter().copied().fold(9.0, f64::min) - scene.right(a) / scene.scale.three));
    f.push(("maxlever", s.lever[iw..=ib].iter().copied().fold(-9.0, f64::max) - scene.right(a) / scene.scale.three));
    if let Some(k) = &scene.step {
        let o = k.onset.start;
        let pace_mps = (scene.pace(o) * scene.scale.rate_mps).max(0.1);
        let leg = &scene.again.run.legs()[scene.again.leg];
        let band_m = leg.target.band(&scene.again.run.trace().at(o as usize).state, o);
        f.push(("togo", -scene.share(o) * band_m / pace_mps / period_s));
        f.push(("ratio", k.going.beyond / scene.scale.three));
        f.push(("onset_pace", scene.pace(o)));
        f.push(("past_lever", k.past.unwrap_or(0.0) / scene.scale.three));
        f.push(("back", k.back.map_or(0.0, |m| (m.start - k.onset.end) as f64 / scene.scale.period)));
        f.push(("noback", if k.past.is_some() && k.back.is_none() { 1.0 } else { 0.0 }));
        f.push(("onset_a", (o as f64 - a as f64) / scene.scale.period));
        f.push(("onset_b", (b as f64 - o as f64) / scene.scale.period));
        f.push(("settle", (k.hand_over - o) as f64 / scene.scale.period));
        let io = s.index(k.onset.end);
        let soon = s.index(k.onset.end + (0.5 * scene.scale.period) as u64);
        let beyond = |i: usize| scene.scale.way * (s.lever[i] - scene.scale.level / scene.scale.three);
        let arrives = (io..=last).find(|&i| s.error[i] > -1.0).unwrap_or(last);
        f.push(("again", (io + 32..arrives.max(io + 33)).filter(|i| *i <= last).map(beyond).fold(-2.0, f64::max)));
        let slow = (io..=last).find(|&i| s.pace[i] < 0.2);
        f.push(("shortstop", slow.map_or(4.0, |i| clamp(s.error[i]))));
        f.push(("farpast", s.error[io..=last].iter().copied().fold(-4.0, f64::max).min(4.0)));
        f.push(("pastdur", (io..=last).take_while(|&i| beyond(i) < -0.25).count() as f64 * look_s / period_s));
        f.push(("turnback", s.pace[io..=soon].iter().copied().fold(9.0, f64::min)));
        f.push(("crawl", secs((io..arrives).filter(|&i| s.pace[i] < 0.4).count()) / period_s));
    }
    if let Target::Path(glide) = &scene.again.run.legs()[scene.again.leg].target {
        let state = |t: u64| &scene.again.run.trace().at(t as usize).state;
        let sink = |t: u64| -state(t).vz_mps / (glide.closure_mps(state(t)) * tan(glide.slope_rad));
        let sinks: Vec<f64> = (a..b).step_by(16).map(sink).collect();
        f.push(("sinkmax", sinks.iter().copied().fold(0.0, f64::max)));
        f.push(("sinkmin", sinks.iter().copied().fold(9.0, f64::min)));
        let far = |t: u64| glide.distance_m(state(t), t) / glide.from_m;
        f.push(("da", far(a)));
        f.push(("db", far(b)));
        let first = (scene.again.start..scene.again.end).step_by(16).find(|t| sink(*t) > 0.5);
        if let Some(t) = first {
            // How far above (+) the line it still is when it sinks, seconds of its sink.
            let above = state(t).h_m - glide.altitude_m(glide.distance_m(state(t), t));
            f.push(("begun", above / (glide.closure_mps(state(t)) * tan(glide.slope_rad)) / period_s));
        }
        let sinksall: Vec<f64> = (scene.again.start..scene.again.end).step_by(16).map(|t| sink(t)).collect();
        f.push(("steepall", sinksall.iter().filter(|x| **x > 1.4).count() as f64 / 4.0));
        let on: Vec<f64> = (scene.again.start..scene.again.end).step_by(16).filter(|t| far(*t) < 1.0).map(|t| scene.share(t)).collect();
        let n = on.len().max(1) as f64;
        f.push(("highall", on.iter().filter(|x| **x < -0.5).count() as f64 / n));
        f.push(("lowall", on.iter().filter(|x| **x > 0.5).count() as f64 / n));
    }
    f
}
