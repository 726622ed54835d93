//! Signs that can be seen in the motion around a line.
//!
//! Levers are given over the lever of 3 degrees, paces over the rate of 3 degrees, errors over the half-width of the band (+
//! past what is asked), long times in phugoid periods, so that the signs mean the same for every aeroplane. A sign that is
//! absent is NaN.

use std::ops::RangeInclusive;

use super::super::landmarks::{AIMLESS, Landmarks, MEANT};
use super::super::{IDLE, Inquiry};
use crate::run::moves::LeverMove;
use crate::score::series::{evened, turns};
use crate::sim::math::range;
use crate::units::{TICK_S, TICKS_PER_S};

/// Interval at which the motion is sampled, ticks.
const LOOK: u64 = 4;
const LOOKS_PER_S: usize = (TICKS_PER_S / LOOK) as usize;
/// Actions up to this long before a line may have caused it, ticks.
const BEFORE: u64 = 10 * TICKS_PER_S;
/// Half-width of the moving average of the lever, three quarters of a second: it removes taps and twitches.
const TWITCH: usize = 3 * LOOKS_PER_S / 4;
/// The smallest turn that counts: of the raw lever, of the part that smoothing removes, of the smoothed lever, of the error.
const QUICK_TURN: f64 = 0.2;
const TWITCHES: f64 = 0.08;
const LARGE_TURN: f64 = 1.0;
const CROSSING: f64 = 1.0;
/// To and fro: at least `SEVERAL` turns of at least `FAR_TURN`, at most `OFTEN_S` apart on average, s, over at least `MOSTLY`
/// of the time.
const FAR_TURN: f64 = 0.7;
const SEVERAL: usize = 5;
const OFTEN_S: f64 = 6.0;
const MOSTLY: f64 = 0.6;
/// The shortest window examined for that, samples.
const WINDOW: usize = 25 * LOOKS_PER_S;
/// Hardly moving: a pace below `STUCK`. Lever not moved: less than `UNMOVED` in two seconds. Stopped: a pace below `STOPPED`.
const STUCK: f64 = 0.25;
const UNMOVED: f64 = 0.1;
const STOPPED: f64 = 0.2;
/// Steep on a path: beyond this ratio to its sink.
const STEEP: f64 = 1.4;
/// High on it: off by more than half the band.
const OFF: f64 = 0.5;
/// Aside: off by more than this share of the band.
const ASIDE: f64 = 0.4;
/// Errors beyond this many half-widths count as equal.
const FAR: f64 = 4.0;

/// The motion of a leg, and the line under examination.
pub struct Motion<'a> {
    scene: &'a Inquiry<'a>,
    lever: Vec<f64>,
    untwitched: Vec<f64>,
    error: Vec<f64>,
    pace: Vec<f64>,
    /// The line, as indices.
    line: RangeInclusive<usize>,
    /// The same, extended back to where its cause may lie.
    wide: RangeInclusive<usize>,
}

impl<'a> Motion<'a> {
    /// The motion around a line.
    pub fn of(scene: &'a Inquiry<'a>) -> Motion<'a> {
        let leg = scene.leg;
        let (start, end) = (leg.again.start, leg.again.end);
        let ticks = || (start..end).step_by(LOOK as usize);
        let lever: Vec<f64> = ticks()
            .map(|tick| leg.again.lever.at(tick) / leg.scale.three)
            .collect();
        let index =
            |tick: u64| ((tick.max(start) - start) / LOOK).min(lever.len() as u64 - 1) as usize;
        let (from, to) = (index(scene.line.from.tick), index(scene.line.to.tick));
        Motion {
            scene,
            untwitched: evened(&lever, TWITCH),
            error: ticks().map(|tick| leg.share(tick)).collect(),
            pace: ticks().map(|tick| leg.pace(tick)).collect(),
            line: from..=to.max(from),
            wide: index(scene.line.from.tick.saturating_sub(BEFORE))..=to.max(from),
            lever,
        }
    }

    fn period_s(&self) -> f64 {
        self.scene.leg.scale.period * TICK_S
    }

    /// The lever that keeps what is asked where the line begins.
    fn right(&self) -> f64 {
        self.scene.leg.right(self.scene.line.from.tick) / self.scene.leg.scale.three
    }

    fn is_out(&self, i: usize) -> bool {
        self.error[i].abs() > 1.0
    }

    fn is_unmoved(&self, i: usize) -> bool {
        (self.untwitched[i] - self.untwitched[i.saturating_sub(2 * LOOKS_PER_S)]).abs() < UNMOVED
    }

    /// Whether the lever goes to and fro around the line.
    pub fn goes_to_and_fro(&self) -> bool {
        let after = (*self.wide.start() + WINDOW).min(self.lever.len() - 1);
        let lever = &self.lever[*self.wide.start()..=after.max(*self.wide.end())];
        let turns = turns(lever, FAR_TURN);
        let lasts = turns.last().zip(turns.first()).map_or(0, |(b, a)| b - a);
        let is_often = seconds(lasts) <= OFTEN_S * turns.len().saturating_sub(1) as f64;
        turns.len() >= SEVERAL && is_often && lasts as f64 >= MOSTLY * lever.len() as f64
    }

    /// From the end of the level-off's first move on.
    fn levelled(&self) -> Option<RangeInclusive<usize>> {
        let end = self.scene.leg.step.as_ref()?.onset.end;
        let from = (end - self.scene.leg.again.start) / LOOK;
        Some((from as usize).min(self.lever.len() - 1)..=self.lever.len() - 1)
    }
}

fn seconds(looks: usize) -> f64 {
    looks as f64 / LOOKS_PER_S as f64
}

/// Turns of the lever per ten seconds.
pub fn quick_turns(m: &Motion) -> f64 {
    let count = turns(&m.lever[m.wide.clone()], QUICK_TURN).len();
    10.0 * count as f64 / seconds(m.wide.clone().count())
}

/// Turns per ten seconds of the part that smoothing removes.
pub fn twitches(m: &Motion) -> f64 {
    let quick = m.lever.iter().zip(&m.untwitched).map(|(a, b)| a - b);
    let count = turns(&Vec::from_iter(quick), TWITCHES).len();
    10.0 * count as f64 / seconds(m.lever.len())
}

pub fn most_pace(m: &Motion) -> f64 {
    range(m.pace.iter().copied()).1
}

/// Large turns of the smoothed lever per phugoid period.
pub fn large_turns(m: &Motion) -> f64 {
    let count = turns(&m.untwitched, LARGE_TURN).len();
    // A shorter leg counts as a fifth of a period, so that its rate does not blow up.
    count as f64 / lasts(m).max(0.2)
}

/// How long the leg takes, periods.
pub fn lasts(m: &Motion) -> f64 {
    seconds(m.lever.len()) / m.period_s()
}

/// The error where the line ends.
pub fn ends_at(m: &Motion) -> f64 {
    m.error[*m.line.end()]
}

/// The difference between the shares of the leg that are off to one side and to the other.
pub fn one_sided(m: &Motion) -> f64 {
    let side =
        |error: &f64| f64::from(u8::from(*error > ASIDE)) - f64::from(u8::from(*error < -ASIDE));
    m.error.iter().map(side).sum::<f64>().abs() / m.error.len() as f64
}

/// The mean error over the leg; larger errors count as two half-widths.
pub fn mean_error(m: &Motion) -> f64 {
    let sum: f64 = m.error.iter().map(|error| error.clamp(-2.0, 2.0)).sum();
    sum / m.error.len() as f64
}

/// Turns of the error over the leg.
pub fn crossings(m: &Motion) -> f64 {
    turns(&m.error, CROSSING).len() as f64
}

/// Time in the line spent outside the band with a condition met, s.
fn out_s(m: &Motion, is: impl Fn(usize) -> bool) -> f64 {
    seconds(m.line.clone().filter(|&i| m.is_out(i) && is(i)).count())
}

/// Time outside and hardly moving, s.
pub fn stuck_s(m: &Motion) -> f64 {
    out_s(m, |i| m.pace[i].abs() < STUCK)
}

/// Time outside with the lever not moved, s.
pub fn stuck_at_rest_s(m: &Motion) -> f64 {
    out_s(m, |i| m.is_unmoved(i))
}

/// The longest time outside, hardly moving and with the lever not moved, s.
pub fn longest_stuck_s(m: &Motion) -> f64 {
    // The limit is a little wider, so that one period is not counted as several.
    let is_stuck = |i| m.is_out(i) && m.pace[i].abs() < 1.2 * STUCK && m.is_unmoved(i);
    let stuck: Vec<bool> = (0..m.lever.len()).map(is_stuck).collect();
    let longest = stuck.split(|stuck| !stuck).map(<[bool]>::len).max();
    seconds(longest.unwrap_or(0))
}

/// Mean lever in the line, less the lever that keeps what is asked.
pub fn lever_off(m: &Motion) -> f64 {
    let sum: f64 = m.line.clone().map(|i| m.lever[i]).sum();
    sum / m.line.clone().count() as f64 - m.right()
}

/// The longest rest of the lever in the line, as a share of it.
pub fn rest_share(m: &Motion) -> f64 {
    let (from, to) = (m.scene.line.from.tick, m.scene.line.to.tick);
    let least = AIMLESS * m.scene.leg.scale.three;
    let is_in = |m: &&LeverMove| m.by().abs() >= least && m.end > from && m.start < to;
    let (mut longest, mut since) = (0, from);
    for m in m.scene.leg.moves.iter().filter(is_in) {
        longest = longest.max(m.start.saturating_sub(since));
        since = m.end;
    }
    longest.max(to.saturating_sub(since)) as f64 / (to - from) as f64
}

/// The lowest lever around the line, less the right one.
pub fn least_lever(m: &Motion) -> f64 {
    range(m.lever[m.wide.clone()].iter().copied()).0 - m.right()
}

/// Time with the lever at idle around the line, s.
pub fn idle_in_line_s(m: &Motion) -> f64 {
    let idle = IDLE / m.scene.leg.scale.three;
    seconds(m.wide.clone().filter(|&i| m.lever[i] < idle).count())
}

/// A sign read from the landmarks of a step; NaN without them.
fn of_step(m: &Motion, say: impl Fn(&Landmarks) -> f64) -> f64 {
    m.scene.leg.step.as_ref().map_or(f64::NAN, say)
}

/// The distance to go when the level-off begins, in periods at the pace of that moment.
pub fn to_go(m: &Motion) -> f64 {
    let leg = m.scene.leg;
    of_step(m, |marks| {
        let tick = marks.onset.start;
        let pace_mps = (leg.pace(tick) * leg.scale.rate_mps).max(0.1);
        let band_m = leg.flown.target.band(leg.state(tick), tick);
        -leg.share(tick) * band_m / pace_mps / m.period_s()
    })
}

/// The lever a step goes with, beyond level.
pub fn going(m: &Motion) -> f64 {
    of_step(m, |marks| marks.beyond / m.scene.leg.scale.three)
}

/// Pace when the level-off begins.
pub fn onset_pace(m: &Motion) -> f64 {
    of_step(m, |marks| m.scene.leg.pace(marks.onset.start))
}

/// How long after the level-off's first move the return begins, periods; 0 where there is none.
pub fn given_back(m: &Motion) -> f64 {
    of_step(m, |marks| {
        let after = |back: &LeverMove| (back.start - marks.onset.end) as f64;
        marks.back.as_ref().map_or(0.0, after) / m.scene.leg.scale.period
    })
}

/// Levers beyond level from the level-off on, + towards the going side.
fn levelled_levers(m: &Motion) -> Vec<f64> {
    let beyond = |i: usize| m.scene.leg.scale.way * (m.lever[i] - m.right());
    m.levelled().into_iter().flatten().map(beyond).collect()
}

/// The farthest that the lever goes towards the going side after the level-off.
pub fn goes_again(m: &Motion) -> f64 {
    range(levelled_levers(m)).1
}

/// The longest time the lever is left past level after the level-off, periods.
pub fn left_past(m: &Motion) -> f64 {
    let levers = levelled_levers(m);
    let past = levers.split(|beyond| *beyond > -MEANT).map(<[f64]>::len);
    seconds(past.max().unwrap_or(0)) / m.period_s()
}

/// Where it stops after the level-off, + past what is asked.
pub fn stops_at(m: &Motion) -> f64 {
    let Some(mut after) = m.levelled() else {
        return f64::NAN;
    };
    let stops = after.find(|&i| m.pace[i] < STOPPED);
    stops.map_or(FAR, |i| m.error[i].clamp(-FAR, FAR))
}

/// How far above a path it begins to sink, in periods of the path's sink.
pub fn begun_above(m: &Motion) -> f64 {
    let begun = m.scene.leg.begins_down();
    begun.map_or(f64::NAN, |(_, above_s)| above_s / m.period_s())
}

/// Share of a path's counting part spent high.
pub fn high(m: &Motion) -> f64 {
    let (leg, ticks) = (m.scene.leg, m.scene.leg.counting());
    let high = ticks.iter().filter(|tick| leg.share(**tick) < -OFF);
    high.count() as f64 / ticks.len() as f64
}

/// Time sinking much faster than the path asks, s.
pub fn steep_s(m: &Motion) -> f64 {
    let leg = m.scene.leg;
    let is_steep = |tick: u64| Some(-leg.state(tick).vz_mps > STEEP * leg.sink_asked_mps(tick)?);
    let ticks = (leg.again.start..leg.again.end).step_by(LOOK as usize);
    seconds(ticks.filter(|tick| is_steep(*tick) == Some(true)).count())
}
